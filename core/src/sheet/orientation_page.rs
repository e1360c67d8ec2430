//! One orientation: the part as it stands, and every raw reading as it was taken.

use super::applied::{applied, zero_name};
use super::paper::{Paper, size};
use super::table::{Align, Cell, Head, Table};
use crate::bench::{Mean, Setup, probe_constant, reduce};
use crate::findings::{PieceFinding, Planned};
use crate::job::{Job, Orientation, Piece, Probe, Reading, Taken, Touch};
use crate::mark::{Group, Ink, Tag};
use crate::picture::{StandingOptions, standing, stands_in_words, zero_words};
use crate::quantity::Length;
use crate::show::{Figures, SweepText, feature_name, sweeps};

/// Width and height of the picture.
const PICTURE: (f64, f64) = (82.0, 60.0);

/// How the part stands, in a sentence: what is up, on what it rests, what reads zero, with
/// which gauge.
pub(super) fn set_up(job: &Job, orientation: &Orientation) -> String {
    let f = Figures::of_readings(job, orientation);
    let gauge = job.instrument(orientation).map_or_else(String::new, |i| {
        let mut text = format!("instrument {}: {}", orientation.instrument + 1, i.name);
        if !i.identification.is_empty() {
            text.push_str(&format!(" {}", i.identification));
        }
        let resolution = i.resolution.length(i.unit);
        text.push_str(&format!(
            ", reading to {}",
            Figures::new(i.unit, f.decimals).plain(resolution)
        ));
        if let Some(e) = i.error_limit {
            let e = e.length(i.unit);
            text.push_str(&format!(
                ", error limit ±{}",
                Figures::new(i.unit, f.decimals).exact(e).plain(e)
            ));
        }
        text.push_str(&match i.probe {
            Probe::AppliedByGauge => ", probe constant applied by the gauge".to_owned(),
            Probe::Constant(k) => {
                let k = k.length(i.unit);
                format!(", probe constant {} applied here", f.exact(k).plain(k))
            }
            Probe::Found => match probe_constant(i) {
                Some(k) => {
                    let k = f.finer(1).plain(k);
                    format!(", probe constant {k} found by trial and applied here")
                }
                None => ", probe constant not found yet".to_owned(),
            },
        });
        text
    });
    let mut text =
        format!("{}; zero: {}", stands_in_words(job, orientation), zero_words(job, orientation));
    if !gauge.is_empty() {
        text.push_str("; ");
        text.push_str(&gauge);
    }
    format!("{text}. Readings in {}.", f.unit.word())
}

pub(super) fn put(paper: &mut Paper<'_>, planned: &Planned, piece: &Piece, finding: &PieceFinding) {
    let job = paper.job;
    let Some(orientation) = job.orientation(planned.number) else { return };
    let heading = format!("Orientation {}: readings as taken", planned.number);
    let table = table(job, planned, orientation, piece, finding);
    let options = StandingOptions {
        width: PICTURE.0,
        height: PICTURE.1,
        text: size::TEXT,
        ..StandingOptions::default()
    };
    paper.section(&heading, PICTURE.1 + 2.0);
    let (page, picture) = (paper.count(), paper.y);
    paper.put_at(
        paper.left(),
        picture,
        vec![Group::new(Tag::new("standing"), standing(job, orientation, &options)).into()],
    );
    let x = paper.left() + PICTURE.0 + 5.0;
    let room = paper.right() - x;
    if !table.is_empty() {
        table.put(paper, x, room);
    }
    let f = Figures::of_readings(job, orientation);
    let here = |paper: &Paper<'_>| if paper.count() == page { x } else { paper.left() };
    if let Some(table) = swept(f, &sweeps(job, piece, orientation)) {
        paper.y += 3.5;
        paper.make_room(table.first(room));
        let x = here(paper);
        table.put(paper, x, room);
    }
    let applied: Vec<String> = applied(job, orientation, piece, finding).into_iter().collect();
    for text in [set_up(job, orientation), applied.join(" ")] {
        paper.make_room(paper.height_of(&text, room));
        let x = here(paper);
        paper.y = paper.paragraph(x, paper.y, room, &text, Ink::Ink) - 0.4;
    }
    if paper.count() == page {
        paper.y = paper.y.max(picture + PICTURE.1 + 1.0);
    }
}

/// The sweeps of an orientation, where there are any.
fn swept(f: Figures, list: &[SweepText]) -> Option<Table> {
    if list.is_empty() {
        return None;
    }
    let mut table = Table::new(vec![
        Head::new("swept with\nthe indicator", Align::Left),
        Head::new(format!("lowest read\n{}", f.unit.word()), Align::Decimal),
        Head::new(format!("highest read\n{}", f.unit.word()), Align::Decimal),
        Head::new("TIR: highest\nless lowest", Align::Decimal),
        Head::new("u of it\nk = 1", Align::Decimal),
        Head::new("", Align::Left),
    ]);
    for sweep in list {
        table.row(vec![
            sweep.feature.as_str().into(),
            sweep.lowest.as_str().into(),
            sweep.highest.as_str().into(),
            sweep.tir.as_str().into(),
            sweep.standard.as_deref().unwrap_or("not known").into(),
            if sweep.looks_up { "" } else { "does not look up" }.into(),
        ]);
    }
    Some(table)
}

