//! Where the water went: weighed out = vented + in the air + by the lid + condensed + unexplained.

use super::air::mean_state;
use super::evidence::{Evidence, LidOpening, Probe};
use super::exchange::carried;
use super::finding::Finding;
use crate::physics::moist_air::sensed_vapour_density_kg_m3 as density;
use crate::uncertainty::{Estimate, evaluate};

/// Share of the gas swapped when a lid is opened for a weighing, where it is not noted: between a
/// quick peek and a full swap.
pub const EXCHANGE: (f64, f64) = (0.6, 0.2);
/// Readings averaged at the ends of the run and before an opening \[s\].
const END_S: f64 = 120.0;

pub(super) fn findings(run: &Evidence) -> Vec<Finding> {
    if run.simulated {
        return Vec::new();
    }
    let weighed = &run.weighed;
    let (Some(start), Some((end_s, last))) = (weighed.start_kg, weighed.weighings.last()) else {
        return Vec::new();
    };
    let mut out = Vec::new();
    let out_kg = evaluate(&[start, *last], |x| x[0] - x[1]);
    out.push(Finding::new("weighed_out_g").evaluated(out_kg.clone(), 1e3));
    let probe = run.humid_probes().next().ok_or("no humidity in the box");
    let mut known = Vec::new();
    let mut unknown = Vec::new();
    let mut term = |finding: Finding, value: Result<Estimate, &str>| match value {
        Ok(e) => {
            known.push(e);
            out.push(finding.estimate(e.scaled(1e3)));
        }
        Err(why) => {
            unknown.push(finding.label.clone());
            out.push(finding.missing(why));
        }
    };
    term(Finding::new("vented_g"), probe.and_then(|p| vented(run, p, *end_s)));
    term(Finding::new("in_air_g"), probe.and_then(|p| in_air(run, p, *end_s)));
    term(Finding::new("by_lid_g"), probe.and_then(|p| by_lid(run, p, *end_s)));
    term(Finding::new("condensed_g"), Err("nothing here measures it"));
    if let Some(total) = out_kg {
        let sum: f64 = known.iter().map(|e| e.value).sum();
        let u = known.iter().fold(total.estimate.standard, |u, e| u.hypot(e.standard));
        let rest = Estimate::new(total.estimate.value - sum, u);
        let share = 100.0 * rest.value / total.estimate.value;
        out.push(Finding::new("unexplained_g").estimate(rest.scaled(1e3)));
        let verdict = if rest.value.abs() <= rest.expanded() {
            format!("the balance closes within its uncertainty ({share:.0} % unexplained)")
        } else {
            format!("{share:.0} % unexplained, more than the uncertainty allows")
        };
        let tail = match &unknown[..] {
            [] => String::new(),
            _ => format!("; it holds what is not known: {}", unknown.join(", ")),
        };
        out.push(Finding::new("balance").words(verdict + &tail));
    }
    out
}

fn room_density(run: &Evidence) -> Result<Estimate, &'static str> {
    let (Some(temp), Some(rh)) = (run.room.temp_k, run.room.relative_humidity) else {
        return Err("no room temperature and humidity");
    };
    let found = evaluate(&[temp, rh], |x| density(x[0], x[1]));
    found.map(|e| e.estimate).ok_or("no vapour density of the room")
}

fn volume(run: &Evidence) -> Result<Estimate, &'static str> {
    run.volume_m3.ok_or("no free volume: add enclosure.free_volume")
}

/// What the flow of room air carried out.
fn vented(run: &Evidence, probe: &Probe, end_s: f64) -> Result<Estimate, &'static str> {
    let flow =
        run.vent_flow_m3_s.ok_or("no flow known: add enclosure.vent_flow, or fit a model")?;
    let inputs = [flow, carried(run, probe, end_s)?];
    evaluate(&inputs, |x| x[0] * x[1]).map(|e| e.estimate).ok_or("no value")
}

pub(super) fn in_air(run: &Evidence, probe: &Probe, end_s: f64) -> Result<Estimate, &'static str> {
    let volume = volume(run)?;
    let first = mean_state(probe, 0.0, END_S).ok_or("no readings at the start")?;
    let last = mean_state(probe, end_s - END_S, end_s).ok_or("no readings at the end")?;
    let inputs = [volume, first.0, first.1, last.0, last.1];
    let change = evaluate(&inputs, |x| x[0] * (density(x[3], x[4]) - density(x[1], x[2])));
    change.map(|e| e.estimate).ok_or("no value")
}

pub(super) fn by_lid(run: &Evidence, probe: &Probe, end_s: f64) -> Result<Estimate, &'static str> {
    let openings: Vec<&LidOpening> = run.lids.iter().filter(|l| l.from_s <= end_s + 60.0).collect();
    if openings.is_empty() {
        return Ok(Estimate::exact(0.0));
    }
    let (volume, room) = (volume(run)?, room_density(run)?);
    let mut total = 0.0;
    let (mut by_volume, mut by_share, mut random) = (0.0, 0.0, 0.0_f64);
    for lid in openings {
        let Some((temp, rh)) = mean_state(probe, lid.from_s - END_S, lid.from_s) else { continue };
        let gap = density(temp.value, rh.value) - room.value;
        let noted = lid.exchange;
        let share = noted.unwrap_or(Estimate::new(EXCHANGE.0, EXCHANGE.1));
        let lost = volume.value * share.value * gap;
        total += lost;
        by_volume += lost / volume.value * volume.standard;
        // The same hand opens it each time: one share, one error.
        by_share += volume.value * gap * share.standard;
        random = random.hypot(volume.value * share.value * density(temp.value, 1.0) * probe.rh_sd);
    }
    Ok(Estimate::new(total, by_volume.hypot(by_share).hypot(random)))
}
