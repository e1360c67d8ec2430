//! How sure a verdict is: the uncertainty of what was measured, the probability that it conforms,
//! and what the decision rule makes of it (JCGM 106:2012; ISO 14253-1).

use super::{Bonus, PositionFinding, SizeFinding, SizeSeen, Verdict, Zone};
use crate::chance::{
    Bivariate, Decision, GrowingBy, Rule, decide, in_disc, in_growing_disc, in_interval,
};
use crate::job::DecisionRule;
use crate::quantity::{Axis, Length};
use serde::Serialize;

/// The usual coverage factor of an expanded uncertainty.
pub const K: f64 = 2.0;

/// A margin of so many standard deviations leaves a probability below 1e-18.
const CERTAIN: f64 = 9.0;

/// How sure a verdict is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Proof {
    /// Standard uncertainty of the margin: of what was measured and of the limit it is held
    /// against, where a bonus makes the limit.
    pub standard: Length,
    /// Expanded uncertainty, k u.
    pub expanded: Length,
    /// The coverage factor k.
    pub coverage: f64,
    /// Probability that the requirement is met, given what was measured.
    pub probability: f64,
}

/// What the decision rule makes of a margin. Only what simple acceptance has decided is decided
/// again; without a known uncertainty a guarded rule proves nothing.
fn decided(
    verdict: Verdict,
    margin: Option<Length>,
    proof: Option<Proof>,
    rule: DecisionRule,
) -> Verdict {
    let DecisionRule::GuardedAcceptance { multiple } = rule else { return verdict };
    if !matches!(verdict, Verdict::Conforms | Verdict::DoesNotConform) {
        return verdict;
    }
    let (Some(margin), Some(proof)) = (margin, proof) else { return Verdict::NotProven };
    match decide(margin.to_mm(), proof.expanded.to_mm(), Rule::Guarded { g: multiple }) {
        Decision::Conforms => Verdict::Conforms,
        Decision::DoesNotConform => Verdict::DoesNotConform,
        Decision::NotProven => Verdict::NotProven,
    }
}

/// How well one measured size is known: its standard uncertainty, and its coverage factor k.
pub type SizeKnown = (Length, f64);

/// Adds what is known of each measured size, in the order of [`SizeFinding::seen`], to what was found of
/// them, and decides by `rule`. Each size is held against the limits with its own guard band: one that
/// is farther from them may be less sure. The proof is that of the size that decides.
#[must_use]
pub fn prove_size(
    size: SizeFinding,
    known: &[Option<SizeKnown>],
    rule: DecisionRule,
) -> SizeFinding {
    let Some((limits, worst)) = size.limits.zip(size.worst()) else { return size };
    let proof = |seen: &SizeSeen, known: Option<SizeKnown>| {
        let (u, k) = known?;
        let (lower, upper) = (limits.lower.to_mm(), limits.upper.to_mm());
        let within = in_interval(seen.size.to_mm(), u.to_mm(), Some(lower), Some(upper));
        Some(Proof { standard: u, expanded: u * k, coverage: k, probability: within })
    };
    let decided = |seen: &SizeSeen, proof: Option<Proof>| {
        let verdict = match limits.contain(seen.size) {
            true => Verdict::Conforms,
            false => Verdict::DoesNotConform,
        };
        decided(verdict, Some(limits.margin(seen.size)), proof, rule)
    };
    let known = known.iter().copied().chain(std::iter::repeat(None));
    let each = size.seen.iter().zip(known).map(|(seen, known)| {
        let proof = proof(seen, known);
        (*seen == worst, decided(seen, proof), proof)
    });
    // What the worst size decides stands, unless another one decides against the feature.
    let rank = |verdict: Verdict| match verdict {
        Verdict::DoesNotConform => 0,
        Verdict::NotProven => 1,
        _ => 2,
    };
    let deciding = each.min_by_key(|(is_worst, verdict, _)| (rank(*verdict), !is_worst));
    match deciding {
        Some((_, verdict, proof)) => SizeFinding { proof, verdict, ..size },
        None => size,
    }
}

/// The uncertainty of the size that made a bonus.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizeEvidence {
    /// Its standard uncertainty.
    pub standard: Length,
    /// Its covariance with the place along x and y, mm²: both may come from the same touches, and
    /// share the probe constant.
    pub with: [f64; 2],
}

