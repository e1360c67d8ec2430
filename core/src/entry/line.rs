//! Lines between features, typed straight through: the kind, the features, the limits.
//!
//! ```text
//! distance 3 4 along x 40 ±0.1     height 4 along y 12 +0.1/0     (from the origin)
//! centres 3 4 50 ±0.05             centre to centre
//! wall 3 4 2.5 to 3.5              edge 3 B min 10
//! coaxial 3 4 0.1 M                of 3 to 4
//! square C B 0.05                  parallel T B 0.03
//! flat A 0.02                      flat "large face" 0.02
//! circle 1 2 3 4 5 6 60 ±0.1       bolt circle
//! polar 3 1 0.2 0.1                of 3 about 1: along the radius, around it
//! ```
//!
//! `origin` stands for the origin of the frame. A number with a blank in it, or one that could be
//! taken for something else, stands between quotation marks.

use super::size::limits;
use super::{EntryError, axis, modifier, number, refuse};
use crate::job::{
    Along, Asks, BOUNDS, BoltCircle, Coaxiality, Distance, Flatness, LineLimits, Modifier,
    Parallelism, Perpendicularity, PolarPosition, Wall,
};
use crate::quantity::{Figure, Unit};

/// How each kind is typed, for whoever types one.
pub const LINE_EXAMPLES: [(&str, &str); 10] = [
    ("distance 3 4 along x 40 ±0.1", "distance, step or width along an axis"),
    ("height 4 along y 12 ±0.05", "from the origin of the frame"),
    ("centres 3 4 50 ±0.05", "centre to centre"),
    ("wall 3 4 2.5 to 3.5", "wall between two holes, or edge 3 B min 10"),
    ("coaxial 3 4 0.1", "coaxiality of 3 to 4"),
    ("square C B 0.05", "perpendicularity of edge C to B"),
    ("parallel T B 0.03", "parallelism of face T to B, by a sweep"),
    ("flat A 0.02", "flatness, by a grid of heights"),
    ("circle 1 2 3 4 5 6 60 ±0.1", "bolt circle and its diameter"),
    ("polar 3 1 0.2 0.1", "of 3 about 1: widths along the radius and around"),
];

/// What stands for the origin of the frame.
const ORIGIN: &str = "origin";

/// Reads what a line asks.
///
/// # Errors
/// A sentence that says what is wrong, and how it should be.
pub fn line(text: &str, unit: Unit) -> Result<Asks, EntryError> {
    let words = words(text)?;
    let Some((kind, rest)) = words.split_first() else {
        return refuse("A line begins with its kind, as in distance 3 4 along x 40 ±0.1.");
    };
    let rest = Rest { words: rest, unit };
    match kind.text.to_lowercase().as_str() {
        "distance" | "dist" | "height" | "step" | "depth" | "width" => rest.distance(),
        "centres" | "centers" | "straight" => rest.centres(),
        "wall" | "edge" => rest.wall(),
        "coaxial" | "coaxiality" | "concentric" => rest.coaxial(),
        "square" | "perpendicular" | "perpendicularity" => rest.square(),
        "parallel" | "parallelism" => rest.parallel(),
        "flat" | "flatness" => rest.flat(),
        "circle" | "bolt" => rest.circle(),
        "polar" => rest.polar(),
        other => refuse(format!(
            "“{other}” is no kind of line: distance, centres, wall, edge, coaxial, square, \
             parallel, flat, circle or polar."
        )),
    }
}

/// Whether a number must be quoted to be read as one.
pub(crate) fn must_quote(number: &str) -> bool {
    let first = number.chars().next();
    let special = ["to", "min", "max", "along", ORIGIN, "at", "M", "L"];
    first.is_none_or(|c| {
        matches!(c, '"' | '+' | '-' | '−' | '–' | '—' | '±' | '≥' | '≤' | '>' | '<')
    }) || number.contains(char::is_whitespace)
        || number.contains('±')
        || special.iter().any(|s| s.eq_ignore_ascii_case(number))
}

/// A word, and whether it stood between quotation marks.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Word {
    text: String,
    quoted: bool,
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

/// What stands behind the kind.
struct Rest<'a> {
    words: &'a [Word],
    unit: Unit,
}

fn feature(word: &Word) -> Result<String, EntryError> {
    if word.text.chars().count() > BOUNDS.label_chars {
        return refuse(format!("“{}” is too long for the number of a feature.", word.text));
    }
    Ok(word.text.clone())
}

fn or_origin(word: &Word) -> Result<Option<String>, EntryError> {
    let origin = !word.quoted && word.text.eq_ignore_ascii_case(ORIGIN);
    if origin { Ok(None) } else { feature(word).map(Some) }
}

