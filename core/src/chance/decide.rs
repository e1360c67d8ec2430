//! From a margin and its uncertainty to a decision (JCGM 106:2012, clause 8; ISO 14253-1:2017).

use super::NOISE;

/// The decision rule.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rule {
    /// Simple acceptance, shared risk: the measured value decides (JCGM 106, 8.2).
    Simple,
    /// With a guard band of `g` times the expanded uncertainty on both sides of each limit
    /// (JCGM 106, 8.3): conformity must be proven, and so must non-conformity.
    Guarded {
        /// Guard band as a multiple of U: 1 for ISO 14253-1 with U at k = 2, 0.8224 for 5 % risk
        /// of one limit (1.6449 u).
        g: f64,
    },
}

/// What was decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decision {
    /// Within the acceptance zone.
    Conforms,
    /// Beyond the limit, with a guard band beyond that as well.
    DoesNotConform,
    /// In a guard band: neither is proven.
    NotProven,
}

/// Decides.
///
/// `margin` is the distance of the measured value from its nearest limit, positive inside, and
/// `expanded` the expanded uncertainty U, both in millimetres.
///
/// With guard bands a value conforms from the limit less g U inwards: guarded acceptance,
/// JCGM 106, 8.3.2. Beyond the limit by more than g U it does not conform: guarded rejection,
/// 8.3.3, and the proof of non-conformity of ISO 14253-1. Between the two neither the one who
/// delivers nor the one who receives can prove anything, and it is not proven. Who reads
/// guarded acceptance alone takes not proven for not accepted.
///
/// A value at a limit, within 1 pm, is inside. NaN proves nothing.
#[must_use]
pub fn decide(margin: f64, expanded: f64, rule: Rule) -> Decision {
    let guard = match rule {
        Rule::Simple => 0.0,
        Rule::Guarded { g } => g * expanded,
    };
    if margin >= guard - NOISE {
        Decision::Conforms
    } else if margin < -guard - NOISE {
        Decision::DoesNotConform
    } else {
        Decision::NotProven
    }
}

/// How fine a measurement is for a tolerance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capability {
    /// T/(2 U): the measurement capability index C_m of JCGM 106, 7.6, for k = 2; infinite
    /// without uncertainty.
    pub ratio: f64,
    /// Which N:1 rule it reaches.
    pub share: Share,
}

/// The N:1 rules (ASME B89.7.3.1): the specification zone is at least N times as wide as the
/// uncertainty interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Share {
    /// Less than 4:1.
    Coarse,
    /// At least 4:1.
    FourToOne,
    /// At least 10:1.
    TenToOne,
}

/// The ratio of a two-sided tolerance `tolerance` to the uncertainty interval 2 U.
///
/// A ratio within double precision of a rule reaches it.
#[must_use]
pub fn capability(tolerance: f64, expanded: f64) -> Capability {
    let ratio = if expanded == 0.0 { f64::INFINITY } else { tolerance / (2.0 * expanded) };
    let reaches = |n: f64| tolerance + NOISE >= n * 2.0 * expanded;
    let share = if reaches(10.0) {
        Share::TenToOne
    } else if reaches(4.0) {
        Share::FourToOne
    } else {
        Share::Coarse
    };
    Capability { ratio, share }
}

#[cfg(test)]
mod tests {
    use super::super::testing::close;
    use super::*;

    #[test]
    fn simple_acceptance_takes_the_limit_in() {
        for (margin, decision) in [
            (0.01, Decision::Conforms),
            (0.0, Decision::Conforms),
            // Double precision: .9420 − .5640 is no more than .3780.
            (0.378 - (0.942 - 0.564), Decision::Conforms),
            (-1e-6, Decision::DoesNotConform),
        ] {
            assert_eq!(decide(margin, 0.1, Rule::Simple), decision, "{margin}");
        }
    }

    #[test]
    fn guard_bands_lie_on_both_sides() {
        for (margin, decision) in [
            (0.0081, Decision::Conforms),
            (0.05 - 0.042, Decision::Conforms),
            (0.0079, Decision::NotProven),
            (0.0, Decision::NotProven),
            (-0.008, Decision::NotProven),
            (-0.0081, Decision::DoesNotConform),
        ] {
            assert_eq!(decide(margin, 0.008, Rule::Guarded { g: 1.0 }), decision, "{margin}");
        }
        // Half a band; none at all is simple acceptance.
        assert_eq!(decide(0.004, 0.008, Rule::Guarded { g: 0.5 }), Decision::Conforms);
        assert_eq!(decide(-0.001, 0.008, Rule::Guarded { g: 0.0 }), Decision::DoesNotConform);
        assert_eq!(decide(-0.001, 0.0, Rule::Guarded { g: 1.0 }), Decision::DoesNotConform);
    }

    #[test]
    fn what_is_not_known_is_not_proven() {
        let guarded = Rule::Guarded { g: 1.0 };
        assert_eq!(decide(f64::NAN, 0.1, Rule::Simple), Decision::NotProven);
        assert_eq!(decide(1.0, f64::NAN, guarded), Decision::NotProven);
        assert_eq!(decide(1.0, f64::INFINITY, guarded), Decision::NotProven);
        assert_eq!(decide(-1.0, f64::INFINITY, guarded), Decision::NotProven);
    }

    #[test]
    fn capability_by_the_rules() {
        for (tolerance, expanded, ratio, share) in [
            (0.1, 0.0126, 0.1 / 0.0252, Share::Coarse),
            (0.1, 0.0125, 4.0, Share::FourToOne),
            (0.1, 0.0051, 0.1 / 0.0102, Share::FourToOne),
            (0.1, 0.005, 10.0, Share::TenToOne),
            // In binary 20 · 0.035 is more than 0.7.
            (0.7, 0.035, 10.0, Share::TenToOne),
        ] {
            let is = capability(tolerance, expanded);
            close(is.ratio, ratio, 1e-13);
            assert_eq!(is.share, share, "{tolerance} {expanded}");
        }
        let sure = capability(0.1, 0.0);
        assert_eq!((sure.ratio, sure.share), (f64::INFINITY, Share::TenToOne));
        assert_eq!(capability(0.1, f64::NAN).share, Share::Coarse);
    }
}
