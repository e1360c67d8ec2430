//! Random parts, gauges with errors, and ways to stand on the plate. All of it follows from a seed.

use crate::build::{self, Truth, face_on};
use crate::random::Random;
use crate::simulate::{self, Errors};
use quarterturn_core::bench::Guess;
use quarterturn_core::job::{
    Blocks, Callout, DatumRef, Feature, Instrument, Job, Kind, Modifier, Orientation, Piece,
    Position, Probe, Reading, Rest, SizeLimits, Taken, Zero, ZeroCheck,
};
use quarterturn_core::quantity::{Axis, Figure, Side, Unit};
use std::f64::consts::PI;

/// The gauge. Lengths in millimetres.
#[derive(Clone, Debug)]
pub(crate) struct Gauge {
    pub(crate) unit: Unit,
    pub(crate) step: f64,
    /// Error of the scale, uniform in ± this; none is stated and none is made where absent.
    pub(crate) limit: Option<f64>,
    /// Standard deviation of a single touch.
    pub(crate) sigma: f64,
    /// Whether the plan knows it.
    pub(crate) sigma_stated: bool,
    /// Diameter of the ball; zero where the gauge takes it into account itself.
    pub(crate) ball: f64,
    pub(crate) repeats: usize,
}

impl Gauge {
    fn any(rng: &mut Random) -> Self {
        let inch = rng.chance(0.3);
        let unit = if inch { Unit::Inch } else { Unit::Mm };
        let (step, limits) =
            if inch { (0.000_05 * 25.4, [0.000_1, 0.000_2]) } else { (0.001, [0.002, 0.004]) };
        let limit = rng.chance(0.8).then(|| limits[rng.below(2)] * unit.in_mm());
        let sigma = rng.range(0.0004, 0.0012);
        let repeats = [1, 1, 1, 2, 3, 3][rng.below(6)];
        Self {
            unit,
            step,
            limit,
            sigma,
            sigma_stated: limit.is_none() || rng.chance(0.6),
            ball: if rng.chance(0.5) { (rng.range(0.8, 6.0) * 1e4).round() / 1e4 } else { 0.0 },
            repeats,
        }
    }

    /// Standard uncertainty of a single touch.
    pub(crate) fn standard(&self) -> f64 {
        let (a, r) = (self.limit.unwrap_or(0.0), self.step);
        (a * a / 3.0 + r * r / 12.0 + self.sigma * self.sigma).sqrt()
    }

    fn errors(&self) -> Errors {
        Errors {
            scatter: self.sigma,
            limit: self.limit.unwrap_or(0.0),
            repeats: self.repeats,
            step: self.step,
            ..Errors::NONE
        }
    }

    /// What the plan says of it, with the ball as the probe constant.
    pub(crate) fn described(&self) -> Instrument {
        let mm = self.unit.in_mm();
        let figure = |v: f64| Figure((v / mm * 1e8).round() / 1e8);
        Instrument {
            name: "Height gauge".to_owned(),
            unit: self.unit,
            resolution: figure(self.step),
            error_limit: self.limit.map(figure),
            repeatability: self.sigma_stated.then(|| Figure(self.sigma / mm)),
            probe: if self.ball > 0.0 {
                Probe::Constant(Figure(self.ball / mm))
            } else {
                Probe::AppliedByGauge
            },
            ..Instrument::default()
        }
    }
}

/// A feature with what it is and what it should be.
#[derive(Clone, Debug)]
pub(crate) struct Made {
    pub(crate) asked: Feature,
    /// True x and y.
    pub(crate) at: [f64; 2],
    /// True size along X and along Y.
    pub(crate) size: [f64; 2],
    /// Basic x and y.
    pub(crate) basic: [f64; 2],
    /// Nominal size.
    nominal: f64,
    /// Tolerances of size and position, lower limit of size.
    asked_for: [f64; 3],
}

impl Made {
    pub(crate) fn seen(&self, degrees: f64) -> bool {
        match self.asked.across {
            None => true,
            Some(axis) => Side::from_degrees(degrees).is_some_and(|s| s.axis() == axis),
        }
    }
}

