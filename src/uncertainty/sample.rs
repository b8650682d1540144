//! Propagation of distributions by sampling.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

use super::Estimate;

/// What is known of an input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Distribution {
    /// Normal, with the standard uncertainty.
    Normal,
    /// All values within a half width equally likely.
    Rectangular,
    /// Falling in straight lines from the value to zero at a half width.
    Triangular,
    /// Student's, scaled by the standard uncertainty, with these degrees of freedom.
    Student(f64),
}

/// One input of a sampling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Input {
    /// Its value.
    pub value: f64,
    /// Standard uncertainty (normal, Student) or half width (rectangular, triangular).
    pub spread: f64,
    /// Its distribution.
    pub distribution: Distribution,
}

impl Input {
    /// A normal input.
    #[must_use]
    pub fn normal(e: Estimate) -> Self {
        Input { value: e.value, spread: e.standard, distribution: Distribution::Normal }
    }

    /// The value below which the share `p` of all draws lies.
    fn quantile(&self, p: f64) -> f64 {
        let unit = match self.distribution {
            Distribution::Normal => Normal::standard().inverse_cdf(p),
            Distribution::Rectangular => 2.0 * p - 1.0,
            Distribution::Triangular if p < 0.5 => (2.0 * p).sqrt() - 1.0,
            Distribution::Triangular => 1.0 - (2.0 * (1.0 - p)).sqrt(),
            Distribution::Student(freedom) => {
                StudentsT::new(0.0, 1.0, freedom).map_or(f64::NAN, |t| t.inverse_cdf(p))
            }
        };
        self.value + self.spread * unit
    }
}

/// The outcome of a sampling.
#[derive(Clone, Debug, PartialEq)]
pub struct Sampled {
    /// Mean of the draws.
    pub mean: f64,
    /// Their standard deviation.
    pub standard: f64,
    /// The shortest interval that holds 95 % of them.
    pub interval: (f64, f64),
}

/// Share of the draws within the interval.
const SHARE: f64 = 0.95;
/// Least share of draws with a finite value: with fewer the inputs are outside the function's
/// domain and no interval means anything.
const LEAST_FINITE: f64 = 0.99;

/// Draws the inputs `count` times. `None` if more than 1 % of the draws have no finite value.
///
/// Source: \[JCGM101\]. Checked in: `tests/gum.rs`.
#[must_use]
pub fn sample(
    inputs: &[Input],
    function: impl Fn(&[f64]) -> f64,
    count: usize,
    seed: u64,
) -> Option<Sampled> {
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    let mut x = vec![0.0; inputs.len()];
    let mut values = Vec::with_capacity(count);
    for _ in 0..count {
        for (x, input) in x.iter_mut().zip(inputs) {
            // Never 0 or 1, where a quantile may be infinite.
            let p = dice.random::<f64>().clamp(1e-12, 1.0 - 1e-12);
            *x = if input.spread == 0.0 { input.value } else { input.quantile(p) };
        }
        let y = function(&x);
        if y.is_finite() {
            values.push(y);
        }
    }
    let n = values.len();
    if n < 20 || (n as f64) < LEAST_FINITE * count as f64 {
        return None;
    }
    values.sort_by(f64::total_cmp);
    let mean = values.iter().sum::<f64>() / n as f64;
    let square = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>();
    let held = ((SHARE * n as f64).ceil() as usize).min(n - 1);
    let widths = (0..n - held).map(|i| (i, values[i + held] - values[i]));
    let (at, _) = widths.min_by(|a, b| a.1.total_cmp(&b.1))?;
    let standard = (square / (n - 1) as f64).sqrt();
    Some(Sampled { mean, standard, interval: (values[at], values[at + held]) })
}
