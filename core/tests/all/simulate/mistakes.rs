//! Mistakes made on purpose, one in each job: every trap of the trade.
//!
//! A mistake that changes nothing is none: it is made again elsewhere until some coordinate or
//! size differs by more than a tenth of its tolerance from what the same noise gives without it
//! ([`matters`]). What nobody could notice, such as a symmetric part on its head, stays in.

use super::random_bench::{Bench, Stand, ZeroAt};
use crate::random::Random;
use quarterturn_core::findings::{FeatureFinding, Findings};
use quarterturn_core::job::{Job, Probe, Reading, Touch, Zero, ZeroCheck};
use quarterturn_core::quantity::{Figure, Length, Side};
use quarterturn_core::{evaluate, job::Taken};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Mistake {
    /// A reading with the wrong sign.
    Sign,
    /// A touch, a feature or an orientation in the other unit.
    Unit,
    /// The reading of another feature.
    Another,
    /// Two features swapped, in one orientation or in all.
    Swapped,
    /// The part stood on its head.
    OnItsHead,
    /// The quarter turn made the other way round: the second orientation on its head.
    TurnedBack,
    /// A quarter turn forgotten or one too many.
    QuarterOff,
    ProbeForgotten,
    ProbeTwice,
    ProbeSign,
    /// All of one orientation shifted by 10 to 50 standard deviations, checked by another.
    ZeroShifted,
    /// One touch off by 10 to 50 standard deviations, where three orientations check it.
    Gross,
    Drift,
    /// Zeros in a circle.
    Circle,
    /// A zero that was never read.
    LooseEnd,
    /// Low for high, of one feature or of all in an orientation.
    Exchanged,
    CoarseGauge,
}

impl Mistake {
    pub(crate) const ALL: [Self; 17] = [
        Self::Sign,
        Self::Unit,
        Self::Another,
        Self::Swapped,
        Self::OnItsHead,
        Self::TurnedBack,
        Self::QuarterOff,
        Self::ProbeForgotten,
        Self::ProbeTwice,
        Self::ProbeSign,
        Self::ZeroShifted,
        Self::Gross,
        Self::Drift,
        Self::Circle,
        Self::LooseEnd,
        Self::Exchanged,
        Self::CoarseGauge,
    ];

    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Sign => "wrong sign of a reading",
            Self::Unit => "the other unit (x 25.4, / 25.4)",
            Self::Another => "reading of another feature",
            Self::Swapped => "two features swapped",
            Self::OnItsHead => "part on its head (mirrored)",
            Self::TurnedBack => "quarter turn the wrong way",
            Self::QuarterOff => "quarter turn forgotten",
            Self::ProbeForgotten => "probe constant forgotten",
            Self::ProbeTwice => "probe constant applied twice",
            Self::ProbeSign => "probe constant, wrong sign",
            Self::ZeroShifted => "zero shifted, redundant job",
            Self::Gross => "one touch 10 to 50 sigma off",
            Self::Drift => "drift of the zero",
            Self::Circle => "zeros in a circle",
            Self::LooseEnd => "zero that was not read",
            Self::Exchanged => "low and high exchanged",
            Self::CoarseGauge => "gauge too coarse",
        }
    }

    const fn redundant(self) -> bool {
        matches!(self, Self::ZeroShifted | Self::Gross)
    }
}

/// A job with a mistake in it, and where that is. Nothing said of a place means all places.
pub(crate) struct Spoilt {
    pub(crate) job: Job,
    pub(crate) orientations: Vec<u32>,
    /// Indices into the drawing.
    pub(crate) features: Vec<usize>,
}

/// The first job from this seed on in which the mistake can be made and matters.
pub(crate) fn make(mistake: Mistake, seed: u64) -> Spoilt {
    for attempt in 0..400 {
        let mut rng = Random::far_apart(seed.wrapping_mul(1000) + attempt);
        let redundant = mistake.redundant() || rng.chance(0.4);
        let bench = Bench::any(seed.wrapping_mul(1000) + attempt, redundant);
        if let Some(spoilt) = spoil(mistake, &bench, &mut rng)
            && (indirect(mistake) || matters(&bench.measured(), &spoilt.job))
        {
            return spoilt;
        }
    }
    panic!("{mistake:?} could not be made from seed {seed}");
}