/// What reads zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum ZeroAt {
    Plate,
    /// The face that looks up, touched from above.
    Top,
    /// The centre of the feature with this index.
    Feature(usize),
}

/// One way to stand. Lengths in millimetres.
#[derive(Clone, Debug)]
pub(crate) struct Stand {
    /// What the plan says is up.
    pub(crate) up: f64,
    /// What really is.
    pub(crate) truly_up: f64,
    pub(crate) blocks: f64,
    pub(crate) blocks_known: bool,
    pub(crate) rests_on_feature: bool,
    pub(crate) zero: ZeroAt,
    pub(crate) taken: Taken,
    /// Features that count from another one.
    pub(crate) own_zero: Vec<(usize, usize)>,
    /// What the zero reads in the end.
    pub(crate) check: Option<f64>,
}

/// A part, a gauge, ways to stand.
#[derive(Clone, Debug)]
pub(crate) struct Bench {
    pub(crate) unit: Unit,
    /// Basic width and height.
    pub(crate) extent: [f64; 2],
    /// By how much the right and the top edge are off; left and bottom make the frame.
    pub(crate) edges_off: [f64; 2],
    pub(crate) features: Vec<Made>,
    pub(crate) gauge: Gauge,
    pub(crate) stands: Vec<Stand>,
    pub(crate) noise: Random,
}

impl Bench {
    /// Some part, gauge and plan. `redundant`: three orientations or more.
    pub(crate) fn any(seed: u64, redundant: bool) -> Self {
        let mut rng = Random::far_apart(seed);
        let unit = if rng.chance(0.3) { Unit::Inch } else { Unit::Mm };
        let mut gauge = Gauge::any(&mut rng);
        // Mostly gauge and drawing speak the same unit.
        if gauge.unit != unit && rng.chance(0.8) {
            gauge = loop {
                let other = Gauge::any(&mut rng);
                if other.unit == unit {
                    break other;
                }
            };
        }
        let grid = grid(unit);
        let extent = [0, 1].map(|_| on(rng.range(60.0, 300.0), grid));
        let features = features(&mut rng, unit, extent, gauge.standard());
        let edges_off = [rng.within(0.05), rng.within(0.05)];
        let mut bench = Self {
            unit,
            extent,
            edges_off,
            features,
            gauge,
            stands: Vec::new(),
            noise: Random::far_apart(seed ^ 0x00C0_FFEE),
        };
        bench.stands = bench.stand(&mut rng, redundant);
        bench
    }

    fn stand(&self, rng: &mut Random, redundant: bool) -> Vec<Stand> {
        // The datum edge of each axis lies on the plate, or looks up and reads zero.
        let mut first = [[90.0, 270.0], [0.0, 180.0]].map(|[on, over]| {
            let turned = rng.chance(0.3);
            let (up, zero) = if turned { (over, ZeroAt::Top) } else { (on, ZeroAt::Plate) };
            self.way(rng, up, zero)
        });
        if rng.chance(0.2) {
            first.reverse();
        }
        let mut stands = first.to_vec();
        let more = if redundant { 1 + rng.below(3) } else { 0 };
        for _ in 0..more {
            let oblique = [30.0, 37.5, 45.0, 60.0, 120.0, 225.0, 322.5];
            let up = if rng.chance(0.25) {
                oblique[rng.below(oblique.len())]
            } else {
                [0.0, 90.0, 180.0, 270.0][rng.below(4)]
            };
            let round: Vec<usize> = (0..self.features.len())
                .filter(|i| self.features[*i].asked.kind.is_round())
                .collect();
            let zero = match (Side::from_degrees(up), rng.below(3)) {
                (_, 0) if !round.is_empty() => ZeroAt::Feature(round[rng.below(round.len())]),
                (Some(Side::MinusX | Side::MinusY), 1) => ZeroAt::Top,
                _ => ZeroAt::Plate,
            };
            let mut way = self.way(rng, up, zero);
            if Side::from_degrees(up).is_none() {
                // On a sine bar nobody knows how high.
                way.blocks = rng.range(10.0, 60.0);
                way.blocks_known = false;
                way.rests_on_feature = false;
            }
            stands.push(way);
        }
        // Somebody counts from another hole.
        if rng.chance(0.15) {
            let k = rng.below(stands.len());
            let round: Vec<usize> = (0..self.features.len())
                .filter(|i| self.features[*i].asked.kind.is_round())
                .filter(|i| stands[k].zero != ZeroAt::Feature(*i))
                .collect();
            if round.len() > 1 {
                let (a, b) = (rng.below(round.len()), rng.below(round.len()));
                if a != b {
                    stands[k].own_zero.push((round[a], round[b]));
                }
            }
        }
        stands
    }

