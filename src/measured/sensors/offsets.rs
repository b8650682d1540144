//! Offsets from readings side by side, and from two sensors that change places.

use super::Readings;
use crate::physics::moist_air::saturation_pressure_pa;
use crate::uncertainty::{Estimate, mean_of_series};

/// What one sensor reads more than the reference.
#[derive(Clone, Debug, PartialEq)]
pub struct Offset {
    /// Temperature \[K\].
    pub temp_k: Estimate,
    /// Relative humidity at the same vapour pressure and the reference's temperature; the part
    /// that the temperature offset alone makes is taken out.
    pub relative_humidity: Option<Estimate>,
    /// Whether the difference changed during the window by more than its scatter: the sensors were
    /// not side by side, or one of them drifts.
    pub drifts: bool,
}

/// A slope of this many standard uncertainties is a drift.
const DRIFT_SIGMAS: f64 = 4.0;

/// Offset of `sensor` against `reference` between two times \[s\]; `None` for fewer than four
/// readings of both at the same times. Neighbouring readings are alike: see
/// [`mean_of_series`].
#[must_use]
pub fn side_by_side(
    sensor: &Readings<'_>,
    reference: &Readings<'_>,
    window_s: (f64, f64),
) -> Option<Offset> {
    let pairs = common(sensor, reference, window_s);
    if pairs.len() < 4 {
        return None;
    }
    let temps: Vec<f64> =
        pairs.iter().map(|(i, j)| sensor.temp_k[*i] - reference.temp_k[*j]).collect();
    let humid = |i: usize, j: usize| {
        let own = sensor.relative_humidity.get(i)?;
        let theirs = reference.relative_humidity.get(j)?;
        // Its humidity element is at its own temperature, which may differ from what it reads only by the
        // offset: judge it at the reference's. What air adds to saturation falls out of the quotient.
        let vapour = own * saturation_pressure_pa(sensor.temp_k[i]);
        let off = vapour / saturation_pressure_pa(reference.temp_k[j]) - theirs;
        off.is_finite().then_some(off)
    };
    let humidities: Vec<f64> = pairs.iter().filter_map(|(i, j)| humid(*i, *j)).collect();
    let drifts = is_drifting(&temps) || is_drifting(&humidities);
    let relative_humidity = if humidities.len() >= 4 { mean_of_series(&humidities) } else { None };
    Some(Offset { temp_k: mean_of_series(&temps)?, relative_humidity, drifts })
}

/// Rows of both at the same time.
fn common(a: &Readings<'_>, b: &Readings<'_>, (from, to): (f64, f64)) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut j = 0;
    for (i, &t) in a.time_s.iter().enumerate().filter(|(_, t)| (from..=to).contains(*t)) {
        while j < b.time_s.len() && b.time_s[j] < t {
            j += 1;
        }
        if b.time_s.get(j) == Some(&t) {
            out.push((i, j));
        }
    }
    out
}

/// Whether a straight line through the differences rises by more than its scatter allows.
fn is_drifting(off: &[f64]) -> bool {
    let n = off.len() as f64;
    if off.len() < 8 {
        return false;
    }
    let (middle, mean) = (0.5 * (n - 1.0), off.iter().sum::<f64>() / n);
    let places = || (0..off.len()).map(|i| i as f64 - middle);
    let spread: f64 = places().map(|x| x * x).sum();
    let slope = places().zip(off).map(|(x, y)| x * (y - mean)).sum::<f64>() / spread;
    let rest: Vec<f64> = places().zip(off).map(|(x, y)| y - mean - slope * x).collect();
    let square: f64 = rest.iter().map(|r| r * r).sum();
    // Neighbours that are alike make the slope less sure.
    let alike = rest.windows(2).map(|w| w[0] * w[1]).sum::<f64>() / square.max(f64::MIN_POSITIVE);
    let alike = alike.clamp(0.0, 0.95);
    let u = (square / (n - 2.0) / spread * (1.0 + alike) / (1.0 - alike)).sqrt();
    slope.abs() > DRIFT_SIGMAS * u && slope != 0.0
}

/// True difference of two places and offset of two sensors that changed places half way: mean
/// difference before and after (first sensor less second).
///
/// ```text
/// before = true + offset        after = -true + offset
/// ```
#[must_use]
pub fn swapped(before: Estimate, after: Estimate) -> (Estimate, Estimate) {
    let half = |value: f64| Estimate {
        value: 0.5 * value,
        standard: 0.5 * before.standard.hypot(after.standard),
        degrees_of_freedom: before.degrees_of_freedom.min(after.degrees_of_freedom),
    };
    (half(before.value - after.value), half(before.value + after.value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::k_from_c;

    fn noisy(n: usize, celsius: f64, rh: f64, seed: usize) -> (Vec<f64>, Vec<f64>, Vec<f64>) {
        let dice =
            |i: usize, k: usize| ((i * 7919 + seed * 104_729 + k * 31) % 101) as f64 / 50.0 - 1.0;
        let time = (0..n).map(|i| 10.0 * i as f64).collect();
        let temp = (0..n).map(|i| k_from_c(celsius + 0.05 * dice(i, 1))).collect();
        (time, temp, (0..n).map(|i| rh + 0.002 * dice(i, 2)).collect())
    }

    #[test]
    fn offsets_come_back_with_an_uncertainty_that_holds_them() {
        let (time, temp, rh) = noisy(60, 22.0, 0.45, 1);
        // Reads 0.4 K too warm, and the humidity element (at the true temperature) 2 %RH too much.
        let (_, t2, _) = noisy(60, 22.4, 0.45, 2);
        let full = |c: f64| saturation_pressure_pa(k_from_c(c));
        let rh2: Vec<f64> = rh.iter().map(|v| (v + 0.02) * full(22.0) / full(22.4)).collect();
        let reference = Readings { time_s: &time, temp_k: &temp, relative_humidity: &rh };
        let sensor = Readings { time_s: &time, temp_k: &t2, relative_humidity: &rh2 };
        let off = side_by_side(&sensor, &reference, (0.0, 600.0)).unwrap();
        assert!((off.temp_k.value - 0.4).abs() < 3.0 * off.temp_k.standard + 1e-9, "{off:?}");
        let humid = off.relative_humidity.unwrap();
        assert!((humid.value - 0.02).abs() < 3.0 * humid.standard + 2e-4, "{off:?}");
        assert!(!off.drifts);
        assert!(side_by_side(&sensor, &reference, (1e4, 2e4)).is_none());
    }

    #[test]
    fn a_drift_is_told() {
        let (time, temp, rh) = noisy(60, 22.0, 0.45, 1);
        let t2: Vec<f64> = temp.iter().zip(&time).map(|(k, t)| k + 1e-3 * t).collect();
        let reference = Readings { time_s: &time, temp_k: &temp, relative_humidity: &rh };
        let sensor = Readings { time_s: &time, temp_k: &t2, relative_humidity: &[] };
        assert!(side_by_side(&sensor, &reference, (0.0, 600.0)).unwrap().drifts);
    }

    #[test]
    fn a_swap_tells_place_from_sensor() {
        let (place, offset) = swapped(Estimate::new(5.3, 0.1), Estimate::new(-4.7, 0.1));
        assert!((place.value - 5.0).abs() < 1e-12 && (offset.value - 0.3).abs() < 1e-12);
        assert!((place.standard - 0.0707).abs() < 1e-3);
    }
}
