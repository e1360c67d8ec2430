//! Lines of instruments, made at random: whole ones come back as the number that was sent, however they
//! are chopped; damaged ones are no number, or the number that still stands there.
//!
//! `QUARTERTURN_FUZZ_LINES` says how many (40,000 without it); the figures are printed.

use crate::random::Random;
use quarterturn_core::capture::{
    Assembler, DecimalMark, LineEnd, LineRule, MOST_BYTES, RawLine, read_line,
};
use quarterturn_core::quantity::Unit;
use std::time::Duration;

fn count() -> usize {
    std::env::var("QUARTERTURN_FUZZ_LINES").map_or(40_000, |n| n.parse().expect("a number"))
}

fn pick<'a, T: ?Sized>(rng: &mut Random, from: &[&'a T]) -> &'a T {
    from[rng.below(from.len())]
}

/// A number as it was meant: in units of its last decimal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Meant {
    negative: bool,
    units: u64,
    decimals: u32,
}

/// The number that a plain text is, without any code of the program.
fn meant(text: &str) -> Option<Meant> {
    let (negative, text) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let (whole, decimals) = text.split_once('.').unwrap_or((text, ""));
    let digits = format!("{whole}{decimals}");
    if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    Some(Meant {
        negative,
        units: digits.parse().ok()?,
        decimals: u32::try_from(decimals.len()).ok()?,
    })
}

/// A line as an instrument sends it, with the number and the unit in it.
fn line(rng: &mut Random, rule: &LineRule) -> (String, Meant, Option<Unit>) {
    let decimals = rng.below(6);
    let most = [1, 10, 1000, 10_000][rng.below(4)];
    let whole = rng.below(most);
    let part: String =
        (0..decimals).map(|_| char::from(b'0' + u8::try_from(rng.below(10)).unwrap())).collect();
    let negative = rng.chance(0.3);
    let comma = match rule.decimal {
        DecimalMark::Comma => true,
        DecimalMark::Point => false,
        DecimalMark::Either => rng.chance(0.4),
    };
    let mut number = match rng.below(3) {
        0 => format!("{whole:06}"),
        // Without the zero before the mark, where there are decimals.
        1 if whole == 0 && decimals > 0 => String::new(),
        _ => whole.to_string(),
    };
    if decimals > 0 || rng.chance(0.1) {
        number.push(if comma { ',' } else { '.' });
        number.push_str(&part);
    }
    let sign = match (negative, rng.below(3)) {
        (true, 0) => "- ",
        (true, _) => "-",
        (false, 0) => "+",
        (false, 1) => "+  ",
        (false, _) => "",
    };
    let (unit, unit_text) = match rng.below(5) {
        0 => (Some(Unit::Mm), pick(rng, &["mm", " mm", " MM"])),
        1 => (Some(Unit::Inch), pick(rng, &["in", " in", "\"", " inch"])),
        _ => (None, ""),
    };
    let before = match rule.words.first() {
        Some(word) if rng.chance(0.8) => {
            let word: String = word
                .chars()
                .map(|c| {
                    if c == '#' {
                        char::from(b'0' + u8::try_from(rng.below(10)).unwrap())
                    } else {
                        c
                    }
                })
                .collect();
            format!("{word}{}", pick(rng, &[" ", ": ", "=", "\t"]))
        }
        _ => String::new(),
    };
    let blanks = pick(rng, &["", " ", "   "]);
    let text = format!("{blanks}{before}{sign}{number}{unit_text}{blanks}");
    let meant = Meant {
        negative,
        units: format!("{whole}{part}").parse().unwrap(),
        decimals: u32::try_from(decimals).unwrap(),
    };
    (text, meant, unit)
}

fn rule(rng: &mut Random) -> LineRule {
    LineRule {
        words: if rng.chance(0.5) {
            vec![pick(rng, &["A", "CH#", "##X", "R"]).to_owned()]
        } else {
            vec![]
        },
        number: None,
        decimal: [DecimalMark::Either, DecimalMark::Point, DecimalMark::Comma][rng.below(3)],
        unit: None,
    }
}

/// Sends the lines in pieces of any size with pauses between them, and gives what the assembler makes
/// of them.
fn sent(rng: &mut Random, lines: &[Vec<u8>], end: LineEnd) -> Vec<RawLine> {
    let mut assembler = Assembler::new(end);
    let mut now = Duration::ZERO;
    let mut got = Vec::new();
    for line in lines {
        let mut bytes = line.clone();
        match end {
            LineEnd::Mark => {
                bytes.extend_from_slice(pick::<[u8]>(rng, &[b"\r", b"\n", b"\r\n"]));
            }
            LineEnd::Idle => {}
        }
        let mut from = 0;
        while from < bytes.len() {
            let to = (from + 1 + rng.below(7)).min(bytes.len());
            now += Duration::from_millis(rng.below(40) as u64);
            got.extend(assembler.take(&bytes[from..to], now));
            from = to;
        }
        if end == LineEnd::Idle {
            now += Duration::from_millis(60 + rng.below(500) as u64);
            if rng.chance(0.5) {
                got.extend(assembler.wait(now));
            }
        }
    }
    now += Duration::from_secs(5);
    got.extend(assembler.wait(now));
    got
}

