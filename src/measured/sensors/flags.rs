//! Readings in doubt. Real high humidity is no fault, nor is the saw-tooth of a thermostat.

use super::{Readings, median, usual_step_s};
use crate::units::ZERO_CELSIUS_K;

/// What is wrong with a stretch of readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FlagKind {
    /// The first readings after power-on are none.
    PowerOn,
    /// No sensor of this kind can read that.
    Impossible,
    /// One or two readings far from their neighbours on both sides.
    Spike,
    /// The value stands still while the rest of the box moves.
    Stuck,
    /// The humidity element is saturated.
    Saturated,
    /// No readings for a while.
    Gap,
}

/// A stretch of readings in doubt.
#[derive(Clone, Debug, PartialEq)]
pub struct Flag {
    /// What is wrong.
    pub kind: FlagKind,
    /// First and last reading concerned, as indices.
    pub rows: (usize, usize),
    /// In words.
    pub what: String,
}

/// Range in which cheap capacitive sensors work: common data-sheet limits are -40 to 125 °C; a
/// little more is allowed for their error (common practice).
const POSSIBLE_C: (f64, f64) = (-40.5, 150.0);
/// Above this no air is damp: condensing films read a few percent too much, not more.
const MOST_RH: f64 = 1.05;
/// An element that reads this or more has nothing left to tell.
const FULL_RH: f64 = 0.999;
/// How long it must do so \[s\].
const FULL_S: f64 = 300.0;
/// A spike leaves its neighbours by this many robust standard deviations and by these amounts \[K\]
/// and \[1\], larger than what a thermostat does within a reading or two.
const SPIKE_SIGMAS: f64 = 8.0;
const SPIKE_K: f64 = 4.0;
const SPIKE_RH: f64 = 0.12;
/// Readings on each side that a spike is compared with.
const SIDE: usize = 4;
/// The least time \[s\] and the least number of readings that a value stands still to be stuck.
const STUCK_S: f64 = 900.0;
const STUCK_READINGS: usize = 12;
/// How far the other quantity must move meanwhile \[K\] and \[1\].
const MOVED_K: f64 = 2.0;
const MOVED_RH: f64 = 0.05;
/// A pause of this many usual steps is a gap.
const GAP_STEPS: f64 = 5.0;
/// Normal standard deviations per median absolute deviation.
const PER_MAD: f64 = 1.4826;

/// All stretches in doubt, in order of time.
#[must_use]
pub fn flags(readings: &Readings<'_>) -> Vec<Flag> {
    let celsius: Vec<f64> = readings.temp_k.iter().map(|k| k - ZERO_CELSIUS_K).collect();
    let humid = readings.relative_humidity;
    let mut out = gaps(readings.time_s);
    let temperature = |v: f64| format!("{v:.1} °C");
    let percent = |v: f64| format!("{:.1} %RH", 100.0 * v);
    let cold_or_hot = |v: f64| !(POSSIBLE_C.0..=POSSIBLE_C.1).contains(&v);
    out.extend(impossible(&celsius, cold_or_hot, temperature));
    out.extend(impossible(humid, |v| !(0.0..=MOST_RH).contains(&v), percent));
    out.extend(spikes(&celsius, SPIKE_K, temperature));
    out.extend(spikes(humid, SPIKE_RH, percent));
    out.extend(power_on(&celsius, SPIKE_K, temperature));
    out.extend(saturated(readings.time_s, humid));
    if !humid.is_empty() {
        out.extend(stuck(readings.time_s, &celsius, humid, MOVED_RH, temperature));
        // A saturated element stands still too; it has a flag of its own.
        let still = stuck(readings.time_s, humid, &celsius, MOVED_K, percent);
        out.extend(still.into_iter().filter(|f| humid[f.rows.0] < FULL_RH));
    }
    out.sort_by_key(|f| f.rows);
    out.dedup_by(|later, first| later.rows == first.rows && later.kind == first.kind);
    out
}

