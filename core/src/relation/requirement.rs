//! What a kind of relation has to say for itself.

use super::{Compartments, Facts, Found, HeightsOver, Reason, RelationLimits, Typed};
use crate::feature::Kind;
use crate::notation::{EntryError, Figures};
use crate::quantity::Figure;

/// A kind of relation: what is asked, and everything that differs from kind to kind.
pub trait Requirement {
    /// Words that it may begin with where it is typed.
    fn words() -> &'static [&'static str]
    where
        Self: Sized;

    /// Examples of how it is typed, each with what it means.
    fn examples() -> &'static [(&'static str, &'static str)]
    where
        Self: Sized;

    /// Reads what was typed behind one of its words.
    ///
    /// # Errors
    /// A sentence that says what is wrong, and how it should be.
    fn parse(typed: &Typed<'_>) -> Result<Self, EntryError>
    where
        Self: Sized;

    /// Returns it as it is typed.
    fn text(&self, drawing: &dyn OnDrawing) -> String;

    /// Returns the word for it in a table or a sentence.
    fn word(&self, drawing: &dyn OnDrawing) -> &'static str;

    /// Returns the features it names, by their numbers.
    fn features(&self) -> Vec<&str>;

    /// Returns the same, to give one another number.
    fn features_mut(&mut self) -> Vec<&mut String>;

    /// Whether a feature it names may be words for one that is not among those of the drawing.
    fn takes_words(&self) -> bool {
        false
    }

    /// Returns what it is about: `hole 3, face B`. `called` returns the name of one feature.
    fn name(&self, called: &dyn Fn(&str) -> String) -> String {
        self.features().into_iter().map(called).collect::<Vec<_>>().join(", ")
    }

    /// Returns what the name leaves open and a row of the sheet should say: `, along X`.
    fn detail(&self) -> String {
        String::new()
    }

    /// Returns its limits, where it has any.
    fn limits(&self) -> Option<RelationLimits> {
        None
    }

    /// Returns its tolerances: the widths and diameters of its zones.
    fn tolerances(&self) -> Vec<Figure> {
        Vec::new()
    }

    /// Returns every figure of it, to write them in another unit.
    fn figures_mut(&mut self) -> Vec<&mut Figure>;

    /// Returns what it is judged from.
    fn basis(&self) -> Basis {
        Basis::Readings
    }

    /// Returns what it needs of the frame of the datums. `kind` returns the kind of a feature.
    fn frame(&self, _kind: &dyn Fn(&str) -> Option<Kind>) -> FrameNeed {
        FrameNeed::None
    }

    /// Finds its figure from what was measured of a piece.
    ///
    /// # Errors
    /// Why there is no such figure: what was not measured, or what the drawing does not allow.
    fn judge(&self, facts: &dyn Facts) -> Result<Found, Reason>;

    /// Returns how it stands on the sheet.
    fn compartments(&self, drawing: &dyn OnDrawing) -> Compartments;
}

/// What a relation is judged from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The readings and sweeps of the orientations.
    Readings,
    /// What is stated of the piece; how it was found is not in the document.
    Stated,
    /// Heights that were taken for this relation alone.
    Heights(HeightsOver),
}

impl Basis {
    /// Over what heights are taken for it, if they are.
    #[must_use]
    pub const fn heights(self) -> Option<HeightsOver> {
        match self {
            Self::Heights(over) => Some(over),
            Self::Readings | Self::Stated => None,
        }
    }
}

/// What a relation needs of the frame of the datums.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FrameNeed {
    /// Nothing: what lies between two features, or square to a plane one, is the same in any frame.
    None,
    /// Coordinates in it, as far as they can be had.
    Coordinates,
    /// The directions of its axes.
    Directions,
    /// Its origin, along x and y.
    Origin([bool; 2]),
}

/// What a relation is told of its drawing where it is written.
pub trait OnDrawing {
    /// Returns the unit and the decimals of the drawing.
    fn figures(&self) -> Figures;

    /// Returns the kind of a feature, by its number.
    fn kind(&self, number: &str) -> Option<Kind>;

    /// Returns the letter of the datum that a feature carries, or else its number.
    fn datum<'a>(&'a self, number: &'a str) -> &'a str;
}
