//! Kinds, axes, sides, modifiers and datum letters as they are typed.

use super::{EntryError, refuse};
use crate::job::{BOUNDS, Kind, Modifier};
use crate::quantity::{Axis, Side};

/// Reads a kind: its word or its first letter, also in a few other trade words.
///
/// # Errors
/// A word that names no kind.
pub fn kind(text: &str) -> Result<Kind, EntryError> {
    let word = text.trim().to_lowercase();
    Ok(match word.split([' ', ',']).next().unwrap_or_default() {
        "hole" | "h" | "bore" | "holes" => Kind::Hole,
        "boss" | "b" | "pin" | "stud" => Kind::Boss,
        "slot" | "s" | "groove" | "keyway" => Kind::Slot,
        "tab" | "t" | "tongue" | "key" => Kind::Tab,
        "face" | "f" | "edge" | "plane" => Kind::Face,
        _ => {
            return refuse(format!(
                "“{}” is no kind of feature: hole, boss, slot, tab or face.",
                text.trim()
            ));
        }
    })
}

/// Reads an axis: `x` or `y`.
///
/// # Errors
/// Anything else.
pub fn axis(text: &str) -> Result<Axis, EntryError> {
    match text.trim().to_lowercase().as_str() {
        "x" | "along x" | "across x" => Ok(Axis::X),
        "y" | "along y" | "across y" => Ok(Axis::Y),
        _ => refuse(format!(
            "“{}” is no axis: write x or y, the axis the width lies along.",
            text.trim()
        )),
    }
}

/// Reads a side: `+x`, `-y`, `−Y`.
///
/// # Errors
/// Anything else; a sign is asked for, since it is what goes wrong.
pub fn side(text: &str) -> Result<Side, EntryError> {
    match text.trim().to_lowercase().replace(['−', '–'], "-").replace(' ', "").as_str() {
        "+x" => Ok(Side::PlusX),
        "-x" => Ok(Side::MinusX),
        "+y" => Ok(Side::PlusY),
        "-y" => Ok(Side::MinusY),
        "x" | "y" => {
            refuse("A face looks to one side: write the sign too, as in -x for a left-hand edge.")
        }
        _ => refuse(format!(
            "“{}” is no side: write +x, -x, +y or -y, where the face looks to.",
            text.trim()
        )),
    }
}

/// Reads a modifier: nothing, `M`, `MMC`, `L`, `LMC`, `RFS`, `none`, or the letters in rings.
///
/// # Errors
/// Anything else.
pub fn modifier(text: &str) -> Result<Modifier, EntryError> {
    match text.trim().to_uppercase().trim_matches(['(', ')']) {
        "" | "NONE" | "RFS" | "S" | "-" | "–" => Ok(Modifier::None),
        "M" | "MMC" | "Ⓜ" => Ok(Modifier::Mmc),
        "L" | "LMC" | "Ⓛ" => Ok(Modifier::Lmc),
        _ => refuse(format!("“{}” is no modifier: leave it empty, or write M or L.", text.trim())),
    }
}

/// Reads datum letters: `A B C`, `A|B|C`, `A, B, C`, `ABC`.
///
/// # Errors
/// More than three, a letter twice, a modifier on a datum (judged by no version yet), or a
/// text that is no letters.
pub fn datums(text: &str) -> Result<Vec<String>, EntryError> {
    let upper = text.trim().to_uppercase();
    if upper.contains(['(', ')', 'Ⓜ', 'Ⓛ']) || upper.contains("MMB") || upper.contains("RMB") {
        return refuse(
            "A datum with a material boundary is not judged by this version; write its letter alone.",
        );
    }
    let parts: Vec<String> = if upper.contains([' ', '|', ',', ';', '/', '-']) {
        upper
            .split([' ', '|', ',', ';', '/', '-'])
            .filter(|p| !p.is_empty())
            .map(str::to_owned)
            .collect()
    } else {
        upper.chars().map(String::from).collect()
    };
    if parts.len() > 3 {
        return refuse("A frame has three datums at most.");
    }
    for (i, p) in parts.iter().enumerate() {
        if !p.chars().all(char::is_alphabetic) || p.chars().count() > BOUNDS.label_chars {
            return refuse(format!("“{p}” is no datum letter."));
        }
        if parts[..i].contains(p) {
            return refuse(format!("Datum {p} stands there twice."));
        }
    }
    Ok(parts)
}

/// Reads the angle of a direction, in degrees from +X towards +Y.
///
/// # Errors
/// Not a number, or beyond a full turn.
pub fn degrees(text: &str) -> Result<f64, EntryError> {
    let value = super::figure::plain(text.trim().trim_end_matches('°'))?;
    if value.abs() > 360.0 {
        return refuse("An angle lies between -360 and 360 degrees.");
    }
    Ok(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn datum_letters_in_the_ways_they_are_written() {
        for text in ["A B C", "A|B|C", "a, b, c", "ABC", "A-B-C", " A | B | C "] {
            assert_eq!(datums(text), Ok(vec!["A".into(), "B".into(), "C".into()]), "{text}");
        }
        assert_eq!(datums(""), Ok(vec![]));
        for text in ["A B C D", "A A", "A B(M)", "A 1"] {
            assert!(datums(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_side_needs_its_sign() {
        assert_eq!(side("−X"), Ok(Side::MinusX));
        assert_eq!(side("+ y"), Ok(Side::PlusY));
        assert!(side("x").is_err());
    }
}
