//! Points that fill a unit cube evenly, each to be had by its number alone, so that any part of
//! them can be drawn anywhere.

use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Most points of the Sobol sequence at hand, and most of its dimensions.
pub const SOBOL_MOST: (usize, usize) = (1 << 16, 256);

/// Half a step of the sequence, whose numbers have 24 bits: keeps a share away from 0, where a
/// normal distribution has no quantile.
const HALF_STEP: f64 = 0.5 / (1 << 24) as f64;

/// A Latin hypercube: along each axis every one of as many slices as points has one point.
///
/// Source: \[McKay1979\].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Latin {
    /// For each axis the slice of each point.
    slices: Vec<Vec<u32>>,
    seed: u64,
}

impl Latin {
    /// So many points along so many axes, reproducibly from `seed`.
    #[must_use]
    pub fn new(points: u32, axes: usize, seed: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let mut slices = vec![(0..points).collect::<Vec<u32>>(); axes];
        slices.iter_mut().for_each(|order| order.shuffle(&mut rng));
        Latin { slices, seed }
    }

    /// Where a point lies along an axis, between 0 and 1.
    #[must_use]
    pub fn share(&self, point: usize, axis: usize) -> f64 {
        let order = &self.slices[axis];
        let mut rng = ChaCha8Rng::seed_from_u64(self.seed);
        // A stream of its own for each axis; the shuffles used stream 0.
        rng.set_stream(axis as u64 + 1);
        rng.set_word_pos(2 * point as u128);
        (f64::from(order[point]) + rng.random::<f64>()) / order.len() as f64
    }
}

/// Where a point of the scrambled Sobol sequence lies along an axis, between 0 and 1. Up to
/// [`SOBOL_MOST`].
///
/// Source: \[Burley2020\], through a crate.
#[must_use]
pub fn sobol(point: usize, axis: usize, seed: u64) -> f64 {
    let seed = (seed ^ (seed >> 32)) as u32;
    f64::from(sobol_burley::sample(point as u32, axis as u32, seed)) + HALF_STEP
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_slice_has_one_point_and_the_seed_decides() {
        let all = |latin: &Latin| -> Vec<Vec<f64>> {
            (0..3).map(|a| (0..20).map(|p| latin.share(p, a)).collect()).collect()
        };
        let shares = all(&Latin::new(20, 3, 7));
        for along in &shares {
            let mut slices: Vec<usize> = along.iter().map(|u| (20.0 * u) as usize).collect();
            slices.sort_unstable();
            assert_eq!(slices, (0..20).collect::<Vec<_>>());
        }
        assert_eq!(shares, all(&Latin::new(20, 3, 7)));
        assert_ne!(shares, all(&Latin::new(20, 3, 8)));
    }

    /// The first 2^m points of a Sobol sequence, scrambled or not, have one point in each of as
    /// many slices along every axis (property of a digital net in base 2, Sobol 1967, *mem*).
    #[test]
    fn sobol_points_fill_the_slices() {
        for axis in [0, 1, 7, 30] {
            let mut slices: Vec<usize> =
                (0..64).map(|p| (64.0 * sobol(p, axis, 3)) as usize).collect();
            slices.sort_unstable();
            assert_eq!(slices, (0..64).collect::<Vec<_>>(), "axis {axis}");
        }
        assert_ne!(sobol(5, 1, 3), sobol(5, 1, 4));
    }
}
