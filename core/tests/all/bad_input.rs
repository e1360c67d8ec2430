//! Nothing that can be opened, typed or pasted makes the program panic, and what is refused is
//! refused with its place and a sentence.

use crate::common;
use crate::common::cases;
use crate::simulate::random_part::{any_part, any_stand};
use proptest::prelude::*;
use quarterturn_core::entry;
use quarterturn_core::evaluate;
use quarterturn_core::findings::Ready;
use quarterturn_core::job::{
    Along, BOUNDS, Blocks, Callout, Changed, Conditions, Correction, Coverage, Datum, DatumPattern,
    DatumRef, DecisionRule, DocumentChange, DocumentEntry, Drawing, DrawingPlace, DrawingText,
    FORMAT, Feature, FeatureField, Grid, Instrument, Job, Kind, Material, Modifier, Observed,
    Orientation, Outline, Paper, PatternKind, Piece, PieceChange, PieceEntry, Plan, Position,
    Probe, ProbeTrial, ProbeWay, ReadError, Reading, Relation, RelationKind, RelationLimits, Rest,
    Segment, Shipment, SizeLimits, Slope, Squareness, Standard, Sweep, Taken, Together, Touch,
    VERSION, Zero, ZeroCheck, match_pieces, read, record_changes, write, write_compact,
};
use quarterturn_core::mark::{Mark, Moment, Page, Path, Point, Step, pdf, svg};
use quarterturn_core::picture::{PatternOptions, StandingOptions, gauge, pattern, standing, zone};
use quarterturn_core::quantity::{Axis, Figure, Side, Unit};
use quarterturn_core::relation::{
    BoltCircle, Coaxiality, Distance, Flatness, Parallelism, Perpendicularity, PolarPosition, Wall,
};
use quarterturn_core::sheet::{Extent, Which, about, blank, sheet};
use quarterturn_core::show;
use serde_json::{Value, json};
use std::num::NonZeroU8;

// ---- What is refused -----------------------------------------------------------------------

/// A refusal says where, what and what to do.
fn is_said_well(e: &ReadError) -> Result<(), TestCaseError> {
    let known = [
        "format",
        "version",
        "demo",
        "drawing",
        "plan",
        "shipment",
        "pieces",
        "record",
        "piece_record",
        "document_record",
        "line ",
        "the top of the file",
    ];
    let named = known.iter().any(|k| e.place.starts_with(k))
        || e.what.contains(&format!("unknown field `{}`", e.place));
    prop_assert!(named, "no place: {:?}", e);
    for text in [&e.what, &e.hint] {
        prop_assert!(text.ends_with('.') && text.len() > 5, "no sentence: {:?}", e);
    }
    Ok(())
}

/// Reads `text`; where it is a job, everything that is made of a job is made of it.
fn try_all(text: &str) -> Result<(), TestCaseError> {
    match read(text) {
        Ok(job) => {
            use_everything(&job)?;
            let again = read(&write(&job)).map_err(|e| TestCaseError::fail(e.to_string()))?;
            prop_assert_eq!(again, job);
            Ok(())
        }
        Err(e) => is_said_well(&e),
    }
}

/// Every place of a JSON value, as a pointer.
fn places(value: &Value, at: &str, list: &mut Vec<String>) {
    list.push(at.to_owned());
    match value {
        Value::Object(o) => {
            o.iter().for_each(|(k, v)| {
                places(v, &format!("{at}/{}", k.replace('~', "~0").replace('/', "~1")), list)
            });
        }
        Value::Array(a) => {
            a.iter().enumerate().for_each(|(i, v)| places(v, &format!("{at}/{i}"), list))
        }
        _ => {}
    }
}

#[derive(Clone, Debug)]
enum Change {
    Remove,
    Replace(Value),
    Add(String, Value),
    Double,
    Rename(String),
}

fn any_value() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        prop::sample::select(vec![
            0.0,
            -0.0,
            1e-320,
            1e-9,
            0.1,
            25.4,
            -25.4,
            9999.9,
            10_000.0,
            1e4 + 1e-6,
            1e17,
            1e308,
            -1e308,
        ])
        .prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<u64>().prop_map(Value::from),
        prop::sample::select(vec![0i64, 1, 2, 3, -1, 6, 7, 64, 255, 256]).prop_map(Value::from),
        ".{0,20}".prop_map(Value::from),
        prop::sample::select(vec![
            "NaN", "Infinity", "-1", "1", "2", "B", "mmc", "plate", "inch", ""
        ])
        .prop_map(Value::from),
        prop::sample::select(vec![
            json!([]),
            json!({}),
            json!([[]]),
            json!([1.0, 2.0]),
            json!({"feature": "1"}),
            json!({"constant": 4.0}),
            json!({"limits": {"lower": 2.0, "upper": 1.0}})
        ]),
    ]
}

fn any_change() -> impl Strategy<Value = Change> {
    prop_oneof![
        2 => Just(Change::Remove),
        4 => any_value().prop_map(Change::Replace),
        1 => ("[a-z_]{1,12}", any_value()).prop_map(|(k, v)| Change::Add(k, v)),
        2 => Just(Change::Double),
        1 => "[a-z_]{1,12}".prop_map(Change::Rename),
    ]
}

/// Changes the value at a place drawn by lot.
fn change(root: &mut Value, pick: prop::sample::Index, change: &Change) {
    let mut list = Vec::new();
    places(root, "", &mut list);
    let place = list[pick.index(list.len())].clone();
    if let Change::Replace(with) = change {
        if let Some(v) = root.pointer_mut(&place) {
            *v = with.clone();
        }
        return;
    }
    let Some((parent, last)) = place.rsplit_once('/') else { return };
    match (root.pointer_mut(parent), change) {
        (Some(Value::Object(o)), Change::Remove) => drop(o.remove(last)),
        (Some(Value::Object(o)), Change::Add(k, v)) => drop(o.insert(k.clone(), v.clone())),
        (Some(Value::Object(o)), Change::Rename(k)) => {
            if let Some(v) = o.remove(last) {
                o.insert(k.clone(), v);
            }
        }
        (Some(Value::Array(a)), what) => {
            let Ok(i) = last.parse::<usize>() else { return };
            match what {
                Change::Remove => drop(a.remove(i)),
                Change::Double => a.insert(i, a[i].clone()),
                _ => {}
            }
        }
        _ => {}
    }
}

