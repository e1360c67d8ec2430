//! The uncertainty budget of a result as text.

use super::Figures;
use crate::findings::{Budget, BudgetLine};

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
    /// What it adds to the combined standard uncertainty.
    pub standard: String,
    /// `98.5 %`.
    pub share: String,
}

/// What all sources make together: `Combined .00035; effective degrees of freedom 41.2 …`.
#[must_use]
pub fn budget_sum(budget: &Budget, f: Figures) -> String {
    let freedom = match budget.degrees {
        Some(degrees) if degrees < 100.0 => format!("{degrees:.1}"),
        Some(degrees) => format!("{degrees:.0}"),
        None => "∞".to_owned(),
    };
    format!(
        "Combined {}; effective degrees of freedom {freedom} (Welch and Satterthwaite, JCGM 100, \
         G.4): k = {} (95.45 % coverage), U = {}.",
        f.plain(budget.standard),
        factor(budget.covering),
        f.plain(budget.standard * budget.covering)
    )
}

/// A coverage factor: `2`, `2.07`.
#[must_use]
pub fn factor(k: f64) -> String {
    let text = format!("{k:.2}");
    text.strip_suffix(".00").map_or(text.clone(), str::to_owned)
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
