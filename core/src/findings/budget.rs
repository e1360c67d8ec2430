//! The uncertainty budget of one result (JCGM 100:2008, clause 4 and annex H): each source with
//! what is known of it, how it is distributed, and its share.

use crate::adjust::{Doubts, scale_standard};
use crate::job::{Job, Piece};
use crate::quantity::Length;
use serde::Serialize;

/// One source of uncertainty.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BudgetLine {
    /// What it is: `error of the gauge`.
    pub name: String,
    /// How it is distributed: `uniform`, `normal`.
    pub distribution: &'static str,
    /// What its limit or deviation is divided by to make a standard uncertainty.
    pub divisor: f64,
    /// Standard uncertainty of the source itself, of a single touch; absent where it is no length.
    pub of_touch: Option<Length>,
    /// What it adds to the standard uncertainty of the position (twice the radius) or, where none
    /// is asked, of the coordinate.
    pub standard: Length,
    /// Share of the variance, 0 to 1.
    pub share: f64,
    /// Degrees of freedom, where it was estimated from repeats.
    pub degrees: Option<f64>,
}

/// What a budget is made from.
pub(super) struct Sources<'a> {
    pub(super) job: &'a Job,
    pub(super) piece: &'a Piece,
    pub(super) doubts: &'a Doubts,
    /// The gauge that the feature was measured with.
    pub(super) instrument: usize,
    /// Covariance that single touches leave, mm².
    pub(super) touches: [[f64; 2]; 2],
    /// The same with the probe constant, the scale or the squareness uncertain as well.
    pub(super) commons: [Option<[[f64; 2]; 2]>; 3],
    /// (dx, dy), mm.
    pub(super) deviation: [f64; 2],
    /// Whether x and y were measured.
    pub(super) seen: [bool; 2],
}

/// The direction that counts: that of the deviation, or of the largest uncertainty where there
/// is next to none.
fn direction(of: &Sources<'_>) -> [f64; 2] {
    match of.seen {
        [true, false] => return [1.0, 0.0],
        [false, true] => return [0.0, 1.0],
        _ => {}
    }
    let [x, y] = of.deviation;
    let r = libm::hypot(x, y);
    let [[xx, xy], [_, yy]] = of.touches;
    if r * r > xx.max(yy) {
        return [x / r, y / r];
    }
    let angle = 0.5 * libm::atan2(2.0 * xy, xx - yy);
    [libm::cos(angle), libm::sin(angle)]
}

fn along(e: [f64; 2], [[xx, xy], [yx, yy]]: [[f64; 2]; 2]) -> f64 {
    e[0] * e[0] * xx + e[0] * e[1] * (xy + yx) + e[1] * e[1] * yy
}

pub(super) fn lines(of: &Sources<'_>) -> Vec<BudgetLine> {
    let e = direction(of);
    let touches = along(e, of.touches);
    let mut list: Vec<(BudgetLine, f64)> = Vec::new();
    let root3 = 3.0_f64.sqrt();
    let root12 = 12.0_f64.sqrt();
    // What touches leave is shared out as it is in a single touch.
    let parts = of.doubts.parts(of.instrument);
    let whole: f64 = parts.iter().map(|(_, u, _)| u.to_mm() * u.to_mm()).sum();
    let kinds = [("uniform", root3), ("uniform", root12), ("normal", 1.0), ("uniform", root12)];
    for ((name, u, degrees), (distribution, divisor)) in parts.into_iter().zip(kinds) {
        let share = if whole > 0.0 { u.to_mm() * u.to_mm() / whole } else { 0.0 };
        let line = BudgetLine {
            name: name.to_owned(),
            distribution,
            divisor,
            of_touch: Some(u),
            standard: Length::ZERO,
            share: 0.0,
            degrees: degrees.is_finite().then_some(degrees),
        };
        list.push((line, touches * share));
    }
    let more = |k: usize| of.commons[k].map_or(0.0, |c| (along(e, c) - touches).max(0.0));
    let mut common = |name: &str, distribution, divisor, of_touch, variance: f64| {
        let line = BudgetLine {
            name: name.to_owned(),
            distribution,
            divisor,
            of_touch,
            standard: Length::ZERO,
            share: 0.0,
            degrees: None,
        };
        list.push((line, variance));
    };
    common("probe constant", "normal", 1.0, Some(of.doubts.probe(of.instrument)), more(0));
    let scale = scale_standard(of.job, of.piece, of.instrument);
    let squares: f64 = scale.iter().map(|(_, u)| u * u).sum();
    for (name, u) in scale {
        let share = if squares > 0.0 { u * u / squares } else { 0.0 };
        common(name, "uniform", root3, None, more(1) * share);
    }
    common("squareness of the orientations", "uniform", root3, None, more(2));
    let total: f64 = list.iter().map(|(_, variance)| variance).sum();
    list.into_iter()
        .filter(|(_, variance)| *variance > 0.0)
        .map(|(line, variance)| BudgetLine {
            standard: Length::mm(2.0 * variance.sqrt()),
            share: variance / total,
            ..line
        })
        .collect()
}
