//! Changes of drawing, plan and statements after something was measured, in sentences.

use super::record::by_whom;
use super::relation::relation_text;
use super::requirement::callouts_text;
use super::{Figures, as_typed, field_word, size_text};
use crate::entry::carrier_text;
use crate::job::{
    Basis, Blocks, Changed, Conditions, Datum, DocumentChange, DocumentEntry, Drawing, Feature,
    Instrument, Job, Orientation, Outline, Probe, ProbeWay, Relation, Slope, Stated, Taken, Zero,
};
use crate::quantity::{Figure, Unit};
use std::borrow::Cow;

/// Returns what was changed of drawing and plan after something was measured, and of what was stated of
/// the piece with this serial number, oldest first, each in a sentence.
#[must_use]
pub fn document_changes(job: &Job, serial: &str) -> Vec<String> {
    let entries = job.document_record.iter().enumerate();
    entries
        .filter(|(_, entry)| match &entry.change {
            DocumentChange::Piece { serial: own, .. } => own == serial,
            _ => true,
        })
        .map(|(at, entry)| document_change(&drawing_then(job, at), entry))
        .collect()
}

/// Returns the last change of drawing and plan in a sentence; `None` where nothing was changed.
#[must_use]
pub fn last_document_change(job: &Job) -> Option<String> {
    Some(document_change(&Cow::Borrowed(&job.drawing), job.document_record.last()?))
}

/// The drawing in the unit that it had when an entry was made.
fn drawing_then(job: &Job, at: usize) -> Cow<'_, Drawing> {
    let later = job.document_record.iter().skip(at + 1);
    let unit = later.into_iter().find_map(|entry| match entry.change {
        DocumentChange::Unit { was, converted, .. } => Some((was, converted)),
        _ => None,
    });
    let now = &job.drawing;
    match unit {
        Some((unit, converted)) if unit != now.unit => {
            let decimals = match unit {
                // As many as the conversion took away or gave.
                Unit::Inch if converted => now.decimals.saturating_add(1),
                Unit::Mm if converted => now.decimals.saturating_sub(1),
                Unit::Inch | Unit::Mm => now.decimals,
            };
            Cow::Owned(Drawing { unit, decimals, ..now.clone() })
        }
        _ => Cow::Borrowed(now),
    }
}

/// One change: what, from what to what, when, by whom and why.
fn document_change(drawing: &Drawing, entry: &DocumentEntry) -> String {
    let mut text = match &entry.change {
        DocumentChange::Feature(of) => feature(drawing, of),
        DocumentChange::Datum(of) => datum(drawing.unit, of),
        DocumentChange::Relation(of) => relation(drawing, of),
        DocumentChange::Orientation(of) => orientation(of),
        DocumentChange::Instrument(of) => instrument(of),
        DocumentChange::Basis(of) => basis(drawing.unit, of),
        DocumentChange::Unit { was, now, converted } => {
            let (was, now) = (was.word(), now.word());
            let how = if *converted { "figures converted" } else { "figures kept as typed" };
            format!("drawing: unit was {was}, now {now}, {how}")
        }
        DocumentChange::Piece { stated: of, .. } => stated(drawing.unit, of),
    };
    text.push_str(&format!("; {} UTC{}", entry.when, by_whom(&entry.who, &entry.why)));
    text
}

/// The fields that differ, each with what it was and is.
#[derive(Default)]
struct Differences(Vec<String>);

/// What stands for a field that says nothing.
const BLANK: &str = "blank";

impl Differences {
    fn field(&mut self, what: &str, [was, now]: [String; 2]) {
        if was == now {
            return;
        }
        let or_blank = |text: String| if text.is_empty() { BLANK.to_owned() } else { text };
        self.0.push(format!("{what} was {}, now {}", or_blank(was), or_blank(now)));
    }

    fn sentence(self, of: &str) -> String {
        if self.0.is_empty() {
            format!("{of}: changed")
        } else {
            format!("{of}: {}", self.0.join("; "))
        }
    }
}

