//! Small mistakes made on purpose, such as change a verdict and look like a bad part.

use super::small_job::{BALL, SmallJob};
use crate::build::Build;
use crate::random::Random;
use quarterturn_core::job::{Job, Probe, Reading, Touch};
use quarterturn_core::quantity::{Figure, Unit};

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Small {
    Tenths,
    Hundredths,
    Transposed,
    Missing,
    Burr,
    CrestOne,
    CrestBoth,
    Exchanged,
    Neighbour,
    TypedTwice,
    NominalSwapped,
    NominalOff,
    NominalSize,
    Bump,
    BumpHalfway,
    Drift,
    Probe,
    Tilt,
    Warm,
    WrongTurn,
    /// A part without symmetry on its head.
    OnItsHead,
    /// An orientation read in inches.
    Inches,
}

impl Small {
    pub(crate) const ALL: [Self; 22] = [
        Self::Tenths,
        Self::Hundredths,
        Self::Transposed,
        Self::Missing,
        Self::Burr,
        Self::CrestOne,
        Self::CrestBoth,
        Self::Exchanged,
        Self::Neighbour,
        Self::TypedTwice,
        Self::NominalSwapped,
        Self::NominalOff,
        Self::NominalSize,
        Self::Bump,
        Self::BumpHalfway,
        Self::Drift,
        Self::Probe,
        Self::Tilt,
        Self::Warm,
        Self::WrongTurn,
        Self::OnItsHead,
        Self::Inches,
    ];

    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Tenths => "tenths digit mistyped",
            Self::Hundredths => "hundredths digit mistyped",
            Self::Transposed => "two digits transposed",
            Self::Missing => "a digit missing",
            Self::Burr => "burr on one touch",
            Self::CrestOne => "beside the crest, one touch",
            Self::CrestBoth => "beside the crest, both",
            Self::Exchanged => "equal holes in one row exchanged",
            Self::Neighbour => "equal neighbour touched",
            Self::TypedTwice => "row typed twice",
            Self::NominalSwapped => "nominal x and y transposed",
            Self::NominalOff => "nominal off by 0.1 to 1",
            Self::NominalSize => "nominal size transposed",
            Self::Bump => "zero bumped",
            Self::BumpHalfway => "zero bumped halfway",
            Self::Drift => "zero drifts",
            Self::Probe => "probe constant off 0.01 to 0.1",
            Self::Tilt => "part not seated",
            Self::Warm => "10 K warm, not said",
            Self::WrongTurn => "symmetric pattern, wrong turn",
            Self::OnItsHead => "part on its head",
            Self::Inches => "orientation read in inches",
        }
    }
}

/// A job, the same with a mistake in it, and where that is; nothing said of a place means all.
pub(crate) struct Pair {
    pub(crate) clean: Job,
    pub(crate) spoilt: Job,
    pub(crate) orientation: Option<u32>,
    /// Indices into the drawing.
    pub(crate) features: Vec<usize>,
    /// Holes of the clean job that really are outside their zones: indices into the drawing.
    pub(crate) outside: Vec<usize>,
}

/// Where a mistake is made.
struct At<'a> {
    small: &'a SmallJob,
    rng: &'a mut Random,
    orientation: u32,
    hole: usize,
}

impl At<'_> {
    fn reading<'j>(&self, job: &'j mut Job, hole: usize) -> &'j mut Reading {
        let number = (hole + 1).to_string();
        let readings = job.pieces[0].readings.iter_mut();
        let mut all = readings.filter(|r| r.orientation == self.orientation);
        all.find(|r| r.feature == number).unwrap()
    }

    /// Another hole of the same size in the same row, as the orientation sees it.
    fn other_in_row(&self) -> Option<usize> {
        let (holes, axis) = (&self.small.holes, self.small.axis(self.orientation));
        let here = &holes[self.hole];
        let like = |h: usize| {
            let there = &holes[h];
            h != self.hole
                && (there.limits[0] - here.limits[0]).abs() < 1e-9
                && (there.at[axis] - here.at[axis]).abs() < 1e-9
        };
        (0..holes.len()).find(|h| like(*h))
    }

    /// Changes all heights of the orientation, given their place in the order of touching from 0 to 1
    /// and the coordinate across.
    fn heights(&self, job: &mut Job, by: impl Fn(f64, f64) -> f64) {
        let count = self.small.holes.len() as f64 - 1.0;
        let across = 1 - self.small.axis(self.orientation);
        for (i, h) in self.small.holes.iter().enumerate() {
            let by = by(i as f64 / count, h.at[across]);
            let reading = self.reading(job, i);
            for touch in [Touch::Low, Touch::High] {
                change(reading, touch, |v| v + by);
            }
        }
    }

    fn end(&self, job: &mut Job, by: f64) {
        let checks = job.pieces[0].zero_checks.iter_mut();
        for check in checks.filter(|c| c.orientation == self.orientation) {
            check.end = rounded(check.end.0 + by);
        }
    }

    /// A digit of one touch of the hole typed otherwise.
    fn type_wrongly(
        &mut self,
        job: &mut Job,
        wrongly: impl Fn(&mut Random, &str) -> Option<String>,
    ) -> bool {
        let touch = [Touch::Low, Touch::High][self.rng.below(2)];
        let was = self.reading(job, self.hole).values(touch)[0];
        let text = format!("{:.3}", was.0);
        for _ in 0..50 {
            let typed = wrongly(self.rng, &text).and_then(|t| t.parse::<f64>().ok());
            if let Some(typed) = typed.filter(|t| (t - was.0).abs() > 1e-9) {
                change(self.reading(job, self.hole), touch, |_| typed);
                return true;
            }
        }
        false
    }
}

