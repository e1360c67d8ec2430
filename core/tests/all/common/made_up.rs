//! A made-up part, and a height gauge that measures it.
//!
//! The part really is somewhere (`actual`) and the drawing says where it should be (`nominal`).
//! The gauge is simulated as a ball on an arm: touching from above, the ball's centre stops half
//! its diameter over the surface, touching from below half its diameter under it, and what is
//! shown is the height of the centre less what it was at the zero. Nothing of the program under
//! test is used to make a reading.

use proptest::prelude::*;
use quarterturn_core::job::{
    Blocks, Callout, Datum, DatumRef, Drawing, FORMAT, Feature, Instrument, Job, Kind, Modifier,
    Orientation, Outline, Piece, Plan, Position, Probe, Reading, Rest, Shipment, SizeLimits, Taken,
    VERSION, Zero,
};
use quarterturn_core::quantity::{Axis, Figure, Side, Unit};

/// One feature of size. Figures of the drawing in the drawing's unit, true ones in millimetres.
#[derive(Clone, Debug)]
pub(crate) struct Made {
    pub(crate) kind: Kind,
    pub(crate) across: Option<Axis>,
    pub(crate) nominal: [f64; 2],
    pub(crate) limits: [f64; 2],
    pub(crate) tolerance: f64,
    pub(crate) modifier: Modifier,
    /// True x and y, in millimetres.
    pub(crate) actual: [f64; 2],
    /// True size along X and along Y, in millimetres: holes are not quite round.
    pub(crate) size: [f64; 2],
}

impl Made {
    /// Whether it can be measured along this axis.
    pub(crate) fn seen_along(&self, axis: Axis) -> bool {
        self.kind.is_round() || self.across == Some(axis)
    }

    pub(crate) fn internal(&self) -> bool {
        matches!(self.kind, Kind::Hole | Kind::Slot)
    }
}

/// The part: a rectangle with its lower left corner at the frame's origin. Its edges are true.
#[derive(Clone, Debug)]
pub(crate) struct Part {
    pub(crate) unit: Unit,
    /// Width and height in the drawing's unit.
    pub(crate) extent: [f64; 2],
    pub(crate) features: Vec<Made>,
}

/// What the zero was set at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum ZeroAt {
    Plate,
    /// The edge face that looks up, touched from above.
    Top,
    /// The edge face that looks down, touched from below; where the part rests on it, what it
    /// rests on, touched from above.
    Underside,
    /// The centre of the feature with this index.
    Feature(usize),
}

/// One way to stand and to be measured. Lengths in millimetres.
#[derive(Clone, Debug)]
pub(crate) struct Stand {
    pub(crate) up: Side,
    pub(crate) rests_on_face: bool,
    pub(crate) blocks: f64,
    pub(crate) zero: ZeroAt,
    pub(crate) taken: Taken,
    pub(crate) unit: Unit,
    /// Diameter of the ball where the gauge does not take it into account itself.
    pub(crate) ball: Option<f64>,
    /// Three touches that scatter about the true value instead of one.
    pub(crate) repeats: bool,
}

pub(crate) fn index(axis: Axis) -> usize {
    match axis {
        Axis::X => 0,
        Axis::Y => 1,
    }
}

/// The face feature of each edge.
pub(crate) const FACES: [(&str, Side); 4] =
    [("B", Side::MinusY), ("C", Side::MinusX), ("D", Side::PlusX), ("E", Side::PlusY)];

fn face_on(side: Side) -> &'static str {
    FACES.iter().find(|(_, s)| *s == side).map_or("", |(n, _)| n)
}

impl Part {
    /// Coordinate of an edge along its own axis, in millimetres.
    fn edge(&self, side: Side) -> f64 {
        match side {
            Side::PlusX => self.extent[0] * self.unit.in_mm(),
            Side::PlusY => self.extent[1] * self.unit.in_mm(),
            Side::MinusX | Side::MinusY => 0.0,
        }
    }

    pub(crate) fn number(index: usize) -> String {
        format!("{}", index + 1)
    }

    /// The zero that can be had: one at a feature that is not seen along this axis becomes one
    /// at the plate.
    pub(crate) fn zero_of(&self, stand: &Stand) -> ZeroAt {
        match stand.zero {
            ZeroAt::Feature(i)
                if !self.features.get(i).is_some_and(|f| f.seen_along(stand.up.axis())) =>
            {
                ZeroAt::Plate
            }
            zero => zero,
        }
    }

