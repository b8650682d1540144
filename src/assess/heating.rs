//! Warm-up, overshoot, settling, ripple, and the hot side against the cold side.

use super::evidence::{Evidence, Probe, SensorPlace};
use super::finding::Finding;
use crate::measured::sensors::correct_lag;
use crate::metric::{BAND_K, HOLD_S, Trace, steady_from_s};
use crate::uncertainty::{Estimate, Method, mean_of_series};
use crate::units::c_from_k;

/// Slowest logging that a lag can be taken out of, in time constants: local parabolas need seven
/// readings, which must not span more than a few time constants.
const SLOWEST: f64 = 0.5;
/// Readings this long after an opening of the lid do not count \[s\]: the box reheats.
const AFTER_LID_S: f64 = 300.0;

/// The steady window: the last half hour, at most half the run, from the first settled reading on
/// if that is later.
pub(super) fn window(run: &Evidence) -> (f64, f64) {
    let end = run.probes.iter().filter_map(|p| p.time_s.last()).fold(0.0, |a: f64, b| a.max(*b));
    (steady_from_s(end), end)
}

pub(super) fn findings(run: &Evidence) -> Vec<Finding> {
    let mut out = Vec::new();
    let Some(probe) = run.control_probe() else { return out };
    let calm = calm(run, probe);
    let trace = Trace { time_s: &calm.0, value: &calm.1 };
    match run.set_point_k {
        Some(set_k) => out.extend(against_set_point(run, probe, &trace, set_k)),
        None => out.push(
            Finding::new("warm_up_min")
                .missing("no set point: add control.set_point to the run's description"),
        ),
    }
    out.push(hottest(probe, &trace));
    out.extend(ripple(run, &trace));
    out.extend(sides(run));
    out
}

/// Readings without those while the lid was open, just after it, and in doubt.
fn calm(run: &Evidence, probe: &Probe) -> (Vec<f64>, Vec<f64>) {
    let lid = |t: f64| run.lids.iter().any(|l| (l.from_s..=l.to_s + AFTER_LID_S).contains(&t));
    let doubt = |t: f64| {
        let mine = run.flags.iter().filter(|f| f.probe == probe.name && f.spoils);
        mine.into_iter().any(|f| (f.from_s..=f.to_s).contains(&t))
    };
    let rows = probe.time_s.iter().zip(&probe.temp_k);
    rows.filter(|(t, v)| v.is_finite() && !lid(**t) && !doubt(**t)).map(|(t, v)| (*t, *v)).unzip()
}

fn against_set_point(run: &Evidence, probe: &Probe, trace: &Trace<'_>, set_k: f64) -> Vec<Finding> {
    let new = |key: &str| Finding::new(key).at(&probe.name);
    let level = set_k - BAND_K;
    let warm = new("warm_up_min");
    let warm = match trace.first_reaching(level) {
        Some(t) => warm.estimate(crossing(trace, t, level, probe.temp_sd_k).scaled(1.0 / 60.0)),
        None => warm.missing("the set point is not reached"),
    };
    let peak = trace.range().map(|(_, high)| high);
    let over = |k: f64, u: f64| Estimate::new(k - set_k, u);
    let read = new("overshoot_sensor_K");
    let read = match peak {
        Some(k) => read.estimate(over(k, probe.temp_sd_k)),
        None => read.missing("no readings"),
    };
    let above = new("above_min");
    // The level moves by the sensor's error.
    let time = |off: f64| trace.time_above(set_k + BAND_K + off) / 60.0;
    let sd = probe.temp_sd_k;
    let above = above.estimate(Estimate::new(time(0.0), 0.5 * (time(-sd) - time(sd)).abs()));
    let settle = new("settling_min");
    let settle = match trace.settled(set_k, BAND_K, HOLD_S) {
        Some(t) => settle.estimate(Estimate::new(t / 60.0, step_s(trace) / 60.0 / 12.0_f64.sqrt())),
        None => settle.missing("it does not stay in the band for 10 min"),
    };
    let mut out = vec![warm, read];
    out.extend(corrected(run, probe, trace, set_k));
    out.extend([above, settle]);
    out
}

/// The time of a crossing: uncertainty of the reading over the slope, and of the logging step.
fn crossing(trace: &Trace<'_>, t: f64, level: f64, sd_k: f64) -> Estimate {
    let at = trace.time_s.partition_point(|s| *s < t).clamp(1, trace.time_s.len().max(2) - 1);
    let (a, b) = (at.saturating_sub(2), (at + 1).min(trace.time_s.len() - 1));
    let slope = (trace.value[b] - trace.value[a]) / (trace.time_s[b] - trace.time_s[a]).max(1e-9);
    let step = (trace.time_s[at] - trace.time_s[at - 1]) / 12.0_f64.sqrt();
    // A first reading that is warm already has no crossing.
    let by_reading = if slope > 0.0 && trace.value[0] < level { sd_k / slope } else { 0.0 };
    Estimate::new(t, by_reading.hypot(if sd_k > 0.0 { step } else { 0.0 }))
}