    fn way(&self, rng: &mut Random, up: f64, zero: ZeroAt) -> Stand {
        // Over the edge that is no datum some write down the blocks and some do not: the width of
        // the part is off in any case.
        let datum_below = up < 135.0;
        let lies = rng.chance(0.6);
        let blocks = if lies { 0.0 } else { on(rng.range(10.0, 100.0), grid(self.gauge.unit)) };
        Stand {
            up,
            truly_up: up,
            blocks,
            blocks_known: zero != ZeroAt::Plate || datum_below || rng.chance(0.5),
            rests_on_feature: rng.chance(0.7),
            zero,
            taken: if rng.chance(0.75) { Taken::Touches } else { Taken::CentreAndSize },
            own_zero: Vec::new(),
            check: rng.chance(0.4).then(|| rng.within(2.0) * self.gauge.sigma),
        }
    }

    pub(crate) fn tightest(&self) -> f64 {
        self.features
            .iter()
            .flat_map(|f| {
                let size = f.asked.size.unwrap().limits(self.unit).unwrap().tolerance().to_mm();
                let position = f.asked.position().map(|p| p.tolerance.length(self.unit).to_mm());
                [Some(size), position].into_iter().flatten()
            })
            .fold(f64::MAX, f64::min)
    }

    /// Whether the feature of this number truly is as far from its place, along one of the axes, as `guess`
    /// says of it.
    pub(crate) fn is_out(&self, guess: &Guess, number: &str) -> bool {
        let Guess::PlaceAlone { allowed, .. } = guess else { return false };
        let all = self.features.iter().enumerate();
        let mut of = all.filter(|(i, _)| Self::number(*i) == number);
        let far = |f: &Made| (0..2).map(|k| (f.at[k] - f.basic[k]).abs()).fold(0.0, f64::max);
        of.next().is_some_and(|(_, f)| far(f) > allowed.to_mm())
    }

    pub(crate) fn number(index: usize) -> String {
        format!("{}", index + 1)
    }

    /// The part as the drawing has it, and as it really is; without a plan.
    fn part(&self) -> build::Part {
        let mm = self.unit.in_mm();
        let mut part = build::Part::plate(self.unit, self.extent.map(|v| v / mm)).with(|job| {
            job.drawing.decimals = 4;
            job.plan.instruments = vec![self.gauge.described()];
            job.plan.orientations.clear();
        });
        for (number, at) in ["D", "E"].into_iter().zip(0..) {
            part.truth_of(number).at[at] += self.edges_off[at];
        }
        for (i, f) in self.features.iter().enumerate() {
            part.job.drawing.features.push(f.asked.clone());
            part.truth.insert(Self::number(i), Truth { at: f.at, size: f.size });
        }
        part
    }

    /// The job that comes of measuring this.
    pub(crate) fn measured(&self) -> Job {
        let mut noise = self.noise.clone();
        let mut part = self.part();
        let mut piece = Piece { serial: "1".to_owned(), ..Piece::default() };
        for (number, stand) in (1..).zip(&self.stands) {
            let orientation = self.orientation(number, stand);
            piece.readings.extend(self.readings(&part, &orientation, stand, &mut noise));
            if let Some(end) = stand.check {
                let end = simulate::shown(end, self.gauge.step, self.gauge.unit);
                piece.zero_checks.push(ZeroCheck { orientation: number, end });
            }
            part.job.plan.orientations.push(orientation);
        }
        part.job.pieces = vec![piece];
        part.job
    }