    /// Whether the datum face of this axis (B below, C on the left) is known: it was touched, or it
    /// carried the part and the heights count from the plate or from the face itself.
    pub(crate) fn datum_is_known(&self, stand: &Stand) -> bool {
        let datum = [Side::MinusX, Side::MinusY][index(stand.up.axis())];
        let touched = !stand.rests_on_face || stand.up.opposite() != datum;
        touched || matches!(self.zero_of(stand), ZeroAt::Plate | ZeroAt::Underside)
    }

    /// By how much every coordinate along the axis is off where the datum is not known and it counts
    /// from what was set to zero, in millimetres along the axis.
    pub(crate) fn shift(&self, stand: &Stand) -> f64 {
        let i = index(stand.up.axis());
        match self.zero_of(stand) {
            ZeroAt::Feature(z) if !self.datum_is_known(stand) => {
                self.features[z].nominal[i] * self.unit.in_mm() - self.features[z].actual[i]
            }
            _ => 0.0,
        }
    }

    fn drawing(&self) -> Drawing {
        let [w, h] = self.extent;
        let mut features: Vec<Feature> = FACES
            .iter()
            .map(|(number, side)| {
                let at = Figure(match side {
                    Side::PlusX => w,
                    Side::PlusY => h,
                    Side::MinusX | Side::MinusY => 0.0,
                });
                Feature {
                    number: (*number).to_owned(),
                    kind: Kind::Face,
                    looks: Some(*side),
                    x: (side.axis() == Axis::X).then_some(at),
                    y: (side.axis() == Axis::Y).then_some(at),
                    ..Feature::default()
                }
            })
            .collect();
        features.extend(self.features.iter().enumerate().map(|(i, f)| Feature {
            number: Self::number(i),
            kind: f.kind,
            across: f.across,
            x: Some(Figure(f.nominal[0])),
            y: Some(Figure(f.nominal[1])),
            size: Some(SizeLimits::Limits {
                lower: Figure(f.limits[0]),
                upper: Figure(f.limits[1]),
            }),
            callouts: vec![Callout::Position(Position {
                tolerance: Figure(f.tolerance),
                modifier: f.modifier,
                datums: DatumRef::all(&["A", "B", "C"]),
                ..Position::default()
            })],
            ..Feature::default()
        }));
        let datum = |letter: &str, feature: Option<&str>| Datum {
            letter: letter.to_owned(),
            feature: feature.map(str::to_owned),
            what: String::new(),
            ..Default::default()
        };
        Drawing {
            unit: self.unit,
            decimals: 4,
            part_number: "MADE-UP".to_owned(),
            outline: Some(Outline {
                left: Figure(0.0),
                bottom: Figure(0.0),
                right: Figure(w),
                top: Figure(h),
            }),
            datums: vec![datum("A", None), datum("B", Some("B")), datum("C", Some("C"))],
            features,
            ..Drawing::default()
        }
    }

    /// The job that comes of measuring this part in these orientations, numbered from 1.
    pub(crate) fn measured(&self, stands: &[Stand]) -> Job {
        let mut plan = Plan::default();
        let mut readings = Vec::new();
        for (i, stand) in stands.iter().enumerate() {
            let number = u32::try_from(i + 1).unwrap();
            let gauge = Gauge::at(self, stand);
            plan.instruments.push(Instrument {
                name: format!("gauge {number}"),
                identification: String::new(),
                calibration_due: String::new(),
                unit: stand.unit,
                resolution: Figure(0.0001),
                probe: stand.ball.map_or(Probe::AppliedByGauge, |k| {
                    Probe::Constant(Figure(k / stand.unit.in_mm()))
                }),
                ..Instrument::default()
            });
            plan.orientations.push(Orientation {
                number,
                up_degrees: stand.up.degrees(),
                rest: Rest {
                    face: stand.rests_on_face.then(|| face_on(stand.up.opposite()).to_owned()),
                    blocks: Blocks::High(Figure(stand.blocks / stand.unit.in_mm())),
                },
                zero: match self.zero_of(stand) {
                    ZeroAt::Plate => Zero::Plate,
                    ZeroAt::Top => Zero::Feature(face_on(stand.up).to_owned()),
                    ZeroAt::Underside => Zero::Feature(face_on(stand.up.opposite()).to_owned()),
                    ZeroAt::Feature(i) => Zero::Feature(Self::number(i)),
                },
                taken: stand.taken,
                instrument: i,
                find_angle: false,
            });
            readings.extend(gauge.readings(number));
        }
        Job {
            format: FORMAT.to_owned(),
            version: VERSION,
            demo: false,
            drawing: self.drawing(),
            plan,
            shipment: Shipment::default(),
            pieces: vec![Piece { serial: "1".to_owned(), readings, ..Piece::default() }],
            record: Vec::new(),
            piece_record: Vec::new(),
        }
    }
}

