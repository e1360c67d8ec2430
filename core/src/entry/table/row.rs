//! One row of a pasted table, read into a feature.

use super::split::Row;
use super::{Column, place, size_cells};
use crate::entry::{EntryError, axis, callouts, datums, kind, modifier, refuse, side};
use crate::job::{BOUNDS, Callout, Feature, Kind, Modifier};
use crate::quantity::Unit;

/// The cells of a row by what they mean.
pub(super) struct Cells<'a> {
    row: &'a Row,
    columns: &'a [Column],
}

impl<'a> Cells<'a> {
    pub(super) const fn new(row: &'a Row, columns: &'a [Column]) -> Self {
        Self { row, columns }
    }

    /// What stands in the column; `None` if it is empty.
    pub(super) fn get(&self, column: Column) -> Option<&'a str> {
        self.all(column).next()
    }

    /// The same; a dash alone is an empty cell of a figure.
    pub(super) fn figure(&self, column: Column) -> Option<&'a str> {
        self.get(column).filter(|t| !matches!(*t, "-" | "–" | "−" | "—"))
    }

    fn all(&self, column: Column) -> impl Iterator<Item = &'a str> {
        self.columns
            .iter()
            .zip(&self.row.cells)
            .filter(move |(c, t)| **c == column && !t.is_empty())
            .map(|(_, t)| t.as_str())
    }

    /// How many features the row says it is for, and the size without it.
    pub(super) fn quantity(&self) -> Result<usize, EntryError> {
        if let Some(text) = self.figure(Column::Quantity) {
            let bare = text.trim_end_matches(['x', 'X', '×']).trim();
            return match bare.parse::<usize>() {
                Ok(n) if (1..=BOUNDS.features).contains(&n) => Ok(n),
                _ => refuse(format!("“{text}” is no quantity. Write it like 4 or 4X.")),
            };
        }
        Ok([Column::Size, Column::Nominal, Column::Tolerance]
            .into_iter()
            .find_map(|c| count_before(self.get(c)?).0)
            .unwrap_or(1))
    }

    /// What rows for the same group of features have in common.
    pub(super) fn group(&self) -> Vec<&'a str> {
        [
            Column::Quantity,
            Column::Size,
            Column::Nominal,
            Column::Lower,
            Column::Upper,
            Column::Tolerance,
        ]
        .into_iter()
        .map(|c| self.get(c).unwrap_or_default())
        .collect()
    }
}

/// `4X ⌀6.6`: how many, and what follows.
pub(super) fn count_before(text: &str) -> (Option<usize>, &str) {
    let rest = text.trim_start_matches(|c: char| c.is_ascii_digit());
    let count = text.get(..text.len() - rest.len()).and_then(|digits| digits.parse().ok());
    let after = rest.trim_start().strip_prefix(['x', 'X', '×']);
    match (count, after) {
        (Some(n @ 1..=999), Some(after))
            if !after.starts_with(char::is_alphabetic) || after.starts_with(['ø', 'Ø']) =>
        {
            (Some(n), after.trim_start())
        }
        _ => (None, text),
    }
}

/// The feature of a row. `name` is its number where the table has no column of numbers.
pub(super) fn feature(
    row: &Row,
    columns: &[Column],
    name: Option<&str>,
    unit: Unit,
) -> Result<Feature, EntryError> {
    let cells = Cells::new(row, columns);
    // Everything that is wrong with the row is said at once, not one thing at each try.
    let mut wrong = Vec::new();
    let mut feature = Feature::default();
    match cells.get(Column::Number).or(name) {
        None => wrong.push("Its number is missing.".to_owned()),
        Some(name) if name.chars().count() > BOUNDS.label_chars => wrong.push(format!(
            "“{name}” is too long for a number ({} characters).",
            BOUNDS.label_chars
        )),
        Some(name) => name.clone_into(&mut feature.number),
    }
    if let Some(text) = cells.get(Column::Kind) {
        match kind(text) {
            Ok(found) => {
                feature.kind = found;
                direction_in(text, &mut feature);
            }
            Err(why) => wrong.push(why.0),
        }
    }
    if let Some(text) = cells.figure(Column::Direction) {
        match feature.kind {
            Kind::Slot | Kind::Tab => feature.across = taken(axis(text), &mut wrong),
            Kind::Face => feature.looks = taken(side(text), &mut wrong),
            // The axis of what is round is normal to the view.
            Kind::Hole | Kind::Boss if text.eq_ignore_ascii_case("z") => {}
            Kind::Hole | Kind::Boss => {
                wrong.push(format!("“{text}”: a {} has no direction.", feature.kind.word()))
            }
        }
    }
    if let Some([x, y]) = taken(place::place(&cells, unit), &mut wrong) {
        (feature.x, feature.y) = (x, y);
    }
    feature.size = taken(size_cells::limits(&cells, unit), &mut wrong).flatten();
    let mut remarks: Vec<String> = cells.all(Column::Note).map(str::to_owned).collect();
    feature.callouts = taken(positions(&cells, unit, &mut remarks), &mut wrong).unwrap_or_default();
    feature.note = remarks.join("; ");
    if feature.note.chars().count() > BOUNDS.text_chars {
        wrong.push(format!("Its note is longer than {} characters.", BOUNDS.text_chars));
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

/// `0.010`, `⌀0.010 M`, `0.010 dia MMC`, `0.008 (two planes, along x)`, or whole callouts as they are
/// typed. Modifier and datums may stand in cells of their own, of the first callout. What stands in
/// brackets and is no mark of a callout goes to the remarks.
fn positions(
    cells: &Cells<'_>,
    unit: Unit,
    remarks: &mut Vec<String>,
) -> Result<Vec<Callout>, EntryError> {
    let stated = cells.figure(Column::Modifier).map(modifier).transpose()?;
    let list = cells.figure(Column::Datums);
    let Some(text) = cells.figure(Column::Tolerance) else {
        if list.is_some() || stated.is_some_and(|m| m != Modifier::None) {
            return refuse("Its modifier or its datums stand without a position tolerance.");
        }
        return Ok(Vec::new());
    };
    let (bare, inside) = without_remarks(text);
    remarks.extend(inside);
    let mut all = callouts(&bare, unit)?;
    let Some(Callout::Position(first)) = all.first_mut() else { return Ok(all) };
    if let Some(stated) = stated {
        if first.modifier != Modifier::None && first.modifier != stated {
            return refuse("Its callout and its modifier contradict each other.");
        }
        first.modifier = stated;
    }
    if let Some(stated) = list.map(datums).transpose()? {
        if !first.datums.is_empty() && first.datums != stated {
            return refuse("Its callout and its list of datums contradict each other.");
        }
        first.datums = stated;
    }
    Ok(all)
}

/// The text without what stands in brackets and is no mark of a callout, and that.
fn without_remarks(text: &str) -> (String, Vec<String>) {
    let (mut out, mut remarks) = (String::with_capacity(text.len()), Vec::new());
    let mut rest = text;
    while let Some((before, behind)) = rest.split_once('(') {
        out.push_str(before);
        let (inside, after) = behind.split_once(')').unwrap_or((behind, ""));
        match inside.trim() {
            mark if mark.chars().count() <= 3 => out.push_str(&format!("({mark})")),
            remark => remarks.push(remark.to_owned()),
        }
        rest = after;
    }
    out.push_str(rest);
    (out, remarks)
}
