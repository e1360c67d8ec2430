//! The datum frame of a callout: from coordinates of the bench to coordinates of the drawing.
//!
//! Datum features regardless of their size take up the freedoms of the frame in their order
//! (ASME Y14.5-2018, clause 7; ISO 5459): a face or a centre plane the translation across it, a
//! round feature both translations, and a further feature of size the rotation about the first
//! round one, as far as it is still free. What no datum takes is left as the orientations define
//! it. Every datum feature that was measured brings its own uncertainty into the coordinates.

mod clock;
mod roles;
mod vector;

use crate::adjust::Adjustment;
use crate::callout::Unjudged;
use crate::job::{Feature, Job};
use crate::quantity::{Axis, Length};
use clock::{Clock, clock};
pub use roles::turned_by;
use roles::{AXES, Role, Turn, roles};
use vector::{less, rotated, turned};

/// A frame on one piece: bench coordinates are moved so that `origin` comes to lie at `basic`,
/// and turned about it by `turn`.
#[derive(Clone, Debug, PartialEq)]
pub struct Frame {
    /// Where the origin is on the bench, mm.
    origin: [f64; 2],
    /// Where the drawing has it, mm.
    basic: [f64; 2],
    /// Rotation against the bench, counter-clockwise, rad, where a datum stops it.
    turn: Option<f64>,
    /// What origin and rotation come from.
    shares: Vec<Share>,
    /// What the datums do not give, in their order.
    lacks: Vec<Lack>,
}

/// Something that a datum does not give.
#[derive(Clone, Debug, PartialEq)]
struct Lack {
    why: Unjudged,
    /// Whether x and y of the frame suffer from it.
    along: [bool; 2],
}

/// How the frame moves with the coordinates of one feature on the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Share {
    feature: usize,
    /// Of the origin: row by row x and y of it, along the row x and y of the feature.
    origin: [[f64; 2]; 2],
    /// Of the rotation, rad/mm.
    turn: [f64; 2],
}

impl Frame {
    /// The frame of the bench itself.
    pub const BENCH: Self = Self {
        origin: [0.0; 2],
        basic: [0.0; 2],
        turn: None,
        shares: Vec::new(),
        lacks: Vec::new(),
    };

    /// The frame of these datum letters, as far as the datum features give it.
    #[must_use]
    pub fn of(job: &Job, letters: &[String], bench: &Adjustment) -> Self {
        let mut frame = Self::BENCH;
        let roles = roles(job, letters);
        let turns = roles.iter().any(|r| r.as_ref().is_ok_and(|r| r.turn == Turn::Stops));
        for role in roles {
            match role {
                Ok(role) => frame.stand(job, &role, bench),
                Err(why) => frame.lacks.push(Lack { why, along: [true; 2] }),
            }
        }
        // In a frame that is turned each coordinate depends on both.
        if turns {
            frame.lacks.iter_mut().for_each(|l| l.along = [true; 2]);
        }
        frame
    }

    /// The first reason why a feature that needs these coordinates cannot be judged in this frame: a
    /// letter that the drawing does not define, a datum feature that was neither measured nor stood
    /// on, or one so near the origin that it cannot stop the rotation.
    #[must_use]
    pub fn lacks(&self, needs: [bool; 2]) -> Option<&Unjudged> {
        let suffers = |l: &&Lack| l.along.iter().zip(needs).any(|(along, needed)| *along && needed);
        self.lacks.iter().find(suffers).map(|l| &l.why)
    }

