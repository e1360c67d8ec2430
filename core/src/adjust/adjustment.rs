//! The adjusted facts of one piece.

use super::contribution::{Contributions, Source, VarianceContribution};
use super::fit::critical;
use super::network::near;
use super::{BenchSensitivities, Form, Residual, SizeRef, Test, ZeroResidual};
use crate::bench::{CommonError, FactKind, Facts, SizeFact, Target, TouchComponent, Touched};
use crate::job::Job;
use crate::network::{Adjusted, LinearForm, Portion};
use crate::quantity::{Axis, Length};
use rustc_hash::FxHashMap;

/// The adjusted facts of one piece: values, uncertainties and residuals.
#[derive(Clone, Debug)]
pub struct Adjustment {
    facts: Facts,
    /// The network adjusted; absent where nothing was read.
    adjusted: Option<Adjusted>,
    point_of: Vec<Option<usize>>,
    edge_of: [Option<usize>; 4],
    /// For each feature, from where facts look at it.
    views: Vec<Views>,
    sizes: FxHashMap<SizeRef, usize>,
    /// The part of every variance that comes from gauges of unknown uncertainty, if there are any.
    unknown: Option<Portion>,
    /// The part that comes from the repeatability of each gauge that was estimated from repeats.
    repeatability: Vec<(usize, Portion)>,
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
    pub fault: Option<String>,
}

