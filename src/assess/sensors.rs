//! What the readings say of the sensors: offsets from a time side by side, time constants from steps.

use super::evidence::Evidence;
use super::finding::Finding;
use crate::measured::sensors::{side_by_side, time_constant};
use crate::uncertainty::Method;

pub(super) fn findings(run: &Evidence) -> Vec<Finding> {
    let mut out = offsets(run);
    for (name, from, to) in &run.steps {
        let finding = Finding::of("<sensor>_time_constant_s", &[("sensor", name)]);
        let Some(probe) = run.probes.iter().find(|p| p.name == *name) else {
            out.push(finding.missing("no sensor of this name"));
            continue;
        };
        let rows = probe.time_s.iter().zip(&probe.temp_k).filter(|r| (*from..=*to).contains(r.0));
        let (time, temp): (Vec<f64>, Vec<f64>) = rows.unzip();
        out.push(match time_constant(&time, &temp) {
            Ok(tau) => finding.estimate(tau).by(Method::Scatter),
            Err(why) => finding.missing(why.to_string()),
        });
    }
    out
}

fn offsets(run: &Evidence) -> Vec<Finding> {
    let Some((from, to, reference)) = &run.side_by_side else { return Vec::new() };
    let Some(base) = run.probes.iter().find(|p| p.name == *reference) else {
        let why = format!("there is no sensor `{reference}` to compare with");
        return vec![Finding::new("offsets").missing(why)];
    };
    let mut out = Vec::new();
    for probe in run.probes.iter().filter(|p| p.name != *reference) {
        let words = [("sensor", probe.name.as_str()), ("reference", reference)];
        let new = |key: &str| Finding::of(key, &words);
        let Some(found) = side_by_side(&probe.readings(), &base.readings(), (*from, *to)) else {
            out.push(new("<sensor>_offset_K").missing("fewer than four common readings"));
            continue;
        };
        out.push(new("<sensor>_offset_K").estimate(found.temp_k).by(Method::Scatter));
        if let Some(rh) = found.relative_humidity {
            let rh = rh.scaled(100.0);
            out.push(new("<sensor>_offset_rh_pct").estimate(rh).by(Method::Scatter));
        }
        if found.drifts {
            let words = "the difference changes during that time: not side by side, or one drifts";
            out.push(new("<sensor>_offset_drift").words(words));
        }
    }
    out
}
