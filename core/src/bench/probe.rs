//! The probe constant found from touches: the constant itself, how uncertain it is, and what is
//! wrong with it.

use super::Mean;
use crate::chance::{Sample, coverage_factor, pooled};
use crate::job::{Instrument, Probe, ProbeTrial, ProbeWay};
use crate::quantity::{Figure, Length, Unit};

/// Repeats of a trial stand for the repeatability of the gauge from so many degrees of freedom on;
/// with fewer, what the plan states goes first: a few that happen to agree prove nothing (common
/// practice, no source).
const ENOUGH: f64 = 5.0;

/// Two constants are held for different beyond so many expanded uncertainties, and for opposite or
/// alike within them: three standard uncertainties, more where the trial has few repeats (common
/// practice, no source).
const FAR: f64 = 1.5;

/// The probe constant (effective probe size) as a trial gives it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProbeFound {
    /// K: how much lower a touch from below reads than one from above on the same plane.
    pub constant: Length,
    /// Its standard uncertainty; `None` where nothing says how far touches scatter.
    pub standard: Option<Length>,
    /// The touches from above.
    pub down: Mean,
    /// The touches from below.
    pub up: Mean,
    /// How far one touch scatters.
    pub scatter: Option<Scatter>,
}

/// Standard deviation of one touch, and where it is from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter {
    /// The standard deviation.
    pub deviation: Length,
    /// Degrees of freedom where it is from the repeats of the trial; `None` where the plan states
    /// it.
    pub degrees: Option<f64>,
}

impl ProbeFound {
    /// Works out the trial of an instrument. `None` where there is none, a side was not touched, or
    /// the gap or thickness is missing.
    ///
    /// With d and u the means of the touches from above and from below, counted from any zero, both
    /// from the same one: K = d − u on the two sides of one plane; K = G − (u − d) in a known gap G,
    /// whose lower face is touched from above; K = d − u − T over a known thickness T. They are the
    /// equations of [`reduce`](super::reduce) solved for K.
    ///
    /// u²(K) = s²/n_d + s²/n_u + 2 r²/12 + u²(G or T) (JCGM 100:2008, 4.2.3, 4.3.7 and 5.1.2): s is
    /// the standard deviation of one touch, r the step of the display. The error of the gauge over
    /// the short way between the two touches is left out (common practice, no source).
    #[must_use]
    pub fn of(instrument: &Instrument) -> Option<Self> {
        let trial = instrument.probe_found.as_ref()?;
        let unit = instrument.unit;
        let down = Mean::of(&trial.down, unit)?;
        let up = Mean::of(&trial.up, unit)?;
        let apart = down.mean - up.mean;
        let constant = match trial.way {
            ProbeWay::Plane => apart,
            ProbeWay::Gap(gap) => known(gap, unit)? + apart,
            ProbeWay::Thickness(thickness) => apart - known(thickness, unit)?,
        };
        let scatter = scatter(instrument, trial);
        let standard = scatter.map(|s| {
            let square = |l: Length| l.to_mm() * l.to_mm();
            #[expect(clippy::cast_precision_loss, reason = "at most a hundred repeats")]
            let means = square(s.deviation) * (1.0 / down.n as f64 + 1.0 / up.n as f64);
            let step = square(instrument.resolution.length(unit)) / 6.0;
            let known = match trial.way {
                ProbeWay::Plane => 0.0,
                _ => trial.known_standard.map_or(0.0, |u| square(u.length(unit))),
            };
            Length::mm((means + step + known).sqrt())
        });
        Some(Self { constant, standard, down, up, scatter })
    }

    /// What is wrong with it, by itself and against what the plan says of the constant: nothing is
    /// left of it where the gauge applies it itself.
    #[must_use]
    pub fn doubts(&self, instrument: &Instrument) -> Vec<ProbeDoubt> {
        let unit = instrument.unit;
        let own = self.standard.unwrap_or_default().to_mm();
        let stated = match instrument.probe {
            Probe::Found => None,
            Probe::AppliedByGauge => Some((Length::ZERO, 0.0)),
            Probe::Constant(k) => {
                let u = instrument.probe_standard.map_or(0.0, |u| u.length(unit).to_mm());
                Some((k.length(unit), u))
            }
        };
        let mut doubts = Vec::new();
        let step = instrument.resolution.length(unit).abs();
        let degrees = self.scatter.and_then(|s| s.degrees).unwrap_or(f64::INFINITY);
        let of_trial = own * coverage_factor(degrees);
        let far = |u: f64| Length::mm(FAR * libm::hypot(of_trial, 2.0 * u)).max(step * 2.0);
        match stated {
            None if self.constant.abs() <= far(0.0) => doubts.push(ProbeDoubt::Nothing),
            None if self.constant < Length::ZERO => doubts.push(ProbeDoubt::Negative),
            None => {}
            Some((stated, u)) => {
                let far = far(u);
                let turned = stated.to_mm() * self.constant.to_mm() < 0.0;
                if turned && (self.constant + stated).abs() <= far.max(stated.abs() * 0.1) {
                    doubts.push(ProbeDoubt::Opposite { stated });
                } else if (self.constant - stated).abs() > far {
                    doubts.push(ProbeDoubt::Differs { stated });
                }
            }
        }
        if self.standard.is_none() {
            doubts.push(ProbeDoubt::Unsure);
        }
        doubts
    }
}