fn step_s(trace: &Trace<'_>) -> f64 {
    let n = trace.time_s.len();
    if n < 2 { 0.0 } else { (trace.time_s[n - 1] - trace.time_s[0]) / (n - 1) as f64 }
}

/// Overshoot of the air at the sensor, its lag taken out.
fn corrected(run: &Evidence, probe: &Probe, trace: &Trace<'_>, set_k: f64) -> Option<Finding> {
    if run.simulated {
        return None;
    }
    let finding = Finding::new("overshoot_lag_corrected_K").at(&probe.name);
    let Some(tau) = probe.time_constant_s else {
        return Some(finding.missing("no time constant: add it to the sensor's description"));
    };
    let mut steps: Vec<f64> = probe.time_s.windows(2).map(|w| w[1] - w[0]).collect();
    steps.sort_by(f64::total_cmp);
    let step = steps.get(steps.len() / 2).copied().unwrap_or(0.0);
    if step > SLOWEST * tau.value {
        return Some(finding.missing(format!(
            "readings {step:.0} s apart are too slow for a time constant of {:.0} s",
            tau.value
        )));
    }
    let fit = correct_lag(trace.time_s, trace.value, tau)?;
    let highest = (0..fit.value.len()).max_by(|a, b| fit.value[*a].total_cmp(&fit.value[*b]))?;
    let u = fit.standard[highest].hypot(probe.temp_sd_k);
    Some(finding.estimate(Estimate::new(fit.value[highest] - set_k, u)))
}

fn hottest(probe: &Probe, trace: &Trace<'_>) -> Finding {
    let finding = Finding::new("hottest_C").at(&probe.name);
    match trace.range() {
        Some((_, high)) => finding.estimate(Estimate::new(c_from_k(high), probe.temp_sd_k)),
        None => finding.missing("no readings"),
    }
}

/// Peak to peak and period of the swing in the steady window.
fn ripple(run: &Evidence, trace: &Trace<'_>) -> Option<Finding> {
    let from = window(run).0;
    let steady = trace.since(from);
    if steady.value.len() < 4 {
        return None;
    }
    let mean = steady.mean()?;
    // Highest of each stretch above the mean, lowest of each below: a robust swing.
    let halves: Vec<&[f64]> = steady.value.chunk_by(|a, b| (*a > mean) == (*b > mean)).collect();
    let ends: Vec<f64> = halves
        .iter()
        .map(|h| {
            let up = h[0] > mean;
            h.iter().copied().reduce(|a, b| if (b > a) == up { b } else { a }).unwrap_or(mean)
        })
        .collect();
    let swings: Vec<f64> = ends.windows(2).map(|w| (w[1] - w[0]).abs()).collect();
    let finding = Finding::new("mean_swing_K");
    Some(match mean_of_series(&swings) {
        Some(e) => finding.estimate(e).by(Method::Scatter),
        None => finding.missing("no swing in the steady window"),
    })
}

/// Hot side minus cold side.
fn sides(run: &Evidence) -> Option<Finding> {
    let find = |place: SensorPlace| {
        let placed = |p: &&Probe| p.place == place && p.exact == run.simulated;
        run.probes.iter().find(placed)
    };
    let (hot, cold) = (find(SensorPlace::Supply)?, find(SensorPlace::Return)?);
    let from = warm_from(run, hot);
    let mut off = Vec::new();
    let mut j = 0;
    for (i, &t) in hot.time_s.iter().enumerate() {
        while j < cold.time_s.len() && cold.time_s[j] < t {
            j += 1;
        }
        let lid = run.lids.iter().any(|l| (l.from_s..=l.to_s + AFTER_LID_S).contains(&t));
        if t >= from && cold.time_s.get(j) == Some(&t) && !lid {
            off.push(hot.temp_k[i] - cold.temp_k[j]);
        }
    }
    let finding = Finding::new("supply_minus_return_K");
    Some(match mean_of_series(&off) {
        Some(e) => finding.estimate(e.widened(hot.temp_sd_k.hypot(cold.temp_sd_k))),
        None => finding.missing("no common readings after warm-up"),
    })
}

/// After twice the warm-up the sides differ by what they always will.
fn warm_from(run: &Evidence, hot: &Probe) -> f64 {
    let end = window(run);
    let level = run.set_point_k.map(|k| k - BAND_K);
    let warm = level.and_then(|k| hot.temperature().first_reaching(k));
    warm.map_or(end.0, |t| (3.0 * t).max(600.0)).min(end.0)
}
