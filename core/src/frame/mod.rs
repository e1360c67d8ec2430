//! The datum frame of a callout: from coordinates of the bench to coordinates of the drawing.
//!
//! Datum features regardless of their size take up the freedoms of the frame in their order
//! (ASME Y14.5-2018, clause 7; ISO 5459): a face or a centre plane the translation across it, a
//! round feature both translations, and a further feature of size the rotation about the first
//! round one, as far as it is still free. What no datum takes is left as the orientations define
//! it. Every datum feature that was measured brings its own uncertainty into the coordinates.

use crate::adjust::Adjustment;
use crate::callout::Unjudged;
use crate::job::{Feature, Job, Kind};
use crate::quantity::{Axis, Length};

/// A frame on one piece: bench coordinates are moved so that `origin` comes to lie at `basic`,
/// and turned about it by `turn`.
#[derive(Clone, Debug, PartialEq)]
pub struct Frame {
    /// What defines x and y of the origin: a feature, or nothing.
    from: [Option<usize>; 2],
    /// Where that is on the bench, mm.
    origin: [f64; 2],
    /// Where the drawing has it, mm.
    basic: [f64; 2],
    clock: Option<Clock>,
}

/// The feature that stops the rotation.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Clock {
    feature: usize,
    /// Direction along which it is where the drawing has it.
    across: [f64; 2],
    /// Movement along that direction for one radian.
    lever: f64,
    /// Rotation θ, counter-clockwise, rad.
    turn: f64,
}

