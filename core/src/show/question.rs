//! Questions about readings in sentences: what was read, what was expected, what it looks like.

use crate::bench::{Guess, Question};
use crate::findings::Planned;
use crate::job::{Job, Touch};
use crate::notation::capital;
use crate::quantity::{Length, Unit};
use serde::Serialize;
use serde::ser::Serializer;

impl Question {
    /// What it is, what was expected, what it looks like.
    #[must_use]
    pub fn says(&self) -> String {
        let f = self.figures;
        let what = match self.touch {
            Touch::Face => self.name.clone(),
            touch => format!("{}, {}", self.name, touch.word()),
        };
        let what = capital(&what);
        let guess = self.looks_like();
        match &self.guess {
            Guess::SizeDiffers { .. }
            | Guess::SizeBeyond { .. }
            | Guess::PlaceAlone { .. }
            | Guess::BeyondRange { .. }
            | Guess::SameAsRow { .. } => format!("{what}: {guess} It is kept as read."),
            _ => format!(
                "{what}: {} read, {} expected. {guess} It is kept as read.",
                f.exact(self.raw).signed(self.raw),
                f.signed(self.expected)
            ),
        }
    }

    fn looks_like(&self) -> String {
        let f = self.figures;
        let typed = |v: Length| f.exact(v).signed(v);
        match &self.guess {
            Guess::Sign => "It has the wrong sign, by the look of it.".to_owned(),
            Guess::Unit => {
                let unit = match f.unit {
                    Unit::Mm => "mm",
                    Unit::Inch => "inch",
                };
                format!("It looks like a reading in the other unit; this gauge is set to {unit}.")
            }
            Guess::Other { name, touch, .. } => {
                format!("It is what {name}, {}, should show.", touch.word())
            }
            Guess::OtherWayUp => {
                "It is what the part would show standing the other way up.".to_owned()
            }
            Guess::Digits { typed: to } => format!(
                "With two digits exchanged, {}, it would be as expected. Touch again.",
                typed(*to)
            ),
            Guess::BeyondRange { range } => format!(
                "{} read, and the gauge measures up to {}. Check the reading, and the measuring range \
                 of the instrument.",
                typed(self.raw),
                f.plain(*range)
            ),
            Guess::Far => "Touch again, or check feature, zero and drawing.".to_owned(),
            Guess::SizeDiffers { other, size, there, limit, typed: to } => {
                let exchanged = to.map_or_else(String::new, |to| {
                    format!(
                        " With two digits of {} exchanged, {}, the sizes would agree.",
                        typed(self.raw),
                        typed(to)
                    )
                });
                format!(
                    "the size here is {}, and {} in orientation {other}: they differ by more than \
                     {}.{exchanged} Look for a burr, touch at the crest, and touch both points again.",
                    f.plain(*size),
                    f.plain(*there),
                    f.plain(*limit)
                )
            }
            Guess::SizeBeyond { size, by, confirmed, .. } => {
                let where_ = if *confirmed {
                    "The other orientations agree: check the size on the drawing, and which feature \
                     was touched."
                } else {
                    "Touch both points again, and check the size on the drawing."
                };
                format!(
                    "the size {} is {} beyond its limits. {where_}",
                    f.plain(*size),
                    f.plain(*by)
                )
            }
            Guess::PlaceAlone { deviation, allowed, standard } => format!(
                "this height alone puts its centre {} from its true position, where {} is allowed \
                 (standard uncertainty {}). Touch it again; check the basic dimension, the zero, and \
                 how the part is seated.",
                f.signed(*deviation),
                f.plain(*allowed),
                f.finer(1).plain(*standard)
            ),
            Guess::SameAsRow { name, .. } => format!(
                "both readings are those of {name}, to the last digit. Check whether a row was typed \
                 twice."
            ),
        }
    }
}

/// Where a question is.
#[derive(Serialize)]
struct At<'a> {
    orientation: u32,
    feature: usize,
    name: &'a str,
    touch: Touch,
    repeat: usize,
}

#[derive(Serialize)]
struct Written<'a> {
    place: At<'a>,
    raw: Length,
    expected: Length,
    #[serde(flatten)]
    guess: &'a Guess,
    says: String,
}

impl Serialize for Question {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let Self { orientation, feature, name, touch, repeat, raw, expected, guess, .. } = self;
        let (orientation, feature, touch, repeat) = (*orientation, *feature, *touch, *repeat);
        let place = At { orientation, feature, name, touch, repeat };
        let says = self.says();
        Written { place, raw: *raw, expected: *expected, guess, says }.serialize(to)
    }
}

/// A questioned reading in a sentence.
#[must_use]
pub fn question(q: &Question, _: &Job, _: &[Planned]) -> String {
    q.says()
}
