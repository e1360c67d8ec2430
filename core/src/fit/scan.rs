//! One look at all features: which of them are worst, in several directions.

use super::member::{Member, Zone};
use super::pose::Pose;

/// The worst features of one look, one for every direction in which they would push and either
/// way in which they would turn the pattern.
#[derive(Debug)]
pub(super) struct Worst {
    worst: [(f64, usize); WAYS],
}

const WAYS: usize = 16;

impl Worst {
    /// Looks at every `stride`-th feature for those whose distance passes their radius by more
    /// than `s`, mm. Distances are compared as squares, so most features cost no square root.
    pub(super) fn look(members: &[Member], stride: usize, pose: &Pose, s: f64) -> Self {
        let mut out = Self { worst: [(f64::NEG_INFINITY, usize::MAX); WAYS] };
        let mut index = 0;
        for m in members.iter().step_by(stride.max(1)) {
            let arm = pose.arm(m.measured);
            let [x, y] = pose.step(arm);
            let (x, y) = (m.measured[0] - m.nominal[0] + x, m.measured[1] - m.nominal[1] + y);
            let (square, radius) = match m.zone {
                Zone::Round { radius } => (x * x + y * y, radius),
                Zone::Planes { normal, half } => {
                    let across = normal[0] * x + normal[1] * y;
                    (across * across, half)
                }
            };
            let limit = radius + s;
            if limit < 0.0 || square > limit * limit {
                out.note(index, m, arm, [x, y]);
            }
            index += stride.max(1);
        }
        out
    }

    #[cold]
    fn note(&mut self, index: usize, m: &Member, arm: [f64; 2], [x, y]: [f64; 2]) {
        let over = m.zone.distance([x, y]) - m.zone.radius();
        let [x, y] = match m.zone {
            Zone::Round { .. } => [x, y],
            Zone::Planes { normal: [nx, ny], .. } => {
                let across = nx * x + ny * y;
                [across * nx, across * ny]
            }
        };
        let turns = arm[0] * y > arm[1] * x;
        let way = usize::from(x > 0.0)
            + 2 * usize::from(y > 0.0)
            + 4 * usize::from(x.abs() > y.abs())
            + 8 * usize::from(turns);
        if let Some(worst) = self.worst.get_mut(way)
            && over > worst.0
        {
            *worst = (over, index);
        }
    }

    /// What was found, the worst first: by how much its distance passes its radius, mm, and its
    /// index.
    pub(super) fn list(&self) -> Vec<(f64, usize)> {
        let mut list: Vec<_> = self.worst.iter().filter(|w| w.1 != usize::MAX).copied().collect();
        list.sort_unstable_by(|a, b| b.0.total_cmp(&a.0));
        list
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worst_of_every_direction_is_found() {
        let hole = |at: [f64; 2], d: [f64; 2]| Member {
            nominal: at,
            measured: [at[0] + d[0], at[1] + d[1]],
            zone: Zone::Round { radius: 0.01 },
        };
        let members = [
            hole([5.0, 1.0], [0.03, 0.001]),
            hole([5.0, 1.0], [0.04, 0.001]),
            hole([5.0, 1.0], [-0.02, 0.001]),
            hole([5.0, 1.0], [0.001, -0.05]),
            hole([5.0, 1.0], [0.005, 0.0]),
        ];
        let pose = Pose::at([0.0; 2]);
        let list = Worst::look(&members, 1, &pose, 0.0).list();
        let found: Vec<usize> = list.iter().map(|w| w.1).collect();
        assert_eq!(found, [3, 1, 2]);
        assert!((list[0].0 - ((0.001_f64 * 0.001 + 0.05 * 0.05).sqrt() - 0.01)).abs() < 1e-15);
        let every_other = Worst::look(&members, 2, &pose, 0.0).list();
        assert_eq!(every_other.iter().map(|w| w.1).collect::<Vec<_>>(), [0, 2]);
        assert!(Worst::look(&members, 1, &pose, 0.05).list().is_empty());
    }
}
