//! The symbols of a callout, whichever way they come: from a keyboard, a drawing or this program.

/// `text` with one sign for each symbol: bars `|`, the diameter `⌀`, letters in rings in brackets, and
/// blanks that are blanks.
pub(super) fn plain_symbols(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            // Cells of a frame that was copied from a table stand between tabs.
            '\t' | '│' | '┃' | '¦' | '❘' | '∣' | '｜' => out.push('|'),
            'Ø' | 'ø' | '∅' => out.push('⌀'),
            'Ⓜ' | 'ⓜ' => out.push_str("(M)"),
            'Ⓛ' | 'ⓛ' => out.push_str("(L)"),
            'Ⓢ' | 'ⓢ' => out.push_str("(S)"),
            '×' => out.push('x'),
            c if c.is_whitespace() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// What stands before the tolerance taken away: the number of features as in `4X`, the symbol of
/// position or its word, bars.
pub(super) fn without_beginning(text: &str) -> &str {
    let mut rest = text;
    loop {
        rest = rest.trim_start_matches([' ', '|', '⌖']);
        match without_word(rest).or_else(|| without_count(rest)) {
            Some(shorter) => rest = shorter,
            None => return rest,
        }
    }
}

/// Whether a segment says that it is a lower one; and what follows.
pub(super) fn lower_segment(text: &str) -> Option<&str> {
    without(text.trim_start(), "lower segment")
}

fn without_word(text: &str) -> Option<&str> {
    ["true position", "position", "pos.", "pos", "tp", "diameter", "dia.", "dia"]
        .into_iter()
        .find_map(|word| without(text, word))
}

/// What follows `word`, which ends there.
fn without<'a>(text: &'a str, word: &str) -> Option<&'a str> {
    let start = text.get(..word.len())?;
    let rest = text.get(word.len()..)?;
    let ends = !rest.starts_with(char::is_alphanumeric);
    (start.eq_ignore_ascii_case(word) && ends).then_some(rest)
}

/// `4X`, `4 x`, `12X`: how many features the callout is for. The table has each of them by itself.
fn without_count(text: &str) -> Option<&str> {
    let rest = text.trim_start_matches(|c: char| c.is_ascii_digit());
    if rest.len() == text.len() {
        return None;
    }
    let rest = rest.trim_start_matches(' ');
    let rest = rest.strip_prefix(['x', 'X'])?;
    (!rest.starts_with(char::is_alphabetic)).then_some(rest)
}