/// It matters whatever it does to the figures.
const fn indirect(mistake: Mistake) -> bool {
    matches!(mistake, Mistake::Drift | Mistake::Circle | Mistake::LooseEnd | Mistake::CoarseGauge)
}

/// Whether any result differs by more than a tenth of its tolerance.
fn matters(clean: &Job, spoilt: &Job) -> bool {
    let (a, b) = (evaluate(clean), evaluate(spoilt));
    let features = |f: &Findings| f.pieces[0].features.clone();
    features(&a).iter().zip(&features(&b)).any(|(a, b)| differs(a, b))
}

fn differs(a: &FeatureFinding, b: &FeatureFinding) -> bool {
    let zone = a.position.as_ref().map(|p| p.tolerance);
    let apart =
        |p: Option<Length>, q: Option<Length>, tolerance: Option<Length>| match (p, q, tolerance) {
            (Some(p), Some(q), Some(t)) => (p - q).abs() > t * 0.1,
            (p, q, Some(_)) => p.is_some() != q.is_some(),
            _ => false,
        };
    let limits = a.size.limits.map(|l| l.tolerance());
    let sizes = a
        .size
        .seen
        .iter()
        .zip(&b.size.seen)
        .any(|(s, t)| apart(Some(s.size), Some(t.size), limits));
    sizes || apart(a.x.at(), b.x.at(), zone) || apart(a.y.at(), b.y.at(), zone)
}

const FACES: usize = 4;

fn of(reading: &Reading) -> Option<usize> {
    reading.feature.parse::<usize>().ok().map(|n| FACES + n - 1)
}

/// A reading of a feature of size, by its index in the piece.
fn some_reading(job: &Job, rng: &mut Random) -> Option<usize> {
    let readings = &job.pieces[0].readings;
    let sized: Vec<usize> = (0..readings.len()).filter(|i| of(&readings[*i]).is_some()).collect();
    (!sized.is_empty()).then(|| sized[rng.below(sized.len())])
}

fn touches_of(reading: &Reading) -> Vec<Touch> {
    Touch::ALL.into_iter().filter(|t| !reading.values(*t).is_empty()).collect()
}

fn change(reading: &mut Reading, touch: Touch, by: impl Fn(f64) -> f64) {
    for value in reading.values_mut(touch) {
        *value = Figure(by(value.0));
    }
}

