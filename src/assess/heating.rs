//! Warm-up, overshoot, settling, ripple, and the hot side against the cold side.

use super::evidence::{Evidence, Probe, SensorPlace};
use super::finding::Finding;
use crate::measured::sensors::correct_lag;
use crate::metric::{BAND_K, Span, Trace, Tracker, steady_from_s};
use crate::uncertainty::{Estimate, Method, mean_of_series};
use crate::units::c_from_k;

/// Slowest logging that a lag can be taken out of, in time constants: local parabolas need seven
/// readings, which must not span more than a few time constants.
const SLOWEST: f64 = 0.5;
const NO_READINGS: &str = "no readings";
/// Readings this long after an opening of the lid do not count \[s\]: the box reheats.
const AFTER_LID_S: f64 = 300.0;

/// The steady window: the last half hour, at most half the run, from the first settled reading on
/// if that is later.
pub(super) fn window(run: &Evidence) -> (f64, f64) {
    let end = run.probes.iter().filter_map(|p| p.time_s.last()).fold(0.0, |a: f64, b| a.max(*b));
    (steady_from_s(end), end)
}

pub(super) fn findings(run: &Evidence) -> Vec<Finding> {
    let Some(probe) = run.control_probe() else { return Vec::new() };
    let new = |key: &str| Finding::new(key).at(&probe.name);
    let (time_s, celsius) = calm(run, probe);
    let readings = Trace { time_s: &time_s, value: &celsius };
    let tell = |key: &str, trace: &Trace<'_>, (tracker, unit): (Tracker, f64), why: &str| {
        new(key).found(trace.estimate(&tracker, probe.temp_sd_k), unit, why)
    };
    let highest = || (Tracker::high(Span::All), 1.0);
    let mut out = Vec::new();
    if let Some(set) = run.set_point_k.map(c_from_k) {
        let off: Vec<f64> = celsius.iter().map(|v| v - set).collect();
        let off = Trace { time_s: &time_s, value: &off };
        let minutes = |tracker| (tracker, 60.0);
        let reached = "the set point is not reached";
        out.push(tell("warm_up_min", &off, minutes(Tracker::warm(0.0)), reached));
        out.push(tell("overshoot_sensor_K", &off, highest(), NO_READINGS));
        if !run.simulated {
            out.extend(corrected(new("overshoot_lag_corrected_K"), probe, &off));
        }
        out.push(tell("above_min", &off, minutes(Tracker::above(BAND_K)), NO_READINGS));
        let stays = "it does not stay in the band for 10 min";
        out.push(tell("settling_min", &off, minutes(Tracker::settled(0.0)), stays));
    } else {
        let why = "no set point: add control.set_point to the run's description";
        out.push(new("warm_up_min").missing(why));
    }
    out.push(tell("hottest_C", &readings, highest(), NO_READINGS));
    out.extend(swing(new("mean_swing_K"), &readings.since(window(run).0)));
    out.extend(sides(run));
    out
}

/// Readings \[°C\] without those while the lid was open, just after it, and in doubt.
fn calm(run: &Evidence, probe: &Probe) -> (Vec<f64>, Vec<f64>) {
    let doubt = |t: f64| {
        let mut mine = run.flags.iter().filter(|f| f.probe == probe.name && f.spoils);
        mine.any(|f| (f.from_s..=f.to_s).contains(&t))
    };
    let rows = probe.time_s.iter().zip(&probe.temp_k);
    let good = rows.filter(|(t, v)| v.is_finite() && !lid_open(run, **t) && !doubt(**t));
    good.map(|(t, v)| (*t, c_from_k(*v))).unzip()
}

/// Whether the lid is open, or the box reheats after it.
fn lid_open(run: &Evidence, t: f64) -> bool {
    run.lids.iter().any(|l| (l.from_s..=l.to_s + AFTER_LID_S).contains(&t))
}

/// Highest value at the sensor above the set point, its lag taken out.
fn corrected(finding: Finding, probe: &Probe, off: &Trace<'_>) -> Option<Finding> {
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
    let fit = correct_lag(off.time_s, off.value, tau)?;
    let highest = (0..fit.value.len()).max_by(|a, b| fit.value[*a].total_cmp(&fit.value[*b]))?;
    let u = fit.standard[highest].hypot(probe.temp_sd_k);
    Some(finding.estimate(Estimate::new(fit.value[highest], u)))
}

/// Mean swing of the readings of the steady window.
fn swing(finding: Finding, steady: &Trace<'_>) -> Option<Finding> {
    if steady.value.len() < 4 {
        return None;
    }
    let mean = steady.mean()?;
    // Highest of each stretch above the mean, lowest of each below: a robust swing.
    let halves = steady.value.chunk_by(|a, b| (*a > mean) == (*b > mean));
    let ends: Vec<f64> = halves
        .filter_map(|half| {
            let up = half[0] > mean;
            half.iter().copied().reduce(|a, b| if (b > a) == up { b } else { a })
        })
        .collect();
    let swings: Vec<f64> = ends.windows(2).map(|w| (w[1] - w[0]).abs()).collect();
    Some(match mean_of_series(&swings) {
        Some(e) => finding.estimate(e).by(Method::Scatter),
        None => finding.missing("no swing in the steady window"),
    })
}

/// The supply side minus the return side.
fn sides(run: &Evidence) -> Option<Finding> {
    let find = |place: SensorPlace| {
        let placed = |p: &&Probe| p.place == place && p.exact == run.simulated;
        run.probes.iter().find(placed)
    };
    let (hot, cold) = (find(SensorPlace::Supply)?, find(SensorPlace::Return)?);
    let from = warm_from(run, hot);
    let other = |t: f64| cold.time_s.binary_search_by(|s| s.total_cmp(&t)).ok();
    let rows = hot.time_s.iter().zip(&hot.temp_k);
    let off: Vec<f64> = rows
        .filter(|(t, _)| **t >= from && !lid_open(run, **t))
        .filter_map(|(t, k)| Some(k - cold.temp_k[other(*t)?]))
        .collect();
    let finding =
        Finding::new("supply_minus_return_K").at(&format!("{} less {}", hot.name, cold.name));
    Some(match mean_of_series(&off) {
        Some(e) => finding.estimate(e.widened(hot.temp_sd_k.hypot(cold.temp_sd_k))),
        None => finding.missing("no common readings after warm-up"),
    })
}

/// After twice the warm-up the sides differ by what they always will.
fn warm_from(run: &Evidence, hot: &Probe) -> f64 {
    let end = window(run).0;
    let warm = run.set_point_k.and_then(|k| hot.temperature().value_of(&Tracker::warm(k)));
    warm.map_or(end, |t| (3.0 * t).max(600.0)).min(end)
}
