//! Relations typed straight through: the kind, the features, the limits.
//!
//! `origin` stands for the origin of the frame. A number with a blank in it, or one that could be
//! taken for something else, stands between quotation marks.

use super::{RelationKind, RelationLimits, TYPED};
use crate::notation::{BOUNDS, EntryError, limits, number, refuse};
use crate::quantity::{Figure, Unit};

/// What stands for the origin of the frame.
pub(super) const ORIGIN: &str = "origin";

/// How one kind is typed.
pub(super) struct TypedKind {
    pub(super) words: fn() -> &'static [&'static str],
    pub(super) examples: fn() -> &'static [(&'static str, &'static str)],
    pub(super) parse: fn(&Typed<'_>) -> Result<RelationKind, EntryError>,
}

/// Returns examples of how each kind is typed in `unit`, with what they mean.
pub fn examples(unit: Unit) -> impl Iterator<Item = (String, String)> {
    let all = TYPED.iter().flat_map(|kind| (kind.examples)().iter());
    all.map(move |(typed, means)| (in_unit(typed, unit), in_unit(means, unit)))
}

/// The figures of the examples, in millimetres and as an inch drawing would have them.
const FIGURES: [(&str, &str); 12] = [
    ("40 ±0.1", "1.500 ±.004"),
    ("12 ±0.05", ".500 ±.002"),
    ("50 ±0.05", "2.000 ±.002"),
    ("60 ±0.1", "2.500 ±.004"),
    ("2.5 to 3.5", ".100 to .140"),
    ("min 10", "min .400"),
    ("min 2.5", "min .100"),
    ("0.2 0.1", ".008 .004"),
    ("0.05", ".002"),
    ("0.03", ".0012"),
    ("0.02", ".0008"),
    ("0.1", ".004"),
];

/// An example with its figures in `unit`.
fn in_unit(example: &str, unit: Unit) -> String {
    let mut text = example.to_owned();
    if unit == Unit::Inch {
        for (mm, inch) in FIGURES {
            text = text.replace(mm, inch);
        }
    }
    text
}

/// Reads what a relation asks: `distance 3 4 along x 40 ±0.1`.
///
/// # Errors
/// A sentence that says what is wrong, and how it should be.
pub fn parse(text: &str, unit: Unit) -> Result<RelationKind, EntryError> {
    read(text, unit).map_err(|EntryError(why)| match why.split_once(" as in ") {
        Some((before, example)) => EntryError(format!("{before} as in {}", in_unit(example, unit))),
        None => EntryError(why),
    })
}

fn read(text: &str, unit: Unit) -> Result<RelationKind, EntryError> {
    let words = words(text)?;
    let Some((first, rest)) = words.split_first() else {
        return refuse("A line begins with its kind, as in distance 3 4 along x 40 ±0.1.");
    };
    let word = first.text.to_lowercase();
    let Some(kind) = TYPED.iter().find(|kind| (kind.words)().contains(&word.as_str())) else {
        let mut known: Vec<&str> = Vec::new();
        for word in words_of_kinds() {
            if !known.contains(&word) {
                known.push(word);
            }
        }
        let last = known.pop().unwrap_or_default();
        return refuse(format!(
            "“{word}” is not a kind of relation: {} or {last}.",
            known.join(", ")
        ));
    };
    (kind.parse)(&Typed { word: &word, words: rest, unit })
}

/// The word that each example begins with.
fn words_of_kinds() -> impl Iterator<Item = &'static str> {
    let all = TYPED.iter().flat_map(|kind| (kind.examples)().iter());
    all.filter_map(|(typed, _)| typed.split(' ').next())
}

/// Whether a number must be quoted to be read as one.
pub(super) fn must_quote(number: &str) -> bool {
    let first = number.chars().next();
    let special = ["to", "min", "max", "along", ORIGIN, "at", "M", "L"];
    first.is_none_or(|c| {
        matches!(c, '"' | '+' | '-' | '−' | '–' | '—' | '±' | '≥' | '≤' | '>' | '<')
    }) || number.contains(char::is_whitespace)
        || number.contains('±')
        || special.iter().any(|s| s.eq_ignore_ascii_case(number))
}