fn valid_texts() -> Vec<String> {
    vec![
        common::text("public/demo-job.json"),
        common::text("tests/notebooks/1-mast-adapter-plate.json"),
    ]
}

proptest! {
    #![proptest_config(cases(1000))]

    #[test]
    fn no_text_makes_the_reader_panic(text in "\\PC{0,200}") {
        try_all(&text)?;
    }

    #[test]
    fn no_bytes_make_the_reader_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        try_all(&String::from_utf8_lossy(&bytes))?;
    }

    #[test]
    fn no_json_makes_the_reader_panic(value in any_value(), more in any_value()) {
        try_all(&value.to_string())?;
        try_all(&json!({"format": FORMAT, "version": VERSION, "drawing": value, "plan": more, "pieces": []}).to_string())?;
    }
}

proptest! {
    #![proptest_config(cases(384))]

    /// A file that was damaged: fields lost, renamed, doubled, of another type, huge.
    #[test]
    fn no_damaged_job_makes_the_reader_panic(
        which in 0usize..2,
        changes in prop::collection::vec((any::<prop::sample::Index>(), any_change()), 1..4),
    ) {
        let mut value: Value = serde_json::from_str(&valid_texts()[which]).unwrap();
        for (pick, what) in &changes {
            change(&mut value, *pick, what);
        }
        try_all(&value.to_string())?;
    }

    /// A file that was cut off, or had characters lost or put in.
    #[test]
    fn no_garbled_job_makes_the_reader_panic(
        which in 0usize..2,
        at in any::<prop::sample::Index>(),
        lost in 0usize..40,
        put in prop::sample::select(vec!["", "NaN", "Infinity", "1e999", "-", "\u{0}", "}", "\"", ",", "[[[[", "\u{feff}"]),
        to_the_end in any::<bool>(),
    ) {
        let text = &valid_texts()[which];
        let mut from = at.index(text.len());
        while !text.is_char_boundary(from) {
            from -= 1;
        }
        let mut to = if to_the_end { text.len() } else { (from + lost).min(text.len()) };
        while !text.is_char_boundary(to) {
            to += 1;
        }
        try_all(&format!("{}{put}{}", &text[..from], &text[to..]))?;
    }
}

#[track_caller]
fn refused(text: &str, place: &str, what: &str) {
    let e = read(text).expect_err(text);
    assert_eq!(e.place, place, "{e}");
    assert!(e.what.contains(what), "{e}");
}

fn changed(place: &str, to: Value) -> String {
    let mut value: Value = serde_json::from_str(&valid_texts()[0]).unwrap();
    *value.pointer_mut(place).unwrap_or_else(|| panic!("{place}")) = to;
    value.to_string()
}

#[test]
fn a_damaged_file_is_refused_with_its_line_and_in_plain_words() {
    let value: Value = serde_json::from_str(&changed("/drawing/decimals", json!("four"))).unwrap();
    let text = serde_json::to_string_pretty(&value).unwrap();
    let line = text.lines().position(|line| line.contains("\"four\"")).unwrap() + 1;
    let e = read(&text).unwrap_err();
    assert_eq!(e.place, "drawing.decimals");
    assert!(e.what.ends_with("expected a whole number."), "{e}");
    assert!(e.hint.starts_with(&format!("In line {line} the file is damaged")), "{e}");
    let cut = text.split_at(text.len() / 2).0;
    let e = read(cut).unwrap_err();
    let last = cut.lines().count();
    assert!(e.place.starts_with(&format!("line {last}, ")), "{e}");
    assert!(e.hint.contains("not a job of this program, or it is damaged"), "{e}");
    assert!(!e.to_string().contains("EOF"), "{e}");
}

#[test]
fn the_place_of_what_is_wrong_is_named() {
    refused("", "line 1, column 0", "is empty");
    refused("{\n  \"format\": \"quarterturn job\",", "line 2, column 30", "ends in the middle");
    refused("{\n  \"format\": oops\n}", "line 2, column 13", "not JSON");
    let mut value: Value = serde_json::from_str(&valid_texts()[0]).unwrap();
    value.as_object_mut().unwrap().remove("pieces");
    refused(&value.to_string(), "the top of the file", "missing field `pieces`");
    refused("[]", "format", "not a Quarterturn job");
    refused("{\"format\": \"quarterturn job\"}", "version", "which version");
    refused(
        &changed("/version", json!(VERSION + 1)),
        "version",
        &format!("version {}", VERSION + 1),
    );
    refused(&changed("/version", json!("1")), "version", "which version");
    refused(&changed("/format", json!("something else")), "format", "not a Quarterturn job");
    refused(&changed("/drawing/unit", json!("furlong")), "drawing.unit", "furlong");
    refused(&changed("/drawing/features/3/x", json!("15,0")), "drawing.features[3].x", "15,0");
    refused(
        &changed("/drawing/features/3/x", json!(10_001.0)),
        "drawing.features[3].x",
        "10001 mm",
    );
    refused(
        &changed("/drawing/features/3/kind", json!("cone")),
        "drawing.features[3].kind",
        "cone",
    );
    refused(&changed("/drawing/decimals", json!(7)), "drawing.decimals", "6");
    refused(
        &changed("/plan/orientations/1/number", json!(1)),
        "plan.orientations[1].number",
        "two orientations",
    );
    refused(
        &changed("/plan/orientations/1/number", json!(10_000)),
        "plan.orientations[1].number",
        "9999",
    );
    let position = json!({"position": {"tolerance": 0.1}});
    refused(
        &changed("/drawing/features/3/callouts", json!(vec![position; 9])),
        "drawing.features[3].callouts",
        "9 entries",
    );
    refused(
        &changed("/plan/orientations/1/up_degrees", json!(361)),
        "plan.orientations[1].up_degrees",
        "360",
    );
    refused(
        &changed("/plan/instruments/0/probe", json!({"constant": 1001.0})),
        "plan.instruments[0].probe",
        "beyond",
    );
    let mut value: Value = serde_json::from_str(&valid_texts()[0]).unwrap();
    let first = value["pieces"][0]["readings"][0].clone();
    value["pieces"][0]["readings"].as_array_mut().unwrap().push(first);
    refused(&value.to_string(), "pieces[0].readings[18]", "two entries");
    let mut value: Value = serde_json::from_str(&valid_texts()[0]).unwrap();
    value["drawing"]["colour"] = json!("blue");
    refused(&value.to_string(), "drawing.colour", "colour");
    refused(&changed("/drawing/standard", json!("asme")), "drawing.standard", "asme");
    for (mark, what) in [
        (json!("apart"), "apart"),
        (json!({"simultaneous": 0}), "from 1 to 255"),
        (json!({"simultaneous": 256}), "256"),
    ] {
        let position = json!({"position": {"tolerance": 0.1, "together": mark}});
        let text = changed("/drawing/features/3/callouts", json!([position]));
        let e = read(&text).expect_err(&text);
        assert!(e.place.starts_with("drawing.features[3].callouts[0]"), "{e}");
        assert!(e.what.contains(what), "{e}");
    }
    for (standard, what) in [(-0.001, "not negative"), (1001.0, "beyond")] {
        let mut value: Value = serde_json::from_str(&valid_texts()[0]).unwrap();
        value["plan"]["conditions"] = json!({"rest_standard": standard});
        refused(&value.to_string(), "plan.conditions.rest_standard", what);
    }
    let mut value: Value = serde_json::from_str(&valid_texts()[0]).unwrap();
    value["pieces"][0]["squareness"] =
        json!([{"orientation": 2, "farther_out": 0.01, "over": 50.0, "against": 2}]);
    refused(&value.to_string(), "pieces[0].squareness.against", "to itself");
    value["pieces"][0]["squareness"][0]["against"] = json!(7);
    assert!(read(&value.to_string()).is_ok(), "an orientation may have been taken away");
    let mut value: Value = serde_json::from_str(&valid_texts()[0]).unwrap();
    value["drawing"]["features"][2].as_object_mut().unwrap().remove("number");
    refused(&value.to_string(), "drawing.features[2]", "number");
}

