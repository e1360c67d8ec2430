//! The rows of one point, and Householder reflections.

/// Sum of products, in four strands so that it can be vectorised.
pub(super) fn product(a: &[f64], b: &[f64]) -> f64 {
    let n = a.len().min(b.len());
    let (a4, a1) = a[..n].as_chunks::<4>();
    let (b4, b1) = b[..n].as_chunks::<4>();
    let mut sums = [0.0; 4];
    for (a, b) in a4.iter().zip(b4) {
        for k in 0..4 {
            sums[k] += a[k] * b[k];
        }
    }
    let rest: f64 = a1.iter().zip(b1).map(|(a, b)| a * b).sum();
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
}

/// b −= f a.
pub(super) fn subtract(f: f64, a: &[f64], b: &mut [f64]) {
    for (b, a) in b.iter_mut().zip(a) {
        *b -= f * a;
    }
}

/// A small dense matrix, column by column.
#[derive(Debug, Default)]
pub(super) struct Block {
    rows: usize,
    values: Vec<f64>,
}

impl Block {
    /// Makes it `rows` by `columns`, all zero.
    pub(super) fn reset(&mut self, rows: usize, columns: usize) {
        self.rows = rows;
        self.values.clear();
        self.values.resize(rows * columns, 0.0);
    }

    pub(super) fn at(&self, row: usize, column: usize) -> f64 {
        self.values[column * self.rows + row]
    }

    pub(super) fn set(&mut self, row: usize, column: usize, value: f64) {
        self.values[column * self.rows + row] = value;
    }

    /// Column `column` from row `from` on.
    pub(super) fn column(&self, column: usize, from: usize) -> &[f64] {
        &self.values[column * self.rows + from..(column + 1) * self.rows]
    }

    /// Makes column `c` zero below row `c` by a reflection of all columns to its right
    /// (Golub and Van Loan, algorithm 5.2.1). The diagonal keeps its sign away from the
    /// column's, so nothing cancels.
    pub(super) fn reflect(&mut self, c: usize) {
        let rows = self.rows;
        let (left, right) = self.values.split_at_mut((c + 1) * rows);
        let v = &mut left[c * rows + c..];
        let norm = product(v, v).sqrt();
        if norm <= 0.0 {
            return;
        }
        let diagonal = if v[0] > 0.0 { -norm } else { norm };
        let half = norm * (norm + v[0].abs());
        v[0] -= diagonal;
        for column in right.chunks_exact_mut(rows) {
            let below = &mut column[c..];
            let f = product(v, below) / half;
            subtract(f, v, below);
        }
        v.fill(0.0);
        v[0] = diagonal;
    }
}
