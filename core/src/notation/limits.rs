//! Limits of size as they are typed.

use super::number::plain;
use super::{EntryError, number, refuse, without_fractions};
use crate::feature::SizeLimits;
use crate::grade::{Class, deviations};
use crate::quantity::{Figure, Unit};

/// Reads limits of size in `unit`. Accepted, with decimal point or comma:
///
/// - two limits: `.3750 .3780`, `.3750 to .3780`, `.3750 – .3780`, `.3780/.3750`
/// - plus/minus: `10 ±0.05`, `10 +-0.05`, `10 +/-0.05`
/// - a class of ISO 286: `10 H7`, `25g6`
/// - unilateral or unequal: `6.6 +0.15/0`, `6.6 +0.15 0`, `25 -0.007/-0.020`
///
/// # Errors
/// A sentence that says what is wrong: unreadable, limits the wrong way round, or not positive.
pub fn size(text: &str, unit: Unit) -> Result<SizeLimits, EntryError> {
    let size = limits(text, unit)?;
    if size.limits(unit).is_none() {
        return refuse(format!("“{}”: a size is above zero.", text.trim()));
    }
    Ok(size)
}

/// The same for what may be zero or below: a step, a distance. Two limits far apart are taken for
/// what they are where `to` stands between them.
pub(crate) fn limits(text: &str, unit: Unit) -> Result<SizeLimits, EntryError> {
    let text = &without_fractions(text, unit)?;
    if let Some(size) = by_class(text, unit)? {
        return Ok(size);
    }
    let meant = text.contains(" to ");
    let tidy = tidy(text);
    let words: Vec<&str> = tidy.split_whitespace().collect();
    let figure = |t: &str| number(t, unit);
    let size = match words.as_slice() {
        [] => return refuse("Limits of size are missing."),
        [_] => {
            return refuse(format!(
                "“{}” is one figure. Write {}.",
                text.trim(),
                size_examples(unit)
            ));
        }
        [nominal, pm] if pm.starts_with('±') => {
            let by = figure(pm.trim_start_matches('±'))?;
            if by.0 < 0.0 {
                return refuse("The figure after ± has no sign of its own.");
            }
            SizeLimits::Deviations { nominal: figure(nominal)?, lower: Figure(-by.0), upper: by }
        }
        [nominal, a, b] if signed(a) || signed(b) => {
            let (nominal, a, b) = (figure(nominal)?, figure(a)?, figure(b)?);
            SizeLimits::Deviations {
                nominal,
                lower: Figure(a.0.min(b.0)),
                upper: Figure(a.0.max(b.0)),
            }
        }
        [a, b] => {
            let (a, b) = (figure(a)?, figure(b)?);
            if !meant && a.0.max(b.0) > 2.0 * a.0.min(b.0) && a.0.min(b.0) > 0.0 {
                return refuse(format!(
                    "“{}”: the two limits are far apart. If one is a tolerance, write {}.",
                    text.trim(),
                    tolerance_examples(unit)
                ));
            }
            SizeLimits::Limits { lower: Figure(a.0.min(b.0)), upper: Figure(a.0.max(b.0)) }
        }
        _ => {
            return refuse(format!(
                "“{}” is not understood. Write {}.",
                text.trim(),
                size_examples(unit)
            ));
        }
    };
    Ok(size)
}

/// How limits of size are typed in `unit`: two limits, or one of the other forms.
#[must_use]
pub const fn size_examples(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "two limits as in .3750 .3780, or .375 ±.002, or .250 +.006/0, or 1/4 ±1/64",
        Unit::Mm => "two limits as in 9.95 10.05, or 10 ±0.05, or 6.6 +0.15/0, or 10 H7",
    }
}

const fn tolerance_examples(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => ".375 ±.002 or .250 +.006/0",
        Unit::Mm => "10 ±0.05 or 6.6 +0.15/0",
    }
}

/// `10 H7`: a nominal size with a class of ISO 286. `None` where the text holds no class.
fn by_class(text: &str, unit: Unit) -> Result<Option<SizeLimits>, EntryError> {
    let bare = text.trim().replace(['⌀', 'Ø', 'ø'], " ");
    let Some(at) = bare.find(|c: char| c.is_ascii_alphabetic()) else { return Ok(None) };
    let (nominal, class) = bare.split_at(at);
    let Ok(class) = class.trim().parse::<Class>() else { return Ok(None) };
    let nominal = number(nominal.trim(), unit)?;
    let mm = (nominal.length(unit).to_mm() * 1e9).round() / 1e9;
    match deviations(mm, class) {
        Ok(_) => Ok(Some(SizeLimits::Class { nominal, class })),
        Err(why) => refuse(format!("“{}”: {why}", text.trim())),
    }
}

fn signed(word: &str) -> bool {
    word.starts_with(['+', '-', '−']) || plain(word).is_ok_and(|v| v == 0.0)
}

