//! Sums of coordinates and angle errors, with their values.

use super::adjusted::{Adjusted, Place};
use super::freedom::PARALLEL;
use super::joint::Joint;
use super::layout::{Layout, Which};
use super::problem::{FixedPart, Problem};
use super::state::{State, up};
use super::unnoticed::Unnoticed;
use crate::quantity::vector::{dot, quarter_turned};
use std::borrow::Cow;

/// A sum of coordinates of points and of angle errors, each times a weight.
///
/// Of a plane only the component of the weights along its normal counts, and of a point with one
/// coordinate ([`Place::OneDirection`]) only that along its direction, unless the sum as a whole is
/// determined without that ([`Adjusted::is_determined`]).
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LinearForm {
    /// Index of the point, and the weights of its x and y. A point may occur more than once.
    pub points: Vec<(usize, [f64; 2])>,
    /// Index of the angle error, and its weight, mm/rad for a sum in millimetres.
    pub angle_errors: Vec<(usize, f64)>,
}

impl LinearForm {
    /// One point, with these weights of x and y.
    #[must_use]
    pub fn point(point: usize, weights: [f64; 2]) -> Self {
        Self { points: vec![(point, weights)], angle_errors: Vec::new() }
    }

    /// One angle error with this weight.
    #[must_use]
    pub fn angle_error(angle_error: usize, weight: f64) -> Self {
        Self { points: Vec::new(), angle_errors: vec![(angle_error, weight)] }
    }

    /// The sum of both.
    #[must_use]
    pub fn plus(mut self, other: &Self) -> Self {
        self.points.extend_from_slice(&other.points);
        self.angle_errors.extend_from_slice(&other.angle_errors);
        self
    }

    /// This less `other`.
    #[must_use]
    pub fn minus(self, other: &Self) -> Self {
        self.plus(&other.times(-1.0))
    }

    /// All weights times `factor`.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        Self {
            points: self.points.iter().map(|&(i, w)| (i, w.map(|w| w * factor))).collect(),
            angle_errors: self.angle_errors.iter().map(|&(k, w)| (k, w * factor)).collect(),
        }
    }
}

/// What of a point was seen or is defined, tied to the rest or not.
#[derive(Clone, Copy, Debug)]
enum KnownPart {
    Nothing,
    Along([f64; 2]),
    Both,
}

/// What is kept of the adjustment for the values of forms, and to tell which are determined.
#[derive(Clone, Debug)]
pub(super) struct Ground {
    points: Vec<[f64; 2]>,
    seen: Vec<KnownPart>,
    /// Planes, which have no coordinate across their normal.
    planes: Vec<bool>,
    angle_errors: Vec<f64>,
    /// The columns of the angle errors.
    pub(super) columns: Vec<Option<usize>>,
    unnoticed: Unnoticed,
}

impl Ground {
    pub(super) fn new(
        problem: &Problem<'_>,
        state: &State,
        layout: &Layout,
        joint: &Joint,
        unnoticed: Unnoticed,
    ) -> Self {
        let seen = |point: usize| {
            let freedom = joint.freedom(point);
            match (problem.normals[point], problem.fixed[point], freedom.basis()) {
                (Some(_), FixedPart::Nothing, []) => KnownPart::Nothing,
                (Some(normal), ..) => KnownPart::Along(normal),
                (None, FixedPart::Whole, _) | (None, _, [_, _]) => KnownPart::Both,
                (None, FixedPart::Along(_), [_]) => KnownPart::Both,
                (None, FixedPart::Along(d), _) => KnownPart::Along(d),
                (None, FixedPart::Nothing, [d]) => KnownPart::Along(*d),
                (None, FixedPart::Nothing, _) => KnownPart::Nothing,
            }
        };
        let count = problem.network.angle_errors.len();
        Self {
            points: state.points.clone(),
            seen: (0..state.points.len()).map(seen).collect(),
            planes: problem.normals.iter().map(Option::is_some).collect(),
            angle_errors: state.angle_errors.clone(),
            columns: (0..count).map(|k| layout.column(Which::AngleError(k))).collect(),
            unnoticed,
        }
    }

