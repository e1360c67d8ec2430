//! The features of a pattern, and the datum features that hold it.

/// Where the axis or the centre plane of a feature may lie about its nominal place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Zone {
    /// Inside a circle.
    Round {
        /// Radius in mm, at least 0: half the tolerance and half the bonus.
        radius: f64,
    },
    /// Between two parallel planes, both the same distance away: slots, tabs, and the two
    /// directions of a rectangular zone.
    Planes {
        /// Unit vector across the planes, in the drawing's frame; either of the two senses.
        normal: [f64; 2],
        /// Distance from the nominal to either plane in mm, at least 0.
        half: f64,
    },
}

impl Zone {
    /// Half the width of the zone, mm.
    #[must_use]
    pub const fn radius(self) -> f64 {
        match self {
            Self::Round { radius } => radius,
            Self::Planes { half, .. } => half,
        }
    }

    /// How far a place is from the nominal in the sense of this zone, mm: the distance for a
    /// round zone, the distance across for planes. `deviation` is place less nominal, mm, in the
    /// drawing's frame.
    #[must_use]
    pub fn distance(self, [x, y]: [f64; 2]) -> f64 {
        match self {
            Self::Round { .. } => (x * x + y * y).sqrt(),
            Self::Planes { normal: [nx, ny], .. } => (nx * x + ny * y).abs(),
        }
    }

    /// A zone of the same shape, its radius or half width larger by this many mm.
    pub(super) const fn grown(self, by: f64) -> Self {
        match self {
            Self::Round { radius } => Self::Round { radius: radius + by },
            Self::Planes { normal, half } => Self::Planes { normal, half: half + by },
        }
    }

    /// A zone of the same shape that leaves no room at all.
    pub(super) const fn closed(self) -> Self {
        match self {
            Self::Round { .. } => Self::Round { radius: 0.0 },
            Self::Planes { normal, .. } => Self::Planes { normal, half: 0.0 },
        }
    }
}

/// A feature of the pattern: its zone is to hold it, once all are moved as one body.
///
/// A rectangular zone is two members with the same places and normals at right angles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Member {
    /// Where the drawing has it, mm, in the drawing's frame.
    pub nominal: [f64; 2],
    /// Where it was measured, mm, in the same frame.
    pub measured: [f64; 2],
    /// What is allowed, bonus included.
    pub zone: Zone,
}

/// A datum feature that must stay inside its boundary, whatever the pattern would like.
///
/// Its room is (actual - boundary) / 2 for a feature of size at its maximum material boundary,
/// and 0 regardless of its size: then it is a lock. A round lock leaves only the rotation about
/// it; a lock between planes stops the movement across them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// Where the drawing has the datum feature, mm, in the drawing's frame.
    pub nominal: [f64; 2],
    /// Where it was measured, mm, in the same frame.
    pub measured: [f64; 2],
    /// The room it has.
    pub zone: Zone,
}

impl From<Bound> for Member {
    fn from(Bound { nominal, measured, zone }: Bound) -> Self {
        Self { nominal, measured, zone }
    }
}
