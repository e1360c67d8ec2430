//! The probability that a point lies in a round zone: conformity of a position.

use super::bivariate::{Bivariate, Principal};
use super::gauss::{N12, TRAPEZOIDS, integral, integral_over, trapezoidal};
use super::strip::{Bounds, Cut, FAR, Figure, probability};
use super::{NOISE, normal};
use std::f64::consts::PI;

/// The probability that the point lies within `radius` of the origin, to 1e-10.
///
/// The radius is half the allowed position diameter. It holds for every covariance, a singular
/// one too; with none the point is inside or not, the boundary counting as inside. NaN if the
/// covariance is none. For equal variances σ² without covariance this is the non-central χ²
/// distribution of (radius/σ)² with two degrees of freedom and non-centrality (distance/σ)²
/// (Abramowitz and Stegun, 26.3).
#[must_use]
pub fn in_disc(of: &Bivariate, radius: f64) -> f64 {
    match of.principal() {
        Some(p) if !radius.is_nan() => within(&p, radius),
        _ => f64::NAN,
    }
}

fn within(p: &Principal, radius: f64) -> f64 {
    if radius < 0.0 {
        return 0.0;
    }
    if p.long == 0.0 {
        return if libm::hypot(p.along, p.across) <= radius + NOISE { 1.0 } else { 0.0 };
    }
    if radius.is_infinite() {
        return 1.0;
    }
    // The near edge of the disc along the short axis, in its standard deviations.
    let gap = radius - p.across;
    if p.short == 0.0 {
        return if gap < 0.0 { 0.0 } else { chord(p, gap * (radius + p.across)) };
    }
    let near = gap / p.short;
    if near < -FAR {
        return 0.0;
    }
    let is = if near >= 2.0 * FAR {
        probability(&Inner { p, radius, gap }, -FAR, FAR)
    } else {
        // u = near − (2 radius/short) sin²(ψ/2), clipped to what matters.
        let angle = |u: f64| {
            let share = (near - u) * (p.short / (2.0 * radius));
            2.0 * libm::asin(share.clamp(0.0, 1.0).sqrt())
        };
        let (a, b) = (angle(near.min(FAR)), angle(-FAR));
        if a < b { probability(&Edge { p, radius, near }, a, b) } else { 0.0 }
    };
    is.clamp(0.0, 1.0)
}

/// The probability of ±√`square` along the long axis.
fn chord(p: &Principal, square: f64) -> f64 {
    let w = square.sqrt();
    normal::between((-w - p.along) / p.long, (w - p.along) / p.long)
}

/// A disc whose edge is far from all that matters along the short axis: the parameter is u.
struct Inner<'a> {
    p: &'a Principal,
    radius: f64,
    gap: f64,
}

impl Inner<'_> {
    /// Coordinate along the short axis, and half the chord there.
    fn chord(&self, u: f64) -> (f64, f64) {
        let (p, step) = (self.p, self.p.short * u);
        let y = p.across + step;
        (y, ((self.gap - step) * (self.radius + y)).sqrt())
    }
}

impl Figure for Inner<'_> {
    fn cut(&self, u: f64) -> Cut {
        let (_, w) = self.chord(u);
        let Principal { along, long, .. } = *self.p;
        Cut { u, rate: 1.0, from: -(w + along) / long, to: (w - along) / long }
    }

    fn bounds(&self, a: f64, b: f64) -> Bounds {
        let Principal { along, long, short, .. } = *self.p;
        let (ya, wa) = self.chord(a);
        let (yb, wb) = self.chord(b);
        let widest = if ya < 0.0 && yb > 0.0 { self.radius } else { wa.max(wb) };
        let narrowest = wa.min(wb);
        Bounds {
            u: [a, b],
            from: [-(widest + along) / long, -(narrowest + along) / long],
            to: [(narrowest - along) / long, (widest - along) / long],
            rate: 1.0,
            steepness: (ya.abs() / wa).max(yb.abs() / wb) * (short / long),
        }
    }
}

