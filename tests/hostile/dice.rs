//! Random choices that are the same every time.

use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

pub struct Dice(ChaCha8Rng);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Dice(ChaCha8Rng::seed_from_u64(seed))
    }

    /// A number below `n`.
    pub fn below(&mut self, n: usize) -> usize {
        self.0.random_range(0..n)
    }

    pub fn pick<'l, T>(&mut self, list: &'l [T]) -> &'l T {
        &list[self.below(list.len())]
    }

    pub fn byte(&mut self) -> u8 {
        (self.0.next_u32() & 0xff) as u8
    }
}