#[test]
fn what_was_sent_comes_back_however_it_is_chopped() {
    let mut rng = Random::new(20_261_201);
    let mut read = 0;
    while read < count() {
        let rule = rule(&mut rng);
        let made: Vec<_> = (0..8).map(|_| line(&mut rng, &rule)).collect();
        let bytes: Vec<Vec<u8>> = made.iter().map(|m| m.0.clone().into_bytes()).collect();
        let end = if rng.chance(0.5) { LineEnd::Mark } else { LineEnd::Idle };
        let got = sent(&mut rng, &bytes, end);
        assert_eq!(
            got.iter().map(|l| &l.bytes).collect::<Vec<_>>(),
            bytes.iter().collect::<Vec<_>>()
        );
        for (raw, (text, expected, unit)) in got.iter().zip(&made) {
            let value =
                read_line(raw, &rule).unwrap_or_else(|e| panic!("{text:?} by {rule:?}: {e:?}"));
            assert_eq!(meant(&value.text), Some(*expected), "{text:?} by {rule:?}");
            assert_eq!(value.unit, *unit, "{text:?}");
            read += 1;
        }
    }
    println!("{read} lines sent whole: all came back as they were meant");
}

/// What still stands in a damaged line, read without any code of the program: the one number, if all
/// else is a unit or a word of the rule.
fn still_there(text: &str, rule: &LineRule) -> Option<Meant> {
    let comma = match rule.decimal {
        DecimalMark::Comma => true,
        DecimalMark::Point => false,
        DecimalMark::Either => !text.contains('.'),
    };
    let mut plain = text.trim_matches(['\u{2}', '\u{3}']).replace('"', " in ");
    if comma {
        if plain.contains('.') {
            return None;
        }
        plain = plain.replace(',', ".");
    } else {
        plain = plain.replace(',', " ");
    }
    // A sign belongs to what stands behind it.
    let mut glued = String::new();
    let mut after_sign = false;
    for c in plain.chars() {
        if matches!(c, '+' | '-') {
            glued.push(' ');
        }
        if !(after_sign && c == ' ') {
            glued.push(c);
            after_sign = matches!(c, '+' | '-');
        }
    }
    let mut numbers = Vec::new();
    for word in glued.split([' ', '\t', ';', ':', '=']).filter(|w| !w.is_empty()) {
        let lower = word.to_ascii_lowercase();
        let figures = lower
            .strip_suffix("mm")
            .or_else(|| lower.strip_suffix("inch"))
            .or_else(|| lower.strip_suffix("in"))
            .unwrap_or(&lower);
        let known = rule.words.iter().any(|k| {
            k.len() == word.len()
                && k.chars()
                    .zip(word.chars())
                    .all(|(k, w)| k == w || (k == '#' && w.is_ascii_digit()))
        });
        if known || (figures.is_empty() && !numbers.is_empty()) {
            continue;
        }
        numbers.push(meant(figures)?);
    }
    (numbers.len() == 1).then(|| numbers[0])
}

#[test]
fn a_damaged_line_is_no_number_or_the_one_that_still_stands_there() {
    let mut rng = Random::new(7);
    let (mut refused, mut read) = (0, 0);
    for _ in 0..count() {
        let rule = rule(&mut rng);
        let mut bytes = line(&mut rng, &rule).0.into_bytes();
        for _ in 0..1 + rng.below(3) {
            let at = rng.below(bytes.len().max(1)).min(bytes.len().saturating_sub(1));
            match rng.below(5) {
                _ if bytes.is_empty() => {}
                // A bit that flipped, as without parity.
                0 => bytes[at] ^= 1 << rng.below(8),
                // A byte that was lost.
                1 => drop(bytes.remove(at)),
                // One that came twice.
                2 => bytes.insert(at, bytes[at]),
                // Any other instead.
                3 => bytes[at] = u8::try_from(rng.below(256)).unwrap(),
                // An error message in it.
                _ => {
                    let error = pick::<[u8]>(&mut rng, &[b"ERR", b"E1", b"?", b"OVER ", b"-----"]);
                    bytes.splice(at..at, error.iter().copied());
                }
            }
        }
        let raw = RawLine { bytes, at: Duration::ZERO, whole: true };
        match read_line(&raw, &rule) {
            Err(_) => refused += 1,
            Ok(value) => {
                read += 1;
                let text = String::from_utf8(raw.bytes.clone()).expect("only ASCII is read");
                assert_eq!(meant(&value.text), still_there(&text, &rule), "{text:?} by {rule:?}");
            }
        }
    }
    println!(
        "{} lines damaged: {refused} refused, {read} read as what still stands there",
        refused + read
    );
}

#[test]
fn no_bytes_at_all_make_it_fail() {
    let mut rng = Random::new(11);
    let mut lines = 0;
    for _ in 0..count() / 4 {
        let mut assembler =
            Assembler::new(if rng.chance(0.5) { LineEnd::Mark } else { LineEnd::Idle });
        let mut now = Duration::ZERO;
        let rule =
            LineRule { number: [None, Some(0), Some(1), Some(9)][rng.below(4)], ..rule(&mut rng) };
        for _ in 0..4 {
            let bytes: Vec<u8> = (0..rng.below(60))
                .map(|_| match rng.below(3) {
                    0 => u8::try_from(rng.below(256)).unwrap(),
                    1 => *b"0123456789+-., \r\n".get(rng.below(17)).unwrap(),
                    _ => *b"AEXmin\";:=\t\x02\x03".get(rng.below(13)).unwrap(),
                })
                .collect();
            now += Duration::from_millis(rng.below(3000) as u64);
            for raw in assembler.take(&bytes, now) {
                lines += 1;
                assert!(!raw.bytes.is_empty() && raw.bytes.len() <= MOST_BYTES);
                if let Ok(value) = read_line(&raw, &rule) {
                    assert!(meant(&value.text).is_some(), "{raw:?} became {value:?}");
                }
            }
        }
    }
    println!("{lines} lines of any bytes");
}
