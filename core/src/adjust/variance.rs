//! How uncertain what follows from the adjusted facts is.

use super::adjustment::UnknownPart;
use super::contribution::{Contributions, Source, VarianceContribution};
use super::{Adjustment, BenchSensitivities, Form, SizeRef};
use crate::bench::{CommonError, FactKind, SizeFact, TouchComponent, Touched};
use crate::network::{LinearForm, Portion, Propagation};
use crate::quantity::Length;

/// Where gauges of unknown uncertainty make less than this part of a variance, the result does not
/// depend on them but for rounding.
const NO_SHARE: f64 = 1e-9;

/// A determined sum of coordinates with all that its uncertainty follows from, found once.
#[derive(Clone, Debug)]
pub struct Propagated<'a> {
    bench: &'a Adjustment,
    /// `None` where its uncertainty is not known: a gauge of which nothing is known has a share.
    of: Option<Propagation<'a>>,
}

impl Propagated<'_> {
    /// Covariance with another sum, mm²; `None` where the uncertainty of either is not known.
    #[must_use]
    pub fn covariance(&self, other: &Self) -> Option<f64> {
        Some(self.bench.factor() * self.of.as_ref()?.covariance(other.of.as_ref()?))
    }

    /// Variance, mm²; `None` where it is not known.
    fn variance(&self) -> Option<f64> {
        Some(self.bench.factor() * self.of.as_ref()?.variance())
    }

    /// Covariance with a measured size, mm²: they share touches, the probe constant and the scales.
    /// `None` where the uncertainty of the sum is not known.
    #[must_use]
    pub fn covariance_with_size(&self, of: SizeRef) -> Option<f64> {
        let (size, places) = (self.bench.size(of)?, self.of.as_ref()?);
        let common = self.bench.facts.common.iter().enumerate().map(|(i, common)| {
            let own = common_part(*common, size);
            if own == 0.0 { Some(0.0) } else { Some(own * places.systematic_part(i)?) }
        });
        Some(self.by_touches(size)? + common.sum::<Option<f64>>()?)
    }

    /// The part of the covariance with a size that comes from touches that they share, mm².
    fn by_touches(&self, size: &SizeFact) -> Option<f64> {
        match size.with.filter(|(_, covariance)| *covariance != 0.0) {
            Some((fact, covariance)) => Some(self.of.as_ref()?.gain(fact)? * covariance),
            None => Some(0.0),
        }
    }
}

impl Adjustment {
    /// What the uncertainty of a sum of coordinates follows from; `None` where the facts do not determine
    /// it.
    #[must_use]
    pub fn propagated(&self, form: &Form) -> Option<Propagated<'_>> {
        let (form, adjusted) = (self.linear(form)?, self.adjusted.as_ref()?);
        let of = adjusted.propagation(&form)?;
        Some(if self.is_unknown(&form) { self.unknown() } else { self.known(of) })
    }

    /// The same of a sum that the facts determine as it stands ([`Self::determines`]).
    #[must_use]
    pub fn determined(&self, form: &Form) -> Option<Propagated<'_>> {
        let (form, adjusted) = (self.linear(form)?, self.adjusted.as_ref()?);
        if self.is_unknown(&form) {
            return adjusted.is_determined(&form).then(|| self.unknown());
        }
        Some(self.known(adjusted.determined(&form)?))
    }

    /// Whether the uncertainty of a form cannot be known: it has coordinates, and no gauge is known.
    fn is_unknown(&self, form: &LinearForm) -> bool {
        matches!(self.unknown, UnknownPart::All) && !form.points.is_empty()
    }

    const fn unknown(&self) -> Propagated<'_> {
        Propagated { bench: self, of: None }
    }

    /// A sum whose uncertainty is known, unless gauges of which nothing is known have a share.
    fn known<'a>(&'a self, of: Propagation<'a>) -> Propagated<'a> {
        let none_of = |part: &Portion| of.portion(part) <= NO_SHARE * of.variance();
        let is_known = match &self.unknown {
            UnknownPart::None => true,
            UnknownPart::Some(part) => none_of(part),
            // Of nothing, or of angles alone: they may have been stated.
            UnknownPart::All if of.variance() == 0.0 => true,
            UnknownPart::All => {
                let all = vec![1.0; self.facts.facts.len()];
                self.adjusted.as_ref().is_some_and(|a| none_of(&a.portion(&all, &[])))
            }
        };
        Propagated { bench: self, of: Some(of).filter(|_| is_known) }
    }

    /// The same, and `Some(None)` for a form without coordinates and angles, of which nothing need be
    /// determined.
    fn places(&self, form: &Form) -> Option<Option<Propagated<'_>>> {
        let linear = self.linear(form)?;
        if linear.points.is_empty() && linear.angle_errors.is_empty() {
            return Some(None);
        }
        self.propagated(form).map(Some)
    }

    /// Standard uncertainty of a size: u² = u²(down) + u²(up) + u²(K), and what the scales leave of it;
    /// `None` where that of the gauge is not known.
    #[must_use]
    pub fn size_standard(&self, of: SizeRef) -> Option<Length> {
        let size = BenchSensitivities { sizes: vec![(of, 1.0)], ..BenchSensitivities::default() };
        Some(Length::mm(self.variance(&size)?.sqrt()))
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
        let places = self.places(form)?;
        let mut sum = match &places {
            Some(places) => places.variance()?,
            None => 0.0,
        };
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
            if let Some(places) = &places {
                sum += 2.0 * g * places.by_touches(size)?;
            }
        }
        for (i, own) in common.iter().enumerate().filter(|(_, own)| **own != 0.0) {
            let part = match &places {
                Some(places) => places.of.as_ref()?.systematic_part(i)?,
                None => 0.0,
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

    /// By what the variances of places grow where the readings contradict each other.
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
            let Some(places) = self.places(form)? else { continue };
            for (gauge, portion) in &self.repeatability {
                add(*gauge, weight * self.factor() * places.of.as_ref()?.portion(portion));
            }
            for (of, g) in &of.sizes {
                let size = self.size(*of)?;
                add(size.touched.instrument, weight * 2.0 * g * places.by_touches(size)?);
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
        let places = self.places(form)?;
        let mut common = vec![0.0; self.facts.common.len()];
        if let Some(places) = &places {
            let found = places.of.as_ref()?.influence();
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
            if let Some(places) = &places {
                let source = touch(TouchComponent::Repeatability);
                list.add(source, Some(instrument), weight * 2.0 * g * places.by_touches(size)?);
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
}

/// The part of a common error in a size, with the sign of the error as the adjustment counts it
/// (stated less true where an estimate takes it for zero), times its standard uncertainty.
fn common_part(common: CommonError, size: &SizeFact) -> f64 {
    let a = common.coefficient(size.measure());
    -a * common.standard()
}
