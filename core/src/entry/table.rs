//! A table of features pasted from a spreadsheet or a text.
//!
//! Columns are told by their header, in the words people use, or by their order where there is
//! none. A row that cannot be read is refused by its number and its reason; the others stand.

use super::{EntryError, axis, callouts, datums, kind, modifier, number, refuse, side, size};
use crate::job::{BOUNDS, Callout, Drawing, Feature, Kind, Modifier, SizeLimits};
use crate::quantity::{Figure, Unit};
use std::collections::HashSet;

/// What a pasted table gave.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pasted {
    /// Features read, in the order of their rows.
    pub features: Vec<Feature>,
    /// Rows that were not taken.
    pub refused: Vec<Refused>,
    /// What each column was taken for, for the page to say.
    pub columns: Vec<String>,
}

/// A row that was not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// Line of the pasted text, from 1.
    pub row: usize,
    /// The row as it was pasted.
    pub text: String,
    /// Why, in a sentence.
    pub why: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    Number,
    Kind,
    Direction,
    X,
    Y,
    Size,
    Lower,
    Upper,
    Nominal,
    Plus,
    Minus,
    LowerDeviation,
    Tolerance,
    Modifier,
    Datums,
    Note,
    Unknown,
}

impl Column {
    /// The order in which columns are taken when there is no header.
    const ORDER: [Self; 9] = [
        Self::Number,
        Self::Kind,
        Self::X,
        Self::Y,
        Self::Size,
        Self::Tolerance,
        Self::Modifier,
        Self::Datums,
        Self::Note,
    ];

    fn of(header: &str) -> Self {
        let bare: String = header
            .to_lowercase()
            .chars()
            .map(|c| if c.is_alphanumeric() || c == '+' || c == '-' || c == '#' { c } else { ' ' })
            .collect();
        let words: Vec<&str> = bare
            .split_whitespace()
            .filter(|w| !matches!(*w, "mm" | "in" | "inch" | "basic" | "the"))
            .collect();
        match words.join(" ").as_str() {
            "no" | "nr" | "number" | "item" | "balloon" | "#" | "id" | "feature no"
            | "feature number" => Self::Number,
            "kind" | "type" | "feature" | "what" => Self::Kind,
            "direction" | "across" | "along" | "looks" | "axis" => Self::Direction,
            "x" | "x from b" | "x from datum" | "x coordinate" | "x nominal" | "nominal x" => {
                Self::X
            }
            "y" | "y from b" | "y from datum" | "y coordinate" | "y nominal" | "nominal y" => {
                Self::Y
            }
            "size" | "limits" | "diameter" | "dia" | "width" | "size limits" | "limits of size" => {
                Self::Size
            }
            "lower" | "min" | "minimum" | "lower limit" | "low limit" | "size min" | "min size" => {
                Self::Lower
            }
            "upper" | "max" | "maximum" | "upper limit" | "high limit" | "size max"
            | "max size" => Self::Upper,
            "nominal" | "nominal size" => Self::Nominal,
            "plus" | "+" | "+tol" | "+ tol" | "upper deviation" => Self::Plus,
            "minus" | "-" | "-tol" | "- tol" => Self::Minus,
            "lower deviation" | "ei" => Self::LowerDeviation,
            "position" | "tolerance" | "tol" | "true position" | "position tolerance" | "tp"
            | "pos" => Self::Tolerance,
            "modifier" | "mod" | "material condition" | "mc" => Self::Modifier,
            "datums" | "datum" | "frame" | "datum frame" => Self::Datums,
            "note" | "notes" | "remark" | "remarks" | "comment" => Self::Note,
            _ => Self::Unknown,
        }
    }

    const fn words(self) -> &'static str {
        match self {
            Self::Number => "number",
            Self::Kind => "kind",
            Self::Direction => "direction",
            Self::X => "X",
            Self::Y => "Y",
            Self::Size => "limits of size",
            Self::Lower => "lower limit",
            Self::Upper => "upper limit",
            Self::Nominal => "nominal size",
            Self::Plus => "upper deviation",
            Self::Minus => "minus deviation",
            Self::LowerDeviation => "lower deviation",
            Self::Tolerance => "position tolerance",
            Self::Modifier => "modifier",
            Self::Datums => "datums",
            Self::Note => "note",
            Self::Unknown => "not used",
        }
    }
}