    /// Lets one datum take what its role gives it.
    fn stand(&mut self, job: &Job, role: &Role<'_>, bench: &Adjustment) {
        let missing = || Unjudged::DatumNotMeasured(role.letter.to_owned());
        let Some(feature) = job.drawing.features.get(role.feature) else { return };
        let seen = bench.at(role.feature);
        // What carries the part is where the drawing has it, and so is how it lies.
        let stands = bench.stands_on(role.feature);
        let bare = |axis| Unjudged::DatumNominalMissing(role.letter.to_owned(), axis);
        let mut along = [false; 2];
        for (k, axis) in AXES.into_iter().enumerate().filter(|(k, _)| role.takes[*k]) {
            match (seen.along(axis), feature.basic(axis, job.drawing.unit)) {
                (Some(at), Some(basic)) => self.take(axis, role.feature, at, basic),
                (Some(_), None) => {
                    let mut along = [false; 2];
                    along[k] = true;
                    self.lacks.push(Lack { why: bare(axis), along });
                }
                (None, _) => along[k] = !stands,
            }
        }
        if along != [false; 2] {
            self.lacks.push(Lack { why: missing(), along });
        }
        let touched = || feature.plane_axis().is_some_and(|axis| seen.along(axis).is_some());
        let turned = match role.turn {
            Turn::Leaves => Ok(()),
            Turn::Stands if stands || touched() => Ok(()),
            Turn::Stands => Err(missing()),
            // Without the whole origin there is nothing to turn about, and that is said already.
            Turn::Stops if !self.lacks.is_empty() => Ok(()),
            Turn::Stops => self.stop(job, role, feature, bench),
        };
        self.lacks.extend(turned.err().map(|why| Lack { why, along: [true; 2] }));
    }

    fn take(&mut self, axis: Axis, feature: usize, at: Length, basic: Length) {
        let k = usize::from(axis == Axis::Y);
        let mut origin = [[0.0; 2]; 2];
        (self.origin[k], self.basic[k]) = (at.to_mm(), basic.to_mm());
        origin[k][k] = 1.0;
        self.shares.push(Share { feature, origin, turn: [0.0; 2] });
    }

    /// Turns the frame until the feature lies where the drawing has it.
    fn stop(
        &mut self,
        job: &Job,
        role: &Role<'_>,
        feature: &Feature,
        bench: &Adjustment,
    ) -> Result<(), Unjudged> {
        let near = || Unjudged::DatumTooNear(role.letter.to_owned());
        let seen = bench.at(role.feature);
        let measured = |axis| {
            let at = seen.along(axis).map(Length::to_mm);
            at.ok_or_else(|| Unjudged::DatumNotMeasured(role.letter.to_owned()))
        };
        // Along a slot too, since where it is turned about the origin the way to it counts.
        let basic = |axis| {
            let at = feature.basic(axis, job.drawing.unit).map(Length::to_mm);
            at.ok_or_else(|| Unjudged::DatumNominalMissing(role.letter.to_owned(), axis))
        };
        let target = [basic(Axis::X)?, basic(Axis::Y)?];
        let arm = less(target, self.basic);
        let length = libm::hypot(arm[0], arm[1]);
        // Of a slot only the coordinate across it was seen; along it, where the drawing has it.
        let (across, at) = match feature.plane_axis() {
            Some(Axis::X) => ([1.0, 0.0], [measured(Axis::X)?, self.origin[1] + arm[1]]),
            Some(Axis::Y) => ([0.0, 1.0], [self.origin[0] + arm[0], measured(Axis::Y)?]),
            None if length > 0.0 => (
                turned([arm[0] / length, arm[1] / length]),
                [measured(Axis::X)?, measured(Axis::Y)?],
            ),
            None => return Err(near()),
        };
        let Clock { turn, rate } = clock(less(at, self.origin), arm, across).ok_or_else(near)?;
        self.turn = Some(turn);
        // The rotation goes by the way from the origin to the feature.
        for share in &mut self.shares {
            for (k, t) in share.turn.iter_mut().enumerate() {
                *t -= rate[0] * share.origin[0][k] + rate[1] * share.origin[1][k];
            }
        }
        self.shares.push(Share { feature: role.feature, origin: [[0.0; 2]; 2], turn: rate });
        Ok(())
    }

