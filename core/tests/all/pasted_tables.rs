//! Tables as people paste them: what is read, and that nothing is passed over in silence.

use quarterturn_core::entry::{Pasted, TableColumn, table};
use quarterturn_core::job::{Drawing, Feature};
use quarterturn_core::notation::size_text;
use quarterturn_core::quantity::Unit;

fn metric() -> Drawing {
    Drawing { unit: Unit::Mm, decimals: 3, ..Drawing::default() }
}

fn paste(text: &str) -> Pasted {
    table(text, &metric(), None)
}

/// Number, kind, place and size of a feature in one line.
fn brief(f: &Feature) -> String {
    let figure = |f: Option<quarterturn_core::quantity::Figure>| {
        f.map_or("-".to_owned(), |f| f.0.to_string())
    };
    let size = f.size.map_or("-".to_owned(), |s| size_text(s, Unit::Mm, 1));
    format!("{} {} {} {} {size}", f.number, f.kind.word(), figure(f.x), figure(f.y))
}

#[test]
fn tables_as_people_paste_them() {
    let two = &["1 hole 10.5 20.25 6.5 – 6.7", "2 slot 30 20.25 6.5 – 6.7"][..];
    for (what, text, wanted) in [
        (
            "tabs",
            "No\tFeature\tX\tY\tSize\n1\thole\t10.5\t20.25\t6.5 - 6.7\n2\tslot\t30\t20.25\t6.5 - 6.7",
            two,
        ),
        (
            "semicolons",
            "No;Type;X;Y;Min;Max\n1;hole;10,5;20,25;6,5;6,7\n2;key way;30;20,25;6,5;6,7",
            two,
        ),
        (
            "commas",
            "no,kind,x,y,lower limit,upper limit\n1,hole,10.5,20.25,6.5,6.7\n2,keyway,30,20.25,6.5,6.7",
            two,
        ),
        (
            "bars",
            "| no | kind | x | y | min | max |\n|---|---|---|---|---|---|\n| 1 | hole | 10.5 | 20.25 | 6.5 | 6.7 |\n| 2 | slot | 30 | 20.25 | 6.5 | 6.7 |",
            two,
        ),
        (
            "single blanks",
            "no kind x y min max\n1 hole 10,5 20,25 6,5 6,7\n2 slot 30 20,25 6,5 6,7\n",
            two,
        ),
        (
            "columns of blanks",
            "No   Kind          X      Y      Min  Max\n1    through hole  10.5   20.25  6.5  6.7\n2    slotted hole  30     20.25  6.5  6.7\n",
            two,
        ),
        (
            "German",
            "Nr.;Merkmal;X [mm];Y [mm];Mindestmaß;Höchstmaß\n1;Bohrung;10,5;20,25;6,5;6,7\n2;Langloch;30;20,25;6,5;6,7",
            two,
        ),
        (
            "French",
            "Repère\tDésignation\tCote X\tCote Y\tCote mini\tCote maxi\n1\tAlésage\t10,5\t20,25\t6,5\t6,7\n2\tTrou oblong\t30\t20,25\t6,5\t6,7",
            two,
        ),
        (
            "title and units",
            "Plate 7, holes\t\t\t\t\nNo\tKind\tX\tY\tDia\n\t\tmm\tmm\tmm\n1\thole\t10.5\t20.25\t6.5 - 6.7\n2\tslot\t30\t20.25\t6.5 - 6.7",
            two,
        ),
        ("no heading", "1\thole\t10.5\t20.25\t6.5 - 6.7\n2\tslot\t30\t20.25\t6.5 - 6.7", two),
        ("no heading, single blanks", "1 hole 10,5 20,25 6,5/6,7\n2 slot 30 20,25 6,5/6,7", two),
        (
            "no numbers",
            "Type\tX\tY\tØ\nhole\t10.5\t20.25\t6.5 - 6.7\nslot\t30\t20.25\t6.5 - 6.7",
            two,
        ),
        (
            "an inch sign alone",
            "no\tkind\tx\ty\tnote\n1\thole\t1\t2\t\"1/4 thread\n2\thole\t3\t4\tb",
            &["1 hole 1 2 -", "2 hole 3 4 -"],
        ),
        (
            "polar",
            "No\tRadius\tAngle\tDiameter\n1\t25\t0°\t6.6 ±0.1\n2\t25\t90\t6.6 ±0.1\n3\t25\t210\t6.6 ±0.1",
            &[
                "1 hole 25 0 6.6 ±0.1",
                "2 hole 0 25 6.6 ±0.1",
                "3 hole -21.650635095 -12.5 6.6 ±0.1",
            ],
        ),
        (
            "polar, German",
            "Nr;Teilkreis;Winkel;Durchmesser\n1;50;90;6,6 ±0,1",
            &["1 hole 0 25 6.6 ±0.1"],
        ),
        (
            "4X in every row",
            "No\tX\tY\tDia\n1\t0\t0\t2X ⌀6.6 ±0.1\n2\t9\t0\t2X ⌀6.6 ±0.1",
            &["1 hole 0 0 6.6 ±0.1", "2 hole 9 0 6.6 ±0.1"],
        ),
        (
            "a quantity without a place",
            "No\tQty\tDia\n5\t3X\t6.6 ±0.1",
            &["5.1 hole - - 6.6 ±0.1", "5.2 hole - - 6.6 ±0.1", "5.3 hole - - 6.6 ±0.1"],
        ),
        (
            "deviations in two columns",
            "No\tX\tY\tNominal\tUpper deviation\tLower deviation\n1\t0\t0\t10\t+0.1\t-0.2",
            &["1 hole 0 0 10.0 +0.1/−0.2"],
        ),
        (
            "diameter, tolerances headed upper and lower",
            "No\tX\tY\tDiameter\tUpper\tLower\n1\t0\t0\t10\t+0.2\t-0.1\n2\t0\t0\t10\t10.2\t9.9\n3\t0\t0\t10\t0.2\t0",
            &["1 hole 0 0 10.0 +0.2/−0.1", "2 hole 0 0 9.9 – 10.2", "3 hole 0 0 10.0 +0.2/0.0"],
        ),
        (
            "German deviations",
            "Nr;X;Y;Nennmaß;Oberes Abmaß;Unteres Abmaß\n1;0;0;10;0,2;0,1",
            &["1 hole 0 0 10.0 +0.2/+0.1"],
        ),
        (
            "plus and minus amounts",
            "No\tX\tY\tSize\t+\t-\n1\t0\t0\t10\t0.1\t0.2",
            &["1 hole 0 0 10.0 +0.1/−0.2"],
        ),
        (
            "one tolerance either way",
            "No\tX\tY\tØ\tTol ±\n1\t0\t0\t10\t0.1",
            &["1 hole 0 0 10.0 ±0.1"],
        ),
        (
            "a class and its limits",
            "No\tX\tY\tØ\tMax\tMin\n1\t0\t0\t10 H7\t10.015\t10",
            &["1 hole 0 0 10 H7"],
        ),
    ] {
        let pasted = paste(text);
        let read: Vec<String> = pasted.features.iter().map(brief).collect();
        assert_eq!(pasted.no_table, None, "{what}");
        assert_eq!(read, wanted, "{what}: {:?}", pasted.refused);
        let titles = usize::from(what.starts_with("title"));
        assert_eq!(pasted.refused.len(), titles, "{what}: {:?}", pasted.refused);
    }
}