/// A field that this version does not know could be what a later one decides by: it is refused in
/// every object of a job, never dropped.
#[test]
fn an_unknown_field_is_refused_wherever_it_stands() {
    for text in valid_texts() {
        let whole: Value = serde_json::from_str(&text).unwrap();
        let mut list = Vec::new();
        places(&whole, "", &mut list);
        for place in list {
            let mut value = whole.clone();
            let Some(object) = value.pointer_mut(&place).and_then(Value::as_object_mut) else {
                continue;
            };
            object.insert("colour".to_owned(), json!("blue"));
            let e = read(&value.to_string()).expect_err(&place);
            assert!(!e.place.is_empty(), "{place}: {e}");
        }
    }
}

#[test]
fn a_byte_order_mark_does_no_harm() {
    let text = &valid_texts()[1];
    assert_eq!(read(&format!("\u{feff}{text}")).unwrap(), read(text).unwrap());
}

// ---- What is typed and pasted --------------------------------------------------------------

/// Text as it may be typed: figures, signs, separators and words of the trade, in any order.
fn typed() -> impl Strategy<Value = String> {
    let bit = prop::sample::select(vec![
        "0",
        "1",
        ".5",
        "375",
        "0.3750",
        ".",
        ",",
        "-",
        "−",
        "–",
        "—",
        "+",
        "±",
        "+-",
        "+/-",
        "/",
        " to ",
        " ",
        "\t",
        "\n",
        ";",
        "|",
        "mm",
        "in",
        "inch",
        "\"",
        "″",
        "⌀",
        "Ø",
        "M",
        "(M)",
        "Ⓜ",
        "MMC",
        "A",
        "B|C",
        "hole",
        "boss",
        "slot, width along x",
        "face",
        "x",
        "-y",
        "no",
        "size",
        "e9",
        "NaN",
        "°",
        "…",
        "'",
        "é",
        "\u{202e}",
        "\u{0}",
        "𝟙",
        "٣",
        "99999999999999999999",
    ]);
    prop_oneof![
        3 => prop::collection::vec(bit, 0..12).prop_map(|v| v.concat()),
        1 => "\\PC{0,60}",
        1 => any::<String>(),
    ]
}

proptest! {
    #![proptest_config(cases(2000))]

    #[test]
    fn nothing_typed_makes_an_entry_panic(text in typed(), inch in any::<bool>()) {
        let unit = if inch { Unit::Inch } else { Unit::Mm };
        if let Ok(v) = entry::number(&text, unit) {
            prop_assert!(v.length(unit).to_mm().abs() <= BOUNDS.length_mm);
        }
        match entry::size(&text, unit) {
            Ok(size) => {
                let limits = size.limits(unit);
                prop_assert!(limits.is_some_and(|l| l.lower.to_mm() > 0.0 && l.lower.at_most(l.upper)), "{:?}", size);
            }
            Err(e) => prop_assert!(e.to_string().ends_with('.'), "{}", e),
        }
        let refusals = [
            entry::kind(&text).err(),
            entry::axis(&text).err(),
            entry::side(&text).err(),
            entry::modifier(&text).err(),
            entry::datums(&text).err(),
            entry::degrees(&text).err(),
        ];
        for e in refusals.into_iter().flatten() {
            prop_assert!(!e.to_string().is_empty());
        }
    }

    /// A number is read as it is meant: what was written with up to nine decimals comes back,
    /// with a point or a comma, and with any minus sign.
    #[test]
    fn a_number_is_read_as_it_was_written(
        digits in -999_999_999i64..=999_999_999,
        decimals in 5usize..9,
        comma in any::<bool>(),
        minus in prop::sample::select(vec!["-", "−", "–"]),
    ) {
        let value = digits as f64 / 10f64.powi(i32::try_from(decimals).unwrap());
        let text = format!("{:.*}", decimals, value.abs());
        let text = if comma { text.replace('.', ",") } else { text };
        let text = if value < 0.0 { format!("{minus}{text}") } else { text };
        prop_assert_eq!(entry::number(&text, Unit::Mm), Ok(Figure(value)));
    }
}

