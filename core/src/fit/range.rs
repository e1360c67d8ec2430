//! What a few conditions fix of four unknowns, and what they leave.

use super::eigen::Eigen;
use crate::quantity::vector::dot;

/// A positive semidefinite matrix of four rows, factored as far as it has rank.
///
/// Cholesky's method with complete pivoting (G. H. Golub and C. F. Van Loan, *Matrix
/// Computations*, 4.2.8); what is left when the pivots vanish tells the null space.
#[derive(Clone, Copy, Debug)]
pub(super) struct Range {
    /// Lower triangle of the pivoted rows; the diagonal holds inverses.
    l: [[f64; 4]; 4],
    /// Which unknown is which row.
    order: [usize; 4],
    rank: usize,
    /// Orthonormal directions that the matrix takes to 0: the first 4 - rank.
    free: [[f64; 4]; 4],
}

/// Pivots below this part of the largest are rounding.
const BLIND: f64 = 1e-14;

impl Range {
    pub(super) fn of(a: &[[f64; 4]; 4]) -> Self {
        let mut order = [0, 1, 2, 3];
        let mut left = *a;
        let mut l = [[0.0; 4]; 4];
        let mut rank = 0;
        let mut largest = 0.0;
        while rank < 4 {
            let mut at = rank;
            for k in rank + 1..4 {
                if left[order[k]][order[k]] > left[order[at]][order[at]] {
                    at = k;
                }
            }
            order.swap(rank, at);
            l.swap(rank, at);
            let p = order[rank];
            let pivot = left[p][p];
            if rank == 0 {
                largest = pivot;
            }
            if pivot.is_nan() || pivot <= BLIND * largest || pivot <= 0.0 {
                break;
            }
            let inverse = 1.0 / pivot.sqrt();
            l[rank][rank] = inverse;
            for k in rank + 1..4 {
                l[k][rank] = left[order[k]][p] * inverse;
            }
            for i in rank + 1..4 {
                for j in rank + 1..4 {
                    left[order[i]][order[j]] -= l[i][rank] * l[j][rank];
                }
            }
            rank += 1;
        }
        let mut out = Self { l, order, rank, free: [[0.0; 4]; 4] };
        out.find_free();
        out
    }

    /// One direction for every unknown beyond the rank: its own, and what the others must do so
    /// that nothing changes. Then Gram and Schmidt, twice.
    fn find_free(&mut self) {
        for f in 0..4 - self.rank {
            let mut v = [0.0; 4];
            v[self.order[self.rank + f]] = 1.0;
            for i in (0..self.rank).rev() {
                let mut x = -self.l[self.rank + f][i];
                for k in i + 1..self.rank {
                    x -= self.l[k][i] * v[self.order[k]];
                }
                v[self.order[i]] = x * self.l[i][i];
            }
            for _ in 0..2 {
                for g in 0..f {
                    let along = dot(&v, &self.free[g]);
                    for (v, g) in v.iter_mut().zip(&self.free[g]) {
                        *v -= along * g;
                    }
                }
            }
            let length = dot(&v, &v).sqrt();
            self.free[f] = v.map(|v| v / length);
        }
    }

    /// Whether anything is left.
    pub(super) const fn is_whole(&self) -> bool {
        self.rank == 4
    }

    fn free(&self) -> impl Iterator<Item = &[f64; 4]> {
        self.free.iter().take(4 - self.rank)
    }

    /// What is left of a vector without its part in the free directions.
    fn held(&self, mut v: [f64; 4]) -> [f64; 4] {
        for f in self.free() {
            let along = dot(&v, f);
            for (v, f) in v.iter_mut().zip(f) {
                *v -= along * f;
            }
        }
        v
    }

    /// The solution of least length of A x = b, for the part of b that A can reach.
    pub(super) fn solve(&self, b: &[f64; 4]) -> [f64; 4] {
        let b = self.held(*b);
        let mut x = [0.0; 4];
        let mut y = [0.0; 4];
        for i in 0..self.rank {
            let mut v = b[self.order[i]];
            for (l, y) in self.l[i].iter().zip(&y).take(i) {
                v -= l * y;
            }
            y[i] = v * self.l[i][i];
        }
        for i in (0..self.rank).rev() {
            let mut v = y[i];
            for k in i + 1..self.rank {
                v -= self.l[k][i] * x[self.order[k]];
            }
            x[self.order[i]] = v * self.l[i][i];
        }
        self.held(x)
    }

