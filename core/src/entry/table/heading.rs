//! Headings of a pasted table: how they are compared, where they are, and which unit they name.

use super::Column;
use super::split::Row;
use crate::entry::{kind, number};
use crate::quantity::Unit;

/// Rows that may stand above the headings: titles.
const ABOVE: usize = 5;

/// A heading in lower case, without accents, units, brackets and dashes between letters: `X [mm]` and
/// `x` are one heading, `Abmaß` and `Abmass` are.
pub(in crate::entry) fn folded(heading: &str) -> String {
    let signs = heading.to_lowercase().replace("+/-", "±").replace("+/−", "±");
    let mut plain = String::with_capacity(signs.len());
    let mut before = ' ';
    for c in signs.chars() {
        match c {
            'à' | 'â' | 'ä' => plain.push('a'),
            'é' | 'è' | 'ê' | 'ë' => plain.push('e'),
            'î' | 'ï' => plain.push('i'),
            'ô' | 'ö' => plain.push('o'),
            'ù' | 'û' | 'ü' => plain.push('u'),
            'ç' => plain.push('c'),
            'ß' => plain.push_str("ss"),
            '⌀' | '∅' => plain.push('ø'),
            '−' | '–' => plain.push('-'),
            // A dash between letters joins words; beside anything else it is a sign.
            '-' if before.is_alphanumeric() => plain.push('\u{1}'),
            '+' | '-' | '#' | '±' | '⌖' => plain.push(c),
            '°' if before == 'n' => plain.push(c),
            c if c.is_alphanumeric() => plain.push(c),
            _ => plain.push(' '),
        }
        before = c;
    }
    let chars: Vec<char> = plain.chars().collect();
    let joined: String = chars
        .iter()
        .enumerate()
        .map(|(i, c)| match c {
            '\u{1}' if chars.get(i + 1).is_some_and(|c| c.is_alphanumeric()) => ' ',
            '\u{1}' => '-',
            c => *c,
        })
        .collect();
    let words: Vec<&str> = joined
        .split_whitespace()
        .filter(|w| {
            !matches!(*w, "mm" | "in" | "inch" | "inches" | "deg" | "grad" | "basic" | "the")
        })
        .collect();
    words.join(" ")
}

/// The row of headings, by its place among `rows`.
pub(super) fn find(rows: &[Row], unit: Unit) -> Option<usize> {
    let is_figure = |c: &String| number(c, unit).is_ok();
    let known = |row: &Row| row.cells.iter().filter(|c| Column::of(c) != Column::Unused).count();
    let heads = |row: &Row| known(row) >= 2 && !row.cells.iter().any(is_figure);
    if let Some(at) = rows.iter().take(ABOVE).position(heads) {
        return Some(at);
    }
    // Words over figures are headings, even if none of them is known.
    let first = rows.first()?;
    let words = first.cells.len() >= 2
        && !first.cells.iter().any(|c| is_figure(c) || c.starts_with(|c: char| c.is_ascii_digit()))
        && !first.cells.iter().any(|c| Column::of(c) == Column::Unused && kind(c).is_ok());
    let figures =
        rows.iter().skip(1).any(|row| row.cells.iter().filter(|c| is_figure(c)).count() >= 2);
    (words && figures).then_some(0)
}

/// The units that a row names where it holds nothing else, as a second row of headings does.
pub(super) fn only_units(row: &Row) -> bool {
    let bare =
        |c: &String| c.to_lowercase().trim_matches(['[', ']', '(', ')', ' ', '.']).to_owned();
    row.cells.iter().map(bare).all(|c| {
        matches!(c.as_str(), "" | "mm" | "in" | "inch" | "inches" | "deg" | "°" | "-" | "grad")
    })
}

/// A heading such as `X (mm)` over a table for a drawing in inches: nothing under it can be taken.
pub(super) fn foreign_unit(head: &str, unit: Unit) -> bool {
    head.to_lowercase().split(|c: char| !c.is_alphanumeric()).any(|word| match word {
        "mm" => unit == Unit::Inch,
        "in" | "inch" | "inches" => unit == Unit::Mm,
        _ => false,
    })
}