fn spoil(mistake: Mistake, bench: &Bench, rng: &mut Random) -> Option<Spoilt> {
    let mut job = bench.measured();
    let mut at = (Vec::new(), Vec::new());
    let number = |k: usize| u32::try_from(k + 1).unwrap();
    match mistake {
        Mistake::Sign => {
            let i = some_reading(&job, rng)?;
            let reading = &mut job.pieces[0].readings[i];
            let touches = touches_of(reading);
            let touch = touches[rng.below(touches.len())];
            at = (vec![reading.orientation], vec![of(reading)?]);
            change(reading, touch, |v| -v);
        }
        Mistake::Unit => {
            let i = some_reading(&job, rng)?;
            let orientation = job.pieces[0].readings[i].orientation;
            let factor = if rng.chance(0.5) { 25.4 } else { 1.0 / 25.4 };
            let digits = |v: f64| (v * factor * 1e5).round() / 1e5;
            let how = rng.below(3);
            if how < 2 {
                at.1 = vec![of(&job.pieces[0].readings[i])?];
            }
            at.0 = vec![orientation];
            for (j, reading) in job.pieces[0].readings.iter_mut().enumerate() {
                if j == i || (how == 2 && reading.orientation == orientation) {
                    let touches = touches_of(reading);
                    let one = rng.below(touches.len());
                    for (t, touch) in touches.into_iter().enumerate() {
                        if how > 0 || t == one {
                            change(reading, touch, digits);
                        }
                    }
                }
            }
        }
        Mistake::Another => {
            let i = some_reading(&job, rng)?;
            let j = some_reading(&job, rng)?;
            let (a, b) = (&job.pieces[0].readings[i], job.pieces[0].readings[j].clone());
            if i == j || a.orientation != b.orientation || a.zero != b.zero {
                return None;
            }
            at = (vec![a.orientation], vec![of(a)?]);
            let feature = a.feature.clone();
            job.pieces[0].readings[i] = Reading { feature, ..b };
        }
        Mistake::Swapped => {
            let (i, j) = (some_reading(&job, rng)?, some_reading(&job, rng)?);
            let readings = &job.pieces[0].readings;
            let (a, b) = (readings[i].feature.clone(), readings[j].feature.clone());
            let everywhere = rng.chance(0.5);
            let chosen = readings[i].orientation;
            at.1 = vec![of(&readings[i])?, of(&readings[j])?];
            if a == b || readings[j].orientation != chosen {
                return None;
            }
            let kinds = |n: usize| job.drawing.features[n].kind.is_internal();
            if kinds(at.1[0]) != kinds(at.1[1]) || readings.iter().any(|r| r.zero.is_some()) {
                return None;
            }
            for reading in &mut job.pieces[0].readings {
                if everywhere || reading.orientation == chosen {
                    let swapped = if reading.feature == a {
                        b.clone()
                    } else if reading.feature == b {
                        a.clone()
                    } else {
                        continue;
                    };
                    reading.feature = swapped;
                    at.0.push(reading.orientation);
                }
            }
        }
        Mistake::OnItsHead | Mistake::TurnedBack | Mistake::QuarterOff => {
            let k = match mistake {
                Mistake::TurnedBack => 1,
                Mistake::OnItsHead => [0, 2, 3, 4][rng.below(4)],
                _ => rng.below(bench.stands.len()),
            };
            let mut spoilt = bench.clone();
            let stand: &mut Stand = spoilt.stands.get_mut(k)?;
            let turn = if mistake == Mistake::QuarterOff { 90.0 * rng.sign() } else { 180.0 };
            stand.truly_up = (stand.up + turn).rem_euclid(360.0);
            if turn.abs() < 180.0 && Side::from_degrees(stand.up).is_none() {
                return None;
            }
            job = spoilt.measured();
            at.0 = vec![number(k)];
        }
        Mistake::ProbeForgotten | Mistake::ProbeTwice | Mistake::ProbeSign => {
            let k = (rng.range(0.1, 6.0) * 1e4).round() / 1e4;
            let mut spoilt = bench.clone();
            spoilt.gauge.ball = if mistake == Mistake::ProbeTwice { 0.0 } else { k };
            job = spoilt.measured();
            let mm = bench.gauge.unit.in_mm();
            job.plan.instruments[0].probe = match mistake {
                Mistake::ProbeForgotten => Probe::AppliedByGauge,
                Mistake::ProbeTwice => Probe::Constant(Figure(k / mm)),
                _ => Probe::Constant(Figure(-k / mm)),
            };
        }
        Mistake::ZeroShifted => {
            let k = checked(bench, rng)?;
            let by = rng.sign() * rng.range(10.0, 50.0) * bench.gauge.standard()
                / bench.gauge.unit.in_mm();
            for reading in &mut job.pieces[0].readings {
                if reading.orientation == number(k) && reading.zero.is_none() {
                    for touch in [Touch::Low, Touch::High, Touch::Centre, Touch::Face] {
                        change(reading, touch, |v| v + by);
                    }
                }
            }
            at.0 = vec![number(k)];
        }
        Mistake::Gross => {
            let i = some_reading(&job, rng)?;
            let clean = evaluate(&job);
            let reading = &mut job.pieces[0].readings[i];
            let (orientation, feature) = (reading.orientation, of(reading)?);
            // Only what another orientation checks can be noticed at all.
            let fits = &clean.pieces[0].measurement.residuals;
            let fit = fits.iter().find(|m| m.orientation == orientation && m.feature == feature)?;
            if fit.redundancy < 0.1 {
                return None;
            }
            let touch = match bench.stands[orientation as usize - 1].taken {
                Taken::Touches => [Touch::Low, Touch::High][rng.below(2)],
                Taken::CentreAndSize => Touch::Centre,
            };
            let by = rng.sign() * rng.range(10.0, 50.0) * bench.gauge.standard()
                / bench.gauge.unit.in_mm();
            change(reading, touch, |v| v + by);
            at = (vec![orientation], vec![feature]);
        }
        Mistake::Drift => {
            let k = rng.below(bench.stands.len());
            // What the gauge itself may show at a zero touched twice is no drift that can be told.
            let told = 6.0 * bench.gauge.standard();
            let by = rng.sign() * (rng.range(0.11, 1.5) * bench.tightest()).max(told);
            let mm = bench.gauge.unit.in_mm();
            let checks = &mut job.pieces[0].zero_checks;
            checks.retain(|c| c.orientation != number(k));
            checks.push(ZeroCheck { orientation: number(k), end: Figure(by / mm) });
            at.0 = vec![number(k)];
        }
        Mistake::Circle | Mistake::LooseEnd => {
            let (i, j) = (some_reading(&job, rng)?, some_reading(&job, rng)?);
            let readings = &mut job.pieces[0].readings;
            let round = |r: &Reading| {
                of(r).is_some_and(|n| bench.features[n - FACES].asked.kind.is_round())
            };
            if i == j
                || readings[i].orientation != readings[j].orientation
                || !round(&readings[i])
                || !round(&readings[j])
            {
                return None;
            }
            at = (vec![readings[i].orientation], vec![of(&readings[i])?]);
            readings[i].zero = Some(Zero::Feature(readings[j].feature.clone()));
            if mistake == Mistake::Circle {
                readings[j].zero = Some(Zero::Feature(readings[i].feature.clone()));
            } else {
                readings.remove(j);
            }
        }
        Mistake::Exchanged => {
            let i = some_reading(&job, rng)?;
            let orientation = job.pieces[0].readings[i].orientation;
            let all = rng.chance(0.3);
            if !all {
                at.1 = vec![of(&job.pieces[0].readings[i])?];
            }
            at.0 = vec![orientation];
            for (j, r) in job.pieces[0].readings.iter_mut().enumerate() {
                if j == i || (all && r.orientation == orientation) {
                    std::mem::swap(&mut r.low, &mut r.high);
                }
            }
        }
        Mistake::CoarseGauge => {
            let mut spoilt = bench.clone();
            let times = rng.range(12.0, 40.0);
            let unit = spoilt.gauge.unit.in_mm();
            spoilt.gauge.step = (spoilt.gauge.step / unit * times * 1e5).round() / 1e5 * unit;
            spoilt.gauge.limit = Some(spoilt.gauge.limit.unwrap_or(0.002) * times);
            spoilt.gauge.sigma *= times;
            job = spoilt.measured();
        }
    }
    Some(Spoilt { job, orientations: at.0, features: at.1 })
}

/// An orientation whose offset is known, along an axis that another one ties as well.
fn checked(bench: &Bench, rng: &mut Random) -> Option<usize> {
    let k = rng.below(bench.stands.len());
    // A zero at a hole ties nothing: it moves with the hole.
    let tied = |s: &Stand| match s.zero {
        // Nor does the plate under an edge that is no datum.
        ZeroAt::Plate => s.blocks_known && s.up < 135.0,
        ZeroAt::Top => true,
        ZeroAt::Feature(_) => false,
    };
    let axis = |s: &Stand| Side::from_degrees(s.up).map(Side::axis);
    let this = bench.stands.get(k)?;
    let mut others = bench.stands.iter().enumerate().filter(|(i, _)| *i != k);
    (tied(this) && axis(this).is_some() && others.any(|(_, s)| tied(s) && axis(s) == axis(this)))
        .then_some(k)
}