/// What is known of the uncertainty of a position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaceEvidence {
    /// Covariance of (dx, dy), mm²; `None` where it is not known.
    pub covariance: Option<[[f64; 2]; 2]>,
    /// That of the size, where it is known.
    pub size: Option<SizeEvidence>,
    /// The coverage factor.
    pub k: f64,
}

/// Adds the uncertainty to what was found of a position, and decides by `rule`. Where the size earned a
/// bonus and its uncertainty is not known, that of the margin is not known.
///
/// Variance of the margin T + bonus − 2 r: 4 eᵀ C e + u²(size) − 4 s eᵀ c, with e the direction of the
/// deviation, C the covariance of the place, c that of place and size, and s = 1 where the zone grows
/// with the size, −1 where it shrinks (JCGM 100, 5.2.2). Near the true position, where that law fails,
/// the largest over all directions is taken. The probability is the integral over the zone and fails
/// nowhere (JCGM 106, 7); it takes the standard uncertainties for known, whatever k says of how well
/// they are.
#[must_use]
pub fn prove_position(
    found: PositionFinding,
    deviation: [Option<Length>; 2],
    of: &PlaceEvidence,
    rule: DecisionRule,
) -> PositionFinding {
    // Where there is no verdict there is nothing to be sure of.
    let judged = matches!(found.verdict, Verdict::Conforms | Verdict::DoesNotConform);
    let covariance = of.covariance.filter(|_| judged);
    let proof = covariance.and_then(|c| proof(&found, deviation, c, of));
    let verdict = decided(found.verdict, found.margin, proof, rule);
    let by_bonus = found.by_bonus && verdict == Verdict::Conforms;
    PositionFinding { proof, verdict, by_bonus, ..found }
}

/// The uncertainty of a margin that was propagated to first order, and what `rule` makes of it: a
/// normal distribution about the margin (JCGM 106, 7.2).
pub fn prove_margin(
    margin: Length,
    standard: Option<Length>,
    k: f64,
    rule: DecisionRule,
) -> (Option<Proof>, Verdict) {
    let verdict = match margin.at_least(Length::ZERO) {
        true => Verdict::Conforms,
        false => Verdict::DoesNotConform,
    };
    let proof = standard.map(|u| Proof {
        standard: u,
        expanded: u * k,
        coverage: k,
        probability: in_interval(margin.to_mm(), u.to_mm(), Some(0.0), None),
    });
    (proof, decided(verdict, Some(margin), proof, rule))
}

/// The direction that decides: that of the deviation, by the law of propagation, or near the true
/// position, where that law fails, the one of the largest uncertainty; across two planes. A unit
/// vector; `None` where a coordinate that is needed was not measured.
#[must_use]
pub fn decisive(zone: Zone, deviation: [Option<Length>; 2], c: [[f64; 2]; 2]) -> Option<[f64; 2]> {
    let [dx, dy] = deviation.map(|d| d.map(Length::to_mm));
    let (x, y) = match zone {
        Zone::Round => (dx?, dy?),
        Zone::Planes(Axis::X) => return dx.map(|_| [1.0, 0.0]),
        Zone::Planes(Axis::Y) => return dy.map(|_| [0.0, 1.0]),
    };
    let r = (x * x + y * y).sqrt();
    if r * r > largest(c) {
        return Some([x / r, y / r]);
    }
    let angle = 0.5 * libm::atan2(2.0 * c[0][1], c[0][0] - c[1][1]);
    Some([libm::cos(angle), libm::sin(angle)])
}

/// The largest variance over all directions.
fn largest(c: [[f64; 2]; 2]) -> f64 {
    let (half_sum, half_gap) = (0.5 * (c[0][0] + c[1][1]), 0.5 * (c[0][0] - c[1][1]));
    half_sum + (half_gap * half_gap + c[0][1] * c[0][1]).sqrt()
}

