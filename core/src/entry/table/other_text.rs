//! Texts that are no tables and could pass for one: programs of machines, and prose.

use crate::entry::{kind, number};
use crate::quantity::Unit;

/// Why a text is no table of features; `None` where it may be one.
pub(super) fn refusal(text: &str) -> Option<String> {
    if is_program(text) {
        return Some(
            "This is a program for a machine (G-code or the like) and not a table of features. \
             A program tells where a tool goes, not what the drawing asks. Nothing was taken."
                .to_owned(),
        );
    }
    is_prose(text).then(|| {
        "This is running text and not a table of features. Paste rows with a number, a kind and \
         coordinates in columns. Nothing was taken."
            .to_owned()
    })
}

/// Half of the lines or more are addresses with figures, some of which go to a place.
fn is_program(text: &str) -> bool {
    let lines: Vec<String> = text.lines().map(|l| without_comments(l).to_uppercase()).collect();
    if lines.iter().any(|l| ["BEGIN PGM", "CYCL DEF", "TOOL CALL"].iter().any(|w| l.contains(w))) {
        return true;
    }
    let all = lines.iter().filter(|l| !l.trim().is_empty()).count();
    let blocks: Vec<Vec<char>> = lines.iter().filter_map(|l| addresses(l)).collect();
    let has = |letters: &[char]| blocks.iter().flatten().any(|a| letters.contains(a));
    all >= 2 && blocks.len() * 2 >= all && has(&['G', 'M']) && has(&['X', 'Y'])
}

/// What stands in brackets or behind a semicolon explains a block of a program.
fn without_comments(line: &str) -> String {
    let mut out = String::new();
    let mut depth = 0_usize;
    for c in line.chars() {
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            ';' if depth == 0 => break,
            c if depth == 0 => out.push(c),
            _ => {}
        }
    }
    out
}

/// The letters of a line that is nothing but letters with figures, as `N10 G81 X10. Y-2.5`; `%`
/// stands alone.
fn addresses(line: &str) -> Option<Vec<char>> {
    let line = line.trim().trim_start_matches('/');
    if line == "%" {
        return Some(Vec::new());
    }
    let mut letters = Vec::new();
    let mut chars = line.chars().filter(|c| !c.is_whitespace()).peekable();
    while let Some(letter) = chars.next() {
        if !letter.is_ascii_uppercase() {
            return None;
        }
        let mut digits = 0;
        let mut first = true;
        while let Some(c) =
            chars.next_if(|c| c.is_ascii_digit() || *c == '.' || first && matches!(c, '+' | '-'))
        {
            digits += usize::from(c.is_ascii_digit());
            first = false;
        }
        if digits == 0 {
            return None;
        }
        letters.push(letter);
    }
    (!letters.is_empty()).then_some(letters)
}

/// More than half of the words are long and name no kind, there are hardly any figures, and lines
/// are sentences.
fn is_prose(text: &str) -> bool {
    if text.contains('\t') {
        return false;
    }
    let words: Vec<&str> =
        text.split(|c: char| c.is_whitespace() || matches!(c, ';' | '|' | ',')).collect();
    let words: Vec<&str> = words.into_iter().filter(|w| !w.is_empty()).collect();
    let figures = words.iter().filter(|w| number(w, Unit::Mm).is_ok()).count();
    let spoken = words
        .iter()
        .filter(|w| {
            let letters = w.trim_matches(|c: char| !c.is_alphabetic());
            letters.chars().count() >= 2
                && letters.chars().all(|c| c.is_alphabetic() || c == '-' || c == '\'')
                && kind(letters).is_err()
        })
        .count();
    words.len() >= 8 && spoken * 2 > words.len() && figures * 4 < words.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn programs_are_told_from_tables() {
        for program in [
            "%\nO1234\nN10 G90 G54\nN20 G81 X10. Y20. Z-5. R2. F100\nN30 X30. Y20.\nN40 G80\nM30\n%",
            "G0X10Y20\nG1Z-3F80\nX12.5Y20",
            "G81 X10 Y20 (hole; first)\nX30 ; the second\nX50",
            "0 BEGIN PGM PLATE MM\n1 CYCL DEF 200 DRILLING\n2 L X+10 Y+20 FMAX M99",
            "M48\nT01C0.8\n%\nT01\nX10.0Y20.0\nX30.0Y20.0\nM30",
        ] {
            assert!(is_program(program), "{program}");
        }
        for table in [
            "no\tkind\tx\ty\n1\thole\t10\t20",
            "X Y\n10 20\n30 40",
            "1 M6 10 20\n2 M6 20 30",
            "A1 B2\nA3 B4",
        ] {
            assert_eq!(refusal(table), None, "{table}");
        }
    }

    #[test]
    fn prose_is_told_from_tables() {
        for prose in [
            "Dear all,\nplease find attached the drawing of the plate, with 4 holes at 10, 20 and 30.\n",
            "The four holes are reamed to 6 H7 and deburred on both sides. Datum A is the large face.",
        ] {
            assert!(is_prose(prose), "{prose}");
        }
        for table in [
            "no kind x y size\n1 hole 10 20 6,6±0,1\n2 hole 20 30 6,6±0,1",
            "no,kind,x,y,note\n1,hole,10,20,reamed after bending\n2,slot,30,20,for the pin",
            "A face -x 0\nB face -y 0",
        ] {
            assert!(!is_prose(table), "{table}");
        }
    }
}