/// What the bend of the circle adds to the rate of u over the angle, for the choice of a rule.
///
/// Where the uncertainty is as large as the disc, it is the circle that bends the integrand. Found
/// by trying: with 2.5 the error stayed below 6e-12 for 20,000 ellipses of all kinds, 1 gives
/// 3e-10.
const BEND: f64 = 2.5;

/// A disc whose edge matters: the parameter is the angle ψ at the centre from the near end of
/// the short axis, which takes the square root out of the chord, radius · sin ψ.
struct Edge<'a> {
    p: &'a Principal,
    radius: f64,
    near: f64,
}

impl Figure for Edge<'_> {
    fn cut(&self, angle: f64) -> Cut {
        let Principal { along, long, short, .. } = *self.p;
        // sin ψ and 1 − cos ψ from the half angle, for a small ψ too.
        let (s, c) = libm::sincos(0.5 * angle);
        let w = self.radius * (2.0 * s * c);
        Cut {
            u: self.near - 2.0 * (self.radius / short) * (s * s),
            rate: w / short,
            from: -(w + along) / long,
            to: (w - along) / long,
        }
    }

    fn bounds(&self, a: f64, b: f64) -> Bounds {
        let Principal { along, long, short, .. } = *self.p;
        let (at_a, at_b) = (self.cut(a), self.cut(b));
        let top = 0.5 * PI;
        let w = [at_a.rate * short, at_b.rate * short];
        let widest = if a < top && b > top { self.radius } else { w[0].max(w[1]) };
        let narrowest = w[0].min(w[1]);
        Bounds {
            u: [at_a.u, at_b.u],
            from: [-(widest + along) / long, -(narrowest + along) / long],
            to: [(narrowest - along) / long, (widest - along) / long],
            rate: libm::hypot(widest / short, BEND),
            steepness: self.radius / long * libm::cos(a).abs().max(libm::cos(b).abs()),
        }
    }
}

/// What a feature's size adds to the diameter of its zone, and how well the size is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GrowingBy {
    /// Measured departure of the size from its MMC (or LMC) size, in millimetres.
    pub departure: f64,
    /// Standard uncertainty of the size.
    pub standard: f64,
    /// The most that the departure may add: the size tolerance.
    pub most: f64,
    /// Covariance of the departure with the point along x and y, mm²: low and high touches of one
    /// bore give its size and its centre, and both have the probe constant in them.
    pub with: [f64; 2],
}

impl GrowingBy {
    /// What a departure adds: never less than nothing, never more than the most.
    fn bonus(&self, departure: f64) -> f64 {
        departure.clamp(0.0, self.most)
    }
}

/// [`in_disc`] where the size adds to the zone: the radius is `radius` + bonus/2, and the bonus
/// is as uncertain as the size.
///
/// To 1e-10, by an integral over the size between the corners of the bonus; beyond them the
/// radius stands still. NaN if an argument is out of its domain.
#[must_use]
pub fn in_growing_disc(of: &Bivariate, radius: f64, by: &GrowingBy) -> f64 {
    let GrowingBy { departure, standard, most, with } = *by;
    let all = [radius, departure, standard, most, with[0], with[1]];
    let finite = all.iter().all(|v| v.is_finite());
    let Some(p) = of.principal() else { return f64::NAN };
    if !finite || standard < 0.0 || most < 0.0 {
        return f64::NAN;
    }
    let grown = |bonus: f64| within(&p, radius + 0.5 * bonus);
    if standard == 0.0 || most == 0.0 {
        return grown(by.bonus(departure));
    }
    if correlated(of, by) {
        return given_size(of, radius, by);
    }
    let z = |bonus: f64| (bonus - departure) / standard;
    let ends = normal::cdf(z(0.0)) * grown(0.0) + normal::survival(z(most)) * grown(most);
    // Between the corners, as far as the size may be.
    let (low, high) = (by.bonus(departure - FAR * standard), by.bonus(departure + FAR * standard));
    // Below `never` the point is outside for certain, above `always` inside: within exp(−r²/2)
    // of it for r standard deviations of the long axis.
    let distance = libm::hypot(p.along, p.across);
    let reach = 7.3 * p.long;
    let never = (2.0 * (distance - reach - radius)).max(low).min(high);
    let always = (2.0 * (distance + reach - radius - NOISE)).max(never).min(high);
    let at = |bonus: f64| normal::pdf(z(bonus)) / standard * grown(bonus);
    let finest = libm::hypot(1.0 / standard, 0.5 / p.short);
    // Where no corner of the bonus cuts the integrand off it vanishes at both ends.
    let starts = never > low || low > 0.0;
    let open = (starts && high < most && finest * (always - never) < TRAPEZOIDS).then(|| {
        let at = |bonus: f64| match bonus < always {
            true => at(bonus),
            false => normal::pdf(z(bonus)) / standard,
        };
        trapezoidal(finest * (high - never), 20.0 * TRAPEZOIDS, never, high, at)
    });
    let between = open.flatten().unwrap_or_else(|| {
        // The zone's edge touches the thin way of the ellipse here.
        let touch = (2.0 * (p.across - radius)).max(never).min(always);
        let certain = normal::between(z(always), z(high));
        let open = [(never, touch), (touch, always)].map(|(a, b)| match b > a {
            true => integral_over(finest * (b - a), a, b, at).unwrap_or_else(|| halved(a, b, &at)),
            false => 0.0,
        });
        certain + open[0] + open[1]
    });
    (ends + between).clamp(0.0, 1.0)
}