#[test]
fn a_callout_may_stand_in_a_cell_in_any_of_three_languages() {
    for head in ["Callout", "GD&T", "Positionstoleranz", "Localisation"] {
        let pasted = paste(&format!(
            "No\tX\tY\t{head}\n1\t0\t0\t2X ⌖|⌀0.2 Ⓜ|A|B|C\n2\t9\t0\t2X ⌖|⌀0.2 Ⓜ|A|B|C"
        ));
        assert_eq!(pasted.refused, vec![], "{head}");
        assert_eq!(pasted.features.len(), 2, "{head}");
        let p = pasted.features[0].position().unwrap();
        assert_eq!((p.tolerance.0, p.datums.len()), (0.2, 3), "{head}");
    }
}

#[test]
fn rows_that_cannot_be_read_are_listed_with_line_and_reason() {
    for (text, line, reason) in [
        ("no\tx\ty\n1\t2\t3\nsum\t4", 3, ""),
        (
            "No\tX\tY\tDia\n1\t0\t0\t6.6 ±0.1\n2\t0\t0\t4X 6.6 ±0.1",
            3,
            "4 features and gives one place",
        ),
        ("No\tX\tY\tØ\tUpper\tLower\n1\t0\t0\t10\t0.2\t0.1", 2, "needs its sign"),
        ("No\tX\tY\tØ\tMax\tMin\n1\t0\t0\t10 H7\t10.02\t10", 2, "contradict"),
        ("No\tX\tY\tØ\tTol ±\n1\t0\t0\t10 ±0.2\t0.1", 2, "contradict"),
        ("No\tX\tY\tDatums\n1\t0\t0\tA B C", 2, "without a position tolerance"),
        ("No\tKind\tX\tY\tDirection\n1\thole\t0\t0\tx", 2, "no direction"),
        ("No\tRadius\tAngle\tX\n1\t5\t0\t5", 2, "twice"),
        ("No\tRadius\tX\n1\t5\t", 2, "no angle"),
        ("no kind x y size\n1 hole 10 20\n2 hole 10 20 6±0.1", 2, "4 cells for 5 columns"),
        ("no\tx\ty\n1\t2\t3\t4", 2, "4 cells for 3 columns"),
    ] {
        let pasted = paste(text);
        if reason.is_empty() {
            // A row of which a cell is missing is a feature without that figure, as the drawing may be.
            assert_eq!(pasted.features.len(), 2);
            continue;
        }
        assert_eq!(pasted.refused.len(), 1, "{text}: {pasted:?}");
        assert_eq!(pasted.refused[0].row, line, "{text}");
        assert!(pasted.refused[0].why.contains(reason), "{text}: {:?}", pasted.refused);
    }
}

