//! The adjusted facts of one piece.

use super::fit::critical;
use super::network::near;
use super::{Form, Residual, SizeRef, Test, ZeroResidual};
use crate::bench::{FactKind, Facts, SizeFact, Target, Touched, UpDirection};
use crate::job::Job;
use crate::network::{Adjusted, Fault, LinearForm, Portion};
use crate::quantity::{Axis, Length};
use rustc_hash::FxHashMap;

/// Why the facts of a piece could not be adjusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AdjustmentFault {
    /// They make no network that can be.
    Network(Fault),
    /// The readings do not give the angles that are to be found.
    AnglesNotFound,
}

/// The adjusted facts of one piece: values, uncertainties and residuals.
#[derive(Clone, Debug)]
pub struct Adjustment {
    pub(super) facts: Facts,
    /// The network adjusted; absent where nothing was read.
    pub(super) adjusted: Option<Adjusted>,
    point_of: Vec<Option<usize>>,
    edge_of: [Option<usize>; 4],
    /// For each feature, from where facts look at it.
    views: Vec<Views>,
    /// The direction on the bench that was up in each orientation, as adjusted.
    up: Vec<[f64; 2]>,
    sizes: FxHashMap<SizeRef, usize>,
    /// The part of every variance that comes from gauges of unknown uncertainty.
    pub(super) unknown: UnknownPart,
    /// The part that comes from the repeatability of each gauge that was estimated from repeats.
    pub(super) repeatability: Vec<(usize, Portion)>,
    /// How each height agrees with the others, in the order of the readings.
    pub residuals: Vec<Residual>,
    /// The heights that agree so badly that they should be measured again, worst first.
    pub suspects: Vec<Residual>,
    /// The zeros that agree so badly that they should be set again, worst first.
    pub doubtful_zeros: Vec<ZeroResidual>,
    /// The test of the whole. It says nothing where the uncertainty of a gauge is not known.
    pub test: Test,
    /// Angles found: number of the orientation, error in radians, standard uncertainty.
    pub angles: Vec<(u32, f64, f64)>,
    /// Why nothing could be adjusted, if so.
    pub fault: Option<AdjustmentFault>,
}

/// The part of every variance that comes from gauges of unknown uncertainty.
#[derive(Clone, Debug)]
pub(super) enum UnknownPart {
    /// None: the uncertainty of every gauge that was used is known.
    None,
    /// This part.
    Some(Portion),
    /// All that readings make: no gauge is known.
    All,
}

/// A weight below this is rounding: weights are about 1, or 1 over a length of the part in mm.
const NO_WEIGHT: f64 = 1e-12;

/// From where facts look at a feature: readings, zeros and rests.
#[derive(Clone, Debug, Default)]
struct Views {
    /// Whether along x and along y.
    along: [bool; 2],
    /// The orientations, by their index in the plan, in its order.
    orientations: Vec<usize>,
}

impl Adjustment {
    /// Nothing was adjusted: nothing was read, or `fault` says why it could not be.
    #[must_use]
    pub(super) fn nothing(facts: Facts, fault: Option<AdjustmentFault>) -> Self {
        Self {
            adjusted: None,
            point_of: vec![None; facts.read.len()],
            edge_of: [None; 4],
            views: vec![Views::default(); facts.read.len()],
            up: Vec::new(),
            sizes: FxHashMap::default(),
            unknown: UnknownPart::None,
            repeatability: Vec::new(),
            residuals: Vec::new(),
            suspects: Vec::new(),
            doubtful_zeros: Vec::new(),
            test: Test::default(),
            angles: Vec::new(),
            fault,
            facts,
        }
        .indexed(&[])
    }

