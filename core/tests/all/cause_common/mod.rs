//! What the tests of the cause share: numbers by lot, Fisher's distribution, patterns, a machine.
#![allow(dead_code, reason = "each test takes what it needs")]

use quarterturn_core::cause::{Correction, Distortion, Member, Zone};

/// Numbers by lot, the same in every run (SplitMix64; normal ones by Box and Muller).
pub(crate) struct Lot(pub(crate) u64);

impl Lot {
    #[expect(clippy::cast_precision_loss, reason = "53 bits")]
    pub(crate) fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * libm::log(1.0 - self.next())).sqrt();
        radius * libm::cos(std::f64::consts::TAU * self.next())
    }

    /// From −1 to 1.
    pub(crate) fn either(&mut self) -> f64 {
        2.0 * self.next() - 1.0
    }

    pub(crate) fn below(&mut self, n: usize) -> usize {
        let mut i = 0;
        let x = self.next();
        while i + 1 < n && x * count(n) >= count(i + 1) {
            i += 1;
        }
        i
    }
}

pub(crate) fn count(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::INFINITY, f64::from)
}

/// P(F > x): the incomplete beta function by its continued fraction (DLMF 8.17.22).
pub(crate) fn tail(x: f64, above: f64, below: f64) -> f64 {
    if x.is_nan() {
        return f64::NAN;
    }
    if x <= 0.0 {
        return 1.0;
    }
    let (a, b) = (0.5 * below, 0.5 * above);
    let t = below / (below + above * x);
    if t <= 0.0 {
        return 0.0;
    }
    if t < (a + 1.0) / (a + b + 2.0) { beta(a, b, t) } else { 1.0 - beta(b, a, 1.0 - t) }
}

fn beta(a: f64, b: f64, x: f64) -> f64 {
    let log = libm::lgamma(a + b) - libm::lgamma(a) - libm::lgamma(b)
        + a * libm::log(x)
        + b * libm::log1p(-x);
    let (mut c, mut d) = (1.0, 1.0 / (1.0 - (a + b) * x / (a + 1.0)));
    let mut h = d;
    let mut m = 0.0;
    while m < 10_000.0 {
        m += 1.0;
        let n = a + 2.0 * m;
        let even = m * (b - m) * x / ((n - 1.0) * n);
        d = 1.0 / (1.0 + even * d);
        c = 1.0 + even / c;
        h *= c * d;
        let odd = -(a + m) * (a + b + m) * x / (n * (n + 1.0));
        d = 1.0 / (1.0 + odd * d);
        c = 1.0 + odd / c;
        h *= c * d;
        if (c * d - 1.0).abs() < 1e-15 {
            break;
        }
    }
    libm::exp(log) * h / a
}

/// `n` holes: the corners of a plate first, then here and there on it, the datum at `from`.
pub(crate) fn plate(n: usize, from: [f64; 2], lot: &mut Lot) -> Vec<[f64; 2]> {
    let corners = [[0.0, 0.0], [120.0, 0.0], [120.0, 80.0], [0.0, 80.0]];
    (0..n)
        .map(|i| {
            let [x, y] = match corners.get(i) {
                Some(corner) => *corner,
                None => [120.0 * lot.next(), 80.0 * lot.next()],
            };
            [x - from[0], y - from[1]]
        })
        .collect()
}

/// `n` holes on a circle about the datum.
pub(crate) fn circle(n: usize, radius: f64) -> Vec<[f64; 2]> {
    (0..n)
        .map(|i| {
            let a = std::f64::consts::TAU * count(i) / count(n);
            [radius * libm::cos(a), radius * libm::sin(a)]
        })
        .collect()
}

/// A pattern with this error and holes that scatter by `sigma` in x and y.
pub(crate) fn pattern(
    places: &[[f64; 2]],
    error: Distortion,
    sigma: f64,
    lot: &mut Lot,
) -> Vec<Member> {
    places
        .iter()
        .map(|&n| Member {
            nominal: n,
            deviation: error.at(n).map(|d| Some(d + sigma * lot.normal())),
            zone: Some(Zone::Round(0.05)),
        })
        .collect()
}

/// A machine: its datum is off, its axes are turned, longer or shorter, and out of square; each
/// hole has an error of its own besides. Exact, not to first order.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Machine {
    pub(crate) shift: [f64; 2],
    pub(crate) turn: f64,
    pub(crate) scales: [f64; 2],
    /// +X and +Y are closer by this than a right angle, half of it each.
    pub(crate) closer: f64,
}

impl Machine {
    /// Where it makes a hole programmed at `n`.
    pub(crate) fn makes(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let (x, y) = (x * (1.0 + self.scales[0]), y * (1.0 + self.scales[1]));
        // Its X axis points to the angle `turn` + half, its Y axis to 90° + `turn` − half.
        let along = self.turn + 0.5 * self.closer;
        let up = self.turn - 0.5 * self.closer;
        [
            self.shift[0] + x * libm::cos(along) - y * libm::sin(up),
            self.shift[1] + x * libm::sin(along) + y * libm::cos(up),
        ]
    }

    /// The pattern it makes of these places under a correction, measured.
    pub(crate) fn run(
        &self,
        places: &[[f64; 2]],
        correction: &Correction,
        own: &[[f64; 2]],
    ) -> Vec<Member> {
        places
            .iter()
            .zip(own)
            .map(|(&n, own)| {
                let p = self.makes(correction.applied(n));
                Member {
                    nominal: n,
                    deviation: [Some(p[0] + own[0] - n[0]), Some(p[1] + own[1] - n[1])],
                    zone: Some(Zone::Round(0.05)),
                }
            })
            .collect()
    }
}
