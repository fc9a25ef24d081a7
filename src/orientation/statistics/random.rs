//! Numbers by lot from a seed: the same seed gives the same numbers on every machine.

/// SplitMix64: small, fast, and good enough to draw samples with; not for secrets.
///
/// # References
/// Steele, G. L., Lea, D., & Flood, C. H., 2014, Fast splittable pseudorandom number generators, OOPSLA '14, 453–472.
#[derive(Clone, Debug)]
pub struct Random(u64);

impl Random {
    /// A row of numbers from a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Even on [0, 1).
    pub fn uniform(&mut self) -> f64 {
        #[allow(clippy::cast_precision_loss)] // 53 bits fit exactly
        let bits = (self.next() >> 11) as f64;
        bits / 9_007_199_254_740_992.0
    }

    /// A place in a list of so many, each as likely.
    ///
    /// # Degenerate input
    /// An empty list: 0.
    pub fn below(&mut self, count: usize) -> usize {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // below the count
        let place = (self.uniform() * super::as_f64(count)) as usize;
        place.min(count.saturating_sub(1))
    }

    /// Standard normal, by Box and Muller's transform.
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.uniform(), self.uniform());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}
