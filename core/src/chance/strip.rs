//! A normal distribution over a plane figure, strip by strip.
//!
//! With a first coordinate u that is standard normal, and the figure's edges at u given as
//! standard deviations `from` and `to` of the second coordinate, its probability is
//!
//! ```text
//! ∫ φ(u) [Φ(to(u)) − Φ(from(u))] du
//! ```
//!
//! Where the bracket is 0 or 1 within a few 1e-12 nothing is integrated. Elsewhere panels are
//! halved until a Gauss–Legendre rule suits their width, measured in standard deviations.

use super::gauss::{TRAPEZOIDS, integral_over, trapezoidal};
use super::normal::{between, cdf, pdf, survival};

/// So many standard deviations away there is nothing left: 1.3e-12.
pub(super) const FAR: f64 = 7.0;

/// The figure at one place of its parameter.
pub(super) struct Cut {
    /// First coordinate.
    pub(super) u: f64,
    /// |du/dt|.
    pub(super) rate: f64,
    /// Lower edge.
    pub(super) from: f64,
    /// Upper edge.
    pub(super) to: f64,
}

/// Bounds over a panel of the parameter.
pub(super) struct Bounds {
    /// u at the panel's two ends, in either order.
    pub(super) u: [f64; 2],
    /// Least and greatest lower edge.
    pub(super) from: [f64; 2],
    /// Least and greatest upper edge.
    pub(super) to: [f64; 2],
    /// Bound of |du/dt|.
    pub(super) rate: f64,
    /// Bound of |dto/dt| and |dfrom/dt|.
    pub(super) steepness: f64,
}

/// A figure, by a parameter t of which u is a monotone function.
pub(super) trait Figure {
    /// At `t`.
    fn cut(&self, t: f64) -> Cut;
    /// Over the panel from `a` to `b`.
    fn bounds(&self, a: f64, b: f64) -> Bounds;
}

/// The probability of the figure, which reaches from parameter `a` to `b`: at either end the integrand
/// vanishes, or goes on as its own mirror image.
pub(super) fn probability(figure: &impl Figure, a: f64, b: f64) -> f64 {
    let widths = widths(&figure.bounds(a, b), b - a);
    trapezoidal(widths, TRAPEZOIDS, a, b, |t| at(figure, t))
        .unwrap_or_else(|| panel(figure, a, b, 0))
}

/// How many standard deviations of the narrowest feature of the integrand a panel of this length has
/// at most.
fn widths(is: &Bounds, length: f64) -> f64 {
    let moves = |[least, greatest]: [f64; 2]| least < FAR && greatest > -FAR;
    let steepness = if moves(is.to) || moves(is.from) { is.steepness } else { 0.0 };
    libm::hypot(is.rate, steepness) * length
}

fn at(figure: &impl Figure, t: f64) -> f64 {
    let cut = figure.cut(t);
    pdf(cut.u) * cut.rate * bracket(cut.from, cut.to)
}

pub(super) fn panel(figure: &impl Figure, a: f64, b: f64, depth: u32) -> f64 {
    let is = figure.bounds(a, b);
    if is.to[1] < -FAR || is.from[0] > FAR {
        return 0.0;
    }
    if is.to[0] > FAR && is.from[1] < -FAR {
        return between(is.u[0].min(is.u[1]), is.u[0].max(is.u[1]));
    }
    // A hundred halvings leave nothing of a panel; there only for edges that are not finite.
    let widths = if depth < 100 { widths(&is, b - a) } else { 0.0 };
    if let Some(sum) = integral_over(widths, a, b, |t| at(figure, t)) {
        return sum;
    }
    let middle = 0.5 * (a + b);
    panel(figure, a, middle, depth + 1) + panel(figure, middle, b, depth + 1)
}

/// Φ(to) − Φ(from), with one function instead of two where an edge is far off.
fn bracket(from: f64, to: f64) -> f64 {
    match (from < -FAR, to > FAR) {
        (true, true) => 1.0,
        (true, false) => cdf(to),
        (false, true) => survival(from),
        (false, false) => between(from, to),
    }
}