fn gaps(time_s: &[f64]) -> Vec<Flag> {
    let usual = usual_step_s(time_s);
    let wide = |w: &&[f64]| w[1] - w[0] > GAP_STEPS * usual;
    let pairs = time_s.windows(2).enumerate();
    pairs
        .filter(|(_, w)| wide(w))
        .map(|(i, w)| Flag {
            kind: FlagKind::Gap,
            rows: (i, i + 1),
            what: format!("no reading for {:.1} min", (w[1] - w[0]) / 60.0),
        })
        .collect()
}

/// Neighbouring rows that are alike, as one flag each.
fn stretches(
    bad: impl Iterator<Item = bool>,
    kind: FlagKind,
    words: impl Fn(usize, usize) -> String,
) -> Vec<Flag> {
    let mut out: Vec<Flag> = Vec::new();
    for (i, _) in bad.enumerate().filter(|(_, bad)| *bad) {
        match out.last_mut().filter(|f| f.rows.1 + 1 == i) {
            Some(flag) => flag.rows.1 = i,
            None => out.push(Flag { kind, rows: (i, i), what: String::new() }),
        }
    }
    for flag in &mut out {
        flag.what = words(flag.rows.0, flag.rows.1);
    }
    out
}

fn impossible(
    values: &[f64],
    bad: impl Fn(f64) -> bool,
    shown: impl Fn(f64) -> String,
) -> Vec<Flag> {
    let marks = values.iter().map(|v| v.is_finite() && bad(*v));
    stretches(marks, FlagKind::Impossible, |from, _| {
        format!("{} is beyond what such a sensor can read", shown(values[from]))
    })
}

fn spikes(values: &[f64], least: f64, shown: impl Fn(f64) -> String) -> Vec<Flag> {
    let n = values.len();
    let odd = |i: usize| -> bool {
        if i < SIDE || i + SIDE >= n {
            return false;
        }
        let around = |k: usize| (i - SIDE..=i + SIDE).nth(k).map(|j| values[j]);
        let window: Vec<f64> = (0..=2 * SIDE).filter_map(around).collect();
        let Some(middle) = median(window.iter().copied()) else { return false };
        let spread = median(window.iter().map(|v| (v - middle).abs())).unwrap_or(0.0);
        let off = values[i] - middle;
        // Both sides must lie on the other side: a step is no spike.
        let side = |range: &[f64]| median(range.iter().copied()).unwrap_or(f64::NAN);
        let (before, after) = (side(&values[i - SIDE..i]), side(&values[i + 1..=i + SIDE]));
        let alone = off.abs() > 2.0 * (before - after).abs();
        off.abs() > (SPIKE_SIGMAS * PER_MAD * spread).max(least) && alone
    };
    let marks = (0..n).map(odd);
    let mut found = stretches(marks, FlagKind::Spike, |from, _| {
        format!("{} stands alone among its neighbours", shown(values[from]))
    });
    found.retain(|f| f.rows.1 - f.rows.0 < 2);
    found
}

/// The first one to three readings far from those that follow.
fn power_on(values: &[f64], least: f64, shown: impl Fn(f64) -> String) -> Option<Flag> {
    let next = median(values.iter().skip(3).take(5).copied())?;
    let far = values.iter().take(3).take_while(|v| (**v - next).abs() > 4.0 * least).count();
    let at = far.checked_sub(1)?;
    // A box that heats fast from the start moves evenly; a power-on value jumps.
    let jump = (values[at] - values[far]).abs() > 3.0 * (values[far] - next).abs();
    jump.then(|| Flag {
        kind: FlagKind::PowerOn,
        rows: (0, at),
        what: format!("{} at power-on, then {}", shown(values[0]), shown(values[far])),
    })
}

fn saturated(time_s: &[f64], humid: &[f64]) -> Vec<Flag> {
    let full = humid.iter().map(|v| *v >= FULL_RH && *v <= MOST_RH);
    let mut found = stretches(full, FlagKind::Saturated, |from, to| {
        let minutes = (time_s[to] - time_s[from]) / 60.0;
        format!(
            "{:.1} %RH for {minutes:.0} min: the humidity element is saturated",
            100.0 * humid[from]
        )
    });
    found.retain(|f| time_s[f.rows.1] - time_s[f.rows.0] >= FULL_S);
    found
}

