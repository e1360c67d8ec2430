//! The readings of a piece, by where they were taken.

use crate::job::{Piece, Reading};
use rustc_hash::FxHashMap;

/// The readings of a piece, to be looked up.
#[derive(Clone, Debug)]
pub struct Readings<'p> {
    piece: &'p Piece,
    by_place: FxHashMap<(u32, &'p str), &'p Reading>,
}

impl<'p> Readings<'p> {
    /// Those of a piece.
    #[must_use]
    pub fn of(piece: &'p Piece) -> Self {
        let readings = piece.readings.iter();
        let by_place = readings.map(|r| ((r.orientation, r.feature.as_str()), r)).collect();
        Self { piece, by_place }
    }

    /// The piece.
    #[must_use]
    pub const fn piece(&self) -> &'p Piece {
        self.piece
    }

    /// The reading of a feature in an orientation, both by their numbers.
    #[must_use]
    pub fn get(&self, orientation: u32, feature: &str) -> Option<&'p Reading> {
        self.by_place.get(&(orientation, feature)).copied()
    }
}