    fn orientation(&self, number: u32, stand: &Stand) -> Orientation {
        let side = Side::from_degrees(stand.up);
        let below = side.map(Side::opposite).filter(|_| stand.rests_on_feature);
        Orientation {
            number,
            up_degrees: stand.up,
            rest: Rest {
                face: below.map(|s| face_on(s).to_owned()),
                blocks: if stand.blocks_known {
                    Blocks::High(Figure(stand.blocks / self.gauge.unit.in_mm()))
                } else {
                    Blocks::UNKNOWN
                },
            },
            zero: match stand.zero {
                ZeroAt::Plate => Zero::Plate,
                ZeroAt::Top => Zero::Feature(face_on(side.unwrap()).to_owned()),
                ZeroAt::Feature(f) => Zero::Feature(Self::number(f)),
            },
            taken: stand.taken,
            instrument: 0,
            find_angle: false,
        }
    }

    /// The gauge before the part as it really stands; its zero is touched like everything else.
    fn set_up(
        &self,
        part: &build::Part,
        planned: &Orientation,
        stand: &Stand,
        noise: &mut Random,
    ) -> simulate::Gauge {
        let side = Side::from_degrees(stand.truly_up);
        // What is touched at the zero is what really is on top.
        let zero = match (&planned.zero, stand.zero, side) {
            (_, ZeroAt::Top, Some(side)) => Zero::Feature(face_on(side).to_owned()),
            (zero, ..) => zero.clone(),
        };
        let really = simulate::Stand {
            up: stand.truly_up,
            on: side.map(Side::opposite),
            blocks: stand.blocks,
            ball: self.gauge.ball,
        };
        let planned = Orientation { zero, rest: Rest::default(), ..planned.clone() };
        let mut gauge = simulate::Gauge::before(part, &planned, really, self.gauge.errors());
        gauge.zero += noise.normal() * self.gauge.sigma;
        gauge
    }

    fn readings(
        &self,
        part: &build::Part,
        planned: &Orientation,
        stand: &Stand,
        noise: &mut Random,
    ) -> Vec<Reading> {
        let (sigma, limit) = (self.gauge.sigma, self.gauge.limit.unwrap_or(0.0));
        let gauge = self.set_up(part, planned, stand, noise);
        let mut list = Vec::new();
        // The face that looks up, where it can be touched and is not what reads zero.
        let sides = [stand.truly_up, stand.up].map(Side::from_degrees);
        if let [Some(top), Some(stated)] = sides
            && stand.zero != ZeroAt::Top
            && noise.chance(0.7)
        {
            let truth = &part.truth[face_on(top)];
            let face = part.job.feature(face_on(top)).unwrap();
            let reading = gauge.read(face, truth, stand.taken, noise);
            list.push(Reading { feature: face_on(stated).to_owned(), ..reading });
        }
        for (i, f) in self.features.iter().enumerate() {
            if !f.seen(stand.up) || stand.zero == ZeroAt::Feature(i) {
                continue;
            }
            let own = stand.own_zero.iter().find(|(of, _)| *of == i).map(|(_, from)| *from);
            let mut gauge = gauge;
            if let Some(from) = own {
                let error = (noise.normal() * sigma + noise.within(limit))
                    * std::f64::consts::FRAC_1_SQRT_2;
                gauge.zero = gauge.height(self.features[from].at) + error;
            }
            let truth = &part.truth[&Self::number(i)];
            let reading = gauge.read(&f.asked, truth, stand.taken, noise);
            list.push(Reading {
                zero: own.map(|from| Zero::Feature(Self::number(from))),
                ..reading
            });
        }
        list.iter_mut().for_each(|r| r.orientation = planned.number);
        list
    }
}

/// The grid of basic dimensions, in millimetres.
fn grid(unit: Unit) -> f64 {
    match unit {
        Unit::Mm => 0.5,
        Unit::Inch => 0.025 * 25.4,
    }
}