    /// The step in the free directions to the lowest point of a quadratic function with this
    /// gradient and these second derivatives; none along directions in which it does not bend.
    pub(super) fn lowest(&self, bent: &[[f64; 4]; 4], gradient: &[f64; 4]) -> [f64; 4] {
        let mut small = [[0.0; 3]; 3];
        let mut down = [0.0; 3];
        for (i, f) in self.free().take(3).enumerate() {
            let row = bent.map(|row| dot(&row, f));
            for (j, g) in self.free().take(3).enumerate() {
                small[i][j] = dot(&row, g);
            }
            down[i] = -dot(f, gradient);
        }
        let eigen = Eigen::of(small);
        let most = bent.iter().flatten().fold(0.0_f64, |m, v| m.max(v.abs()));
        let along = eigen.solve(&down, (1e-9 * eigen.largest()).max(1e-13 * most));
        let mut step = [0.0; 4];
        for (a, f) in along.iter().zip(self.free()) {
            for (s, f) in step.iter_mut().zip(f) {
                *s += a * f;
            }
        }
        step
    }
}

#[cfg(test)]
mod tests {
    use super::super::eigen::add_square;
    use super::*;

    fn of(rows: &[[f64; 4]]) -> [[f64; 4]; 4] {
        let mut a = [[0.0; 4]; 4];
        for g in rows {
            add_square(&mut a, 1.0, g);
        }
        a
    }

    fn times(a: &[[f64; 4]; 4], x: &[f64; 4]) -> [f64; 4] {
        a.map(|row| dot(&row, x))
    }

    #[test]
    fn the_free_directions_are_those_the_matrix_does_not_see() {
        let rows = [
            [1.0, 2.0, 0.0, -1.0],
            [0.5, -1.0, 3.0, -1.0],
            [1.5, 1.0, 3.0, -2.0],
            [0.0, 0.1, 0.2, 1.0],
        ];
        for count in 1..=4 {
            let a = of(&rows[..count]);
            let range = Range::of(&a);
            assert_eq!(range.rank, count.min(3).min(if count == 3 { 2 } else { 3 }));
            let free: Vec<_> = range.free().collect();
            for (i, f) in free.iter().enumerate() {
                assert!(times(&a, f).iter().all(|v| v.abs() < 1e-14));
                for (j, g) in free.iter().enumerate() {
                    let wanted = if i == j { 1.0 } else { 0.0 };
                    assert!((dot(f, g) - wanted).abs() < 1e-14);
                }
            }
            let wanted = times(&a, &[0.3, -0.7, 0.2, 0.9]);
            let x = range.solve(&wanted);
            assert!(times(&a, &x).iter().zip(&wanted).all(|(a, b)| (a - b).abs() < 1e-13));
            assert!(free.iter().all(|f| dot(&x, f).abs() < 1e-14));
            // What A cannot reach is left out, and not spread over the rest.
            let mut beside = wanted;
            for f in &free {
                beside = [0, 1, 2, 3].map(|k| beside[k] + 0.7 * f[k]);
            }
            let y = range.solve(&beside);
            assert!(x.iter().zip(&y).all(|(x, y)| (x - y).abs() < 1e-13));
        }
    }

    #[test]
    fn the_lowest_point_is_where_the_gradient_has_no_part_left() {
        let a = of(&[[1.0, 2.0, 0.0, -1.0]]);
        let range = Range::of(&a);
        let bent = of(&[[1.0, 0.0, 0.5, 0.0], [0.0, 1.0, 0.0, 0.0], [0.2, 0.0, 1.0, 0.0]]);
        let gradient = [0.1, 0.2, -0.3, 0.0];
        let step = range.lowest(&bent, &gradient);
        let moved = times(&bent, &step);
        let after: [f64; 4] = [0, 1, 2, 3].map(|k| gradient[k] + moved[k]);
        assert!(range.free().all(|f| dot(f, &after).abs() < 1e-13));
        assert!(times(&a, &step).iter().all(|v| v.abs() < 1e-13));
    }
}
