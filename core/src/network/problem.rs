//! The network made ready: observations in the order of their points, datum definitions solved.

use super::fault::Fault;
use super::model::{Network, Point};
use super::state::up;
use crate::quantity::vector::{cross, dot, quarter_turned};

/// Two datum directions of one point closer than this are one, rad.
const SAME: f64 = 1e-6;

/// How much of a point is defined and not adjusted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum FixedPart {
    /// Nothing.
    Nothing,
    /// The coordinate along this unit vector.
    Along([f64; 2]),
    /// All of it.
    Whole,
}

/// A network that is ready to be adjusted.
#[derive(Debug)]
pub(super) struct Problem<'a> {
    pub(super) network: &'a Network,
    /// Where the observations of each point start in `order`, and the end.
    starts: Vec<usize>,
    /// Indices of the observations, point by point.
    order: Vec<usize>,
    /// What is defined of each point.
    pub(super) fixed: Vec<FixedPart>,
    /// Where each point starts from: as near as stated, and exactly where it is defined.
    pub(super) near: Vec<[f64; 2]>,
    /// Normals of planes.
    pub(super) normals: Vec<Option<[f64; 2]>>,
}

impl<'a> Problem<'a> {
    /// Makes `network` ready.
    ///
    /// # Errors
    /// What [`Fault`] says of fixed coordinates.
    pub(super) fn new(network: &'a Network) -> Result<Self, Fault> {
        let points = network.points.len();
        let mut starts = vec![0; points + 1];
        for o in &network.observations {
            starts[o.point + 1] += 1;
        }
        for i in 0..points {
            starts[i + 1] += starts[i];
        }
        let mut next = starts.clone();
        let mut order = vec![0; network.observations.len()];
        for (i, o) in network.observations.iter().enumerate() {
            order[next[o.point]] = i;
            next[o.point] += 1;
        }
        let normals = network.points.iter().map(Point::normal).collect();
        let near = network.points.iter().map(|p| p.near).collect();
        let mut problem =
            Self { network, starts, order, fixed: vec![FixedPart::Nothing; points], near, normals };
        problem.define()?;
        Ok(problem)
    }

    /// Indices of the observations of `point`.
    pub(super) fn of(&self, point: usize) -> &[usize] {
        &self.order[self.starts[point]..self.starts[point + 1]]
    }

    /// Puts every fixed point where its definition says, without any weight.
    fn define(&mut self) -> Result<(), Fault> {
        for (i, f) in self.network.fixed.iter().enumerate() {
            let d = up(f.angle);
            let p = &mut self.near[f.point];
            let fixed = &mut self.fixed[f.point];
            *fixed = match (*fixed, self.normals[f.point]) {
                (FixedPart::Whole, _) => return Err(Fault::FixedTwice(i)),
                (FixedPart::Nothing, Some(n)) => {
                    if cross(n, d).abs() > SAME {
                        return Err(Fault::Fixed(i));
                    }
                    let (q, along) = (f.value * dot(&n, &d).signum(), dot(&quarter_turned(n), p));
                    *p = [n[0] * q - n[1] * along, n[1] * q + n[0] * along];
                    FixedPart::Whole
                }
                (FixedPart::Nothing, None) => {
                    let along = dot(&quarter_turned(d), p);
                    *p = [d[0] * f.value - d[1] * along, d[1] * f.value + d[0] * along];
                    FixedPart::Along(d)
                }
                (FixedPart::Along(first), _) => {
                    let sine = cross(first, d);
                    if sine.abs() < SAME {
                        return Err(Fault::FixedTwice(i));
                    }
                    // first · p is right already; move across it until d · p is right too.
                    let t = (f.value - dot(&d, p)) / dot(&quarter_turned(first), &d);
                    let b = quarter_turned(first);
                    *p = [p[0] + t * b[0], p[1] + t * b[1]];
                    FixedPart::Whole
                }
            };
        }
        Ok(())
    }
}
