//! Questions about sizes: two of one feature that differ, and one far beyond its limits.
//!
//! One wrong touch moves size and centre together, and looks like a hole out of place. The size tells:
//! what two orientations find of one hole agrees but for the touches and for how round it is, and the
//! probe constant cancels in the difference. The rules are common practice, no source.

use super::demand::Demand;
use super::evaluate::Planned;
use crate::bench::TouchUncertainty;
use crate::bench::{Expectation, Guess, Question, Readings, SizeFact, exchanged_digits};
use crate::job::{Job, Touch};
use crate::notation::Figures;
use crate::quantity::Length;

/// So many standard uncertainties are more than chance.
const CLEAR: f64 = 4.0;

/// As improbable for the two that are farthest apart of three or four.
const OF_MANY: f64 = 4.5;

/// The standard deviation of a normal distribution over the median of what 2, 3 and 4 values of it
/// range over.
const BY_RANGE: [f64; 3] = [1.048, 0.630, 0.506];

/// What is asked about sizes.
pub(super) struct Sizes<'a> {
    pub(super) job: &'a Job,
    pub(super) orientations: &'a [Planned],
    pub(super) demands: &'a [Demand<'a>],
    pub(super) readings: &'a Readings<'a>,
    pub(super) uncertainty: &'a TouchUncertainty,
    /// For each feature, whether it is asked about already.
    pub(super) asked: &'a [bool],
}