/// Reads a pasted table for `drawing`, in the drawing's unit.
///
/// Separated by tabs, semicolons, bars or commas; with commas between the cells, decimals take a
/// point. Numbers already on the drawing, or twice in the table, are refused.
#[must_use]
pub fn table(text: &str, drawing: &Drawing) -> Pasted {
    let rows = rows(text);
    let mut pasted = Pasted::default();
    let Some(first) = rows.first() else { return pasted };
    let named: Vec<Column> = first.cells.iter().map(|c| Column::of(c)).collect();
    let has_header = named.iter().filter(|c| **c != Column::Unknown).count() >= 2;
    let columns: Vec<Column> = if has_header { named } else { Column::ORDER.to_vec() };
    if let Some(head) = first.cells.iter().find(|h| has_header && foreign_unit(h, drawing.unit)) {
        pasted.refused.push(Refused {
            row: first.line,
            text: first.cells.join(" · "),
            why: format!(
                "The column “{head}” is in another unit than the drawing, which is in {}. Convert the table, or change the drawing's unit first.",
                drawing.unit.word()
            ),
        });
        return pasted;
    }
    pasted.columns = columns.iter().map(|c| c.words().to_owned()).collect();
    let mut taken: HashSet<String> = drawing.features.iter().map(|f| f.number.clone()).collect();
    for row in rows.iter().skip(usize::from(has_header)) {
        let result = feature(row, &columns, drawing.unit).and_then(|f| {
            if drawing.features.len() + pasted.features.len() >= BOUNDS.features {
                return refuse(format!("A drawing holds {} features at most.", BOUNDS.features));
            }
            if taken.insert(f.number.clone()) {
                Ok(f)
            } else {
                refuse(format!("Number {} is there already.", f.number))
            }
        });
        match result {
            Ok(f) => pasted.features.push(f),
            Err(why) => pasted.refused.push(Refused {
                row: row.line,
                text: row.cells.join(" · "),
                why: why.0,
            }),
        }
    }
    pasted
}

struct Row {
    line: usize,
    cells: Vec<String>,
}

fn rows(text: &str) -> Vec<Row> {
    let separator = if text.contains('\t') {
        b'\t'
    } else if text.contains(';') {
        b';'
    } else if text.contains('|') {
        b'|'
    } else {
        b','
    };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .quoting(separator != b'|')
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    for record in reader.records().flatten() {
        let line = record.position().map_or(0, |p| usize::try_from(p.line()).unwrap_or(0));
        let mut cells: Vec<String> = record.iter().map(str::to_owned).collect();
        if separator == b'|' {
            // A table drawn with bars has them at both ends, and a rule of dashes.
            if cells.first().is_some_and(String::is_empty) {
                cells.remove(0);
            }
            if cells.last().is_some_and(String::is_empty) {
                cells.pop();
            }
            if cells.iter().all(|c| !c.is_empty() && c.chars().all(|c| matches!(c, '-' | ':'))) {
                continue;
            }
        }
        if cells.iter().any(|c| !c.is_empty()) {
            rows.push(Row { line, cells });
        }
    }
    rows
}

fn feature(row: &Row, columns: &[Column], unit: Unit) -> Result<Feature, EntryError> {
    let cell = |column: Column| -> Option<&str> {
        let at = columns.iter().position(|c| *c == column)?;
        row.cells.get(at).map(String::as_str).filter(|t| !t.is_empty())
    };
    if row.cells.len() > columns.len() && row.cells[columns.len()..].iter().any(|c| !c.is_empty()) {
        return refuse(format!(
            "It has {} cells for {} columns. With commas between cells, write decimals with a point.",
            row.cells.len(),
            columns.len()
        ));
    }
    // Everything that is wrong with the row is said at once, not one thing at each try.
    let mut wrong = Vec::new();
    let mut feature = Feature::default();
    match cell(Column::Number) {
        None => wrong.push("Its number is missing.".to_owned()),
        Some(name) if name.chars().count() > BOUNDS.label_chars => wrong.push(format!(
            "“{name}” is too long for a number ({} characters).",
            BOUNDS.label_chars
        )),
        Some(name) => name.clone_into(&mut feature.number),
    }
    if let Some(text) = cell(Column::Kind) {
        match kind(text) {
            Ok(found) => {
                feature.kind = found;
                direction_in(text, &mut feature);
            }
            Err(why) => wrong.push(why.0),
        }
    }
    if let Some(text) = cell(Column::Direction) {
        match feature.kind {
            Kind::Slot | Kind::Tab => feature.across = taken(axis(text), &mut wrong),
            Kind::Face => feature.looks = taken(side(text), &mut wrong),
            Kind::Hole | Kind::Boss => {}
        }
    }
    let coordinate = |column: Column| -> Result<Option<Figure>, EntryError> {
        let Some(text) = cell(column).filter(|t| !matches!(*t, "-" | "–" | "−")) else {
            return Ok(None);
        };
        number(text, unit).map(Some).map_err(|e| EntryError(format!("{}: {e}", column.words())))
    };
    feature.x = taken(coordinate(Column::X), &mut wrong).flatten();
    feature.y = taken(coordinate(Column::Y), &mut wrong).flatten();
    feature.size = taken(limits(&cell, unit), &mut wrong).flatten();
    feature.callouts = taken(positions(&cell, unit), &mut wrong).unwrap_or_default();
    if let Some(text) = cell(Column::Note) {
        text.chars().take(BOUNDS.text_chars).collect::<String>().clone_into(&mut feature.note);
    }
    if wrong.is_empty() { Ok(feature) } else { refuse(wrong.join(" ")) }
}