/// The simulated gauge with its zero set.
struct Gauge<'a> {
    part: &'a Part,
    stand: &'a Stand,
    half_ball: f64,
    zero: f64,
}

impl<'a> Gauge<'a> {
    fn at(part: &'a Part, stand: &'a Stand) -> Self {
        let mut gauge = Self { part, stand, half_ball: stand.ball.unwrap_or(0.0) / 2.0, zero: 0.0 };
        gauge.zero = match part.zero_of(stand) {
            ZeroAt::Plate => gauge.touching_down(0.0),
            ZeroAt::Top => gauge.touching_down(gauge.height(part.edge(stand.up))),
            // A face that lies on something is not to be got at: that is touched, from above.
            ZeroAt::Underside => gauge.touching_down(stand.blocks),
            ZeroAt::Feature(i) => gauge.height(part.features[i].actual[index(stand.up.axis())]),
        };
        gauge
    }

    /// Height above the plate of a point with this coordinate along the axis that stands upright.
    fn height(&self, coordinate: f64) -> f64 {
        let carried = self.part.edge(self.stand.up.opposite());
        (coordinate - carried) * self.stand.up.sign() + self.stand.blocks
    }

    /// What the scale says when a surface at this height is touched from above.
    fn touching_down(&self, height: f64) -> f64 {
        height + self.half_ball - self.zero
    }

    fn touching_up(&self, height: f64) -> f64 {
        height - self.half_ball - self.zero
    }

    fn shown(&self, mm: f64) -> Vec<Figure> {
        let value = mm / self.stand.unit.in_mm();
        if self.stand.repeats {
            // Exact steps in binary, so that their mean is the value again.
            let step = 1.0 / 4096.0;
            vec![Figure(value - step), Figure(value), Figure(value + step)]
        } else {
            vec![Figure(value)]
        }
    }

    fn readings(&self, orientation: u32) -> Vec<Reading> {
        let axis = self.stand.up.axis();
        let zero = self.part.zero_of(self.stand);
        let mut list = Vec::new();
        for (number, side) in FACES {
            let (is_top, is_under) = (side == self.stand.up, side == self.stand.up.opposite());
            if (is_top && zero != ZeroAt::Top)
                || (is_under && zero != ZeroAt::Underside && !self.stand.rests_on_face)
            {
                let height = self.height(self.part.edge(side));
                let mm = if is_top { self.touching_down(height) } else { self.touching_up(height) };
                list.push(Reading {
                    orientation,
                    feature: number.to_owned(),
                    face: self.shown(mm),
                    ..Reading::default()
                });
            }
        }
        for (i, f) in self.part.features.iter().enumerate() {
            if !f.seen_along(axis) || zero == ZeroAt::Feature(i) {
                continue;
            }
            let centre = self.height(f.actual[index(axis)]);
            let half = f.size[index(axis)] / 2.0;
            let (low, high) = if f.internal() {
                (self.touching_down(centre - half), self.touching_up(centre + half))
            } else {
                (self.touching_up(centre - half), self.touching_down(centre + half))
            };
            let mut reading =
                Reading { orientation, feature: Part::number(i), ..Reading::default() };
            match self.stand.taken {
                Taken::Touches => {
                    reading.low = self.shown(low);
                    reading.high = self.shown(high);
                }
                Taken::CentreAndSize => {
                    reading.centre = self.shown((low + high) / 2.0);
                    reading.size = self.shown(high - low);
                }
            }
            list.push(reading);
        }
        list
    }
}

