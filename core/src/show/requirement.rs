//! What the drawing asks for, in a line of text.

use super::Figures;
use crate::callout::{PositionFinding, Segment, Zone};
use crate::findings::FeatureFinding;
use crate::job::{
    Boundary, Datum, DatumRef, Drawing, Feature, Limits, Modifier, PatternKind, Position, Standard,
    Together,
};
use crate::quantity::Figure;

/// `hole 4`, `slot 7`; a face by its letter alone: `face C`.
#[must_use]
pub fn feature_name(feature: &Feature) -> String {
    feature.name()
}

/// What carries a datum letter: `7`, `centre of the circle through 1, 2, 3`, `best fit of 1, 2`;
/// empty where nothing does.
#[must_use]
pub fn datum_words(datum: &Datum) -> String {
    let Some(pattern) = &datum.pattern else { return datum.feature.clone().unwrap_or_default() };
    let of = match pattern.kind {
        PatternKind::Circle => "centre of the circle through",
        PatternKind::BestFit => "best fit of",
    };
    format!("{of} {}", pattern.features.join(", "))
}

/// Limits as two figures: `.3750 – .3780`.
#[must_use]
pub fn limits_text(limits: Limits, figures: Figures) -> String {
    let f = figures.exact(limits.lower).exact(limits.upper);
    format!("{} – {}", f.plain(limits.lower), f.plain(limits.upper))
}

/// The first position callout in a line: `position ⌀ .0100 MMC | A | B | C`; empty without one.
#[must_use]
pub fn requirement(feature: &Feature, drawing: &Drawing) -> String {
    segment_text(feature, Segment::default(), drawing)
}

/// One segment of a position callout in a line: `position ⌀ .0100 MMC | A | B(M) | C(M)`,
/// `lower segment ⌀ .0050 | A`; empty where there is no such segment. What is judged together is
/// marked as the drawing's standard has it: `position ⌀ 0.10 CZ | A | B`,
/// `position ⌀ .0100 | A | B SEP REQT`.
#[must_use]
pub fn segment_text(feature: &Feature, segment: Segment, drawing: &Drawing) -> String {
    let Some(p) = feature.positions().nth(segment.callout) else { return String::new() };
    let lower = match segment.number.checked_sub(1) {
        None => None,
        Some(n) => match p.lower.get(n) {
            None => return String::new(),
            lower => lower,
        },
    };
    let (tolerance, datums, together) = lower
        .map_or((p.tolerance, &p.datums, p.together), |l| (l.tolerance, &l.datums, l.together));
    let tolerance = tolerance.length(drawing.unit);
    let f = Figures::of_drawing(drawing).exact(tolerance);
    let round = feature.kind.is_round() && p.along.is_none();
    let what = if lower.is_some() { "lower segment" } else { "position" };
    let mut text = format!("{what} {}{}", if round { "⌀ " } else { "" }, f.plain(tolerance));
    if p.modifier != Modifier::None {
        text.push(' ');
        text.push_str(p.modifier.word());
    }
    if let Some(axis) = p.along {
        text.push_str(&format!(" along {}", axis.letter()));
    }
    let zone = zone_mark(together, drawing.standard());
    let beside = mark_beside(together, drawing.standard());
    text.push_str(&zone.map_or_else(String::new, |mark| format!(" {mark}")));
    with_datums(&mut text, datums);
    text.push_str(&beside.map_or_else(String::new, |mark| format!(" {mark}")));
    text
}

/// Which segment of its callouts a position is: `lower segment`, `second callout`, `along X`;
/// empty for a feature with one segment only.
#[must_use]
pub fn segment_name(finding: &FeatureFinding, position: &PositionFinding) -> String {
    let (mut callouts, mut lowers) = (0, 0);
    for p in finding.positions() {
        callouts = callouts.max(p.segment.callout + 1);
        if p.segment.callout == position.segment.callout {
            lowers = lowers.max(p.segment.number);
        }
    }
    let ordinal = ["first", "second", "third", "fourth"].get(position.segment.callout);
    let callout = ordinal.map_or_else(
        || format!("callout {}", position.segment.callout + 1),
        |word| format!("{word} callout"),
    );
    let segment = match (position.segment.number, lowers) {
        (_, 0) => String::new(),
        (0, _) => "upper segment".to_owned(),
        (_, 1) => "lower segment".to_owned(),
        (n, _) => format!("lower segment {n}"),
    };
    match (callouts > 1, position.zone) {
        (false, _) => segment,
        (true, Zone::Planes(axis)) if finding.kind.is_round() && segment.is_empty() => {
            format!("along {}", axis.letter())
        }
        (true, _) if segment.is_empty() => callout,
        (true, _) => format!("{segment} of the {callout}"),
    }
}

