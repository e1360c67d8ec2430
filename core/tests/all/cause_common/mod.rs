//! What the tests of the cause share: Fisher's distribution, patterns, a machine.

mod fisher;

pub(crate) use fisher::tail;

use crate::random::Random;
use quarterturn_core::cause::{Correction, Distortion, Member, Zone};

pub(crate) fn count(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::INFINITY, f64::from)
}

/// `n` holes: the corners of a plate first, then here and there on it, the datum at `from`.
pub(crate) fn plate(n: usize, from: [f64; 2], random: &mut Random) -> Vec<[f64; 2]> {
    let corners = [[0.0, 0.0], [120.0, 0.0], [120.0, 80.0], [0.0, 80.0]];
    (0..n)
        .map(|i| {
            let [x, y] = match corners.get(i) {
                Some(corner) => *corner,
                None => [120.0 * random.unit(), 80.0 * random.unit()],
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
    random: &mut Random,
) -> Vec<Member> {
    places
        .iter()
        .map(|&n| Member {
            nominal: n,
            deviation: error.at(n).map(|d| Some(d + sigma * random.normal())),
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