/// The value, or its error among those of the row.
fn taken<T>(result: Result<T, EntryError>, wrong: &mut Vec<String>) -> Option<T> {
    result.map_err(|why| wrong.push(why.0)).ok()
}

/// `slot, width along x` says the direction beside the kind.
fn direction_in(text: &str, feature: &mut Feature) {
    let Some((_, rest)) = text.split_once([',', ' ']) else { return };
    let word = rest.split_whitespace().last().unwrap_or_default();
    match feature.kind {
        Kind::Slot | Kind::Tab => feature.across = axis(word).ok(),
        Kind::Face => feature.looks = side(word).ok(),
        Kind::Hole | Kind::Boss => {}
    }
}

fn limits<'a>(
    cell: &impl Fn(Column) -> Option<&'a str>,
    unit: Unit,
) -> Result<Option<SizeLimits>, EntryError> {
    // A minus column holds the amount, with or without its sign; a lower deviation is signed.
    let minus = match (cell(Column::Minus), cell(Column::LowerDeviation)) {
        (Some(text), _) => {
            let value = number(text, unit)?;
            Some(if text.starts_with('+') { value } else { Figure(-value.0.abs()) })
        }
        (None, Some(text)) => Some(number(text, unit)?),
        (None, None) => None,
    };
    let plus = cell(Column::Plus).map(|text| number(text, unit)).transpose()?;
    if let Some(text) = cell(Column::Size).filter(|t| !matches!(*t, "-" | "–" | "−")) {
        if let (Some(upper), Some(lower)) = (plus, minus) {
            return deviations(text, lower, upper, unit).map(Some);
        }
        return size(text, unit).map(Some);
    }
    if let (Some(lower), Some(upper)) = (cell(Column::Lower), cell(Column::Upper)) {
        return size(&format!("{lower} {upper}"), unit).map(Some);
    }
    match (cell(Column::Nominal), plus, minus) {
        (Some(nominal), Some(upper), Some(lower)) => {
            deviations(nominal, lower, upper, unit).map(Some)
        }
        (None, None, None) if cell(Column::Lower).is_none() && cell(Column::Upper).is_none() => {
            Ok(None)
        }
        _ => refuse("Its limits of size are incomplete."),
    }
}

fn deviations(
    nominal: &str,
    lower: Figure,
    upper: Figure,
    unit: Unit,
) -> Result<SizeLimits, EntryError> {
    let size = SizeLimits::Deviations { nominal: number(nominal, unit)?, lower, upper };
    if size.limits(unit).is_some() {
        Ok(size)
    } else {
        refuse("Its limits are the wrong way round or not above zero.")
    }
}

/// A head such as `X (mm)` over a table for a drawing in inches: nothing under it can be taken.
fn foreign_unit(head: &str, unit: Unit) -> bool {
    head.to_lowercase().split(|c: char| !c.is_alphanumeric()).any(|word| match word {
        "mm" => unit == Unit::Inch,
        "in" | "inch" | "inches" => unit == Unit::Mm,
        _ => false,
    })
}

/// `0.010`, `⌀0.010 M`, `0.010 dia MMC`, `0.008 (two planes, along x)`, or whole callouts as they are
/// typed. Modifier and datums may stand in cells of their own, of the first callout.
fn positions<'a>(
    cell: &impl Fn(Column) -> Option<&'a str>,
    unit: Unit,
) -> Result<Vec<Callout>, EntryError> {
    let Some(text) = cell(Column::Tolerance).filter(|t| !matches!(*t, "-" | "–" | "−")) else {
        return Ok(Vec::new());
    };
    let mut all = callouts(&without_remarks(text), unit)?;
    let Some(Callout::Position(first)) = all.first_mut() else { return Ok(all) };
    if let Some(stated) = cell(Column::Modifier).map(modifier).transpose()? {
        if first.modifier != Modifier::None && first.modifier != stated {
            return refuse("Its callout and its modifier contradict each other.");
        }
        first.modifier = stated;
    }
    if let Some(stated) = cell(Column::Datums).map(datums).transpose()? {
        if !first.datums.is_empty() && first.datums != stated {
            return refuse("Its callout and its list of datums contradict each other.");
        }
        first.datums = stated;
    }
    Ok(all)
}