proptest! {
    #![proptest_config(cases(512))]

    /// A pasted table: every row that holds anything is either taken or refused, and what is
    /// taken can be saved.
    #[test]
    fn no_pasted_table_makes_the_reader_panic(
        cells in prop::collection::vec(prop::collection::vec(typed(), 0..10), 0..8),
        separator in prop::sample::select(vec!["\t", ";", ",", "|"]),
        header in prop::sample::select(vec!["", "no\tkind\tx\ty\tsize\ttol\n", "no;x;y;min;max\n", "nominal,plus,minus,no\n"]),
        inch in any::<bool>(),
    ) {
        let rows: Vec<String> = cells.iter().map(|r| r.join(separator)).collect();
        let text = format!("{header}{}", rows.join("\n"));
        let drawing = Drawing { unit: if inch { Unit::Inch } else { Unit::Mm }, ..Drawing::default() };
        let pasted = entry::table(&text, &drawing, None);
        for r in &pasted.refused {
            prop_assert!(r.row >= 1 && !r.why.is_empty());
        }
        let mut job = Job::empty(drawing.unit);
        job.drawing.features = pasted.features;
        job.drawing.datums.clear();
        prop_assert_eq!(read(&write(&job)).map_err(|e| e.to_string()), Ok(job));
    }

    /// A table that is right is taken whole: features written out by the test come back.
    #[test]
    fn a_table_that_is_right_is_taken_whole(part in any_part(7), semicolons in any::<bool>()) {
        let job = part.measured(&[]);
        let separator = if semicolons { ";" } else { "\t" };
        let mut text = ["no", "feature", "x", "y", "lower", "upper", "position", "modifier", "datums"].join(separator);
        for f in job.drawing.features.iter().filter(|f| f.kind.is_sized()) {
            let p = f.position().unwrap();
            let Some(SizeLimits::Limits { lower, upper }) = f.size else { panic!() };
            let kind = f.across.map_or(f.kind.word().to_owned(), |a| format!("{}, width along {}", f.kind.word(), a.letter()));
            let figure = |v: f64| if semicolons { v.to_string().replace('.', ",") } else { v.to_string() };
            text.push('\n');
            text.push_str(&[
                f.number.clone(),
                kind,
                figure(f.x.unwrap().0),
                figure(f.y.unwrap().0),
                figure(lower.0),
                figure(upper.0),
                figure(p.tolerance.0),
                p.modifier.word().to_owned(),
                p.datums.iter().map(ToString::to_string).collect::<Vec<_>>().join(" "),
            ].join(separator));
        }
        let empty = Drawing { unit: part.unit, ..Drawing::default() };
        let pasted = entry::table(&text, &empty, None);
        prop_assert_eq!(&pasted.refused, &vec![]);
        let wanted: Vec<Feature> = job.drawing.features.into_iter().filter(|f| f.kind.is_sized()).collect();
        prop_assert_eq!(pasted.features, wanted);
    }
}

// ---- Jobs that can be read but make no sense -----------------------------------------------

fn any_figure() -> impl Strategy<Value = Figure> {
    prop_oneof![
        4 => (-300.0..300.0f64).prop_map(Figure),
        1 => prop::sample::select(vec![0.0, -0.0, 1e-300, -1e-12, 0.1, 1.0, 393.7, -393.7, 5e-324]).prop_map(Figure),
    ]
}

fn any_name() -> impl Strategy<Value = String> {
    prop_oneof![
        6 => prop::sample::select(vec!["1", "2", "3", "B", "C", ""]).prop_map(str::to_owned),
        1 => "\\PC{0,16}".prop_map(|s| s.chars().take(BOUNDS.label_chars).collect()),
    ]
}

fn any_words() -> impl Strategy<Value = String> {
    prop_oneof![
        2 => Just(String::new()),
        2 => "\\PC{0,40}",
        1 => any::<String>(),
        1 => Just("Žluťoučký Ελληνικά Кириллица 漢字 🔩\n\tнет".to_owned()),
        1 => Just("word ".repeat(300)),
    ]
}

fn any_feature() -> impl Strategy<Value = Feature> {
    let size = prop::option::of(prop_oneof![
        (any_figure(), any_figure()).prop_map(|(lower, upper)| SizeLimits::Limits { lower, upper }),
        (5.0..50.0f64, 0.0..0.2f64)
            .prop_map(|(l, t)| SizeLimits::Limits { lower: Figure(l), upper: Figure(l + t) }),
        (any_figure(), any_figure(), any_figure())
            .prop_map(|(nominal, lower, upper)| SizeLimits::Deviations { nominal, lower, upper }),
    ]);
    let datums = prop::sample::select(vec!["A", "B", "C(M)", "C▷"]).prop_map(DatumRef::from);
    let lower = prop::collection::vec(
        (any_figure(), prop::collection::vec(datums, 0..3), any_mark())
            .prop_map(|(tolerance, datums, together)| Segment { tolerance, datums, together }),
        0..2,
    );
    let callout = (
        prop_oneof![any_figure(), Just(Figure(0.0)), (0.0..0.5f64).prop_map(Figure)],
        prop::sample::select(Modifier::ALL.to_vec()),
        prop::collection::vec(
            prop::sample::select(vec!["A", "B", "C", "Z", "", "B(M)", "C(M)", "B(L)", "C(M)▷"])
                .prop_map(DatumRef::from),
            0..4,
        ),
        (prop::option::of(prop_oneof![Just(Axis::X), Just(Axis::Y)]), lower, any_mark()),
    )
        .prop_map(|(tolerance, modifier, datums, (along, lower, together))| {
            Callout::Position(Position {
                tolerance,
                modifier,
                datums,
                along,
                lower,
                together,
                pattern: String::new(),
            })
        });
    (
        any_name(),
        prop::sample::select(Kind::ALL.to_vec()),
        prop::option::of(prop_oneof![Just(Axis::X), Just(Axis::Y)]),
        prop::option::of(prop::sample::select(Side::ALL.to_vec())),
        prop::option::of(any_figure()),
        prop::option::of(any_figure()),
        size,
        prop::collection::vec(callout, 0..2),
        any_words(),
    )
        .prop_map(|(number, kind, across, looks, x, y, size, callouts, note)| Feature {
            number,
            kind,
            across,
            looks,
            x,
            y,
            size,
            callouts,
            note,
            not_understood: Vec::new(),
        })
        .prop_flat_map(|feature| {
            let refused = prop::option::weighted(0.2, (any_words(), any_words()));
            refused.prop_map(move |typed| {
                let mut feature = feature.clone();
                let kept = |text: &String| !text.trim().is_empty();
                if let Some((size, callout)) = typed.filter(|(a, b)| kept(a) && kept(b)) {
                    feature.set_refused(FeatureField::Size, Some(&size));
                    feature.set_refused(FeatureField::Position, Some(&callout));
                }
                feature
            })
        })
}