/// What stands behind the tolerance about the zones of the callout.
const fn zone_mark(together: Together, standard: Standard) -> Option<&'static str> {
    match together {
        Together::Combined => Some("CZ"),
        Together::Separate if !standard.is_asme() => Some("SZ"),
        Together::Default | Together::Separate | Together::Simultaneous(_) => None,
    }
}

/// What stands beside the frame about other callouts.
fn mark_beside(together: Together, standard: Standard) -> Option<String> {
    match together {
        Together::Separate if standard.is_asme() => Some("SEP REQT".to_owned()),
        Together::Simultaneous(number) => {
            let word = if standard.is_asme() { "SIM REQT" } else { "SIM" };
            Some(number.map_or_else(|| word.to_owned(), |n| format!("{word} {n}")))
        }
        Together::Default | Together::Separate | Together::Combined => None,
    }
}

/// Datums as they are typed: `A | B(M) | C`. A single one of several letters stands before a bar,
/// since letters without one are read as a datum each.
#[must_use]
pub fn datums_text(datums: &[DatumRef]) -> String {
    let texts: Vec<String> = datums.iter().map(ToString::to_string).collect();
    let text = texts.join(" | ");
    match datums {
        [one] if one.letter.chars().count() > 1 => format!("{text} |"),
        _ => text,
    }
}

fn with_datums(text: &mut String, datums: &[DatumRef]) {
    if !datums.is_empty() {
        text.push_str(" | ");
        text.push_str(&datums_text(datums));
    }
}

fn with_mark(text: &mut String, together: Together) {
    if !together.is_default() {
        text.push_str(&format!(" {together}"));
    }
}

/// All callouts of a feature in the form in which they are typed
/// ([`crate::entry::callouts`]): `0.2 M | A | B | C / 0.05 | A`.
#[must_use]
pub fn callouts_text(feature: &Feature, figures: Figures) -> String {
    let figure = |tolerance: Figure| {
        let length = tolerance.length(figures.unit);
        figures.exact(length).plain(length)
    };
    let one = |p: &Position| {
        let mut text = figure(p.tolerance);
        match p.modifier {
            Modifier::None => {}
            Modifier::Mmc => text.push_str(" M"),
            Modifier::Lmc => text.push_str(" L"),
        }
        if let Some(axis) = p.along {
            text.push_str(&format!(" along {}", axis.letter().to_lowercase()));
        }
        with_mark(&mut text, p.together);
        if !p.pattern.is_empty() {
            text.push_str(&format!(" pattern {}", p.pattern));
        }
        with_datums(&mut text, &p.datums);
        for lower in &p.lower {
            text.push_str(" / ");
            text.push_str(&figure(lower.tolerance));
            with_mark(&mut text, lower.together);
            with_datums(&mut text, &lower.datums);
        }
        text
    };
    feature.positions().map(one).collect::<Vec<_>>().join(" ; ")
}

