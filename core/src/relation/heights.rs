//! Heights that are taken for one relation alone, and the form that is found from them.

use super::{Dependence, Facts, Found, HeldTo, Reason, Step};
use crate::form::{Form, NotFinite, Spot, ZoneSupports};
use crate::quantity::Length;

/// Over what heights are taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeightsOver {
    /// A face: places all over it, by x and y.
    Face,
    /// An edge: places along a line, by the distance from its end, or by x and y.
    Edge,
}

/// Heights that were taken for one relation.
#[derive(Clone, Debug, PartialEq)]
pub struct Heights {
    /// Places and heights.
    pub points: Vec<Spot>,
    /// Index of the instrument.
    pub instrument: usize,
}

impl Heights {
    /// Returns those that were taken for a relation; `what` they are, for the reason.
    pub(super) fn of(facts: &dyn Facts, what: &str) -> Result<Self, Reason> {
        let taken = facts.heights().filter(|heights| !heights.points.is_empty());
        taken.ok_or_else(|| Reason::missing(format!("{what} of {}", facts.name())))
    }
}

/// Returns a form, or why the heights determine none; `name` is what they are of.
pub(super) fn determined<T>(form: Result<Form<T>, NotFinite>, name: &str) -> Result<T, Reason> {
    match form {
        Ok(Form::Found(form)) => Ok(form),
        Ok(Form::TooFew { have, need }) => {
            Err(Reason::missing(format!("{} more heights of {name}", need.saturating_sub(have))))
        }
        Ok(Form::OnOneLine) => Err(Reason::OnOneLine),
        Ok(Form::AtOnePlace) => Err(Reason::AtOnePlace),
        Err(_) => Err(Reason::Figures),
    }
}

/// A zone between two parallel planes or lines that holds all heights.
pub(super) struct MinimumZone<'a> {
    /// Its width in mm, at right angles to them.
    pub(super) width: f64,
    /// Cosine of their angle to the plate.
    pub(super) cosine: f64,
    /// The points that hold it.
    pub(super) held: &'a ZoneSupports,
    /// Width about the least-squares plane or line, in mm.
    pub(super) least_squares_width: f64,
}

impl MinimumZone<'_> {
    /// Holds the width against a tolerance. `word` is what it is called, `how` what it is.
    ///
    /// The width follows from the touches that hold the zone, by their weights: at the optimum it
    /// follows from no other to first order.
    pub(super) fn found(
        self,
        word: &str,
        how: &str,
        heights: &Heights,
        tolerance: Length,
    ) -> Found {
        let measured = Length::mm(self.width);
        let (above, below) = (numbers(self.held, true), numbers(self.held, false));
        let steps = vec![
            Step::words("points", format!("{} heights", heights.points.len())),
            Step::words("held by", format!("points {above} above, {below} below")),
            Step::length(word, measured, vec![how.into()]),
            Step::length(
                "by least squares",
                Length::mm(self.least_squares_width),
                vec!["for comparison; not what is judged".into()],
            ),
        ];
        let sides = self.held.upper.iter().chain(&self.held.lower);
        let squares: f64 = sides.map(|s| s.weight * s.weight).sum();
        let squares = squares * self.cosine * self.cosine;
        Found {
            measured,
            held_to: HeldTo::Zone(tolerance),
            steps,
            dependence: Some(Dependence::on_touches(heights.instrument, squares)),
        }
    }
}

/// The points of one side, counted from 1.
fn numbers(held: &ZoneSupports, upper: bool) -> String {
    let side = if upper { &held.upper } else { &held.lower };
    let mut numbers: Vec<usize> = side.iter().map(|s| s.index + 1).collect();
    numbers.sort_unstable();
    numbers.iter().map(usize::to_string).collect::<Vec<_>>().join(", ")
}