/// Where gauges of unknown uncertainty make less than this part of a variance, the result does not
/// depend on them but for rounding.
const NO_SHARE: f64 = 1e-9;

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
    pub(super) fn nothing(facts: Facts, fault: Option<String>) -> Self {
        Self {
            adjusted: None,
            point_of: vec![None; facts.read.len()],
            edge_of: [None; 4],
            views: vec![Views::default(); facts.read.len()],
            sizes: FxHashMap::default(),
            unknown: None,
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
            part.iter().any(|p| *p > 0.0).then(|| adjusted.portion(&part, &[]))
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
            fault: (!adjusted.converged).then(|| {
                "The angles of the orientations could not be found from these readings.".to_owned()
            }),
            unknown,
            repeatability,
            views: views(job, &facts),
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
        self.unknown.is_none()
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
    #[must_use]
    pub fn looked_along(&self, feature: usize) -> Vec<[f64; 2]> {
        let views = self.views.get(feature).map_or(&[][..], |seen| &seen.orientations);
        let up = views.iter().filter_map(|o| self.facts.directions.up.get(*o));
        up.map(|up| {
            let angle = up.angle + up.error.map_or(0.0, |e| self.angle(e));
            [libm::cos(angle), libm::sin(angle)]
        })
        .collect()
    }

    /// Error of an angle as adjusted, in radians; zero where nothing gives it.
    #[must_use]
    pub fn angle(&self, error: usize) -> f64 {
        let found = self.adjusted.as_ref().and_then(|a| a.angle_errors.get(error)?.estimate);
        found.map_or(0.0, |e| e.value)
    }

    /// Standard uncertainty of the difference of two errors of angle, each `None` where it is exact,
    /// in radians; `None` where nothing determines it.
    #[must_use]
    pub fn angle_between(&self, a: Option<usize>, b: Option<usize>) -> Option<f64> {
        let mut form = Form::default();
        for (angle, w) in [(a, 1.0), (b, -1.0)] {
            if let Some(angle) = angle {
                form.add(1.0, &Form { targets: Vec::new(), angles: vec![(angle, w)] });
            }
        }
        if form.angles.iter().all(|(_, w)| *w == 0.0) {
            return Some(0.0);
        }
        Some(self.adjusted.as_ref()?.variance_of(&self.linear(&form)?)?.max(0.0).sqrt())
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
    fn linear(&self, form: &Form) -> Option<LinearForm> {
        let mut linear = LinearForm { points: Vec::new(), angle_errors: form.angles.clone() };
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

    /// Standard uncertainty of a size: u² = u²(down) + u²(up) + u²(K), and what the scales leave of it;
    /// `None` where that of the gauge is not known.
    #[must_use]
    pub fn size_standard(&self, of: SizeRef) -> Option<Length> {
        let size = BenchSensitivities { sizes: vec![(of, 1.0)], ..BenchSensitivities::default() };
        Some(Length::mm(self.variance(&size)?.sqrt()))
    }

    /// Covariance of two forms, mm², whatever is known of the gauges.
    #[must_use]
    pub fn covariance(&self, a: &Form, b: &Form) -> Option<f64> {
        let adjusted = self.adjusted.as_ref()?;
        let (a, b) = (self.linear(a)?, self.linear(b)?);
        Some(self.factor() * adjusted.covariance_of(&a, &b)?)
    }

    /// Covariance of a form with a measured size, mm²: they share touches, the probe constant and the
    /// scales.
    #[must_use]
    pub fn covariance_with_size(&self, form: &Form, of: SizeRef) -> Option<f64> {
        let (adjusted, size) = (self.adjusted.as_ref()?, self.size(of)?);
        let linear = self.linear(form)?;
        let touches = size.with.map_or(Some(0.0), |(fact, covariance)| {
            if covariance == 0.0 {
                Some(0.0)
            } else {
                Some(adjusted.gain(&linear, fact)? * covariance)
            }
        });
        let common = self.facts.common.iter().enumerate().map(|(i, common)| {
            let own = common_part(*common, size);
            if own == 0.0 { Some(0.0) } else { Some(own * adjusted.systematic_part(&linear, i)?) }
        });
        Some(touches? + common.sum::<Option<f64>>()?)
    }

    /// Whether a form owes nothing to gauges of unknown uncertainty.
    fn form_is_known(&self, form: &LinearForm, variance: f64) -> Option<bool> {
        let Some(unknown) = &self.unknown else { return Some(true) };
        let adjusted = self.adjusted.as_ref()?;
        Some(adjusted.portion_of(unknown, form)? <= NO_SHARE * variance)
    }

    /// Whether the uncertainty of a form is known: no gauge of which nothing is known has a share.
    #[must_use]
    pub fn knows(&self, form: &Form) -> bool {
        if self.is_known() {
            return true;
        }
        let known = || {
            let linear = self.linear(form)?;
            let variance = self.adjusted.as_ref()?.variance_of(&linear)?;
            self.form_is_known(&linear, variance)
        };
        known().unwrap_or(false)
    }

    /// Variance of a result, mm²; `None` where it is not determined, or the uncertainty of something
    /// it follows from is not known.
    ///
    /// With g the derivatives: Var = gᵀ C g over the places, C their joint covariance; + Σ g² u² over
    /// sizes and touches; + twice the covariance of places and sizes, which share touches; and every
    /// common error counts once, by the sum of its parts (JCGM 100:2008, 5.2.2).
    #[must_use]
    pub fn variance(&self, of: &BenchSensitivities) -> Option<f64> {
        let empty = [(1.0, Form::default())];
        let forms = if of.forms.is_empty() { &empty[..] } else { &of.forms[..] };
        let mut sum = 0.0;
        for (weight, form) in forms {
            sum += weight * self.variance_of_one(form, of)?;
        }
        Some(sum.max(0.0))
    }

    fn variance_of_one(&self, form: &Form, of: &BenchSensitivities) -> Option<f64> {
        let linear = self.linear(form)?;
        let places = !linear.points.is_empty() || !linear.angle_errors.is_empty();
        let mut sum = 0.0;
        if places {
            let adjusted = self.adjusted.as_ref()?;
            let variance = adjusted.variance_of(&linear)?;
            if !self.form_is_known(&linear, variance)? {
                return None;
            }
            sum += self.factor() * variance;
        }
        let mut common = vec![0.0; self.facts.common.len()];
        for (of, g) in &of.sizes {
            let size = self.size(*of)?;
            if !self.facts.uncertainty.known(size.touched.instrument) {
                return None;
            }
            let u = size.standard.to_mm();
            sum += g * g * u * u;
            for (sum, c) in common.iter_mut().zip(&self.facts.common) {
                *sum += g * common_part(*c, size);
            }
            if places
                && let Some((fact, covariance)) = size.with
                && covariance != 0.0
            {
                sum += 2.0 * g * self.adjusted.as_ref()?.gain(&linear, fact)? * covariance;
            }
        }
        for (i, own) in common.iter().enumerate().filter(|(_, own)| **own != 0.0) {
            let part = match places {
                true => self.adjusted.as_ref()?.systematic_part(&linear, i)?,
                false => 0.0,
            };
            sum += own * own + 2.0 * own * part;
        }
        for (instrument, squares) in &of.touches {
            if !self.facts.uncertainty.known(*instrument) {
                return None;
            }
            let u = self.facts.uncertainty.standard(Touched::single(*instrument, 1)).to_mm();
            sum += squares * u * u;
        }
        Some(sum)
    }

    fn factor(&self) -> f64 {
        if self.is_known() { self.test.variance_factor() } else { 1.0 }
    }

    /// Whether some repeatability was estimated from so few repeats that the coverage factor depends
    /// on what a result is made of.
    #[must_use]
    pub fn has_estimated_repeatability(&self) -> bool {
        let gauges = (0..self.facts.used.len()).filter(|i| self.facts.used[*i]);
        gauges.into_iter().any(|i| self.facts.uncertainty.degrees(i).is_finite())
    }

    /// The part of a result's variance that comes from estimated repeatabilities, gauge by gauge, and
    /// the rest: what its degrees of freedom need, and fast. `variance` is that of the result.
    #[must_use]
    pub fn repeatability(
        &self,
        of: &BenchSensitivities,
        variance: f64,
    ) -> Option<Vec<VarianceContribution>> {
        let mut list = Contributions::default();
        let mut rest = variance;
        let mut add = |gauge: usize, variance: f64| {
            let source = Source::Touch(TouchComponent::Repeatability, gauge);
            list.add(source, Some(gauge), variance);
            rest -= variance;
        };
        for (weight, form) in &of.forms {
            let linear = self.linear(form)?;
            for (gauge, portion) in &self.repeatability {
                let adjusted = self.adjusted.as_ref()?;
                add(*gauge, weight * self.factor() * adjusted.portion_of(portion, &linear)?);
            }
            for (of, g) in &of.sizes {
                let size = self.size(*of)?;
                if let Some((fact, covariance)) = size.with.filter(|(_, c)| *c != 0.0) {
                    let gain = self.adjusted.as_ref()?.gain(&linear, fact)?;
                    add(size.touched.instrument, weight * 2.0 * g * gain * covariance);
                }
            }
        }
        let degrees = |gauge: usize| self.facts.uncertainty.degrees(gauge).is_finite();
        for (of, g) in &of.sizes {
            let touched = self.size(*of)?.touched;
            if degrees(touched.instrument) {
                let s = self.facts.uncertainty.repeatability(touched.instrument);
                add(touched.instrument, g * g * touched.repeated * s);
            }
        }
        for (instrument, squares) in of.touches.iter().filter(|(i, _)| degrees(*i)) {
            add(*instrument, squares * self.facts.uncertainty.repeatability(*instrument));
        }
        list.add(Source::Squareness, None, rest.max(0.0));
        Some(list.0)
    }

    /// The variance of a result source by source; the parts add up to it.
    #[must_use]
    pub fn contributions(&self, of: &BenchSensitivities) -> Option<Vec<VarianceContribution>> {
        let mut list = Contributions::default();
        let empty = [(1.0, Form::default())];
        let forms = if of.forms.is_empty() { &empty[..] } else { &of.forms[..] };
        for (weight, form) in forms {
            self.contributions_of_one(*weight, form, of, &mut list)?;
        }
        list.0.retain(|c| c.variance > 0.0);
        Some(list.0)
    }

    fn contributions_of_one(
        &self,
        weight: f64,
        form: &Form,
        of: &BenchSensitivities,
        list: &mut Contributions,
    ) -> Option<()> {
        let uncertainty = &self.facts.uncertainty;
        let linear = self.linear(form)?;
        let places = !linear.points.is_empty() || !linear.angle_errors.is_empty();
        let mut common = vec![0.0; self.facts.common.len()];
        if places {
            let adjusted = self.adjusted.as_ref()?;
            let found = adjusted.influence(&linear)?;
            let factor = weight * self.factor();
            for (fact, part) in self.facts.facts.iter().zip(&found.observations) {
                let instrument = fact.touched.instrument;
                let u = fact.standard.to_mm();
                let source = |component| match (fact.kind, component) {
                    (FactKind::Reading, TouchComponent::Plate) => Source::Touch(component, 0),
                    (FactKind::Reading, _) => Source::Touch(component, instrument),
                    (FactKind::Zero | FactKind::Rest, _) => Source::Zero(instrument),
                };
                let scale = factor * part * part / (u * u);
                list.touches(uncertainty, fact.touched, scale, source);
                let touch = uncertainty.standard(fact.touched).to_mm();
                if u > touch {
                    list.add(Source::Zero(instrument), None, scale * (u * u - touch * touch));
                }
            }
            let angles: f64 = found.angle_errors.iter().map(|part| part * part).sum();
            list.add(Source::Squareness, None, factor * angles);
            common.copy_from_slice(&found.systematics);
            common.iter_mut().for_each(|part| *part *= self.factor().sqrt());
        }
        for (of, g) in &of.sizes {
            let size = self.size(*of)?;
            let instrument = size.touched.instrument;
            let touch = |component| Source::Touch(component, instrument);
            list.touches(uncertainty, size.touched, weight * g * g, touch);
            if places
                && let Some((fact, covariance)) = size.with
                && covariance != 0.0
            {
                let gain = self.adjusted.as_ref()?.gain(&linear, fact)?;
                let source = touch(TouchComponent::Repeatability);
                list.add(source, Some(instrument), weight * 2.0 * g * gain * covariance);
            }
            for (sum, c) in common.iter_mut().zip(&self.facts.common) {
                *sum += g * common_part(*c, size);
            }
        }
        for (part, of) in common.iter().zip(&self.facts.common) {
            let square = weight * part * part;
            match of {
                CommonError::Scale(i, _) => list.add(Source::Scale(*i), None, square),
                CommonError::Probe(i, _) => list.add(Source::Probe(*i), None, square),
                CommonError::Temperature([apart, expansion]) => {
                    let all = apart * apart + expansion * expansion;
                    list.add(Source::Temperature, None, square * apart * apart / all);
                    list.add(Source::Expansion, None, square * expansion * expansion / all);
                }
            }
        }
        for (instrument, squares) in &of.touches {
            let touch = |component| Source::Touch(component, *instrument);
            let single = Touched::single(*instrument, 1);
            list.touches(uncertainty, single, weight * squares, touch);
        }
        Some(())
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

/// The part of a common error in a size, with the sign of the error as the adjustment counts it
/// (stated less true where an estimate takes it for zero), times its standard uncertainty.
fn common_part(common: CommonError, size: &SizeFact) -> f64 {
    let a = common.coefficient(size.touched.instrument, size.size, size.by_probe);
    -a * common.standard()
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
