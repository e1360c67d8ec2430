//! The normal equations of all models at once, solved by sweeping.
//!
//! The sweep operator (J. H. Goodnight, "A Tutorial on the SWEEP Operator", *The American
//! Statistician* 33 (1979) 149–158) takes a column into the model, and taking it a second time
//! takes it out again. After the columns S were swept, the table holds the inverse of AᵀA, the
//! parameters and the residual sum of squares:
//!
//! ```text
//!   | AᵀA  Aᵀd |      | (AᵀA)⁻¹   β  |
//!   | dᵀA  dᵀd |  ->  |  -βᵀ     rss |
//! ```
//!
//! Squaring the condition is harmless here: the six columns are scaled, and what is nearly
//! dependent was refused before. The residual sum of squares carries the rounding of dᵀd, but
//! that is common to all models and falls out of their differences. (Source cited from memory.)

use super::distortion::{COLUMNS, Kind, rows};
use super::member::Member;

/// Side of the table: the columns, and the deviations.
const SIDE: usize = COLUMNS + 1;
const LAST: usize = COLUMNS;

/// Sums of products of some holes, with some columns swept.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gram {
    table: [[f64; SIDE]; SIDE],
    swept: [bool; COLUMNS],
    /// Number of coordinates that were added.
    coordinates: f64,
    /// Origin of the columns in the frame.
    about: [f64; 2],
    /// Unit of length of the columns, millimetres.
    length: f64,
}

impl Gram {
    pub(super) fn new(about: [f64; 2], length: f64) -> Self {
        Self {
            table: [[0.0; SIDE]; SIDE],
            swept: [false; COLUMNS],
            coordinates: 0.0,
            about,
            length,
        }
    }

    /// Takes in what is known of a hole. Nothing may have been swept.
    pub(super) fn add(&mut self, member: &Member) {
        self.each(member, 1.0);
    }

    /// The same table without this hole, which must be in it.
    pub(super) fn without(mut self, member: &Member) -> Self {
        self.each(member, -1.0);
        self
    }

    fn each(&mut self, member: &Member, sign: f64) {
        for (row, d) in self.rows_of(member).iter().zip(member.deviation) {
            if let Some(d) = d {
                self.row(row, d, sign);
            }
        }
    }

    /// The rows of a hole's x and y.
    pub(super) fn rows_of(&self, member: &Member) -> [[f64; COLUMNS]; 2] {
        let [x, y] = member.nominal;
        let [ox, oy] = self.about;
        rows([x - ox, y - oy], self.length)
    }

    fn row(&mut self, row: &[f64; COLUMNS], d: f64, sign: f64) {
        let mut v = [d; SIDE];
        v[..COLUMNS].copy_from_slice(row);
        for (line, a) in self.table.iter_mut().zip(v) {
            for (cell, b) in line.iter_mut().zip(v) {
                *cell += sign * a * b;
            }
        }
        self.coordinates += sign;
    }

    /// Takes an error into the model, or out of it again. False, and nothing done, where the
    /// columns do not determine it.
    pub(super) fn toggle(&mut self, kind: Kind) -> bool {
        let before = *self;
        for &k in kind.columns() {
            if !self.sweep(k) {
                *self = before;
                return false;
            }
        }
        true
    }

    fn sweep(&mut self, k: usize) -> bool {
        let pivot = self.table[k][k];
        if !pivot.is_finite() || pivot <= 0.0 {
            return false;
        }
        let line = self.table[k].map(|v| v / pivot);
        for (i, row) in self.table.iter_mut().enumerate() {
            if i == k {
                continue;
            }
            let factor = row[k];
            for (cell, b) in row.iter_mut().zip(line) {
                *cell -= factor * b;
            }
            row[k] = -factor / pivot;
        }
        self.table[k] = line;
        self.table[k][k] = 1.0 / pivot;
        self.swept[k] = !self.swept[k];
        true
    }

    /// Whether a column is in the model.
    pub(super) fn has(&self, column: usize) -> bool {
        self.swept.get(column).copied().unwrap_or(false)
    }

    /// What is left of the square of an unswept column beside those swept.
    pub(super) fn left(&self, column: usize) -> f64 {
        self.table.get(column).and_then(|r| r.get(column)).copied().unwrap_or(f64::NAN)
    }

    /// Residual sum of squares, mm².
    pub(super) fn rss(&self) -> f64 {
        self.table[LAST][LAST].max(0.0)
    }

    /// Coordinates less parameters.
    pub(super) fn freedom(&self) -> f64 {
        self.swept.iter().filter(|s| **s).fold(self.coordinates, |n, _| n - 1.0)
    }

    /// The parameters in millimetres and radians, zero where not in the model.
    pub(super) fn parameters(&self) -> [f64; COLUMNS] {
        let mut out = [0.0; COLUMNS];
        for (k, value) in out.iter_mut().enumerate() {
            if self.swept[k] {
                *value = self.table[k][LAST] / self.unit(k);
            }
        }
        out
    }

