//! What a datum stands on, as it is typed: a feature's number, or a pattern.

use super::{EntryError, refuse};
use crate::job::{BOUNDS, Datum, DatumPattern, Drawing, PatternKind};

/// What carries a datum letter, as it was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Carrier {
    /// Number of the one feature.
    pub feature: Option<String>,
    /// The features that carry it together.
    pub pattern: Option<DatumPattern>,
}

/// Reads what carries a datum letter: nothing, a feature's number as in `7`, or `circle 1 2 3` and
/// `fit 1 2 3`. Numbers with spaces in them are told apart by commas.
///
/// # Errors
/// A number that no feature of the drawing has, or one twice; what is not round in a pattern; too
/// few or too many for it.
pub fn carrier(text: &str, drawing: &Drawing) -> Result<Carrier, EntryError> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(Carrier::default());
    }
    let of = |number: &str| drawing.features.iter().find(|f| f.number == number);
    if of(text).is_some() {
        return Ok(Carrier { feature: Some(text.to_owned()), pattern: None });
    }
    let Some((kind, rest)) = pattern(text) else {
        return refuse(format!("There is no feature {text} in the table."));
    };
    let between = if rest.contains([',', ';']) { [',', ';'] } else { [' ', '\t'] };
    let features: Vec<String> =
        rest.split(between).map(str::trim).filter(|n| !n.is_empty()).map(str::to_owned).collect();
    for (i, number) in features.iter().enumerate() {
        match of(number) {
            None => return refuse(format!("There is no feature {number} in the table.")),
            Some(f) if !f.kind.is_round() => {
                return refuse(format!(
                    "{number} is a {}: a pattern is made of holes or bosses.",
                    f.kind.word()
                ));
            }
            Some(_) if features[..i].contains(number) => {
                return refuse(format!("{number} stands there twice."));
            }
            Some(_) => {}
        }
    }
    let (fewest, word) = (kind.fewest(), kind.word());
    if features.len() < fewest || features.len() > BOUNDS.pattern {
        return refuse(format!(
            "A {word} is made of {fewest} to {} features: {word} 1 2 3.",
            BOUNDS.pattern
        ));
    }
    Ok(Carrier { feature: None, pattern: Some(DatumPattern { kind, features }) })
}

/// The kind of a pattern, and what follows its word.
fn pattern(text: &str) -> Option<(PatternKind, &str)> {
    let words = [
        ("bolt circle", PatternKind::Circle),
        ("circle", PatternKind::Circle),
        ("best fit", PatternKind::BestFit),
        ("fit", PatternKind::BestFit),
    ];
    words.into_iter().find_map(|(word, kind)| {
        let start = text.get(..word.len())?;
        let rest = text.get(word.len()..)?;
        let ends = rest.is_empty() || rest.starts_with([' ', ':', ',', '\t']);
        (start.eq_ignore_ascii_case(word) && ends)
            .then(|| (kind, rest.trim_start_matches([' ', ':', ',', '\t'])))
    })
}

/// What carries a datum letter, as [`carrier`] reads it; empty where nothing does.
#[must_use]
pub fn carrier_text(datum: &Datum) -> String {
    let Some(pattern) = &datum.pattern else { return datum.feature.clone().unwrap_or_default() };
    let spaced = pattern.features.iter().any(|n| n.contains(char::is_whitespace));
    let between = if spaced { ", " } else { " " };
    format!("{} {}", pattern.kind.word(), pattern.features.join(between))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::job::{Feature, Kind};

    fn drawing(numbers: &[&str]) -> Drawing {
        let feature = |n: &&str| Feature { number: (*n).to_owned(), ..Feature::default() };
        let mut features: Vec<Feature> = numbers.iter().map(feature).collect();
        features.push(Feature { number: "F".to_owned(), kind: Kind::Face, ..Feature::default() });
        Drawing { features, ..Drawing::default() }
    }

    fn says(text: &str, numbers: &[&str]) -> String {
        carrier(text, &drawing(numbers)).unwrap_err().0
    }

    #[test]
    fn a_feature_or_a_pattern_is_read() {
        let d = drawing(&["1", "2", "3", "4", "A 1", "A 2", "fit"]);
        let one = |text: &str| carrier(text, &d).unwrap();
        assert_eq!(one(" "), Carrier::default());
        assert_eq!(one(" F ").feature.as_deref(), Some("F"));
        assert_eq!(one("fit").feature.as_deref(), Some("fit"), "a number goes first");
        for text in ["circle 1 2 3", "Circle: 1, 2, 3", "bolt circle 1;2;3", "CIRCLE 1  2 3"] {
            let pattern = one(text).pattern.unwrap();
            assert_eq!((pattern.kind, pattern.features.len()), (PatternKind::Circle, 3), "{text}");
        }
        for text in ["fit 1 2", "best fit A 1, A 2"] {
            let found = one(text);
            let datum = Datum { pattern: found.pattern.clone(), ..Datum::default() };
            assert_eq!(one(&carrier_text(&datum)), found, "{text}");
        }
    }

    #[test]
    fn what_makes_no_datum_is_refused() {
        let all = ["1", "2", "3"];
        assert_eq!(says("9", &all), "There is no feature 9 in the table.");
        assert_eq!(says("fit 1 9", &all), "There is no feature 9 in the table.");
        assert_eq!(
            says("circle 1 2", &all),
            "A circle is made of 3 to 100 features: circle 1 2 3."
        );
        assert_eq!(says("fit", &all), "A fit is made of 2 to 100 features: fit 1 2 3.");
        assert_eq!(says("fit 1 1", &all), "1 stands there twice.");
        assert_eq!(says("fit 1 F", &all), "F is a face: a pattern is made of holes or bosses.");
        assert_eq!(says("circles 1 2 3", &all), "There is no feature circles 1 2 3 in the table.");
    }
}
