//! Where the water went: weighed out = vented + in the air + by the lid + condensed + unexplained.

use super::evidence::{Evidence, Probe};
use super::finding::Finding;
use super::water::{by_lid, carried, in_air};
use crate::uncertainty::{Estimate, evaluate};

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
        // The terms rest on the same sensors and the same volume: what is wrong with those adds up.
        let u = known.iter().map(|e| e.standard).sum::<f64>().hypot(total.estimate.standard);
        let rest = Estimate::new(total.estimate.value - sum, u);
        let share = 100.0 * rest.value / total.estimate.value;
        out.push(Finding::new("unexplained_g").estimate(rest.scaled(1e3)));
        // Condensate is never measured; a verdict needs all the rest.
        let missing = &unknown[..unknown.len() - 1];
        let verdict = if !missing.is_empty() {
            format!("none: {} not known", missing.join(", "))
        } else if rest.value.abs() <= rest.expanded() {
            format!("the balance closes within its uncertainty ({share:.0} % unexplained)")
        } else {
            format!("{share:.0} % unexplained, more than the uncertainty allows")
        };
        let tail = match (missing, unknown.last()) {
            ([], Some(condensed)) => format!("; it holds what is not known: {condensed}"),
            _ => String::new(),
        };
        out.push(Finding::new("balance").words(verdict + &tail));
    }
    out
}

/// What the flow of room air carried out.
fn vented(run: &Evidence, probe: &Probe, end_s: f64) -> Result<Estimate, &'static str> {
    let flow =
        run.vent_flow_m3_s.ok_or("no flow known: add enclosure.vent_flow, or fit a model")?;
    let inputs = [flow, carried(run, probe, end_s)?];
    evaluate(&inputs, |x| x[0] * x[1]).map(|e| e.estimate).ok_or("no value")
}
