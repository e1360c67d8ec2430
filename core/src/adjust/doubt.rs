//! How uncertain a touch is by itself (GUM type A and B, JCGM 100:2008, 4.2 and 4.3).

use super::Touched;
use crate::bench::probe_standard;
use crate::chance::{Sample, pooled};
use crate::job::{Conditions, Instrument, Job, Piece, Touch};
use crate::quantity::{Length, Unit};

/// Weight of a touch of which nothing at all is known: all alike.
const UNKNOWN: Length = Length::mm(0.001);

/// A reading this much less certain than it might be takes no part: its weight is a millionth.
const NO_WEIGHT: f64 = 1e3;

/// What of a touch is uncertain.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Error of the gauge within its limit.
    Error,
    /// Step of the display.
    Resolution,
    /// Repeatability.
    Repeats,
    /// Flatness of the plate.
    Plate,
    /// What is taken for a gauge of which nothing is known.
    Assumed,
}

impl Part {
    /// What it is called.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Error => "error of the gauge",
            Self::Resolution => "resolution",
            Self::Repeats => "repeatability",
            Self::Plate => "flatness of the plate",
            Self::Assumed => "assumed of the gauge",
        }
    }
}

/// What is known of the uncertainty of the touches of one piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubts {
    /// For each instrument of the plan.
    gauges: Vec<Gauge>,
    /// Standard uncertainty by the plate: half its flatness deviation, uniform.
    plate: Length,
}

/// What is known of one gauge.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Gauge {
    /// Error limit ±a, uniform: a/√3.
    limit: Option<Length>,
    /// Half a step of the display, uniform: r/√12. All repeats of one touch have it in common, and
    /// so a mean is no better (JCGM 100, F.2.2.1).
    resolution: Length,
    /// Standard deviation of a single touch, from the repeats or as stated.
    repeat: Option<Length>,
    /// Degrees of freedom of that; infinite where it was stated.
    degrees: f64,
    /// Standard uncertainty of the probe constant.
    probe: Length,
    /// What is taken for the rest of a gauge of which neither error limit nor repeatability is
    /// known: as much as makes it no better than the worst gauge of the plan that is known. An
    /// assumption that only weighs its readings against others; results that rest on them are not
    /// known for all that.
    assumed: Length,
}

impl Doubts {
    /// Gathers what plan and readings say. Repeats of one touch give the repeatability of the gauge
    /// by their pooled standard deviation, where there are five degrees of freedom or more;
    /// with fewer, what the plan states goes first. So it does where the repeats agree better than
    /// the display resolves (JCGM 100, F.2.2.1): lucky repeats say nothing of what it hides.
    #[must_use]
    pub fn of(job: &Job, piece: &Piece) -> Self {
        let mut repeats: Vec<Vec<Sample>> = vec![Vec::new(); job.plan.instruments.len()];
        for reading in &piece.readings {
            let Some(orientation) = job.orientation(reading.orientation) else { continue };
            let Some(samples) = repeats.get_mut(orientation.instrument) else { continue };
            let unit = job.reading_unit(orientation);
            for touch in Touch::ALL {
                let values = reading.values(touch);
                if values.len() > 1 {
                    let mm: Vec<f64> = values.iter().map(|v| v.length(unit).to_mm()).collect();
                    samples.extend(Sample::of(&mm));
                }
            }
        }
        let mut gauges: Vec<Gauge> = job
            .plan
            .instruments
            .iter()
            .zip(&repeats)
            .map(|(instrument, samples)| Gauge::of(instrument, samples))
            .collect();
        let known = gauges.iter().filter(|g| g.is_known());
        let worst = known.map(Gauge::variance).fold(0.0, f64::max);
        for gauge in gauges.iter_mut().filter(|g| !g.is_known()) {
            gauge.assumed = Length::mm((worst - gauge.variance()).max(0.0).sqrt());
        }
        Self { gauges, plate: plate(&job.plan.conditions, job.drawing.unit) }
    }

    /// Whether the uncertainty of what this instrument reads is known at all: its error limit or its
    /// repeatability is. The step of the display alone says little.
    #[must_use]
    pub fn known(&self, instrument: usize) -> bool {
        self.gauges.get(instrument).is_some_and(Gauge::is_known)
    }

    /// The same doubts, but with next to no weight for what unknown gauges read. What that changes
    /// rests on them.
    #[must_use]
    pub fn without_unknown(&self) -> Self {
        let mut other = self.clone();
        for gauge in other.gauges.iter_mut().filter(|g| !g.is_known()) {
            gauge.assumed = gauge.assumed.max(gauge.resolution).max(UNKNOWN) * NO_WEIGHT;
        }
        other
    }

    /// The variance of what comes from these touches, in mm², source by source.
    #[must_use]
    pub fn variances(&self, of: Touched) -> [(Part, f64); 5] {
        let square = |u: Length| u.to_mm() * u.to_mm();
        let gauge = self.gauges.get(of.instrument).copied().unwrap_or(Gauge::NOTHING);
        let mut parts = [
            (Part::Error, of.once * square(gauge.limit.unwrap_or_default())),
            (Part::Resolution, of.once * square(gauge.resolution)),
            (Part::Repeats, of.repeated * square(gauge.repeat.unwrap_or_default())),
            (Part::Plate, of.once * square(self.plate)),
            (Part::Assumed, of.once * square(gauge.assumed)),
        ];
        if parts.iter().all(|(_, variance)| *variance <= 0.0) {
            parts[4].1 = of.once * square(UNKNOWN);
        }
        parts
    }

