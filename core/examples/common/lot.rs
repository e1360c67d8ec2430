//! Numbers by lot, the same in every run.

/// Numbers from −1 to 1 (a linear congruential generator).
pub(crate) struct Lot(pub(crate) u64);

impl Lot {
    #[expect(clippy::cast_precision_loss, reason = "53 bits")]
    pub(crate) fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }
}
