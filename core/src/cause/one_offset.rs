//! One correction for several pieces: can every hole of all of them be brought into its zone?
//!
//! The question is min over t (and θ) of max over all holes of |d + t + θ J n| − a, with d the
//! deviations and a what is allowed: the smallest circle about the deviations, each with an
//! allowance of its own, or with a rotation the minimax fit of ISO 5458 patterns. Least squares
//! answers another question and rejects what could be saved. The solver is the caller's; what it
//! answers is not believed but tried on every hole.
//!
//! Pieces that are made keep their holes. What is answered is whether the machine that made these
//! pieces has only to be offset to make pieces like them that conform; or, where the holes were
//! bored undersize, whether one offset for all of them would save them.

use super::correction::Correction;
use super::foresee::foresee;
use super::member::{Member, NOISE, Trouble, Zone, check};

/// A hole for the solver. Both coordinates are known, or the zone does not ask for the other, and
/// then its deviation is zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Nominal place, millimetres.
    pub nominal: [f64; 2],
    /// Measured less nominal, millimetres.
    pub deviation: [f64; 2],
    /// Its zone.
    pub zone: Zone,
}

/// What the solver found. The holes are moved by t + θ (−y, x) at their nominal places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fitted {
    /// The most that any hole is still beyond its zone, millimetres, as a radius; negative: the
    /// margin.
    pub beyond: f64,
    /// t, millimetres.
    pub offset: [f64; 2],
    /// θ, radians, counter-clockwise positive; zero where no rotation was asked for.
    pub turn: f64,
}

/// The correction with what it does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan {
    /// The best common correction.
    pub correction: Correction,
    /// The most that any hole is beyond its zone after it, millimetres; negative: the margin.
    pub beyond: f64,
    /// Pieces of which every judged hole conforms as they are.
    pub now: usize,
    /// Pieces of which it does after the correction.
    pub then: usize,
    /// Pieces with a hole to judge.
    pub pieces: usize,
    /// Holes of all pieces with a zone that too little is known of; they had no say.
    pub unjudged: usize,
}

/// The answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OneOffset {
    /// This correction brings every hole of every piece into its zone.
    Exists(Plan),
    /// None does; this is the best.
    None(Plan),
    /// There is no hole to judge, or the solver found nothing.
    Unanswered,
}

/// Asks for one correction for all pieces, with a rotation if `turning`. `fit` minimises the
/// largest excess over the zones.
///
/// # Errors
/// [`Trouble`] where a number of a piece cannot be worked with.
pub fn one_offset<F>(pieces: &[Vec<Member>], turning: bool, fit: F) -> Result<OneOffset, Trouble>
where
    F: FnOnce(&[Spot], bool) -> Option<Fitted>,
{
    let mut spots = Vec::new();
    let mut unjudged = 0;
    for piece in pieces {
        check(piece)?;
        for m in piece {
            let Some(zone) = m.zone else { continue };
            if zone.beyond(m.deviation).is_some() {
                let deviation = m.deviation.map(|d| d.unwrap_or(0.0));
                spots.push(Spot { nominal: m.nominal, deviation, zone });
            } else {
                unjudged += 1;
            }
        }
    }
    if spots.is_empty() {
        return Ok(OneOffset::Unanswered);
    }
    let Some(found) = fit(&spots, turning) else { return Ok(OneOffset::Unanswered) };
    let turn = if turning { found.turn } else { 0.0 };
    let correction = Correction { offset: found.offset, turn };
    if !found.offset.into_iter().chain([turn]).all(f64::is_finite) {
        return Ok(OneOffset::Unanswered);
    }
    // Tried on every hole, with the rotation in full.
    let beyond = spots
        .iter()
        .filter_map(|s| {
            let [dx, dy] = correction.moves(s.nominal);
            s.zone.beyond([Some(s.deviation[0] + dx), Some(s.deviation[1] + dy)])
        })
        .fold(f64::NEG_INFINITY, f64::max);
    let mut plan = Plan { correction, beyond, now: 0, then: 0, pieces: 0, unjudged };
    for piece in pieces {
        let good = |change: &dyn Fn([f64; 2]) -> [f64; 2]| {
            let f = foresee(piece, change);
            (f.judged > 0 && f.judged == f.conforming, f.judged > 0)
        };
        let (now, judged) = good(&|_| [0.0; 2]);
        let (then, _) = good(&|n| correction.moves(n));
        plan.now += usize::from(now);
        plan.then += usize::from(then);
        plan.pieces += usize::from(judged);
    }
    Ok(if beyond <= NOISE { OneOffset::Exists(plan) } else { OneOffset::None(plan) })
}
