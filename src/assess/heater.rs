//! What a logged heater says: its share of the time, switchings, cycles, power, and how fast the box follows.

use super::evidence::{Evidence, Probe};
use super::exponential::fit_windows;
use super::finding::Finding;
use super::heating::{calm, lid_open};
use super::steady::{warm_until, window};
use crate::uncertainty::{Estimate, Method, evaluate, mean_of_repeats};
use crate::units::c_from_k;

/// Readings in a cycle below which switchings pass unseen between them. Our choice.
const LEAST_IN_CYCLE: f64 = 5.0;
/// Least number of cycles whose mean is told.
const LEAST_CYCLES: usize = 3;
/// Standard uncertainty of a time constant as a share: heater, air and walls have one each, which one exponential
/// mixes. Our choice.
const ONE_EXPONENTIAL: f64 = 0.03;
/// Most uncertain time constant that is told, as a share.
const LEAST_SURE: f64 = 0.3;
/// Part of the rise that is left out at its beginning: heater and sensor lag.
const BEGINNING: f64 = 0.1;

pub(super) fn findings(run: &Evidence) -> Vec<Finding> {
    if run.simulated {
        return Vec::new();
    }
    let mut out = Vec::new();
    if run.heater.len() > 1 {
        out.extend(in_window(run));
    }
    out.extend(
        run.control_probe().into_iter().flat_map(|p| [warming(run, p), cooling(run, p)]).flatten(),
    );
    out
}

/// Usual distance of the readings of the heater \[s\]: those of the probes beside it.
fn step_s(run: &Evidence) -> f64 {
    let probe = run.control_probe().filter(|p| p.time_s.len() > 1);
    probe
        .map_or(0.0, |p| (p.time_s[p.time_s.len() - 1] - p.time_s[0]) / (p.time_s.len() - 1) as f64)
}

/// Time integral of the command between two times \[s\]: each change was somewhere in the step before the
/// reading that shows it.
fn on_s(run: &Evidence, from_s: f64, to_s: f64) -> f64 {
    let moved = |t: f64| t - 0.5 * step_s(run);
    let ends = run.heater.iter().skip(1).map(|h| moved(h.0)).chain([f64::INFINITY]);
    let parts = run.heater.iter().zip(ends).enumerate();
    parts
        .map(|(k, (h, end))| {
            let begin = if k == 0 { h.0 } else { moved(h.0) };
            h.1 * (end.min(to_s) - begin.max(from_s)).max(0.0)
        })
        .sum()
}

/// The command as on and off only.
fn switches(run: &Evidence) -> bool {
    let mut levels: Vec<f64> = run.heater.iter().map(|h| h.1).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    levels.len() == 2 && levels[0] == 0.0
}

/// Heater on for so long in a stretch \[s\], with what passes unseen between two readings.
fn heated(run: &Evidence, from_s: f64, to_s: f64) -> Estimate {
    let edges = run.heater.iter().skip(1).filter(|h| (from_s..=to_s).contains(&h.0)).count() as f64;
    let most = run.heater.iter().map(|h| h.1).fold(0.0, f64::max);
    let unseen = most * Estimate::of_rounding(step_s(run)) * (edges + 1.0).sqrt();
    Estimate::new(on_s(run, from_s, to_s), unseen)
}

