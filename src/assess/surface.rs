//! Infrared readings of outside surfaces, corrected, against a limit that the user enters.

use super::evidence::{Evidence, Spot};
use super::finding::Finding;
use crate::physics::surface::grey_surface_k;
use crate::uncertainty::{Estimate, Evaluated, evaluate};
use crate::units::c_from_k;

pub(super) fn findings(run: &Evidence) -> Vec<Finding> {
    run.spots.iter().flat_map(|s| spot(run, s)).collect()
}

/// The true temperature of a spot \[K\]; `None` without a temperature of what it reflects.
#[must_use]
pub fn surface_k(run: &Evidence, spot: &Spot) -> Option<Evaluated> {
    let reflected = spot.reflected_k.or(run.room.temp_k)?;
    let set = spot.set_emissivity;
    let inputs = [spot.reading_k, spot.emissivity, reflected];
    evaluate(&inputs, |x| grey_surface_k(x[0], set, x[1], x[2]))
}

fn spot(run: &Evidence, spot: &Spot) -> Vec<Finding> {
    let name = &spot.name;
    let new = |key: &str| Finding::of(key, &[("spot", name)]);
    let finding = new("<spot>_C");
    if spot.reflected_k.or(run.room.temp_k).is_none() {
        let why = "no temperature of what it reflects: add `reflected`, or the room";
        return vec![finding.missing(why)];
    }
    let found = surface_k(run, spot);
    let celsius = found.clone().map(|mut e| {
        e.estimate = e.estimate.shifted(c_from_k(0.0));
        e.interval = (c_from_k(e.interval.0), c_from_k(e.interval.1));
        e
    });
    let mut out = vec![finding.evaluated(celsius, 1.0)];
    if let (Some((limit_k, source)), Some(found)) = (&spot.limit, found) {
        let Estimate { value, standard, .. } = found.estimate;
        let verdict = if value + 2.0 * standard < *limit_k {
            "below"
        } else if value - 2.0 * standard > *limit_k {
            "ABOVE"
        } else {
            "cannot be told from"
        };
        let words = format!(
            "{verdict} the limit of {:.0} °C ({source}); this is no proof of safety",
            c_from_k(*limit_k)
        );
        out.push(new("<spot>_limit").words(words));
    }
    out
}
