//! What each datum letter of a callout is there for, by the drawing alone.

use crate::callout::Unjudged;
use crate::job::{Feature, Job, Kind};
use crate::quantity::Axis;

/// The axes, in the order of coordinates.
pub(super) const AXES: [Axis; 2] = [Axis::X, Axis::Y];

/// What one datum letter takes up of the freedoms of the frame.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Role<'a> {
    pub(super) letter: &'a str,
    /// Index of the datum feature in the drawing.
    pub(super) feature: usize,
    /// Whether it takes the translation along x and along y.
    pub(super) takes: [bool; 2],
    /// What it does about the rotation.
    pub(super) turn: Turn,
}

/// What a datum does about the rotation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turn {
    /// Nothing.
    Leaves,
    /// A face after a round origin: it stops the rotation by what the part stands on, as the
    /// orientations have it.
    Stands,
    /// A feature of size after a round origin: the frame is turned until it is where the drawing
    /// has it.
    Stops,
}

/// The roles of these letters, in their order. A datum without a feature is a face that is not in
/// the drawing's view and has none here.
pub(super) fn roles<'a>(job: &Job, letters: &'a [String]) -> Vec<Result<Role<'a>, Unjudged>> {
    let mut free = [true; 2];
    // Whether a round feature took both translations, and nothing stopped the rotation yet.
    let mut turns = false;
    let mut list = Vec::with_capacity(letters.len());
    for letter in letters {
        let unknown = || Err(Unjudged::UnknownDatum(letter.clone()));
        let Some(datum) = job.drawing.datums.iter().find(|d| d.letter == *letter) else {
            list.push(unknown());
            continue;
        };
        let Some(number) = datum.feature.as_deref() else { continue };
        let Some(index) = job.drawing.features.iter().position(|f| f.number == number) else {
            list.push(unknown());
            continue;
        };
        let Some(feature) = job.drawing.features.get(index) else { continue };
        let takes = takes(feature, free);
        let turn = match feature.kind {
            _ if takes != [false; 2] || !turns => Turn::Leaves,
            Kind::Face => Turn::Stands,
            _ => Turn::Stops,
        };
        for (free, taken) in free.iter_mut().zip(takes) {
            *free &= !taken;
        }
        turns = (turns || takes == [true; 2]) && turn != Turn::Stops;
        list.push(Ok(Role { letter, feature: index, takes, turn }));
    }
    list
}

/// Of the translations still free, those that a feature takes: across a face or a centre plane,
/// both by a round feature.
fn takes(feature: &Feature, free: [bool; 2]) -> [bool; 2] {
    let [x, y] = free;
    match feature.plane_axis() {
        Some(Axis::X) => [x, false],
        Some(Axis::Y) => [false, y],
        None if feature.kind.is_round() => free,
        None => [false; 2],
    }
}

/// The feature that stops the rotation in the frame of these letters, by its index in the drawing;
/// None where the frame is not turned.
#[must_use]
pub fn turned_by(job: &Job, letters: &[String]) -> Option<usize> {
    let mut stops = roles(job, letters).into_iter().flatten().filter(|r| r.turn == Turn::Stops);
    stops.next().map(|r| r.feature)
}
