//! What the meter says: energy, energy per gram, the share that evaporation needs.

use super::evidence::Evidence;
use super::finding::Finding;
use crate::metric::LEAST_REMOVED_G;
use crate::physics::moist_air::latent_heat_j_kg;
use crate::uncertainty::{Estimate, evaluate};
use crate::units::k_from_c;

/// What the meter counts.
const METERED: &str = "all that the meter feeds, last reading less first";

pub(super) fn findings(run: &Evidence) -> Vec<Finding> {
    let mut out = Vec::new();
    let (Some(first), Some(last)) = (run.energy.first(), run.energy.last()) else { return out };
    let fed = if run.metered.is_empty() { METERED } else { &run.metered };
    let energy = Finding::of("energy_Wh", &[("fed", fed)]);
    if run.energy.len() < 2 {
        let why = "one meter reading only: note one at the start and one at the end";
        return vec![energy.missing(why)];
    }
    // The meter's own error is one for both readings: a share of what it counts.
    let gain = Estimate::within(1.0, run.meter_limit);
    let used = evaluate(&[first.1, last.1, gain], |x| x[2] * (x[1] - x[0]) / 3600.0);
    let hours = (last.0 - first.0) / 3600.0;
    out.push(energy.evaluated(used, 1.0));
    if hours > 0.0 {
        let power = evaluate(&[first.1, last.1, gain], |x| x[2] * (x[1] - x[0]) / 3600.0 / hours);
        out.push(Finding::new("mean_W").evaluated(power, 1.0));
    }
    let removed = run.weighed.start_kg.zip(run.weighed.weighings.last().map(|w| w.1));
    let Some((start, end)) = removed.filter(|(s, e)| 1e3 * (s.value - e.value) > LEAST_REMOVED_G)
    else {
        return out;
    };
    let inputs = [first.1, last.1, start, end, gain];
    let per_gram = evaluate(&inputs, |x| x[4] * (x[1] - x[0]) / 3600.0 / (1e3 * (x[2] - x[3])));
    // Water leaves a wet load at its wet bulb, near 30 °C in a warm box.
    let floor = latent_heat_j_kg(k_from_c(30.0)) / 3.6e6;
    let below = per_gram.as_ref().is_some_and(|e| e.interval.1 < floor);
    out.push(Finding::new("energy_per_gram_Wh_g").evaluated(per_gram, 1.0));
    let share =
        evaluate(&inputs, |x| 100.0 * (x[2] - x[3]) * floor * 3.6e6 / (x[4] * (x[1] - x[0])));
    out.push(Finding::new("evaporation_pct").evaluated(share, 1.0));
    if below {
        let words = format!(
            "less than the {floor:.2} Wh/g that evaporation needs: a meter reading or a mass is wrong"
        );
        out.push(Finding::new("energy_floor").words(words));
    }
    out
}

/// Last digit of a plug meter \[J\]: 1 Wh.
const METER_STEP_J: f64 = 3600.0;

/// Reading of an energy meter with the rounding of its last digit as uncertainty.
#[must_use]
pub(super) fn meter(joule: f64) -> Estimate {
    Estimate::new(joule, Estimate::of_rounding(METER_STEP_J))
}