/// Runs of one value while the other quantity moves.
fn stuck(
    time_s: &[f64],
    values: &[f64],
    other: &[f64],
    moved: f64,
    shown: impl Fn(f64) -> String,
) -> Vec<Flag> {
    let mut out = Vec::new();
    let mut from = 0;
    for run in values.chunk_by(|a, b| a == b) {
        let to = from + run.len() - 1;
        let long = run.len() >= STUCK_READINGS && time_s[to] - time_s[from] >= STUCK_S;
        if long && run[0].is_finite() {
            let seen = other[from..=to].iter().copied().filter(|v| v.is_finite());
            let (low, high) =
                seen.fold((f64::INFINITY, f64::NEG_INFINITY), |r, v| (r.0.min(v), r.1.max(v)));
            if high - low > moved {
                let minutes = (time_s[to] - time_s[from]) / 60.0;
                let what =
                    format!("{} for {minutes:.0} min while the rest moves: stuck", shown(run[0]));
                out.push(Flag { kind: FlagKind::Stuck, rows: (from, to), what });
            }
        }
        from += run.len();
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::k_from_c;

    /// A clean on/off run that heats, overshoots and swings, in damp air; every 30 s.
    fn clean() -> (Vec<f64>, Vec<f64>, Vec<f64>) {
        let time: Vec<f64> = (0..240).map(|i| 30.0 * f64::from(i)).collect();
        let noise = |i: usize| 0.05 * ((i * 7919 % 13) as f64 - 6.0) / 6.0;
        let temp = (0..240).map(|i| {
            let t = time[i];
            let warm = 50.0 - 28.0 * (-t / 400.0).exp();
            k_from_c(warm + 0.5 * (t / 40.0).sin() + noise(i))
        });
        let rh = (0..240).map(|i| 0.35 + 0.6 * (1.0 - (-time[i] / 2500.0).exp()) + 0.01 * noise(i));
        (time.clone(), temp.collect(), rh.collect())
    }

    fn kinds(time: &[f64], temp: &[f64], rh: &[f64]) -> Vec<FlagKind> {
        let found = flags(&Readings { time_s: time, temp_k: temp, relative_humidity: rh });
        found.iter().map(|f| f.kind).collect()
    }

    #[test]
    fn a_clean_damp_run_has_no_flag() {
        let (time, temp, rh) = clean();
        assert!(rh.iter().copied().fold(0.0, f64::max) > 0.85);
        assert_eq!(kinds(&time, &temp, &rh), []);
    }

    #[test]
    fn each_fault_is_found_alone() {
        let (time, temp, rh) = clean();
        let mut t = temp.clone();
        t[100] += 9.0;
        assert_eq!(kinds(&time, &t, &rh), [FlagKind::Spike]);
        let mut t = temp.clone();
        t[0] = k_from_c(85.0);
        assert_eq!(kinds(&time, &t, &rh), [FlagKind::PowerOn]);
        let mut h = rh.clone();
        h[50..90].fill(rh[50]);
        assert_eq!(kinds(&time, &temp, &h), []);
        let mut t = temp.clone();
        t[5..60].fill(temp[5]);
        assert_eq!(kinds(&time, &t, &rh), [FlagKind::Stuck]);
        let mut h = rh.clone();
        h[200..].fill(0.999);
        assert_eq!(kinds(&time, &temp, &h), [FlagKind::Saturated]);
        let mut h = rh.clone();
        h[120] = 33.028;
        assert!(kinds(&time, &temp, &h).contains(&FlagKind::Impossible));
        let mut s = time.clone();
        s.iter_mut().skip(80).for_each(|t| *t += 900.0);
        assert_eq!(kinds(&s, &temp, &rh), [FlagKind::Gap]);
    }

    #[test]
    fn short_and_empty_series_are_fine() {
        assert!(kinds(&[], &[], &[]).is_empty());
        assert!(kinds(&[0.0, 1.0], &[300.0, 300.0], &[]).is_empty());
    }
}
