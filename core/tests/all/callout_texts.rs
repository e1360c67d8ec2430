//! Whatever the program prints of a callout can be typed, and says the same.

use proptest::prelude::*;
use quarterturn_core::callout::Segment as Place;
use quarterturn_core::entry::callouts;
use quarterturn_core::job::{
    Boundary, Callout, DatumRef, Drawing, Feature, Kind, Modifier, Position, Segment, Standard,
    Together,
};
use quarterturn_core::quantity::{Axis, Figure, Unit};
use quarterturn_core::show::{Figures, callouts_text, datums_text, segment_text};
use std::num::NonZeroU8;

/// A tolerance with as many decimals as a drawing writes.
fn tolerance() -> impl Strategy<Value = Figure> {
    (0u32..30_000).prop_map(|n| Figure(f64::from(n) / 1e4))
}

fn datums() -> impl Strategy<Value = Vec<DatumRef>> {
    let bounds =
        prop::sample::select(vec![Boundary::Regardless, Boundary::Maximum, Boundary::Least]);
    let one = ("[A-Z]{1,2}", bounds, any::<bool>())
        .prop_map(|(letter, boundary, translation)| DatumRef { letter, boundary, translation });
    prop::collection::vec(one, 0..=3).prop_filter("each letter once", |list| {
        (1..list.len()).all(|i| list[..i].iter().all(|d| d.letter != list[i].letter))
    })
}

fn mark() -> impl Strategy<Value = Together> {
    prop_oneof![
        3 => Just(Together::Default),
        1 => Just(Together::Separate),
        1 => Just(Together::Combined),
        1 => (0u8..=255).prop_map(|n| Together::Simultaneous(NonZeroU8::new(n))),
    ]
}

fn position() -> impl Strategy<Value = Position> {
    let lower = (tolerance(), datums(), mark()).prop_map(|(tolerance, datums, together)| Segment {
        tolerance,
        datums,
        together,
    });
    (
        (tolerance(), prop::sample::select(Modifier::ALL.to_vec()), datums(), mark()),
        prop::option::of(prop_oneof![Just(Axis::X), Just(Axis::Y)]),
        prop::collection::vec(lower, 0..3),
        prop_oneof![3 => Just(String::new()), 1 => "[A-Z][0-9]"],
    )
        .prop_map(|((tolerance, modifier, datums, together), along, lower, pattern)| {
            Position { tolerance, along, modifier, datums, lower, pattern, together }
        })
}

fn feature() -> impl Strategy<Value = Feature> {
    let all = prop::collection::vec(position().prop_map(Callout::Position), 1..4);
    (all, prop::sample::select(vec![Kind::Hole, Kind::Slot])).prop_map(|(callouts, kind)| Feature {
        callouts,
        kind,
        ..Feature::default()
    })
}

