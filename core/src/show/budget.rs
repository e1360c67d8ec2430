//! The uncertainty budget of a result as text.

use super::Figures;
use crate::findings::BudgetLine;

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
    /// Degrees of freedom, where it was estimated from repeats: `48`.
    pub degrees: Option<String>,
    /// What it adds to the standard uncertainty of the position.
    pub standard: String,
    /// `98.5 %`.
    pub share: String,
}

/// A line of a budget, in these figures.
#[must_use]
pub fn budget_text(line: &BudgetLine, f: Figures) -> BudgetText {
    BudgetText {
        name: line.name.clone(),
        distribution: line.distribution,
        divisor: format!("{:.3}", line.divisor),
        of_touch: line.of_touch.map_or_else(String::new, |u| f.plain(u)),
        degrees: line.degrees.map(|degrees| format!("{degrees:.0}")),
        standard: f.plain(line.standard),
        share: format!("{:.1} %", 100.0 * line.share),
    }
}
