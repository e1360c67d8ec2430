//! The bivariate normal distribution: a measured point and its covariance.

/// A point in the plane that is known with a covariance.
///
/// For a position `mean` is the measured deviation (dx, dy) from basic, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bivariate {
    /// The expectation.
    pub mean: [f64; 2],
    /// Variance along x, in square millimetres.
    pub xx: f64,
    /// Covariance.
    pub xy: f64,
    /// Variance along y.
    pub yy: f64,
}

/// The same along its principal axes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Principal {
    /// Standard deviation along the longer axis of the ellipse.
    pub(super) long: f64,
    /// Standard deviation along the shorter axis.
    pub(super) short: f64,
    /// The distance of the mean from the origin along the longer axis.
    pub(super) along: f64,
    /// The distance of the mean from the origin along the shorter axis.
    pub(super) across: f64,
}

impl Bivariate {
    /// From a mean and a covariance matrix, of which the symmetric part counts.
    #[must_use]
    pub fn new(mean: [f64; 2], covariance: [[f64; 2]; 2]) -> Self {
        let [[xx, xy], [yx, yy]] = covariance;
        Self { mean, xx, xy: 0.5 * (xy + yx), yy }
    }

    /// With the same standard deviation in all directions.
    #[must_use]
    pub fn round(mean: [f64; 2], deviation: f64) -> Self {
        let variance = deviation * deviation;
        Self { mean, xx: variance, xy: 0.0, yy: variance }
    }

    /// The determinant of the covariance; `None` if it is not a covariance.
    ///
    /// xx·yy − xy² with one rounding (Kahan), since a thin ellipse is the difference of two
    /// nearly equal products. What rounding before makes of a singular matrix may be below zero
    /// by a little, and counts as singular.
    pub(super) fn determinant(&self) -> Option<f64> {
        let &Self { mean: [x, y], xx, xy, yy } = self;
        if ![x, y, xx, xy, yy].iter().all(|v| v.is_finite()) || xx < 0.0 || yy < 0.0 {
            return None;
        }
        let square = xy * xy;
        let error = (-xy).mul_add(xy, square);
        let determinant = xx.mul_add(yy, -square) + error;
        (determinant >= -1e-9 * xx * yy).then_some(determinant.max(0.0))
    }

    /// Along the principal axes; `None` if the covariance is none.
    pub(super) fn principal(&self) -> Option<Principal> {
        let determinant = self.determinant()?;
        let &Self { mean: [x, y], xx, xy, yy } = self;
        let half = 0.5 * (xx - yy);
        let h = libm::hypot(half, xy);
        let larger = 0.5 * (xx + yy) + h;
        let smaller = if larger > 0.0 { determinant / larger } else { 0.0 };
        // cos 2φ = half/h and sin 2φ = xy/h; the larger of cos φ and sin φ from a root, the
        // other from the double angle, so that none is a difference.
        let (cos, sin) = if h == 0.0 {
            (1.0, 0.0)
        } else if half >= 0.0 {
            let cos = (0.5 * (1.0 + half / h)).sqrt();
            (cos, 0.5 * (xy / h) / cos)
        } else {
            let sin = (0.5 * (1.0 - half / h)).sqrt();
            (0.5 * (xy / h) / sin, sin)
        };
        Some(Principal {
            long: larger.sqrt(),
            short: smaller.sqrt(),
            along: (cos * x + sin * y).abs(),
            across: (cos * y - sin * x).abs(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{close, near};
    use super::*;

    #[test]
    fn principal_axes_of_a_turned_ellipse() {
        for angle in [0.0, 0.3, 0.785, 1.0, 1.6, 2.4, 3.1] {
            let (s, c) = libm::sincos(angle);
            // Standard deviations 3 along and 1 across `angle`, mean 5 along and 2 across.
            let of = Bivariate::new(
                [5.0 * c - 2.0 * s, 5.0 * s + 2.0 * c],
                [[9.0 * c * c + s * s, 8.0 * s * c], [8.0 * s * c, 9.0 * s * s + c * c]],
            );
            let p = of.principal().unwrap();
            for (is, should) in [(p.long, 3.0), (p.short, 1.0), (p.along, 5.0), (p.across, 2.0)] {
                near(is, should, 1e-13);
            }
        }
    }

    #[test]
    fn thin_ellipses_keep_their_thickness() {
        // Exact: (1 + 2⁻²⁶)(1 + 2⁻⁵⁰) − (1 + 2⁻²⁷)²; both products round in binary.
        let e = |power: i32| libm::ldexp(1.0, power);
        let (xx, xy, yy) = (1.0 + e(-26), 1.0 + e(-27), 1.0 + e(-50));
        let of = Bivariate { mean: [0.0; 2], xx, xy, yy };
        near(of.determinant().unwrap(), e(-50) - e(-54) + e(-76), 1e-15);
    }

    #[test]
    fn what_is_no_covariance() {
        for (xx, xy, yy) in [(-1.0, 0.0, 1.0), (1.0, 0.0, -1.0), (1.0, 1.01, 1.0), (0.0, 0.1, 1.0)]
        {
            assert!(
                Bivariate { mean: [0.0; 2], xx, xy, yy }.principal().is_none(),
                "{xx} {xy} {yy}"
            );
        }
        // Below zero by rounding only: singular.
        let of = Bivariate { mean: [0.0; 2], xx: 1.0, xy: 1.0 + 1e-15, yy: 1.0 };
        close(of.principal().unwrap().short, 0.0, 0.0);
        close(Bivariate::new([0.0; 2], [[1.0, 0.2], [0.4, 1.0]]).xy, 0.3, 1e-15);
    }
}
