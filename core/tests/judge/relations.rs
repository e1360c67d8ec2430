//! What is asked between features.

use super::answer::{RelationAnswer, Verdict};
use super::document::{Boundary, DatumRef, Document, Kind, Limits, Pair, Relation};
use super::frame::{Part, Precedence};
use super::size;

/// The drawing's own frame: all its datums in their order, regardless of their sizes.
fn frame_of_drawing(job: &Document) -> Vec<DatumRef> {
    job.datums
        .iter()
        .map(|d| DatumRef {
            letter: d.letter.clone(),
            boundary: Boundary::Regardless,
            translates: false,
        })
        .collect()
}

fn held(limits: Limits, measured: Option<f64>) -> RelationAnswer {
    let margin = measured.and_then(|v| {
        [limits.lower.map(|l| v - l), limits.upper.map(|u| u - v)]
            .into_iter()
            .flatten()
            .reduce(f64::min)
    });
    RelationAnswer {
        measured,
        margin,
        verdict: margin.map_or(Verdict::NotMeasured, Verdict::from_margin),
        skipped: false,
    }
}

pub(crate) fn judge(part: &Part<'_>, sizes: &[Vec<(usize, f64)>]) -> Vec<RelationAnswer> {
    let job = part.job;
    let datums = frame_of_drawing(job);
    let precedence = Precedence::of(job, &datums);
    // From one feature to another; from the origin of the frame where it is the same.
    let at = |from: Option<usize>, f: usize| match from {
        Some(from) => part.difference(&precedence, from, f),
        None => part.coordinates(&precedence, [None; 2], f),
    };
    let both = |from: Option<usize>, f: usize| -> Option<Pair> {
        let p = at(from, f);
        Some([p[0]?, p[1]?])
    };
    // Lengths and circles are the same in every frame, and need none.
    let no_frame = Precedence::of(job, &[]);
    let apart = |from: usize, f: usize| -> Option<Pair> {
        let p = part.difference(&no_frame, from, f);
        Some([p[0]?, p[1]?])
    };
    let largest =
        |f: usize| size::counts(&job.features[f], &sizes[f], job.features[f].kind.is_internal());
    job.relations
        .iter()
        .map(|r| match r {
            Relation::Distance { from, to, along, limits } => {
                let measured = match along {
                    Some(a) => {
                        let basic = job.features[*to].basic[*a]
                            - from.map_or(0.0, |from| job.features[from].basic[*a]);
                        // Counted in the direction in which the drawing has it.
                        let is_face = |f: usize| {
                            job.features[f].kind == Kind::Face && job.features[f].axis == Some(*a)
                        };
                        match from {
                            Some(f) if is_face(*f) => part.distance_from_face(*f, *to),
                            Some(f) if is_face(*to) => part.distance_from_face(*to, *f).map(|d| -d),
                            _ => at(*from, *to)[*a],
                        }
                        .map(|d| if basic < 0.0 { -d } else { d })
                    }
                    None => match from {
                        Some(from) => apart(*from, *to),
                        None => both(None, *to),
                    }
                    .map(|d| libm::hypot(d[0], d[1])),
                };
                held(*limits, measured)
            }
            Relation::Wall { between: [p, q], limits } => {
                let (fp, fq) = (&job.features[*p], &job.features[*q]);
                let half = |f: usize| largest(f).map(|d| d / 2.0);
                let measured = match (fp.kind, fq.kind) {
                    (Kind::Face, Kind::Face) => None,
                    (Kind::Face, _) | (_, Kind::Face) => {
                        let (face, hole) = if fp.kind == Kind::Face { (*p, *q) } else { (*q, *p) };
                        part.distance_from_face(face, hole)
                            .map(f64::abs)
                            .zip(half(hole))
                            .map(|(d, h)| d - h)
                    }
                    _ => apart(*p, *q)
                        .and_then(|d| Some(libm::hypot(d[0], d[1]) - half(*p)? - half(*q)?)),
                };
                held(*limits, measured)
            }
            Relation::Coaxiality { of, to, tolerance, modifier } => {
                let measured = apart(*to, *of).map(|d| 2.0 * libm::hypot(d[0], d[1]));
                match size::bonus(&job.features[*of], &sizes[*of], *modifier) {
                    Some(bonus) => {
                        held(Limits { lower: None, upper: Some(tolerance + bonus) }, measured)
                    }
                    None => held(Limits::default(), None),
                }
            }
            Relation::BoltCircle { of, limits } => {
                let points: Option<Vec<Pair>> = of.iter().map(|f| apart(of[0], *f)).collect();
                match points {
                    // No circle, as far as the judge is concerned.
                    Some(p) => match super::circle::fit(&p) {
                        // Far from any circle the sum of squares has several minima.
                        Some((centre, radius))
                            if p.iter().any(|p| {
                                let from = libm::hypot(p[0] - centre[0], p[1] - centre[1]);
                                (from - radius).abs() > 0.02 * radius
                            }) =>
                        {
                            RelationAnswer { skipped: true, ..held(*limits, None) }
                        }
                        Some((_, radius)) => held(*limits, Some(2.0 * radius)),
                        None => RelationAnswer { skipped: true, ..held(*limits, None) },
                    },
                    None => held(*limits, None),
                }
            }
            Relation::Polar { of, centre, radial, around } => {
                // Turned into the frame of radius and angle at the basic place.
                let nc = centre.map_or([0.0; 2], |c| job.features[c].basic);
                let n = job.features[*of].basic;
                let n = [n[0] - nc[0], n[1] - nc[1]];
                let found = both(*centre, *of).map(|v| {
                    let radius = libm::hypot(n[0], n[1]);
                    let dr = libm::hypot(v[0], v[1]) - radius;
                    let turn = libm::atan2(n[0] * v[1] - n[1] * v[0], n[0] * v[0] + n[1] * v[1]);
                    (radial - 2.0 * dr.abs()).min(around - 2.0 * (turn * radius).abs())
                });
                RelationAnswer {
                    measured: None,
                    margin: found,
                    verdict: found.map_or(Verdict::NotMeasured, Verdict::from_margin),
                    skipped: false,
                }
            }
            Relation::Other => RelationAnswer {
                measured: None,
                margin: None,
                verdict: Verdict::NothingAsked,
                skipped: true,
            },
        })
        .collect()
}