fn rounded(mm: f64) -> Figure {
    super::shown(mm, SmallJob::errors().step, Unit::Mm)
}

fn change(reading: &mut Reading, touch: Touch, by: impl Fn(f64) -> f64) {
    for value in reading.values_mut(touch) {
        *value = rounded(by(value.0));
    }
}

/// Another digit at this place behind the point.
fn other_digit(rng: &mut Random, text: &str, place: usize) -> Option<String> {
    let at = text.find('.')? + place;
    let digit = char::from(b'0' + u8::try_from(rng.below(10)).ok()?);
    let mut all: Vec<char> = text.chars().collect();
    *all.get_mut(at)? = digit;
    Some(all.into_iter().collect())
}

/// Two digits side by side exchanged.
fn transposed(rng: &mut Random, text: &str) -> Option<String> {
    let mut all: Vec<char> = text.chars().collect();
    let places: Vec<usize> = (0..all.len()).filter(|i| all[*i].is_ascii_digit()).collect();
    let k = rng.below(places.len() - 1);
    all.swap(places[k], places[k + 1]);
    Some(all.into_iter().collect())
}

/// A digit left out.
fn shortened(rng: &mut Random, text: &str) -> Option<String> {
    let places: Vec<usize> = text.char_indices().filter(|c| c.1 != '.').map(|c| c.0).collect();
    let mut all = text.to_owned();
    all.remove(places[rng.below(places.len())]);
    Some(all)
}