impl Sizes<'_> {
    /// The questions, feature by feature. `sizes` are in the order of the drawing.
    pub(super) fn questions(&self, sizes: &[SizeFact]) -> Vec<Question> {
        let of_features: Vec<&[SizeFact]> = sizes.chunk_by(|a, b| a.feature == b.feature).collect();
        let scatter = self.scatter(&of_features);
        of_features
            .into_iter()
            .filter(|of| of.first().is_none_or(|s| self.asked.get(s.feature) != Some(&true)))
            .filter_map(|of| self.differs(of, scatter).or_else(|| self.beyond(of)))
            .collect()
    }

    /// How much the difference of two sizes of one feature scatters by the readings themselves: from the
    /// median, which a few wrong ones do not move. Nothing where fewer than three tell.
    fn scatter(&self, of_features: &[&[SizeFact]]) -> Length {
        let known = |of: &&[SizeFact]| {
            let of = of.iter().filter(|s| s.size > Length::ZERO);
            let (count, [least, most]) = range(of)?;
            let factor = BY_RANGE.get(count - 2).or(BY_RANGE.last())?;
            Some((most.size - least.size) * *factor)
        };
        let mut single: Vec<Length> = of_features.iter().filter_map(known).collect();
        if single.len() < 3 {
            return Length::ZERO;
        }
        let middle = (single.len() - 1) / 2;
        let (_, median, _) =
            single.select_nth_unstable_by(middle, |a, b| a.to_mm().total_cmp(&b.to_mm()));
        *median * std::f64::consts::SQRT_2
    }

    /// Two sizes of one feature that differ by more than the touches and the other features explain.
    fn differs(&self, of: &[SizeFact], scatter: Length) -> Option<Question> {
        let (count, [least, most]) = range(of.iter())?;
        let u = libm::hypot(least.standard.to_mm(), most.standard.to_mm());
        let clear = if count > 2 { OF_MANY } else { CLEAR };
        let limit = Length::mm(clear * u).max(scatter * clear);
        let by = most.size - least.size;
        if by <= limit || !self.is_known(least) {
            return None;
        }
        // Of three and more sizes the one that is farthest from the others is asked about.
        let pairs = if count > 2 {
            let rest: f64 = of.iter().map(|s| s.size.to_mm()).sum::<f64>()
                - least.size.to_mm()
                - most.size.to_mm();
            #[expect(clippy::cast_precision_loss, reason = "a count of orientations")]
            let rest = Length::mm(rest / (count - 2) as f64);
            if (most.size - rest) > (rest - least.size) {
                [Some((most, least)), None]
            } else {
                [Some((least, most)), None]
            }
        } else {
            [Some((least, most)), Some((most, least))]
        };
        let mut suspects: Vec<Suspect<'_>> = pairs
            .into_iter()
            .flatten()
            .flat_map(|(one, other)| self.suspects(one, other, limit))
            .collect();
        // Two digits exchanged explain it, or else the touch that comes nearest to where it should be.
        let mut typed =
            suspects.iter().enumerate().filter(|(_, s)| s.typed.is_some()).map(|(i, _)| i);
        let at = match (typed.next(), typed.next()) {
            (Some(only), None) => only,
            _ => {
                suspects.iter_mut().for_each(|s| s.typed = None);
                let all = suspects.iter().enumerate();
                all.min_by(|a, b| a.1.worse.total_cmp(&b.1.worse))?.0
            }
        };
        let s = suspects.into_iter().nth(at)?;
        let guess = Guess::SizeDiffers {
            other: self.orientations.get(s.other.orientation)?.number,
            size: s.one.size,
            there: s.other.size,
            limit,
            typed: s.typed,
        };
        self.question(s.one, s.touch, s.raw, s.should, guess)
    }

    /// The touches of a size, each with what it should read for the size to be the other one.
    fn suspects<'s>(
        &self,
        one: &'s SizeFact,
        other: &'s SizeFact,
        limit: Length,
    ) -> Vec<Suspect<'s>> {
        let excess = one.size - other.size;
        let of = [(Touch::Low, excess), (Touch::High, -excess), (Touch::Size, -excess)];
        of.into_iter()
            .filter_map(|(touch, by)| {
                let raw = self.raw(one, touch)?;
                let should = raw + by;
                let off = |at: Length| {
                    let expected = self.expected(one, touch).and_then(|e| e.raw);
                    expected.map_or(0.0, |e| (at - e).abs().to_mm())
                };
                let figures = Figures::of_readings(
                    self.job,
                    self.job.plan.orientations.get(one.orientation)?,
                );
                let digits = exchanged_digits(raw, figures);
                let typed = digits.into_iter().find(|typed| (*typed - should).abs() <= limit * 0.5);
                Some(Suspect {
                    one,
                    other,
                    touch,
                    raw,
                    should,
                    typed,
                    worse: off(should) - off(raw),
                })
            })
            .collect()
    }

    /// A size beyond its limits by more than the touches explain and by more than half its tolerance.
    fn beyond(&self, of: &[SizeFact]) -> Option<Question> {
        let feature = of.first()?.feature;
        let limits = self.demands.get(feature)?.limits?;
        let far = |s: &SizeFact| {
            let by = (limits.lower - s.size).max(s.size - limits.upper);
            let probe = self.uncertainty.probe(self.instrument(s));
            let u = libm::hypot(s.standard.to_mm(), probe.to_mm());
            let limit = Length::mm(CLEAR * u).max(limits.tolerance() * 0.5);
            (by > limit).then_some((by, limit))
        };
        let (one, (by, limit)) = of.iter().find_map(|s| Some((s, far(s)?)))?;
        let confirmed = of.len() > 1 && of.iter().all(|s| far(s).is_some());
        let touch = [Touch::High, Touch::Size].into_iter().find(|t| self.raw(one, *t).is_some())?;
        let raw = self.raw(one, touch)?;
        let expected = self.expected(one, touch).and_then(|e| e.raw);
        let middle = raw + limits.middle() - one.size;
        let guess = Guess::SizeBeyond { size: one.size, by, limit, confirmed };
        self.question(one, touch, raw, expected.unwrap_or(middle), guess)
    }

    fn question(
        &self,
        of: &SizeFact,
        touch: Touch,
        raw: Length,
        expected: Length,
        guess: Guess,
    ) -> Option<Question> {
        let orientation = self.job.plan.orientations.get(of.orientation)?;
        Some(Question {
            orientation: orientation.number,
            feature: of.feature,
            name: self.demands.get(of.feature)?.feature.name(),
            touch,
            repeat: 0,
            raw,
            expected,
            guess,
            figures: Figures::of_readings(self.job, orientation),
        })
    }

    fn instrument(&self, of: &SizeFact) -> usize {
        of.touched.instrument
    }

    fn is_known(&self, of: &SizeFact) -> bool {
        self.uncertainty.known(self.instrument(of))
    }

    fn raw(&self, of: &SizeFact, touch: Touch) -> Option<Length> {
        let planned = self.orientations.get(of.orientation)?;
        let feature = self.demands.get(of.feature)?.feature;
        let reading = self.readings.get(planned.number, &feature.number)?;
        Some(reading.values(touch).first()?.length(planned.setup?.unit))
    }

    fn expected(&self, of: &SizeFact, touch: Touch) -> Option<&Expectation> {
        self.orientations.get(of.orientation)?.expectation(of.feature, touch)
    }
}

/// A touch that may be what makes two sizes differ.
struct Suspect<'s> {
    one: &'s SizeFact,
    other: &'s SizeFact,
    touch: Touch,
    raw: Length,
    /// What it should read.
    should: Length,
    /// That, by two digits exchanged.
    typed: Option<Length>,
    /// By how much farther that is from what was expected, mm.
    worse: f64,
}

/// How many sizes there are, and the smallest and the largest; `None` for fewer than two.
fn range<'s>(of: impl Iterator<Item = &'s SizeFact> + Clone) -> Option<(usize, [&'s SizeFact; 2])> {
    let count = of.clone().count();
    let by = |a: &&SizeFact, b: &&SizeFact| a.size.to_mm().total_cmp(&b.size.to_mm());
    let (least, most) = (of.clone().min_by(by)?, of.max_by(by)?);
    (count > 1).then_some((count, [least, most]))
}
