//! What each datum letter of a callout is there for, by the drawing alone.

use crate::callout::Unjudged;
use crate::job::{Datum, Feature, Job, Kind, PatternKind};
use crate::quantity::Axis;
use rustc_hash::FxHashSet;

/// The axes, in the order of coordinates.
pub(super) const AXES: [Axis; 2] = [Axis::X, Axis::Y];

/// What one datum letter takes up of the freedoms of the frame.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Role<'a> {
    /// The datum letter.
    pub(super) letter: &'a str,
    /// What carries it.
    pub(super) on: Carrier,
    /// Whether it takes the translation along x and along y.
    pub(super) takes: [bool; 2],
    /// What it does about the rotation.
    pub(super) turn: Turn,
}

/// What carries a datum letter: features by their index in the drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Carrier {
    /// One feature.
    Feature(usize),
    /// A pattern of round ones.
    Pattern(PatternKind, Vec<usize>),
}

/// What a datum does about the rotation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turn {
    /// Nothing.
    Leaves,
    /// A face, or a centre plane that is the first datum in the plane: an axis of the frame is square
    /// to it.
    Square,
    /// A feature of size after a round origin: the frame is turned until it is where the drawing has
    /// it.
    Clocks,
    /// A pattern that is fitted as a whole: it takes both translations and the rotation at once.
    Fits,
}

/// The roles of these letters, in their order, or why one has none. A datum without a feature is a face
/// that is not in the drawing's view and has no role here. The first datum that can stop the rotation
/// stops it, whichever orientation was read first.
pub(super) fn roles<'a>(job: &Job, letters: &'a [String]) -> Vec<Result<Role<'a>, Unjudged>> {
    let mut free = [true; 2];
    // Whether a round feature took both translations; whether the rotation is stopped.
    let (mut round, mut stopped) = (false, false);
    let mut list = Vec::with_capacity(letters.len());
    for letter in letters {
        let Some(datum) = job.drawing.datums.iter().find(|d| d.letter == *letter) else {
            list.push(Err(Unjudged::UnknownDatum(letter.clone())));
            continue;
        };
        let on = match carrier(job, datum) {
            Ok(Some(on)) => on,
            Ok(None) => continue,
            Err(why) => {
                list.push(Err(why));
                continue;
            }
        };
        let (takes, kind) = match &on {
            Carrier::Feature(index) => match job.drawing.features.get(*index) {
                Some(feature) => (takes(feature, free), Some(feature.kind)),
                None => continue,
            },
            Carrier::Pattern(..) => (free, None),
        };
        let fit = matches!(on, Carrier::Pattern(PatternKind::BestFit, _));
        let turn = match kind {
            _ if stopped => Turn::Leaves,
            None if fit && takes == [true; 2] => Turn::Fits,
            Some(Kind::Face) => Turn::Square,
            Some(Kind::Slot | Kind::Tab) if !round => Turn::Square,
            _ if round && takes == [false; 2] => Turn::Clocks,
            _ => Turn::Leaves,
        };
        for (free, taken) in free.iter_mut().zip(takes) {
            *free &= !taken;
        }
        round |= takes == [true; 2];
        stopped |= turn != Turn::Leaves;
        list.push(Ok(Role { letter, on, takes, turn }));
    }
    list
}

/// What carries a datum; none where it is a face that is not in the drawing's view.
fn carrier(job: &Job, datum: &Datum) -> Result<Option<Carrier>, Unjudged> {
    let index = |number: &str| job.drawing.features.iter().position(|f| f.number == number);
    if let Some(pattern) = &datum.pattern {
        let faulty = || Unjudged::DatumPattern(datum.letter.clone());
        let round = |i: &usize| job.drawing.features.get(*i).is_some_and(|f| f.kind.is_round());
        let members: Option<Vec<usize>> =
            pattern.features.iter().map(|n| index(n).filter(round)).collect();
        let members = members.ok_or_else(faulty)?;
        let once: FxHashSet<usize> = members.iter().copied().collect();
        if once.len() < members.len() || members.len() < pattern.kind.fewest() {
            return Err(faulty());
        }
        return Ok(Some(Carrier::Pattern(pattern.kind, members)));
    }
    let Some(number) = datum.feature.as_deref() else { return Ok(None) };
    let unknown = || Unjudged::UnknownDatum(datum.letter.clone());
    index(number).map(Carrier::Feature).map(Some).ok_or_else(unknown)
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

/// The features that stop the rotation in the frame of these letters, by their index in the drawing;
/// None where the frame is not turned.
#[must_use]
pub fn turned_by(job: &Job, letters: &[String]) -> Option<Vec<usize>> {
    let turns = |r: &Role<'_>| matches!(r.turn, Turn::Clocks | Turn::Fits);
    let stops = roles(job, letters).into_iter().flatten().find(turns)?;
    Some(match stops.on {
        Carrier::Feature(feature) => vec![feature],
        Carrier::Pattern(_, features) => features,
    })
}

/// The faces among these letters that the frame touches at their outermost point, by their index in the
/// drawing.
#[must_use]
pub fn touched_faces(job: &Job, letters: &[String]) -> Vec<usize> {
    let touched = |role: Role<'_>| match role.on {
        Carrier::Feature(index) if role.turn == Turn::Leaves && role.takes != [false; 2] => {
            let feature = job.drawing.features.get(index);
            feature.is_some_and(|f| f.kind == Kind::Face).then_some(index)
        }
        _ => None,
    };
    roles(job, letters).into_iter().flatten().filter_map(touched).collect()
}
