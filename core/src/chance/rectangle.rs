//! The probability that a point lies in a rectangular zone.

use super::bivariate::Bivariate;
use super::strip::{Bounds, Cut, FAR, Figure, probability};
use super::{in_interval, normal};

/// The probability that the point lies within ±`half[0]` along x and ±`half[1]` along y of the
/// origin, to 1e-10.
///
/// A position with different tolerances along the two axes (bidirectional) asks for this with
/// half of each tolerance. It holds for singular covariances too; along an axis without
/// uncertainty the limits count as inside. NaN if the covariance is none.
#[must_use]
pub fn in_rectangle(of: &Bivariate, half: [f64; 2]) -> f64 {
    let Some(determinant) = of.determinant() else { return f64::NAN };
    let [width, height] = half;
    if width.is_nan() || height.is_nan() {
        return f64::NAN;
    }
    if width < 0.0 || height < 0.0 {
        return 0.0;
    }
    let [x, y] = of.mean;
    let (sx, sy) = (of.xx.sqrt(), of.yy.sqrt());
    if sx == 0.0 || sy == 0.0 || of.xy == 0.0 {
        return in_interval(x, sx, Some(-width), Some(width))
            * in_interval(y, sy, Some(-height), Some(height));
    }
    // Given u = (x − mean)/sx, y is normal about a line, with this deviation.
    let line = Line { y, slope: of.xy / sx, deviation: determinant.sqrt() / sx, height };
    let (a, b) = ((-width - x) / sx, (width - x) / sx);
    if line.deviation == 0.0 {
        // All on the line: the u for which both coordinates are inside.
        let ends = [(-height - y) / line.slope, (height - y) / line.slope];
        return normal::between(a.max(ends[0].min(ends[1])), b.min(ends[0].max(ends[1])));
    }
    let (a, b) = (a.max(-FAR), b.min(FAR));
    if a < b { probability(&line, a, b).clamp(0.0, 1.0) } else { 0.0 }
}

/// The rectangle over u.
struct Line {
    y: f64,
    slope: f64,
    deviation: f64,
    height: f64,
}

impl Figure for Line {
    fn cut(&self, u: f64) -> Cut {
        let middle = self.y + self.slope * u;
        Cut {
            u,
            rate: 1.0,
            from: (-self.height - middle) / self.deviation,
            to: (self.height - middle) / self.deviation,
        }
    }