/// The sentence of something that was added, removed or changed.
fn change<T>(
    of: &Changed<T>,
    name: impl Fn(&T) -> String,
    whole: impl Fn(&T) -> String,
    differ: impl Fn(&mut Differences, [&T; 2]),
) -> String {
    let with = |one: &T, done: &str| match whole(one) {
        text if text.is_empty() => format!("{} {done}", name(one)),
        text => format!("{} {done}: {text}", name(one)),
    };
    match (&of.was, &of.now) {
        (Some(was), Some(now)) => {
            let mut differences = Differences::default();
            differ(&mut differences, [was, now]);
            differences.sentence(&name(was))
        }
        (Some(was), None) => with(was, "removed"),
        (None, Some(now)) => with(now, "added"),
        (None, None) => "nothing".to_owned(),
    }
}

/// A figure as it was typed; empty where there is none.
fn figure(value: Option<Figure>, unit: Unit) -> String {
    value.map_or_else(String::new, |f| as_typed(f, unit))
}

fn feature(drawing: &Drawing, of: &Changed<Feature>) -> String {
    let unit = drawing.unit;
    let figures = Figures::of_drawing(drawing);
    let size =
        |f: &Feature| f.size.map(|s| size_text(s, unit, figures.decimals)).unwrap_or_default();
    let direction = |f: &Feature| {
        let across = f.across.map(|a| format!("along {}", a.letter()));
        across.or_else(|| f.looks.map(|s| s.label().to_owned())).unwrap_or_default()
    };
    let refused = |f: &Feature| {
        let texts = f.not_understood.iter().map(|n| format!("{} {}", field_word(n.field), n.typed));
        texts.collect::<Vec<_>>().join(", ")
    };
    // With the decimals of the drawing, and more where a figure has more.
    let basic = |value: Option<Figure>| {
        let length = value.map(|f| f.length(unit));
        length.map(|l| figures.exact(l).plain(l)).unwrap_or_default()
    };
    let fields = |f: &Feature| {
        [
            ("X", basic(f.x)),
            ("Y", basic(f.y)),
            ("size", size(f)),
            ("position", callouts_text(f, figures)),
        ]
    };
    let whole = |f: &Feature| {
        let given = fields(f).into_iter().filter(|(_, text)| !text.is_empty());
        given.map(|(what, text)| format!("{what} {text}")).collect::<Vec<_>>().join("; ")
    };
    change(of, Feature::name, whole, |list, [was, now]| {
        list.field("number", [was.number.clone(), now.number.clone()]);
        list.field("kind", [was, now].map(|f| f.kind.word().to_owned()));
        list.field("direction", [was, now].map(direction));
        for ((what, was), (_, now)) in fields(was).into_iter().zip(fields(now)) {
            list.field(what, [was, now]);
        }
        list.field("not understood", [was, now].map(refused));
    })
}

fn datum(unit: Unit, of: &Changed<Datum>) -> String {
    let name = |d: &Datum| format!("datum {}", d.letter);
    change(of, name, carrier_text, |list, pair| {
        list.field("feature", pair.map(carrier_text));
        list.field("boundary", pair.map(|d| figure(d.boundary, unit)));
    })
}

fn relation(drawing: &Drawing, of: &Changed<Relation>) -> String {
    let text = |r: &Relation| relation_text(&r.kind, drawing);
    change(
        of,
        |r| format!("requirement {}", r.number),
        text,
        |list, pair| {
            list.field("requirement", pair.map(text));
        },
    )
}

fn zero(of: &Zero) -> String {
    match of {
        Zero::Plate => "plate".to_owned(),
        Zero::Feature(number) => number.clone(),
    }
}

fn orientation(of: &Changed<Orientation>) -> String {
    let up = |o: &Orientation| match o.up_side() {
        Some(side) => side.label().to_owned(),
        // Without the last digits that arithmetic leaves.
        None => format!("{}°", (o.up_degrees.rem_euclid(360.0) * 1e6).round() / 1e6),
    };
    let blocks = |o: &Orientation| match o.rest.blocks {
        Blocks::High(height) if height.0 == 0.0 => "none".to_owned(),
        Blocks::High(height) => height.0.to_string(),
        Blocks::Unknown(_) => "of unknown height".to_owned(),
    };
    let taken = |o: &Orientation| match o.taken {
        Taken::Touches => "low and high point",
        Taken::CentreAndSize => "centre and size",
    };
    let name = |o: &Orientation| format!("orientation {}", o.number);
    change(of, name, up, |list, pair| {
        list.field("up", pair.map(up));
        list.field("resting on", pair.map(|o| o.rest.face.clone().unwrap_or_default()));
        list.field("blocks", pair.map(blocks));
        list.field("zero", pair.map(|o| zero(&o.zero)));
        list.field("readings", pair.map(|o| taken(o).to_owned()));
        list.field("instrument", pair.map(|o| (o.instrument + 1).to_string()));
        let found =
            |o: &Orientation| if o.find_angle { "found from the readings" } else { "as stated" };
        list.field("angle", pair.map(|o| found(o).to_owned()));
    })
}