#[test]
fn columns_that_are_not_used_are_listed() {
    let pasted = paste("No\tX\tY\tSupplier\tX\tempty\n1\t2\t3\tnorth\t5\t");
    assert_eq!(pasted.refused, vec![]);
    let why: Vec<Option<&str>> = pasted.columns.iter().map(|c| c.why_unused.as_deref()).collect();
    assert_eq!(
        why,
        [
            None,
            None,
            None,
            Some("its heading is not known"),
            Some("an earlier column is the X already"),
            None
        ]
    );
    assert_eq!(pasted.columns[3].sample, "north");
    // As a note it is kept.
    let mut meanings = pasted.meanings();
    meanings[3] = TableColumn::Note;
    let again =
        table("No\tX\tY\tSupplier\tX\tempty\n1\t2\t3\tnorth\t5\t", &metric(), Some(&meanings));
    assert_eq!(again.features[0].note, "north");
}

#[test]
fn whoever_pastes_can_say_what_the_columns_mean() {
    let text = "Alpha\tBeta\tGamma\n10\t20\t6.6 ±0.1\n30\t20\t6.6 ±0.1";
    let pasted = paste(text);
    assert!(pasted.headed);
    assert!(pasted.columns.iter().all(|c| c.meaning == TableColumn::Unused));
    let meanings = [TableColumn::X, TableColumn::Y, TableColumn::Size];
    let pasted = table(text, &metric(), Some(&meanings));
    let read: Vec<String> = pasted.features.iter().map(brief).collect();
    assert_eq!(read, ["1 hole 10 20 6.6 ±0.1", "2 hole 30 20 6.6 ±0.1"]);
    // The same headings, written a little otherwise, are found again; others are not.
    let key = |text: &str| paste(text).headings();
    assert_eq!(key(text), key("ALPHA;Beta ;gamma [mm]\n1;2;3"));
    assert_ne!(key(text), key("Beta\tAlpha\tGamma\n1\t2\t3"));
    assert_eq!(key("1\thole\t1\t2"), None);
    // X and Y the other way round.
    let text = "no\tx\ty\n1\t10\t20";
    let meanings = [TableColumn::Number, TableColumn::Y, TableColumn::X];
    let pasted = table(text, &metric(), Some(&meanings));
    assert_eq!(brief(&pasted.features[0]), "1 hole 20 10 -");
}

#[test]
fn a_program_or_prose_is_refused_as_such() {
    for (text, reason) in [
        (
            "%\nO1234\nN10 G90 G54\nN20 G81 X10. Y20. Z-5. R2. F100\nN30 X30. Y20.\nM30\n%",
            "program",
        ),
        ("G0X10Y20\nG1Z-3F80\nX12.5Y20", "program"),
        (
            "Hello,\nthe plate has 4 holes, all reamed, please look at the drawing.\nThank you, see you.",
            "running text",
        ),
    ] {
        let pasted = paste(text);
        assert!(pasted.no_table.is_some_and(|why| why.contains(reason)), "{text}");
        assert_eq!((pasted.features.len(), pasted.refused.len()), (0, 0), "{text}");
    }
}
