//! From one axis to another, and coordinates along an axis.

use super::{Dependence, MeasuredFeature, Reason, Step, Term, VectorBetween};
use crate::chance::SizeRef;
use crate::quantity::{Axis, Length};
use std::f64::consts::PI;

/// The distance of two axes, or of one from the origin of the frame.
#[derive(Clone, Debug)]
pub(super) struct AxisDistance {
    pub(super) vector: VectorBetween,
    pub(super) mm: f64,
    pub(super) steps: Vec<Step>,
}

impl AxisDistance {
    pub(super) fn of(from: Option<&MeasuredFeature>, to: &MeasuredFeature) -> Result<Self, Reason> {
        let start = from.map_or(Ok([0.0; 2]), MeasuredFeature::axis);
        let (start, end) = Reason::both(start, to.axis())?;
        to.one_read(from, Axis::X)?;
        to.one_read(from, Axis::Y)?;
        let mm = [end[0] - start[0], end[1] - start[1]];
        let step = |axis: Axis, i: usize| {
            let label = format!("d{}", axis.letter().to_lowercase());
            let how = vec![Length::mm(end[i]).into(), " − ".into(), Length::mm(start[i]).into()];
            Step::signed(label, Length::mm(mm[i]), how)
        };
        Ok(Self {
            vector: VectorBetween { from: from.map(|f| f.index), to: to.index, mm },
            mm: libm::hypot(mm[0], mm[1]),
            steps: vec![step(Axis::X, 0), step(Axis::Y, 1)],
        })
    }

    /// √(dx² + dy²).
    pub(super) fn how(&self) -> Vec<Term> {
        let [x, y] = self.vector.mm.map(|v| Length::mm(v.abs()));
        vec!["√(".into(), x.into(), "² + ".into(), y.into(), "²)".into()]
    }

    /// How a figure depends on the two places that changes by `by_length` with the distance.
    pub(super) const fn dependence(
        &self,
        by_length: f64,
        sizes: Vec<(SizeRef, f64)>,
    ) -> Dependence {
        Dependence::Distance { vector: self.vector, by_length, sizes }
    }
}

/// Derivatives of `times` a coordinate by x and y.
pub(super) const fn by_coordinate(axis: Axis, times: f64) -> [f64; 2] {
    match axis {
        Axis::X => [times, 0.0],
        Axis::Y => [0.0, times],
    }
}

/// Says whether a coordinate was measured, or is where the drawing has it because others were
/// counted from there.
pub(super) fn how_known(of: &MeasuredFeature, axis: Axis) -> Vec<Term> {
    vec![if of.was_read(axis) { "measured" } else { "counted from here" }.into()]
}

/// Returns an angle between −π and π.
pub(super) fn turn(angle: f64) -> f64 {
    let turned = angle.rem_euclid(2.0 * PI);
    if turned > PI { turned - 2.0 * PI } else { turned }
}
