//! Plates with six to sixteen holes for the simulation of small mistakes: holes up to 1.06 of their
//! zones, a gauge that errs by ±0.004 and shows 0.001, holes out of round by 0.003 (all in
//! millimetres).

use super::Errors;
use crate::build::{Ask, Build, Part, from, hole, position};
use crate::random::Random;
use quarterturn_core::job::{
    Instrument, Job, Modifier, Orientation, Piece, Probe, ProbeTrial, ProbeWay, Rest,
};
use quarterturn_core::job::{Sweep, ZeroCheck};
use quarterturn_core::quantity::{Axis, Figure, Side, Unit};

/// Diameter of the ball.
pub(crate) const BALL: f64 = 4.0;

/// How a job is measured, and what is checked beside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Plan {
    /// One orientation for each axis.
    Two,
    /// The same, with what no reading can show: the zero touched again at the end of each
    /// orientation, the probe constant tried, the top edge swept.
    TwoChecked,
    /// Each orientation and its opposite.
    Four,
}

impl Plan {
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Two => "two orientations",
            Self::TwoChecked => "two orientations and the checks that are asked for",
            Self::Four => "opposite orientations",
        }
    }
}

/// A hole of the drawing.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Drilled {
    pub(crate) at: [f64; 2],
    pub(crate) limits: [f64; 2],
}

/// A plate that can be measured again and again, always with the same errors.
#[derive(Clone, Debug)]
pub(crate) struct SmallJob {
    pub(crate) part: Part,
    pub(crate) plan: Plan,
    pub(crate) extent: [f64; 2],
    /// The holes, number 1 first.
    pub(crate) holes: Vec<Drilled>,
    seed: u64,
}

/// Standard deviation of how much longer a hole is along X than along Y.
const OUT_OF_ROUND: f64 = 0.003;

impl SmallJob {
    /// Some plate. `symmetric`: turned by half a turn its holes lie on holes of the same size again.
    pub(crate) fn any(seed: u64, plan: Plan, symmetric: bool) -> Self {
        let mut rng = Random::far_apart(seed);
        let extent = [0, 1].map(|_| 5.0 * (rng.range(16.0, 48.0)).round());
        let mut holes = drilled(&mut rng, extent, symmetric);
        // In the order in which somebody wrote them down.
        for i in (1..holes.len()).rev() {
            holes.swap(i, rng.below(i + 1));
        }
        let zone = (rng.range(0.08, 0.3) * 1e3).round() / 1e3;
        let at_mmc = rng.chance(0.5);
        let mut part = Part::plate(Unit::Mm, extent).with(|job| {
            job.gauge_errs_by(0.004);
            job.gauge().probe = Probe::Constant(Figure(BALL));
            job.gauge().probe_standard = Some(Figure(0.001));
        });
        for (number, h) in (1..).zip(&holes) {
            let [lower, upper] = h.limits;
            let size = 0.5 * (lower + upper) + rng.within(0.4) * (upper - lower);
            let bonus = if at_mmc { size - lower } else { 0.0 };
            let far = 1.06 * 0.5 * (zone + bonus) * rng.unit().sqrt();
            let angle = rng.range(0.0, std::f64::consts::TAU);
            let oval = 0.5 * OUT_OF_ROUND * rng.normal();
            let asked = position(zone, &["A", "B", "C"]);
            let mut made = hole(&number.to_string(), h.at)
                .limits(lower, upper)
                .asked(if at_mmc { asked.at_mmc() } else { asked })
                .off([far * libm::cos(angle), far * libm::sin(angle)]);
            made.size = [size + oval, size - oval];
            part = part.put(made);
        }
        if plan == Plan::Four {
            part = part.with(|job| {
                for (number, up, over, datum) in
                    [(3, Side::MinusY, "E", "B"), (4, Side::MinusX, "D", "C")]
                {
                    job.plan.orientations.push(Orientation {
                        number,
                        up_degrees: up.degrees(),
                        rest: Rest { face: Some(over.to_owned()), ..Rest::default() },
                        zero: from(datum),
                        ..job.plan.orientations[0].clone()
                    });
                }
            });
        }
        Self { part, plan, extent, holes, seed }
    }

    pub(crate) const fn errors() -> Errors {
        Errors { limit: 0.004, step: 0.001, ..Errors::NONE }
    }

    /// Measures the part. The edges that are not datums are not touched.
    pub(crate) fn measured(&self) -> Job {
        self.measured_as(&self.part)
    }

    /// The same of another part that lies there.
    pub(crate) fn measured_as(&self, part: &Part) -> Job {
        let mut random = Random::far_apart(self.seed ^ 0x0051_5EED);
        let mut piece = part.measured_with(Self::errors(), &mut random);
        piece.readings.retain(|r| self.is_hole(&r.feature));
        let mut job = self.part.job.clone();
        if self.plan == Plan::TwoChecked {
            self.check(&mut job, &mut piece, &mut random);
        }
        job.pieces = vec![piece];
        job
    }

    fn is_hole(&self, number: &str) -> bool {
        number.parse::<usize>().is_ok_and(|n| n <= self.holes.len())
    }

