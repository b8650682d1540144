//! Taking the lag of a sensor out of its readings, with the noise that this costs.

use super::usual_step_s;
use crate::uncertainty::Estimate;

/// A series with its lag taken out.
#[derive(Clone, Debug, PartialEq)]
pub struct Corrected {
    /// Times \[s\].
    pub time_s: Vec<f64>,
    /// Values, in the unit of the readings.
    pub value: Vec<f64>,
    /// Standard uncertainty of each: noise, and that of the time constant times the slope.
    pub standard: Vec<f64>,
    /// Half of the window over which slopes were taken \[s\].
    pub half_window_s: f64,
}

/// Least number of readings on each side of a local fit.
const LEAST_SIDE: usize = 3;
/// Half of the window in time constants. A narrower one is noisier, a wider one rounds off real
/// changes; at one time constant both are small against ordinary sensor noise (tried in the test
/// of coverage below).
const HALF_WINDOW: f64 = 1.0;

/// `x = y + tau dy/dt`, with value and slope from a parabola fitted to the readings around each
/// time. Without the smoothing the derivative of the noise would bury the signal; the general
/// problem and a fuller treatment: \[Dolven2022\].
///
/// `None` for fewer than seven readings.
#[must_use]
pub fn correct_lag(time_s: &[f64], values: &[f64], tau: Estimate) -> Option<Corrected> {
    let step = usual_step_s(time_s);
    let side = ((HALF_WINDOW * tau.value / step).ceil() as usize).clamp(LEAST_SIDE, 500);
    let n = values.len();
    if n < 2 * LEAST_SIDE + 1 {
        return None;
    }
    let fits: Vec<Local> = (0..n).filter_map(|i| Local::new(time_s, values, i, side)).collect();
    if fits.len() != n {
        return None;
    }
    // One noise for all, from the median of the local scatters: steps in the signal spoil few.
    let noise = super::median(fits.iter().map(|f| f.scatter)).unwrap_or(0.0);
    let value = fits.iter().map(|f| f.value + tau.value * f.slope).collect();
    let standard = fits.iter().map(|f| {
        let reading = noise * f.noise_gain(tau.value);
        reading.hypot(tau.standard * f.slope)
    });
    let standard = standard.collect();
    Some(Corrected { time_s: time_s.to_vec(), value, standard, half_window_s: side as f64 * step })
}

/// A parabola through the readings around one of them.
struct Local {
    value: f64,
    slope: f64,
    scatter: f64,
    /// Variance of value, of slope, and their covariance, per variance of a reading.
    cover: (f64, f64, f64),
}

impl Local {
    fn new(time_s: &[f64], values: &[f64], i: usize, side: usize) -> Option<Self> {
        let (from, to) = (i.saturating_sub(side), (i + side).min(values.len() - 1));
        let scale = (time_s[to] - time_s[from]).max(f64::MIN_POSITIVE);
        let x: Vec<f64> = time_s[from..=to].iter().map(|t| (t - time_s[i]) / scale).collect();
        let y = &values[from..=to];
        let power = |k: i32| x.iter().map(|v| v.powi(k)).sum::<f64>();
        let s: Vec<f64> = (0..5).map(power).collect();
        let normal = nalgebra::Matrix3::new(s[0], s[1], s[2], s[1], s[2], s[3], s[2], s[3], s[4]);
        let inverse = normal.try_inverse()?;
        let moment = |k: i32| x.iter().zip(y).map(|(v, y)| v.powi(k) * y).sum::<f64>();
        let c = inverse * nalgebra::Vector3::new(moment(0), moment(1), moment(2));
        let off = x.iter().zip(y).map(|(v, y)| (y - c[0] - c[1] * v - c[2] * v * v).powi(2));
        let freedom = (x.len() as f64 - 3.0).max(1.0);
        Some(Local {
            value: c[0],
            slope: c[1] / scale,
            scatter: (off.sum::<f64>() / freedom).sqrt(),
            cover: (inverse[(0, 0)], inverse[(1, 1)] / (scale * scale), inverse[(0, 1)] / scale),
        })
    }

    /// Standard deviation of `value + tau slope` per standard deviation of a reading.
    fn noise_gain(&self, tau: f64) -> f64 {
        let (v, s, c) = self.cover;
        (v + tau * tau * s + 2.0 * tau * c).max(0.0).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// A box that heats, seen through a lag of 40 s with noise; the truth must lie in the band.
    #[test]
    fn the_band_holds_the_truth_as_often_as_it_says() {
        let (tau, step, noise) = (40.0, 5.0, 0.05);
        let truth = |t: f64| 50.0 - 28.0 * (-t / 400.0).exp();
        let mut dice = ChaCha8Rng::seed_from_u64(8);
        let (mut held, mut all) = (0, 0);
        for _ in 0..40 {
            let mut lagged = truth(0.0);
            let mut y = Vec::new();
            let time: Vec<f64> = (0..240).map(|i| step * f64::from(i)).collect();
            for t in &time {
                let wobble: f64 = (0..12).map(|_| dice.random::<f64>()).sum::<f64>() - 6.0;
                y.push(lagged + noise * wobble);
                for k in 0..100 {
                    let at = t + step * f64::from(k) / 100.0;
                    lagged += (truth(at) - lagged) / tau * step / 100.0;
                }
            }
            let known = Estimate::new(tau, 0.0);
            let found = correct_lag(&time, &y, known).unwrap();
            for (i, t) in time.iter().enumerate().skip(20) {
                all += 1;
                held += i32::from((found.value[i] - truth(*t)).abs() <= 2.0 * found.standard[i]);
            }
        }
        let share = f64::from(held) / f64::from(all);
        assert!((0.92..0.985).contains(&share), "{share}");
    }

    #[test]
    fn an_unknown_time_constant_widens_the_band_where_it_matters() {
        let time: Vec<f64> = (0..100).map(|i| 5.0 * f64::from(i)).collect();
        let ramp: Vec<f64> = time.iter().map(|t| 20.0 + 0.03 * t).collect();
        let found = correct_lag(&time, &ramp, Estimate::new(40.0, 10.0)).unwrap();
        assert!((found.value[50] - ramp[50] - 1.2).abs() < 1e-9);
        assert!((found.standard[50] - 0.3).abs() < 1e-6);
        assert!(correct_lag(&time[..5], &ramp[..5], Estimate::exact(40.0)).is_none());
    }
}