/// What is wrong with a probe constant that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ProbeDoubt {
    /// It is next to nothing: the gauge seems to apply it itself.
    Nothing,
    /// It is negative, which no probe is: the touches from above and from below may have been
    /// taken for each other.
    Negative,
    /// It is the one that the plan states with the opposite sign.
    Opposite {
        /// The one that the plan states.
        stated: Length,
    },
    /// It is another one than the plan states.
    Differs {
        /// The one that the plan states; zero where the gauge applies it itself.
        stated: Length,
    },
    /// Nothing says how uncertain it is.
    Unsure,
}

/// The probe constant still to be applied to readings of this instrument: zero where the gauge
/// applies it, `None` where it is to be found and the trial is not complete.
#[must_use]
pub fn probe_constant(instrument: &Instrument) -> Option<Length> {
    match instrument.probe {
        Probe::AppliedByGauge => Some(Length::ZERO),
        Probe::Constant(k) => Some(k.length(instrument.unit)),
        Probe::Found => ProbeFound::of(instrument).map(|f| f.constant),
    }
}

/// Standard uncertainty of that constant, where it is known; `None` where the gauge applies it.
#[must_use]
pub fn probe_standard(instrument: &Instrument) -> Option<Length> {
    match instrument.probe {
        Probe::AppliedByGauge => None,
        Probe::Constant(_) => instrument.probe_standard.map(|u| u.length(instrument.unit).abs()),
        Probe::Found => ProbeFound::of(instrument)?.standard,
    }
}

/// A gap or a thickness; `None` while it is not given.
fn known(figure: Figure, unit: Unit) -> Option<Length> {
    (figure.0 > 0.0).then(|| figure.length(unit))
}

