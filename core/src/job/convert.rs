//! The drawing's unit changed, in the two ways that can be meant.

use super::{BOUNDS, Callout, Conditions, Drawing, Feature, Job, Outline, Piece, SizeLimits};
use crate::quantity::{Figure, Unit};

impl Job {
    /// Writes the drawing in `to`: every figure of it is converted, so that each length stays
    /// what it was (to 1 part in 10¹², the last digits of binary fractions being cleared away),
    /// and the decimals follow: an inch of 4 decimals becomes a millimetre of 3.
    ///
    /// Readings and instruments keep their own unit and are not touched.
    pub fn convert_unit(&mut self, to: Unit) {
        let drawing = &mut self.drawing;
        if drawing.unit == to {
            return;
        }
        let factor = drawing.unit.in_mm() / to.in_mm();
        for figure in figures(drawing) {
            *figure = Figure(twelve_digits(figure.0 * factor));
        }
        for figure in conditions(&mut self.plan.conditions, &mut self.pieces) {
            *figure = Figure(twelve_digits(figure.0 * factor));
        }
        drawing.decimals = match to {
            Unit::Mm => drawing.decimals.saturating_sub(1),
            Unit::Inch => (drawing.decimals + 1).min(BOUNDS.decimals),
        };
        drawing.unit = to;
    }

    /// Says that the drawing's figures were in `to` all along: they stay as they are.
    pub fn declare_unit(&mut self, to: Unit) {
        self.drawing.unit = to;
    }
}

impl Drawing {
    /// Whether any figure would mean something else in another unit. Zero is zero in both.
    #[must_use]
    pub fn depends_on_unit(&self) -> bool {
        let mut copy = self.clone();
        figures(&mut copy).into_iter().any(|f| f.0 != 0.0)
    }
}

impl Outline {
    /// A rectangle of `width` by `height` whose lower left corner is at (`left`, `bottom`).
    #[must_use]
    pub fn sized(left: Figure, bottom: Figure, width: Figure, height: Figure) -> Self {
        let beyond = |from: Figure, by: Figure| Figure(twelve_digits(from.0 + by.0));
        Self { left, bottom, right: beyond(left, width), top: beyond(bottom, height) }
    }

    /// From the left edge to the right one.
    #[must_use]
    pub fn width(&self) -> Figure {
        Figure(twelve_digits(self.right.0 - self.left.0))
    }

    /// From the bottom edge to the top one.
    #[must_use]
    pub fn height(&self) -> Figure {
        Figure(twelve_digits(self.top.0 - self.bottom.0))
    }
}

/// Every figure of the drawing.
fn figures(drawing: &mut Drawing) -> Vec<&mut Figure> {
    let mut list = Vec::new();
    if let Some(Outline { left, bottom, right, top }) = &mut drawing.outline {
        list.extend([left, bottom, right, top]);
    }
    list.extend(drawing.datums.iter_mut().filter_map(|d| d.boundary.as_mut()));
    for Feature { x, y, size, callouts, .. } in &mut drawing.features {
        list.extend(x.iter_mut().chain(y.iter_mut()));
        list.extend(size.iter_mut().flat_map(SizeLimits::figures_mut));
        for Callout::Position(p) in callouts {
            list.push(&mut p.tolerance);
            list.extend(p.lower.iter_mut().map(|s| &mut s.tolerance));
        }
    }
    list.extend(drawing.relations.iter_mut().flat_map(|relation| relation.kind.figures_mut()));
    list
}

/// Every other figure in the drawing's unit.
fn conditions<'a>(conditions: &'a mut Conditions, pieces: &'a mut [Piece]) -> Vec<&'a mut Figure> {
    let Conditions { plate_flatness, rest_standard, squareness, .. } = conditions;
    let mut list: Vec<&mut Figure> = plate_flatness.iter_mut().chain(rest_standard).collect();
    list.extend(squareness.iter_mut().flat_map(|s| [&mut s.deviation, &mut s.over]));
    for s in pieces.iter_mut().flat_map(|p| &mut p.squareness) {
        list.extend([&mut s.farther_out, &mut s.over]);
        list.extend(&mut s.standard);
    }
    list
}

