//! Random numbers that are the same in every run.

/// Steele, Lea and Flood's splitmix64 (OOPSLA 2014).
#[derive(Clone, Debug)]
pub(crate) struct Random(u64);

impl Random {
    pub(crate) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// Far from the numbers of the seeds beside this one.
    pub(crate) const fn far_apart(seed: u64) -> Self {
        Self(seed.wrapping_mul(0xD134_2543_DE82_EF95).wrapping_add(0x9E37_79B9_7F4A_7C15))
    }

    pub(crate) fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 to below 1.
    #[allow(clippy::cast_precision_loss, reason = "53 bits are exact")]
    pub(crate) fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn range(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.unit()
    }

    /// Its logarithm is uniform.
    pub(crate) fn log_range(&mut self, from: f64, to: f64) -> f64 {
        libm::exp(self.range(libm::log(from), libm::log(to)))
    }

    /// Uniform in ±a.
    pub(crate) fn within(&mut self, a: f64) -> f64 {
        self.range(-a, a)
    }

    /// Normal with mean 0 and standard deviation 1 (Box and Muller).
    pub(crate) fn normal(&mut self) -> f64 {
        let r = (-2.0 * libm::log(1.0 - self.unit())).sqrt();
        r * libm::cos(std::f64::consts::TAU * self.unit())
    }

    pub(crate) fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }

    /// From 0 to below n.
    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "small counts"
    )]
    pub(crate) fn below(&mut self, n: usize) -> usize {
        ((self.unit() * n as f64) as usize).min(n.saturating_sub(1))
    }

    /// From 0 to below n as well, by the remainder of whole bits. It gives other numbers than
    /// [`Self::below`]; the bounds of the tests that use it were found with these.
    #[allow(clippy::cast_possible_truncation, reason = "small counts")]
    pub(crate) fn remainder(&mut self, n: usize) -> usize {
        (self.bits() % n as u64) as usize
    }

    pub(crate) fn sign(&mut self) -> f64 {
        if self.chance(0.5) { 1.0 } else { -1.0 }
    }
}
