//! Text as it is drawn: put into one form, freed of what has no drawing, broken
//! into lines.

use super::font::{Face, advance, has_glyph};
use std::borrow::Cow;
use unicode_normalization::{UnicodeNormalization, is_nfc};

/// `text` as both renderers draw it: in Normalization Form C (Unicode Standard
/// Annex 15), line ends and tabs as spaces, other control characters as U+FFFD, and
/// without characters that only direct the text around them (bidirectional controls,
/// joiners, soft hyphens, variation selectors).
///
/// A character that no face can draw stays in the text, see [`missing`]; a mark
/// stands for it on the page.
#[must_use]
pub fn drawn(text: &str) -> Cow<'_, str> {
    if text.bytes().all(|byte| (0x20..0x7F).contains(&byte)) {
        return Cow::Borrowed(text);
    }
    if is_nfc(text) && text.chars().all(|character| visible(character) == Some(character)) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.chars().filter_map(visible).nfc().collect())
}

/// The characters of `text` that cannot be drawn, each once, in their order.
#[must_use]
pub fn missing(text: &str) -> Vec<char> {
    let mut found = Vec::new();
    for character in drawn(text).chars() {
        if !has_glyph(character) && !found.contains(&character) {
            found.push(character);
        }
    }
    found
}

/// What is drawn for a character, if anything.
fn visible(character: char) -> Option<char> {
    match character {
        '\t' | '\n' | '\r' | '\u{85}' | '\u{2028}' | '\u{2029}' => Some(' '),
        '\0'..='\u{1F}' | '\u{7F}'..='\u{9F}' => Some('\u{FFFD}'),
        // Default_Ignorable_Code_Point, Unicode Character Database.
        '\u{AD}'
        | '\u{34F}'
        | '\u{61C}'
        | '\u{115F}'..='\u{1160}'
        | '\u{17B4}'..='\u{17B5}'
        | '\u{180B}'..='\u{180F}'
        | '\u{200B}'..='\u{200F}'
        | '\u{202A}'..='\u{202E}'
        | '\u{2060}'..='\u{206F}'
        | '\u{3164}'
        | '\u{FE00}'..='\u{FE0F}'
        | '\u{FEFF}'
        | '\u{FFA0}'
        | '\u{FFF0}'..='\u{FFF8}'
        | '\u{1BCA0}'..='\u{1BCA3}'
        | '\u{1D173}'..='\u{1D17A}'
        | '\u{E0000}'..='\u{E0FFF}' => None,
        other => Some(other),
    }
}

/// Breaks `text` into lines at most `room` millimetres long at a font size of `size`
/// millimetres, between words; a word longer than a line is broken where it must be.
/// A line end in the text starts a new line. At least one line comes back.
#[must_use]
pub fn wrap(face: Face, text: &str, size: f64, room: f64) -> Vec<String> {
    let mut lines = Vec::new();
    for paragraph in text.lines() {
        let paragraph = drawn(paragraph);
        let mut line = String::new();
        for word in paragraph.split(' ').filter(|word| !word.is_empty()) {
            let start = line.len();
            if start > 0 {
                line.push(' ');
            }
            line.push_str(word);
            if advance(face, &line, size) <= room {
                continue;
            }
            line.truncate(start);
            if start > 0 {
                lines.push(std::mem::take(&mut line));
            }
            for character in word.chars() {
                let end = line.len();
                line.push(character);
                if end > 0 && advance(face, &line, size) > room {
                    line.truncate(end);
                    lines.push(std::mem::replace(&mut line, character.to_string()));
                }
            }
        }
        lines.push(line);
    }
    if lines.is_empty() {
        lines.push(String::new());
    }
    lines
}

/// `text` if it is at most `room` millimetres long, or as much of its beginning as
/// fits with an ellipsis behind it.
#[must_use]
pub fn fit(face: Face, text: &str, size: f64, room: f64) -> String {
    let text = drawn(text);
    if advance(face, &text, size) <= room {
        return text.into_owned();
    }
    let ellipsis = advance(face, "…", size);
    let mut kept = String::new();
    for character in text.chars() {
        kept.push(character);
        if advance(face, &kept, size) + ellipsis > room {
            kept.pop();
            break;
        }
    }
    kept.truncate(kept.trim_end().len());
    kept.push('…');
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mark::width;

    #[test]
    fn letters_are_put_together() {
        assert_eq!(drawn("Nguye\u{302}\u{303}n"), "Nguyễn");
        assert_eq!(drawn("\u{212B}"), "Å");
        assert!(matches!(drawn("plain"), Cow::Borrowed(_)));
        assert!(matches!(drawn("Łódź −.0042"), Cow::Borrowed(_)));
    }

    #[test]
    fn what_only_directs_the_text_is_dropped() {
        assert_eq!(drawn("a\u{202E}b\u{200D}c\u{AD}d\u{FEFF}"), "abcd");
        assert_eq!(drawn("e\u{200D}\u{301}"), "é");
    }

    #[test]
    fn control_characters_are_seen() {
        assert_eq!(drawn("a\tb\nc"), "a b c");
        assert_eq!(drawn("a\u{7}b\u{9B}"), "a\u{FFFD}b\u{FFFD}");
        assert!(missing("a\u{7}b").is_empty());
    }

    #[test]
    fn what_cannot_be_drawn_is_named_once() {
        assert_eq!(missing("王 Li 王小"), ['王', '小']);
        assert!(missing("Юрий Łódź").is_empty());
    }

    #[test]
    fn lines_keep_within_their_room() {
        let text = "Clamp a tall part to the angle plate before it is turned.\nKeep \
                    fingers from under a motorised carriage.";
        let lines = wrap(Face::Sans, text, 3.0, 40.0);
        assert!(lines.len() > 3);
        for line in &lines {
            assert!(width(Face::Sans, line, 3.0) <= 40.0, "{line}");
        }
        assert_eq!(lines.join(" "), text.replace('\n', " "));
        assert_eq!(wrap(Face::Sans, "", 3.0, 40.0), [""]);
        assert_eq!(wrap(Face::Sans, "a\n\nb", 3.0, 40.0), ["a", "", "b"]);
    }

    #[test]
    fn a_word_too_long_for_a_line_is_broken() {
        let lines = wrap(Face::Mono, "ab 0123456789", 3.0, 4.0 * width(Face::Mono, "0", 3.0));
        assert_eq!(lines, ["ab", "0123", "4567", "89"]);
        // Even where nothing fits, every character comes out.
        assert_eq!(wrap(Face::Sans, "abc", 3.0, 0.0), ["a", "b", "c"]);
    }

    #[test]
    fn a_text_too_long_for_its_cell_says_so() {
        assert_eq!(fit(Face::Sans, "hole", 3.0, 20.0), "hole");
        let cut = fit(Face::Sans, "a bracket of many words", 3.0, 20.0);
        assert!(cut.ends_with('…') && cut.starts_with("a br"), "{cut}");
        assert!(width(Face::Sans, &cut, 3.0) <= 20.0);
    }
}