    /// Covariance of two parameters for a variance of one, in their units; zero where not in the
    /// model.
    pub(super) fn cofactor(&self, j: usize, k: usize) -> f64 {
        self.scaled(j, k) / (self.unit(j) * self.unit(k))
    }

    fn scaled(&self, j: usize, k: usize) -> f64 {
        if self.swept[j] && self.swept[k] { self.table[j][k] } else { 0.0 }
    }

    fn unit(&self, column: usize) -> f64 {
        if Kind::Shift.columns().contains(&column) { 1.0 } else { self.length }
    }

    /// What the model says of a row, and the covariance of that with another row for a variance
    /// of one.
    pub(super) fn predicts(&self, row: &[f64; COLUMNS]) -> f64 {
        let line = self.table.iter().zip(self.swept).zip(row);
        line.map(|((line, swept), a)| if swept { line[LAST] * a } else { 0.0 }).sum()
    }

    pub(super) fn between(&self, a: &[f64; COLUMNS], b: &[f64; COLUMNS]) -> f64 {
        let mut sum = 0.0;
        for (j, u) in a.iter().enumerate() {
            for (k, v) in b.iter().enumerate() {
                sum += u * v * self.scaled(j, k);
            }
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST Statistical Reference Datasets, linear regression, Norris (calibration of ozone
    /// monitors), y against x, and the certified values.
    const NORRIS: [[f64; 2]; 36] = [
        [0.1, 0.2],
        [338.8, 337.4],
        [118.1, 118.2],
        [888.0, 884.6],
        [9.2, 10.1],
        [228.1, 226.5],
        [668.5, 666.3],
        [998.5, 996.3],
        [449.1, 448.6],
        [778.9, 777.0],
        [559.2, 558.2],
        [0.3, 0.4],
        [0.1, 0.6],
        [778.1, 775.5],
        [668.8, 666.9],
        [339.3, 338.0],
        [448.9, 447.5],
        [10.8, 11.6],
        [557.7, 556.0],
        [228.3, 228.1],
        [998.0, 995.8],
        [888.8, 887.6],
        [119.6, 120.2],
        [0.3, 0.3],
        [0.6, 0.3],
        [557.6, 556.8],
        [339.3, 339.1],
        [888.0, 887.2],
        [998.5, 999.0],
        [778.9, 779.0],
        [10.2, 11.1],
        [117.6, 118.3],
        [228.9, 229.2],
        [668.4, 669.1],
        [449.2, 448.9],
        [0.2, 0.5],
    ];

    #[track_caller]
    fn near(is: f64, should: f64, within: f64) {
        assert!((is / should - 1.0).abs() < within, "{is:e} instead of {should:e}");
    }

    #[test]
    fn nist_norris() {
        // A hole on the X axis, known in x only: tx and the scale are the straight line.
        let mut g = Gram::new([0.0; 2], 1000.0);
        for [y, x] in NORRIS {
            g.add(&Member { nominal: [x, 0.0], deviation: [Some(y), None], zone: None });
        }
        assert!(g.sweep(0));
        let before = g.rss();
        assert!(g.sweep(3));
        let s2 = g.rss() / g.freedom();
        near(g.freedom(), 34.0, 1e-15);
        near(g.parameters()[0], -0.262_323_073_774_029, 1e-9);
        near(g.parameters()[3], 1.002_116_818_020_45, 1e-12);
        near((s2 * g.cofactor(0, 0)).sqrt(), 0.232_818_234_301_152, 1e-8);
        near((s2 * g.cofactor(3, 3)).sqrt(), 0.429_796_848_199_937e-3, 1e-8);
        near(g.rss(), 26.617_398_529_422_4, 1e-8);
        near(before - g.rss(), 4_255_954.132_323_69, 1e-12);
        near((before - g.rss()) / s2, 5_436_385.540_797_85, 1e-8);
        // Nothing of y is known: what stands for it cannot be swept.
        assert!(!g.sweep(1));
    }

    #[test]
    fn taken_in_and_out_again() {
        let mut g = Gram::new([1.0, 2.0], 30.0);
        for (i, [y, x]) in NORRIS.into_iter().enumerate() {
            let side = if i % 2 == 0 { 40.0 } else { -17.0 };
            g.add(&Member { nominal: [x, side], deviation: [Some(y - x), Some(0.3)], zone: None });
        }
        let mut h = g;
        assert!(h.toggle(Kind::Shift) && h.toggle(Kind::Turn) && h.toggle(Kind::Shift));
        assert!(g.toggle(Kind::Turn));
        near(h.rss(), g.rss(), 1e-11);
        near(h.parameters()[2], g.parameters()[2], 1e-11);
        near(h.freedom(), 71.0, 1e-15);
        // And without a hole: as if it had never been there.
        let extra = Member { nominal: [5.0, 9.0], deviation: [None, Some(4.0)], zone: None };
        let mut k = Gram::new([1.0, 2.0], 30.0);
        k.add(&extra);
        assert!(k.without(&extra).left(1).abs() < 1e-15);
    }
}