/// Separators to blanks: "to", dashes between figures, slashes; `+-` and `+/-` to `±`.
fn tidy(text: &str) -> String {
    let text = text.replace("+/-", "±").replace("+/−", "±").replace("+-", "±").replace("+−", "±");
    let text = text.replace(" to ", " ").replace(" … ", " ").replace(['/', ';'], " ");
    let text = text.replace("± ", "±").replace('±', " ±").replace(['⌀', 'Ø', 'ø'], "");
    let chars: Vec<char> = text.chars().collect();
    let is_digit = |i: usize| {
        chars.get(i).is_some_and(|c: &char| c.is_ascii_digit() || matches!(c, '.' | ','))
    };
    let figures =
        (0..chars.len()).filter(|i| is_digit(*i) && (*i == 0 || !is_digit(i - 1))).count();
    // Beside a plus, or among three figures, a dash is the sign of a deviation; between two bare
    // figures it separates them, unless it clings to the second one alone.
    let signs = text.contains(['+', '±']) || figures > 2;
    let mut out = String::with_capacity(text.len() + 4);
    let mut i = 0;
    while let Some(&c) = chars.get(i) {
        match c {
            '-' | '−' | '–' | '—' if out.trim_end().is_empty() => out.push('-'),
            '-' | '−' | '–' | '—' if signs => {
                out.push_str(" -");
                while chars.get(i + 1).is_some_and(|c| c.is_whitespace()) {
                    i += 1;
                }
            }
            '–' | '—' => out.push(' '),
            '-' | '−'
                if is_digit(i.wrapping_sub(1))
                    || chars.get(i + 1).is_some_and(|c| c.is_whitespace()) =>
            {
                out.push(' ');
            }
            '+' => {
                out.push_str(" +");
                while chars.get(i + 1).is_some_and(|c| c.is_whitespace()) {
                    i += 1;
                }
            }
            _ => out.push(c),
        }
        i += 1;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn limits(text: &str) -> (f64, f64) {
        let l =
            size(text, Unit::Mm).and_then(|s| s.limits(Unit::Mm).ok_or(EntryError(String::new())));
        let l = l.unwrap_or_else(|e| panic!("{text}: {e}"));
        (l.lower.to_mm(), l.upper.to_mm())
    }

    #[test]
    fn a_class_is_kept_as_the_drawing_has_it() {
        // ISO 286-2: H7 of 6 to 10 mm +15/0, g6 of 18 to 30 mm −7/−20 µm.
        for (text, lower, upper) in [("10 H7", 10.0, 10.015), ("⌀25g6", 24.98, 24.993)] {
            let (a, b) = limits(text);
            assert!((a - lower).abs() < 1e-12 && (b - upper).abs() < 1e-12, "{text}: {a} {b}");
        }
        let why = size("10 J9", Unit::Mm).unwrap_err().0;
        assert!(why.contains("J9"), "{why}");
        // .3125 in is 7.9375 mm.
        let size = size(".3125 H7", Unit::Inch).unwrap().limits(Unit::Inch).unwrap();
        assert!((size.tolerance().to_mm() - 0.015).abs() < 1e-12);
    }

    #[test]
    fn the_forms_that_drawings_use() {
        for text in [
            ".375 .378",
            ".3750 to .3780",
            "0.375 – 0.378",
            "0.375-0.378",
            "0.375 - 0.378",
            ".378/.375",
            "0,375 0,378",
            "⌀.375 .378",
        ] {
            assert_eq!(limits(text), (0.375, 0.378), "{text}");
        }
        for text in [
            "10 ±0.05",
            "10±0.05",
            "10 +-0.05",
            "10 +/- 0.05",
            "10 ± 0,05",
            "10 +0.05/-0.05",
            "10 -0.05 +0.05",
        ] {
            let (lower, upper) = limits(text);
            assert!((lower - 9.95).abs() < 1e-12 && (upper - 10.05).abs() < 1e-12, "{text}");
        }
        for text in ["6.6 +0.15/0", "6.6 +0.15 0", "6.6 0/+0.15", "6.6 +0.15/-0", "6.6+0.15/0"] {
            let (lower, upper) = limits(text);
            assert!((lower - 6.6).abs() < 1e-12 && (upper - 6.75).abs() < 1e-12, "{text}");
        }
        let (lower, upper) = limits("25 -0.007/-0.020");
        assert!((lower - 24.98).abs() < 1e-12 && (upper - 24.993).abs() < 1e-12);
    }

    #[test]
    fn no_sign_of_a_deviation_is_lost() {
        for text in [
            "10+0.05-0.02",
            "10 +0.05/–0.02",
            "10 +0.05 - 0.02",
            "10 +0.05/-0.02",
            "10 –0.02/+0.05",
        ] {
            let (lower, upper) = limits(text);
            assert!(
                (lower - 9.98).abs() < 1e-12 && (upper - 10.05).abs() < 1e-12,
                "{text}: {lower} {upper}"
            );
        }
        for text in ["6.6 –0.1/0", "6.6 -0.1 0", "6.6 0/-0.1"] {
            let (lower, upper) = limits(text);
            assert!(
                (lower - 6.5).abs() < 1e-12 && (upper - 6.6).abs() < 1e-12,
                "{text}: {lower} {upper}"
            );
        }
    }

    #[test]
    fn what_gives_no_limits_is_refused() {
        for text in [
            "",
            "10",
            "abc def",
            "1 2 3 4",
            "0 0",
            "-1 1",
            "10 ±-0.1",
            "1..2 3",
            "10-0.05",
            "25 0.02",
        ] {
            assert!(size(text, Unit::Mm).is_err(), "{text}");
        }
    }
}