    /// Standard uncertainty of a single touch against another one close by: what the error of the
    /// gauge and the plate have in common there is not in it. `None` where the repeatability of the
    /// gauge is not known.
    #[must_use]
    pub fn beside(&self, instrument: usize) -> Option<Length> {
        let gauge = self.gauges.get(instrument)?;
        let repeat = gauge.repeat?.to_mm();
        Some(Length::mm(libm::hypot(repeat, gauge.resolution.to_mm())))
    }

    /// Standard uncertainty of what comes from these touches, without what it has in common with
    /// others.
    #[must_use]
    pub fn standard(&self, of: Touched) -> Length {
        Length::mm(self.variances(of).iter().map(|(_, variance)| variance).sum::<f64>().sqrt())
    }

    /// Degrees of freedom of the repeatability of this gauge; infinite where it was stated.
    #[must_use]
    pub fn degrees(&self, instrument: usize) -> f64 {
        self.gauges.get(instrument).map_or(f64::INFINITY, |g| g.degrees)
    }

    /// Standard uncertainty of the probe constant of this instrument; zero where the gauge applies
    /// it itself or nothing is stated.
    #[must_use]
    pub fn probe(&self, instrument: usize) -> Length {
        self.gauges.get(instrument).map_or(Length::ZERO, |g| g.probe)
    }
}

impl Gauge {
    fn of(instrument: &Instrument, samples: &[Sample]) -> Self {
        let unit = instrument.unit;
        let stated = instrument.repeatability.map(|r| r.length(unit).abs());
        let resolution = instrument.resolution.length(unit).abs() * (1.0 / 12.0_f64.sqrt());
        let seen = pooled(samples)
            .map(|p| (Length::mm(p.deviation), p.degrees))
            .filter(|(_, degrees)| *degrees >= 5.0);
        let (repeat, degrees) = match (stated, seen) {
            (_, Some((deviation, degrees))) if deviation >= resolution => {
                (Some(deviation), degrees)
            }
            (Some(stated), _) => (Some(stated), f64::INFINITY),
            // They agree within what the display shows: a scatter up to there cannot be seen.
            (None, Some(_)) => (Some(resolution), f64::INFINITY),
            // A few repeats that happen to agree prove nothing.
            (None, None) => (None, f64::INFINITY),
        };
        Self {
            limit: instrument.error_limit.map(|a| a.length(unit).abs() * (1.0 / 3.0_f64.sqrt())),
            resolution,
            repeat,
            degrees,
            probe: probe_standard(instrument).unwrap_or_default(),
            assumed: Length::ZERO,
        }
    }

    /// One of which nothing is known.
    const NOTHING: Self = Self {
        limit: None,
        resolution: Length::ZERO,
        repeat: None,
        degrees: f64::INFINITY,
        probe: Length::ZERO,
        assumed: Length::ZERO,
    };

    /// Variance of a single touch without the plate, mm².
    fn variance(&self) -> f64 {
        let of = [self.limit.unwrap_or_default(), self.resolution, self.repeat.unwrap_or_default()];
        of.iter().map(|u| u.to_mm() * u.to_mm()).sum()
    }

    fn is_known(&self) -> bool {
        (self.limit.is_some() || self.repeat.is_some()) && self.variance() > 0.0
    }
}

fn plate(conditions: &Conditions, unit: Unit) -> Length {
    let flatness = conditions.plate_flatness.map_or(Length::ZERO, |f| f.length(unit).abs());
    flatness * (1.0 / 12.0_f64.sqrt())
}

/// Standard uncertainty of the error of a gauge that grows with height, as a ratio: ±a, uniform.
#[must_use]
pub fn growth_standard(job: &Job, instrument: usize) -> f64 {
    let growth = job.plan.instruments.get(instrument).and_then(|i| i.error_growth).unwrap_or(0.0);
    growth.abs() * 1e-6 / 3.0_f64.sqrt()
}

/// Standard uncertainty of the scale that temperature gives to all lengths of a piece alike,
/// whatever they were read with, as a ratio: of an unknown difference of temperature between part
/// and gauge (uniform), and of the coefficients of expansion, each known to ±1·10⁻⁶/K (uniform),
/// for the temperatures that were corrected.
#[must_use]
pub fn temperature_standard(job: &Job, piece: &Piece) -> [f64; 2] {
    let root = 3.0_f64.sqrt();
    let c = &job.plan.conditions;
    let apart = c.temperature_limit.unwrap_or(0.0).abs() / root;
    let expansion = c.part_expansion.or(c.gauge_expansion).unwrap_or(11.5) * 1e-6;
    let away = |celsius: Option<f64>| celsius.map_or(0.0, |t| (t - 20.0).abs() * 1e-6 / root);
    let coefficients = libm::hypot(away(piece.part_celsius), away(piece.gauge_celsius));
    [apart * expansion.abs(), coefficients]
}
