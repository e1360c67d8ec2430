//! The uncertainty budget of a result as text.

use super::Figures;
use crate::findings::Ready;
use crate::job::Job;

/// One source of uncertainty, as it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BudgetText {
    /// `error of the gauge`.
    pub name: String,
    /// `uniform`.
    pub distribution: &'static str,
    /// `1.732`.
    pub divisor: String,
    /// Standard uncertainty of the source, where it is a length.
    pub of_touch: String,
    /// What it adds to the standard uncertainty of the position.
    pub standard: String,
    /// `98.5 %`.
    pub share: String,
}

/// The budget of the position of a feature of a piece; empty where it is not known.
#[must_use]
pub fn budget(job: &Job, piece: usize, feature: usize) -> Vec<BudgetText> {
    let f = Figures::of_results(&job.drawing).finer(2);
    let ready = Ready::of(job);
    let lines = ready.budget(piece, feature);
    lines
        .into_iter()
        .map(|l| BudgetText {
            name: match l.degrees {
                Some(degrees) => format!("{}, {degrees:.0} degrees of freedom", l.name),
                None => l.name,
            },
            distribution: l.distribution,
            divisor: format!("{:.3}", l.divisor),
            of_touch: l.of_touch.map_or_else(String::new, |u| f.plain(u)),
            standard: f.plain(l.standard),
            share: format!("{:.1} %", 100.0 * l.share),
        })
        .collect()
}