    pub(super) fn new(
        job: &Job,
        facts: Facts,
        adjusted: Adjusted,
        point_of: Vec<Option<usize>>,
        edge_of: [Option<usize>; 4],
    ) -> Self {
        let orientations = &job.plan.orientations;
        let number = |fact: usize| {
            let zero = facts.zeros.get(facts.facts.get(fact)?.zero)?;
            Some(orientations.get(zero.orientation)?.number)
        };
        let mut residuals = Vec::new();
        let mut zeros: Vec<ZeroResidual> = Vec::new();
        for (i, (fact, fit)) in facts.facts.iter().zip(&adjusted.observations).enumerate() {
            let Some(orientation) = number(i) else { continue };
            match (fact.kind, fact.target) {
                (FactKind::Reading, Target::Feature(feature)) => residuals.push(Residual {
                    feature,
                    orientation,
                    residual: Length::mm(fit.residual),
                    redundancy: fit.redundancy,
                    normalised: fit.normalised,
                    error: fit.gross().map(Length::mm),
                }),
                _ => zeros.extend(fit.normalised.zip(fit.gross()).map(|(normalised, error)| {
                    ZeroResidual { orientation, normalised, error: Length::mm(error) }
                })),
            }
        }
        let all = residuals.iter().filter_map(|r| r.normalised);
        let all = all.chain(zeros.iter().map(|z| z.normalised));
        let test = Test {
            chi_square: adjusted.chi_square,
            degrees: adjusted.degrees,
            worst: all.map(f64::abs).fold(0.0, f64::max),
        };
        let angles = orientations
            .iter()
            .zip(&facts.directions.up)
            .filter(|(o, _)| o.find_angle)
            .filter_map(|(o, up)| {
                let estimate = adjusted.angle_errors.get(up.error?)?.estimate?;
                Some((o.number, estimate.value, estimate.standard))
            })
            .collect();
        let unknown = {
            let part: Vec<f64> = facts
                .facts
                .iter()
                .map(|f| f64::from(!facts.uncertainty.known(f.touched.instrument)))
                .collect();
            match part.iter().any(|p| *p > 0.0) {
                false => UnknownPart::None,
                true if part.iter().all(|p| *p > 0.0) => UnknownPart::All,
                true => UnknownPart::Some(adjusted.portion(&part, &[])),
            }
        };
        let gauges = 0..job.plan.instruments.len();
        let repeatability = gauges
            .filter(|gauge| facts.uncertainty.degrees(*gauge).is_finite())
            .map(|gauge| {
                let part: Vec<f64> = facts
                    .facts
                    .iter()
                    .map(|f| match f.touched.instrument == gauge {
                        true => facts.repeatability_part(f.touched, f.standard),
                        false => 0.0,
                    })
                    .collect();
                (gauge, adjusted.portion(&part, &[]))
            })
            .collect();
        let numbers: Vec<u32> = orientations.iter().map(|o| o.number).collect();
        Self {
            suspects: critical(&residuals, |r| r.normalised),
            doubtful_zeros: critical(&zeros, |z| Some(z.normalised)),
            residuals,
            test,
            angles,
            fault: (!adjusted.converged).then_some(AdjustmentFault::AnglesNotFound),
            unknown,
            repeatability,
            views: views(job, &facts),
            up: facts.directions.up.iter().map(|up| adjusted_up(&facts, up, &adjusted)).collect(),
            point_of,
            edge_of,
            sizes: FxHashMap::default(),
            adjusted: Some(adjusted),
            facts,
        }
        .indexed(&numbers)
    }

    fn indexed(mut self, numbers: &[u32]) -> Self {
        let sizes = self.facts.sizes.iter().enumerate();
        self.sizes = sizes
            .filter_map(|(i, s)| {
                let orientation = *numbers.get(s.orientation)?;
                Some((SizeRef { feature: s.feature, orientation }, i))
            })
            .collect();
        self
    }

    /// The facts that were adjusted.
    #[must_use]
    pub const fn facts(&self) -> &Facts {
        &self.facts
    }

    /// Whether the uncertainty of every gauge that was used is known.
    #[must_use]
    pub fn is_known(&self) -> bool {
        matches!(self.unknown, UnknownPart::None)
    }

    /// Whether the readings contradict each other ([`Test::fails`]), as far as their uncertainty is
    /// known.
    #[must_use]
    pub fn contradicts(&self) -> bool {
        self.is_known() && self.test.fails()
    }

    /// Whether facts look at a feature along x and along y: readings, zeros and rests.
    #[must_use]
    pub fn observed(&self, feature: usize) -> [bool; 2] {
        self.views.get(feature).map(|seen| seen.along).unwrap_or_default()
    }

    /// Where a target lies on the bench, mm, with its part along what no fact looks at taken from the
    /// drawing. It means something only as part of a determined [`Form`].
    #[must_use]
    pub fn state(&self, target: Target) -> Option<[f64; 2]> {
        self.adjusted.as_ref()?.state_of(self.point(target)?)
    }

