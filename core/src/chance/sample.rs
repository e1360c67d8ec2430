//! Repeated readings: mean, standard deviation, and what several samples say together
//! (JCGM 100, 4.2).

/// A sample's figures, in the unit of its values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Number of values.
    pub n: usize,
    /// Arithmetic mean.
    pub mean: f64,
    /// Experimental standard deviation of one value, with n − 1 below the root (JCGM 100, 4.2.2);
    /// `None` for a single value, which says nothing about scatter.
    pub deviation: Option<f64>,
}

/// A standard deviation of several samples together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pooled {
    /// Standard deviation of one value.
    pub deviation: f64,
    /// Its degrees of freedom, Σ (nᵢ − 1).
    pub degrees: f64,
}

impl Sample {
    /// The figures of `values`; `None` if there are none.
    ///
    /// Two passes: the mean of the differences from the first value, then the squares about it
    /// with the correction (Σ d)²/n, which takes out what the mean was rounded by (Chan, Golub
    /// and LeVeque, Algorithms for computing the sample variance, 1983).
    #[must_use]
    pub fn of(values: &[f64]) -> Option<Self> {
        let first = *values.first()?;
        let n = count(values.len());
        let mean = first + sum(values.iter().map(|v| v - first)) / n;
        let deviation = (values.len() > 1).then(|| {
            let squares = sum(values.iter().map(|v| (v - mean) * (v - mean)));
            let rest = sum(values.iter().map(|v| v - mean));
            // Not max, which would make a NaN zero.
            let squares = squares - rest * rest / n;
            if squares < 0.0 { 0.0 } else { (squares / (n - 1.0)).sqrt() }
        });
        Some(Self { n: values.len(), mean, deviation })
    }

    /// Degrees of freedom, n − 1.
    #[must_use]
    pub fn degrees(&self) -> f64 {
        count(self.n) - 1.0
    }
}

/// The pooled standard deviation √(Σ (nᵢ − 1) sᵢ² / Σ (nᵢ − 1)) (JCGM 100, 4.2.4 and H.3.6);
/// `None` if no sample has two values.
#[must_use]
pub fn pooled(samples: &[Sample]) -> Option<Pooled> {
    let scattered = || samples.iter().filter_map(|it| Some((it.degrees(), it.deviation?)));
    let degrees: f64 = scattered().map(|(v, _)| v).sum();
    let squares = sum(scattered().map(|(v, s)| v * s * s));
    (degrees > 0.0).then(|| Pooled { deviation: (squares / degrees).sqrt(), degrees })
}

/// A sum that carries along what each addition loses (Neumaier).
fn sum(values: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut lost) = (0.0_f64, 0.0_f64);
    for v in values {
        let next = sum + v;
        lost += if sum.abs() >= v.abs() { (sum - next) + v } else { (v - next) + sum };
        sum = next;
    }
    if lost.is_finite() { sum + lost } else { sum }
}

#[expect(clippy::cast_precision_loss, reason = "a count of readings")]
fn count(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::super::testing::{close, near};
    use super::*;

    #[test]
    fn few_values() {
        assert_eq!(Sample::of(&[]), None);
        let one = Sample::of(&[3.5]).unwrap();
        assert_eq!((one.n, one.deviation), (1, None));
        close(one.mean, 3.5, 0.0);
        let same = Sample::of(&[0.1; 7]).unwrap();
        close(same.mean, 0.1, 0.0);
        close(same.deviation.unwrap(), 0.0, 0.0);
    }

    #[test]
    fn a_large_offset_takes_no_digits_that_are_there() {
        // 2^40 is exact in binary, and so are the quarters beside it.
        let base = 1_099_511_627_776.0;
        let sample = Sample::of(&[base, base + 0.25, base + 0.5, base + 0.25]).unwrap();
        close(sample.mean, base + 0.25, 0.0);
        // Σ d² = 2 · 0.25² over 3.
        near(sample.deviation.unwrap(), (0.125_f64 / 3.0).sqrt(), 1e-15);
    }

    #[test]
    fn a_mean_between_two_doubles_does_not_spoil_the_deviation() {
        // Above 2^52 doubles are whole numbers, and the mean is rounded by a third.
        let base = 4_503_599_627_370_496.0;
        let sample = Sample::of(&[base, base + 1.0, base + 1.0]).unwrap();
        near(sample.deviation.unwrap(), (1.0_f64 / 3.0).sqrt(), 1e-15);
    }

    #[test]
    fn small_values_among_large_ones_are_not_lost() {
        close(Sample::of(&[0.0, 1e16, 1.0, -1e16]).unwrap().mean, 0.25, 0.0);
    }

    #[test]
    fn nan_stays_nan() {
        let sample = Sample::of(&[1.0, f64::NAN, 2.0]).unwrap();
        assert!(sample.mean.is_nan() && sample.deviation.unwrap().is_nan());
    }

    #[test]
    fn pooling_weighs_by_degrees_and_leaves_single_values_out() {
        let samples = [&[1.0, 3.0][..], &[5.0], &[0.0, 0.0, 3.0]].map(|v| Sample::of(v).unwrap());
        // s² = 2 with 1 degree and 3 with 2: (2 + 6)/3.
        let pooled = pooled(&samples).unwrap();
        close(pooled.degrees, 3.0, 0.0);
        near(pooled.deviation, (8.0_f64 / 3.0).sqrt(), 1e-15);
        assert_eq!(super::pooled(&samples[1..2]), None);
        assert_eq!(super::pooled(&[]), None);
    }
}
