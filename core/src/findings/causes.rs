//! What kind of error the patterns of a piece, or of a lot, have in common.
//!
//! The features of one datum frame are one pattern. Their deviations are those in the frame as it
//! was set up from the datums regardless of their size: what the machine did, before any shift that
//! a functional gauge would allow.

use super::{FeatureFinding, PieceFinding};
use crate::bench::{TouchUncertainty, Touched};
use crate::callout::{Verdict, Zone};
use crate::cause::{self, Diagnosis, Fitted, Member, OneOffset, Spot, diagnose_from, one_offset};
use crate::chance::fisher;
use crate::fit::{self, Freedom};
use crate::job::{DatumRef, Feature, Job, Piece, Zero};
use crate::quantity::{Axis, Length};

/// What is wrong with the pattern of one datum frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    /// The datums of its callouts.
    pub datums: Vec<DatumRef>,
    /// Indices of its features in the drawing, in the order of the members of the diagnosis.
    pub features: Vec<usize>,
    /// How many pieces it is the mean of.
    pub pieces: usize,
    /// The diagnosis of the piece, or of the mean deviations of the pieces.
    pub diagnosis: Diagnosis,
    /// Whether one change of the work offset suits every piece.
    pub offset: OneOffset,
    /// The same with a rotation.
    pub turned: OneOffset,
}

/// Finds the kind of error of every pattern, from one piece or from several together.
#[must_use]
pub fn causes(job: &Job, pieces: &[&PieceFinding]) -> Vec<Cause> {
    let mut frames: Vec<(Vec<DatumRef>, Vec<usize>)> = Vec::new();
    for (index, feature) in job.drawing.features.iter().enumerate() {
        let Some(position) = feature.position() else { continue };
        match frames.iter_mut().find(|(datums, _)| *datums == position.datums) {
            Some((_, features)) => features.push(index),
            None => frames.push((position.datums.clone(), vec![index])),
        }
    }
    frames.into_iter().filter_map(|(datums, features)| one(job, pieces, datums, features)).collect()
}

fn one(
    job: &Job,
    pieces: &[&PieceFinding],
    datums: Vec<DatumRef>,
    features: Vec<usize>,
) -> Option<Cause> {
    let mut all: Vec<Vec<Member>> = Vec::new();
    let mut variances: Vec<f64> = Vec::new();
    for piece in pieces {
        let members: Vec<Member> = features
            .iter()
            .map(|&f| {
                let (feature, found) = (job.drawing.features.get(f)?, piece.features.get(f)?);
                variances.extend(found.covariance.iter().flat_map(|c| [c[0][0], c[1][1]]));
                Some(member(job, feature, found))
            })
            .collect::<Option<_>>()?;
        if members.iter().any(Member::is_measured) {
            all.push(members);
        }
    }
    // Figures that cannot be worked with are refused where they are read.
    let mean = cause::mean(&all).ok().filter(|m| !m.is_empty())?;
    #[expect(clippy::cast_precision_loss, reason = "a count of features")]
    let sigma = (!variances.is_empty())
        .then(|| (variances.iter().sum::<f64>() / variances.len() as f64).max(0.0).sqrt());
    let zeros = zeros(job, all.len());
    let diagnosis = diagnose_from(&mean, sigma, zeros, fisher::survival).ok()?;
    let offset = one_offset(&all, false, minimax).ok()?;
    let turned = one_offset(&all, true, minimax).ok()?;
    Some(Cause { datums, features, pieces: all.len(), diagnosis, offset, turned })
}

/// Standard uncertainty of what all x and all y of a pattern have in common, millimetres, in the mean of
/// so many pieces: the zeros of the orientations that look along the axis, set anew for each piece, and
/// half the probe constant, which is in every centre alike. Nothing where the gauge is not known.
fn zeros(job: &Job, pieces: usize) -> [f64; 2] {
    let uncertainty = TouchUncertainty::of(job, &Piece::default());
    let unit = job.drawing.unit;
    [Axis::X, Axis::Y].map(|axis| {
        let (mut weight, mut probe) = (0.0, 0.0_f64);
        let plan = job.plan.orientations.iter();
        for o in plan.filter(|o| o.up().square_axis() == Some(axis)) {
            if !uncertainty.known(o.instrument) {
                continue;
            }
            let touch = uncertainty.standard(Touched::single(o.instrument, 1)).to_mm();
            let stated = job.plan.conditions.rest_standard.map(|u| u.length(unit).to_mm());
            let zero = stated.filter(|_| o.zero == Zero::Plate).unwrap_or(touch);
            if zero > 0.0 {
                weight += 1.0 / (zero * zero);
            }
            probe = probe.max(0.5 * uncertainty.probe(o.instrument).to_mm());
        }
        #[expect(clippy::cast_precision_loss, reason = "a count of pieces")]
        let of_zeros = if weight > 0.0 { 1.0 / (weight * pieces.max(1) as f64) } else { 0.0 };
        (of_zeros + probe * probe).sqrt()
    })
}

fn member(job: &Job, feature: &Feature, found: &FeatureFinding) -> Member {
    let at = feature.basic_point(job.drawing.unit);
    let position = found.position.as_ref();
    let judged = found.fault.is_none() && position.is_some_and(|p| p.unjudged.is_none());
    let half = position.map_or(0.0, |p| 0.5 * p.allowed.to_mm());
    let zone = position.filter(|p| p.verdict != Verdict::CannotBeJudged).map(|p| match p.zone {
        Zone::Round => cause::Zone::Round(half),
        Zone::Planes(Axis::X) => cause::Zone::Sides([Some(half), None]),
        Zone::Planes(Axis::Y) => cause::Zone::Sides([None, Some(half)]),
    });
    // Along itself a slot has no deviation that counts.
    let counts = match feature.plane_axis() {
        Some(Axis::X) => [true, false],
        Some(Axis::Y) => [false, true],
        None => [true; 2],
    };
    let deviation = [(found.x, counts[0]), (found.y, counts[1])]
        .map(|(c, counts)| c.deviation().filter(|_| counts && judged).map(Length::to_mm));
    Member { nominal: [at.x.to_mm(), at.y.to_mm()], deviation, zone }
}

/// The smallest excess over all zones that one movement leaves.
fn minimax(spots: &[Spot], turning: bool) -> Option<Fitted> {
    let mut members = Vec::with_capacity(spots.len());
    for s in spots {
        let measured = [s.nominal[0] + s.deviation[0], s.nominal[1] + s.deviation[1]];
        let mut put = |zone| members.push(fit::Member { nominal: s.nominal, measured, zone });
        match s.zone {
            cause::Zone::Round(radius) => put(fit::Zone::Round { radius }),
            cause::Zone::Sides([x, y]) => {
                for (axis, half) in [(Axis::X, x), (Axis::Y, y)] {
                    if let Some(half) = half {
                        put(fit::Zone::Planes { normal: axis.unit(), half });
                    }
                }
            }
        }
    }
    let freedom = if turning { Freedom::FREE } else { Freedom::SLIDING };
    let found = fit::fit(&members, &[], freedom).ok()?;
    Some(Fitted { beyond: found.s(), offset: found.shift(), turn: found.turn() })
}
