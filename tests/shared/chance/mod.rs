//! Chance for simulations, always the same for a seed.

/// Draws one number after the other by xorshift64* (Marsaglia 2003; Vigna 2016).
pub(crate) struct Chance(u64);

impl Chance {
    pub(crate) fn seeded(seed: u64) -> Self {
        Self(seed ^ 0x9e37_79b9_7f4a_7c15)
    }

    /// Anywhere between 0 and 1.
    fn anywhere(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 32;
        (f64::from(u32::try_from(bits).unwrap()) + 0.5) / 4_294_967_296.0
    }

    /// Anywhere within `half_width` of nothing.
    pub(crate) fn within(&mut self, half_width: f64) -> f64 {
        half_width * (2.0 * self.anywhere() - 1.0)
    }

    /// Normal with this standard deviation (Box and Muller 1958).
    #[expect(
        clippy::disallowed_methods,
        reason = "a simulation need not be the same to the last bit everywhere"
    )]
    pub(crate) fn normal(&mut self, deviation: f64) -> f64 {
        let (radius, angle) = (self.anywhere(), self.anywhere());
        deviation * (-2.0 * radius.ln()).sqrt() * (2.0 * std::f64::consts::PI * angle).cos()
    }
}