    /// The checks, all well.
    fn check(&self, job: &mut Job, piece: &mut Piece, random: &mut Random) {
        let mut error = || random.within(Self::errors().limit);
        let shown = |mm: f64| super::shown(mm, Self::errors().step, Unit::Mm);
        for orientation in &job.plan.orientations {
            let end = shown(error() + error());
            piece.zero_checks.push(ZeroCheck { orientation: orientation.number, end });
            let top = if orientation.up_side() == Some(Side::PlusY) { "E" } else { "D" };
            let along = [error(), error(), error()];
            let by = |f: fn(f64, f64) -> f64, from: f64| shown(along.into_iter().fold(from, f));
            piece.sweeps.push(Sweep {
                orientation: orientation.number,
                feature: top.to_owned(),
                lowest: by(f64::min, f64::MAX),
                highest: by(f64::max, f64::MIN),
            });
        }
        let mut touched = |at: f64| (0..3).map(|_| shown(at + error())).collect();
        let trial = ProbeTrial {
            way: ProbeWay::Plane,
            down: touched(30.0),
            up: touched(30.0 - BALL),
            known_standard: None,
        };
        let gauge: &mut Instrument = job.gauge();
        gauge.probe_found = Some(trial);
    }

    /// Indices in the drawing of the holes that really are outside their zones, with the bonus of their
    /// smaller size.
    pub(crate) fn outside(&self) -> Vec<usize> {
        let drawn = &self.part.job.drawing.features;
        let is_outside = |index: &usize| {
            let truth = &self.part.truth[&(index + 1).to_string()];
            let hole = &self.holes[*index];
            let position = drawn[self.feature(*index)].position().unwrap();
            let bonus = match position.modifier {
                Modifier::Mmc => truth.size[0].min(truth.size[1]) - hole.limits[0],
                Modifier::None | Modifier::Lmc => 0.0,
            };
            let [dx, dy] = [0, 1].map(|k| truth.at[k] - hole.at[k]);
            2.0 * libm::hypot(dx, dy) > position.tolerance.0 + bonus.max(0.0)
        };
        (0..self.holes.len()).filter(is_outside).map(|i| self.feature(i)).collect()
    }

    /// The hole that half a turn about the middle of the plate takes to where this one is.
    pub(crate) fn mate(&self, index: usize) -> Option<usize> {
        let at = self.holes.get(index)?.at;
        let there = [0, 1].map(|k| self.extent[k] - at[k]);
        self.holes.iter().position(|h| (0..2).all(|k| (h.at[k] - there[k]).abs() < 1e-6))
    }

    /// The plate turned by half a turn, its holes named by where they then lie.
    pub(crate) fn turned(&self) -> Part {
        let mut part = self.part.clone();
        for i in 0..self.holes.len() {
            let Some(mate) = self.mate(i) else { continue };
            let mut truth = self.part.truth[&(mate + 1).to_string()];
            truth.at = [0, 1].map(|k| self.extent[k] - truth.at[k]);
            part.truth.insert((i + 1).to_string(), truth);
        }
        part
    }

    /// Index in the drawing of the hole with this index here.
    pub(crate) fn feature(&self, index: usize) -> usize {
        self.part.job.drawing.features.len() - self.holes.len() + index
    }

    /// The axis that an orientation measures: 0 or 1.
    pub(crate) fn axis(&self, orientation: u32) -> usize {
        let found = self.part.job.orientation(orientation).and_then(Orientation::up_side);
        usize::from(found.is_some_and(|side| side.axis() == Axis::Y))
    }
}

/// Six to sixteen holes of two or three sizes on a grid of 5, many in one row.
fn drilled(rng: &mut Random, extent: [f64; 2], symmetric: bool) -> Vec<Drilled> {
    let kinds: Vec<[f64; 2]> = (0..2 + rng.below(2))
        .map(|_| {
            let lower = (rng.range(5.0, 14.0) * 10.0).round() / 10.0;
            [lower, lower + (rng.range(0.04, 0.12) * 1e3).round() / 1e3]
        })
        .collect();
    let count = 6 + rng.below(11);
    let mut holes: Vec<Drilled> = Vec::new();
    for _ in 0..5000 {
        if holes.len() >= count {
            break;
        }
        let mut at = [0, 1].map(|k| 5.0 * (rng.range(0.12, 0.88) * extent[k] / 5.0).round());
        if !holes.is_empty() && rng.chance(0.6) {
            let k = rng.below(2);
            at[k] = holes[rng.below(holes.len())].at[k];
        }
        let limits = kinds[rng.below(kinds.len())];
        let mut new = vec![Drilled { at, limits }];
        if symmetric {
            new.push(Drilled { at: [0, 1].map(|k| extent[k] - at[k]), limits });
        }
        let apart =
            |a: &Drilled, b: &Drilled| libm::hypot(a.at[0] - b.at[0], a.at[1] - b.at[1]) > 16.0;
        let all: Vec<Drilled> = holes.iter().chain(&new).copied().collect();
        if all.iter().enumerate().all(|(i, a)| all[i + 1..].iter().all(|b| apart(a, b))) {
            holes = all;
        }
    }
    holes
}