/// The readings of an orientation, feature by feature.
fn table(
    job: &Job,
    planned: &Planned,
    orientation: &Orientation,
    piece: &Piece,
    finding: &PieceFinding,
) -> Table {
    let f = Figures::of_readings(job, orientation);
    let (first, second) = match orientation.taken {
        Taken::Touches => ("lowest point", "highest point"),
        Taken::CentreAndSize => ("centre", "size"),
    };
    let axis = orientation.up().square_axis().map_or("along up", |a| a.letter());
    let (read, unit) = (f.unit.word(), job.drawing.unit.word());
    let mut table = Table::new(vec![
        Head::new("feature", Align::Left),
        Head::new(format!("{first}\nread, {read}"), Align::Decimal),
        Head::new(format!("{second}\nread, {read}"), Align::Decimal),
        Head::new("spread\n(n)", Align::Right),
        Head::new(format!("size\n{unit}"), Align::Decimal),
        // Where it stands alone, before the orientations are adjusted together.
        Head::new(format!("{axis} as read\n{unit}"), Align::Decimal),
        Head::new("", Align::Left),
    ]);
    for row in rows(job, planned, orientation, piece, finding) {
        table.row(vec![
            row.name.into(),
            Cell::lines(row.first),
            Cell::lines(row.second),
            row.spread.into(),
            row.size.into(),
            row.along.into(),
            row.remark.into(),
        ]);
    }
    table
}

/// One feature's readings.
struct Row {
    name: String,
    first: Vec<String>,
    second: Vec<String>,
    spread: String,
    size: String,
    along: String,
    remark: String,
}

fn rows(
    job: &Job,
    planned: &Planned,
    orientation: &Orientation,
    piece: &Piece,
    finding: &PieceFinding,
) -> Vec<Row> {
    let f = Figures::of_readings(job, orientation);
    let results = Figures::of_results(&job.drawing).finer(1);
    let by_feature: std::collections::HashMap<&str, &Reading> = piece
        .readings
        .iter()
        .filter(|r| r.orientation == orientation.number)
        .map(|r| (r.feature.as_str(), r))
        .collect();
    let mut rows = Vec::new();
    let mut last = usize::MAX;
    for e in &planned.expected {
        if e.feature == last {
            continue;
        }
        last = e.feature;
        let Some(feature) = job.drawing.features.get(e.feature) else { continue };
        let reading = by_feature.get(feature.number.as_str()).copied();
        let values = |touches: &[Touch]| -> Vec<String> {
            touches
                .iter()
                .flat_map(|t| reading.map_or(&[][..], |r| r.values(*t)))
                .map(|v| {
                    let length = v.length(f.unit);
                    f.exact(length).signed(length)
                })
                .collect()
        };
        // A reading with a zero of its own counts from that.
        let other = reading.and_then(|r| r.own_zero(orientation));
        let setup = match other {
            Some(zero) => Setup::with_zero(job, orientation, zero).ok(),
            None => planned.setup,
        };
        let mut reduced =
            reading.zip(setup).map(|(r, s)| reduce(feature, &s, r)).unwrap_or_default();
        let complete = reduced.along.is_some();
        if setup.is_some_and(|s| !s.base_is_known) {
            // A height over blocks that nobody knows is no coordinate.
            reduced.along = None;
        }
        let spread = reading.map(|r| spread(r, f)).unwrap_or_default();
        let asked = finding
            .questions
            .iter()
            .any(|q| q.orientation == orientation.number && q.feature == e.feature);
        let fit = misfit(finding, orientation, e.feature, results);
        let from = other.map(|z| format!("from {}", zero_name(z)));
        rows.push(Row {
            name: feature_name(feature),
            first: values(&[Touch::Low, Touch::Centre, Touch::Face]),
            second: values(&[Touch::High, Touch::Size]),
            spread,
            size: judged(finding, e.feature, orientation)
                .map(|s| results.plain(s))
                .unwrap_or_default(),
            along: reduced.along.map(|a| along(orientation, a, results)).unwrap_or_default(),
            remark: match (asked, complete) {
                (true, _) => "in question".to_owned(),
                (false, false) => "not measured".to_owned(),
                (false, true) => [from, fit].into_iter().flatten().collect::<Vec<_>>().join(", "),
            },
        });
    }
    rows
}

/// The size of a feature in an orientation as it is judged: everything applied to it.
fn judged(finding: &PieceFinding, feature: usize, orientation: &Orientation) -> Option<Length> {
    let seen = &finding.features.get(feature)?.size.seen;
    seen.iter().find(|s| s.orientation == orientation.number).map(|s| s.size)
}

/// How the height fits those of the other orientations, where any checks it: its residual, and
/// that in its own standard deviations.
fn misfit(
    finding: &PieceFinding,
    orientation: &Orientation,
    feature: usize,
    f: Figures,
) -> Option<String> {
    let m = &finding.measurement;
    if m.degrees == 0 {
        return None;
    }
    let found =
        m.residuals.iter().find(|x| x.orientation == orientation.number && x.feature == feature)?;
    let w = found.normalised.filter(|_| m.probability.is_some())?;
    Some(format!("residual {}, {:.1} standard deviations", f.signed(found.residual), w.abs()))
}

/// The coordinate with the sign of the axis: along −X up, a coordinate along up of −3 is x = 3.
fn along(orientation: &Orientation, along: Length, f: Figures) -> String {
    let sign = orientation.up_side().map_or(1.0, crate::quantity::Side::sign);
    f.plain(along * sign)
}

/// Sample standard deviation of the touch that scatters most, and the number of repeats.
fn spread(reading: &Reading, f: Figures) -> String {
    Touch::ALL
        .iter()
        .filter_map(|t| Mean::of(reading.values(*t), f.unit))
        .filter_map(|m| Some((m.deviation?, m.n)))
        .max_by(|a, b| a.0.to_mm().total_cmp(&b.0.to_mm()))
        .map(|(s, n)| format!("s {} ({n})", f.finer(1).plain(s)))
        .unwrap_or_default()
}