/// Rounded to 13 significant digits, so that .375 in is 9.525 mm and not 9.524999999999999.
fn twelve_digits(value: f64) -> f64 {
    format!("{value:.12e}").parse().unwrap_or(value)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#[allow(clippy::float_cmp, reason = "these figures are the same decimals")]
mod tests {
    use super::super::{DatumRef, Kind, Modifier, Position};
    use super::*;
    use proptest::prelude::*;

    fn plate() -> Job {
        let mut job = Job::empty(Unit::Inch);
        job.drawing.outline =
            Some(Outline::sized(Figure(-0.5), Figure(0.0), Figure(4.0), Figure(3.0)));
        job.drawing.datums[1].boundary = Some(Figure(0.5));
        job.plan.conditions.rest_standard = Some(Figure(0.0005));
        job.drawing.features.push(Feature {
            number: "1".to_owned(),
            kind: Kind::Hole,
            x: Some(Figure(0.75)),
            y: Some(Figure(-2.25)),
            size: Some(SizeLimits::Limits { lower: Figure(0.375), upper: Figure(0.378) }),
            callouts: vec![Callout::Position(Position {
                tolerance: Figure(0.01),
                modifier: Modifier::Mmc,
                datums: DatumRef::all(&["A"]),
                ..Position::default()
            })],
            ..Feature::default()
        });
        job
    }

    #[test]
    fn inches_become_millimetres_without_binary_dust() {
        let mut job = plate();
        job.convert_unit(Unit::Mm);
        let f = job.drawing.features.last().unwrap();
        assert_eq!((f.x, f.y), (Some(Figure(19.05)), Some(Figure(-57.15))));
        assert_eq!(
            f.size,
            Some(SizeLimits::Limits { lower: Figure(9.525), upper: Figure(9.6012) })
        );
        assert_eq!(f.position().unwrap().tolerance, Figure(0.254));
        assert_eq!(job.drawing.datums[1].boundary, Some(Figure(12.7)));
        assert_eq!(job.plan.conditions.rest_standard, Some(Figure(0.0127)));
        let o = job.drawing.outline.unwrap();
        assert_eq!((o.left.0, o.right.0, o.width().0, o.height().0), (-12.7, 88.9, 101.6, 76.2));
        assert_eq!((job.drawing.unit, job.drawing.decimals), (Unit::Mm, 3));
        assert_eq!(job.plan.instruments, plate().plan.instruments);
    }

    #[test]
    fn there_and_back_is_the_same_drawing() {
        let mut job = plate();
        job.convert_unit(Unit::Mm);
        job.convert_unit(Unit::Inch);
        assert_eq!(job, plate());
    }

    #[test]
    fn figures_that_are_only_declared_stay() {
        let mut job = plate();
        job.declare_unit(Unit::Mm);
        assert_eq!(job.drawing.features, plate().drawing.features);
        assert_eq!(job.drawing.unit, Unit::Mm);
    }

    #[test]
    fn an_empty_drawing_does_not_depend_on_its_unit() {
        assert!(!Job::empty(Unit::Inch).drawing.depends_on_unit());
        assert!(plate().drawing.depends_on_unit());
    }

    proptest! {
        #[test]
        fn a_length_stays_what_it_was(value in -10_000.0..10_000.0f64, inch: bool) {
            let (from, to) = if inch { (Unit::Inch, Unit::Mm) } else { (Unit::Mm, Unit::Inch) };
            let mut job = plate();
            job.drawing.unit = from;
            job.drawing.features.last_mut().unwrap().x = Some(Figure(value));
            let before = Figure(value).length(from).to_mm();
            job.convert_unit(to);
            let after = job.drawing.features.last().unwrap().x.unwrap().length(to).to_mm();
            prop_assert!((after - before).abs() <= 1e-12 * before.abs());
        }
    }
}