/// A typed word.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Word {
    /// What it says.
    pub text: String,
    /// Whether it stood between quotation marks.
    pub quoted: bool,
}

fn words(text: &str) -> Result<Vec<Word>, EntryError> {
    let mut words = Vec::new();
    let mut chars = text.chars().peekable();
    while let Some(&first) = chars.peek() {
        if first.is_whitespace() {
            chars.next();
            continue;
        }
        let quoted = matches!(first, '"' | '“');
        let mut word = String::new();
        let mut closed = !quoted;
        if quoted {
            chars.next();
        }
        while let Some(&c) = chars.peek() {
            if !quoted && c.is_whitespace() {
                break;
            }
            chars.next();
            if quoted && matches!(c, '"' | '”') {
                // Twice it stands for itself.
                if c == '"' && chars.peek() == Some(&'"') {
                    chars.next();
                } else {
                    closed = true;
                    break;
                }
            }
            word.push(c);
        }
        if !closed {
            return refuse("A quotation mark is opened and not closed.");
        }
        words.push(Word { text: word, quoted });
    }
    Ok(words)
}

/// What was typed of a relation.
#[derive(Clone, Copy, Debug)]
pub struct Typed<'a> {
    /// The word it begins with, in lower case.
    pub word: &'a str,
    /// What stands behind it.
    pub words: &'a [Word],
    /// The drawing's unit.
    pub unit: Unit,
}

/// Reads the number of a feature.
pub(super) fn feature(word: &Word) -> Result<String, EntryError> {
    if word.text.chars().count() > BOUNDS.label_chars {
        return refuse(format!("“{}” is too long for the number of a feature.", word.text));
    }
    Ok(word.text.clone())
}

/// Reads the number of a feature, or the word for the origin.
pub(super) fn or_origin(word: &Word) -> Result<Option<String>, EntryError> {
    let origin = !word.quoted && word.text.eq_ignore_ascii_case(ORIGIN);
    if origin { Ok(None) } else { feature(word).map(Some) }
}