/// The ways in which a text of this program is typed again by hand.
fn by_hand(text: &str) -> Vec<String> {
    vec![
        text.replace("(M)", "Ⓜ").replace("(L)", "Ⓛ"),
        format!("4X {text}"),
        format!("⌖ ⌀{text}"),
        format!("4X |⌖|⌀{text}"),
        text.replace(" | ", "\t"),
        text.replace(" | ", "|"),
        text.replace('▷', ">"),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    /// In the form of the table, which holds everything.
    #[test]
    fn what_the_table_shows_is_read_back(
        feature in feature(),
        inch in any::<bool>(),
        decimals in 0usize..5,
    ) {
        let unit = if inch { Unit::Inch } else { Unit::Mm };
        let text = callouts_text(&feature, Figures::new(unit, decimals));
        prop_assert_eq!(callouts(&text, unit).map_err(|e| e.0), Ok(feature.callouts.clone()), "{}", &text);
        for typed in by_hand(&text) {
            let read = callouts(&typed, unit).map_err(|e| e.0);
            prop_assert_eq!(read, Ok(feature.callouts.clone()), "{}", &typed);
        }
    }

    /// In the form of findings and sheet, segment by segment: composite segments below each other,
    /// callouts one after the other. The word that tells patterns apart is not printed there.
    #[test]
    fn what_findings_and_sheet_print_is_read_back(
        feature in feature(),
        inch in any::<bool>(),
        iso in any::<bool>(),
    ) {
        let unit = if inch { Unit::Inch } else { Unit::Mm };
        let standard = Some(if iso { Standard::IsoGps } else { Standard::Asme2018 });
        let drawing = Drawing { unit, decimals: 3, standard, ..Drawing::default() };
        let mut wanted = feature.clone();
        for Callout::Position(p) in &mut wanted.callouts {
            p.pattern.clear();
        }
        for between in [" / ", " ; "] {
            let texts: Vec<String> = feature
                .positions()
                .enumerate()
                .map(|(callout, p)| {
                    let segments: Vec<String> = (0..=p.lower.len())
                        .map(|number| segment_text(&feature, Place { callout, number }, &drawing))
                        .collect();
                    segments.join(between)
                })
                .collect();
            let text = texts.join(" ; ");
            let read = callouts(&text, unit).map_err(|e| e.0);
            prop_assert_eq!(read, Ok(wanted.callouts.clone()), "{}", &text);
        }
    }

    /// Without bars, where each datum is one letter and neither M nor L.
    #[test]
    fn bars_may_be_left_out(
        tolerance in tolerance(),
        modifier in prop::sample::select(Modifier::ALL.to_vec()),
        letters in prop::sample::subsequence(vec!["A", "B", "C", "D", "X", "Z"], 1..=3),
    ) {
        let datums = DatumRef::all(&letters);
        let wanted = Position { tolerance, modifier, datums, ..Position::default() };
        let feature =
            Feature { callouts: vec![Callout::Position(wanted)], ..Feature::default() };
        let text = callouts_text(&feature, Figures::new(Unit::Mm, 2)).replace(" |", "");
        let read = callouts(&text, Unit::Mm).map_err(|e| e.0);
        prop_assert_eq!(read, Ok(feature.callouts), "{}", &text);
    }

    /// The column of datums.
    #[test]
    fn lists_of_datums_are_read_back(list in datums()) {
        let text = datums_text(&list);
        prop_assert_eq!(quarterturn_core::entry::datums(&text).map_err(|e| e.0), Ok(list), "{}", text);
    }
}

#[test]
fn callouts_as_people_write_them() {
    let wanted = callouts("0.1 M | A | B | C", Unit::Mm).unwrap();
    for text in [
        "0.1 M A B C",
        "0.1M A B C",
        "⌀0.1 Ⓜ A B C",
        "⌖ ⌀0.1 (M) A B C",
        "4X ⌖|⌀0.1 Ⓜ|A|B|C|",
        "4x ⌀ 0,1 MMC | A | B | C",
        "position Ø0.1 mm (M) | A | B | C",
        "4 X POSITION dia 0.1 M | A | B | C",
        "⌖\t⌀0.1 Ⓜ\tA\tB\tC",
        "0.1 ⓜ A, B, C",
    ] {
        assert_eq!(callouts(text, Unit::Mm).as_ref(), Ok(&wanted), "{text}");
    }
    let shifted = callouts("0.1 M | A | B(M) | C(L)", Unit::Mm).unwrap();
    for text in ["0.1 Ⓜ A BⓂ C Ⓛ", "0.1 M | A | B M | C L", "0.1 M A B(M) C (L)"] {
        assert_eq!(callouts(text, Unit::Mm).as_ref(), Ok(&shifted), "{text}");
    }
}

#[test]
fn what_could_mean_two_things_is_refused_with_the_reason() {
    for (text, reason) in [
        ("0.1 | A-B | C", "common datum"),
        ("0.1 M A-B C", "common datum"),
        ("0.1 | A – B", "common datum"),
        ("0.1 A M B", "A(M)"),
        ("0.1 M L A", "between bars"),
        ("0.1 max", "stand apart"),
        ("0.1 MABC", "stand apart"),
        ("0.1 (P) A", "no place"),
        ("1/64 M | A", "fraction"),
    ] {
        let why = callouts(text, Unit::Mm).expect_err(text).0;
        assert!(why.contains(reason), "{text}: {why}");
    }
    let inch = callouts("1/64 M | A", Unit::Inch).unwrap();
    assert_eq!(inch, callouts(".015625 M | A", Unit::Inch).unwrap());
    for (unit, example) in [(Unit::Inch, ".010 M"), (Unit::Mm, "0.1 M")] {
        let why = callouts("M | A", unit).unwrap_err().0;
        assert!(why.contains(example), "{why}");
    }
}