/// How each datum regardless of its size stands behind one at its boundary, in words: the drawing may be
/// read in two ways there. One sentence for each pair of datums.
#[must_use]
pub fn datums_behind_a_boundary(drawing: &Drawing) -> Vec<String> {
    let standard = drawing.standard();
    let mut said: Vec<String> = Vec::new();
    let lists = drawing.features.iter().flat_map(Feature::positions).flat_map(|callout| {
        std::iter::once(&callout.datums).chain(callout.lower.iter().map(|s| &s.datums))
    });
    for datums in lists {
        for (i, datum) in datums.iter().enumerate() {
            let before = datums.iter().take(i).find(|d| d.boundary != Boundary::Regardless);
            let Some(before) = before.filter(|_| datum.boundary == Boundary::Regardless) else {
                continue;
            };
            let how = match (standard.stands_at_basic(datum), datum.translation) {
                (true, _) => "stands at its basic place from it",
                (false, true) => "may move along the line from it: translation modifier",
                (false, false) => "is bound in its orientation only",
            };
            let (behind, first) = (&datum.letter, &before.letter);
            let one = format!(
                "Datum {behind} behind {first} at its boundary {how} ({}).",
                standard.name()
            );
            if !said.contains(&one) {
                said.push(one);
            }
        }
    }
    said
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::entry::callouts;
    use crate::job::Standard;
    use crate::quantity::Unit;

    fn hole(text: &str) -> Feature {
        Feature { callouts: callouts(text, Unit::Mm).unwrap(), ..Feature::default() }
    }

    fn drawing(standard: Standard) -> Drawing {
        Drawing { decimals: 2, standard: Some(standard), ..Drawing::default() }
    }

    #[test]
    fn a_callout_is_shown_as_it_can_be_typed_again() {
        for text in [
            "0.10 M | A | B(M) | C(M)▷",
            "0.10 SEP REQT | A | B | C▷",
            "0.10 M CZ | A | B / 0.05 CZ | A / 0.02 SIM | A",
            "0.10 along x SIM 2 pattern P1 | A | B | C ; 0.20 along y | A | B | C",
        ] {
            let feature = hole(text);
            let shown = callouts_text(&feature, Figures::new(Unit::Mm, 2));
            assert_eq!(shown, text);
            assert_eq!(hole(&shown), feature, "{text}");
        }
    }

    #[test]
    fn what_is_judged_together_is_marked_as_the_standard_has_it() {
        for (typed, asme, iso) in [
            ("0.1 | A", "position ⌀ 0.10 | A", "position ⌀ 0.10 | A"),
            ("0.1 CZ | A", "position ⌀ 0.10 CZ | A", "position ⌀ 0.10 CZ | A"),
            ("0.1 SEP REQT | A", "position ⌀ 0.10 | A SEP REQT", "position ⌀ 0.10 SZ | A"),
            ("0.1 SIM | A", "position ⌀ 0.10 | A SIM REQT", "position ⌀ 0.10 | A SIM"),
            ("0.1 SIM 2 | A", "position ⌀ 0.10 | A SIM REQT 2", "position ⌀ 0.10 | A SIM 2"),
            ("0.1 | A | C▷", "position ⌀ 0.10 | A | C▷", "position ⌀ 0.10 | A | C▷"),
        ] {
            let feature = hole(typed);
            assert_eq!(requirement(&feature, &drawing(Standard::Asme2018)), asme);
            assert_eq!(requirement(&feature, &drawing(Standard::IsoGps)), iso);
        }
        let composite = hole("0.2 | A | B / 0.05 SIM | A");
        let lower = Segment { callout: 0, number: 1 };
        assert_eq!(
            segment_text(&composite, lower, &drawing(Standard::Asme2018)),
            "lower segment ⌀ 0.05 | A SIM REQT"
        );
    }

    #[test]
    fn how_a_datum_stands_behind_one_at_its_boundary_is_said() {
        let said = |text: &str, standard| {
            let features = vec![hole(text)];
            datums_behind_a_boundary(&Drawing { features, ..drawing(standard) })
        };
        let basic = "Datum C behind B at its boundary stands at its basic place from it (ASME \
                     Y14.5-2018).";
        assert_eq!(said("0.1 | A | B(M) | C", Standard::Asme2018), [basic]);
        let [free] = &said("0.1 | A | B(M) | C>", Standard::Asme2018)[..] else { panic!("one") };
        assert!(free.contains("translation modifier"), "{free}");
        let [iso] = &said("0.1 | A | B(M) | C", Standard::IsoGps)[..] else { panic!("one") };
        assert!(iso.contains("in its orientation only"), "{iso}");
        assert!(said("0.1 | A | B | C(M)", Standard::Asme2018).is_empty());
    }
}
