//! A simulated bench: parts that really are somewhere, gauges with a ball, noise and a scale of
//! their own, and ways to stand on the plate.
//!
//! All of it follows from a seed. Nothing of the program under test is used to make a reading:
//! the gauge's ball stops half its diameter over a surface that it touches from above, and half
//! under one that it touches from below.
#![allow(dead_code, reason = "each test uses its own part of this")]

use quarterturn_core::job::{
    Blocks, Callout, Datum, DatumRef, Drawing, FORMAT, Feature, Instrument, Job, Kind, Modifier,
    Orientation, Outline, Piece, Plan, Position, Probe, Reading, Rest, Shipment, SizeLimits, Taken,
    VERSION, Zero, ZeroCheck,
};
use quarterturn_core::quantity::{Axis, Figure, Side, Unit};
use std::f64::consts::PI;

/// Numbers that look like chance: Steele, Lea and Flood's splitmix64 (OOPSLA 2014).
#[derive(Clone, Debug)]
pub(crate) struct Rng(u64);

impl Rng {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0xD134_2543_DE82_EF95).wrapping_add(0x9E37_79B9_7F4A_7C15))
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 to below 1.
    #[allow(clippy::cast_precision_loss, reason = "53 bits are exact")]
    pub(crate) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn range(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.unit()
    }

    /// Uniform in ±a.
    pub(crate) fn within(&mut self, a: f64) -> f64 {
        self.range(-a, a)
    }

    /// Normal with mean 0 and standard deviation 1 (Box and Muller).
    pub(crate) fn normal(&mut self) -> f64 {
        let r = (-2.0 * libm::log(1.0 - self.unit())).sqrt();
        r * libm::cos(2.0 * PI * self.unit())
    }

    pub(crate) fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }

    /// From 0 to below n.
    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "small counts"
    )]
    pub(crate) fn below(&mut self, n: usize) -> usize {
        ((self.unit() * n as f64) as usize).min(n.saturating_sub(1))
    }

    pub(crate) fn sign(&mut self) -> f64 {
        if self.chance(0.5) { 1.0 } else { -1.0 }
    }
}

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
    fn any(rng: &mut Rng) -> Self {
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

    fn size_along(&self, u: [f64; 2]) -> f64 {
        (u[0] * u[0] * self.size[0] * self.size[0] + u[1] * u[1] * self.size[1] * self.size[1])
            .sqrt()
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
    pub(crate) noise: Rng,
}

pub(crate) const FACES: [(&str, Side); 4] =
    [("B", Side::MinusY), ("C", Side::MinusX), ("D", Side::PlusX), ("E", Side::PlusY)];

pub(crate) fn face_on(side: Side) -> &'static str {
    FACES.iter().find(|(_, s)| *s == side).map_or("", |(n, _)| n)
}

pub(crate) fn direction(degrees: f64) -> [f64; 2] {
    match Side::from_degrees(degrees) {
        Some(Side::PlusX) => [1.0, 0.0],
        Some(Side::PlusY) => [0.0, 1.0],
        Some(Side::MinusX) => [-1.0, 0.0],
        Some(Side::MinusY) => [0.0, -1.0],
        None => [libm::cos(degrees * PI / 180.0), libm::sin(degrees * PI / 180.0)],
    }
}