/// A quarter turn counter-clockwise.
const fn turned([x, y]: [f64; 2]) -> [f64; 2] {
    [-y, x]
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

fn less(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

fn rotated([x, y]: [f64; 2], by: f64) -> [f64; 2] {
    let (c, s) = (libm::cos(by), libm::sin(by));
    [c * x - s * y, s * x + c * y]
}

impl Frame {
    /// The frame of the bench itself.
    pub const BENCH: Self =
        Self { from: [None; 2], origin: [0.0; 2], basic: [0.0; 2], clock: None };

    /// The frame of these datum letters.
    ///
    /// # Errors
    /// A letter that the drawing does not define, a datum feature of size that was not measured,
    /// or one so near the origin that it cannot stop the rotation.
    pub fn of(job: &Job, letters: &[String], bench: &Adjustment) -> Result<Self, Unjudged> {
        let mut frame = Self::BENCH;
        let mut taken: Vec<Axis> = Vec::new();
        let mut round_origin = false;
        for letter in letters {
            let unknown = || Unjudged::UnknownDatum(letter.clone());
            let datum =
                job.drawing.datums.iter().find(|d| d.letter == *letter).ok_or_else(unknown)?;
            let Some(number) = datum.feature.as_deref() else { continue };
            let index =
                job.drawing.features.iter().position(|f| f.number == number).ok_or_else(unknown)?;
            let feature = &job.drawing.features[index];
            let seen = bench.at(index);
            let missing = || Unjudged::DatumNotMeasured(letter.clone());
            let at = |axis: Axis| (seen.along(axis), feature.basic(axis, job.drawing.unit));
            let free = |axis: Axis| !taken.contains(&axis);
            // Which translations it takes, and whether it must have been measured for it: a face
            // that lies on the plate is where the orientation has it.
            let (takes, needed): (&[Axis], bool) = match (feature.kind, feature.plane_axis()) {
                (Kind::Face, Some(axis)) if free(axis) => (only(axis), false),
                (Kind::Slot | Kind::Tab, Some(axis)) if free(axis) => (only(axis), true),
                (Kind::Hole | Kind::Boss, _) => match (free(Axis::X), free(Axis::Y)) {
                    (true, true) => (&[Axis::X, Axis::Y], true),
                    (true, false) => (only(Axis::X), true),
                    (false, true) => (only(Axis::Y), true),
                    (false, false) => (&[], true),
                },
                _ => (&[], true),
            };
            for &axis in takes {
                match at(axis) {
                    (Some(at), Some(value)) => frame.take(axis, index, at, value),
                    _ if needed => return Err(missing()),
                    _ => {}
                }
            }
            round_origin |= takes.len() == 2;
            taken.extend_from_slice(takes);
            if !takes.is_empty() {
                continue;
            }
            match (feature.kind, feature.plane_axis()) {
                (Kind::Face, _) => {}
                (_, across) if round_origin && frame.clock.is_none() => {
                    let needed = |axis| match across {
                        Some(own) if own != axis => Ok(0.0),
                        _ => seen.along(axis).map(Length::to_mm).ok_or_else(missing),
                    };
                    let at = [needed(Axis::X)?, needed(Axis::Y)?];
                    frame.clock = Some(frame.clock(index, feature, job, at, letter)?);
                }
                _ => {}
            }
        }
        Ok(frame)
    }

    fn take(&mut self, axis: Axis, feature: usize, at: Length, basic: Length) {
        let k = usize::from(axis == Axis::Y);
        self.from[k] = Some(feature);
        self.origin[k] = at.to_mm();
        self.basic[k] = basic.to_mm();
    }

    fn clock(
        &self,
        index: usize,
        feature: &Feature,
        job: &Job,
        at: [f64; 2],
        letter: &str,
    ) -> Result<Clock, Unjudged> {
        let near = || Unjudged::DatumTooNear(letter.to_owned());
        let basic = |axis| feature.basic(axis, job.drawing.unit).map(Length::to_mm);
        let target = match feature.plane_axis() {
            Some(Axis::X) => [basic(Axis::X).ok_or_else(near)?, basic(Axis::Y).unwrap_or(0.0)],
            Some(Axis::Y) => [basic(Axis::X).unwrap_or(0.0), basic(Axis::Y).ok_or_else(near)?],
            None => [basic(Axis::X).ok_or_else(near)?, basic(Axis::Y).ok_or_else(near)?],
        };
        let arm = less(target, self.basic);
        let length = libm::hypot(arm[0], arm[1]);
        let across = match feature.plane_axis() {
            Some(Axis::X) => [1.0, 0.0],
            Some(Axis::Y) => [0.0, 1.0],
            None if length > 0.0 => turned([arm[0] / length, arm[1] / length]),
            None => return Err(near()),
        };
        // Of a slot only the coordinate across it was seen; along it, where the drawing has it.
        let seen = match feature.plane_axis() {
            Some(Axis::X) => [at[0], self.origin[1] + arm[1]],
            Some(Axis::Y) => [self.origin[0] + arm[0], at[1]],
            None => at,
        };
        let measured = less(seen, self.origin);
        let lever = dot(across, turned(measured));
        if lever.abs() < 1e-6 * (1.0 + length) {
            return Err(near());
        }
        // Newton's method on across · (R(θ) m − arm) = 0, from an angle that is small already.
        let mut turn = 0.0;
        for _ in 0..8 {
            let m = rotated(measured, turn);
            let rate = dot(across, turned(m));
            if rate == 0.0 {
                return Err(near());
            }
            turn -= dot(across, less(m, arm)) / rate;
        }
        let lever = dot(across, turned(rotated(measured, turn)));
        Ok(Clock { feature: index, across, lever, turn })
    }

    /// Rotation of the frame against the bench, counter-clockwise, in radians.
    fn turn(&self) -> f64 {
        self.clock.map_or(0.0, |c| c.turn)
    }

    /// The coordinates of a feature in this frame. One that is known along a single axis stays so
    /// as long as the frame is not turned.
    #[must_use]
    pub fn place(
        &self,
        x: Option<Length>,
        y: Option<Length>,
        basic: [f64; 2],
    ) -> [Option<Length>; 2] {
        let shift = less(self.basic, self.origin);
        let Some(clock) = self.clock else {
            return [
                x.map(|x| Length::mm(x.to_mm() + shift[0])),
                y.map(|y| Length::mm(y.to_mm() + shift[1])),
            ];
        };
        // Where one coordinate is missing, the drawing's serves for the small turn.
        let at = [
            x.map_or(basic[0] - shift[0], Length::to_mm),
            y.map_or(basic[1] - shift[1], Length::to_mm),
        ];
        let moved = rotated(less(at, self.origin), clock.turn);
        [
            x.map(|_| Length::mm(self.basic[0] + moved[0])),
            y.map(|_| Length::mm(self.basic[1] + moved[1])),
        ]
    }

    /// Covariance of a feature's coordinates in this frame, mm², its own and those of the datum
    /// features together; None where it was not measured.
    ///
    /// With R the rotation of the frame, J a quarter turn, e the direction across the clocking
    /// feature, λ = eᵀ J R (c − o) its lever, and K = J R (p − o) eᵀ R/λ:
    /// dp′ = R dp − (R − K) do − K dc.
    #[must_use]
    pub fn covariance(
        &self,
        bench: &Adjustment,
        feature: usize,
        at: [f64; 2],
    ) -> Option<[[f64; 2]; 2]> {
        let own = bench.covariance(feature, feature)?;
        if self.from == [None; 2] && self.clock.is_none() {
            return Some(own);
        }
        let terms = self.terms(feature, at);
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

    /// What a coordinate in this frame is made of: features, each with the matrix that takes a small
    /// change of its place on the bench into one of the coordinate.
    #[must_use]
    pub fn terms(&self, feature: usize, at: [f64; 2]) -> Vec<(usize, [[f64; 2]; 2])> {
        let turn = self.turn();
        let (cos, sin) = (libm::cos(turn), libm::sin(turn));
        let r = [[cos, -sin], [sin, cos]];
        let k = self.clock.map_or([[0.0; 2]; 2], |c| {
            let arm = turned(rotated(less(at, self.origin), turn));
            // eᵀ R is e turned back.
            let e = rotated(c.across, -turn);
            let row = |a: f64| [a * e[0] / c.lever, a * e[1] / c.lever];
            [row(arm[0]), row(arm[1])]
        });
        let mut terms: Vec<(usize, [[f64; 2]; 2])> = vec![(feature, r)];
        for (axis, from) in self.from.iter().enumerate() {
            if let Some(from) = from {
                let mut g = [[0.0; 2]; 2];
                for (row, g) in g.iter_mut().enumerate() {
                    g[axis] = k[row][axis] - r[row][axis];
                }
                terms.push((*from, g));
            }
        }
        if let Some(c) = self.clock {
            terms.push((c.feature, k.map(|row| row.map(|v| -v))));
        }
        terms
    }
}

const fn only(axis: Axis) -> &'static [Axis] {
    match axis {
        Axis::X => &[Axis::X],
        Axis::Y => &[Axis::Y],
    }
}
