//! A hole of the pattern as it was measured, checked at the door.

use std::error::Error;
use std::fmt;

/// Coordinates beyond this are refused, in millimetres: ten kilometres are no workpiece, and
/// their squares still fit.
const LARGEST: f64 = 1e7;

/// What a comparison with a limit may be off by without changing its outcome, in millimetres.
pub(super) const NOISE: f64 = crate::quantity::NOISE.to_mm();

/// A hole (or boss, slot, tab) of the pattern.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Member {
    /// Where the drawing puts it: x and y in the frame, millimetres.
    pub nominal: [f64; 2],
    /// Measured less nominal in x and y, millimetres; `None` where it was not measured, or does
    /// not count, as along a slot.
    pub deviation: [Option<f64>; 2],
    /// How far it may be off, bonus included; `None` where nothing is asked of it.
    pub zone: Option<Zone>,
}

/// The zone of a deviation, about the nominal place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Zone {
    /// Round: this radius, half of the tolerance with its bonus, millimetres.
    Round(f64),
    /// Half widths in x and in y, millimetres; `None` where that axis is free. A slot has one, a
    /// rectangular zone both.
    Sides([Option<f64>; 2]),
}

impl Zone {
    /// How far a deviation is beyond the zone, millimetres, negative inside; `None` where a
    /// coordinate that counts is not known, or none counts.
    #[must_use]
    pub fn beyond(self, deviation: [Option<f64>; 2]) -> Option<f64> {
        match self {
            Self::Round(radius) => match deviation {
                [Some(dx), Some(dy)] => Some(libm::hypot(dx, dy) - radius),
                _ => None,
            },
            Self::Sides(halves) => {
                let mut most = None;
                for (half, d) in halves.into_iter().zip(deviation) {
                    let Some(half) = half else { continue };
                    let by = d?.abs() - half;
                    most = Some(most.map_or(by, |m: f64| m.max(by)));
                }
                most
            }
        }
    }

    /// Whether a deviation is in the zone, a tie counting as inside; `None` where that cannot be
    /// said. One coordinate may be enough to say no.
    #[must_use]
    pub fn conforms(self, deviation: [Option<f64>; 2]) -> Option<bool> {
        if let Some(by) = self.beyond(deviation) {
            return Some(by <= NOISE);
        }
        let limits = match self {
            Self::Round(radius) => [Some(radius); 2],
            Self::Sides(halves) => halves,
        };
        let out = limits
            .into_iter()
            .zip(deviation)
            .any(|(limit, d)| matches!((limit, d), (Some(a), Some(d)) if d.abs() - a > NOISE));
        out.then_some(false)
    }

    fn limits(self) -> [Option<f64>; 2] {
        match self {
            Self::Round(radius) => [Some(radius), None],
            Self::Sides(halves) => halves,
        }
    }
}

impl Member {
    /// Whether at least one coordinate was measured.
    #[must_use]
    pub fn is_measured(&self) -> bool {
        self.deviation.iter().any(Option::is_some)
    }
}

/// What is wrong with the input.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// A coordinate of this member is not a number, or beyond ten kilometres.
    Coordinate {
        /// Index of the member.
        member: usize,
    },
    /// The zone of this member is not a number, or negative.
    Zone {
        /// Index of the member.
        member: usize,
    },
    /// The standard uncertainty is not a number, or negative.
    Uncertainty,
    /// This piece has not the members of the first, at the same places.
    Piece {
        /// Index of the piece.
        piece: usize,
    },
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Coordinate { member } => write!(
                f,
                "member {member}: a coordinate is not a number, or larger than 10 km; leave it out \
                 if it was not measured"
            ),
            Self::Zone { member } => {
                write!(f, "member {member}: its zone must be a number, zero or more")
            }
            Self::Uncertainty => {
                write!(f, "the standard uncertainty must be a number, zero or more")
            }
            Self::Piece { piece } => write!(
                f,
                "piece {piece}: it needs the members of the first piece, in their order and at \
                 their nominal places"
            ),
        }
    }
}

impl Error for Trouble {}

/// Whether every number can be worked with.
pub(super) fn check(members: &[Member]) -> Result<(), Trouble> {
    let fits = |v: f64| v.is_finite() && v.abs() <= LARGEST;
    for (i, m) in members.iter().enumerate() {
        let all = m.nominal.into_iter().chain(m.deviation.into_iter().flatten());
        if !all.into_iter().all(fits) {
            return Err(Trouble::Coordinate { member: i });
        }
        let mut limits = m.zone.into_iter().flat_map(Zone::limits).flatten();
        if !limits.all(|a| fits(a) && a >= 0.0) {
            return Err(Trouble::Zone { member: i });
        }
    }
    Ok(())
}