    /// The directions on the bench, as unit vectors, that were up when a feature was looked at.
    pub fn looked_along(&self, feature: usize) -> impl Iterator<Item = [f64; 2]> + Clone + '_ {
        let views = self.views.get(feature).map_or(&[][..], |seen| &seen.orientations);
        views.iter().filter_map(|o| self.up.get(*o).copied())
    }

    /// Error of an angle as adjusted, in radians; zero where nothing gives it.
    #[must_use]
    pub fn angle(&self, error: usize) -> f64 {
        self.adjusted.as_ref().map_or(0.0, |adjusted| angle_error(&self.facts, adjusted, error))
    }

    /// Standard uncertainty of the difference of two errors of angle, each `None` where it is exact,
    /// in radians; `None` where nothing determines it.
    #[must_use]
    pub fn angle_between(&self, a: Option<usize>, b: Option<usize>) -> Option<f64> {
        let mut form = Form::default();
        for (angle, w) in [(a, 1.0), (b, -1.0)] {
            if let Some(angle) = angle {
                form.add(w, &Form::angle(angle));
            }
        }
        if form.angles.iter().all(|(_, w)| *w == 0.0) {
            return Some(0.0);
        }
        Some(self.adjusted.as_ref()?.variance_of(&self.linear(&form)?)?.sqrt())
    }

    /// Whether the facts determine a form: no movement that they leave free changes it.
    #[must_use]
    pub fn determines(&self, form: &Form) -> bool {
        let linear = self.linear(form);
        linear.zip(self.adjusted.as_ref()).is_some_and(|(f, a)| a.is_determined(&f))
    }

    fn point(&self, target: Target) -> Option<usize> {
        match target {
            Target::Feature(i) => *self.point_of.get(i)?,
            Target::Edge(side) => *self.edge_of.get(side as usize)?,
        }
    }

    /// The form over the points of the network; `None` where something in it was not observed.
    pub(super) fn linear(&self, form: &Form) -> Option<LinearForm> {
        let mut linear = LinearForm {
            points: Vec::with_capacity(form.targets.len()),
            angle_errors: Vec::with_capacity(form.angles.len()),
        };
        for (error, w) in form.angles.iter().filter(|(_, w)| *w != 0.0) {
            self.facts.directions.parts(*error, *w, &mut |part, w| match linear
                .angle_errors
                .iter_mut()
                .find(|(own, _)| *own == part)
            {
                Some((_, sum)) => *sum += w,
                None => linear.angle_errors.push((part, w)),
            });
        }
        linear.angle_errors.retain(|(_, w)| *w != 0.0);
        for (target, weights) in &form.targets {
            let weights = weights.map(|w| if w.abs() < NO_WEIGHT { 0.0 } else { w });
            if weights.iter().any(|w| w.abs() > 0.0) {
                linear.points.push((self.point(*target)?, weights));
            }
        }
        Some(linear)
    }

    /// A measured size.
    #[must_use]
    pub fn size(&self, of: SizeRef) -> Option<&SizeFact> {
        self.facts.sizes.get(*self.sizes.get(&of)?)
    }

    /// Where a target is about by the drawing, mm: what stands in for a coordinate that no fact looks
    /// at.
    #[must_use]
    pub fn near(job: &Job, target: Target) -> [f64; 2] {
        near(job, target).map(Length::to_mm)
    }
}

impl Facts {
    /// The part of a fact's variance that is repeatability.
    fn repeatability_part(&self, touched: Touched, standard: Length) -> f64 {
        let whole = standard.to_mm() * standard.to_mm();
        let own = touched.repeated * self.uncertainty.repeatability(touched.instrument);
        if whole > 0.0 { (own / whole).min(1.0) } else { 0.0 }
    }
}

fn angle_error(facts: &Facts, adjusted: &Adjusted, error: usize) -> f64 {
    let mut sum = 0.0;
    facts.directions.parts(error, 1.0, &mut |part, w| {
        let own = adjusted.angle_errors.get(part).and_then(|e| e.estimate);
        sum += own.map_or(0.0, |own| w * own.value);
    });
    sum
}

/// The direction on the bench that was up, as adjusted.
fn adjusted_up(facts: &Facts, up: &UpDirection, adjusted: &Adjusted) -> [f64; 2] {
    let angle = up.angle + up.error.map_or(0.0, |error| angle_error(facts, adjusted, error));
    [libm::cos(angle), libm::sin(angle)]
}

/// For each feature, from where facts look at it.
fn views(job: &Job, facts: &Facts) -> Vec<Views> {
    let mut views = vec![Views::default(); job.drawing.features.len()];
    for fact in &facts.facts {
        let Target::Feature(i) = fact.target else { continue };
        let Some((feature, seen)) = job.drawing.features.get(i).zip(views.get_mut(i)) else {
            continue;
        };
        let Some(orientation) = facts.zeros.get(fact.zero).map(|zero| zero.orientation) else {
            continue;
        };
        let Some(up) = facts.directions.up.get(orientation) else { continue };
        seen.orientations.push(orientation);
        for (k, axis) in [Axis::X, Axis::Y].into_iter().enumerate() {
            let own = feature.plane_axis().is_none_or(|own| own == axis);
            seen.along[k] |= own && up.looks_along(axis);
        }
    }
    for seen in &mut views {
        seen.orientations.sort_unstable();
        seen.orientations.dedup();
    }
    views
}