/// The text without what stands in brackets and is no mark of a callout.
fn without_remarks(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, behind)) = rest.split_once('(') {
        out.push_str(before);
        let Some((inside, after)) = behind.split_once(')') else { return out };
        if inside.trim().chars().count() <= 3 {
            out.push_str(&format!("({})", inside.trim()));
        }
        rest = after;
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Axis, Length};

    fn drawing() -> Drawing {
        Drawing { unit: Unit::Inch, decimals: 4, ..Drawing::default() }
    }

    #[test]
    fn a_table_from_a_spreadsheet_with_its_header() {
        let text = "No\tFeature\tX\tY\tSize\tPosition\tModifier\tDatums\n\
                    1\thole\t0.7500\t.75\t.3750 to .3780\t.010 dia\tMMC\tA B C\n\
                    7\tslot, width along x\t2.0\t2.62\t.2480 .2520\t0.008 (two planes, along x)\tnone\tA|B|C\n";
        let p = table(text, &drawing());
        assert_eq!(p.refused, vec![]);
        assert_eq!(p.features.len(), 2);
        assert_eq!(p.features[0].position().map(|p| p.modifier), Some(Modifier::Mmc));
        assert_eq!(p.features[1].across, Some(Axis::X));
        assert_eq!(
            p.features[1].x.map(|f| f.length(Unit::Inch)),
            Some(Length::of(2.0, Unit::Inch))
        );
    }

    #[test]
    fn semicolons_and_decimal_commas() {
        let p = table("no;kind;x;y;lower;upper;tol\n1;h;10,5;20,25;6,6;6,75;0,1\n", &drawing());
        assert_eq!(p.refused, vec![]);
        assert_eq!(p.features[0].x, Some(Figure(10.5)));
    }

    #[test]
    fn commas_without_a_header_and_a_table_drawn_with_bars() {
        let p = table("1,hole,.75,.75,.375 .378,.010,M,ABC", &drawing());
        assert_eq!((p.features.len(), p.refused.len()), (1, 0));
        let p = table(
            "| no | feature | x | y |\n|---|---|---|---|\n| 1 | boss | 1 | 2 |\n",
            &drawing(),
        );
        assert_eq!((p.features.len(), p.refused.len()), (1, 0));
        assert_eq!(p.features[0].kind, Kind::Boss);
    }

    #[test]
    fn bad_rows_are_refused_by_number_and_reason_and_the_others_stand() {
        let mut d = drawing();
        d.features.push(Feature { number: "9".to_owned(), ..Feature::default() });
        let text = "no\tkind\tx\ty\n1\thole\t1\t2\n2\tcone\t1\t2\n3\thole\t1.2.3\t2\n1\thole\t4\t5\n9\thole\t1\t1\n\thole\t1\t1\n4\thole\t5\t6";
        let p = table(text, &d);
        assert_eq!(p.features.iter().map(|f| f.number.as_str()).collect::<Vec<_>>(), ["1", "4"]);
        assert_eq!(p.refused.iter().map(|r| r.row).collect::<Vec<_>>(), [3, 4, 5, 6, 7]);
        assert!(p.refused[1].why.contains("1.2.3"), "{:?}", p.refused[1]);
        let p = table("no\tkind\tx\ty\n5\tcone\t1\t7..8", &d);
        let why = &p.refused[0].why;
        assert!(why.contains("cone") && why.contains("7..8"), "all that is wrong at once: {why}");
    }

    #[test]
    fn another_unit_is_refused_and_no_sign_is_lost() {
        let p = table("no\tkind\tX (mm)\tY (mm)\n1\thole\t10\t20", &drawing());
        assert_eq!((p.features.len(), p.refused.len()), (0, 1));
        let p = table(
            "no\tkind\tx\ty\ttol\n1\thole\t1\t2\t0.25 mm\n2\thole\t1\t2\t.010 in",
            &drawing(),
        );
        assert_eq!((p.features.len(), p.refused.len()), (1, 1), "{:?}", p.refused);
        let p = table(
            "no;kind;nominal;upper deviation;lower deviation\n1;boss;10;0,028;0,015",
            &drawing(),
        );
        let limits = p.features[0].size.and_then(|s| s.limits(Unit::Inch)).unwrap();
        assert!((limits.lower.to(Unit::Inch) - 10.015).abs() < 1e-12);
    }

    #[test]
    fn decimal_commas_between_comma_cells_are_not_guessed() {
        let p = table("no,kind,x,y\n1,hole,1,5,2,5", &drawing());
        assert_eq!(p.features.len(), 0);
        assert!(p.refused[0].why.contains("point"));
    }
}