    /// Where a feature seen at these coordinates is on the bench, mm. In a frame that is turned, a
    /// coordinate that was not seen is that which brings it to the basic one, since it counts by the
    /// small angle; None where the drawing gives none.
    fn seen(
        &self,
        turn: f64,
        x: Option<Length>,
        y: Option<Length>,
        basic: [Option<Length>; 2],
    ) -> Option<[f64; 2]> {
        let (c, s) = (libm::cos(turn), libm::sin(turn));
        let [ox, oy] = self.origin;
        let to = |k: usize| basic[k].map(|b| b.to_mm() - self.basic[k]);
        Some(match (x.map(Length::to_mm), y.map(Length::to_mm)) {
            (Some(x), Some(y)) => [x, y],
            (Some(x), None) => [x, oy + (to(1)? - s * (x - ox)) / c],
            (None, Some(y)) => [ox + (to(0)? + s * (y - oy)) / c, y],
            (None, None) => return None,
        })
    }

    /// The coordinates of a feature in this frame, seen at x and y on the bench. One that is known
    /// along a single axis stays so; where the frame is turned, `basic`, its coordinates by the
    /// drawing, must then have the other one, or none is known.
    #[must_use]
    pub fn place(
        &self,
        x: Option<Length>,
        y: Option<Length>,
        basic: [Option<Length>; 2],
    ) -> [Option<Length>; 2] {
        let Some(turn) = self.turn else {
            let shift = less(self.basic, self.origin);
            return [
                x.map(|x| Length::mm(x.to_mm() + shift[0])),
                y.map(|y| Length::mm(y.to_mm() + shift[1])),
            ];
        };
        let Some(at) = self.seen(turn, x, y, basic) else { return [None; 2] };
        let moved = rotated(less(at, self.origin), turn);
        [
            x.map(|_| Length::mm(self.basic[0] + moved[0])),
            y.map(|_| Length::mm(self.basic[1] + moved[1])),
        ]
    }

    /// Covariance of a feature's coordinates in this frame, mm², its own and those of the datum
    /// features together; None where it was not measured, or [`Frame::place`] gives none.
    ///
    /// With R the rotation of the frame, J a quarter turn, o its origin and θ its angle:
    /// dp′ = R (dp − do) + J R (p − o) dθ, to first order (JCGM 100:2008, 5.2), where do and dθ
    /// are linear in the coordinates of the datum features.
    #[must_use]
    pub fn covariance(
        &self,
        bench: &Adjustment,
        feature: usize,
        basic: [Option<Length>; 2],
    ) -> Option<[[f64; 2]; 2]> {
        let own = bench.covariance(feature, feature)?;
        if self.shares.is_empty() {
            return Some(own);
        }
        let turn = self.turn.unwrap_or(0.0);
        let (cos, sin) = (libm::cos(turn), libm::sin(turn));
        let r = [[cos, -sin], [sin, cos]];
        // Where the frame is not turned, it does not matter how far off the feature is.
        let arm = match self.turn {
            Some(turn) => {
                let at = bench.at(feature);
                let at = self.seen(turn, at.x, at.y, basic)?;
                turned(rotated(less(at, self.origin), turn))
            }
            None => [0.0; 2],
        };
        let mut terms: Vec<(usize, [[f64; 2]; 2])> = vec![(feature, r)];
        terms.extend(self.shares.iter().map(|share| {
            let mut g = [[0.0; 2]; 2];
            for ((g, r), arm) in g.iter_mut().zip(r).zip(arm) {
                for (k, g) in g.iter_mut().enumerate() {
                    let origin = r[0] * share.origin[0][k] + r[1] * share.origin[1][k];
                    *g = arm * share.turn[k] - origin;
                }
            }
            (share.feature, g)
        }));
        let mut sum = [[0.0; 2]; 2];
        for (a, ga) in &terms {
            for (b, gb) in &terms {
                let Some(c) = bench.covariance(*a, *b) else { continue };
                for (i, row) in sum.iter_mut().enumerate() {
                    for (j, cell) in row.iter_mut().enumerate() {
                        for m in 0..2 {
                            for n in 0..2 {
                                *cell += ga[i][m] * c[m][n] * gb[j][n];
                            }
                        }
                    }
                }
            }
        }
        Some(sum)
    }
}