fn scatter(instrument: &Instrument, trial: &ProbeTrial) -> Option<Scatter> {
    let unit = instrument.unit;
    let sides = [&trial.down, &trial.up].map(|side| {
        let mm: Vec<f64> = side.iter().map(|v| v.length(unit).to_mm()).collect();
        Sample::of(&mm)
    });
    let samples: Vec<Sample> = sides.into_iter().flatten().collect();
    let seen = pooled(&samples)
        .map(|p| Scatter { deviation: Length::mm(p.deviation), degrees: Some(p.degrees) });
    let stated = instrument
        .repeatability
        .map(|r| Scatter { deviation: r.length(unit).abs(), degrees: None });
    let enough = seen.filter(|s| s.degrees.is_some_and(|d| d >= ENOUGH));
    enough.or(stated).or(seen)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    fn gauge(way: ProbeWay, down: &[f64], up: &[f64]) -> Instrument {
        let figures = |values: &[f64]| values.iter().map(|v| Figure(*v)).collect();
        Instrument {
            unit: Unit::Mm,
            resolution: Figure(0.001),
            probe: Probe::Found,
            probe_found: Some(ProbeTrial {
                way,
                down: figures(down),
                up: figures(up),
                known_standard: None,
            }),
            ..Instrument::default()
        }
    }

    fn near(a: Length, b: f64) {
        assert!((a.to_mm() - b).abs() < 1e-12, "{a:?} {b}");
    }

    /// A plane at 30, a gap from 30 to 50 and a thickness from 30 to 42, touched by a ball of 4: from
    /// above a plane reads what it is, from below 4 less.
    #[test]
    fn all_three_ways_find_the_same_constant() {
        for (way, down, up) in [
            (ProbeWay::Plane, 30.0, 26.0),
            (ProbeWay::Gap(Figure(20.0)), 30.0, 46.0),
            (ProbeWay::Thickness(Figure(12.0)), 42.0, 26.0),
        ] {
            let found = ProbeFound::of(&gauge(way, &[down], &[up])).unwrap();
            near(found.constant, 4.0);
            assert_eq!(found.standard, None, "a single touch says nothing of its scatter");
        }
    }

    /// Computed independently (Python, statistics.stdev and exact fractions): down 30.001, 30.002,
    /// 30.000, 30.001; up 50.004, 50.003, 50.005; gap 24 with u 0.0003. s² pooled over 3 + 2 degrees
    /// = (2e-6 + 2e-6)/5 = 8e-7; u² = 8e-7 (1/4 + 1/3) + 1e-6/6 + 9e-8.
    #[test]
    fn the_uncertainty_is_that_of_both_means_the_step_and_the_gap() {
        let down = [30.001, 30.002, 30.0, 30.001];
        let mut i = gauge(ProbeWay::Gap(Figure(24.0)), &down, &[50.004, 50.003, 50.005]);
        if let Some(trial) = &mut i.probe_found {
            trial.known_standard = Some(Figure(0.0003));
        }
        let found = ProbeFound::of(&i).unwrap();
        near(found.constant, 3.997);
        assert!((found.standard.unwrap().to_mm() - 0.000_850_490_054_811_54).abs() < 1e-12);
        assert_eq!((found.down.n, found.up.n), (4, 3));
        assert_eq!(probe_constant(&i), Some(found.constant));
        assert_eq!(probe_standard(&i), found.standard);
        // In inches the same figures are 25.4 times as much, and nothing else changes.
        i.unit = Unit::Inch;
        near(ProbeFound::of(&i).unwrap().constant, 3.997 * 25.4);
    }

    #[test]
    fn few_repeats_that_agree_do_not_beat_a_stated_repeatability() {
        let mut i = gauge(ProbeWay::Plane, &[30.0, 30.0], &[26.0, 26.0]);
        let by_step = (1e-6_f64 / 6.0).sqrt();
        near(ProbeFound::of(&i).unwrap().standard.unwrap(), by_step);
        i.repeatability = Some(Figure(0.002));
        let found = ProbeFound::of(&i).unwrap();
        near(found.standard.unwrap(), (4e-6_f64 + 1e-6 / 6.0).sqrt());
        assert_eq!(found.scatter.unwrap().degrees, None);
    }

    #[test]
    fn what_is_not_complete_is_not_found() {
        assert_eq!(ProbeFound::of(&Instrument::default()), None);
        for i in [
            gauge(ProbeWay::Plane, &[30.0], &[]),
            gauge(ProbeWay::Plane, &[], &[26.0]),
            gauge(ProbeWay::Gap(Figure(0.0)), &[30.0], &[46.0]),
        ] {
            assert_eq!((ProbeFound::of(&i), probe_constant(&i)), (None, None));
        }
    }

    #[test]
    fn a_wrong_sign_is_seen() {
        let doubts = |i: &Instrument| ProbeFound::of(i).unwrap().doubts(i);
        // From above and from below taken for each other.
        let mut i = gauge(ProbeWay::Plane, &[26.0, 26.001], &[30.0, 30.001]);
        assert_eq!(doubts(&i), [ProbeDoubt::Negative]);
        i.probe = Probe::Constant(Figure(4.0));
        assert_eq!(doubts(&i), [ProbeDoubt::Opposite { stated: Length::mm(4.0) }]);
        // Nothing is left of it.
        let i = gauge(ProbeWay::Plane, &[30.0, 30.001], &[30.0, 30.001]);
        assert_eq!(doubts(&i), [ProbeDoubt::Nothing]);
        // The entered one has the wrong sign.
        let mut i = gauge(ProbeWay::Plane, &[30.0, 30.001], &[26.0, 26.001]);
        assert_eq!(doubts(&i), []);
        i.probe = Probe::Constant(Figure(-4.0));
        assert_eq!(doubts(&i), [ProbeDoubt::Opposite { stated: Length::mm(-4.0) }]);
        i.probe = Probe::Constant(Figure(4.0));
        assert_eq!(doubts(&i), []);
        i.probe = Probe::Constant(Figure(3.0));
        assert_eq!(doubts(&i), [ProbeDoubt::Differs { stated: Length::mm(3.0) }]);
        // A gauge that applies it leaves nothing of it.
        i.probe = Probe::AppliedByGauge;
        assert_eq!(doubts(&i), [ProbeDoubt::Differs { stated: Length::ZERO }]);
        let mut i = gauge(ProbeWay::Plane, &[30.0, 30.001], &[30.001, 30.0]);
        i.probe = Probe::AppliedByGauge;
        assert_eq!(doubts(&i), []);
    }
}