impl Rest<'_> {
    fn distance(&self) -> Result<Asks, EntryError> {
        let how = "Write it like distance 3 4 along x 40 ±0.1.";
        let along =
            |w: &Word| !w.quoted && matches!(w.text.to_lowercase().as_str(), "along" | "across");
        let Some(at) = self.words.iter().position(along) else {
            return refuse(format!("Along which axis is not said. {how}"));
        };
        let (features, rest) = self.words.split_at(at);
        let Some((which, rest)) = rest.get(1..).and_then(<[Word]>::split_first) else {
            return refuse(format!("An axis is missing. {how}"));
        };
        let axis = axis(&which.text)?;
        let (from, to) = match features {
            [to] => (None, feature(to)?),
            [from, to] => (or_origin(from)?, feature(to)?),
            _ => return refuse(format!("A distance has one or two features. {how}")),
        };
        Ok(Asks::Distance(Distance {
            from,
            to,
            along: Along::from(axis),
            limits: self.range(rest)?,
        }))
    }

    fn centres(&self) -> Result<Asks, EntryError> {
        let [from, to, rest @ ..] = self.words else {
            return refuse("Two features are needed, as in centres 3 4 50 ±0.05.");
        };
        let (from, to) = (or_origin(from)?, feature(to)?);
        Ok(Asks::Distance(Distance { from, to, along: Along::Straight, limits: self.range(rest)? }))
    }

    fn wall(&self) -> Result<Asks, EntryError> {
        let [a, b, rest @ ..] = self.words else {
            return refuse("Two features are needed, as in wall 3 4 2.5 to 3.5.");
        };
        let between = [feature(a)?, feature(b)?];
        Ok(Asks::Wall(Wall { between, limits: self.range(rest)? }))
    }

    fn coaxial(&self) -> Result<Asks, EntryError> {
        let [of, to, tolerance, rest @ ..] = self.words else {
            return refuse("Two features and a diameter are needed, as in coaxial 3 4 0.1.");
        };
        let modifier = match rest {
            [] => Modifier::None,
            [one] => modifier(&one.text)?,
            _ => return refuse("Behind the tolerance stands M or L, or nothing."),
        };
        let tolerance = self.tolerance(tolerance)?;
        Ok(Asks::Coaxiality(Coaxiality { of: feature(of)?, to: feature(to)?, tolerance, modifier }))
    }

    fn square(&self) -> Result<Asks, EntryError> {
        let [of, to, tolerance] = self.words else {
            return refuse("Two faces and a width are needed, as in square C B 0.05.");
        };
        let tolerance = self.tolerance(tolerance)?;
        let (of, to) = (feature(of)?, feature(to)?);
        Ok(Asks::Perpendicularity(Perpendicularity { of, to, tolerance }))
    }

    fn parallel(&self) -> Result<Asks, EntryError> {
        let (of, to, tolerance) = match self.words {
            [of, tolerance] => (of, None, tolerance),
            [of, to, tolerance] => (of, Some(feature(to)?), tolerance),
            _ => return refuse("A face and a width are needed, as in parallel T B 0.03."),
        };
        let tolerance = self.tolerance(tolerance)?;
        Ok(Asks::Parallelism(Parallelism { of: feature(of)?, to, tolerance }))
    }

    fn flat(&self) -> Result<Asks, EntryError> {
        let Some((tolerance, of)) = self.words.split_last().filter(|(_, of)| !of.is_empty()) else {
            return refuse("A face and a width are needed, as in flat A 0.02.");
        };
        let of = of.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" ");
        if of.chars().count() > BOUNDS.text_chars {
            return refuse("The words for the face are too many.");
        }
        Ok(Asks::Flatness(Flatness { of, tolerance: self.tolerance(tolerance)? }))
    }

    fn circle(&self) -> Result<Asks, EntryError> {
        let how = "Write it like circle 1 2 3 4 5 6 60 ±0.1.";
        let at = self.where_limits_begin();
        let (features, rest) = self.words.split_at(at);
        if features.len() < 3 {
            return refuse(format!("A circle goes through three holes at least. {how}"));
        }
        if features.len() > BOUNDS.line_features {
            return refuse(format!(
                "A circle goes through {} holes at most.",
                BOUNDS.line_features
            ));
        }
        let of = features.iter().map(feature).collect::<Result<Vec<_>, _>>()?;
        Ok(Asks::BoltCircle(BoltCircle { of, diameter: self.range(rest)? }))
    }

    fn polar(&self) -> Result<Asks, EntryError> {
        let (of, centre, radial, around) = match self.words {
            [of, radial, around] => (of, None, radial, around),
            [of, centre, radial, around] => (of, or_origin(centre)?, radial, around),
            _ => {
                return refuse(
                    "A feature, a centre and two widths are needed, as in polar 3 1 0.2 0.1.",
                );
            }
        };
        let (radial, around) = (self.tolerance(radial)?, self.tolerance(around)?);
        Ok(Asks::PolarPosition(PolarPosition { of: feature(of)?, centre, radial, around }))
    }

    /// Where the limits begin behind any number of features: at `min` or `max`, at the figure before
    /// a sign or a `to`, else at the last figure but one.
    fn where_limits_begin(&self) -> usize {
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

    fn range(&self, words: &[Word]) -> Result<LineLimits, EntryError> {
        let text: Vec<&str> = words.iter().map(|w| w.text.as_str()).collect();
        let (least, figures): (Option<bool>, &[&str]) = match text.as_slice() {
            ["at", "least", rest @ ..] => (Some(true), rest),
            ["at", "most", rest @ ..] => (Some(false), rest),
            [first, rest @ ..] if one_sided(first).is_some() => (one_sided(first), rest),
            [rest @ .., last] if one_sided(last).is_some() => (one_sided(last), rest),
            all => (None, all),
        };
        let Some(least) = least else {
            return limits(&text.join(" "), self.unit).map(LineLimits::Within);
        };
        let [figure] = figures else {
            return refuse("One figure stands beside min or max, as in min 2.5.");
        };
        let figure = number(figure, self.unit)?;
        Ok(if least { LineLimits::AtLeast(figure) } else { LineLimits::AtMost(figure) })
    }

    fn tolerance(&self, word: &Word) -> Result<Figure, EntryError> {
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
    use crate::job::SizeLimits;

    fn read(text: &str) -> Asks {
        line(text, Unit::Mm).unwrap_or_else(|e| panic!("{text}: {e}"))
    }

    fn limits_of(text: &str) -> (Option<f64>, Option<f64>) {
        let range = read(text).limits().unwrap().range(Unit::Mm).unwrap();
        (range.lower.map(|l| l.to_mm()), range.upper.map(|l| l.to_mm()))
    }

    #[test]
    fn distances_along_an_axis_and_straight() {
        let Asks::Distance(d) = read("distance 3 4 along x 40 ±0.1") else { panic!() };
        assert_eq!((d.from.as_deref(), d.to.as_str(), d.along), (Some("3"), "4", Along::X));
        for text in ["height 4 along Y 12 12.5", "depth origin 4 along y 12 to 12.5"] {
            let Asks::Distance(d) = read(text) else { panic!() };
            assert_eq!((d.from, d.to.as_str(), d.along), (None, "4", Along::Y));
        }
        let Asks::Distance(d) = read("centres 3 \"A 4\" 50±0.05") else { panic!() };
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
            let Asks::BoltCircle(c) = read(&format!("circle 1 2 3 4 5 6 {limits}")) else {
                panic!()
            };
            assert_eq!(c.of, ["1", "2", "3", "4", "5", "6"], "{limits}");
            let range = c.diameter.range(Unit::Mm).unwrap();
            let lower = range.lower.unwrap().to_mm();
            assert!((lower - 59.9).abs() < 1e-9, "{limits}: {lower}");
        }
        let Asks::BoltCircle(c) = read("bolt 1 2 3 min 60") else { panic!() };
        assert_eq!(c.diameter, LineLimits::AtLeast(Figure(60.0)));
        let Asks::BoltCircle(c) = read("circle 1 2 3 60 min") else { panic!() };
        assert_eq!((c.of.len(), c.diameter), (3, LineLimits::AtLeast(Figure(60.0))));
    }

    #[test]
    fn tolerances_of_form_and_place() {
        let Asks::Coaxiality(c) = read("coaxial 3 4 ⌀0.1 M") else { panic!() };
        assert_eq!((c.tolerance, c.modifier), (Figure(0.1), Modifier::Mmc));
        let Asks::Flatness(f) = read("flat large face 0.02") else { panic!() };
        assert_eq!(f.of, "large face");
        let Asks::Parallelism(p) = read("parallel T 0.03") else { panic!() };
        assert_eq!((p.of.as_str(), p.to), ("T", None));
        let Asks::PolarPosition(p) = read("polar 3 origin 0.2 0.1") else { panic!() };
        assert_eq!((p.centre, p.around), (None, Figure(0.1)));
        assert!(matches!(read("square C B .05"), Asks::Perpendicularity(_)));
    }

    #[test]
    fn what_makes_no_line_is_refused_with_a_sentence() {
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
            let error = line(text, Unit::Mm).map_err(|e| e.to_string());
            assert!(error.as_ref().is_err_and(|e| e.ends_with('.')), "{text}: {error:?}");
        }
        let wide = SizeLimits::Limits { lower: Figure(1.0), upper: Figure(3.0) };
        assert!(line("wall 3 4 1 3", Unit::Mm).is_err());
        assert_eq!(read("wall 3 4 1 to 3").limits(), Some(LineLimits::Within(wide)));
    }
}
