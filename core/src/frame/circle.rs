//! The least-squares circle through points.

use super::vector::{dot, less};

/// Steps until it must have settled.
const STEPS: usize = 100;

/// Points on so short an arc that they are as good as on a line make no circle: the determinant
/// of their normal equations, divided by the square of how many they are. It is about that of an
/// arc of seventeen degrees.
const LEAST: f64 = 1e-7;

/// It has settled where a step is less than this part of the radius.
const STILL: f64 = 1e-10;

/// A circle fitted to points.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Circle {
    /// Its centre.
    pub(super) centre: [f64; 2],
    /// How the centre moves with each point, to first order: row by row x and y of it.
    pub(super) rates: Vec<[[f64; 2]; 2]>,
}

/// The circle from which the points have the least sum of squared distances, by Gauss and Newton;
/// None where they make none.
///
/// With n the unit vectors from the centre to the points, less their mean, and d the distances, each
/// step is N⁻¹ Σ n d with N = Σ n nᵀ: the radius is the mean of the distances and is eliminated
/// (W. Gander, G. H. Golub, R. Strebel, Least-squares fitting of circles and ellipses, BIT 34, 1994;
/// from memory).
pub(super) fn circle(points: &[[f64; 2]]) -> Option<Circle> {
    let n = count(points.len());
    // From their mean, so that far from the origin no digits are lost.
    let mean = mean(points);
    let points: Vec<[f64; 2]> = points.iter().map(|p| less(*p, mean)).collect();
    let mut centre = start(&points)?;
    for _ in 0..STEPS {
        let Normal { units, inverse, distances } = Normal::of(&points, centre)?;
        let mut by = [0.0; 2];
        for (u, d) in units.iter().zip(&distances) {
            by = [by[0] + u.less[0] * d, by[1] + u.less[1] * d];
        }
        let by = times(inverse, by);
        centre = [centre[0] + by[0], centre[1] + by[1]];
        let radius = distances.iter().sum::<f64>() / n;
        if libm::hypot(by[0], by[1]) <= STILL * radius {
            let rates = units
                .iter()
                .map(|u| {
                    let by = times(inverse, u.less);
                    [[by[0] * u.out[0], by[0] * u.out[1]], [by[1] * u.out[0], by[1] * u.out[1]]]
                })
                .collect();
            return Some(Circle { centre: [mean[0] + centre[0], mean[1] + centre[1]], rates });
        }
    }
    None
}

/// A point seen from the centre.
struct Seen {
    /// Unit vector towards it.
    out: [f64; 2],
    /// The same less the mean of all.
    less: [f64; 2],
}

/// The normal equations at a centre.
struct Normal {
    units: Vec<Seen>,
    inverse: [[f64; 2]; 2],
    distances: Vec<f64>,
}

impl Normal {
    fn of(points: &[[f64; 2]], centre: [f64; 2]) -> Option<Self> {
        let distances: Vec<f64> =
            points.iter().map(|p| less(*p, centre)).map(|[x, y]| libm::hypot(x, y)).collect();
        if distances.iter().any(|d| !d.is_finite() || *d <= 0.0) {
            return None;
        }
        let out: Vec<[f64; 2]> =
            points.iter().zip(&distances).map(|(p, d)| less(*p, centre).map(|v| v / d)).collect();
        let middle = mean(&out);
        let units: Vec<Seen> =
            out.into_iter().map(|out| Seen { out, less: less(out, middle) }).collect();
        let inverse = inverse(units.iter().map(|u| u.less), LEAST)?;
        Some(Self { units, inverse, distances })
    }
}

/// Where to start from, of points about their mean: the centre of the algebraic fit, Σ (|p − c|² − r²)² least, which is linear.
fn start(points: &[[f64; 2]]) -> Option<[f64; 2]> {
    let size = points.iter().map(|p| dot(*p, *p)).fold(0.0, f64::max).sqrt();
    if size <= 0.0 {
        return None;
    }
    // In units of the pattern, so that a line is told from a circle whatever its size.
    let from: Vec<[f64; 2]> = points.iter().map(|p| p.map(|v| v / size)).collect();
    let inverse = inverse(from.iter().copied(), LEAST)?;
    let mut sum = [0.0; 2];
    for p in &from {
        let square = 0.5 * dot(*p, *p);
        sum = [sum[0] + p[0] * square, sum[1] + p[1] * square];
    }
    let by = times(inverse, sum);
    Some(by.map(|v| v * size))
}