fn any_mark() -> impl Strategy<Value = Together> {
    prop_oneof![
        3 => Just(Together::Default),
        1 => Just(Together::Separate),
        1 => Just(Together::Combined),
        1 => (0u8..4).prop_map(|n| Together::Simultaneous(NonZeroU8::new(n))),
    ]
}

/// One of each kind at least, whatever kinds there are.
fn examples_of_relations() -> Vec<RelationKind> {
    let read = |(text, _): (String, String)| entry::relation(&text, Unit::Mm).expect(&text);
    entry::relation_examples(Unit::Mm).map(read).collect()
}

fn any_relation() -> impl Strategy<Value = Relation> {
    let tolerance = || prop_oneof![any_figure(), (0.0..0.5f64).prop_map(Figure)];
    let limits = || {
        prop_oneof![
            (any_figure(), any_figure()).prop_map(|(lower, upper)| RelationLimits::Within(
                SizeLimits::Limits { lower, upper }
            )),
            (any_figure(), any_figure(), any_figure()).prop_map(|(nominal, lower, upper)| {
                RelationLimits::Within(SizeLimits::Deviations { nominal, lower, upper })
            }),
            any_figure().prop_map(RelationLimits::AtLeast),
            any_figure().prop_map(RelationLimits::AtMost),
        ]
    };
    let other = || prop::option::of(any_name());
    let along = prop::sample::select(vec![Along::X, Along::Y, Along::Straight]);
    let asks = prop_oneof![
        (other(), any_name(), along, limits()).prop_map(|(from, to, along, limits)| {
            RelationKind::Distance(Distance { from, to, along, limits })
        }),
        ([any_name(), any_name()], limits())
            .prop_map(|(between, limits)| RelationKind::Wall(Wall { between, limits })),
        (any_name(), any_name(), tolerance(), prop::sample::select(Modifier::ALL.to_vec()))
            .prop_map(|(of, to, tolerance, modifier)| RelationKind::Coaxiality(Coaxiality {
                of,
                to,
                tolerance,
                modifier
            })),
        (any_name(), any_name(), tolerance()).prop_map(|(of, to, tolerance)| {
            RelationKind::Perpendicularity(Perpendicularity { of, to, tolerance })
        }),
        (any_name(), other(), tolerance()).prop_map(|(of, to, tolerance)| {
            RelationKind::Parallelism(Parallelism { of, to, tolerance })
        }),
        (any_words(), tolerance())
            .prop_map(|(of, tolerance)| RelationKind::Flatness(Flatness { of, tolerance })),
        prop::sample::select(examples_of_relations()),
        (prop::collection::vec(any_name(), 0..6), limits())
            .prop_map(|(of, diameter)| RelationKind::BoltCircle(BoltCircle { of, diameter })),
        (any_name(), other(), tolerance(), tolerance()).prop_map(|(of, centre, radial, around)| {
            RelationKind::PolarPosition(PolarPosition { of, centre, radial, around })
        }),
    ];
    (prop::sample::select(vec!["", "20", "30", "40", "50"]), asks, any_words())
        .prop_map(|(number, asks, note)| Relation { number: number.to_owned(), kind: asks, note })
}

fn any_zero() -> impl Strategy<Value = Zero> {
    prop_oneof![2 => Just(Zero::Plate), 1 => any_name().prop_map(Zero::Feature)]
}

fn any_orientation() -> impl Strategy<Value = Orientation> {
    (
        prop_oneof![
            3 => prop::sample::select(vec![0.0, 90.0, 180.0, 270.0, -90.0, 360.0, -360.0]),
            1 => prop::sample::select(vec![45.0, 37.5, 1e-12, 89.999_999_999_9, 90.000_000_01, -0.0]),
            1 => -360.0..360.0f64,
        ],
        prop::option::of(any_name()),
        prop_oneof![3 => any_figure().prop_map(Blocks::High), 1 => Just(Blocks::UNKNOWN)],
        any_zero(),
        prop_oneof![Just(Taken::Touches), Just(Taken::CentreAndSize)],
        prop_oneof![4 => Just(0usize), 1 => Just(1), 1 => Just(usize::MAX)],
        prop::bool::weighted(0.2),
    )
        .prop_map(|(up_degrees, face, blocks, zero, taken, instrument, find_angle)| Orientation {
            number: 0,
            up_degrees,
            rest: Rest { face, blocks },
            zero,
            taken,
            instrument,
            find_angle,
        })
}

fn any_trial() -> impl Strategy<Value = ProbeTrial> {
    let side = || prop::collection::vec(any_figure(), 0..4);
    let way = prop_oneof![
        Just(ProbeWay::Plane),
        (0.0..300.0f64).prop_map(|g| ProbeWay::Gap(Figure(g))),
        (0.0..300.0f64).prop_map(|t| ProbeWay::Thickness(Figure(t))),
    ];
    (way, side(), side(), prop::option::of(-0.01..0.01f64))
        .prop_map(|(way, down, up, u)| ProbeTrial { way, down, up, known_standard: u.map(Figure) })
}

fn any_instrument() -> impl Strategy<Value = Instrument> {
    (
        any_words(),
        any_words(),
        prop_oneof![Just(Unit::Mm), Just(Unit::Inch)],
        any_figure(),
        prop::option::of(any_figure()),
        prop_oneof![
            Just(Probe::AppliedByGauge),
            Just(Probe::Found),
            (-39.0..39.0f64).prop_map(|k| Probe::Constant(Figure(k)))
        ],
        prop::option::of(-1.0..20.0f64),
        prop::option::of(-0.01..0.01f64),
        prop::option::of(-0.01..0.01f64),
        prop::option::of(any_trial()),
    )
        .prop_map(
            |(name, identification, unit, resolution, error_limit, probe, growth, r, k, trial)| {
                Instrument {
                    range: error_limit.map(|limit| Figure(limit.0.abs() * 1e4)),
                    error_growth: growth,
                    repeatability: r.map(Figure),
                    probe_standard: k.map(Figure),
                    probe_found: trial,
                    name,
                    calibration_due: identification.clone(),
                    certificate: identification.clone(),
                    identification,
                    unit,
                    resolution,
                    error_limit,
                    probe,
                }
            },
        )
}

