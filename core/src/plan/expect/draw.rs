//! Draws: a pinned generator.

/// SplitMix64: Steele, G. L., Lea, D. and Flood, C. H., Fast splittable pseudorandom number
/// generators, OOPSLA 2014. The same numbers on every platform.
#[derive(Debug, Clone)]
pub struct Draws(u64);

impl Draws {
    /// From a seed.
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub const fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From nought to one, one excluded, in steps of 2^-32.
    pub fn unit(&mut self) -> f64 {
        let high = u32::try_from(self.bits() >> 32).unwrap_or(u32::MAX);
        f64::from(high) / 4_294_967_296.0
    }

    /// A draw from Beta(a, b) of whole numbers: the a-th smallest of a + b - 1 draws from
    /// nought to one (David, H. A. and Nagaraja, H. N., Order Statistics, 2003, 2.1).
    pub fn beta(&mut self, a: u32, b: u32) -> f64 {
        let count = a.max(1) + b.max(1) - 1;
        let mut all: Vec<f64> = (0..count).map(|_| self.unit()).collect();
        all.sort_by(f64::total_cmp);
        let place = usize::try_from(a.max(1) - 1).unwrap_or(0);
        // The middle of the generator's step: never nought, never one.
        all.get(place).copied().unwrap_or(0.5) + 0.5 / 4_294_967_296.0
    }

    /// A place, drawn by weight; the last where rounding leaves none.
    pub fn place(&mut self, weights: &[f64]) -> usize {
        let whole: f64 = weights.iter().sum();
        let mut at = self.unit() * whole;
        for (place, weight) in weights.iter().enumerate() {
            at -= weight;
            if at < 0.0 {
                return place;
            }
        }
        weights.len().saturating_sub(1)
    }
}
