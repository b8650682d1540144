//! The steady window of a run: stated, else the end of the time in which the box is kept warm.

use super::evidence::Evidence;
use super::finding::Finding;
use crate::metric::steady_from_s;

/// A box whose control reading has fallen by so much and for so long at the end is not kept warm any more
/// \[K\], \[s\]: more than a thermostat lets it fall. Our choice.
const COOLED_K: f64 = 3.0;
const COOLING_S: f64 = 300.0;
/// A heater that has been off at the end this many times as long as ever before is off for good, as soon as that is
/// longer than [`COOLING_S`]. Our choice.
const OFF_FOR_GOOD: f64 = 2.0;

/// Until when the box is kept warm \[s\], and what tells that.
pub(super) fn warm_until(run: &Evidence) -> (f64, &'static str) {
    let end_s = run.probes.iter().filter_map(|p| p.time_s.last()).fold(0.0, |a: f64, b| a.max(*b));
    if run.simulated {
        return (end_s, "");
    }
    let noted = run.switched.iter().max_by(|a, b| a.0.total_cmp(&b.0)).filter(|s| !s.1);
    if let Some((off_s, _)) = noted.filter(|s| s.0 > 0.0 && s.0 < end_s) {
        return (*off_s, ", until the heater was switched off, as noted");
    }
    if let Some(off_s) = off_for_good_s(run, end_s) {
        return (off_s, ", until the heater is off for good");
    }
    match cooled_from_s(run, end_s) {
        Some(from_s) => (from_s, ", until the box cools"),
        None => (end_s, ""),
    }
}

/// When a logged heater goes off for good.
fn off_for_good_s(run: &Evidence, end_s: f64) -> Option<f64> {
    let (last_s, _) = run.heater.last().filter(|h| h.1 <= 0.0)?;
    let pairs = run.heater.windows(2);
    let off = pairs.filter(|w| w[0].1 <= 0.0 && w[1].1 > 0.0).map(|w| w[1].0 - w[0].0);
    let longest_s = off.fold(0.0, f64::max);
    let off_s = end_s - last_s;
    (run.heater.len() > 1 && off_s > (OFF_FOR_GOOD * longest_s).max(COOLING_S)).then_some(*last_s)
}

/// From when on the control reading falls without coming back.
fn cooled_from_s(run: &Evidence, end_s: f64) -> Option<f64> {
    let probe = run.control_probe()?;
    let rows: Vec<(f64, f64)> =
        probe.time_s.iter().copied().zip(probe.temp_k.iter().copied()).collect();
    let within = |end: f64| {
        let from_s = steady_from_s(end);
        let inside = move |r: &&(f64, f64)| (from_s..=end).contains(&r.0);
        rows.iter().filter(inside)
    };
    let mut end = end_s;
    loop {
        let most_k = within(end).map(|r| r.1).fold(f64::MIN, f64::max);
        let last = within(end).next_back()?;
        let held = within(end).rfind(|r| r.1 >= most_k - COOLED_K)?;
        if end - held.0 < COOLING_S || last.1 > most_k - COOLED_K {
            break;
        }
        end = held.0;
    }
    if end == end_s {
        return None;
    }
    // What is left of the fall: back to the middle of the readings before it.
    let mut warm: Vec<f64> = within(end).map(|r| r.1).collect();
    warm.sort_by(f64::total_cmp);
    let middle_k = *warm.get(warm.len() / 2)?;
    within(end).rfind(|r| r.1 >= middle_k).map(|r| r.0)
}

/// The steady window \[s\].
pub(super) fn window(run: &Evidence) -> (f64, f64) {
    run.steady.unwrap_or_else(|| {
        let end_s = warm_until(run).0;
        (steady_from_s(end_s), end_s)
    })
}

/// Which window the figures have.
pub(super) fn finding(run: &Evidence) -> Option<Finding> {
    let (from_s, to_s) = window(run);
    let why = match run.steady {
        Some(_) => ", as stated",
        None => warm_until(run).1,
    };
    let words = format!("{:.1} to {:.1} min{why}", from_s / 60.0, to_s / 60.0);
    (!run.simulated && to_s > from_s).then(|| Finding::new("steady_window").words(words))
}
