//! The uncertainty of a touch by itself (GUM type A and B, JCGM 100:2008, 4.2 and 4.3).

use super::{Touched, probe_standard};
use crate::chance::{Sample, pooled};
use crate::job::{Conditions, Instrument, Job, Piece, Touch};
use crate::quantity::{Length, Unit};

/// Standard uncertainty that weighs the touches of a plan in which nothing is known of any gauge: all
/// alike.
const UNKNOWN: Length = Length::mm(0.001);

/// A component of the uncertainty of a touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TouchComponent {
    /// Error of the gauge within its limit.
    Error,
    /// Step of the display.
    Resolution,
    /// Repeatability.
    Repeatability,
    /// Flatness of the plate.
    Plate,
    /// Assumed for a gauge of which neither error limit nor repeatability is known.
    Assumed,
}

impl TouchComponent {
    /// What it is called.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Error => "gauge error",
            Self::Resolution => "resolution",
            Self::Repeatability => "repeatability",
            Self::Plate => "plate flatness",
            Self::Assumed => "assumed for the gauge",
        }
    }
}

/// The uncertainty of the touches of one piece, instrument by instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct TouchUncertainty {
    gauges: Vec<Gauge>,
    /// Standard uncertainty by the plate: half its flatness deviation, uniform.
    plate: Length,
}

/// The uncertainty of one gauge.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Gauge {
    /// Error limit ±a, uniform: a/√3.
    limit: Option<Length>,
    /// Half a step of the display, uniform: r/√12. All repeats of one touch have it in common, so a
    /// mean does not reduce it (JCGM 100, F.2.2.1).
    resolution: Length,
    /// Standard deviation of a single touch, from the repeats or as stated.
    repeatability: Option<Length>,
    /// Degrees of freedom of that; infinite where it was stated.
    degrees: f64,
    /// Standard uncertainty of the probe constant.
    probe: Length,
    /// What is assumed for a gauge of which neither error limit nor repeatability is known: as much as
    /// makes it no better than the worst known gauge of the plan. It weighs its readings against
    /// others; results that depend on them count as of unknown uncertainty all the same.
    assumed: Length,
}

impl TouchUncertainty {
    /// Gathers what plan and readings say. Repeats of one touch give the repeatability of the gauge by
    /// their pooled standard deviation, with its degrees of freedom, however few. Where the plan states
    /// a repeatability, five degrees of freedom or more replace it, and fewer do where they show a
    /// larger one (common practice, no source). Repeats that agree better than the display resolves
    /// count as what it may hide (JCGM 100, F.2.2.1).
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

    /// Whether the uncertainty of this instrument is known: its error limit or its repeatability is.
    /// The step of the display alone says little.
    #[must_use]
    pub fn known(&self, instrument: usize) -> bool {
        self.gauges.get(instrument).is_some_and(Gauge::is_known)
    }

    /// The variance of a value made of these touches, in mm², component by component.
    #[must_use]
    pub fn variances(&self, of: Touched) -> [(TouchComponent, f64); 5] {
        use TouchComponent::{Assumed, Error, Plate, Repeatability, Resolution};
        let gauge = self.gauges.get(of.instrument).copied().unwrap_or(Gauge::NOTHING);
        let mut parts = [
            (Error, of.once * square(gauge.limit.unwrap_or_default())),
            (Resolution, of.once * square(gauge.resolution)),
            (Repeatability, of.repeated * square(gauge.repeatability.unwrap_or_default())),
            (Plate, of.plate * square(self.plate)),
            (Assumed, of.once * square(gauge.assumed)),
        ];
        let gauge_says = [0, 1, 2, 4].iter().any(|i| parts[*i].1 > 0.0);
        if !gauge_says && parts[3].1 <= 0.0 {
            parts[4].1 = of.once * square(UNKNOWN);
        }
        parts
    }

    /// Standard uncertainty of a single touch against another one close by: without what the error of
    /// the gauge and the plate have in common there. `None` where the repeatability is not known.
    #[must_use]
    pub fn beside(&self, instrument: usize) -> Option<Length> {
        let gauge = self.gauges.get(instrument)?;
        let repeat = gauge.repeatability?.to_mm();
        Some(Length::mm(libm::hypot(repeat, gauge.resolution.to_mm())))
    }

    /// Standard uncertainty of a value made of these touches.
    #[must_use]
    pub fn standard(&self, of: Touched) -> Length {
        Length::mm(self.variances(of).iter().map(|(_, variance)| variance).sum::<f64>().sqrt())
    }

    /// Variance of the repeatability of a single touch, mm².
    #[must_use]
    pub fn repeatability(&self, instrument: usize) -> f64 {
        self.gauges.get(instrument).map_or(0.0, |g| square(g.repeatability.unwrap_or_default()))
    }

    /// Degrees of freedom of the repeatability of this instrument; infinite where it was stated.
    #[must_use]
    pub fn degrees(&self, instrument: usize) -> f64 {
        self.gauges.get(instrument).map_or(f64::INFINITY, |g| g.degrees)
    }

    /// Standard uncertainty of the probe constant of this instrument; zero where the gauge applies it
    /// itself or nothing is stated.
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
        let seen = pooled(samples).map(|p| (Length::mm(p.deviation).max(resolution), p.degrees));
        let (repeatability, degrees) = match (stated, seen) {
            (None, None) => (None, f64::INFINITY),
            (Some(stated), Some((seen, degrees)))
                if seen > resolution && (degrees >= 5.0 || seen > stated) =>
            {
                (Some(seen), degrees)
            }
            (Some(stated), _) => (Some(stated), f64::INFINITY),
            (None, Some((seen, degrees))) => (Some(seen), degrees),
        };
        Self {
            limit: instrument.error_limit.map(|a| a.length(unit).abs() * (1.0 / 3.0_f64.sqrt())),
            resolution,
            repeatability,
            degrees,
            probe: probe_standard(instrument).unwrap_or_default(),
            assumed: Length::ZERO,
        }
    }

    /// A gauge of which nothing is known.
    const NOTHING: Self = Self {
        limit: None,
        resolution: Length::ZERO,
        repeatability: None,
        degrees: f64::INFINITY,
        probe: Length::ZERO,
        assumed: Length::ZERO,
    };

    /// Variance of a single touch without the plate, mm².
    fn variance(&self) -> f64 {
        let repeat = self.repeatability.unwrap_or_default();
        [self.limit.unwrap_or_default(), self.resolution, repeat].into_iter().map(square).sum()
    }

    fn is_known(&self) -> bool {
        (self.limit.is_some() || self.repeatability.is_some()) && self.variance() > 0.0
    }
}

fn square(u: Length) -> f64 {
    u.to_mm() * u.to_mm()
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

/// Standard uncertainty of the scale that temperature gives to all lengths of a piece alike, whatever
/// they were read with, as a ratio: of an unknown difference of temperature between part and gauge
/// (uniform), and of the coefficients of expansion, each known to ±1·10⁻⁶/K (uniform), for the
/// temperatures that were corrected.
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