fn proof(
    found: &PositionFinding,
    deviation: [Option<Length>; 2],
    c: [[f64; 2]; 2],
    of: &PlaceEvidence,
) -> Option<Proof> {
    let [dx, dy] = deviation.map(|d| d.map(Length::to_mm));
    let (mean, c) = match found.zone {
        Zone::Round => ([dx?, dy?], c),
        Zone::Planes(Axis::X) => ([dx?, 0.0], [[c[0][0], 0.0], [0.0, 0.0]]),
        Zone::Planes(Axis::Y) => ([0.0, dy?], [[0.0, 0.0], [0.0, c[1][1]]]),
    };
    let most = largest(c);
    let e = decisive(found.zone, deviation, c)?;
    let radial = e[0] * e[0] * c[0][0] + 2.0 * e[0] * e[1] * c[0][1] + e[1] * e[1] * c[1][1];
    let grows = match (found.bonus, of.size) {
        (Bonus::Earned { .. }, None) => return None,
        (Bonus::Earned { bonus, size: used, from, most }, Some(size)) => {
            // Beyond the size that it departs from there is no bonus, but a way back to one.
            let away = (used - from).abs().to_mm();
            let departure = if bonus > Length::ZERO { away } else { -away };
            let sign = if found.grows_with_size() { 1.0 } else { -1.0 };
            let with = match found.zone {
                Zone::Round => size.with,
                Zone::Planes(Axis::X) => [size.with[0], 0.0],
                Zone::Planes(Axis::Y) => [0.0, size.with[1]],
            };
            Some(GrowingBy {
                departure,
                standard: size.standard.to_mm(),
                most: most.to_mm(),
                with: with.map(|c| sign * c),
            })
        }
        _ => None,
    };
    let of_bonus = grows.filter(|g| g.most > 0.0).map_or(0.0, |g| {
        let together = e[0] * g.with[0] + e[1] * g.with[1];
        g.standard * g.standard - 4.0 * together
    });
    let standard = (4.0 * radial.max(0.0) + of_bonus).max(0.0).sqrt();
    let point = Bivariate::new(mean, c);
    // Nine standard deviations from the edge of the zone there is nothing left to integrate.
    let of_size = grows.filter(|g| g.most > 0.0).map_or(0.0, |g| g.standard);
    let far = CERTAIN * (2.0 * most.max(0.0).sqrt() + of_size);
    let margin = found.margin.map_or(0.0, Length::to_mm);
    let probability = match &grows {
        _ if margin > far => 1.0,
        _ if margin < -far => 0.0,
        Some(by) => in_growing_disc(&point, 0.5 * found.tolerance.to_mm(), by),
        None => in_disc(&point, 0.5 * found.allowed.to_mm()),
    };
    Some(Proof {
        standard: Length::mm(standard),
        expanded: Length::mm(of.k * standard),
        coverage: of.k,
        probability: probability.clamp(0.0, 1.0),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::callout::judge_size;
    use crate::job::{Kind, Limits, Modifier};

    const GUARDED: DecisionRule = DecisionRule::GuardedAcceptance { multiple: 1.0 };

    /// A hole of 10 to 10.1 that was read in two orientations, with the standard uncertainties, k = 2.
    fn proven(sizes: [f64; 2], known: [Option<f64>; 2], rule: DecisionRule) -> SizeFinding {
        let limits = Limits { lower: Length::mm(10.0), upper: Length::mm(10.1) };
        let seen = [1, 2].into_iter().zip(sizes);
        let seen = seen.map(|(orientation, mm)| SizeSeen { orientation, size: Length::mm(mm) });
        let found = judge_size(Kind::Hole, Some(limits), Modifier::None, seen.collect());
        prove_size(found, &known.map(|u| Some((Length::mm(u?), 2.0))), rule)
    }

    #[test]
    fn each_size_keeps_its_own_guard_band() {
        // The second is farther from its limit, by a gauge that is ten times less sure.
        let sizes = [10.010, 10.088];
        let found = proven(sizes, [Some(0.001), Some(0.010)], GUARDED);
        assert_eq!(found.verdict, Verdict::NotProven);
        assert_eq!(found.proof.map(|p| p.expanded), Some(Length::mm(0.020)));
        assert_eq!(proven(sizes, [Some(0.001), None], GUARDED).verdict, Verdict::NotProven);
        let found = proven(sizes, [Some(0.001), Some(0.005)], GUARDED);
        assert_eq!(found.verdict, Verdict::Conforms);
        assert_eq!(found.proof.map(|p| p.expanded), Some(Length::mm(0.002)));
        let simple = proven(sizes, [Some(0.001), Some(0.010)], DecisionRule::SimpleAcceptance);
        assert_eq!(simple.verdict, Verdict::Conforms);
    }

    #[test]
    fn one_size_that_certainly_fails_is_enough() {
        let sizes = [9.998, 10.101];
        let found = proven(sizes, [Some(0.010), Some(0.0001)], GUARDED);
        assert_eq!(found.verdict, Verdict::DoesNotConform);
    }
}
