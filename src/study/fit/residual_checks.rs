//! Do the residuals look like noise? If not, the model is wrong, however small they are.

use statrs::distribution::{ChiSquared, ContinuousCDF, Normal};

/// Probability below which a check calls the model wrong. Our choice: with a handful of checks a
/// true model is then accused about once in fifty fits.
const SUSPICIOUS: f64 = 0.005;

/// Fewest residuals of which runs are worth counting.
const FEWEST: usize = 8;

/// What the residuals of one series say.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// Residuals in it.
    pub count: usize,
    /// Root of their mean square, in stated uncertainties.
    pub rms: f64,
    /// Runs of one sign.
    pub runs: usize,
    /// Runs that noise would have.
    pub runs_expected: f64,
    /// Probability that noise has so few runs; none for a short series.
    pub runs_p: Option<f64>,
    /// Correlation of each residual with the next.
    pub lag_1: f64,
    /// Independent data that this correlation leaves.
    pub effective: f64,
}

impl Check {
    /// Checks one series in its order in time; the residuals are in stated uncertainties.
    #[must_use]
    pub fn of(residuals: &[f64]) -> Self {
        let n = residuals.len();
        let above = residuals.iter().filter(|r| **r > 0.0).count() as f64;
        let below = n as f64 - above;
        let turns = residuals.windows(2).filter(|w| (w[0] > 0.0) != (w[1] > 0.0)).count();
        let runs = if n == 0 { 0 } else { turns + 1 };
        let (expected, p) = few_runs(runs as f64, above, below);
        let lag_1 = lag_1(residuals);
        Check {
            count: n,
            rms: (super::sum_of_squares(residuals) / n.max(1) as f64).sqrt(),
            runs,
            runs_expected: expected,
            runs_p: (n >= FEWEST).then_some(p),
            lag_1,
            effective: effective_count(n, lag_1),
        }
    }

    /// In words what is wrong, if anything.
    #[must_use]
    pub fn complaint(&self) -> Option<String> {
        let p = self.runs_p.filter(|p| *p < SUSPICIOUS)?;
        let odds =
            if p < 1e-6 { "less than one in a million".to_owned() } else { format!("{p:.1e}") };
        Some(format!(
            "its residuals keep one sign for long: {} runs where noise has {:.0} (probability {odds}): \
             the model misses something, or the noise is slow",
            self.runs, self.runs_expected
        ))
    }
}

/// Independent data among `n` whose neighbours correlate by `lag_1`: `n (1 - r)/(1 + r)`, that of a
/// first-order process. A correlation within its own noise, two over the root of `n`, counts as none.
#[must_use]
pub fn effective_count(n: usize, lag_1: f64) -> f64 {
    let count = n as f64;
    if n < FEWEST || lag_1 <= 2.0 / count.sqrt() {
        return count;
    }
    (count * (1.0 - lag_1) / (1.0 + lag_1)).max(1.0)
}

/// Correlation of each residual with the next. The mean is not taken off: a fitted model's
/// residuals should scatter about zero.
fn lag_1(r: &[f64]) -> f64 {
    let all: f64 = super::sum_of_squares(r);
    let pairs: f64 = r.windows(2).map(|w| w[0] * w[1]).sum();
    if all > 0.0 { pairs / all } else { 0.0 }
}

/// Runs that noise would have, and the probability of so few or fewer (normal approximation).
fn few_runs(runs: f64, above: f64, below: f64) -> (f64, f64) {
    let n = above + below;
    if above == 0.0 || below == 0.0 {
        // One run only; noise has one sign throughout with a probability of two to the 1 - n.
        return (0.5 * (n + 1.0), 2.0_f64.powf(1.0 - n));
    }
    let both = 2.0 * above * below;
    let mean = both / n + 1.0;
    let variance = both * (both - n) / (n * n * (n - 1.0));
    let z = (runs + 0.5 - mean) / variance.sqrt();
    (mean, if z.is_finite() { Normal::standard().cdf(z) } else { 1.0 })
}

/// Probability that chi-square comes out so large or larger by chance.
#[must_use]
pub fn chi2_probability(chi2: f64, freedom: f64) -> Option<f64> {
    let law = (freedom > 0.0).then(|| ChiSquared::new(freedom).ok()).flatten()?;
    Some(law.sf(chi2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slow_wave_is_accused_and_an_alternation_is_not() {
        let wave: Vec<f64> = (0..60).map(|i| (f64::from(i) * 0.2).sin()).collect();
        let check = Check::of(&wave);
        assert!(check.complaint().is_some() && check.lag_1 > 0.9, "{check:?}");
        assert!(check.effective < 10.0);
        // Counted by hand: + + - - + - - + has five runs, five are expected.
        let check = Check::of(&[1.0, 1.0, -1.0, -1.0, 1.0, -1.0, -1.0, 1.0]);
        assert_eq!((check.runs, check.runs_expected), (5, 5.0));
        assert!(check.complaint().is_none());
        assert_eq!(check.effective, 8.0);
    }

    #[test]
    fn one_sign_throughout_is_accused() {
        assert!(Check::of(&[0.1; 20]).complaint().is_some());
        assert!(Check::of(&[0.1; 5]).complaint().is_none());
    }
}
