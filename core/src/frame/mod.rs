//! The datum frame of a callout: from coordinates of the bench to coordinates of the drawing.
//!
//! Datum features regardless of their size take up the freedoms of the frame in their order
//! (ASME Y14.5-2018, clause 7; ISO 5459): a face or a centre plane the translation across it, a
//! round feature both translations, and a further feature of size the rotation about the first
//! round one, as far as it is still free. What no datum takes is left as the orientations define
//! it. Several round features may be one datum: the centre of the circle through them serves as a
//! round feature would, and the best fit of a whole pattern takes translations and rotation at
//! once. Every datum feature that was measured brings its own uncertainty into the coordinates.

mod build;
mod clock;
mod roles;
mod spot;
mod vector;

pub use roles::turned_by;

use crate::adjust::Adjustment;
use crate::callout::Unjudged;
use crate::quantity::Length;
use vector::{dot, less, rotated, turned};

/// What a place in a frame follows from: R turns what is measured into the frame, and G says what
/// the origin and the turn of the frame do to it.
type Rates = ([[f64; 2]; 2], [[f64; 3]; 2]);

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
    /// What origin and rotation come from, each feature once.
    shares: Vec<Share>,
    /// Covariance of x and y of the origin and of the rotation, in mm and rad.
    spread: [[f64; 3]; 3],
    /// What the datums do not give, in their order.
    lacks: Vec<Lack>,
}

/// How the frame moves with the coordinates of one feature on the bench, to first order.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Share {
    feature: usize,
    /// Row by row x and y of the origin and the rotation (rad/mm), along the row x and y of the
    /// feature.
    rates: [[f64; 2]; 3],
}

/// Something that a datum does not give.
#[derive(Clone, Debug, PartialEq)]
struct Lack {
    why: Unjudged,
    /// Whether x and y of the frame suffer from it.
    along: [bool; 2],
}

impl Frame {
    /// The frame of the bench itself.
    pub const BENCH: Self = Self {
        origin: [0.0; 2],
        basic: [0.0; 2],
        turn: None,
        shares: Vec::new(),
        spread: [[0.0; 3]; 3],
        lacks: Vec::new(),
    };

    /// The first reason why a feature that needs these coordinates cannot be judged in this frame: a
    /// letter that the drawing does not define, a datum feature that was neither measured nor stood
    /// on, or one so near the origin that it cannot stop the rotation.
    #[must_use]
    pub fn lacks(&self, needs: [bool; 2]) -> Option<&Unjudged> {
        let suffers = |l: &&Lack| l.along.iter().zip(needs).any(|(along, needed)| *along && needed);
        self.lacks.iter().find(suffers).map(|l| &l.why)
    }

    /// The first reason why the directions of its axes cannot be had: they come from the orientations
    /// unless a datum turns the frame.
    #[must_use]
    pub fn lacks_turn(&self) -> Option<&Unjudged> {
        self.lacks.iter().find(|l| l.along == [true; 2]).map(|l| &l.why)
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

    /// What a coordinate in this frame is made of: features, each with the matrix that takes a small
    /// change of its place on the bench into one of the coordinate; none where [`Frame::place`]
    /// gives none.
    #[must_use]
    pub fn terms(
        &self,
        bench: &Adjustment,
        feature: usize,
        basic: [Option<Length>; 2],
    ) -> Option<Vec<(usize, [[f64; 2]; 2])>> {
        let (r, g) = self.rates(bench, feature, basic)?;
        let mut terms = vec![(feature, r)];
        terms.extend(self.shares.iter().map(|share| {
            let of = |row: [f64; 3]| [0, 1].map(|k| along(row, share.rates.map(|rates| rates[k])));
            (share.feature, g.map(of))
        }));
        Some(terms)
    }

    /// R and G of [`Frame::covariance`].
    fn rates(
        &self,
        bench: &Adjustment,
        feature: usize,
        basic: [Option<Length>; 2],
    ) -> Option<Rates> {
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
        Some((r, [[-r[0][0], -r[0][1], arm[0]], [-r[1][0], -r[1][1], arm[1]]]))
    }

    /// Covariance of a feature's coordinates in this frame, mm², its own and those of the datum
    /// features together; None where it was not measured, or [`Frame::place`] gives none.
    ///
    /// With R the rotation of the frame, J a quarter turn, o its origin and θ its angle:
    /// dp′ = R (dp − do) + J R (p − o) dθ, to first order (JCGM 100:2008, 5.2), where do and dθ
    /// are linear in the coordinates of the datum features. So with q = (o, θ) and
    /// G = (−R, J R (p − o)): R cov(p) Rᵀ + G cov(q) Gᵀ + R cov(p, q) Gᵀ + G cov(q, p) Rᵀ.
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
        let (r, g) = self.rates(bench, feature, basic)?;
        // cov(p, q), row by row x and y of the feature.
        let mut with = [[0.0; 3]; 2];
        for share in &self.shares {
            let Some(c) = bench.covariance(feature, share.feature) else { continue };
            for (row, c) in with.iter_mut().zip(c) {
                for (cell, rates) in row.iter_mut().zip(share.rates) {
                    *cell += dot(c, rates);
                }
            }
        }
        let mut sum = [[0.0; 2]; 2];
        for (i, row) in sum.iter_mut().enumerate() {
            for (j, cell) in row.iter_mut().enumerate() {
                for (m, own) in own.iter().enumerate() {
                    *cell += r[i][m] * dot(*own, r[j]);
                    // R cov(p, q) Gᵀ and what it is the other way round.
                    *cell += r[i][m] * along(with[m], g[j]) + r[j][m] * along(with[m], g[i]);
                }
                for (one, spread) in g[i].iter().zip(self.spread) {
                    *cell += one * along(spread, g[j]);
                }
            }
        }
        Some(sum)
    }
}

fn along(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