fn instrument(of: &Changed<Instrument>) -> String {
    let probe = |i: &Instrument| match i.probe {
        Probe::AppliedByGauge => "applied by the gauge".to_owned(),
        Probe::Constant(k) => as_typed(k, i.unit),
        Probe::Found => "found by trial".to_owned(),
    };
    let trial = |i: &Instrument| match i.probe_found.as_ref().map(|trial| trial.way) {
        None => String::new(),
        Some(ProbeWay::Plane) => "one plane".to_owned(),
        Some(ProbeWay::Gap(known)) => format!("gap {}", as_typed(known, i.unit)),
        Some(ProbeWay::Thickness(known)) => format!("thickness {}", as_typed(known, i.unit)),
    };
    let known = |i: &Instrument| {
        figure(i.probe_found.as_ref().and_then(|trial| trial.known_standard), i.unit)
    };
    let name = |i: &Instrument| match i.called() {
        called if called.is_empty() => "instrument".to_owned(),
        called => format!("instrument {called}"),
    };
    let growth = |i: &Instrument| i.error_growth.map(|g| g.to_string()).unwrap_or_default();
    change(
        of,
        name,
        |_| String::new(),
        |list, pair| {
            list.field("name", pair.map(|i| i.name.clone()));
            list.field("identification", pair.map(|i| i.identification.clone()));
            list.field("calibration due", pair.map(|i| i.calibration_due.clone()));
            list.field("certificate", pair.map(|i| i.certificate.clone()));
            list.field("unit", pair.map(|i| i.unit.word().to_owned()));
            list.field("resolution", pair.map(|i| as_typed(i.resolution, i.unit)));
            list.field("measuring range", pair.map(|i| figure(i.range, i.unit)));
            list.field("error limit", pair.map(|i| figure(i.error_limit, i.unit)));
            list.field("error limit per length, in millionths", pair.map(growth));
            list.field("repeatability", pair.map(|i| figure(i.repeatability, i.unit)));
            list.field("probe constant", pair.map(probe));
            list.field("its standard uncertainty", pair.map(|i| figure(i.probe_standard, i.unit)));
            list.field("trial of the probe constant", pair.map(trial));
            list.field("standard uncertainty of the known size", pair.map(known));
        },
    )
}

fn basis(unit: Unit, of: &Changed<Basis>) -> String {
    let outline = |b: &Basis| b.outline.map(|o| outline_text(o, unit)).unwrap_or_default();
    let standard = |b: &Basis| b.standard.map(|s| s.name().to_owned()).unwrap_or_default();
    let rule = |b: &Basis| match b.decision_rule.guard() {
        0.0 => "simple acceptance".to_owned(),
        multiple => format!("guarded acceptance by {multiple} U"),
    };
    let coverage = |b: &Basis| match b.coverage.is_two() {
        true => "k = 2",
        false => "by effective degrees of freedom",
    };
    change(
        of,
        |_| "drawing and plan".to_owned(),
        |_| String::new(),
        |list, pair| {
            list.field("part number", pair.map(|b| b.part_number.clone()));
            list.field("revision", pair.map(|b| b.revision.clone()));
            list.field("standard", pair.map(standard));
            list.field("outline", pair.map(outline));
            list.field("decision rule", pair.map(rule));
            list.field("coverage", pair.map(|b| coverage(b).to_owned()));
            conditions(list, unit, pair.map(|b| b.conditions));
        },
    )
}

fn outline_text(o: Outline, unit: Unit) -> String {
    let [left, right, bottom, top] = [o.left, o.right, o.bottom, o.top].map(|f| as_typed(f, unit));
    format!("X {left} to {right}, Y {bottom} to {top}")
}

