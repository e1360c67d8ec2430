//! Sides and datum letters as they are typed.

use super::symbols::plain_symbols;
use super::{EntryError, refuse};
use crate::job::{BOUNDS, DatumRef};
use crate::quantity::Side;

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

/// Reads datum letters: `A B C`, `A|B|C`, `A, B, C`, `ABC`; each with its boundary where it has
/// one, and the translation modifier: `A | B(M) | C(M)`, `A | B | C▷`, `A B C>`, `A | B | C (T)`.
/// Between bars a letter may have its M or L beside it without brackets: `A | B M`.
///
/// # Errors
/// More than three, a letter twice, a common datum as in `A-B`, or a text that is no letters.
pub fn datums(text: &str) -> Result<Vec<DatumRef>, EntryError> {
    let mut upper = plain_symbols(text).trim().to_uppercase();
    for (from, to) in [
        ("(MMB)", "(M)"),
        ("(LMB)", "(L)"),
        ("(RMB)", ""),
        ("(T)", "▷"),
        (">", "▷"),
        (" (", "("),
        (" ▷", "▷"),
    ] {
        upper = upper.replace(from, to);
    }
    no_common_datum(&upper)?;
    let bars = upper.contains('|');
    let mut parts: Vec<String> = Vec::new();
    for compartment in upper.split('|') {
        let words: Vec<&str> =
            compartment.split([' ', ',', ';', '/', '-', '–']).filter(|w| !w.is_empty()).collect();
        match words.as_slice() {
            [letter, mark @ ("M" | "L")] if bars => parts.push(format!("{letter}({mark})")),
            // Without bars a letter that stands behind another may be meant as its boundary.
            [letter, rest @ ..] if rest.iter().any(|w| matches!(*w, "M" | "L")) => {
                return refuse(format!(
                    "M and L behind a datum may be its boundary or datums themselves: write \
                     {letter}(M), or each datum between bars."
                ));
            }
            [one] if !bars && !doubled(one) => parts.extend(one_by_one(one)),
            some => parts.extend(some.iter().map(ToString::to_string)),
        }
    }
    if parts.len() > 3 {
        return refuse("A frame has three datums at most.");
    }
    let parts: Vec<DatumRef> = parts.into_iter().map(DatumRef::from).collect();
    for (i, datum) in parts.iter().enumerate() {
        let p = &datum.letter;
        if p.is_empty()
            || !p.chars().all(char::is_alphabetic)
            || p.chars().count() > BOUNDS.label_chars
        {
            return refuse(format!("“{p}” is no datum letter."));
        }
        if parts.iter().take(i).any(|other| other.letter == *p) {
            return refuse(format!("Datum {p} is repeated."));
        }
    }
    Ok(parts)
}

/// `A-B` is one datum of two features, and not two datums.
fn no_common_datum(upper: &str) -> Result<(), EntryError> {
    let chars: Vec<char> = upper.chars().filter(|c| *c != ' ').collect();
    for (i, c) in chars.iter().enumerate().filter(|(_, c)| matches!(c, '-' | '–' | '−' | '—'))
    {
        let before = i.checked_sub(1).and_then(|i| chars.get(i));
        let after = chars.get(i + 1).filter(|c| c.is_alphabetic());
        if let (Some(_), Some(_)) = (before.filter(|c| !matches!(c, '|')), after) {
            return refuse(format!(
                "“{}” is a common datum: one axis or plane through two features, which is not \
                 supported. Two datums are written with a bar or a blank between them; a pattern of \
                 holes that is one datum is entered under Datums, as in fit 1 2.",
                upper.trim().replace('−', "-")
            ));
        }
        if chars.len() > 1 {
            return refuse(format!("“{c}” is no datum letter."));
        }
    }
    Ok(())
}

/// `AA`, as the letters after Z are written, with or without its boundary.
fn doubled(word: &str) -> bool {
    let letters: Vec<char> = DatumRef::from(word).letter.chars().collect();
    matches!(letters.as_slice(), [a, b] if a == b)
}

/// `AB(M)C(M)▷` as `A`, `B(M)`, `C(M)▷`.
fn one_by_one(text: &str) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    let mut inside = false;
    for c in text.chars() {
        inside |= c == '(';
        match parts.last_mut().filter(|_| inside || c == '▷') {
            Some(last) => last.push(c),
            None => parts.push(c.into()),
        }
        inside &= c != ')';
    }
    parts
}

/// Reads the angle of a direction, in degrees from +X towards +Y.
///
/// # Errors
/// Not a number, or beyond a full turn.
pub fn degrees(text: &str) -> Result<f64, EntryError> {
    let value = crate::notation::plain(text.trim().trim_end_matches('°'))?;
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
        for text in ["A B C", "A|B|C", "a, b, c", "ABC", "| A | B | C |", " A | B | C "] {
            assert_eq!(datums(text), Ok(DatumRef::all(&["A", "B", "C"])), "{text}");
        }
        for text in ["A B(M) C(M)", "a|b(m)|c(m)", "AB(M)C(M)", "A, BⓂ, C Ⓜ", "A | B (MMB) | C(M)"]
        {
            assert_eq!(datums(text), Ok(DatumRef::all(&["A", "B(M)", "C(M)"])), "{text}");
        }
        for text in ["A B(M)▷ C>", "a|b(m)(t)|c (t)", "AB(M)▷C▷", "A, B Ⓜ ▷, C >", "A B(MMB)> C>"]
        {
            assert_eq!(datums(text), Ok(DatumRef::all(&["A", "B(M)▷", "C▷"])), "{text}");
        }
        assert_eq!(datums(""), Ok(vec![]));
        for text in ["A-B", "A – B", "A-B-C", "A | B-C"] {
            assert!(datums(text).is_err_and(|e| e.0.contains("common datum")), "{text}");
        }
        assert_eq!(datums("AA"), Ok(DatumRef::all(&["AA"])));
        assert_eq!(datums("AB |"), Ok(DatumRef::all(&["AB"])));
        assert_eq!(datums("A | B M"), Ok(DatumRef::all(&["A", "B(M)"])));
        assert!(datums("A M").is_err_and(|e| e.0.contains("A(M)")));
        for text in ["A B C D", "A A", "A A(M)", "A 1", "A B(X)", "(M)", "A A>", "> A", "A C>>"] {
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
