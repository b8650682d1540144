//! Warm-up, overshoot, settling, ripple, and the hot side against the cold side.

use super::evidence::{Evidence, Probe, SensorPlace};
use super::finding::Finding;
use super::steady::{finding as steady_window, window};
use crate::measured::sensors::correct_lag;
use crate::metric::{BAND_K, FromReadings, Span, Trace, Tracker};
use crate::uncertainty::{Estimate, Method, mean_of_series};
use crate::units::c_from_k;

/// Slowest logging that a lag can be taken out of, in time constants: local parabolas need seven
/// readings, which must not span more than a few time constants.
const SLOWEST: f64 = 0.5;
/// From so many extremes on, those of the first and the last stretch are left out.
const MANY_ENDS: usize = 6;
/// A stretch of a swing is left where readings are this many scatters on the other side of the mean.
const SWING_SIGMAS: f64 = 2.0;
const NO_READINGS: &str = "no readings";
/// Readings this long after an opening of the lid do not count \[s\]: the box reheats.
const AFTER_LID_S: f64 = 300.0;

/// Lag of a sensor of which nothing is known \[s\]: usual data sheets in moving air, and its housing (common
/// practice). Simulated sensors have their own.
const USUAL_LAG_S: f64 = 30.0;

/// What is taken of the control sensor where its time constant is not stated, and what that means.
pub(super) fn lag_taken(run: &Evidence) -> Option<String> {
    let probe = run.control_probe().filter(|p| p.time_constant_s.is_none() && !run.simulated)?;
    let name = &probe.name;
    Some(format!(
        "the time constant of {name} is not stated: {USUAL_LAG_S} s is taken, and times may be so much too late, which is in their ± (pin: time_constant in [sensor.{name}])"
    ))
}

pub(super) fn findings(run: &Evidence) -> Vec<Finding> {
    let Some(probe) = run.control_probe() else { return Vec::new() };
    let new = |key: &str| Finding::new(key).at(&probe.name);
    let (time_s, celsius) = calm(run, probe);
    let readings = Trace { time_s: &time_s, value: &celsius };
    let noise = noise_k(run, probe);
    // A reading lags by up to its time constant: air was there so much earlier.
    let lag_s = probe.time_constant_s.map_or(USUAL_LAG_S, |tau| tau.value + 2.0 * tau.standard);
    let lag_s = if run.simulated { 0.0 } else { lag_s };
    let tell = |key: &str, trace: &Trace<'_>, (tracker, unit): (Tracker, f64), why: &str| {
        let found = trace.estimate_noisy(&tracker, probe.temp_sd_k, noise);
        let found = found.map(|f| if tracker.is_time() { late(f, lag_s) } else { f });
        let finding = new(key).found(found, unit, why);
        let method =
            if finding.method == Method::Censoring { Method::Propagation } else { finding.method };
        finding.by(method)
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
    out.extend(swing(new("mean_swing_K"), &readings.within(window(run)), noise));
    out.extend(sides(run));
    out.extend(steady_window(run));
    out
}

/// A time that may be so much too late. Lag is never early, so that it adds to what else is wrong.
fn late(found: FromReadings, lag_s: f64) -> FromReadings {
    let end = |t: f64| (t - lag_s).max(0.0);
    match found {
        FromReadings::Value(e) => {
            let standard = e.standard + Estimate::within(0.0, lag_s).standard;
            FromReadings::Value(Estimate::new(e.value, standard))
        }
        FromReadings::Between(low, high) => FromReadings::Between(end(low), high),
        FromReadings::AtLeast(low) => FromReadings::AtLeast(end(low)),
    }
}

/// Scatter of a probe's temperatures from one to the next \[K\]. A swing that readings are too slow for looks like noise:
/// what passes half the accuracy is taken from another probe, which may be of the same kind, and is no more than
/// that accuracy.
fn noise_k(run: &Evidence, probe: &Probe) -> f64 {
    let own = probe.temperature().noise();
    if own <= 0.5 * probe.temp_sd_k {
        return own;
    }
    let all = run.probes.iter().filter(|p| !p.exact).map(|p| p.temperature().noise());
    all.fold(own, f64::min).min(probe.temp_sd_k)
}

