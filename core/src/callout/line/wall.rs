//! A wall: from the surface of one feature to the surface of another.
//!
//! ```text
//! side by side:  d less both halves             one inside the other:  half less half less d
//!
//!      (  a  )|<-- wall -->|(  b  )                  |          (  a  )|wall|  b
//!         |<------- d ------->|                      |<- b/2 ->|
//!      |a/2|              |b/2|                             |<>| d
//!
//! a hole and a face:  d less the half           a tube, a bore in its outside: the thinnest place
//! ```
//!
//! `d` is the distance of the axes, or of axis and face or centre plane square to it. A face has no
//! half. An outer feature ends where its half ends, as an inner one does; only where one lies
//! inside the other, the half of the outer one is what the wall is left of.

use super::distance::{Apart, on, said, unit};
use super::seen::both;
use super::{Found, Half, Hangs, LineUnjudged, Part, Seen, Term, Way};
use crate::job::Range;
use crate::quantity::{Axis, Length};

/// The wall between two features. Of sizes seen in several orientations those count that leave less
/// room to the limits: the thinnest wall, or the thickest where an upper limit is nearer.
///
/// # Errors
/// What was not measured, or two features between which there is no such wall.
pub fn wall(a: &Seen, b: &Seen, allowed: Range) -> Result<Found, LineUnjudged> {
    if a.index == b.index {
        return Err(LineUnjudged::Twice(a.name.clone()));
    }
    let halves = both(a.halves(), b.halves());
    let (gap, halves) = both(Gap::of(a, b), halves)?;
    let walls = [true, false].map(|thin| thickness(&gap, (a, halves.0), (b, halves.1), thin));
    let [thin, thick] = walls;
    let margin = |w: &Thickness| allowed.margin(Length::mm(w.mm));
    let chosen = if margin(&thick) < margin(&thin) { thick } else { thin };
    let measured = Length::mm(chosen.mm);
    let mut parts = gap.parts;
    parts.extend(chosen.parts);
    parts.push(Part::length("wall", measured, chosen.how));
    let hangs = Hangs { sizes: chosen.sizes, ..on(gap.way.times(chosen.by_distance)) };
    Ok(Found { measured, allowed, zone: false, parts, hangs })
}

/// How far apart the axes, centre planes and faces are.
struct Gap {
    distance: f64,
    parts: Vec<Part>,
    way: Across,
}

/// How that hangs on the places.
enum Across {
    Axis { places: Vec<(usize, [f64; 2])> },
    Straight(Apart),
}

impl Across {
    fn times(&self, times: f64) -> Way {
        match self {
            Self::Axis { places } => {
                Way::Given(places.iter().map(|(f, g)| (*f, g.map(|g| times * g))).collect())
            }
            Self::Straight(apart) => apart.way(times),
        }
    }
}

impl Gap {
    fn of(a: &Seen, b: &Seen) -> Result<Self, LineUnjudged> {
        let axis = match (a.plane, b.plane) {
            (Some(own), Some(other)) if own != other => {
                return Err(LineUnjudged::Across(a.name.clone(), b.name.clone()));
            }
            (Some(axis), _) | (None, Some(axis)) => axis,
            (None, None) => {
                let apart = Apart::of(Some(a), b)?;
                let mut parts = apart.parts.clone();
                parts.push(Part::length("distance", Length::mm(apart.distance), apart.how()));
                return Ok(Self { distance: apart.distance, parts, way: Across::Straight(apart) });
            }
        };
        let (start, end) = both(a.along(axis), b.along(axis))?;
        b.one_read(Some(a), axis)?;
        let sign = if end < start { -1.0 } else { 1.0 };
        let i = usize::from(axis == Axis::Y);
        let (large, small) = (start.max(end), start.min(end));
        let parts = vec![
            Part::length(a.coordinate(axis), Length::mm(start), said(a, i)),
            Part::length(b.coordinate(axis), Length::mm(end), said(b, i)),
            Part::length(
                "distance",
                Length::mm(large - small),
                vec![Length::mm(large).into(), " − ".into(), Length::mm(small).into()],
            ),
        ];
        let places = vec![(b.index, unit(axis, sign)), (a.index, unit(axis, -sign))];
        Ok(Self { distance: large - small, parts, way: Across::Axis { places } })
    }
}

struct Thickness {
    mm: f64,
    by_distance: f64,
    sizes: Vec<(usize, f64)>,
    parts: Vec<Part>,
    how: Vec<Term>,
}

/// The wall with the sizes that make it thinnest or thickest.
fn thickness(
    gap: &Gap,
    (a, halves_a): (&Seen, [Half; 2]),
    (b, halves_b): (&Seen, [Half; 2]),
    thin: bool,
) -> Thickness {
    let d = gap.distance;
    let outer = |one: &Seen, halves: [Half; 2]| !one.kind.is_internal() && d < halves[1].mm;
    // The inner one of two that lie in each other; neither where they are side by side.
    let inside = match (a.kind.is_internal(), b.kind.is_internal()) {
        (true, false) if outer(b, halves_b) => Some(true),
        (false, true) if outer(a, halves_a) => Some(false),
        _ => None,
    };
    let pick = |halves: [Half; 2], largest: bool| halves[usize::from(largest)];
    let of = |one: &Seen, half: Half| {
        let label = format!("half of {}", one.name);
        let how = vec![Length::mm(2.0 * half.mm).into(), " ÷ 2".into()];
        (half.by_size > 0.0).then(|| Part::length(label, Length::mm(half.mm), how))
    };
    let minus = |half: Half| -> Vec<Term> {
        if half.by_size > 0.0 {
            vec![" − ".into(), Length::mm(half.mm).into()]
        } else {
            Vec::new()
        }
    };
    let size = |one: &Seen, derivative: f64| (derivative != 0.0).then_some((one.index, derivative));
    if let Some(a_is_inner) = inside {
        let ((inner, i), (outer, o)) = if a_is_inner {
            ((a, halves_a), (b, halves_b))
        } else {
            ((b, halves_b), (a, halves_a))
        };
        let (i, o) = (pick(i, thin), pick(o, !thin));
        let mut how = vec![Length::mm(o.mm).into()];
        how.extend(minus(i));
        how.extend([" − ".into(), Length::mm(d).into()]);
        return Thickness {
            mm: o.mm - i.mm - d,
            by_distance: -1.0,
            sizes: [size(outer, o.by_size), size(inner, -i.by_size)]
                .into_iter()
                .flatten()
                .collect(),
            parts: [of(outer, o), of(inner, i)].into_iter().flatten().collect(),
            how,
        };
    }
    let (half_a, half_b) = (pick(halves_a, thin), pick(halves_b, thin));
    let mut how = vec![Length::mm(d).into()];
    how.extend(minus(half_a));
    how.extend(minus(half_b));
    Thickness {
        mm: d - half_a.mm - half_b.mm,
        by_distance: 1.0,
        sizes: [size(a, -half_a.by_size), size(b, -half_b.by_size)].into_iter().flatten().collect(),
        parts: [of(a, half_a), of(b, half_b)].into_iter().flatten().collect(),
        how,
    }
}
