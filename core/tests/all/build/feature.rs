//! Features: what the drawing asks of them and what they really are.

use super::position;
use quarterturn_core::job::{Callout, Feature, Kind, Position, SizeLimits};
use quarterturn_core::quantity::{Axis, Figure, Side};

/// A feature of the drawing and the feature of the part. It is exactly as drawn, with the size in
/// the middle of its limits, until something else is said.
#[derive(Clone, Debug)]
pub(crate) struct Made {
    pub(crate) feature: Feature,
    /// True x and y of its axis or centre plane; of a face, 0 along itself.
    pub(crate) at: [f64; 2],
    /// True size along X and along Y: holes need not be round.
    pub(crate) size: [f64; 2],
}

/// A hole whose axis the drawing has at this place.
pub(crate) fn hole(number: &str, place: [f64; 2]) -> Made {
    made(Kind::Hole, number, place)
}

/// A slot whose width is measured along this axis, its centre at this place.
pub(crate) fn slot(number: &str, across: Axis, place: [f64; 2]) -> Made {
    made(Kind::Slot, number, place).across(across)
}

/// A face that looks to this side, out of the material, at this coordinate along its normal.
pub(crate) fn face(number: &str, looks: Side, at: f64) -> Made {
    let along = |axis| (looks.axis() == axis).then_some(Figure(at));
    let feature = Feature {
        number: number.to_owned(),
        kind: Kind::Face,
        looks: Some(looks),
        x: along(Axis::X),
        y: along(Axis::Y),
        ..Feature::default()
    };
    let along = |figure: Option<Figure>| figure.map_or(0.0, |f| f.0);
    let at = [along(feature.x), along(feature.y)];
    Made { feature, at, size: [0.0; 2] }
}

fn made(kind: Kind, number: &str, [x, y]: [f64; 2]) -> Made {
    let feature = Feature {
        number: number.to_owned(),
        kind,
        x: Some(Figure(x)),
        y: Some(Figure(y)),
        ..Feature::default()
    };
    Made { feature, at: [x, y], size: [0.0; 2] }
}

impl Made {
    /// Sets the limits of its size, and makes it as large as their middle.
    pub(crate) fn limits(mut self, lower: f64, upper: f64) -> Self {
        self.feature.size = Some(SizeLimits::Limits { lower: Figure(lower), upper: Figure(upper) });
        self.sized(0.5 * (lower + upper))
    }

    /// Asks a position regardless of size.
    pub(crate) fn position(self, tolerance: f64, datums: &[&str]) -> Self {
        self.asked(position(tolerance, datums))
    }

    /// Asks one position more.
    pub(crate) fn asked(mut self, position: Position) -> Self {
        self.feature.callouts.push(Callout::Position(position));
        self
    }

    /// Is of this kind instead: a hole becomes a boss, a slot a tab.
    pub(crate) fn of_kind(mut self, kind: Kind) -> Self {
        self.feature.kind = kind;
        self
    }

    /// Has this number instead.
    pub(crate) fn numbered(mut self, number: &str) -> Self {
        number.clone_into(&mut self.feature.number);
        self
    }

    fn across(mut self, axis: Axis) -> Self {
        self.feature.across = Some(axis);
        self
    }

    /// The drawing gives its place across it and not along it.
    pub(crate) fn placed_across_only(mut self) -> Self {
        match self.feature.across {
            Some(Axis::X) => self.feature.y = None,
            Some(Axis::Y) => self.feature.x = None,
            None => {}
        }
        self
    }

    /// Really lies here.
    pub(crate) fn really(self, at: [f64; 2]) -> Self {
        Self { at, ..self }
    }

    /// Really lies this far from where it is.
    pub(crate) fn off(self, by: [f64; 2]) -> Self {
        Self { at: [self.at[0] + by[0], self.at[1] + by[1]], ..self }
    }

    /// Really is as large as this.
    pub(crate) fn sized(self, size: f64) -> Self {
        Self { size: [size; 2], ..self }
    }
}
