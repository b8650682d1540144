//! From parameters with their uncertainty to predictions with theirs.

use nalgebra::DMatrix;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use serde::Serialize;
use statrs::distribution::{ContinuousCDF, Normal};

/// Draws tried for each one that lies within the bounds.
const MOST_TRIES: usize = 1_000;

/// Parameter sets drawn from the joint normal distribution of a fit, those beyond the bounds left
/// out. A parameter without a standard error keeps its value. Same seed, same draws.
#[must_use]
pub fn draw(
    values: &[f64],
    bounds: &[(f64, f64)],
    covariance: &DMatrix<f64>,
    count: usize,
    seed: u64,
) -> Vec<Vec<f64>> {
    let root = root_of(covariance);
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    let normal = Normal::standard();
    let mut one = || {
        let z: Vec<f64> =
            values.iter().map(|_| normal.inverse_cdf(dice.random_range(1e-12..1.0))).collect();
        let moved = |i: usize| {
            // Without a variance there is no move, not even one of rounding.
            if covariance[(i, i)] == 0.0 {
                return values[i];
            }
            values[i] + z.iter().enumerate().map(|(k, z)| root[(i, k)] * z).sum::<f64>()
        };
        (0..values.len()).map(moved).collect::<Vec<f64>>()
    };
    let inside = |p: &Vec<f64>| p.iter().zip(bounds).all(|(v, (low, high))| v >= low && v <= high);
    let mut drawn = Vec::with_capacity(count);
    for _ in 0..count {
        match (0..MOST_TRIES).map(|_| one()).find(inside) {
            Some(p) => drawn.push(p),
            None => break,
        }
    }
    drawn
}

/// A root of the covariance by its eigenvectors, which also serves where some rows are zero.
fn root_of(covariance: &DMatrix<f64>) -> DMatrix<f64> {
    let sizes: Vec<f64> = covariance.diagonal().iter().map(|c| c.sqrt()).collect();
    let size = |i: usize| if sizes[i] > 0.0 { sizes[i] } else { 1.0 };
    let n = sizes.len();
    let scaled = DMatrix::from_fn(n, n, |i, k| covariance[(i, k)] / (size(i) * size(k)));
    let eigen = scaled.symmetric_eigen();
    let roots = eigen.eigenvalues.map(|e| e.max(0.0).sqrt());
    let root = &eigen.eigenvectors * DMatrix::from_diagonal(&roots);
    DMatrix::from_fn(n, n, |i, k| size(i) * root[(i, k)])
}

/// A central value with its 95 % band.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Band {
    /// Lower edge: 2.5 % lie below.
    pub low: f64,
    /// Half lie below.
    pub middle: f64,
    /// Upper edge: 2.5 % lie above.
    pub high: f64,
}

impl Band {
    /// The band of these values, of which there must be one at least.
    #[must_use]
    pub fn of(mut values: Vec<f64>) -> Self {
        values.sort_by(f64::total_cmp);
        let [low, middle, high] = [0.025, 0.5, 0.975].map(|share| quantile(&values, share));
        Band { low, middle, high }
    }
}

/// Bands of everything that `predict` returns, over the drawn parameters, in parallel. Draws for
/// which it has no answer are left out; their number comes second.
pub fn bands(
    drawn: &[Vec<f64>],
    predict: impl Fn(&[f64]) -> Option<Vec<f64>> + Sync,
) -> (Vec<Band>, usize) {
    let answers: Vec<Option<Vec<f64>>> = drawn.par_iter().map(|p| predict(p)).collect();
    let good: Vec<&Vec<f64>> = answers.iter().flatten().collect();
    let lost = answers.len() - good.len();
    let count = good.first().map_or(0, |a| a.len());
    let band = |i: usize| Band::of(good.iter().map(|a| a[i]).collect());
    ((0..count).map(band).collect(), lost)
}

/// A quantile of sorted values, straight between neighbours.
fn quantile(sorted: &[f64], share: f64) -> f64 {
    let at = share * (sorted.len() - 1) as f64;
    let (below, part) = (at.floor() as usize, at.fract());
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + part * (sorted[above] - sorted[below])
}

/// How well held-out data were predicted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Score {
    /// Data compared.
    pub count: usize,
    /// Root mean square of the misses, in the unit of the data.
    pub rmse: f64,
    /// Mean of prediction less datum.
    pub bias: f64,
    /// Share of data within the 95 % band, their own uncertainty included.
    pub coverage: f64,
}

/// Compares held-out data, each with its standard uncertainty, with the predicted bands.
#[must_use]
pub fn score(data: &[(f64, f64)], predicted: &[Band]) -> Option<Score> {
    let pairs: Vec<_> = data.iter().zip(predicted).filter(|((v, _), _)| v.is_finite()).collect();
    let n = pairs.len() as f64;
    if pairs.is_empty() {
        return None;
    }
    let factor = Normal::standard().inverse_cdf(0.975);
    let miss = |((v, _), b): &(&(f64, f64), &Band)| b.middle - v;
    let covered = pairs.iter().filter(|((v, u), b)| {
        let own = factor * u;
        let low = b.middle - ((b.middle - b.low).powi(2) + own * own).sqrt();
        let high = b.middle + ((b.high - b.middle).powi(2) + own * own).sqrt();
        *v >= low && *v <= high
    });
    Some(Score {
        count: pairs.len(),
        rmse: (pairs.iter().map(|p| miss(p).powi(2)).sum::<f64>() / n).sqrt(),
        bias: pairs.iter().map(miss).sum::<f64>() / n,
        coverage: covered.count() as f64 / n,
    })
}