fn conditions(list: &mut Differences, unit: Unit, pair: [Conditions; 2]) {
    let slope =
        |s: Slope| format!("{} over {}", as_typed(s.deviation, unit), as_typed(s.over, unit));
    let number = |value: Option<f64>| value.map(|v| v.to_string()).unwrap_or_default();
    list.field("plate flatness", pair.map(|c| figure(c.plate_flatness, unit)));
    list.field("uncertainty of the rest", pair.map(|c| figure(c.rest_standard, unit)));
    list.field("squareness limit", pair.map(|c| c.squareness.map(slope).unwrap_or_default()));
    list.field("expansion of the part, 10⁻⁶/K", pair.map(|c| number(c.part_expansion)));
    list.field("expansion of the gauge, 10⁻⁶/K", pair.map(|c| number(c.gauge_expansion)));
    list.field("temperature difference, K", pair.map(|c| number(c.temperature_limit)));
}

fn stated(unit: Unit, of: &Changed<Stated>) -> String {
    let celsius = |value: Option<f64>| value.map(|v| format!("{v} °C")).unwrap_or_default();
    let squareness = |s: &Stated| {
        let one = |s: &crate::job::Squareness| {
            let (out, over) = (as_typed(s.farther_out, unit), as_typed(s.over, unit));
            format!("orientation {} by {out} over {over}", s.orientation)
        };
        s.squareness.iter().map(one).collect::<Vec<_>>().join(", ")
    };
    change(
        of,
        |_| "this piece".to_owned(),
        |_| String::new(),
        |list, [was, now]| {
            list.field("temperature of the part", [was, now].map(|s| celsius(s.part_celsius)));
            list.field("temperature of the gauge", [was, now].map(|s| celsius(s.gauge_celsius)));
            list.field("squareness", [was, now].map(squareness));
            let mut relations: Vec<&str> =
                was.grids.iter().chain(&now.grids).map(|g| g.relation.as_str()).collect();
            relations.sort_unstable();
            relations.dedup();
            for number in relations {
                let heights = |s: &Stated| {
                    let grid = s.grids.iter().find(|g| g.relation == number);
                    let one = |p: &[Figure; 3]| p.map(|f| f.0.to_string()).join(" ");
                    grid.map(|g| g.points.iter().map(one).collect::<Vec<_>>().join(", "))
                        .unwrap_or_default()
                };
                list.field(&format!("heights for requirement {number}"), [was, now].map(heights));
            }
        },
    )
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::job::{Touch, read, record_changes, write};
    use crate::testing::notebook;

    /// The job after `edit`, with its record, and what the record says of that.
    fn after(old: &Job, edit: impl FnOnce(&mut Job)) -> (Job, Vec<String>) {
        let mut new = old.clone();
        edit(&mut new);
        record_changes(old, &mut new, "t1", "R. V.");
        let serial = new.pieces.first().map(|p| p.serial.clone()).unwrap_or_default();
        let says = document_changes(&new, &serial);
        (new, says)
    }

    fn hole(job: &mut Job, number: &str) -> usize {
        job.drawing.features.iter().position(|f| f.number == number).unwrap()
    }

    #[test]
    fn a_limit_changed_after_the_first_reading_is_recorded_and_before_it_is_not() {
        let job = notebook();
        let edit = |job: &mut Job| {
            let at = hole(job, "1");
            job.drawing.features[at].x = Some(Figure(0.7450));
        };
        let (changed, says) = after(&job, edit);
        assert_eq!(says, ["hole 1: X was .7500, now .7450; t1 UTC, R. V."]);
        assert_eq!(read(&write(&changed)).unwrap(), changed);
        let mut unread = job;
        for piece in &mut unread.pieces {
            piece.readings.clear();
            piece.zero_checks.clear();
            piece.sweeps.clear();
        }
        assert_eq!(after(&unread, edit).1, Vec::<String>::new());
    }

    #[test]
    fn a_step_back_is_a_change_of_its_own_and_loses_no_entry() {
        let job = notebook();
        let (changed, _) = after(&job, |job| {
            let at = hole(job, "1");
            job.drawing.features[at].x = Some(Figure(0.7450));
        });
        let (back, says) = after(&changed, |now| *now = job.clone());
        assert_eq!(back.drawing, job.drawing);
        assert_eq!(says.len(), 2);
        assert!(says[1].starts_with("hole 1: X was .7450, now .7500;"), "{says:?}");
    }

    #[test]
    fn what_is_filled_in_is_no_change_and_what_is_taken_away_is() {
        let mut job = notebook();
        job.plan.instruments[0].certificate.clear();
        job.drawing.revision.clear();
        let (filled, says) = after(&job, |job| {
            "C-17".clone_into(&mut job.plan.instruments[0].certificate);
            "B".clone_into(&mut job.drawing.revision);
            job.pieces[0].part_celsius = Some(23.0);
            job.pieces[0].gauge_celsius = Some(20.0);
        });
        assert_eq!(says, Vec::<String>::new());
        let (_, says) = after(&filled, |job| {
            "C".clone_into(&mut job.drawing.revision);
            job.pieces[0].part_celsius = Some(20.0);
        });
        assert_eq!(
            says,
            [
                "drawing and plan: revision was B, now C; t1 UTC, R. V.",
                "this piece: temperature of the part was 23 °C, now 20 °C; t1 UTC, R. V.",
            ]
        );
    }

    #[test]
    fn an_orientation_and_an_instrument_that_were_used_are_recorded() {
        let job = notebook();
        let (_, says) = after(&job, |job| job.plan.orientations[1].up_degrees += 180.0);
        assert_eq!(says.len(), 1);
        assert!(says[0].starts_with("orientation 2: up was "), "{says:?}");
        let (_, says) = after(&job, |job| {
            job.plan.instruments[0].probe = Probe::Constant(Figure(0.125));
        });
        assert_eq!(says.len(), 1);
        assert!(
            says[0].contains("probe constant was ") && says[0].contains(", now .125"),
            "{says:?}"
        );
    }

    #[test]
    fn a_feature_that_is_renumbered_takes_what_refers_to_it_along_and_is_one_entry() {
        let job = notebook();
        let (_, says) = after(&job, |job| {
            let at = job.drawing.datums.iter().find_map(|d| d.feature.clone()).unwrap();
            let at = hole(job, &at);
            job.renumber(at, "Z9");
        });
        assert_eq!(says.len(), 1, "{says:?}");
        assert!(says[0].contains("number was ") && says[0].contains("now Z9"), "{says:?}");
    }

    #[test]
    fn a_feature_that_is_removed_is_recorded_with_what_was_asked_and_so_is_one_that_comes_back() {
        let job = notebook();
        let (gone, says) = after(&job, |job| {
            let at = hole(job, "1");
            job.drawing.features.remove(at);
        });
        assert_eq!(says.len(), 1);
        assert!(says[0].starts_with("hole 1 removed: X .7500; Y "), "{says:?}");
        let (_, says) = after(&gone, |now| *now = job.clone());
        assert!(says[1].starts_with("hole 1 added: X .7500; Y "), "{says:?}");
    }

    #[test]
    fn another_unit_is_one_entry_and_says_whether_the_figures_were_converted() {
        let job = notebook();
        let (metric, says) = after(&job, |job| job.convert_unit(Unit::Mm));
        assert_eq!(says, ["drawing: unit was inch, now mm, figures converted; t1 UTC, R. V."]);
        let (_, says) = after(&job, |job| job.declare_unit(Unit::Mm));
        assert_eq!(says, ["drawing: unit was inch, now mm, figures kept as typed; t1 UTC, R. V."]);
        // What was changed before keeps the figures of its time.
        let (changed, _) = after(&job, |job| {
            let at = hole(job, "1");
            job.drawing.features[at].x = Some(Figure(0.7450));
        });
        let (_, says) = after(&changed, |job| job.convert_unit(Unit::Mm));
        assert!(says[0].contains("X was .7500, now .7450"), "{says:?}");
        assert_eq!(metric.document_record.len(), 1);
    }

    #[test]
    fn readings_alone_leave_no_entry() {
        let job = notebook();
        let (_, says) = after(&job, |job| {
            job.pieces[0].set_values(1, "1", Touch::Low, vec![Figure(0.5)]);
            job.pieces[0].serial = "0007".to_owned();
        });
        assert_eq!(says, Vec::<String>::new());
    }
}
