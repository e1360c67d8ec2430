//! What is wrong or doubtful, where, and what to do. Problems are reported all together.

use serde::Serialize;

/// Something wrong or doubtful.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// How much it matters.
    pub weight: Weight,
    /// Where.
    pub place: Place,
    /// One or two sentences: what it is and what to do.
    pub says: String,
}

/// How much a problem matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Weight {
    /// Something cannot be worked out until this is mended.
    Stops,
    /// The results stand, and may not mean what one thinks.
    Warns,
}

/// Where a problem is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// The drawing as a whole.
    Drawing,
    /// A feature of the drawing, by its index.
    Feature(usize),
    /// An orientation, by its number.
    Orientation(u32),
    /// A piece, by its index.
    Piece(usize),
}