/// Correlations of point and size below this change no probability that is shown.
const SLIGHT: f64 = 1e-3;

/// Whether the size is correlated with the point.
fn correlated(of: &Bivariate, by: &GrowingBy) -> bool {
    [0, 1].into_iter().any(|k| {
        let scale = by.standard * [of.xx, of.yy][k].max(0.0).sqrt();
        by.with[k].abs() > SLIGHT * scale
    })
}

/// [`in_growing_disc`] where the size is correlated with the point: the integral over the size of the
/// probability given the size, whose point is normal about μ + c z/u with covariance C − c cᵀ/u², z
/// being the standard normal deviate of the size. Panels of twelve points between the corners of the
/// bonus, to about 1e-7.
fn given_size(of: &Bivariate, radius: f64, by: &GrowingBy) -> f64 {
    let u = by.standard;
    // A size that said all of the point would leave it no spread; rounding must not leave less.
    let c = by.with.map(|c| c / u * (1.0 - 1e-9));
    let xy = of.xy - c[0] * c[1];
    let covariance = [[of.xx - c[0] * c[0], xy], [xy, of.yy - c[1] * c[1]]];
    let at = |z: f64| {
        let mean = [of.mean[0] + c[0] * z, of.mean[1] + c[1] * z];
        let bonus = by.bonus(by.departure + u * z);
        normal::pdf(z) * in_disc(&Bivariate::new(mean, covariance), radius + 0.5 * bonus)
    };
    let corner = |bonus: f64| ((bonus - by.departure) / u).clamp(-FAR, FAR);
    let ends = [-FAR, corner(0.0), corner(by.most), FAR];
    let pieces = ends.windows(2).filter(|w| w[1] > w[0]);
    let sum: f64 = pieces
        .map(|w| {
            // Panels no wider than a standard deviation and a half.
            let n = ((w[1] - w[0]) / 1.5).ceil().max(1.0);
            let step = (w[1] - w[0]) / n;
            let mut from = w[0];
            let mut sum = 0.0;
            while from < w[1] - 1e-12 {
                sum += integral(&N12, from, (from + step).min(w[1]), at);
                from += step;
            }
            sum
        })
        .sum();
    sum.clamp(0.0, 1.0)
}