/// Share, power and cycles in the steady window.
fn in_window(run: &Evidence) -> Vec<Finding> {
    let (from_s, to_s) = window(run);
    let (long_s, step_s) = (to_s - from_s, step_s(run));
    let edges: Vec<(f64, bool)> = run
        .heater
        .iter()
        .skip(1)
        .map(|h| (h.0, h.1 > 0.0))
        .filter(|h| (from_s..=to_s).contains(&h.0))
        .collect();
    let duty = Finding::new("duty_pct");
    if long_s <= 0.0 || step_s <= 0.0 {
        return vec![duty.missing("no readings in the steady window")];
    }
    let between = long_s / edges.len().max(1) as f64;
    let slow = 2.0 * between < LEAST_IN_CYCLE * step_s;
    let share = heated(run, from_s, to_s).scaled(1.0 / long_s);
    let spread = share.value * (1.0 - share.value).max(0.0);
    // The window cuts cycles at its ends; of cycles that pass unseen the readings are a sample.
    let cut = Estimate::within(0.0, 2.0 * between * spread / long_s).standard;
    let sampled = if slow { (spread * step_s / long_s).sqrt() } else { 0.0 };
    let share = share.widened(cut).widened(sampled);
    let mut out = vec![duty.estimate(share.scaled(100.0))];
    match run.heater_w {
        Some(power) => out.push(
            Finding::of("holding_power_W", &[("fed", HEATER)])
                .evaluated(evaluate(&[share, power], |x| x[0] * x[1]), 1.0),
        ),
        None => out.push(
            Finding::of("holding_power_W", &[("fed", HEATER)])
                .missing("no power of the heater: add heater.power to the run's description"),
        ),
    }
    if !switches(run) {
        return out;
    }
    let (often, cycle) = (Finding::new("switchings_per_h"), Finding::new("cycle_min"));
    if slow {
        let why = "readings are too slow for its cycles: some switchings may lie between them";
        out.extend([often.missing(why), cycle.missing(why)]);
        return out;
    }
    // One more or one less at either end of the window.
    let count = Estimate::within(edges.len() as f64, 1.0);
    out.push(often.estimate(count.scaled(3600.0 / long_s)));
    let ons: Vec<f64> = edges.iter().filter(|e| e.1).map(|e| e.0).collect();
    let calm = |w: &&[f64]| !lid_open(run, w[0]) && !lid_open(run, w[1]);
    let cycles: Vec<f64> = ons.windows(2).filter(calm).map(|w| w[1] - w[0]).collect();
    out.push(match mean_of_repeats(&cycles).filter(|_| cycles.len() >= LEAST_CYCLES) {
        Some(mean) => {
            let ends = Estimate::of_rounding(step_s) * 2.0_f64.sqrt() / cycles.len() as f64;
            cycle.estimate(mean.for_few().widened(ends).scaled(1.0 / 60.0)).by(Method::Scatter)
        }
        None => cycle.missing("fewer than three whole cycles in the steady window"),
    });
    out
}

/// What the energy of a logged heater is of.
pub(super) const HEATER: &str = "heater alone: its logged time on times its stated power";

/// Energy of a logged heater of stated power, as readings of a meter at both ends \[s\], \[J\].
pub(super) fn energy(run: &Evidence) -> Vec<(f64, Estimate)> {
    let (Some(power), Some(first)) = (run.heater_w, run.heater.first()) else { return Vec::new() };
    let to_s = warm_until(run).0.max(first.0);
    let used = evaluate(&[heated(run, first.0, to_s), power], |x| x[0] * x[1]);
    used.map_or(Vec::new(), |used| vec![(first.0, Estimate::exact(0.0)), (to_s, used.estimate)])
}

/// Rise under full power, from its first tenth to where the heater is first switched off.
fn warming(run: &Evidence, probe: &Probe) -> Option<Finding> {
    let on = run.heater.iter().find(|h| h.1 > 0.0)?;
    let off_s = run.heater.iter().find(|h| h.0 > on.0 && h.1 < on.1).map_or(f64::INFINITY, |h| h.0);
    let finding = Finding::new("warm_up_time_constant_min").at(&probe.name);
    let (time_s, celsius) = calm(run, probe);
    let rows = time_s.into_iter().zip(celsius).filter(|r| (on.0..off_s).contains(&r.0));
    let rise: Vec<(f64, f64)> = rows.collect();
    let ends = rise.first().zip(rise.last())?;
    let from = ends.0.1 + BEGINNING * (ends.1.1 - ends.0.1);
    let at = rise.iter().position(|r| r.1 >= from)?;
    Some(told(finding, &rise[at..], Estimate::new(0.0, f64::INFINITY)))
}

/// Fall towards the room after the heater is off for good.
fn cooling(run: &Evidence, probe: &Probe) -> Option<Finding> {
    let (off_s, why) = warm_until(run);
    if why.is_empty() {
        return None;
    }
    let finding = Finding::new("cooling_time_constant_min").at(&probe.name);
    let lag_s = probe.time_constant_s.map_or(0.0, |tau| tau.value);
    let (time_s, celsius) = calm(run, probe);
    let rows =
        time_s.into_iter().zip(celsius).filter(|r| r.0 > off_s + 3.0 * lag_s.max(step_s(run)));
    let fall: Vec<(f64, f64)> = rows.collect();
    let base = run.room.temp_k.map_or(Estimate::new(0.0, f64::INFINITY), |room| {
        Estimate::new(c_from_k(room.value), room.standard.hypot(probe.temp_sd_k))
    });
    Some(told(finding, &fall, base))
}

fn told(finding: Finding, points: &[(f64, f64)], base: Estimate) -> Finding {
    match fit_windows(points, base) {
        Some(rate) if rate.standard < LEAST_SURE * rate.value => {
            let tau = 1.0 / rate.value / 60.0;
            let sd = tau * rate.standard / rate.value;
            finding
                .estimate(Estimate::new(tau, sd).widened(ONE_EXPONENTIAL * tau))
                .by(Method::Scatter)
        }
        _ => finding.missing("the readings bend too little, or along no exponential"),
    }
}
