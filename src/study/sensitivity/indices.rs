//! Shares of the axes in the variance of a result (Sobol indices), with their uncertainty.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use statrs::distribution::{ContinuousCDF, Normal};

use crate::study::sweep::LEAST_POINTS;

/// Resamplings for the intervals: their ends vary by some 3 % then (common practice).
const RESAMPLINGS: usize = 1000;

/// Share of the interval.
const SHARE: f64 = 0.95;

/// A value with the ends of its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Estimate.
    pub value: f64,
    /// Half the width of the interval.
    pub half: f64,
}

/// The shares of one axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Index {
    /// Of the axis alone.
    pub first: Interval,
    /// With all that it does together with others.
    pub total: Interval,
}

/// The shares of all axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Indices {
    /// One per axis.
    pub axes: Vec<Index>,
    /// Mean of the result over the draws.
    pub mean: f64,
    /// Its standard deviation.
    pub standard: f64,
    /// Points used.
    pub points: usize,
    /// Points left out since one of their cases has no value.
    pub left_out: usize,
}

/// The results of one point: of the first sequence, of the second, and with one axis exchanged.
struct Point<'a> {
    first: f64,
    exchanged: &'a [f64],
    second: f64,
}

/// Shares of the axes in the variance of `values`, which hold for each point `axes` + 2 results:
/// of the first sequence, of it with each axis in turn from the second, of the second. Results
/// that are no number leave their point out. `None` if fewer than [`LEAST_POINTS`] points are left
/// or all results are equal.
///
/// First: mean of B (AB_i - A); total: half the mean of (A - AB_i)²; both over the variance of A
/// and B. The intervals come from resampling the points, as if they were drawn independently,
/// which overstates them for an even sequence.
///
/// Source: \[Saltelli2010\] (the estimators of its table 2 (b) and (f)). Checked in:
/// `tests/sensitivity.rs`, against exact functions and a reference library.
#[must_use]
pub fn indices(values: &[f64], axes: usize, seed: u64) -> Option<Indices> {
    let all: Vec<Point> = values
        .chunks_exact(axes + 2)
        .map(|c| Point { first: c[0], exchanged: &c[1..=axes], second: c[axes + 1] })
        .collect();
    let whole = |p: &&Point| {
        p.first.is_finite() && p.second.is_finite() && p.exchanged.iter().all(|v| v.is_finite())
    };
    let points: Vec<&Point> = all.iter().filter(whole).collect();
    if points.len() < LEAST_POINTS {
        return None;
    }
    let (mean, variance) = moments(&points);
    // Equal results differ by rounding at most.
    if variance <= (1e-12 * mean).powi(2) {
        return None;
    }
    let value = shares(&points, axes, variance);
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let mut spread = vec![[Welford::default(); 2]; axes];
    let mut drawn = Vec::with_capacity(points.len());
    for _ in 0..RESAMPLINGS {
        drawn.clear();
        drawn.extend((0..points.len()).map(|_| points[rng.random_range(0..points.len())]));
        let (_, variance) = moments(&drawn);
        if variance > 0.0 {
            let again = shares(&drawn, axes, variance);
            for (spread, shares) in spread.iter_mut().zip(again) {
                spread.iter_mut().zip(shares).for_each(|(s, v)| s.add(v));
            }
        }
    }
    let factor = Normal::standard().inverse_cdf(0.5 + 0.5 * SHARE);
    let one = |([first, total], spread): ([f64; 2], [Welford; 2])| {
        let interval = |value, s: Welford| Interval { value, half: factor * s.standard() };
        Index { first: interval(first, spread[0]), total: interval(total, spread[1]) }
    };
    Some(Indices {
        axes: value.into_iter().zip(spread).map(one).collect(),
        mean,
        standard: variance.sqrt(),
        points: points.len(),
        left_out: all.len() - points.len(),
    })
}

/// Mean and variance of the results of both sequences.
fn moments(points: &[&Point]) -> (f64, f64) {
    let both = || points.iter().flat_map(|p| [p.first, p.second]);
    let count = 2.0 * points.len() as f64;
    let mean = both().sum::<f64>() / count;
    (mean, both().map(|v| (v - mean).powi(2)).sum::<f64>() / count)
}

/// First and total share of each axis. The mean of all results is taken off first, without which
/// the first share of a result far from zero drowns in noise.
fn shares(points: &[&Point], axes: usize, variance: f64) -> Vec<[f64; 2]> {
    let count = points.len() as f64;
    let sum = |p: &&Point| p.first + p.second + p.exchanged.iter().sum::<f64>();
    let mean = points.iter().map(sum).sum::<f64>() / (count * (axes + 2) as f64);
    let mut sums = vec![[0.0; 2]; axes];
    for p in points {
        for (sum, exchanged) in sums.iter_mut().zip(p.exchanged) {
            sum[0] += (p.second - mean) * (exchanged - p.first);
            sum[1] += 0.5 * (p.first - exchanged).powi(2);
        }
    }
    sums.iter().map(|s| s.map(|v| v / count / variance)).collect()
}

/// Running mean and sum of squares.
#[derive(Clone, Copy, Debug, Default)]
struct Welford {
    count: f64,
    mean: f64,
    squares: f64,
}

impl Welford {
    fn add(&mut self, value: f64) {
        self.count += 1.0;
        let from = value - self.mean;
        self.mean += from / self.count;
        self.squares += from * (value - self.mean);
    }

    fn standard(self) -> f64 {
        (self.squares / (self.count - 1.0)).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_told_of_too_few_or_equal_results() {
        assert_eq!(indices(&[1.0; 4 * 100], 2, 1), None);
        let few: Vec<f64> = (0..4 * 15).map(f64::from).collect();
        assert_eq!(indices(&few, 2, 1), None);
    }

    #[test]
    fn a_missing_result_leaves_its_point_out() {
        let mut values: Vec<f64> = (0..4 * 40).map(|i| f64::from(i * i % 17)).collect();
        let whole = indices(&values[4..], 2, 1).unwrap();
        values[2] = f64::NAN;
        let found = indices(&values, 2, 1).unwrap();
        assert_eq!((found.points, found.left_out), (39, 1));
        assert_eq!(found.axes, whole.axes);
    }
}