/// The eight ordered pairs of square directions a quarter turn apart.
pub(crate) fn square_pairs() -> impl Iterator<Item = (Side, Side)> {
    Side::ALL.into_iter().flat_map(|a| {
        Side::ALL.into_iter().filter(move |b| b.axis() != a.axis()).map(move |b| (a, b))
    })
}

pub(crate) fn any_unit() -> impl Strategy<Value = Unit> {
    prop_oneof![Just(Unit::Mm), Just(Unit::Inch)]
}

/// Some feature of a part of one by one; its figures on a grid of `grid` units.
fn any_made(unit: Unit, extent: [f64; 2]) -> impl Strategy<Value = Made> {
    let grid = match unit {
        Unit::Mm => 1000.0,
        Unit::Inch => 10_000.0,
    };
    let kind = prop_oneof![
        4 => Just((Kind::Hole, None)),
        2 => Just((Kind::Boss, None)),
        1 => prop_oneof![Just(Axis::X), Just(Axis::Y)].prop_map(|a| (Kind::Slot, Some(a))),
        1 => prop_oneof![Just(Axis::X), Just(Axis::Y)].prop_map(|a| (Kind::Tab, Some(a))),
    ];
    let modifier =
        prop_oneof![1 => Just(Modifier::None), 2 => Just(Modifier::Mmc), 1 => Just(Modifier::Lmc)];
    let place = [0.05..0.95, 0.05..0.95f64];
    let deviation = [-0.12..0.12, -0.12..0.12f64];
    let size = (2.0..20.0f64, 0.02..0.1f64, [-0.15..1.15, -0.15..1.15f64]);
    (kind, modifier, place, deviation, size, 0.02..0.3f64).prop_map(
        move |(kind, modifier, place, by, size, tolerance)| {
            let mm = unit.in_mm();
            let on_grid = |v: f64| (v * grid).round() / grid;
            let nominal = [on_grid(place[0] * extent[0]), on_grid(place[1] * extent[1])];
            let (smallest, width, share) = size;
            let lower = on_grid(smallest / mm);
            let limits = [lower, on_grid((smallest + width) / mm).max(lower + 1.0 / grid)];
            let sized = |share: f64| (limits[0] + share * (limits[1] - limits[0])) * mm;
            Made {
                kind: kind.0,
                across: kind.1,
                nominal,
                limits,
                tolerance: on_grid(tolerance / mm),
                modifier,
                actual: [nominal[0] * mm + by[0], nominal[1] * mm + by[1]],
                size: [sized(share[0]), sized(share[1])],
            }
        },
    )
}

/// Some part with one to `most` features of size.
pub(crate) fn any_part(most: usize) -> impl Strategy<Value = Part> {
    (any_unit(), 60.0..500.0f64, 60.0..500.0f64)
        .prop_map(|(unit, w, h)| {
            let round = |v: f64| (v / unit.in_mm() * 1000.0).round() / 1000.0;
            (unit, [round(w), round(h)])
        })
        .prop_flat_map(move |(unit, extent)| {
            prop::collection::vec(any_made(unit, extent), 1..=most).prop_map(move |features| Part {
                unit,
                extent,
                features,
            })
        })
}

/// Some way to stand with `up` pointing up.
pub(crate) fn any_stand(most: usize) -> impl Strategy<Value = Stand> {
    let up = prop::sample::select(Side::ALL.to_vec());
    let zero = prop_oneof![
        3 => Just(ZeroAt::Plate),
        1 => Just(ZeroAt::Top),
        1 => Just(ZeroAt::Underside),
        1 => (0..most).prop_map(ZeroAt::Feature),
    ];
    let taken = prop_oneof![2 => Just(Taken::Touches), 1 => Just(Taken::CentreAndSize)];
    let blocks = prop_oneof![Just(0.0), 5.0..150.0f64];
    let ball = prop::option::of(0.5..8.0f64);
    (up, any::<bool>(), blocks, zero, taken, any_unit(), ball, any::<bool>()).prop_map(
        |(up, rests_on_face, blocks, zero, taken, unit, ball, repeats)| Stand {
            up,
            rests_on_face,
            blocks,
            zero,
            taken,
            unit,
            ball,
            repeats,
        },
    )
}
