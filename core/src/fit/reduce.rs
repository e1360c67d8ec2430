//! Locks taken out of the unknowns.

use super::eigen::{Eigen, add_square};
use super::touch::Linearised;
use crate::quantity::vector::dot;

/// What the locks leave: a step that closes them, and the directions in which the pattern can
/// still move and some line would notice.
///
/// Orthogonal elimination of linear equations (J. Nocedal and S. Wright, *Numerical
/// Optimization*, 15.3), by eigenvectors of products of three rows.
#[derive(Debug)]
pub(super) struct Reduced {
    /// Step of least length that closes the locks, as far as they agree.
    pub(super) close: [f64; 3],
    /// Orthonormal directions; those that are not free are 0.
    pub(super) free: [[f64; 3]; 3],
}

/// Squares of sensitivities below this part of the largest are rounding.
const BLIND: f64 = 1e-13;

impl Reduced {
    pub(super) fn of(locks: &[Linearised], lines: &[Linearised]) -> Self {
        let mut projector = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        let close = if locks.is_empty() {
            [0.0; 3]
        } else {
            let (eigen, close) = closing(locks);
            let floor = BLIND * eigen.largest();
            for (value, v) in eigen.values.iter().zip(&eigen.vectors) {
                if *value > floor {
                    add_square(&mut projector, -1.0, v);
                }
            }
            close
        };
        let mut seen = [[0.0; 3]; 3];
        for line in lines {
            for row in &line.rows {
                let row = projector.map(|p| dot(&p, row));
                add_square(&mut seen, 1.0, &row);
            }
        }
        let all: f64 = lines.iter().flat_map(|l| &l.rows).map(|row| dot(row, row)).sum();
        let eigen = Eigen::of(seen);
        let mut free = eigen.vectors;
        for (value, v) in eigen.values.iter().zip(&mut free) {
            if *value <= BLIND * all {
                *v = [0.0; 3];
            }
        }
        Self { close, free }
    }

    /// The line in the free directions, once the locks are closed.
    pub(super) fn line(&self, line: &Linearised) -> Linearised {
        Linearised {
            gap: line.gap_after(&self.close),
            rows: line.rows.map(|row| self.free.map(|v| dot(&v, &row))),
            ..*line
        }
    }

    /// A step in the free directions, in the unknowns.
    pub(super) fn step(&self, y: &[f64; 3]) -> [f64; 3] {
        let mut x = self.close;
        for (y, v) in y.iter().zip(&self.free) {
            for (x, v) in x.iter_mut().zip(v) {
                *x += y * v;
            }
        }
        x
    }
}

/// What the locks hold, and the step of least length that closes them.
fn closing(locks: &[Linearised]) -> (Eigen<3>, [f64; 3]) {
    let mut held = [[0.0; 3]; 3];
    let mut open = [0.0; 3];
    for line in locks {
        for (row, gap) in line.rows.iter().zip(line.gap) {
            let square = dot(row, row);
            if square > 0.0 {
                add_square(&mut held, 1.0 / square, row);
                for (open, r) in open.iter_mut().zip(row) {
                    *open -= r * gap / square;
                }
            }
        }
    }
    let eigen = Eigen::of(held);
    let close = eigen.solve(&open, BLIND * eigen.largest());
    (eigen, close)
}

/// The step of least length that closes the locks in the linear model.
pub(super) fn close(locks: &[Linearised]) -> [f64; 3] {
    closing(locks).1
}

#[cfg(test)]
mod tests {
    use super::super::member::Zone;
    use super::super::pose::Pose;
    use super::super::touch::{Touch, Whose};
    use super::*;

    fn touch(measured: [f64; 2], zone: Zone) -> Touch {
        Touch { whose: Whose::Bound(0), nominal: [0.0; 2], measured, zone, rises: false }
    }

    #[test]
    fn a_round_lock_leaves_the_rotation_about_it() {
        let pose = Pose::at([0.0; 2]);
        let lock = touch([3.0, 4.0], Zone::Round { radius: 0.0 }).line(&pose, 10.0);
        let other = touch([20.0, 0.0], Zone::Round { radius: 1.0 }).line(&pose, 10.0);
        let reduced = Reduced::of(&[lock], &[other]);
        let free: Vec<_> = reduced.free.iter().filter(|v| dot(v, v) > 0.5).collect();
        assert_eq!(free.len(), 1);
        for row in &lock.rows {
            assert!(dot(row, free[0]).abs() < 1e-15);
        }
        let after = lock.gap_after(&reduced.close);
        assert!(after.iter().all(|v| v.abs() < 1e-14), "{after:?}");
    }

    #[test]
    fn what_no_line_notices_is_not_free() {
        let pose = Pose::at([0.0; 2]);
        let slot = Zone::Planes { normal: [0.0, 1.0], half: 0.1 };
        let lines = [touch([0.0, 0.0], slot), touch([0.0, 7.0], slot)];
        let lines = lines.map(|t| t.line(&pose, 10.0));
        let reduced = Reduced::of(&[], &lines);
        let free: Vec<_> = reduced.free.iter().filter(|v| dot(v, v) > 0.5).collect();
        assert_eq!(free.len(), 1);
        assert!((free[0][1].abs() - 1.0).abs() < 1e-15);
    }
}
