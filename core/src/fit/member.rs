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

/// What a gauge has for a datum feature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Counterpart {
    /// A boundary of fixed size (MMB, LMB): the axis or centre plane of the datum feature stays in
    /// this zone about its nominal place. Its radius or half width is (actual - boundary) / 2;
    /// below 0 the feature is beyond its boundary, and the gauge does not go on.
    Boundary(Zone),
    /// Regardless of the feature's size (RMB), all round: the axis stands at its nominal place,
    /// and only the rotation about it is left.
    Round,
    /// Regardless of the feature's size, between two planes: the centre plane stands at its
    /// nominal place.
    Planes {
        /// Unit vector across the planes, in the drawing's frame; either of the two senses.
        normal: [f64; 2],
    },
}

/// A datum feature, which stays where its counterpart in the gauge lets it, whatever the pattern
/// would like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// Where the drawing has the datum feature, mm, in the drawing's frame.
    pub nominal: [f64; 2],
    /// Where it was measured, mm, in the same frame.
    pub measured: [f64; 2],
    /// What holds it.
    pub counterpart: Counterpart,
}

impl Bound {
    /// A datum feature at its boundary, with its room as a zone.
    #[must_use]
    pub const fn within(nominal: [f64; 2], measured: [f64; 2], room: Zone) -> Self {
        Self { nominal, measured, counterpart: Counterpart::Boundary(room) }
    }

    /// The zone in which it stays; without room where it is held regardless of its size.
    #[must_use]
    pub const fn zone(&self) -> Zone {
        match self.counterpart {
            Counterpart::Boundary(zone) => zone,
            Counterpart::Round => Zone::Round { radius: 0.0 },
            Counterpart::Planes { normal } => Zone::Planes { normal, half: 0.0 },
        }
    }

    /// Whether it is held regardless of its size, so that no room can ever be larger.
    pub(super) const fn is_regardless(&self) -> bool {
        !matches!(self.counterpart, Counterpart::Boundary(_))
    }

    pub(super) const fn room(&self) -> f64 {
        self.zone().radius()
    }
}

impl From<Bound> for Member {
    fn from(bound: Bound) -> Self {
        Self { nominal: bound.nominal, measured: bound.measured, zone: bound.zone() }
    }
}