fn on(value: f64, grid: f64) -> f64 {
    (value / grid).round() * grid
}

fn features(rng: &mut Random, unit: Unit, extent: [f64; 2], standard: f64) -> Vec<Made> {
    let mm = unit.in_mm();
    let fine = if unit == Unit::Mm { 0.001 } else { 0.000_1 * 25.4 };
    let up_to = |value: f64| (value / fine).ceil() * fine;
    let count = 3 + rng.below(10);
    let symmetric = rng.chance(0.2);
    let corner = [rng.range(0.12, 0.3), rng.range(0.12, 0.3)];
    let mut list: Vec<Made> = Vec::new();
    let mut tries = 0;
    while list.len() < count && tries < 400 {
        tries += 1;
        let kinds = [Kind::Hole, Kind::Hole, Kind::Hole, Kind::Hole, Kind::Hole, Kind::Boss];
        let mut kind = match rng.below(8) {
            6 => Kind::Slot,
            7 => [Kind::Tab, Kind::Hole][rng.below(2)],
            k => kinds[k],
        };
        let i = list.len();
        let mut basic = [0, 1].map(|a| on(rng.range(0.1, 0.9) * extent[a], grid(unit)));
        if symmetric && i < 4 {
            kind = Kind::Hole;
            basic = [0, 1].map(|a| {
                let c = on(corner[a] * extent[a], grid(unit));
                if (i >> a) & 1 == 0 { c } else { extent[a] - c }
            });
        } else if i > 0 && rng.chance(0.4) {
            // In one row or column with another.
            let a = rng.below(2);
            basic[a] = list[rng.below(i)].basic[a];
        }
        // Most holes of a pattern are alike.
        let like = list.iter().find(|f| f.asked.kind == kind).filter(|_| rng.chance(0.7)).cloned();
        let nominal = on(rng.range(4.0, 20.0), grid(unit));
        let nominal = like.as_ref().map_or(nominal, |f| f.nominal);
        let apart = |f: &Made| libm::hypot(f.basic[0] - basic[0], f.basic[1] - basic[1]);
        if list.iter().any(|f| apart(f) < 0.5 * (f.size[0] + nominal) + 1.0)
            && !(symmetric && i < 4)
        {
            continue;
        }
        let asked_size = up_to(rng.range(0.02, 0.15).max(26.0 * standard));
        let asked = up_to(rng.range(0.05, 0.3).max(45.0 * standard));
        let lower = nominal + up_to(rng.within(0.1));
        let [asked_size, asked, lower] =
            like.as_ref().map_or([asked_size, asked, lower], |f| f.asked_for);
        let middle = lower + asked_size / 2.0;
        let far = if rng.chance(0.9) { 0.45 } else { 0.9 } * asked * rng.unit().sqrt();
        let angle = rng.range(0.0, 2.0 * PI);
        let size = middle + rng.within(0.35) * asked_size;
        let oval = rng.within(0.002);
        let across = (!kind.is_round()).then(|| [Axis::X, Axis::Y][rng.below(2)]);
        let figure = |v: f64| Figure((v / mm * 1e7).round() / 1e7);
        list.push(Made {
            asked: Feature {
                number: Bench::number(i),
                kind,
                across,
                x: Some(figure(basic[0])),
                y: Some(figure(basic[1])),
                size: Some(SizeLimits::Limits {
                    lower: figure(lower),
                    upper: figure(lower + asked_size),
                }),
                callouts: vec![Callout::Position(Position {
                    tolerance: figure(asked),
                    modifier: [Modifier::None, Modifier::Mmc][rng.below(2)],
                    datums: DatumRef::all(&["A", "B", "C"]),
                    ..Position::default()
                })],
                ..Feature::default()
            },
            at: [basic[0] + far * libm::cos(angle), basic[1] + far * libm::sin(angle)],
            size: [size + oval, size - oval],
            basic,
            nominal,
            asked_for: [asked_size, asked, lower],
        });
    }
    list
}
