//! How uncertain a touch is by itself (GUM type A and B, JCGM 100:2008, 4.2 and 4.3).

use crate::bench::probe_standard;
use crate::chance::{Sample, pooled};
use crate::job::{Conditions, Instrument, Job, Piece, Touch};
use crate::quantity::{Length, Unit};

/// Weight of a touch of which nothing at all is known: all alike.
const UNKNOWN: Length = Length::mm(0.001);

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
    /// Half a step of the display, uniform: r/√12.
    resolution: Length,
    /// Standard deviation of a single touch, from the repeats or as stated.
    repeat: Option<Length>,
    /// Degrees of freedom of that; infinite where it was stated.
    degrees: f64,
    /// Standard uncertainty of the probe constant.
    probe: Length,
}

impl Doubts {
    /// Gathers what plan and readings say. Repeats of one touch give the repeatability of the gauge
    /// by their pooled standard deviation, where there are five degrees of freedom or more;
    /// with fewer, what the plan states goes first.
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
        let gauges = job
            .plan
            .instruments
            .iter()
            .zip(&repeats)
            .map(|(instrument, samples)| Gauge::of(instrument, samples))
            .collect();
        Self { gauges, plate: plate(&job.plan.conditions, job.drawing.unit) }
    }

    /// Whether the uncertainty of what this instrument reads is known at all: its error limit or its
    /// repeatability is. The step of the display alone says little.
    #[must_use]
    pub fn known(&self, instrument: usize) -> bool {
        self.gauges.get(instrument).is_some_and(|g| g.limit.is_some() || g.repeat.is_some())
    }

    /// Standard uncertainty of the mean of `n` touches, without what it has in common with others.
    #[must_use]
    pub fn touch(&self, instrument: usize, n: usize) -> Length {
        let square = |u: Length| u.to_mm() * u.to_mm();
        #[expect(clippy::cast_precision_loss, reason = "at most a hundred repeats")]
        let own = self.gauges.get(instrument).map_or(0.0, |g| {
            square(g.limit.unwrap_or_default())
                + square(g.resolution)
                + square(g.repeat.unwrap_or_default()) / n.max(1) as f64
        });
        let sum = own + square(self.plate);
        if sum > 0.0 { Length::mm(sum.sqrt()) } else { UNKNOWN }
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

    /// What that of a single touch is made of: name, standard uncertainty, degrees of freedom.
    #[must_use]
    pub fn parts(&self, instrument: usize) -> [(&'static str, Length, f64); 4] {
        let gauge = self.gauges.get(instrument).copied();
        let of = |part: fn(Gauge) -> Length| gauge.map_or(Length::ZERO, part);
        [
            ("error of the gauge", of(|g| g.limit.unwrap_or_default()), f64::INFINITY),
            ("resolution", of(|g| g.resolution), f64::INFINITY),
            (
                "repeatability",
                of(|g| g.repeat.unwrap_or_default()),
                gauge.map_or(f64::INFINITY, |g| g.degrees),
            ),
            ("flatness of the plate", self.plate, f64::INFINITY),
        ]
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
        let seen = pooled(samples).map(|p| (Length::mm(p.deviation), p.degrees));
        let (repeat, degrees) = match (stated, seen) {
            (_, Some((deviation, degrees))) if degrees >= 5.0 => (Some(deviation), degrees),
            (Some(stated), _) => (Some(stated), f64::INFINITY),
            // A few repeats that happen to agree prove nothing.
            (None, _) => (None, f64::INFINITY),
        };
        Self {
            limit: instrument.error_limit.map(|a| a.length(unit).abs() * (1.0 / 3.0_f64.sqrt())),
            resolution: instrument.resolution.length(unit).abs() * (1.0 / 12.0_f64.sqrt()),
            repeat,
            degrees,
            probe: probe_standard(instrument).unwrap_or_default(),
        }
    }
}

fn plate(conditions: &Conditions, unit: Unit) -> Length {
    let flatness = conditions.plate_flatness.map_or(Length::ZERO, |f| f.length(unit).abs());
    flatness * (1.0 / 12.0_f64.sqrt())
}

/// Standard uncertainty of the scale that all lengths of a piece have in common, as a ratio, with
/// what it is made of: the growth of the gauge's error (uniform), an unknown difference of
/// temperature between part and gauge (uniform), and the coefficients of expansion, each known to
/// ±1·10⁻⁶/K (uniform), for the temperatures that were corrected.
#[must_use]
pub fn scale_standard(job: &Job, piece: &Piece, instrument: usize) -> [(&'static str, f64); 3] {
    let root = 3.0_f64.sqrt();
    let c = &job.plan.conditions;
    let growth = job.plan.instruments.get(instrument).and_then(|i| i.error_growth).unwrap_or(0.0);
    let apart = c.temperature_limit.unwrap_or(0.0).abs() / root;
    let expansion = c.part_expansion.or(c.gauge_expansion).unwrap_or(11.5) * 1e-6;
    let away = |celsius: Option<f64>| celsius.map_or(0.0, |t| (t - 20.0).abs() * 1e-6 / root);
    let coefficients = libm::hypot(away(piece.part_celsius), away(piece.gauge_celsius));
    [
        ("error of the gauge growing with height", growth.abs() * 1e-6 / root),
        ("difference of temperature", apart * expansion),
        ("coefficients of expansion", coefficients),
    ]
}