fn any_conditions() -> impl Strategy<Value = Conditions> {
    let number = || prop::option::weighted(0.4, -100.0..100.0f64);
    let slope =
        (any_figure(), any_figure()).prop_map(|(deviation, over)| Slope { deviation, over });
    (
        prop::option::weighted(0.4, (-0.1..0.1f64).prop_map(Figure)),
        prop::option::weighted(0.4, (0.0..0.1f64).prop_map(Figure)),
        prop::option::weighted(0.4, slope),
        number(),
        number(),
        number(),
    )
        .prop_map(|(plate_flatness, rest_standard, squareness, part, gauge, limit)| {
            Conditions {
                plate_flatness,
                rest_standard,
                squareness,
                part_expansion: part,
                gauge_expansion: gauge,
                temperature_limit: limit,
            }
        })
}

fn any_reading() -> impl Strategy<Value = Reading> {
    let values =
        || prop_oneof![2 => Just(Vec::new()), 3 => prop::collection::vec(any_figure(), 1..4)];
    let zero = prop::option::weighted(0.2, any_zero());
    (0u32..5, any_name(), zero, values(), values(), values(), values(), values()).prop_map(
        |(orientation, feature, zero, low, high, centre, size, face)| Reading {
            orientation,
            feature,
            zero,
            low,
            high,
            centre,
            size,
            face,
        },
    )
}

fn any_grids() -> impl Strategy<Value = Vec<Grid>> {
    let points = prop::collection::vec([any_figure(), any_figure(), any_figure()], 0..9);
    let grid = (prop::sample::select(vec!["20", "30", "X"]), 0usize..3, points).prop_map(
        |(line, instrument, points)| Grid { relation: line.to_owned(), instrument, points },
    );
    prop::collection::vec(grid, 0..3).prop_map(|mut grids| {
        let mut taken = std::collections::HashSet::new();
        grids.retain(|g| taken.insert(g.relation.clone()));
        grids
    })
}

fn any_piece() -> impl Strategy<Value = Piece> {
    let figures = (any_figure(), any_figure(), prop::option::of(any_figure()));
    let squareness = (0u32..5, figures, prop::option::of(0u32..5)).prop_map(
        |(orientation, (farther_out, over, standard), against)| Squareness {
            orientation,
            farther_out,
            over,
            against: against.filter(|other| *other != orientation),
            standard: standard.map(|s| Figure(s.0.abs())),
        },
    );
    let check =
        (0u32..5, any_figure()).prop_map(|(orientation, end)| ZeroCheck { orientation, end });
    (
        any_words(),
        any_words(),
        any_words(),
        prop::collection::vec(any_reading(), 0..14),
        prop::collection::vec(squareness, 0..3),
        prop::collection::vec(check, 0..3),
        prop::collection::vec((0u32..5, any_name(), any_figure(), any_figure()), 0..4),
        (prop::option::of(-50.0..80.0f64), prop::option::of(-50.0..80.0f64), any_grids()),
    )
        .prop_map(
            |(
                serial,
                inspector,
                notes,
                mut readings,
                squareness,
                zero_checks,
                swept,
                (part, gauge, grids),
            )| {
                let mut sweeps: Vec<Sweep> = Vec::new();
                for (orientation, feature, a, b) in swept {
                    let (lowest, highest) = if a <= b { (a, b) } else { (b, a) };
                    if !sweeps.iter().any(|s| s.orientation == orientation && s.feature == feature)
                    {
                        sweeps.push(Sweep { orientation, feature, lowest, highest });
                    }
                }
                let mut seen = std::collections::HashSet::new();
                readings.retain(|r| seen.insert((r.orientation, r.feature.clone())));
                Piece {
                    serial,
                    date: inspector.clone(),
                    temperature: inspector.clone(),
                    inspector,
                    notes,
                    part_celsius: part,
                    gauge_celsius: gauge,
                    squareness,
                    zero_checks,
                    sweeps,
                    grids,
                    readings,
                }
            },
        )
}

fn any_pattern() -> impl Strategy<Value = Option<DatumPattern>> {
    let kind = prop_oneof![Just(PatternKind::Circle), Just(PatternKind::BestFit)];
    let pattern = (kind, prop::collection::vec(any_name(), 3..6))
        .prop_map(|(kind, features)| DatumPattern { kind, features });
    prop::option::weighted(0.2, pattern)
}

