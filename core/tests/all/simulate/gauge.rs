//! A height gauge with its zero set.

use crate::build::Truth;
use crate::random::Random;
use quarterturn_core::job::{Feature, Kind, Reading, Taken};
use quarterturn_core::quantity::{Figure, Unit};

/// The errors of a bench, drawn from the distributions that a plan can state, in millimetres.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Errors {
    /// Standard deviation of a touch, drawn for each of its repeats.
    pub(crate) scatter: f64,
    /// Half width of the uniform error of the gauge, drawn once for all repeats of a touch.
    pub(crate) limit: f64,
    /// Standard deviation of the probe constant, drawn once for a piece.
    pub(crate) probe: f64,
    /// Half width of the uniform angle of every orientation after the first, as a slope.
    pub(crate) slope: f64,
    /// How often each touch is made.
    pub(crate) repeats: usize,
    /// Step of the display; 0 shows every digit.
    pub(crate) step: f64,
    /// A gauge that gives centres gives no size, and the centre with the error of one touch.
    pub(crate) centre_alone: bool,
}

impl Errors {
    /// None: every touch is made once and shows what is there.
    pub(crate) const NONE: Self = Self {
        scatter: 0.0,
        limit: 0.0,
        probe: 0.0,
        slope: 0.0,
        repeats: 1,
        step: 0.0,
        centre_alone: false,
    };
}

/// Which side of a surface the ball touches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Touched {
    FromAbove,
    FromBelow,
}

/// A height gauge with its zero set, before a part that stands in one way.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Gauge {
    /// Unit vector of the direction that is up.
    pub(crate) up: [f64; 2],
    /// Height of the drawing's origin over the plate.
    pub(crate) origin: f64,
    /// Diameter of the ball.
    pub(crate) ball: f64,
    /// Height of the ball's centre at the zero.
    pub(crate) zero: f64,
    pub(crate) errors: Errors,
    /// The unit it shows.
    pub(crate) unit: Unit,
}

impl Gauge {
    /// Height over the plate of a point of the part.
    pub(crate) fn height(&self, at: [f64; 2]) -> f64 {
        self.up[0] * at[0] + self.up[1] * at[1] + self.origin
    }

    /// Height of the ball's centre when it touches a surface at this height.
    pub(crate) fn centre_at(&self, height: f64, touched: Touched) -> f64 {
        match touched {
            Touched::FromAbove => height + self.ball / 2.0,
            Touched::FromBelow => height - self.ball / 2.0,
        }
    }

    /// What is read of a feature, the orientation left open.
    pub(crate) fn read(
        &self,
        feature: &Feature,
        truth: &Truth,
        taken: Taken,
        random: &mut Random,
    ) -> Reading {
        let centre = self.height(truth.at);
        let mut reading = Reading { feature: feature.number.clone(), ..Reading::default() };
        if feature.kind == Kind::Face {
            let looks = feature.looks.map_or([0.0; 2], |side| super::direction(side.degrees()));
            let up = looks[0] * self.up[0] + looks[1] * self.up[1] > 0.0;
            reading.face = self.touch(
                centre,
                if up { Touched::FromAbove } else { Touched::FromBelow },
                random,
            );
            return reading;
        }
        if taken == Taken::CentreAndSize && self.errors.centre_alone {
            reading.centre = self.values(centre, random);
            return reading;
        }
        let half = 0.5 * libm::hypot(self.up[0] * truth.size[0], self.up[1] * truth.size[1]);
        let (at_low, at_high) = if feature.kind.is_internal() {
            (Touched::FromAbove, Touched::FromBelow)
        } else {
            (Touched::FromBelow, Touched::FromAbove)
        };
        let low = self.touch(centre - half, at_low, random);
        let high = self.touch(centre + half, at_high, random);
        match taken {
            Taken::Touches => (reading.low, reading.high) = (low, high),
            Taken::CentreAndSize => {
                let mm = self.unit.in_mm();
                let pairs = || low.iter().zip(&high).map(|(l, h)| (l.0, h.0));
                reading.centre = pairs().map(|(l, h)| self.shown((l + h) / 2.0 * mm)).collect();
                reading.size = pairs().map(|(l, h)| self.shown((h - l) * mm)).collect();
            }
        }
        reading
    }

    /// What is shown when a surface at this height is touched.
    pub(crate) fn touch(&self, height: f64, touched: Touched, random: &mut Random) -> Vec<Figure> {
        self.values(self.centre_at(height, touched), random)
    }

    /// What is shown when the ball's centre is at this height, once for each repeat.
    fn values(&self, height: f64, random: &mut Random) -> Vec<Figure> {
        let errors = self.errors;
        let shown = height - self.zero + random.within(errors.limit);
        (0..errors.repeats).map(|_| self.shown(shown + random.normal() * errors.scatter)).collect()
    }

    /// As the display shows it.
    fn shown(&self, mm: f64) -> Figure {
        shown(mm, self.errors.step, self.unit)
    }
}

/// What a display of this step and unit shows of a length.
pub(crate) fn shown(mm: f64, step: f64, unit: Unit) -> Figure {
    let unit = unit.in_mm();
    if step > 0.0 {
        // The decimal figure, and not its neighbour in binary.
        Figure(((mm / step).round() * step / unit * 1e8).round() / 1e8)
    } else {
        Figure(mm / unit)
    }
}
