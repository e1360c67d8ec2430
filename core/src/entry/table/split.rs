//! A pasted text as rows of cells.

/// A row with the line of the text at which it begins, from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Row {
    /// Line of the text, from 1.
    pub(super) line: usize,
    /// Its cells, without blanks around them.
    pub(super) cells: Vec<String>,
}

impl Row {
    /// The row as it is shown.
    pub(super) fn text(&self) -> String {
        self.cells.join(" · ")
    }
}

/// What stands between the cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Separator {
    /// A sign.
    Sign(u8),
    /// Two blanks or more: a single one belongs to a cell.
    Blanks,
    /// Any blank.
    Blank,
}

/// What separates the cells of `text`.
pub(super) fn separator(text: &str) -> Separator {
    for sign in ['\t', ';'] {
        if text.contains(sign) {
            return Separator::Sign(sign as u8);
        }
    }
    let lines: Vec<&str> = text.lines().filter(|l| !l.trim().is_empty()).collect();
    // Bars also stand in a callout, of which some rows have none.
    if lines.first().is_some_and(|l| l.contains('|')) && text.contains('|') {
        return Separator::Sign(b'|');
    }
    if lines.first().is_some_and(|l| has_comma_between_cells(l)) {
        return Separator::Sign(b',');
    }
    let cells = |line: &&str| by_blanks(line).len();
    let words = |line: &&str| line.split_whitespace().count();
    match lines.first() {
        Some(first) if words(first) < 3 => Separator::Sign(b','),
        Some(first) if cells(first) >= 3 && lines.iter().all(|l| cells(l) == cells(first)) => {
            Separator::Blanks
        }
        Some(_) => Separator::Blank,
        None => Separator::Sign(b','),
    }
}

/// Whether a comma stands there that is no decimal mark. Without blanks all of them separate.
fn has_comma_between_cells(line: &str) -> bool {
    let chars: Vec<char> = line.trim().chars().collect();
    let digit = |i: usize| chars.get(i).is_some_and(char::is_ascii_digit);
    let blank = chars.iter().any(|c| c.is_whitespace());
    chars
        .iter()
        .enumerate()
        .any(|(i, c)| *c == ',' && !(blank && i > 0 && digit(i - 1) && digit(i + 1)))
}

/// The rows of `text` that hold anything.
pub(super) fn rows(text: &str, separator: Separator) -> Vec<Row> {
    let rows = match separator {
        Separator::Sign(sign) => by_sign(text, sign),
        Separator::Blanks | Separator::Blank => text
            .lines()
            .enumerate()
            .map(|(i, line)| Row {
                line: i + 1,
                cells: match separator {
                    Separator::Blanks => by_blanks(line),
                    _ => by_blank(line),
                },
            })
            .collect(),
    };
    rows.into_iter().filter(|row| row.cells.iter().any(|c| !c.is_empty())).collect()
}

fn by_sign(text: &str, sign: u8) -> Vec<Row> {
    // One quotation mark alone is an inch, and would swallow the rest of the text.
    let paired = text.matches('"').count().is_multiple_of(2);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(sign)
        .has_headers(false)
        .flexible(true)
        .quoting(sign != b'|' && paired)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    for record in reader.records().flatten() {
        let line = record.position().map_or(0, |p| usize::try_from(p.line()).unwrap_or(0));
        let mut cells: Vec<String> = record.iter().map(str::to_owned).collect();
        if sign == b'|' {
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
        rows.push(Row { line, cells });
    }
    rows
}

fn by_blanks(line: &str) -> Vec<String> {
    let marked = line.trim().replace('\u{a0}', " ");
    marked.split("  ").map(str::trim).filter(|c| !c.is_empty()).map(str::to_owned).collect()
}

/// Words; `±0.1` and `+0.1/-0.2` belong to the figure before them.
fn by_blank(line: &str) -> Vec<String> {
    let mut cells: Vec<String> = Vec::new();
    for word in line.split_whitespace() {
        let clings = word.starts_with('±') || word.starts_with('+') && word.contains('/');
        match cells.last_mut().filter(|_| clings) {
            Some(cell) => {
                cell.push(' ');
                cell.push_str(word);
            }
            None => cells.push(word.to_owned()),
        }
    }
    cells
}