impl Typed<'_> {
    /// Where the limits begin behind any number of features: at `min` or `max`, at the figure before
    /// a sign or a `to`, else at the last figure but one.
    pub(super) fn where_limits_begin(&self) -> usize {
        let plain = |w: &Word, what: &dyn Fn(&str) -> bool| !w.quoted && what(&w.text);
        let last_two = self.words.len().saturating_sub(2);
        let found = self.words.iter().position(|w| {
            plain(w, &|t| {
                one_sided(t).is_some()
                    || t == "to"
                    || t.contains('±')
                    || t.starts_with(['+', '-', '−', '–', '—'])
            })
        });
        match found.and_then(|i| self.words.get(i).map(|w| (i, w.text.as_str()))) {
            // `2.5 min`: the figure stands before it, and nothing behind.
            Some((i, text)) if one_sided(text).is_some() => {
                if i + 1 == self.words.len() {
                    i.saturating_sub(1)
                } else {
                    i
                }
            }
            // `60±0.1` in one.
            Some((i, text)) if text.contains('±') && !text.starts_with('±') => i,
            Some((i, _)) => i.saturating_sub(1),
            None => last_two,
        }
    }

    /// Reads limits: `40 ±0.1`, `2.5 to 3.5`, `min 2.5`.
    pub(super) fn limits(&self, words: &[Word]) -> Result<RelationLimits, EntryError> {
        let text: Vec<&str> = words.iter().map(|w| w.text.as_str()).collect();
        let (least, figures): (Option<bool>, &[&str]) = match text.as_slice() {
            ["at", "least", rest @ ..] => (Some(true), rest),
            ["at", "most", rest @ ..] => (Some(false), rest),
            [first, rest @ ..] if one_sided(first).is_some() => (one_sided(first), rest),
            [rest @ .., last] if one_sided(last).is_some() => (one_sided(last), rest),
            all => (None, all),
        };
        let Some(least) = least else {
            return limits(&text.join(" "), self.unit).map(RelationLimits::Within);
        };
        let [figure] = figures else {
            return refuse("One figure stands beside min or max, as in min 2.5.");
        };
        let figure = number(figure, self.unit)?;
        Ok(if least { RelationLimits::AtLeast(figure) } else { RelationLimits::AtMost(figure) })
    }

    /// Reads a tolerance.
    pub(super) fn tolerance(&self, word: &Word) -> Result<Figure, EntryError> {
        let bare = word.text.trim_start_matches(['⌀', 'Ø', 'ø']);
        let figure = number(bare, self.unit)?;
        if figure.0 < 0.0 {
            return refuse("A tolerance is not negative.");
        }
        if figure.length(self.unit).to_mm() > BOUNDS.tolerance_mm {
            return refuse("No tolerance is that large. Look at the decimal point.");
        }
        Ok(figure)
    }

    /// Reads a face, or words for one, and a tolerance behind it: `A 0.02`, `of face A 0.02`,
    /// `large face 0.02`. Nothing else may stand there; `missing` says what should.
    pub(super) fn face_and_tolerance(&self, missing: &str) -> Result<(String, Figure), EntryError> {
        let Some((tolerance, of)) = self.words.split_last().filter(|(_, of)| !of.is_empty()) else {
            return refuse(missing);
        };
        let plain = |w: &Word, what: &str| !w.quoted && w.text.eq_ignore_ascii_case(what);
        let of = match of {
            [first, rest @ ..] if plain(first, "of") && !rest.is_empty() => rest,
            all => all,
        };
        let of = match of {
            // A face with its number, which has no small letters; other words describe one.
            [kind, number]
                if (plain(kind, "face") || plain(kind, "edge"))
                    && !number.text.contains(char::is_lowercase) =>
            {
                &number.text
            }
            words => &words.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" "),
        };
        if of.chars().count() > BOUNDS.text_chars {
            return refuse("The words for the face are too many.");
        }
        Ok((of.clone(), self.tolerance(tolerance)?))
    }
}

