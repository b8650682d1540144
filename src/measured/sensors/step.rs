//! The time constant of a sensor from a step, such as taking it from the room into the warm box.

use crate::uncertainty::Estimate;

/// Why there is no time constant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum StepError {
    /// Nothing changes, or not by enough to be told from noise.
    #[error("there is no step in these readings")]
    NoStep,
    /// Fewer than three readings while it responds.
    #[error("the readings are too far apart: fewer than three fall into the response")]
    TooSlow,
    /// The end of the response is not in the window.
    #[error("the response is cut off: the readings still change at the end of the window")]
    CutOff,
}

/// Fits `y = a + b exp(-(t - t0)/tau)` to the readings after the step, which begins where the
/// readings change fastest. The standard uncertainty comes from the scatter about the fit and the
/// curvature of its sum of squares, with neighbours taken as alike.
///
/// # Errors
/// [`StepError`] in words.
pub fn time_constant(time_s: &[f64], values: &[f64]) -> Result<Estimate, StepError> {
    let n = values.len();
    let change = |i: usize| (values[i + 1] - values[i]).abs();
    let fastest = (0..n.saturating_sub(1)).max_by(|a, b| change(*a).total_cmp(&change(*b)));
    let from = fastest.ok_or(StepError::NoStep)? + 1;
    let (t, y) = (&time_s[from..], &values[from..]);
    if t.len() < 6 {
        return Err(if change(from - 1) > 0.0 { StepError::TooSlow } else { StepError::NoStep });
    }
    let span = t[t.len() - 1] - t[0];
    let sum = |tau: f64| linear(t, y, tau).map_or(f64::INFINITY, |f| f.2);
    // A logarithmic walk, then bisection by thirds around the best.
    let tries = (0..80).map(|k| span * 10f64.powf(-3.0 + 3.7 * f64::from(k) / 79.0));
    let best = tries.min_by(|a, b| sum(*a).total_cmp(&sum(*b))).ok_or(StepError::NoStep)?;
    let (mut low, mut high) = (best / 1.3, best * 1.3);
    for _ in 0..60 {
        let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if sum(a) < sum(b) { high = b } else { low = a }
    }
    let tau = 0.5 * (low + high);
    let (_, height, square) = linear(t, y, tau).ok_or(StepError::NoStep)?;
    let freedom = (t.len() - 3) as f64;
    let scatter = (square / freedom).sqrt();
    if height.abs() < 5.0 * scatter || height == 0.0 {
        return Err(StepError::NoStep);
    }
    if tau > 0.5 * span {
        return Err(StepError::CutOff);
    }
    if t.iter().filter(|s| **s - t[0] <= 2.0 * tau).count() < 3 {
        return Err(StepError::TooSlow);
    }
    // Curvature by differences over 2 %.
    let step = 0.02 * tau;
    let curvature = (sum(tau + step) - 2.0 * square + sum(tau - step)) / (step * step);
    let alike = alike(t, y, tau);
    let variance = 2.0 * square / freedom * alike / curvature.max(f64::MIN_POSITIVE);
    Ok(Estimate { value: tau, standard: variance.sqrt(), degrees_of_freedom: freedom / alike })
}

/// `a`, `b` and the sum of squares for a given `tau`.
fn linear(t: &[f64], y: &[f64], tau: f64) -> Option<(f64, f64, f64)> {
    let n = t.len() as f64;
    let e: Vec<f64> = t.iter().map(|s| (-(s - t[0]) / tau).exp()).collect();
    let (me, my) = (e.iter().sum::<f64>() / n, y.iter().sum::<f64>() / n);
    let see: f64 = e.iter().map(|v| (v - me).powi(2)).sum();
    let sey: f64 = e.iter().zip(y).map(|(a, b)| (a - me) * (b - my)).sum();
    if see <= 0.0 {
        return None;
    }
    let b = sey / see;
    let a = my - b * me;
    let square = e.iter().zip(y).map(|(e, y)| (y - a - b * e).powi(2)).sum();
    Some((a, b, square))
}

/// How many neighbouring residuals count as one.
fn alike(t: &[f64], y: &[f64], tau: f64) -> f64 {
    let Some((a, b, square)) = linear(t, y, tau) else { return 1.0 };
    let off: Vec<f64> =
        t.iter().zip(y).map(|(s, y)| y - a - b * (-(s - t[0]) / tau).exp()).collect();
    let r: f64 = off.windows(2).map(|w| w[0] * w[1]).sum::<f64>() / square.max(f64::MIN_POSITIVE);
    let r = r.clamp(0.0, 0.95);
    (1.0 + r) / (1.0 - r)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    fn response(tau: f64, step_s: f64, noise: f64, dice: &mut ChaCha8Rng) -> (Vec<f64>, Vec<f64>) {
        let time: Vec<f64> = (0..120).map(|i| step_s * f64::from(i)).collect();
        let values = time.iter().map(|t| {
            let wobble: f64 = (0..12).map(|_| dice.random::<f64>()).sum::<f64>() - 6.0;
            let truth = if *t < 100.0 { 22.0 } else { 50.0 - 28.0 * (-(t - 100.0) / tau).exp() };
            truth + noise * wobble
        });
        let values = values.collect();
        (time, values)
    }

    #[test]
    fn the_time_constant_comes_back_and_its_uncertainty_holds_it() {
        let mut dice = ChaCha8Rng::seed_from_u64(5);
        let (mut held, runs) = (0, 200);
        for _ in 0..runs {
            let (time, values) = response(40.0, 5.0, 0.1, &mut dice);
            let found = time_constant(&time, &values).unwrap();
            held += i32::from((found.value - 40.0).abs() <= found.expanded());
        }
        // 95.4 % of 200 with three standard deviations of a binomial count.
        assert!((181..=200).contains(&held), "{held} of {runs}");
    }

    #[test]
    fn what_holds_no_step_is_said() {
        let mut dice = ChaCha8Rng::seed_from_u64(6);
        let flat: Vec<f64> = (0..60).map(|_| 22.0 + 0.1 * dice.random::<f64>()).collect();
        let time: Vec<f64> = (0..60).map(|i| 5.0 * f64::from(i)).collect();
        assert_eq!(time_constant(&time, &flat), Err(StepError::NoStep));
        let (time, values) = response(40.0, 60.0, 0.01, &mut dice);
        assert_eq!(time_constant(&time, &values), Err(StepError::TooSlow));
        let (time, values) = response(900.0, 5.0, 0.01, &mut dice);
        assert_eq!(time_constant(&time, &values), Err(StepError::CutOff));
        assert!(time_constant(&[], &[]).is_err());
    }
}
