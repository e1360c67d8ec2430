//! Position callouts.

use quarterturn_core::job::{DatumRef, Modifier, Position, Segment, Together};
use quarterturn_core::quantity::Figure;

/// Returns a position callout regardless of size, with these datums, such as `B(M)`, in their order.
pub(crate) fn position(tolerance: f64, datums: &[&str]) -> Position {
    Position { tolerance: Figure(tolerance), datums: DatumRef::all(datums), ..Position::default() }
}

/// Returns a composite callout: an upper segment of 5 mm in the frame of the edges, so wide that it
/// decides nothing, and this lower segment.
pub(crate) fn composite(tolerance: f64, datums: &[&str]) -> Position {
    Position {
        lower: vec![Segment {
            tolerance: Figure(tolerance),
            datums: DatumRef::all(datums),
            together: Together::Default,
        }],
        ..position(5.0, &["A", "B", "C"])
    }
}

/// What a position callout may have besides its tolerance and datums.
pub(crate) trait Ask {
    fn at(self, modifier: Modifier) -> Self;
    fn at_mmc(self) -> Self;
    fn at_lmc(self) -> Self;
}

impl Ask for Position {
    fn at(self, modifier: Modifier) -> Self {
        Self { modifier, ..self }
    }

    fn at_mmc(self) -> Self {
        self.at(Modifier::Mmc)
    }

    fn at_lmc(self) -> Self {
        self.at(Modifier::Lmc)
    }
}