/// A job that can be read, whatever it says: duplicate and missing numbers, limits turned round,
/// zeros at nothing or at themselves, angles of all sorts, readings of what is not there.
fn any_job() -> impl Strategy<Value = Job> {
    let drawing = (
        prop_oneof![Just(Unit::Mm), Just(Unit::Inch)],
        0u8..=BOUNDS.decimals,
        any_words(),
        prop::option::of([any_figure(), any_figure(), any_figure(), any_figure()]),
        prop::collection::vec(
            (any_name(), prop::option::of(any_name()), any_words(), any_pattern()),
            0..4,
        ),
        (prop::collection::vec(any_feature(), 0..7), prop::collection::vec(any_relation(), 0..4)),
    );
    let plan = (
        prop::collection::vec(any_instrument(), 0..3),
        prop::collection::vec(
            (any_orientation(), prop_oneof![6 => 0u32..5, 1 => Just(9_999)]),
            0..5,
        ),
        (
            prop_oneof![
                Just(DecisionRule::SimpleAcceptance),
                (0.0..3.0f64).prop_map(|multiple| DecisionRule::GuardedAcceptance { multiple }),
            ],
            prop_oneof![Just(Coverage::Two), Just(Coverage::Effective)],
        ),
        any_conditions(),
    );
    let rest = (
        any_words(),
        any::<bool>(),
        prop_oneof![Just(Paper::A4), Just(Paper::Letter)],
        prop::collection::vec(any_piece(), 0..3),
        prop::option::of((any_reading(), any_words())),
        prop::option::of(any_piece()),
    );
    (drawing, plan, rest).prop_map(
        |(
            d,
            (instruments, orientations, (decision_rule, coverage), conditions),
            (words, demo, paper, pieces, corrected, removed),
        )| {
            let (unit, decimals, name, outline, datums, (features, mut relations)) = d;
            let mut numbers = std::collections::HashSet::new();
            relations.retain(|l: &Relation| numbers.insert(l.number.clone()));
            let mut seen = std::collections::HashSet::new();
            let record = corrected.map(|(r, why)| Correction {
                piece: words.clone(),
                instrument: String::new(),
                orientation: r.orientation,
                feature: r.feature,
                touch: Observed::Touch(Touch::Low),
                was: r.low,
                now: r.high,
                zero: None,
                when: "2026-11-25 07:10:42".to_owned(),
                who: words.clone(),
                why,
            });
            let entry = |change| PieceEntry {
                change,
                when: "2026-11-25 07:10:42".to_owned(),
                who: words.clone(),
                why: name.clone(),
            };
            let piece_record = removed.into_iter().flat_map(|piece| {
                let serial =
                    PieceChange::SerialNumber { was: words.clone(), now: piece.serial.clone() };
                let put_back = PieceChange::PutBack(piece.serial.clone());
                [serial, PieceChange::Removed(Box::new(piece)), put_back]
            });
            let piece_record = piece_record.map(entry).collect();
            let was = |change| DocumentEntry {
                change,
                when: "2026-11-25 07:10:42".to_owned(),
                who: words.clone(),
                why: name.clone(),
            };
            let document_record = [
                features.first().cloned().map(|f| {
                    let (was, now) = (Some(f.clone()), Some(f));
                    DocumentChange::Feature(Box::new(Changed { was, now }))
                }),
                relations.first().cloned().map(|r| {
                    DocumentChange::Relation(Box::new(Changed { was: None, now: Some(r) }))
                }),
                instruments.first().cloned().map(|i| {
                    DocumentChange::Instrument(Box::new(Changed { was: Some(i), now: None }))
                }),
                Some(DocumentChange::Unit { was: unit, now: unit, converted: demo }),
            ];
            let document_record = document_record.into_iter().flatten().map(was).collect();
            Job {
                format: FORMAT.to_owned(),
                version: VERSION,
                demo,
                drawing: Drawing {
                    unit,
                    decimals,
                    part_number: name.clone(),
                    part_name: words.clone(),
                    number: name.clone(),
                    revision: name.clone(),
                    material: name,
                    not_understood: (!words.trim().is_empty())
                        .then(|| DrawingText {
                            place: DrawingPlace::FurtherLine,
                            typed: words.clone(),
                        })
                        .into_iter()
                        .collect(),
                    outline: outline.map(|[left, bottom, right, top]| Outline {
                        left,
                        bottom,
                        right,
                        top,
                    }),
                    datums: datums
                        .into_iter()
                        .map(|(letter, feature, what, pattern)| {
                            let feature = feature.filter(|_| pattern.is_none());
                            Datum { letter, feature, what, pattern, boundary: None }
                        })
                        .collect(),
                    features,
                    relations,
                    // Six decimals and three standards: also one that states none.
                    standard: Standard::ALL.get(usize::from(decimals)).copied(),
                },
                plan: Plan {
                    instruments,
                    orientations: orientations
                        .into_iter()
                        .filter(|(_, number)| seen.insert(*number))
                        .map(|(o, number)| Orientation { number, ..o })
                        .collect(),
                    decision_rule,
                    coverage,
                    conditions,
                    materials: vec![Material {
                        name: "an alloy".into(),
                        expansion: 21.5,
                        source: words.clone().into(),
                    }],
                },
                shipment: Shipment {
                    issuer: words.clone(),
                    issuer_address: words.clone(),
                    customer: words.clone(),
                    order: words.clone(),
                    lot: words.clone(),
                    quantity: words.clone(),
                    inspected: words.clone(),
                    report_number: words.clone(),
                    report_revision: words.clone(),
                    approved_by: words.clone(),
                    notes: words,
                    paper,
                },
                pieces,
                record: record.into_iter().collect(),
                piece_record,
                document_record,
            }
        },
    )
}

fn finite(points: &[Point]) -> bool {
    points.iter().all(|p| p.x.is_finite() && p.y.is_finite() && p.x.abs() < 1e6 && p.y.abs() < 1e6)
}

fn drawable(mark: &Mark) -> bool {
    match mark {
        Mark::Text(t) => finite(&[t.at, t.start()]) && t.size.is_finite() && t.size > 0.0,
        Mark::Line(l) => finite(&[l.from, l.to]),
        Mark::Rect(r) => {
            finite(&[r.at])
                && [r.width, r.height, r.radius].iter().all(|v| v.is_finite() && *v >= 0.0)
        }
        Mark::Circle(c) => finite(&[c.centre]) && c.radius.is_finite() && c.radius >= 0.0,
        Mark::Path(Path { steps, .. }) => steps.iter().all(|s| match s {
            Step::Move(p) | Step::Line(p) => finite(&[*p]),
            Step::Cubic(a, b, c) => finite(&[*a, *b, *c]),
            Step::Close => true,
        }),
        Mark::Group(g) => g.marks.iter().all(drawable),
    }
}

fn all_drawable(what: &str, marks: &[Mark]) -> Result<(), TestCaseError> {
    match marks.iter().find(|m| !drawable(m)) {
        Some(mark) => Err(TestCaseError::fail(format!("{what}: {mark:?}"))),
        None => Ok(()),
    }
}

fn pages(what: &str, pages: &[Page]) -> Result<(), TestCaseError> {
    for page in pages {
        all_drawable(what, &page.marks)?;
        let text = svg(page);
        if let Err(e) = roxmltree::Document::parse(&text) {
            return Err(TestCaseError::fail(format!("{what}: no XML: {e}")));
        }
    }
    Ok(())
}