/// ∫ of `f` from `a` to `b`, panels being halved until that changes nothing.
fn halved(a: f64, b: f64, f: &impl Fn(f64) -> f64) -> f64 {
    fn more(a: f64, b: f64, whole: f64, f: &impl Fn(f64) -> f64, depth: u32) -> f64 {
        let middle = 0.5 * (a + b);
        let (left, right) = (integral(&N12, a, middle, f), integral(&N12, middle, b, f));
        let sum = left + right;
        if depth >= 40 || (sum - whole).abs() <= 2e-12 {
            return sum;
        }
        more(a, middle, left, f, depth + 1) + more(middle, b, right, f, depth + 1)
    }
    // In pieces at first, so that no narrow rise is stepped over.
    (0..4)
        .map(|i| {
            let at = |k: u32| a + (b - a) * (0.25 * f64::from(k));
            let (a, b) = (at(i), at(i + 1));
            more(a, b, integral(&N12, a, b, f), f, 0)
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::super::strip::panel;
    use super::super::testing::{Lot, close, near, noncentral_cdf};
    use super::*;
    use proptest::prelude::*;

    fn disc(mx: f64, my: f64, xx: f64, xy: f64, yy: f64, radius: f64) -> f64 {
        in_disc(&Bivariate::new([mx, my], [[xx, xy], [xy, yy]]), radius)
    }

    /// Standard deviations along and across a direction at `angle`.
    fn ellipse(mean: [f64; 2], long: f64, short: f64, angle: f64) -> Bivariate {
        let (s, c) = libm::sincos(angle);
        let (l, k) = (long * long, short * short);
        Bivariate {
            mean,
            xx: l * c * c + k * s * s,
            xy: (l - k) * s * c,
            yy: l * s * s + k * c * c,
        }
    }

    /// The uniform rule against panels that are halved where it matters: in 40,000 such ellipses the
    /// worst difference was 7.3e-12.
    #[test]
    fn uniform_points_give_what_panels_give() {
        let mut lot = Lot(7);
        for _ in 0..4_000 {
            let long = libm::pow(10.0, 4.0 * lot.next() - 3.5);
            let short = long * libm::pow(10.0, -2.0 * lot.next());
            let (r, angle) = (libm::pow(10.0, 0.4 * lot.next() - 0.3), 6.3 * lot.next());
            let p = Principal {
                along: r * libm::cos(angle),
                across: r * libm::sin(angle).abs(),
                long,
                short,
            };
            let near = (1.0 - p.across) / p.short;
            if near < 2.0 * FAR && near > -FAR {
                let edge = Edge { p: &p, radius: 1.0, near };
                close(probability(&edge, 0.0, PI), panel(&edge, 0.0, PI, 0), 2e-11);
            } else if near >= 2.0 * FAR {
                let inner = Inner { p: &p, radius: 1.0, gap: 1.0 - p.across };
                close(probability(&inner, -FAR, FAR), panel(&inner, -FAR, FAR, 0), 2e-11);
            }
        }
    }

    /// Computed independently in 30 digits: over the long axis and over the short axis, which
    /// agreed to 1e-30.
    #[test]
    fn values_in_thirty_digits() {
        for (mx, my, xx, xy, yy, radius, p) in [
            (0.012, -0.017, 9e-6, 4e-6, 16e-6, 0.025, 0.888_886_414_232_942_3),
            (0.0, 0.024, 4e-6, 0.0, 1e-12, 0.025, 0.999_534_732_070_571_4),
            (0.0, 0.025, 4e-6, 0.0, 1e-12, 0.025, 0.036_591_649_219_478_19),
            (0.0, 0.025, 1e-4, 0.0, 1e-8, 0.025, 0.072_636_843_012_938_1),
            (0.0249, 0.0, 4e-6, 0.0, 1e-10, 0.025, 0.519_938_407_394_380_7),
            (0.02, 0.015, 1e-4, 0.9999e-4, 1e-4, 0.025, 0.499_761_617_294_573_9),
            (0.02, 0.015, 1e-4, -0.9999e-4, 1e-4, 0.025, 0.186_572_993_421_212_02),
            (0.03, 0.01, 1e-2, 3e-3, 4e-3, 0.025, 0.051_841_509_949_844_48),
            (0.03, 0.04, 1e-10, 0.0, 1e-10, 0.05, 0.499_960_105_771_760_4),
            (0.03, 0.04, 1e-10, 5e-11, 2e-10, 0.05, 0.499_977_382_513_916_8),
            (0.0, 0.0499, 1e-12, 0.0, 1e-12, 0.05, 1.0),
            (1.0, 0.0, 1e-2, 0.0, 1e-6, 0.9, 0.158_653_909_659_611_84),
            (5.0, -3.0, 9.0, 2.0, 1.0, 2.0, 1.834_857_015_916_366e-4),
            (1e-3, 0.0, 1.0, 0.0, 1e-14, 1e-3, 7.978_840_248_907_251e-4),
            (0.05, 0.001, 1e-3, 0.0, 1e-9, 0.05, 0.499_090_151_996_436_7),
            (0.0, 0.0, 1.0, 0.0, 4e-4, 3.0, 0.997_299_612_826_572_7),
        ] {
            close(disc(mx, my, xx, xy, yy, radius), p, 1e-11);
        }
    }

    #[test]
    fn without_covariance_it_is_the_noncentral_chi_square_distribution() {
        for deviation in [1e-3, 0.02, 0.1, 0.3, 1.0, 4.0, 100.0] {
            for i in 0..=12 {
                let r = f64::from(i) * 0.125;
                for angle in [0.0, 0.4, 2.5] {
                    let (s, c) = libm::sincos(angle);
                    let is = in_disc(&Bivariate::round([r * c, r * s], deviation), 1.0);
                    let (x, d) = (1.0 / deviation, r / deviation);
                    close(is, noncentral_cdf(x * x, d * d), 2e-11);
                }
            }
        }
    }

    /// The same by another way: over the long axis instead of the short, by Simpson's rule in
    /// five hundred steps for each standard deviation of either.
    fn by_force(of: &Bivariate, radius: f64) -> f64 {
        let p = of.principal().unwrap();
        let phi = |x: f64| libm::exp(-0.5 * x * x) / (2.0 * PI).sqrt();
        let cumulative = |x: f64| 0.5 * libm::erfc(-x / 2.0_f64.sqrt());
        let at = |t: f64| {
            let (s, c) = libm::sincos(t);
            let h = radius * c;
            let inner = cumulative((h - p.across) / p.short);
            let outer = cumulative((-h - p.across) / p.short);
            phi((radius * s - p.along) / p.long) * h / p.long * (inner - outer)
        };
        let asin = |v: f64| libm::asin(v.clamp(-1.0, 1.0));
        let mut breaks = vec![];
        for k in -9..=9 {
            let k = f64::from(k);
            let turn = 0.5 * PI - asin((p.across + k * p.short) / radius);
            breaks.extend([asin((p.along + k * p.long) / radius), turn, -turn]);
        }
        let low = breaks[0];
        let high = asin((p.along + 9.0 * p.long) / radius);
        let mut breaks: Vec<f64> = breaks.into_iter().map(|b| b.clamp(low, high)).collect();
        breaks.sort_by(f64::total_cmp);
        let simpson = |a: f64, b: f64| {
            let h = (b - a) / 500.0;
            let weight = |i: i32| match i {
                0 | 500 => 1.0,
                i => f64::from(2 + 2 * (i % 2)),
            };
            (0..=500).map(|i| weight(i) * at(a + h * f64::from(i))).sum::<f64>() * h / 3.0
        };
        breaks.windows(2).map(|ab| simpson(ab[0], ab[1])).sum()
    }

    #[test]
    fn the_same_by_force() {
        let mut lot = Lot(1);
        for i in 0..600 {
            let thin = libm::pow(10.0, -4.0 * lot.next());
            let long = libm::pow(10.0, 1.0 - 4.5 * lot.next());
            let short = long * thin;
            // A third near the boundary, where it is hardest; half of the ellipses radial or
            // tangential.
            let r = match i % 3 {
                0 => 1.0 + 6.0 * (lot.next() - 0.5) * (short + (long - short) * lot.next()),
                _ => 1.5 * lot.next(),
            };
            let way = 2.0 * PI * lot.next();
            let angle = match i % 4 {
                0 => way,
                1 => way + 0.5 * PI,
                _ => 2.0 * PI * lot.next(),
            };
            let (s, c) = libm::sincos(way);
            let of = ellipse([r * c, r * s], long, short, angle);
            close(in_disc(&of, 1.0), by_force(&of, 1.0), 1e-10);
        }
    }

    #[test]
    fn without_uncertainty_it_is_a_step_and_the_boundary_is_inside() {
        for (mx, my, radius, inside) in [
            (0.03, 0.04, 0.05, 1.0),
            (0.03, 0.04, 0.049_999, 0.0),
            (0.03, 0.040_001, 0.05, 0.0),
            (0.0, 0.0, 0.0, 1.0),
            (0.001, 0.0, 0.0, 0.0),
            (-0.1, 0.1, 0.5 * 0.282_842_712_5, 1.0),
        ] {
            close(disc(mx, my, 0.0, 0.0, 0.0, radius), inside, 0.0);
        }
    }

    #[test]
    fn an_ellipse_thinned_to_a_line_is_a_chord() {
        // Along y through x = 0.6: the chord of the unit circle is ±0.8.
        let chord = normal::between(-0.8 / 0.5, 0.8 / 0.5);
        for thin in [0.0, 1e-300, 1e-200, 1e-30, 1e-24] {
            close(disc(0.6, 0.0, thin, 0.0, 0.25, 1.0), chord, 1e-11);
        }
        // The same line turned: a singular matrix with its rounding.
        let (s, c) = libm::sincos(0.7);
        let mean = [0.6 * c, 0.6 * s];
        let singular = [[0.25 * s * s, -0.25 * s * c], [-0.25 * s * c, 0.25 * c * c]];
        close(in_disc(&Bivariate::new(mean, singular), 1.0), chord, 1e-8);
        // A line that misses the circle, and one that touches it.
        close(disc(1.1, 0.0, 0.0, 0.0, 0.25, 1.0), 0.0, 0.0);
        close(disc(1.0, 0.0, 0.0, 0.0, 0.25, 1.0), 0.0, 0.0);
    }

    #[test]
    fn ends_and_arguments_out_of_domain() {
        close(disc(0.0, 0.0, 1e-6, 0.0, 1e-6, 0.0), 0.0, 0.0);
        close(disc(0.0, 0.0, 1e-6, 0.0, 1e-6, -0.1), 0.0, 0.0);
        close(disc(0.0, 0.0, 1e-6, 0.0, 1e-6, f64::INFINITY), 1.0, 0.0);
        close(disc(1e9, 0.0, 1e-6, 0.0, 1e-6, 1.0), 0.0, 0.0);
        close(disc(0.3, 0.4, 1e-300, 0.0, 1e-300, 1.0), 1.0, 1e-11);
        // A disc much smaller than the ellipse: its area times the density.
        near(disc(1.0, 1.0, 1.0, 0.0, 4.0, 1e-3), PI * 1e-6 * libm::exp(-0.625) / (4.0 * PI), 1e-6);
        for v in [
            disc(0.0, 0.0, -1e-6, 0.0, 1e-6, 1.0),
            disc(0.0, 0.0, 1e-6, 1.1e-6, 1e-6, 1.0),
            disc(f64::NAN, 0.0, 1e-6, 0.0, 1e-6, 1.0),
            disc(0.0, 0.0, f64::INFINITY, 0.0, 1e-6, 1.0),
            disc(0.0, 0.0, 1e-6, 0.0, 1e-6, f64::NAN),
        ] {
            assert!(v.is_nan());
        }
    }

    fn any_ellipse() -> impl Strategy<Value = Bivariate> {
        let mean = [-1.5..1.5_f64, -1.5..1.5_f64];
        (mean, -4.0..1.0_f64, -5.0..0.0_f64, 0.0..3.2_f64).prop_map(|(mean, long, thin, angle)| {
            let long = libm::pow(10.0, long);
            ellipse(mean, long, long * libm::pow(10.0, thin), angle)
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn a_larger_disc_holds_more(of in any_ellipse(), a in 0.0..2.0_f64, more in 0.0..0.1_f64) {
            prop_assert!(in_disc(&of, a + more) >= in_disc(&of, a) - 2e-11);
        }

        #[test]
        fn turning_changes_nothing(of in any_ellipse(), angle in 0.0..6.3_f64) {
            let (s, c) = libm::sincos(angle);
            let Bivariate { mean: [x, y], xx, xy, yy } = of;
            let turned = Bivariate {
                mean: [c * x - s * y, s * x + c * y],
                xx: c * c * xx - 2.0 * s * c * xy + s * s * yy,
                xy: s * c * (xx - yy) + (c * c - s * s) * xy,
                yy: s * s * xx + 2.0 * s * c * xy + c * c * yy,
            };
            // What rounding of the covariance does to its thin side, 1e-16 of the long variance.
            let p = of.principal().unwrap();
            let rounding = (p.long / p.short) * (p.long / p.short) * 1e-15 + 1e-15 / p.short;
            prop_assert!((in_disc(&of, 1.0) - in_disc(&turned, 1.0)).abs() <= 2e-11 + rounding);
        }

        #[test]
        fn mirroring_and_scaling_change_nothing(of in any_ellipse(), scale in -9..9_i32) {
            let k = libm::ldexp(1.0, scale);
            let Bivariate { mean: [x, y], xx, xy, yy } = of;
            let scaled =
                Bivariate { mean: [-k * x, k * y], xx: k * k * xx, xy: -k * k * xy, yy: k * k * yy };
            prop_assert!((in_disc(&of, 1.0) - in_disc(&scaled, k)).abs() <= 1e-13);
        }

        #[test]
        fn a_growing_disc_lies_between_its_smallest_and_its_largest(
            of in any_ellipse(),
            departure in -0.1..0.5_f64,
            standard in 0.0..0.1_f64,
            most in 0.0..0.4_f64,
        ) {
            let by = GrowingBy { departure, standard, most, with: [0.0; 2] };
            let p = in_growing_disc(&of, 0.7, &by);
            prop_assert!(p >= in_disc(&of, 0.7) - 1e-10);
            prop_assert!(p <= in_disc(&of, 0.7 + 0.5 * most) + 1e-10);
        }
    }

    /// Computed independently in 22 digits: quadrature over the size of quadratures over the disc.
    #[test]
    fn a_growing_disc_in_fifteen_digits() {
        let of = Bivariate::new([0.05, 0.04], [[1e-5, 2e-6], [2e-6, 2e-5]]);
        for (departure, most, p) in [
            (0.03, 0.1, 0.577_382_054_436_227),
            (0.002, 0.1, 0.001_504_112_521_758_61),
            (0.028, 0.03, 0.453_675_401_580_894),
        ] {
            let by = GrowingBy { departure, standard: 0.004, most, with: [0.0; 2] };
            close(in_growing_disc(&of, 0.05, &by), p, 1e-11);
        }
    }

    #[test]
    fn a_growing_disc_by_force() {
        // Simpson's rule over the size, where the whole way from never to always counts.
        for (long, short, most, standard) in
            [(0.004, 0.003, 0.2, 0.03), (0.01, 0.002, 0.1, 0.05), (0.02, 1e-4, 0.15, 0.04)]
        {
            let of = ellipse([0.05, 0.04], long, short, 0.3);
            let by = GrowingBy { departure: 0.06, standard, most, with: [0.0; 2] };
            let steps = 20_000;
            let h = most / f64::from(steps);
            let at = |b: f64| {
                normal::pdf((b - 0.06) / standard) / standard * in_disc(&of, 0.02 + 0.5 * b)
            };
            let middle: f64 = (0..=steps)
                .map(|i| {
                    let ends = i == 0 || i == steps;
                    let weight = if ends { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
                    weight * at(h * f64::from(i)) * h / 3.0
                })
                .sum();
            let below = normal::cdf(-0.06 / standard) * in_disc(&of, 0.02);
            let above = normal::survival((most - 0.06) / standard);
            let should = below + middle + above * in_disc(&of, 0.02 + 0.5 * most);
            close(in_growing_disc(&of, 0.02, &by), should, 1e-10);
        }
    }

    #[test]
    fn a_growing_disc_about_a_certain_point_depends_on_the_size_alone() {
        // Inside where the bonus is at least 2 (0.13 − 0.1).
        let by = |departure, standard| GrowingBy { departure, standard, most: 0.1, with: [0.0; 2] };
        let point = Bivariate::new([0.05, 0.12], [[0.0; 2]; 2]);
        for departure in [-0.01, 0.03, 0.059, 0.06, 0.08, 0.2] {
            let should = normal::survival((0.06 - departure) / 0.01);
            // The boundary counts with 1 pm, 2 pm of the diameter, of an uncertainty of 10 µm.
            close(in_growing_disc(&point, 0.1, &by(departure, 0.01)), should, 1e-7);
        }
        close(in_growing_disc(&point, 0.1, &by(0.06, 0.0)), 1.0, 0.0);
        close(in_growing_disc(&point, 0.1, &by(0.0599, 0.0)), 0.0, 0.0);
        // Almost certain: the step is as sharp as makes no difference.
        let point = Bivariate::round([0.05, 0.12], 1e-12);
        close(in_growing_disc(&point, 0.1, &by(0.055, 0.01)), normal::survival(0.5), 1e-9);
    }

    #[test]
    fn a_growing_disc_on_a_line() {
        // All on a line at 0.11 from the origin: a chord from a bonus of 0.02 on, by the midpoint
        // rule after r² = 0.11² + w².
        let of = Bivariate::new([0.0, 0.11], [[4e-4, 0.0], [0.0, 0.0]]);
        let by = GrowingBy { departure: 0.03, standard: 0.01, most: 0.05, with: [0.0; 2] };
        let chord = |bonus: f64| {
            let r = 0.1 + 0.5 * bonus;
            let square = r * r - 0.11 * 0.11;
            if square > 0.0 { 1.0 - 2.0 * normal::survival(square.sqrt() / 0.02) } else { 0.0 }
        };
        let (w_most, steps) = (f64::sqrt(0.125 * 0.125 - 0.11 * 0.11), 200_000);
        let h = w_most / f64::from(steps);
        let middle: f64 = (0..steps)
            .map(|i| {
                let w = h * (f64::from(i) + 0.5);
                let r = (0.11 * 0.11 + w * w).sqrt();
                let bonus = 2.0 * (r - 0.1);
                normal::pdf((bonus - 0.03) / 0.01) / 0.01 * chord(bonus) * 2.0 * w / r * h
            })
            .sum();
        let should = middle + normal::survival(2.0) * chord(0.05);
        close(in_growing_disc(&of, 0.1, &by), should, 1e-10);
    }

    #[test]
    fn a_growing_disc_without_room_to_grow_is_a_disc() {
        let of = Bivariate::new([0.05, 0.04], [[1e-5, 2e-6], [2e-6, 2e-5]]);
        let still = in_disc(&of, 0.065);
        for (departure, standard, most) in [(0.01, 0.004, 0.0), (-0.1, 0.004, 0.1), (0.0, 0.0, 0.1)]
        {
            let by = GrowingBy { departure, standard, most, with: [0.0; 2] };
            close(in_growing_disc(&of, 0.065, &by), still, 1e-11);
        }
        let by = GrowingBy { departure: 0.5, standard: 0.004, most: 0.02, with: [0.0; 2] };
        close(in_growing_disc(&of, 0.055, &by), still, 1e-11);
        for by in [
            GrowingBy { departure: 0.0, standard: -1.0, with: [0.0; 2], most: 0.1 },
            GrowingBy { departure: 0.0, standard: 0.1, with: [0.0; 2], most: -0.1 },
            GrowingBy { departure: f64::NAN, standard: 0.1, with: [0.0; 2], most: 0.1 },
        ] {
            assert!(in_growing_disc(&of, 0.1, &by).is_nan());
        }
    }
}
