//! The triangle of the shared unknowns: rows go in, an upper triangular factor stays.

use super::block::{product, subtract};

/// Rows that are gathered before they are worked in.
const GATHERED: usize = 64;

/// Upper triangular R with RᵀR = AᵀA for all rows A that were pushed, and Qᵀb beside it.
#[derive(Debug)]
pub(super) struct Triangle {
    width: usize,
    /// Row by row, `width + 1` wide: the last column is the right-hand side.
    r: Vec<f64>,
    /// Gathered rows, column by column.
    rows: Vec<f64>,
    filled: usize,
}

impl Triangle {
    pub(super) fn new(width: usize) -> Self {
        Self {
            width,
            r: vec![0.0; width * (width + 1)],
            rows: vec![0.0; GATHERED * (width + 1)],
            filled: 0,
        }
    }

    /// Takes `count` rows: `columns` yields the column (`width` for the right-hand side) and its
    /// `count` values.
    pub(super) fn push<'a>(
        &mut self,
        count: usize,
        columns: impl Iterator<Item = (usize, &'a [f64])> + Clone,
    ) {
        let mut done = 0;
        while done < count {
            let take = (count - done).min(GATHERED - self.filled);
            let to = self.filled..self.filled + take;
            for (c, values) in columns.clone() {
                let gathered = &mut self.rows[c * GATHERED..(c + 1) * GATHERED];
                gathered[to.clone()].copy_from_slice(&values[done..done + take]);
            }
            done += take;
            self.filled += take;
            if self.filled == GATHERED {
                self.work_in();
            }
        }
    }

    /// Works the gathered rows in by reflections that use the zeros of the triangle.
    pub(super) fn work_in(&mut self) {
        let (n, width) = (self.filled, self.width + 1);
        if n > 0 {
            for c in 0..self.width {
                let (left, right) = self.rows.split_at_mut((c + 1) * GATHERED);
                let x = &left[c * GATHERED..c * GATHERED + n];
                let below = product(x, x);
                if below <= 0.0 {
                    continue;
                }
                let top = &mut self.r[c * width..(c + 1) * width];
                let old = top[c];
                let norm = (old * old + below).sqrt();
                let diagonal = if old > 0.0 { -norm } else { norm };
                let (v, half) = (old - diagonal, norm * (norm + old.abs()));
                top[c] = diagonal;
                for (top, column) in top[c + 1..].iter_mut().zip(right.chunks_exact_mut(GATHERED)) {
                    let f = (v * *top + product(x, &column[..n])) / half;
                    *top -= f * v;
                    subtract(f, x, &mut column[..n]);
                }
            }
            self.rows.fill(0.0);
            self.filled = 0;
        }
    }

    pub(super) fn at(&self, row: usize, column: usize) -> f64 {
        self.r[row * (self.width + 1) + column]
    }

    /// Qᵀb.
    pub(super) fn right(&self) -> impl Iterator<Item = f64> + '_ {
        self.r.chunks_exact(self.width + 1).map(|row| row[self.width])
    }

    /// The inverse of R, or `None` where a diagonal is zero.
    pub(super) fn inverse(&self) -> Option<Inverse> {
        let n = self.width;
        let mut values = vec![0.0; n * n];
        for i in (0..n).rev() {
            let d = self.at(i, i);
            if d.abs() <= 0.0 || !d.is_finite() {
                return None;
            }
            // Row i of R⁻¹: (eᵢ − Σ rᵢₖ rowₖ) / rᵢᵢ, k > i.
            let (above, below) = values.split_at_mut((i + 1) * n);
            let row = &mut above[i * n..];
            row[i] = 1.0;
            for k in i + 1..n {
                let other = &below[(k - i - 1) * n..(k - i) * n];
                subtract(self.at(i, k), &other[k..], &mut row[k..]);
            }
            for x in &mut row[i..] {
                *x /= d;
            }
        }
        Some(Inverse { width: n, values })
    }
}

/// R⁻¹, upper triangular; R⁻¹R⁻ᵀ is the covariance of the shared unknowns.
#[derive(Clone, Debug)]
pub(super) struct Inverse {
    width: usize,
    values: Vec<f64>,
}

impl Inverse {
    /// Row `i` from its diagonal on.
    pub(super) fn row(&self, i: usize) -> &[f64] {
        &self.values[i * self.width + i..(i + 1) * self.width]
    }

    /// The same, to be changed.
    pub(super) fn row_mut(&mut self, i: usize) -> &mut [f64] {
        &mut self.values[i * self.width + i..(i + 1) * self.width]
    }

    pub(super) fn width(&self) -> usize {
        self.width
    }

    /// Largest length of a row of D R⁻¹, D being the lengths of the columns of A: how far the
    /// unknowns are from being determined, each in its own scale. At least 1; infinite where
    /// something overflowed.
    pub(super) fn condition(&self, scale: &[f64]) -> f64 {
        let lengths = (0..self.width).map(|i| scale[i] * product(self.row(i), self.row(i)).sqrt());
        lengths.fold(1.0, |worst: f64, x| if x.is_finite() { worst.max(x) } else { f64::INFINITY })
    }

    /// R⁻¹ z.
    pub(super) fn times(&self, z: &[f64]) -> Vec<f64> {
        (0..self.width).map(|i| product(self.row(i), &z[i..])).collect()
    }

    /// R⁻ᵀ z.
    pub(super) fn transposed_times(&self, z: &[f64]) -> Vec<f64> {
        let mut found = vec![0.0; self.width];
        for (i, z) in z.iter().enumerate() {
            subtract(-z, self.row(i), &mut found[i..]);
        }
        found
    }
}
