//! Relative humidity beside vapour density: a falling %RH alone is no drying.

use super::{figure as framed, line, time_unit};
use crate::assess::{Evidence, Probe};
use crate::physics::moist_air::sensed_vapour_density_kg_m3;
use crate::report::figure::{Figure, Panel, Series};

pub(super) fn figure(run: &Evidence) -> Option<Figure> {
    let (_, per_s) = time_unit(run);
    let damp: Vec<&Probe> = run.probes.iter().filter(|p| !p.relative_humidity.is_empty()).collect();
    let series = |value: fn(&Probe, usize) -> f64| -> Vec<Series> {
        damp.iter().map(|p| line(run, p, per_s, |i| value(p, i))).collect()
    };
    let panels = vec![
        Panel::from_zero("Relative humidity", "%", series(|p, i| 100.0 * p.relative_humidity[i])),
        Panel::from_zero("Vapour density", "g/m³", series(density_g_m3)),
    ];
    framed(run, "Humidity", clauses(&damp), panels)
}

fn density_g_m3(probe: &Probe, i: usize) -> f64 {
    1e3 * sensed_vapour_density_kg_m3(probe.temp_k[i], probe.relative_humidity[i])
}

/// What heating alone did: where relative humidity fell while the vapour density rose.
fn clauses(damp: &[&Probe]) -> Vec<String> {
    let Some(probe) = damp.iter().find(|p| p.in_box()) else { return Vec::new() };
    let good = |i: &usize| probe.relative_humidity[*i].is_finite();
    let rows: Vec<usize> = (0..probe.time_s.len()).filter(good).collect();
    let (Some(&first), Some(&last)) = (rows.first(), rows.last()) else { return Vec::new() };
    let words = |i: usize| {
        let rh = 100.0 * probe.relative_humidity[i];
        format!("{rh:.0} %RH with {:.1} g/m³", density_g_m3(probe, i))
    };
    let least = rows
        .iter()
        .copied()
        .min_by(|a, b| probe.relative_humidity[*a].total_cmp(&probe.relative_humidity[*b]));
    let mut out =
        vec![format!("{} starts at {} and ends at {}", probe.name, words(first), words(last))];
    // Only where the air then held as much water as at the start: heat alone made it "dry".
    let heated = |i: &usize| *i != first && density_g_m3(probe, *i) >= density_g_m3(probe, first);
    let least = least.filter(heated);
    out.extend(least.map(|i| format!("its driest reading, {}, is a matter of heat", words(i))));
    out
}