    fn bounds(&self, a: f64, b: f64) -> Bounds {
        let (at_a, at_b) = (self.cut(a), self.cut(b));
        Bounds {
            u: [a, b],
            from: [at_a.from.min(at_b.from), at_a.from.max(at_b.from)],
            to: [at_a.to.min(at_b.to), at_a.to.max(at_b.to)],
            rate: 1.0,
            steepness: (self.slope / self.deviation).abs(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{Lot, close};
    use super::*;

    fn rectangle(mx: f64, my: f64, xx: f64, xy: f64, yy: f64, half: [f64; 2]) -> f64 {
        in_rectangle(&Bivariate::new([mx, my], [[xx, xy], [xy, yy]]), half)
    }

    /// Computed independently in 22 digits: over x and over y, which agreed to 1e-40.
    #[test]
    fn values_in_twenty_digits() {
        for (mx, my, xx, xy, yy, half, p) in [
            (0.01, -0.02, 9e-6, 4e-6, 16e-6, [0.015, 0.025], 0.847_533_719_604_192_4),
            (0.02, 0.02, 1e-4, 0.9999e-4, 1e-4, [0.025, 0.02], 0.499_968_328_758_166_9),
            (0.02, -0.02, 1e-4, 0.9999e-4, 1e-4, [0.025, 0.025], 0.382_924_922_548_026_2),
            (0.0, 0.05, 1e-2, -5e-3, 3e-3, [0.05, 0.1], 0.371_825_442_047_565_5),
            (0.01, 0.01, 1.0, 0.99, 1.0, [0.5, 0.2], 0.157_863_368_279_188_8),
        ] {
            close(rectangle(mx, my, xx, xy, yy, half), p, 1e-11);
            // The axes change places.
            close(rectangle(my, mx, yy, xy, xx, [half[1], half[0]]), p, 1e-11);
        }
    }

    #[test]
    fn nearly_without_correlation_it_is_a_product() {
        let product = in_interval(0.3, 0.5, Some(-1.0), Some(1.0))
            * in_interval(-0.9, 0.2, Some(-0.8), Some(0.8));
        for xy in [0.0, 1e-12, -1e-12] {
            close(rectangle(0.3, -0.9, 0.25, xy, 0.04, [1.0, 0.8]), product, 1e-10);
        }
    }

    /// P(X > 0, Y > 0) = ¼ + asin ρ / 2π (Sheppard), by a rectangle whose corner is the mean.
    #[test]
    fn a_quadrant_is_sheppards() {
        for rho in [-0.999_999, -0.9, -0.3, 0.1, 0.5, 0.95, 0.999_999_9] {
            let is = rectangle(-50.0, -50.0, 1.0, rho, 1.0, [50.0, 50.0]);
            let should = 0.25 + libm::asin(rho) / (2.0 * std::f64::consts::PI);
            close(is, should, 1e-10);
        }
    }

    #[test]
    fn on_a_line() {
        // y = x about (0.02, −0.01): inside for u from −3.5 to 0.5 of sx = 0.01, and of y from
        // −1 to 4: from −1 to 0.5.
        let is = rectangle(0.02, -0.01, 1e-4, 1e-4, 1e-4, [0.025, 0.02]);
        close(is, normal::between(-1.0, 0.5), 1e-9);
        let is = rectangle(0.02, 0.01, 1e-4, -1e-4, 1e-4, [0.025, 0.02]);
        close(is, normal::between(-1.0, 0.5), 1e-9);
        // Nearly on it.
        let is = rectangle(0.02, -0.01, 1e-4, 1e-4 * (1.0 - 1e-13), 1e-4, [0.025, 0.02]);
        close(is, normal::between(-1.0, 0.5), 1e-6);
    }

    #[test]
    fn without_uncertainty_along_an_axis() {
        let y = in_interval(0.01, 0.02, Some(-0.03), Some(0.03));
        close(rectangle(0.05, 0.01, 0.0, 0.0, 4e-4, [0.05, 0.03]), y, 0.0);
        close(rectangle(0.050_01, 0.01, 0.0, 0.0, 4e-4, [0.05, 0.03]), 0.0, 0.0);
        close(rectangle(0.05, -0.03, 0.0, 0.0, 0.0, [0.05, 0.03]), 1.0, 0.0);
        close(rectangle(0.0, 0.0, 1.0, 0.5, 1.0, [0.0, 1.0]), 0.0, 0.0);
        close(rectangle(0.0, 0.0, 1.0, 0.5, 1.0, [-1.0, 1.0]), 0.0, 0.0);
        close(rectangle(0.0, 0.0, 1.0, 0.5, 1.0, [f64::INFINITY; 2]), 1.0, 1e-11);
        assert!(rectangle(0.0, 0.0, 1.0, 1.5, 1.0, [1.0, 1.0]).is_nan());
        assert!(rectangle(0.0, 0.0, -1.0, 0.0, 1.0, [1.0, 1.0]).is_nan());
        assert!(rectangle(0.0, 0.0, 1.0, 0.0, 1.0, [f64::NAN, 1.0]).is_nan());
    }

    /// Two rectangles side by side about their own middles make the large one.
    #[test]
    fn parts_add_up_to_the_whole() {
        let mut lot = Lot(7);
        for _ in 0..300 {
            let [mx, my, rho] = [0; 3].map(|_| 2.0 * lot.next() - 1.0);
            let (sx, sy) = (libm::pow(10.0, -3.0 * lot.next()), libm::pow(10.0, -3.0 * lot.next()));
            let at = |shift: f64, half: f64| {
                let cov = [[sx * sx, rho * sx * sy], [rho * sx * sy, sy * sy]];
                in_rectangle(&Bivariate::new([mx - shift, my], cov), [half, 0.7])
            };
            // From −1 to 1 as −1 to 0.2 and 0.2 to 1.
            close(at(-0.4, 0.6) + at(0.6, 0.4), at(0.0, 1.0), 3e-11);
        }
    }
}
