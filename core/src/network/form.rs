//! Sums of coordinates and angle errors, with their values and covariances.

use super::adjusted::{Adjusted, Place};
use super::block::{product, subtract};
use super::freedom::PARALLEL;
use super::joint::Joint;
use super::layout::{Layout, Which};
use super::problem::{Held, Problem};
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
enum Seen {
    Nothing,
    Along([f64; 2]),
    Both,
}

/// What is kept of the adjustment for the values of forms, and to tell which are determined.
#[derive(Clone, Debug)]
pub(super) struct Ground {
    points: Vec<[f64; 2]>,
    seen: Vec<Seen>,
    /// Planes, which have no coordinate across their normal.
    planes: Vec<bool>,
    angle_errors: Vec<f64>,
    /// The columns of the angle errors.
    columns: Vec<Option<usize>>,
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
            match (problem.normals[point], problem.held[point], freedom.basis()) {
                (Some(_), Held::No, []) => Seen::Nothing,
                (Some(normal), ..) => Seen::Along(normal),
                (None, Held::Whole, _) | (None, _, [_, _]) => Seen::Both,
                (None, Held::Along(_), [_]) => Seen::Both,
                (None, Held::Along(d), _) => Seen::Along(d),
                (None, Held::No, [d]) => Seen::Along(*d),
                (None, Held::No, _) => Seen::Nothing,
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
        let seen = |point: usize| !matches!(self.seen.get(point), None | Some(Seen::Nothing));
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
            Seen::Along(d) => {
                self.planes[point]
                    || dot(&quarter_turned(d), &w).abs() <= PARALLEL * dot(&w, &w).sqrt()
            }
            Seen::Both => true,
            Seen::Nothing => false,
        })
    }
}

/// A form as a row over independent unit errors: Rᵢ⁻ᵀ Bᵢᵀ w for each point, in the order of the
/// points, and what all of it has of those of the shared unknowns.
#[derive(Debug)]
pub(super) struct Row {
    pub(super) own: Vec<(usize, [f64; 2])>,
    pub(super) shared: Vec<f64>,
}

impl Row {
    /// The part of a point.
    pub(super) fn own(&self, point: usize) -> [f64; 2] {
        let found = self.own.binary_search_by_key(&point, |(i, _)| *i);
        found.map_or([0.0; 2], |at| self.own[at].1)
    }

    /// Covariance of two forms.
    fn times(&self, other: &Self) -> f64 {
        let own: f64 = self.own.iter().map(|(i, a)| dot(a, &other.own(*i))).sum();
        own + product(&self.shared, &other.shared)
    }
}

impl Adjusted {
    /// The form with what counts of it; None where something in it is not determined.
    fn counted<'f>(&self, form: &'f LinearForm) -> Option<Cow<'f, LinearForm>> {
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

    /// The form as a row; None where something in it is not determined.
    pub(super) fn row(&self, form: &LinearForm) -> Option<Row> {
        let form = self.counted(form)?;
        let joint = self.joint();
        let mut shared = vec![0.0; joint.width()];
        let mut own: Vec<(usize, [f64; 2])> = Vec::with_capacity(form.points.len());
        for &(point, w) in &form.points {
            let freedom = joint.freedom(point);
            let w = joint.own(point).solve_transposed(freedom.dims(), freedom.weights(w));
            for (k, w) in w.iter().enumerate().take(freedom.dims()) {
                subtract(*w, joint.m(point, k), &mut shared);
            }
            own.push((point, w));
        }
        own.sort_by_key(|(point, _)| *point);
        own.dedup_by(|later, first| {
            let same = later.0 == first.0;
            if same {
                first.1 = [first.1[0] + later.1[0], first.1[1] + later.1[1]];
            }
            same
        });
        for &(k, w) in &form.angle_errors {
            if let Some(c) = self.ground.columns[k] {
                subtract(-w, self.rows.inverse().row(c), &mut shared[c..]);
            }
        }
        Some(Row { own, shared })
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
                Seen::Nothing => 0.0,
                Seen::Along(d) => dot(&w, &d) * dot(&d, &at),
                Seen::Both => dot(&w, &at),
            }
        };
        let points: f64 = form.points.iter().map(point).sum();
        let angle_errors = form.angle_errors.iter().map(|&(k, w)| w * ground.angle_errors[k]);
        Some(points + angle_errors.sum::<f64>())
    }

    /// Covariance of two sums, mm². None where something in one of them is not determined.
    #[must_use]
    pub fn covariance_of(&self, a: &LinearForm, b: &LinearForm) -> Option<f64> {
        Some(self.row(a)?.times(&self.row(b)?))
    }

    /// Variance of this sum, mm². None where something in it is not determined.
    #[must_use]
    pub fn variance_of(&self, form: &LinearForm) -> Option<f64> {
        let row = self.row(form)?;
        Some(row.times(&row))
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
