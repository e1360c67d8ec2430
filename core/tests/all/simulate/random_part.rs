//! Random parts and ways to measure them, with plain values from which a test can work out what must
//! be found.

use crate::build::{self, Truth, face_on};
use proptest::prelude::*;
use quarterturn_core::job::{
    Blocks, Callout, DatumRef, Feature, Instrument, Job, Kind, Modifier, Orientation, Position,
    Probe, Reading, Rest, SizeLimits, Taken, Touch, Zero,
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

impl Part {
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

    /// The part as the drawing has it, and as it really is; without a plan.
    fn built(&self) -> build::Part {
        let mut part = build::Part::plate(self.unit, self.extent).with(|job| {
            job.drawing.decimals = 4;
            job.plan.instruments.clear();
            job.plan.orientations.clear();
        });
        for (i, f) in self.features.iter().enumerate() {
            part.job.drawing.features.push(Feature {
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
            });
            part.truth.insert(Self::number(i), Truth { at: f.actual, size: f.size });
        }
        part
    }

    /// The job that comes of measuring this part in these orientations, numbered from 1.
    pub(crate) fn measured(&self, stands: &[Stand]) -> Job {
        let mut part = self.built();
        for (number, stand) in (1..).zip(stands) {
            let plan = &mut part.job.plan;
            plan.orientations.push(stand.orientation(
                number,
                plan.instruments.len(),
                self.zero_of(stand),
            ));
            plan.instruments.push(stand.gauge(number));
        }
        let mut job = part.read();
        for reading in &mut job.pieces[0].readings {
            if stands[reading.orientation as usize - 1].repeats {
                repeat(reading);
            }
        }
        job
    }
}

impl Stand {
    fn gauge(&self, number: u32) -> Instrument {
        let probe = self.ball.map_or(Probe::AppliedByGauge, |k| Probe::Constant(self.figure(k)));
        Instrument {
            name: format!("gauge {number}"),
            unit: self.unit,
            resolution: Figure(0.0001),
            probe,
            ..Instrument::default()
        }
    }

    fn orientation(&self, number: u32, instrument: usize, zero: ZeroAt) -> Orientation {
        let [top, underside] = [self.up, self.up.opposite()].map(|s| face_on(s).to_owned());
        Orientation {
            number,
            up_degrees: self.up.degrees(),
            rest: Rest {
                face: self.rests_on_face.then(|| underside.clone()),
                blocks: Blocks::High(self.figure(self.blocks)),
            },
            zero: match zero {
                ZeroAt::Plate => Zero::Plate,
                ZeroAt::Top => Zero::Feature(top),
                ZeroAt::Underside => Zero::Feature(underside),
                ZeroAt::Feature(i) => Zero::Feature(Part::number(i)),
            },
            taken: self.taken,
            instrument,
            find_angle: false,
        }
    }

    /// In the unit of the gauge.
    fn figure(&self, mm: f64) -> Figure {
        Figure(mm / self.unit.in_mm())
    }
}

/// Makes three touches of one, which scatter about it.
fn repeat(reading: &mut Reading) {
    // Exact steps in binary, so that their mean is the value again.
    let step = 1.0 / 4096.0;
    for touch in Touch::ALL {
        let values = reading.values_mut(touch);
        *values = values.iter().flat_map(|v| [-step, 0.0, step].map(|d| Figure(v.0 + d))).collect();
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