/// Everything that is made of a job: findings, words, pictures, sheets.
fn use_everything(job: &Job) -> Result<Vec<Page>, TestCaseError> {
    let findings = evaluate(job);
    prop_assert_eq!(findings.pieces.len(), job.pieces.len());
    prop_assert!(serde_json::to_string(&findings).is_ok());
    let ready = Ready::of(job);
    let mut all = blank(job, &ready, 0);
    pages("blank sheet", &all)?;
    all_drawable("pattern", &pattern(job, None, &PatternOptions::default()).marks)?;
    for o in &job.plan.orientations {
        let current = (!job.drawing.features.is_empty()).then_some((0, Touch::Low));
        let options = StandingOptions { current, ..StandingOptions::default() };
        all_drawable("standing", &standing(job, o, &options))?;
    }
    for (index, piece) in findings.pieces.iter().enumerate() {
        prop_assert_eq!(piece.features.len(), job.drawing.features.len());
        let t = piece.tally;
        prop_assert_eq!(t.asked, t.conform + t.fail + t.unproven + t.missing + t.unjudged);
        prop_assert!(!show::headline(piece).is_empty());
        for (i, f) in piece.features.iter().enumerate() {
            let feature = &job.drawing.features[i];
            let _ = (show::sum(f, feature, job, &piece.patterns), show::reason(f, &job.drawing));
            all_drawable("zone", &zone(job, i, f, 60.0))?;
        }
        all_drawable("pattern", &pattern(job, Some(piece), &PatternOptions::default()).marks)?;
        for (i, one) in piece.patterns.iter().enumerate() {
            all_drawable("gauge", &gauge(job, piece, i, &PatternOptions::default()).marks)?;
            prop_assert!(!show::pattern_sentence(one, job).is_empty());
            prop_assert!(show::pattern_text(i, piece, job).is_some());
        }
        let made = sheet(job, &ready, index, piece, Extent::Full);
        prop_assert!(!made.is_empty());
        pages("sheet", &made)?;
        all.extend(made);
    }
    Ok(all)
}

proptest! {
    #![proptest_config(cases(256))]

    #[test]
    fn whatever_a_job_says_it_is_evaluated_and_drawn(job in any_job()) {
        // What the reader refuses (a size out of bounds, a text too long) is no job.
        let Ok(job) = read(&write(&job)) else { return Err(TestCaseError::reject("refused")) };
        use_everything(&job)?;
    }

    /// A job that was read is written and read again bit for bit, indented or not.
    #[test]
    fn a_job_comes_back_bit_for_bit(job in any_job()) {
        prop_assume!(read(&write(&job)).is_ok());
        for text in [write(&job), write_compact(&job)] {
            let again = read(&text).map_err(|e| TestCaseError::fail(e.to_string()))?;
            prop_assert_eq!(&again, &job);
            // Equality of floats lets −0 pass for 0; the text does not.
            prop_assert_eq!(write(&again), write(&job));
        }
    }

    #[test]
    fn a_measured_job_comes_back_bit_for_bit(part in any_part(7), stands in [any_stand(7), any_stand(7)]) {
        let job = part.measured(&stands);
        prop_assert_eq!(read(&write(&job)), Ok(job));
    }

    /// Nothing observed that stood there is lost without an entry in the record, whatever changed.
    #[test]
    fn what_was_read_is_never_lost(old in any_job(), new in any_job()) {
        let mut new = new;
        record_changes(&old, &mut new, "2026-11-25 07:10:42", "R. V.");
        // An entry follows the serial number of its piece; all else of it stays as it was.
        let kept = |c: &Correction| Correction { piece: String::new(), ..c.clone() };
        let (before, after): (Vec<_>, Vec<_>) =
            (old.record.iter().map(kept).collect(), new.record.iter().map(kept).collect());
        prop_assert!(after.starts_with(&before));
        prop_assert!(new.piece_record.starts_with(&old.piece_record));
        let matched = match_pieces(&old.pieces, &new.pieces);
        for (piece, at) in old.pieces.iter().zip(matched) {
            let Some(i) = at else {
                let added = &new.piece_record[old.piece_record.len()..];
                let whole = PieceChange::Removed(Box::new(piece.clone()));
                prop_assert!(piece.is_blank() || added.iter().any(|e| e.change == whole));
                continue;
            };
            for r in &piece.readings {
                for touch in Touch::ALL.into_iter().filter(|t| !r.values(*t).is_empty()) {
                    let stands = new.pieces.get(i).and_then(|p| p.reading(r.orientation, &r.feature))
                        .is_some_and(|n| n.values(touch).starts_with(r.values(touch)));
                    let recorded = new.record.iter().any(|c| {
                        c.orientation == r.orientation && c.feature == r.feature
                            && c.touch == Observed::Touch(touch)
                            && c.was == r.values(touch)
                    });
                    prop_assert!(stands || recorded, "{:?} {:?}", r, touch);
                }
            }
            for (k, was) in old.plan.instruments.iter().enumerate() {
                let Some(trial) = was.probe_found.as_ref().filter(|t| !t.down.is_empty()) else { continue };
                let stands = new.plan.instruments.iter().filter_map(|i| i.probe_found.as_ref())
                    .any(|t| t.down.starts_with(&trial.down));
                let recorded = new.record.iter().any(|c| {
                    c.touch == Observed::ProbeDown && c.was == trial.down
                });
                prop_assert!(stands || recorded, "instrument {}: {:?}", k, trial);
            }
            for s in &piece.sweeps {
                let stands = new.pieces.get(i).is_some_and(|p| p.sweeps.contains(s));
                let recorded = new.record.iter().any(|c| {
                    (c.orientation, &c.feature, c.touch) == (s.orientation, &s.feature, Observed::Sweep)
                        && c.was == [s.lowest, s.highest]
                });
                prop_assert!(stands || recorded, "{:?}", s);
            }
            for z in &piece.zero_checks {
                let stands = new.pieces.get(i).is_some_and(|p| p.zero_checks.contains(z));
                let recorded = new.record.iter().any(|c| {
                    c.orientation == z.orientation && c.touch == Observed::ZeroAtEnd && c.was == [z.end]
                });
                prop_assert!(stands || recorded, "{:?}", z);
            }
        }
    }
}

proptest! {
    #![proptest_config(cases(24))]

    /// The PDF too, which is slow enough to be tried on fewer.
    #[test]
    fn whatever_a_job_says_its_pdf_is_made(job in any_job()) {
        prop_assume!(read(&write(&job)).is_ok());
        let all = use_everything(&job)?;
        let bytes = pdf(&all, &about(&job, Which::EveryPiece, Extent::Full, 1_764_054_642)).map_err(|e| TestCaseError::fail(e.to_string()))?;
        prop_assert!(bytes.starts_with(b"%PDF-"));
        let _ = Moment::from_unix(u64::MAX);
    }
}
