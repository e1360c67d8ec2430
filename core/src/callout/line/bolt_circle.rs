//! A bolt circle: the least-squares circle through the centres of holes.

use super::distance::on;
use super::{Found, LineUnjudged, Part, Seen, Term, Way};
use crate::form::{Circle, Form, circle};
use crate::job::Range;
use crate::quantity::{Axis, Length};
use std::f64::consts::PI;

/// The circle with the least sum of squared distances of the centres from it (the geometric fit; W.
/// Gander, G. H. Golub, R. Strebel, BIT 34 (1994) 558), its diameter against the limits, and
/// beside it the centre, the angle of each hole from +X, and how far it is off the circle. Where
/// the drawing gives all basic places, the angle is held against the one on the basic circle.
///
/// # Errors
/// What was not measured; fewer than three holes, or holes on one line.
pub fn bolt_circle(holes: &[Seen], allowed: Range) -> Result<Found, LineUnjudged> {
    for (i, hole) in holes.iter().enumerate() {
        hole.round()?;
        if holes.iter().take(i).any(|other| other.index == hole.index) {
            return Err(LineUnjudged::Twice(hole.name.clone()));
        }
    }
    if holes.len() < 3 {
        return Err(LineUnjudged::TooFewHoles);
    }
    let mut missing = Vec::new();
    let mut places = Vec::with_capacity(holes.len());
    for hole in holes {
        match hole.axis() {
            Ok(at) => places.push(at),
            Err(LineUnjudged::NotMeasured(more)) => missing.extend(more),
            Err(why) => return Err(why),
        }
    }
    if let Some(first) = holes.first().filter(|_| missing.is_empty()) {
        for axis in [Axis::X, Axis::Y] {
            let i = usize::from(axis == Axis::Y);
            if holes.iter().all(|h| !h.read[i]) {
                missing.push(first.coordinate(axis));
            }
        }
    }
    if !missing.is_empty() {
        return Err(LineUnjudged::NotMeasured(missing));
    }
    let found = through(&places)?;
    let basic: Option<Vec<[f64; 2]>> = holes.iter().map(|h| h.basic_axis().ok()).collect();
    let basic = basic.and_then(|places| through(&places).ok());
    let diameter = Length::mm(2.0 * found.radius);
    let centre = |label: &str, i: usize| {
        let at = Length::mm(found.centre[i]);
        let how = basic.as_ref().map_or_else(Vec::new, |b| {
            let off = Length::mm(found.centre[i] - b.centre[i]);
            vec![Term::Signed(off), " from its basic place".into()]
        });
        Part::length(label, at, how)
    };
    let mut parts = vec![centre("centre x", 0), centre("centre y", 1)];
    parts.push(Part::length("radius", Length::mm(found.radius), vec!["least squares".into()]));
    let how = vec!["2 × ".into(), Length::mm(found.radius).into()];
    parts.push(Part::length("diameter", diameter, how));
    for (i, (hole, on)) in holes.iter().zip(&found.points).enumerate() {
        let mut how = Vec::new();
        if let Some(nominal) = basic.as_ref().and_then(|b| b.points.get(i)) {
            how.extend([Term::Angle(turn(on.angle - nominal.angle)), " from basic, ".into()]);
        }
        how.extend([Term::Signed(Length::mm(on.residual)), " off the circle".into()]);
        parts.push(Part {
            label: format!("angle of {}", hole.name),
            figure: Some(Term::Angle(on.angle)),
            how,
        });
    }
    let slopes = holes.iter().zip(&found.follows);
    let slopes = slopes.map(|(hole, [_, _, radius])| (hole.index, radius.map(|r| 2.0 * r)));
    Ok(Found {
        measured: diameter,
        allowed,
        zone: false,
        parts,
        hangs: on(Way::Given(slopes.collect())),
    })
}

fn through(places: &[[f64; 2]]) -> Result<Circle, LineUnjudged> {
    match circle(places) {
        Ok(Form::Found(circle)) => Ok(circle),
        Ok(Form::TooFew { .. }) => Err(LineUnjudged::TooFewHoles),
        Ok(Form::OnOneLine | Form::AtOnePlace) => Err(LineUnjudged::OnOneLine),
        Err(_) => Err(LineUnjudged::Figures),
    }
}

/// An angle between −π and π.
pub(super) fn turn(angle: f64) -> f64 {
    let turned = angle.rem_euclid(2.0 * PI);
    if turned > PI { turned - 2.0 * PI } else { turned }
}
