//! Which datum each orientation refers to, and what that means for the callouts.
//!
//! A datum feature that is touched makes the frame wherever the zero was. Where none is touched
//! along a direction, what the readings count from stands for it, and if that is no datum it is
//! said. Before anything is read, it is what they will count from.

use super::{NoDatumFrom, Place, Problem, ProblemKind};
use crate::bench::{carries, touches};
use crate::job::{Datum, DatumRef, Drawing, Feature, Job, Orientation, Zero};
use crate::quantity::{Axis, Side};
use rustc_hash::FxHashSet;

/// What readings of an orientation take as true in the end.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Base<'a> {
    /// A feature, by its number.
    Feature(&'a str),
    /// An edge of the outline that is no feature.
    Edge(Side),
    /// Nothing that the drawing has.
    Nothing,
}

impl<'a> Base<'a> {
    fn of(job: &'a Job, orientation: &'a Orientation, zero: &'a Zero) -> Self {
        if let Zero::Feature(number) = zero {
            return Self::Feature(number);
        }
        if let Some(face) = &orientation.rest.face {
            return Self::Feature(face);
        }
        let mut faces = job.drawing.features.iter().filter(|f| carries(job, orientation, f));
        // Of two faces in one edge, the datum.
        let face = faces.clone().find(|f| is_datum(&job.drawing, &f.number));
        match (face.or_else(|| faces.next()), orientation.up_side()) {
            (Some(face), _) => Self::Feature(&face.number),
            (None, Some(up)) => Self::Edge(up.opposite()),
            (None, None) => Self::Nothing,
        }
    }

    fn is_datum(self, drawing: &Drawing) -> bool {
        matches!(self, Self::Feature(number) if is_datum(drawing, number))
    }
}

fn is_datum(drawing: &Drawing, number: &str) -> bool {
    drawing.datums.iter().any(|d| d.feature.as_deref() == Some(number))
}

/// The zeros that the chains of readings in an orientation end at, in all pieces; that of the
/// orientation where nothing was read yet.
fn ends<'a>(job: &'a Job, orientation: &'a Orientation) -> Vec<&'a Zero> {
    let mut found: Vec<&Zero> = Vec::new();
    for piece in &job.pieces {
        let read = || {
            piece.readings.iter().filter(|r| r.orientation == orientation.number && !r.is_empty())
        };
        let mut numbers: Option<FxHashSet<&str>> = None;
        for zero in read().map(|r| r.zero_in(orientation)) {
            let own = *zero != orientation.zero;
            // One that was read itself is a link, and no end.
            let link = own
                && matches!(zero, Zero::Feature(number) if numbers
                    .get_or_insert_with(|| read().map(|r| r.feature.as_str()).collect())
                    .contains(number.as_str()));
            if !link && !found.contains(&zero) {
                found.push(zero);
            }
        }
    }
    if found.is_empty() {
        found.push(&orientation.zero);
    }
    found
}

/// Whether a datum feature along the direction that is up is touched in every piece that was read
/// in this orientation, and in one at least: it brings the frame with it.
fn touched(job: &Job, o: &Orientation) -> bool {
    let read = |number: &str| {
        let mut pieces = job
            .pieces
            .iter()
            .filter(|p| p.readings.iter().any(|r| r.orientation == o.number && !r.is_empty()))
            .peekable();
        pieces.peek().is_some()
            && pieces.all(|p| p.reading(o.number, number).is_some_and(|r| !r.is_empty()))
    };
    let touched = |number: &String| {
        job.feature(number).is_some_and(|f| !touches(f, o).is_empty() && read(number))
    };
    // Of a pattern all must be, but for the one that may be the zero.
    let is_zero = |number: &String| matches!(&o.zero, Zero::Feature(zero) if zero == number);
    job.drawing.datums.iter().any(|d| {
        d.carriers().any(touched)
            && d.carriers().all(|n| touched(n) || (d.pattern.is_some() && is_zero(n)))
    })
}

/// A feature whose position is judged from `number` along `axis` although its callout names
/// neither that nor any other datum there: one that it names and that was not measured leaves it
/// unjudged.
fn judged_from<'a>(job: &'a Job, number: &str, axis: Option<Axis>) -> Option<&'a Feature> {
    let by_number = job.drawing.by_number();
    let feature = |n: &String| job.drawing.features.get(*by_number.get(n.as_str())?);
    let stands = |named: &DatumRef| {
        let datum = job.drawing.datums.iter().find(|d| d.letter == named.letter);
        datum.into_iter().flat_map(Datum::carriers).filter_map(feature)
    };
    let speaks = |f: &Feature| {
        let along = |own: Axis| axis.is_none_or(|axis| own == axis);
        f.number == number || f.kind.is_round() || f.plane_axis().is_some_and(along)
    };
    let asks = |f: &&Feature| {
        let names = |datums: &[DatumRef]| datums.iter().flat_map(stands).any(speaks);
        f.position().is_some_and(|p| !p.datums.is_empty() && !names(&p.datums))
    };
    job.drawing.features.iter().find(asks)
}

/// Says of each orientation that does not refer to a datum what that does to its coordinates.
pub(super) fn without_datum(job: &Job) -> Vec<Problem> {
    let asks =
        job.drawing.features.iter().any(|f| f.position().is_some_and(|p| !p.datums.is_empty()));
    if !asks {
        return Vec::new();
    }
    let (mut without_datum, mut elsewhere) = (Vec::new(), Vec::new());
    for o in &job.plan.orientations {
        if touched(job, o) {
            continue;
        }
        let mut told: Vec<Base<'_>> = Vec::new();
        for base in ends(job, o).into_iter().map(|zero| Base::of(job, o, zero)) {
            if told.contains(&base) {
                continue;
            }
            told.push(base);
            match base {
                Base::Feature(number) if base.is_datum(&job.drawing) => {
                    let other = judged_from(job, number, o.up().square_axis());
                    elsewhere.extend(other.map(|other| judged_elsewhere(o, number, other)));
                }
                _ => without_datum.push(no_datum(o, base)),
            }
        }
    }
    without_datum.extend(elsewhere);
    without_datum
}

fn judged_elsewhere(o: &Orientation, number: &str, other: &Feature) -> Problem {
    let what = ProblemKind::JudgedFrom {
        orientation: o.number,
        from: number.to_owned(),
        feature: other.name(),
    };
    Problem::warns(Place::Orientation(o.number), what)
}

fn no_datum(o: &Orientation, base: Base<'_>) -> Problem {
    let from = match base {
        Base::Feature(number) => NoDatumFrom::Feature(number.to_owned()),
        Base::Edge(side) => NoDatumFrom::Edge(side),
        Base::Nothing => NoDatumFrom::Nothing,
    };
    let axis = o.up().square_axis();
    let what = ProblemKind::NoDatum { orientation: o.number, axis, from };
    Problem::warns(Place::Orientation(o.number), what)
}