/// Readings \[°C\] without those while the lid was open, just after it, and in doubt.
pub(super) fn calm(run: &Evidence, probe: &Probe) -> (Vec<f64>, Vec<f64>) {
    let doubt = |t: f64| {
        let mut mine = run.flags.iter().filter(|f| f.probe == probe.name && f.spoils);
        mine.any(|f| (f.from_s..=f.to_s).contains(&t))
    };
    let rows = probe.time_s.iter().zip(&probe.temp_k);
    let good = rows.filter(|(t, v)| v.is_finite() && !lid_open(run, **t) && !doubt(**t));
    good.map(|(t, v)| (*t, c_from_k(*v))).unzip()
}

/// Whether the lid is open, or the box reheats after it.
pub(super) fn lid_open(run: &Evidence, t: f64) -> bool {
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
fn swing(finding: Finding, steady: &Trace<'_>, noise: f64) -> Option<Finding> {
    if steady.value.len() < 4 {
        return None;
    }
    let mean = steady.mean()?;
    // Highest of each stretch above the mean, lowest of each below; a stretch ends only where noise alone does not leave it.
    let mut ends: Vec<(f64, f64)> = Vec::new();
    let mut up = None;
    for (t, v) in steady.time_s.iter().zip(steady.value) {
        let side = (v - mean).abs() > SWING_SIGMAS * noise;
        let new = side.then_some(*v > mean).filter(|now| up != Some(*now));
        match (new, ends.last_mut()) {
            (Some(now), _) => {
                up = Some(now);
                ends.push((*t, *v));
            }
            (None, Some(last)) if (*v > last.1) == (up == Some(true)) => *last = (*t, *v),
            _ => {}
        }
    }
    // Of few stretches even those count that may be parts.
    let inner = ends
        .get(1..ends.len().saturating_sub(1))
        .filter(|_| ends.len() >= MANY_ENDS)
        .unwrap_or(&ends);
    let swings: Vec<f64> = inner.windows(2).map(|w| (w[1].1 - w[0].1).abs()).collect();
    let (Some(e), [first, .., last]) = (mean_of_series(&swings), inner) else {
        return Some(finding.missing("no swing above the noise in the steady window"));
    };
    // Extremes are too far out by the noise of the readings beside them, and hidden between readings.
    let step_s = (last.0 - first.0) / swings.len() as f64;
    let readings = steady.time_s.windows(2).map(|w| w[1] - w[0]).fold(f64::MAX, f64::min);
    let hidden = e.value * readings / step_s;
    if readings > SLOWEST * step_s {
        return Some(finding.missing("readings are too slow for its cycles"));
    }
    let hidden = Estimate::within(0.0, hidden).standard;
    Some(finding.estimate(e.for_few().widened(noise).widened(hidden)).by(Method::Scatter))
}

/// The supply side minus the return side.
fn sides(run: &Evidence) -> Option<Finding> {
    let find = |place: SensorPlace| {
        let placed = |p: &&Probe| p.place == place && p.exact == run.simulated;
        run.probes.iter().find(placed)
    };
    let (hot, cold) = (find(SensorPlace::Supply)?, find(SensorPlace::Return)?);
    let (from, until) = (warm_from(run, hot), window(run).1);
    let other = |t: f64| cold.time_s.binary_search_by(|s| s.total_cmp(&t)).ok();
    let rows = hot.time_s.iter().zip(&hot.temp_k);
    let off: Vec<f64> = rows
        .filter(|(t, _)| (from..=until).contains(*t) && !lid_open(run, **t))
        .filter_map(|(t, k)| Some(k - cold.temp_k[other(*t)?]))
        .collect();
    let finding =
        Finding::new("supply_minus_return_K").at(&format!("{} less {}", hot.name, cold.name));
    Some(match mean_of_series(&off) {
        // Two sensors of one kind may err to either side for one cause.
        Some(e) => finding.estimate(e.widened(hot.temp_sd_k + cold.temp_sd_k)),
        None => finding.missing("no common readings after warm-up"),
    })
}

/// After twice the warm-up the sides differ by what they always will.
fn warm_from(run: &Evidence, hot: &Probe) -> f64 {
    let end = window(run).0;
    let warm = run.set_point_k.and_then(|k| hot.temperature().value_of(&Tracker::warm(k)));
    warm.map_or(end, |t| (3.0 * t).max(600.0)).min(end)
}
