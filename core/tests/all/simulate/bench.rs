//! A part on the plate, measured as the plan says.

use super::direction;
use super::gauge::{Errors, Gauge, Touched};
use crate::build::{Part, Truth};
use crate::random::Random;
use quarterturn_core::job::{Feature, Kind, Orientation, Piece, Probe, Reading, Zero};
use quarterturn_core::quantity::{Axis, Side};

/// How the part really stands in one orientation.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stand {
    /// Angle of the direction that is up, in degrees from +X towards +Y.
    pub(crate) up: f64,
    /// The side that carries the part; `None` on a sine bar, where the blocks carry the origin.
    pub(crate) on: Option<Side>,
    /// Height of the blocks.
    pub(crate) blocks: f64,
    /// Diameter of the ball.
    pub(crate) ball: f64,
}

impl Stand {
    /// As the plan says.
    pub(crate) fn planned(part: &Part, orientation: &Orientation) -> Self {
        let gauge = part.job.instrument(orientation).unwrap();
        Self {
            up: orientation.up_degrees,
            on: orientation.up_side().map(Side::opposite),
            blocks: orientation
                .rest
                .blocks
                .height()
                .map_or(0.0, |high| high.length(gauge.unit).to_mm()),
            ball: match gauge.probe {
                Probe::Constant(known) => known.length(gauge.unit).to_mm(),
                Probe::AppliedByGauge | Probe::Found => 0.0,
            },
        }
    }
}

/// Measures a part as its plan says, on a bench with these errors.
pub(crate) fn measure(part: &Part, errors: Errors, random: &mut Random) -> Piece {
    let mut piece = Piece { serial: "1".to_owned(), ..Piece::default() };
    let ball_error = errors.probe * random.normal();
    for (i, orientation) in part.job.plan.orientations.iter().enumerate() {
        let mut stand = Stand::planned(part, orientation);
        stand.ball += ball_error;
        if i > 0 && errors.slope > 0.0 {
            stand.up += libm::atan(random.within(errors.slope)).to_degrees();
        }
        let mut gauge = Gauge::before(part, orientation, stand, errors);
        gauge.zero += random.within(errors.limit) + errors.scatter * random.normal();
        for feature in &part.job.drawing.features {
            if !is_read(feature, orientation) {
                continue;
            }
            if let Some(truth) = part.truth.get(&feature.number) {
                let reading = gauge.read(feature, truth, orientation.taken, random);
                piece.readings.push(Reading { orientation: orientation.number, ..reading });
            }
        }
    }
    piece
}

/// Whether a feature can be read in an orientation and is not what reads zero there.
fn is_read(feature: &Feature, orientation: &Orientation) -> bool {
    let up = orientation.up_side();
    let carries = orientation.rest.face.as_ref() == Some(&feature.number);
    let seen = match feature.kind {
        Kind::Face => feature.looks.map(Side::axis) == up.map(Side::axis) && !carries,
        Kind::Slot | Kind::Tab => feature.across.is_some() && feature.across == up.map(Side::axis),
        Kind::Hole | Kind::Boss => true,
    };
    seen && orientation.zero != Zero::Feature(feature.number.clone())
}

impl Gauge {
    /// A gauge whose zero is set without error at what the orientation says.
    pub(crate) fn before(
        part: &Part,
        orientation: &Orientation,
        stand: Stand,
        errors: Errors,
    ) -> Self {
        let up = direction(stand.up);
        let along_up = |[x, y]: [f64; 2]| up[0] * x + up[1] * y;
        // The frame touches a face where it lies farthest out; where one leans, at one of its ends.
        let lies = stand.on.map_or(0.0, |side| {
            let ends = part.ends(side, orientation.rest.face.as_deref()).map(along_up);
            ends[0].max(ends[1])
        });
        let mut gauge = Self {
            up,
            origin: stand.blocks - lies,
            ball: stand.ball,
            zero: 0.0,
            errors,
            unit: part.job.reading_unit(orientation),
        };
        gauge.zero = match &orientation.zero {
            Zero::Plate => gauge.centre_at(0.0, Touched::FromAbove),
            Zero::Feature(number) => {
                let feature = part.job.feature(number).unwrap();
                let height = gauge.height(part.truth[number].at);
                match feature.looks {
                    None => height,
                    // A face that lies on something cannot be touched: what carries it is.
                    Some(side)
                        if Some(side) == stand.on && (height - stand.blocks).abs() < 1e-9 =>
                    {
                        gauge.centre_at(stand.blocks, Touched::FromAbove)
                    }
                    Some(side) if Some(side) == stand.on => {
                        gauge.centre_at(height, Touched::FromBelow)
                    }
                    Some(_) => gauge.centre_at(height, Touched::FromAbove),
                }
            }
        };
        gauge
    }
}

impl Part {
    /// The two ends of what carries the part on this side: as far along it as the outline goes.
    fn ends(&self, side: Side, face: Option<&str>) -> [[f64; 2]; 2] {
        let (at, unit) = (self.edge(side, face), self.job.drawing.unit);
        let across = match side.axis() {
            Axis::X => [Side::MinusY, Side::PlusY],
            Axis::Y => [Side::MinusX, Side::PlusX],
        };
        across.map(|end| {
            let end = self.job.drawing.outline.map_or(0.0, |o| o.edge(end).length(unit).to_mm());
            match side.axis() {
                Axis::X => [at, end],
                Axis::Y => [end, at],
            }
        })
    }

    /// True coordinate, along its own axis, of what lies on the plate or the blocks: this face, another
    /// one that looks that way, or the edge of the outline.
    fn edge(&self, side: Side, face: Option<&str>) -> f64 {
        let features = &self.job.drawing.features;
        let lies = |f: &&Feature| f.looks == Some(side) && self.truth.contains_key(&f.number);
        let named = features.iter().filter(lies).find(|f| Some(f.number.as_str()) == face);
        let unit = self.job.drawing.unit;
        match named.or_else(|| features.iter().find(lies)) {
            Some(face) => along(&self.truth[&face.number], side.axis()),
            None => self.job.drawing.outline.map_or(0.0, |o| o.edge(side).length(unit).to_mm()),
        }
    }
}

fn along(truth: &Truth, axis: Axis) -> f64 {
    match axis {
        Axis::X => truth.at[0],
        Axis::Y => truth.at[1],
    }
}
