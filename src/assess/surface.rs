//! Infrared readings of outside surfaces, corrected, against a limit that the user enters.

use super::evidence::{Evidence, Spot};
use super::finding::Finding;
use crate::uncertainty::{Estimate, Evaluated, evaluate};
use crate::units::c_from_k;

pub(super) fn findings(run: &Evidence) -> Vec<Finding> {
    run.spots.iter().flat_map(|s| spot(run, s)).collect()
}

/// True temperature from what a thermometer set to `e_set` shows of a grey surface:
///
/// ```text
/// e_set T_read⁴ + (1 - e_set) T_refl⁴ = e T⁴ + (1 - e) T_refl⁴
/// ```
///
/// The whole spectrum stands for the thermometer's band (8 to 14 µm): below 100 °C that changes the
/// correction by less than its uncertainty. Source: Stefan-Boltzmann law for grey surfaces
/// \[Incropera2007\].
fn true_k(reading_k: f64, set: f64, emissivity: f64, reflected_k: f64) -> f64 {
    let seen = set * reading_k.powi(4) + (1.0 - set) * reflected_k.powi(4);
    ((seen - (1.0 - emissivity) * reflected_k.powi(4)) / emissivity).powf(0.25)
}

/// The true temperature of a spot \[K\]; `None` without a temperature of what it reflects.
#[must_use]
pub fn surface_k(run: &Evidence, spot: &Spot) -> Option<Evaluated> {
    let reflected = spot.reflected_k.or(run.room.temp_k)?;
    let set = spot.set_emissivity;
    let inputs = [spot.reading_k, spot.emissivity, reflected];
    evaluate(&inputs, |x| true_k(x[0], set, x[1], x[2]))
}

fn spot(run: &Evidence, spot: &Spot) -> Vec<Finding> {
    let name = &spot.name;
    let new = |key: &str| Finding::of(key, &[("spot", name)]);
    let finding = new("<spot>_C");
    if spot.reflected_k.or(run.room.temp_k).is_none() {
        return vec![
            finding.missing("no temperature of what it reflects: add `reflected`, or the room"),
        ];
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::k_from_c;

    #[test]
    fn a_black_surface_needs_no_correction_and_a_shiny_one_much() {
        let (room, read) = (k_from_c(22.0), k_from_c(40.0));
        assert!((true_k(read, 0.95, 0.95, room) - read).abs() < 1e-9);
        // Hand computation: 0.95 (313.15⁴ - 295.15⁴) = 0.3 (T⁴ - 295.15⁴), T = 344.0 K
        let shiny = true_k(read, 0.95, 0.30, room);
        let want = ((0.95 / 0.30) * (read.powi(4) - room.powi(4)) + room.powi(4)).powf(0.25);
        assert!((shiny - want).abs() < 1e-9 && (shiny - 344.0).abs() < 0.1, "{shiny}");
    }
}