/// The inverse of Σ v vᵀ; None where its determinant is no more than `least` by the square of how
/// many vectors there are.
fn inverse(vectors: impl Iterator<Item = [f64; 2]>, least: f64) -> Option<[[f64; 2]; 2]> {
    let (mut xx, mut xy, mut yy, mut n) = (0.0, 0.0, 0.0, 0.0);
    for [x, y] in vectors {
        (xx, xy, yy, n) = (xx + x * x, xy + x * y, yy + y * y, n + 1.0);
    }
    let det = xx * yy - xy * xy;
    (det > least * n * n).then(|| [[yy / det, -xy / det], [-xy / det, xx / det]])
}

fn times(m: [[f64; 2]; 2], v: [f64; 2]) -> [f64; 2] {
    [dot(m[0], v), dot(m[1], v)]
}

/// The mean of points; 0 of none.
pub(super) fn mean(points: &[[f64; 2]]) -> [f64; 2] {
    let n = count(points.len()).max(1.0);
    let sum = points.iter().fold([0.0; 2], |s, p| [s[0] + p[0], s[1] + p[1]]);
    sum.map(|v| v / n)
}

/// A count as a figure.
#[expect(clippy::cast_precision_loss, reason = "a hundred features at most")]
pub(super) fn count(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn on(centre: [f64; 2], radius: f64, angle: f64) -> [f64; 2] {
        let (s, c) = libm::sincos(angle);
        [centre[0] + radius * c, centre[1] + radius * s]
    }

    /// Six points off a circle (W. Gander, G. H. Golub, R. Strebel, 1994; from memory, who give
    /// 4.7398 and 2.9835); more digits computed independently, by a pattern search for the least
    /// sum of squares in decimals of 50 digits.
    #[test]
    fn a_centre_worked_out_elsewhere() {
        let points = [[1.0, 7.0], [2.0, 6.0], [5.0, 8.0], [7.0, 7.0], [9.0, 5.0], [3.0, 7.0]];
        let found = circle(&points).unwrap();
        let [x, y] = found.centre;
        assert!((x - 4.739_782_410_906).abs() < 1e-9, "{x}");
        assert!((y - 2.983_532_699_292).abs() < 1e-9, "{y}");
    }

    #[test]
    fn what_makes_no_circle_makes_none() {
        assert_eq!(circle(&[]), None);
        assert_eq!(circle(&[[1.0, 2.0]; 3]), None);
        assert_eq!(circle(&[[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]]), None);
        assert_eq!(circle(&[[0.0, 0.0], [1000.0, 1000.0], [2000.0, 2000.0 + 1e-6]]), None);
        assert_eq!(circle(&[[0.0, f64::NAN], [1.0, 1.0], [2.0, 0.0]]), None);
    }

    proptest! {
        #[test]
        fn a_planted_circle_is_found_and_its_rates_are_its_slopes(
            centre in [-500.0..500.0f64, -500.0..500.0],
            radius in 5.0..400.0f64,
            turns in 0.0..6.0f64,
            off in prop::collection::vec(-1e-4..1e-4f64, 4..9),
        ) {
            let n = count(off.len());
            let at = |i: usize| turns + 4.5 * count(i) / n;
            let exact: Vec<_> = (0..off.len()).map(|i| on(centre, radius, at(i))).collect();
            let found = circle(&exact).unwrap();
            let [x, y] = less(found.centre, centre);
            prop_assert!(libm::hypot(x, y) < 1e-9, "{x} {y}");
            // Moved a little: the centre follows by its rates.
            let mut moved = exact.clone();
            let mut by = [0.0; 2];
            for (i, (p, d)) in moved.iter_mut().zip(&off).enumerate() {
                let d = [*d, -0.5 * d];
                *p = [p[0] + d[0], p[1] + d[1]];
                let rate = found.rates[i];
                by = [by[0] + dot(rate[0], d), by[1] + dot(rate[1], d)];
            }
            let [x, y] = less(less(circle(&moved).unwrap().centre, found.centre), by);
            prop_assert!(libm::hypot(x, y) < 1e-7, "{x} {y}");
        }
    }
}