/// Whether a word asks for a least value or for a greatest one.
fn one_sided(word: &str) -> Option<bool> {
    match word.to_lowercase().trim_end_matches('.') {
        "min" | "minimum" | "≥" | ">=" => Some(true),
        "max" | "maximum" | "≤" | "<=" => Some(false),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::feature::{Modifier, SizeLimits};
    use crate::relation::Along;

    fn read(text: &str) -> RelationKind {
        parse(text, Unit::Mm).unwrap_or_else(|e| panic!("{text}: {e}"))
    }

    fn limits_of(text: &str) -> (Option<f64>, Option<f64>) {
        let range = read(text).limits().unwrap().range(Unit::Mm).unwrap();
        (range.lower.map(|l| l.to_mm()), range.upper.map(|l| l.to_mm()))
    }

    #[test]
    fn distances_along_an_axis_and_straight() {
        let RelationKind::Distance(d) = read("distance 3 4 along x 40 ±0.1") else { panic!() };
        assert_eq!((d.from.as_deref(), d.to.as_str(), d.along), (Some("3"), "4", Along::X));
        for text in ["height 4 along Y 12 12.5", "depth origin 4 along y 12 to 12.5"] {
            let RelationKind::Distance(d) = read(text) else { panic!() };
            assert_eq!((d.from, d.to.as_str(), d.along), (None, "4", Along::Y));
        }
        let RelationKind::Distance(d) = read("centres 3 \"A 4\" 50±0.05") else { panic!() };
        assert_eq!((d.to.as_str(), d.along), ("A 4", Along::Straight));
    }

    #[test]
    fn limits_in_their_forms() {
        assert_eq!(limits_of("wall 3 4 2.5 3.5"), (Some(2.5), Some(3.5)));
        assert_eq!(limits_of("wall 3 4 1 to 3"), (Some(1.0), Some(3.0)));
        for text in
            ["edge 3 B min 2.5", "edge 3 B 2.5 min.", "edge 3 B ≥ 2,5", "wall 3 B at least 2.5"]
        {
            assert_eq!(limits_of(text), (Some(2.5), None), "{text}");
        }
        assert_eq!(limits_of("wall 3 B max 4"), (None, Some(4.0)));
        assert_eq!(limits_of("step 3 4 along y 0 ±0.05"), (Some(-0.05), Some(0.05)));
        assert_eq!(limits_of("step 3 4 along y -0.2 to -0.1"), (Some(-0.2), Some(-0.1)));
    }

    #[test]
    fn a_circle_takes_as_many_holes_as_there_are() {
        for limits in
            ["60 ±0.1", "60±0.1", "60 +0.1/-0.1", "60 -0.1/+0.1", "59.9 60.1", "59.9 to 60.1"]
        {
            let RelationKind::BoltCircle(c) = read(&format!("circle 1 2 3 4 5 6 {limits}")) else {
                panic!()
            };
            assert_eq!(c.of, ["1", "2", "3", "4", "5", "6"], "{limits}");
            let range = c.diameter.range(Unit::Mm).unwrap();
            let lower = range.lower.unwrap().to_mm();
            assert!((lower - 59.9).abs() < 1e-9, "{limits}: {lower}");
        }
        let RelationKind::BoltCircle(c) = read("bolt 1 2 3 min 60") else { panic!() };
        assert_eq!(c.diameter, RelationLimits::AtLeast(Figure(60.0)));
        let RelationKind::BoltCircle(c) = read("circle 1 2 3 60 min") else { panic!() };
        assert_eq!((c.of.len(), c.diameter), (3, RelationLimits::AtLeast(Figure(60.0))));
    }

    #[test]
    fn tolerances_of_form_and_place() {
        let RelationKind::Coaxiality(c) = read("coaxial 3 4 ⌀0.1 M") else { panic!() };
        assert_eq!((c.tolerance, c.modifier), (Figure(0.1), Modifier::Mmc));
        let RelationKind::Flatness(f) = read("flat large face 0.02") else { panic!() };
        assert_eq!(f.of, "large face");
        let RelationKind::Parallelism(p) = read("parallel T 0.03") else { panic!() };
        assert_eq!((p.of.as_str(), p.to), ("T", None));
        let RelationKind::PolarPosition(p) = read("polar 3 origin 0.2 0.1") else { panic!() };
        assert_eq!((p.centre, p.around), (None, Figure(0.1)));
        assert!(matches!(read("square C B .05"), RelationKind::Perpendicularity(_)));
    }

    #[test]
    fn what_makes_no_relation_is_refused_with_a_sentence() {
        for text in [
            "",
            "spacing 3 4 5",
            "distance 3 4 40 ±0.1",
            "distance 3 4 along z 40 ±0.1",
            "distance along x 40 ±0.1",
            "distance 1 2 3 along x 40 ±0.1",
            "distance 3 4 along x 40",
            "distance 3 4 along x",
            "centres 3 50 ±0.1 0",
            "wall 3",
            "wall 3 4 min",
            "wall 3 4 min 2 3",
            "coaxial 3 4",
            "coaxial 3 4 -0.1",
            "coaxial 3 4 0.1 X",
            "coaxial 3 4 0.1 M L",
            "square C 0.05",
            "parallel 0.03",
            "flat 0.02",
            "circle 1 2 60 ±0.1",
            "circle",
            "polar 3 0.2",
            "polar 3 1 0.2 5000",
            "centres \"3 4 50 ±0.1",
            "centres 3 12345678901234567890 50 ±0.1",
        ] {
            let error = parse(text, Unit::Mm).map_err(|e| e.to_string());
            assert!(error.as_ref().is_err_and(|e| e.ends_with('.')), "{text}: {error:?}");
        }
        let wide = SizeLimits::Limits { lower: Figure(1.0), upper: Figure(3.0) };
        assert!(parse("wall 3 4 1 3", Unit::Mm).is_err());
        assert_eq!(read("wall 3 4 1 to 3").limits(), Some(RelationLimits::Within(wide)));
    }
}