impl Bench {
    /// Some part, gauge and plan. `redundant`: three orientations or more.
    pub(crate) fn any(seed: u64, redundant: bool) -> Self {
        let mut rng = Rng::new(seed);
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
            noise: Rng::new(seed ^ 0x00C0_FFEE),
        };
        bench.stands = bench.stand(&mut rng, redundant);
        bench
    }

    fn stand(&self, rng: &mut Rng, redundant: bool) -> Vec<Stand> {
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

    fn way(&self, rng: &mut Rng, up: f64, zero: ZeroAt) -> Stand {
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

    /// True coordinate of an edge.
    fn edge(&self, side: Side) -> f64 {
        match side {
            Side::PlusX => self.extent[0] + self.edges_off[0],
            Side::PlusY => self.extent[1] + self.edges_off[1],
            Side::MinusX | Side::MinusY => 0.0,
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

    pub(crate) fn number(index: usize) -> String {
        format!("{}", index + 1)
    }

    fn drawing(&self) -> Drawing {
        let mm = self.unit.in_mm();
        let mut features: Vec<Feature> = FACES
            .iter()
            .map(|(number, side)| {
                let at = Some(Figure(match side {
                    Side::PlusX => self.extent[0] / mm,
                    Side::PlusY => self.extent[1] / mm,
                    Side::MinusX | Side::MinusY => 0.0,
                }));
                let is_x = side.axis() == Axis::X;
                Feature {
                    number: (*number).to_owned(),
                    kind: Kind::Face,
                    looks: Some(*side),
                    x: at.filter(|_| is_x),
                    y: at.filter(|_| !is_x),
                    ..Feature::default()
                }
            })
            .collect();
        features.extend(self.features.iter().map(|f| f.asked.clone()));
        let datum = |letter: &str, feature: Option<&str>| Datum {
            letter: letter.to_owned(),
            feature: feature.map(str::to_owned),
            what: String::new(),
            ..Default::default()
        };
        Drawing {
            unit: self.unit,
            decimals: 4,
            part_number: "SIMULATED".to_owned(),
            outline: Some(Outline {
                left: Figure(0.0),
                bottom: Figure(0.0),
                right: Figure(self.extent[0] / mm),
                top: Figure(self.extent[1] / mm),
            }),
            datums: vec![datum("A", None), datum("B", Some("B")), datum("C", Some("C"))],
            features,
            ..Drawing::default()
        }
    }

    /// The job that comes of measuring this.
    pub(crate) fn measured(&self) -> Job {
        let mut noise = self.noise.clone();
        let mut piece = Piece { serial: "1".to_owned(), ..Piece::default() };
        let mut orientations = Vec::new();
        let mm = self.gauge.unit.in_mm();
        for (i, stand) in self.stands.iter().enumerate() {
            let number = u32::try_from(i + 1).unwrap();
            let below = Side::from_degrees(stand.up).map(Side::opposite);
            orientations.push(Orientation {
                number,
                up_degrees: stand.up,
                rest: Rest {
                    face: below.filter(|_| stand.rests_on_feature).map(|s| face_on(s).to_owned()),
                    blocks: if stand.blocks_known {
                        Blocks::High(Figure(stand.blocks / mm))
                    } else {
                        Blocks::UNKNOWN
                    },
                },
                zero: match stand.zero {
                    ZeroAt::Plate => Zero::Plate,
                    ZeroAt::Top => {
                        Zero::Feature(face_on(Side::from_degrees(stand.up).unwrap()).to_owned())
                    }
                    ZeroAt::Feature(f) => Zero::Feature(Self::number(f)),
                },
                taken: stand.taken,
                instrument: 0,
                find_angle: false,
            });
            piece.readings.extend(self.readings(number, stand, &mut noise));
            if let Some(end) = stand.check {
                piece
                    .zero_checks
                    .push(ZeroCheck { orientation: number, end: Figure(self.shown(end)) });
            }
        }
        Job {
            format: FORMAT.to_owned(),
            version: VERSION,
            demo: false,
            drawing: self.drawing(),
            plan: Plan {
                instruments: vec![self.gauge.described()],
                orientations,
                ..Plan::default()
            },
            shipment: Shipment::default(),
            pieces: vec![piece],
            record: Vec::new(),
            piece_record: Vec::new(),
        }
    }

    /// As the display shows it, in the gauge's unit.
    fn shown(&self, mm: f64) -> f64 {
        let steps = (mm / self.gauge.step).round();
        // The decimal figure, and not its neighbour in binary.
        (steps * self.gauge.step / self.gauge.unit.in_mm() * 1e8).round() / 1e8
    }

    /// Height above the plate of a point.
    fn height(&self, stand: &Stand, at: [f64; 2]) -> f64 {
        let u = direction(stand.truly_up);
        let below = Side::from_degrees(stand.truly_up).map(Side::opposite);
        let lies = below.map_or(0.0, |s| self.edge(s) * s.opposite().sign());
        u[0] * at[0] + u[1] * at[1] - lies + stand.blocks
    }

    fn readings(&self, orientation: u32, stand: &Stand, noise: &mut Rng) -> Vec<Reading> {
        let gauge = &self.gauge;
        let half = gauge.ball / 2.0;
        let u = direction(stand.truly_up);
        let limit = gauge.limit.unwrap_or(0.0);
        let top = Side::from_degrees(stand.truly_up);
        let face_at = |side: Side| match side.axis() {
            Axis::X => [self.edge(side), 0.0],
            Axis::Y => [0.0, self.edge(side)],
        };
        // The zero is touched like everything else.
        let set = noise.normal() * gauge.sigma;
        let zero = set
            + match stand.zero {
                ZeroAt::Plate => half,
                ZeroAt::Top => top.map_or(0.0, |s| self.height(stand, face_at(s))) + half,
                ZeroAt::Feature(f) => self.height(stand, self.features[f].at),
            };
        let touch = |height: f64, from_above: bool, zero: f64, noise: &mut Rng| -> Vec<Figure> {
            let error = noise.within(limit);
            let at = if from_above { height + half } else { height - half };
            (0..gauge.repeats)
                .map(|_| Figure(self.shown(at - zero + error + noise.normal() * gauge.sigma)))
                .collect()
        };
        let mut list = Vec::new();
        // The face that looks up, where it can be got at and is not what reads zero.
        if let (Some(side), Some(stated)) = (top, Side::from_degrees(stand.up))
            && stand.zero != ZeroAt::Top
            && noise.chance(0.7)
        {
            let face = touch(self.height(stand, face_at(side)), true, zero, noise);
            list.push(Reading {
                orientation,
                feature: face_on(stated).to_owned(),
                face,
                ..Reading::default()
            });
        }
        for (i, f) in self.features.iter().enumerate() {
            if !f.seen(stand.up) || stand.zero == ZeroAt::Feature(i) {
                continue;
            }
            let own = stand.own_zero.iter().find(|(of, _)| *of == i).map(|(_, from)| *from);
            let zero = own.map_or(zero, |from| {
                let error = (noise.normal() * gauge.sigma + noise.within(limit))
                    * std::f64::consts::FRAC_1_SQRT_2;
                self.height(stand, self.features[from].at) + error
            });
            let centre = self.height(stand, f.at);
            let r = f.size_along(u) / 2.0;
            let inner = f.asked.kind.is_internal();
            let low = touch(centre - r, inner, zero, noise);
            let high = touch(centre + r, !inner, zero, noise);
            let mut reading = Reading {
                orientation,
                feature: Self::number(i),
                zero: own.map(|from| Zero::Feature(Self::number(from))),
                ..Reading::default()
            };
            match stand.taken {
                Taken::Touches => {
                    reading.low = low;
                    reading.high = high;
                }
                Taken::CentreAndSize => {
                    let pairs = || low.iter().zip(&high).map(|(l, h)| (l.0, h.0));
                    let mm = gauge.unit.in_mm();
                    let of = |v: f64| Figure(self.shown(v * mm));
                    reading.centre = pairs().map(|(l, h)| of((l + h) / 2.0)).collect();
                    reading.size = pairs().map(|(l, h)| of(h - l)).collect();
                }
            }
            list.push(reading);
        }
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

fn features(rng: &mut Rng, unit: Unit, extent: [f64; 2], standard: f64) -> Vec<Made> {
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
