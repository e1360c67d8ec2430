//! What the tests of this module share.

/// Fails unless `is` lies within `within` of `should`.
#[track_caller]
pub(super) fn close(is: f64, should: f64, within: f64) {
    assert!((is - should).abs() <= within, "{is:e} instead of {should:e} (±{within:e})");
}

/// Fails unless `is` is `should` to a relative `within`.
#[track_caller]
pub(super) fn near(is: f64, should: f64, within: f64) {
    let off = (is / should - 1.0).abs();
    assert!(off <= within, "{is:e} instead of {should:e}: {off:e} off");
}

/// P(X ≤ x) of the non-central χ² distribution with 2 degrees of freedom and non-centrality λ: the
/// squared distance of a point whose two coordinates are normal with unit variance about a centre
/// √λ away. The Poisson mixture of Abramowitz and Stegun 26.4.25, term by term.
pub(super) fn noncentral_cdf(x: f64, noncentrality: f64) -> f64 {
    let (m, half) = (0.5 * noncentrality, 0.5 * x);
    if m == 0.0 {
        return super::gamma::lower(1.0, half);
    }
    let first = (m - 12.0 * m.sqrt() - 30.0).max(0.0).floor();
    let (mut j, mut sum) = (first, 0.0);
    while j <= m + 12.0 * m.sqrt() + 80.0 {
        sum += super::summit::poisson(j, m) * super::gamma::lower(1.0 + j, half);
        j += 1.0;
    }
    sum
}

/// Numbers from 0 to 1 by lot, the same in every run (SplitMix64).
pub(super) struct Lot(pub(super) u64);

impl Lot {
    #[expect(clippy::cast_precision_loss, reason = "53 bits")]
    pub(super) fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}
