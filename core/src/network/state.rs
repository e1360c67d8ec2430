//! The values of all unknowns, between one linearisation and the next.

use super::layout::Which;
use super::model::{Direction, Network, Observation};
use crate::quantity::vector::dot;

/// The unit vector at `angle` from +X.
pub(super) fn up(angle: f64) -> [f64; 2] {
    [libm::cos(angle), libm::sin(angle)]
}

/// Where the adjustment stands.
#[derive(Clone, Debug)]
pub(super) struct State {
    /// x and y of every point; of planes and of fixed points the part that is not adjusted too.
    pub(super) points: Vec<[f64; 2]>,
    /// Every angle error δ.
    pub(super) angle_errors: Vec<f64>,
    /// c of every offset.
    pub(super) offsets: Vec<f64>,
    /// s of every systematic error.
    pub(super) systematics: Vec<f64>,
    /// (cos, sin) of φ + δ of every direction.
    pub(super) ups: Vec<[f64; 2]>,
    /// Arms shorter than this are none, mm: what rounding leaves of the coordinates.
    pub(super) short: f64,
}

impl State {
    /// Where it starts, the points being at `points`.
    pub(super) fn start(network: &Network, points: Vec<[f64; 2]>) -> Self {
        let mut state = Self {
            points,
            angle_errors: network.angle_errors.iter().map(|d| d.start()).collect(),
            offsets: network.offsets.iter().map(|c| c.prior.start()).collect(),
            systematics: network.systematics.iter().map(|s| s.prior.start()).collect(),
            ups: Vec::new(),
            short: 0.0,
        };
        state.turn(network);
        state.meet(network);
        state
    }

    /// Starts free offsets where the points seen with them are about where they are stated to
    /// be. What nothing ties then stays there, and with it the arms of the angle errors.
    fn meet(&mut self, network: &Network) {
        let mut sums = vec![(0.0, 0.0); network.offsets.len()];
        for o in network.observations.iter().filter(|o| network.offsets[o.offset].prior.is_free()) {
            let (sum, n) = &mut sums[o.offset];
            *sum += self.misclosure(network, o);
            *n += 1.0;
        }
        for (c, (sum, n)) in self.offsets.iter_mut().zip(sums) {
            if n > 0.0 {
                *c += sum / n;
            }
        }
    }

    /// Brings the unit vectors up to date after a change.
    pub(super) fn turn(&mut self, network: &Network) {
        self.ups = network.directions.iter().map(|d| up(self.angle(d))).collect();
        let reach = self.points.iter().flatten().fold(0.0, |far: f64, p| far.max(p.abs()));
        self.short = 1e-9 * reach;
    }

    /// φ + δ of a direction.
    pub(super) fn angle(&self, direction: &Direction) -> f64 {
        direction.angle + direction.angle_errors.iter().map(|k| self.angle_errors[*k]).sum::<f64>()
    }

    /// The value of a shared unknown.
    pub(super) fn shared(&self, which: Which) -> f64 {
        match which {
            Which::AngleError(k) => self.angle_errors[k],
            Which::Offset(j) => self.offsets[j],
            Which::Systematic(m) => self.systematics[m],
        }
    }

    /// The same, to be changed; [`State::turn`] must follow.
    pub(super) fn shared_mut(&mut self, which: Which) -> &mut f64 {
        match which {
            Which::AngleError(k) => &mut self.angle_errors[k],
            Which::Offset(j) => &mut self.offsets[j],
            Which::Systematic(m) => &mut self.systematics[m],
        }
    }

    /// What the observation should have been.
    fn computed(&self, network: &Network, o: &Observation) -> f64 {
        let systematic: f64 = o.systematics.iter().map(|&(s, a)| a * self.systematics[s]).sum();
        dot(&self.points[o.point], &self.ups[network.direction_of(o)])
            + self.offsets[o.offset]
            + systematic
    }

    /// Observed minus computed.
    pub(super) fn misclosure(&self, network: &Network, o: &Observation) -> f64 {
        o.height - self.computed(network, o)
    }
}
