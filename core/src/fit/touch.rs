//! One condition: a feature and its zone, or what the frame locks, and how it looks from a pose.

use super::member::{Bound, Member, Zone};
use super::pose::Pose;
use crate::quantity::vector::{dot, norm};

/// Whose condition it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Whose {
    /// A feature of the pattern.
    Member(usize),
    /// A datum feature.
    Bound(usize),
    /// The translation of the origin along x or y, locked.
    Slide(usize),
    /// The rotation, locked or limited.
    Turn,
}

/// One condition |deviation| <= radius, or <= radius + s where it rises with s.
#[derive(Clone, Copy, Debug)]
pub(super) struct Touch {
    pub(super) whose: Whose,
    pub(super) nominal: [f64; 2],
    pub(super) measured: [f64; 2],
    pub(super) zone: Zone,
    /// Whether its zone grows with s.
    pub(super) rises: bool,
}

/// The same at one pose: a vector in two components of its own, and how they change with the
/// unknowns x, y and φ = turn × lever, all mm. The second component is unused between planes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Linearised {
    /// Deviation, mm.
    pub(super) gap: [f64; 2],
    /// First derivatives of the two components.
    pub(super) rows: [[f64; 3]; 2],
    /// Second derivative by φ, 1/mm.
    pub(super) bend: [f64; 2],
    /// mm.
    pub(super) radius: f64,
    /// 1 if the zone grows with s, else 0.
    pub(super) rise: f64,
}

impl Linearised {
    /// Length of the deviation, mm.
    pub(super) fn length(&self) -> f64 {
        norm(self.gap)
    }

    /// By how much s would have to grow, or by how much the bound is passed, mm.
    pub(super) fn over(&self, s: f64) -> f64 {
        self.length() - self.radius - self.rise * s
    }

    /// Deviation after a small step (x, y, φ) of the linear model, mm.
    pub(super) fn gap_after(&self, x: &[f64; 3]) -> [f64; 2] {
        let after = |k: usize| self.gap[k] + dot(&self.rows[k], x);
        [after(0), after(1)]
    }
}

impl Touch {
    pub(super) const fn member(index: usize, m: &Member) -> Self {
        Self {
            whose: Whose::Member(index),
            nominal: m.nominal,
            measured: m.measured,
            zone: m.zone,
            rises: true,
        }
    }

    pub(super) const fn bound(index: usize, b: &Bound) -> Self {
        Self {
            whose: Whose::Bound(index),
            nominal: b.nominal,
            measured: b.measured,
            zone: b.zone(),
            rises: false,
        }
    }

    /// The translation of the origin along x (0) or y (1), locked: a datum feature at the origin.
    pub(super) const fn slide(axis: usize) -> Self {
        let normal = if axis == 0 { [1.0, 0.0] } else { [0.0, 1.0] };
        Self {
            whose: Whose::Slide(axis),
            nominal: [0.0; 2],
            measured: [0.0; 2],
            zone: Zone::Planes { normal, half: 0.0 },
            rises: false,
        }
    }

    /// The rotation, limited to this many radians either way.
    pub(super) const fn turn(limit: f64) -> Self {
        Self {
            whose: Whose::Turn,
            nominal: [0.0; 2],
            measured: [0.0; 2],
            zone: Zone::Planes { normal: [1.0, 0.0], half: limit },
            rises: false,
        }
    }

    /// How it looks from a pose.
    pub(super) fn line(&self, pose: &Pose, lever: f64) -> Linearised {
        let rise = f64::from(u8::from(self.rises));
        if self.whose == Whose::Turn {
            return Linearised {
                gap: [pose.turn * lever, 0.0],
                rows: [[0.0, 0.0, 1.0], [0.0; 3]],
                bend: [0.0; 2],
                radius: self.zone.radius() * lever,
                rise,
            };
        }
        let [x, y] = pose.deviation(self.nominal, self.measured);
        let [ax, ay] = pose.turned_arm(self.measured);
        let (ax, ay) = (ax / lever, ay / lever);
        match self.zone {
            Zone::Round { radius } => Linearised {
                gap: [x, y],
                rows: [[1.0, 0.0, -ay], [0.0, 1.0, ax]],
                bend: [-ax / lever, -ay / lever],
                radius,
                rise,
            },
            Zone::Planes { normal: [nx, ny], half } => Linearised {
                gap: [nx * x + ny * y, 0.0],
                rows: [[nx, ny, ny * ax - nx * ay], [0.0; 3]],
                bend: [-(nx * ax + ny * ay) / lever, 0.0],
                radius: half,
                rise,
            },
        }
    }

    /// A vector in the components of [`Linearised`], in the drawing's frame.
    pub(super) fn in_drawing(&self, w: [f64; 2]) -> [f64; 2] {
        match self.zone {
            Zone::Round { .. } => w,
            Zone::Planes { normal: [nx, ny], .. } => [nx * w[0], ny * w[0]],
        }
    }

    /// The same without room.
    pub(super) const fn closed(self) -> Self {
        Self { zone: self.zone.closed(), ..self }
    }

    /// A lock that holds the feature where it is at this pose.
    pub(super) fn locked_at(&self, pose: &Pose) -> Self {
        let mut touch = self.closed();
        if touch.whose != Whose::Turn {
            let [x, y] = pose.deviation(self.nominal, self.measured);
            touch.nominal = [self.nominal[0] + x, self.nominal[1] + y];
        }
        touch
    }
}