/// The mistake in this job; `None` where it cannot be made.
pub(crate) fn make(mistake: Small, small: &SmallJob, seed: u64) -> Option<Pair> {
    let clean = small.measured();
    let mut job = clean.clone();
    let mut rng = Random::far_apart(seed ^ 0x00BA_D5EE);
    let orientations = small.part.job.plan.orientations.len();
    let orientation = u32::try_from(1 + rng.below(orientations)).ok()?;
    let hole = rng.below(small.holes.len());
    let by = rng.sign() * rng.range(0.02, 0.2);
    let mut at = At { small, rng: &mut rng, orientation, hole };
    let mut features = vec![small.feature(hole)];
    let mut everywhere = false;
    match mistake {
        Small::Tenths => at.type_wrongly(&mut job, |r, t| other_digit(r, t, 1)).then_some(())?,
        Small::Hundredths => at.type_wrongly(&mut job, |r, t| other_digit(r, t, 2)).then_some(())?,
        Small::Transposed => at.type_wrongly(&mut job, transposed).then_some(())?,
        Small::Missing => at.type_wrongly(&mut job, shortened).then_some(())?,
        Small::Burr => {
            let low = at.rng.chance(0.5);
            let reading = at.reading(&mut job, hole);
            let (touch, by) = if low { (Touch::Low, by.abs()) } else { (Touch::High, -by.abs()) };
            change(reading, touch, |v| v + by);
        }
        Small::CrestOne | Small::CrestBoth => {
            let (a, b) = (at.rng.range(0.01, 0.15), at.rng.range(0.01, 0.15));
            let both = mistake == Small::CrestBoth;
            let low = both || at.rng.chance(0.5);
            let reading = at.reading(&mut job, hole);
            if low {
                change(reading, Touch::Low, |v| v + a);
            }
            if both || !low {
                change(reading, Touch::High, |v| v - b);
            }
        }
        Small::Exchanged | Small::Neighbour | Small::TypedTwice => {
            let other = at.other_in_row()?;
            let [own, theirs] = [hole, other].map(|h| at.reading(&mut job, h).clone());
            let here = at.reading(&mut job, hole);
            (here.low, here.high) = (theirs.low, theirs.high);
            if mistake == Small::Exchanged {
                let there = at.reading(&mut job, other);
                (there.low, there.high) = (own.low, own.high);
                features.push(small.feature(other));
            } else if mistake == Small::Neighbour {
                // Touched anew.
                let again = [0, 1].map(|_| at.rng.within(SmallJob::errors().limit));
                let reading = at.reading(&mut job, hole);
                change(reading, Touch::Low, |v| v + again[0]);
                change(reading, Touch::High, |v| v + again[1]);
            }
        }
        Small::NominalSwapped | Small::NominalOff => {
            everywhere = true;
            let k = at.rng.below(2);
            let off = at.rng.sign() * (at.rng.range(0.1, 1.0) * 100.0).round() / 100.0;
            let f = job.drawn(&(hole + 1).to_string());
            if mistake == Small::NominalSwapped {
                if (f.x?.0 - f.y?.0).abs() < 1e-9 {
                    return None;
                }
                (f.x, f.y) = (f.y, f.x);
            } else {
                let value = if k == 0 { &mut f.x } else { &mut f.y };
                *value = value.map(|v| Figure(v.0 + off));
            }
        }
        Small::NominalSize => {
            everywhere = true;
            let [lower, upper] = small.holes[hole].limits;
            let text = format!("{lower:.2}");
            let wrong = (0..50)
                .filter_map(|_| transposed(at.rng, &text)?.parse::<f64>().ok())
                .find(|v| (v - lower).abs() > 1e-9 && *v > 0.0)?;
            job.drawn(&(hole + 1).to_string()).size =
                Some(quarterturn_core::job::SizeLimits::Limits {
                    lower: Figure(wrong),
                    upper: Figure(wrong + upper - lower),
                });
        }
        Small::Bump => {
            at.heights(&mut job, |_, _| by);
            at.end(&mut job, by);
            features.clear();
        }
        Small::BumpHalfway => {
            let from = at.rng.range(0.3, 0.7);
            at.heights(&mut job, |when, _| if when > from { by } else { 0.0 });
            at.end(&mut job, by);
            features.clear();
        }
        Small::Drift => {
            at.heights(&mut job, |when, _| when * by);
            at.end(&mut job, by);
            features.clear();
        }
        Small::Tilt => {
            let across = 1 - small.axis(orientation);
            let length = small.extent[across];
            at.heights(&mut job, |_, at| by * at / length);
            for sweep in job.pieces[0].sweeps.iter_mut().filter(|s| s.orientation == orientation) {
                sweep.highest = rounded(sweep.highest.0 + by.abs());
            }
            features.clear();
        }
        Small::Probe => {
            everywhere = true;
            let off = at.rng.sign() * at.rng.range(0.01, 0.1);
            job.gauge().probe = Probe::Constant(Figure(BALL + off));
            features.clear();
        }
        Small::Warm => {
            everywhere = true;
            let grown = 1.0 + 11.5e-6 * 10.0;
            for reading in &mut job.pieces[0].readings {
                for touch in [Touch::Low, Touch::High] {
                    change(reading, touch, |v| v * grown);
                }
            }
            features.clear();
        }
        Small::WrongTurn | Small::OnItsHead => {
            let wrong = if mistake == Small::WrongTurn {
                small.measured_as(&small.turned())
            } else {
                let mut part = small.part.clone();
                for (i, _) in small.holes.iter().enumerate() {
                    let truth = part.truth_of(&(i + 1).to_string());
                    truth.at = [0, 1].map(|k| small.extent[k] - truth.at[k]);
                }
                small.measured_as(&part)
            };
            for (reading, wrong) in job.pieces[0].readings.iter_mut().zip(&wrong.pieces[0].readings)
            {
                if reading.orientation == orientation {
                    reading.clone_from(wrong);
                }
            }
            features.clear();
        }
        Small::Inches => {
            for reading in &mut job.pieces[0].readings {
                if reading.orientation == orientation {
                    for touch in [Touch::Low, Touch::High] {
                        for value in reading.values_mut(touch) {
                            *value = Figure((value.0 / 25.4 * 1e4).round() / 1e4);
                        }
                    }
                }
            }
            features.clear();
        }
    }
    let orientation = (!everywhere).then_some(orientation);
    let outside = small.outside();
    Some(Pair { clean, spoilt: job, orientation, features, outside })
}
