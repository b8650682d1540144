//! Chance of its own: splitmix64.

pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5851_f42d_4c95_7f2d)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly between two ends.
    pub fn even(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Evenly in the logarithm.
    pub fn ratio(&mut self, low: f64, high: f64) -> f64 {
        self.even(low.ln(), high.ln()).exp()
    }

    pub fn normal(&mut self, sd: f64) -> f64 {
        sd * ((0..12).map(|_| self.even(0.0, 1.0)).sum::<f64>() - 6.0)
    }

    pub fn yes(&mut self, share: f64) -> bool {
        self.even(0.0, 1.0) < share
    }

    pub fn of<T: Copy>(&mut self, list: &[T]) -> T {
        list[(self.even(0.0, list.len() as f64) as usize).min(list.len() - 1)]
    }
}