    /// Whether everything in the form exists and was seen.
    fn has(&self, form: &LinearForm) -> bool {
        let seen = |point: usize| !matches!(self.seen.get(point), None | Some(KnownPart::Nothing));
        form.points.iter().all(|(point, _)| seen(*point))
            && form.angle_errors.iter().all(|(k, _)| *k < self.angle_errors.len())
    }

    /// Whether no movement changes the form. All that is in it exists.
    fn is_still(&self, joint: &Joint, form: &LinearForm) -> bool {
        let own = |&(point, w): &(usize, [f64; 2])| (point, joint.freedom(point).weights(w));
        self.unnoticed.leaves(form.points.iter().map(own), &form.angle_errors)
    }

    /// Whether of each axis only such coordinates are in the form as were seen.
    fn is_seen(&self, form: &LinearForm) -> bool {
        form.points.iter().all(|&(point, w)| match self.seen[point] {
            KnownPart::Along(d) => {
                self.planes[point]
                    || dot(&quarter_turned(d), &w).abs() <= PARALLEL * dot(&w, &w).sqrt()
            }
            KnownPart::Both => true,
            KnownPart::Nothing => false,
        })
    }
}

impl Adjusted {
    /// The form with what counts of it; None where something in it is not determined.
    pub(super) fn counted<'f>(&self, form: &'f LinearForm) -> Option<Cow<'f, LinearForm>> {
        let (ground, joint) = (&self.ground, self.joint());
        if !ground.has(form) {
            return None;
        }
        if ground.unnoticed.is_none() || ground.is_still(joint, form) {
            return Some(Cow::Borrowed(form));
        }
        let mut form = form.clone();
        for (point, w) in &mut form.points {
            if let Place::OneDirection { angle, .. } = self.points[*point] {
                let d = up(angle);
                *w = d.map(|x| x * dot(w, &d));
            }
        }
        ground.is_still(joint, &form).then_some(Cow::Owned(form))
    }

    /// Whether the observations determine this sum, though they may determine none of its points
    /// alone: with an offset that nothing ties, x of two holes is unknown and the difference is
    /// known. That is so if no movement that leaves all observations as they are changes the sum.
    ///
    /// Of an axis, a coordinate that was not seen is not determined either. An axis seen from one
    /// direction has the coordinate along it, and weights that differ from that direction by more
    /// than [`PARALLEL`] ask for more. Of a plane only the component of the weights along its normal
    /// counts.
    #[must_use]
    pub fn is_determined(&self, form: &LinearForm) -> bool {
        let ground = &self.ground;
        ground.has(form) && ground.is_seen(form) && ground.is_still(self.joint(), form)
    }

    /// The value of this sum. None where something in it is not determined.
    ///
    /// A sum of coordinates is exact to first order in those angle errors that are not determined.
    #[must_use]
    pub fn value_of(&self, form: &LinearForm) -> Option<f64> {
        let form = self.counted(form)?;
        let ground = &self.ground;
        let point = |&(point, w): &(usize, [f64; 2])| {
            let at = ground.points[point];
            match ground.seen[point] {
                KnownPart::Nothing => 0.0,
                KnownPart::Along(d) => dot(&w, &d) * dot(&d, &at),
                KnownPart::Both => dot(&w, &at),
            }
        };
        let points: f64 = form.points.iter().map(point).sum();
        let angle_errors = form.angle_errors.iter().map(|&(k, w)| w * ground.angle_errors[k]);
        Some(points + angle_errors.sum::<f64>())
    }

    /// Where the adjustment left a point, (x, y) in mm, determined or not. None where there is no
    /// such point.
    ///
    /// A coordinate that is not determined stays near where the point was stated to be. It means
    /// something only in a sum that is determined as a whole ([`Self::is_determined`]).
    #[must_use]
    pub fn state_of(&self, point: usize) -> Option<[f64; 2]> {
        self.ground.points.get(point).copied()
    }
}
