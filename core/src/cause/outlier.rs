//! The hole that is on its own: each against what all the others say.

use super::choose::{Choice, Rule, Test, choose, levels};
use super::gram::Gram;
use super::member::Member;

/// Significance at which a hole is on its own, over all holes together (Bonferroni): about once
/// in a hundred patterns a good hole is sent back to be measured again.
pub const OWN: f64 = 0.01;

/// A hole that does not go with the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlier {
    /// Index of the member.
    pub member: usize,
    /// How far it is from where the others put it, in x and y, millimetres.
    pub away: [Option<f64>; 2],
    /// Its departure against the scatter of the others; this significance times the number of
    /// holes is at most [`OWN`].
    pub test: Test,
}

/// The errors of the pattern, and the hole that is farthest on its own if any is; the errors are
/// then those that the others chose.
pub(super) fn outlier(
    members: &[Member],
    bare: &Gram,
    carried: usize,
    rule: Rule,
) -> (Choice, Option<Outlier>) {
    let all = choose(bare, carried, levels(), rule);
    // Without even a common shift there is nothing that a hole could depart from.
    if carried == 0 {
        return (all, None);
    }
    let count = members.iter().filter(|m| m.is_measured()).fold(0.0, |n, _| n + 1.0_f64);
    // An error that shows only once a hole is left out has had as many chances to show as there
    // are holes, and has to be that much more significant. Else a few good holes would agree by
    // chance on an error, and the last be blamed for not having it.
    let mut strict = levels();
    for (level, there) in strict.iter_mut().zip(all.set) {
        if !there {
            *level /= count;
        }
    }
    let mut found: Option<(Choice, Outlier)> = None;
    for (i, member) in members.iter().enumerate().filter(|(_, m)| m.is_measured()) {
        let others = choose(&bare.without(member), carried, strict, rule);
        let Some((away, test)) = departure(member, &others.fit, rule) else { continue };
        if test.p * count <= OWN && found.is_none_or(|(_, f)| farther(&test, &f.test)) {
            found = Some((others, Outlier { member: i, away, test }));
        }
    }
    found.map_or((all, None), |(others, outlier)| (others, Some(outlier)))
}

/// Whether a test is more significant; where both are too far out for their significance to have
/// a digit, the ratio decides.
fn farther(a: &Test, b: &Test) -> bool {
    a.p < b.p || (a.p <= b.p && a.f > b.f)
}

/// What a hole that had no part in the fit is off by, and F = eᵀ V⁻¹ e / (m s²), with V the
/// covariance of its m coordinates and of their prediction, for a variance of one.
fn departure(member: &Member, fit: &Gram, rule: Rule) -> Option<([Option<f64>; 2], Test)> {
    let [rx, ry] = fit.rows_of(member);
    let [dx, dy] = member.deviation;
    let x = dx.map(|d| (d - fit.predicts(&rx), 1.0 + fit.between(&rx, &rx)));
    let y = dy.map(|d| (d - fit.predicts(&ry), 1.0 + fit.between(&ry, &ry)));
    let (square, coordinates) = match (x, y) {
        (Some((ex, vx)), Some((ey, vy))) => {
            let c = fit.between(&rx, &ry);
            // By elimination: the x, then what of the y it does not explain.
            let rest = ey - c / vx * ex;
            (ex * ex / vx + rest * rest / (vy - c * c / vx), 2.0)
        }
        (Some((e, v)), None) | (None, Some((e, v))) => (e * e / v, 1.0),
        (None, None) => return None,
    };
    let ratio = square / (coordinates * rule.variance(fit));
    let test = Test::of(ratio, coordinates, fit.freedom(), rule.tail);
    Some(([x.map(|v| v.0), y.map(|v| v.0)], test))
}