/// The mean deviation of every member over several pieces, each coordinate over the pieces that
/// know it. The zone is the narrowest; what all pieces share shows in the mean, and what scatters
/// from piece to piece recedes.
///
/// # Errors
/// [`Trouble::Piece`] where a piece has not the members of the first, and what is wrong with a
/// number otherwise.
pub fn mean(pieces: &[Vec<Member>]) -> Result<Vec<Member>, Trouble> {
    let Some((first, rest)) = pieces.split_first() else { return Ok(Vec::new()) };
    check(first)?;
    let mut sums: Vec<[(f64, f64); 2]> = vec![[(0.0, 0.0); 2]; first.len()];
    let mut out = first.clone();
    for (i, piece) in rest.iter().enumerate() {
        check(piece)?;
        let same = piece.len() == first.len()
            && piece.iter().zip(first).all(|(a, b)| {
                a.nominal.into_iter().zip(b.nominal).all(|(a, b)| (a - b).abs() <= NOISE)
            });
        if !same {
            return Err(Trouble::Piece { piece: i + 1 });
        }
        for (to, from) in out.iter_mut().zip(piece) {
            to.zone = narrower(to.zone, from.zone);
        }
    }
    for piece in pieces {
        for (sum, m) in sums.iter_mut().zip(piece) {
            for (sum, d) in sum.iter_mut().zip(m.deviation) {
                if let Some(d) = d {
                    sum.0 += d;
                    sum.1 += 1.0;
                }
            }
        }
    }
    for (to, sum) in out.iter_mut().zip(sums) {
        to.deviation = sum.map(|(sum, n)| (n > 0.0).then(|| sum / n));
    }
    Ok(out)
}

/// The zone that lies in both, of zones of one kind; of a round one and another the first, which
/// is the same requirement read twice.
fn narrower(a: Option<Zone>, b: Option<Zone>) -> Option<Zone> {
    match (a, b) {
        (Some(Zone::Round(a)), Some(Zone::Round(b))) => Some(Zone::Round(a.min(b))),
        (Some(Zone::Sides([ax, ay])), Some(Zone::Sides([bx, by]))) => {
            Some(Zone::Sides([least(ax, bx), least(ay, by)]))
        }
        (a, b) => a.or(b),
    }
}

fn least(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(dx: Option<f64>, dy: Option<f64>, zone: Zone) -> Member {
        Member { nominal: [10.0, 5.0], deviation: [dx, dy], zone: Some(zone) }
    }

    #[test]
    fn a_zone_says_no_with_one_coordinate_and_yes_with_both() {
        let round = Zone::Round(0.05);
        assert_eq!(round.conforms([Some(0.03), Some(0.04)]), Some(true));
        assert_eq!(round.conforms([Some(0.03), Some(0.0401)]), Some(false));
        assert_eq!(round.conforms([Some(0.03), None]), None);
        assert_eq!(round.conforms([None, Some(-0.06)]), Some(false));
        let slot = Zone::Sides([None, Some(0.02)]);
        assert_eq!(slot.conforms([None, Some(-0.02)]), Some(true));
        assert_eq!(slot.conforms([Some(0.0), None]), None);
        let both = Zone::Sides([Some(0.01), Some(0.02)]);
        assert_eq!(both.conforms([Some(0.01), Some(0.021)]), Some(false));
        assert_eq!(both.conforms([None, Some(0.021)]), Some(false));
        assert_eq!(Zone::Sides([None; 2]).conforms([Some(1.0), Some(1.0)]), None);
    }

    #[test]
    fn the_mean_counts_what_was_measured() {
        let a = at(Some(0.03), None, Zone::Round(0.1));
        let b = at(Some(0.01), Some(0.02), Zone::Round(0.08));
        let m = mean(&[vec![a], vec![b]]).unwrap();
        assert!((m[0].deviation[0].unwrap() - 0.02).abs() < 1e-15);
        assert!((m[0].deviation[1].unwrap() - 0.02).abs() < 1e-15);
        assert_eq!(m[0].zone, Some(Zone::Round(0.08)));
        let mut c = b;
        c.nominal[1] += 1.0;
        assert_eq!(mean(&[vec![a], vec![b], vec![c]]), Err(Trouble::Piece { piece: 2 }));
        assert_eq!(mean(&[]), Ok(Vec::new()));
    }

    #[test]
    fn what_is_no_number_is_refused_with_its_place() {
        let good = at(Some(0.0), Some(0.0), Zone::Round(0.1));
        for bad in [f64::NAN, f64::INFINITY, 1e300] {
            let m = at(Some(bad), None, Zone::Round(0.1));
            assert_eq!(check(&[good, m]), Err(Trouble::Coordinate { member: 1 }));
            let m = at(Some(0.0), None, Zone::Sides([None, Some(bad)]));
            assert_eq!(check(&[good, m]), Err(Trouble::Zone { member: 1 }));
        }
        assert_eq!(check(&[at(None, None, Zone::Round(-0.1))]), Err(Trouble::Zone { member: 0 }));
    }
}
