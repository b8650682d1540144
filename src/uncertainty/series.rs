//! Uncertainty of means: of repeats, and of a series whose neighbours are alike.

use super::Estimate;

/// Mean of repeated observations, with the standard uncertainty of the mean; `None` for none. One
/// observation alone says nothing of its scatter: its uncertainty is infinite.
///
/// ```text
/// s² = sum (x - mean)² / (n - 1)        u = s / sqrt(n)        ν = n - 1
/// ```
///
/// Source: \[JCGM100\], type A evaluation.
#[must_use]
pub fn mean_of_repeats(values: &[f64]) -> Option<Estimate> {
    let n = values.len() as f64;
    let value = mean(values)?;
    if values.len() == 1 {
        return Some(Estimate { value, standard: f64::INFINITY, degrees_of_freedom: 0.0 });
    }
    let square: f64 = values.iter().map(|v| (v - value).powi(2)).sum();
    let standard = (square / (n - 1.0) / n).sqrt();
    Some(Estimate { value, standard, degrees_of_freedom: n - 1.0 })
}

/// Mean of an evenly sampled series with its standard uncertainty and the number of independent
/// readings it is worth; `None` for fewer than two.
///
/// ```text
/// n_eff = n / (1 + 2 sum_k (1 - k/n) r_k)       r_k: autocorrelation, up to the first r_k ≤ 0
/// u     = s / sqrt(n_eff)                       s² about the mean, n_eff - 1 degrees of freedom
/// ```
///
/// A series that swings with a period longer than itself has no such number: it is then worth
/// one or two readings, which is what comes out. Source: \[Zieba2010\].
#[must_use]
pub fn mean_of_series(values: &[f64]) -> Option<Estimate> {
    let n = values.len();
    let value = mean(values)?;
    if n < 2 {
        return None;
    }
    let off: Vec<f64> = values.iter().map(|v| v - value).collect();
    let square: f64 = off.iter().map(|d| d * d).sum();
    if square == 0.0 {
        return Some(Estimate { value, standard: 0.0, degrees_of_freedom: n as f64 - 1.0 });
    }
    let mut sum = 0.0;
    for k in 1..n {
        let r = off.iter().zip(&off[k..]).map(|(a, b)| a * b).sum::<f64>() / square;
        if r <= 0.0 {
            break;
        }
        sum += (1.0 - k as f64 / n as f64) * r;
    }
    let worth = (n as f64 / (1.0 + 2.0 * sum)).clamp(1.0, n as f64);
    // s² of correlated readings is low by the share that one effective reading has.
    let freedom = (worth - 1.0).max(0.5);
    let variance = square / n as f64 * worth / freedom;
    Some(Estimate { value, standard: (variance / worth).sqrt(), degrees_of_freedom: freedom })
}

fn mean(values: &[f64]) -> Option<f64> {
    let n = values.len();
    (n > 0).then(|| values.iter().sum::<f64>() / n as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    #[test]
    fn repeats_of_a_scale() {
        let e = mean_of_repeats(&[5.00, 5.01, 5.00, 4.99, 5.00]).unwrap();
        assert!((e.value - 5.0).abs() < 1e-12);
        assert!((e.standard * 5.0_f64.sqrt() - 0.007_071).abs() < 1e-5);
        assert_eq!(e.degrees_of_freedom, 4.0);
        assert!(mean_of_repeats(&[1.0]).unwrap().standard.is_infinite());
        assert_eq!(mean_of_repeats(&[]), None);
    }

    /// A first-order autoregressive series has a known variance of its mean.
    #[test]
    fn neighbours_that_are_alike_count_for_less() {
        let (rho, n, runs) = (0.9, 2_000, 60);
        let mut dice = ChaCha8Rng::seed_from_u64(11);
        let mut stated = 0.0;
        for _ in 0..runs {
            let mut x = 0.0;
            let series: Vec<f64> = (0..n)
                .map(|_| {
                    let noise: f64 = (0..12).map(|_| dice.random::<f64>()).sum::<f64>() - 6.0;
                    x = rho * x + noise;
                    x
                })
                .collect();
            stated += mean_of_series(&series).unwrap().standard.powi(2) / f64::from(runs);
        }
        // variance of the mean of many: sigma² / (1 - rho)² / n with unit noise
        let exact = 1.0 / (1.0 - rho) / (1.0 - rho) / f64::from(n);
        assert!((stated / exact - 1.0).abs() < 0.25, "{stated} {exact}");
    }
}
