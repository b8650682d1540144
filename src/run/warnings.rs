//! What a reader of the results should know.

use super::Ended;
use super::metrics::{MetricTable, Seen, Watched};
use super::probe::Probe;
use crate::metric::Metric;
use crate::model::LimitPlace;
use crate::units::c_from_k;

/// A box set to the softening limit of its spool passes it by its overshoot; limits of softening are
/// no sharper than this \[K\]. Our choice.
const SOFTENING_SLACK_K: f64 = 1.0;
/// Fog that is told \[g\]: in 10 L one gram per cubic metre, thick fog. Our choice.
const SEEN_FOG_G: f64 = 0.01;
/// Pressure in the box from which on its openings cannot be its only ways out \[Pa\]: on a lid of 0.1 m² it
/// is the weight of 5 kg. Our choice.
const LIFTS_A_LID_PA: f64 = 500.0;

/// All warnings of a run; `label` gives what a recorded number is called.
pub(super) fn of(
    seen: &Seen<'_>,
    table: &MetricTable,
    metrics: &[Metric],
    ended: Option<&Ended>,
    label: impl Fn(&Probe) -> String,
) -> Vec<String> {
    let mut list: Vec<String> = ended.map(ToString::to_string).into_iter().collect();
    list.extend(table.limits.iter().filter_map(|limit| passed(seen, limit, &label)));
    let value = |key: &str| metrics.iter().find(|m| m.key == key).and_then(|m| m.value);
    if value("peak_air_C").is_some_and(|t| t > 100.0) {
        list.push(
            "the air exceeds 100 °C, where the properties of moist air are extrapolated".into(),
        );
    }
    if let Some(wet) = value("condensation_min").filter(|m| *m > 0.0) {
        list.push(format!(
            "water stood on the walls for {wet:.0} min: a load can look dry while its water is on \
             the lid"
        ));
    }
    if let Some(left) = value("water_remaining_g").filter(|g| *g < -0.01) {
        list.push(format!(
            "a load ends {:.2} g lighter than it was in room air: water that its fibre had bound \
             there has left too",
            -left
        ));
    }
    if let Some(still) = value("water_in_box_g").filter(|g| *g > 0.2) {
        let load = value("water_remaining_g").unwrap_or(0.0).max(0.0);
        if still - load > 0.1 {
            list.push(format!(
                "{:.2} g of water has left the load but not the box: it is in the air or on the walls",
                still - load
            ));
        }
    }
    let ends = table.pressure.map(|id| seen.watch.get(id).extreme());
    let pressure = ends.into_iter().flatten().fold(0.0, |most: f64, p| most.max(p.value.abs()));
    let told = seen.model.openings().iter().any(|o| o.holds_pa > 0.0 && pressure >= o.holds_pa);
    if pressure > LIFTS_A_LID_PA && !told {
        list.push(format!(
            "the pressure in the box reaches {pressure:.0} Pa: a real one gives way at its seams before \
             that, so the gas finds another way than these openings; add a [vent.seam]"
        ));
    }
    targets(seen, value, &mut list);
    if let Some(fog) = value("peak_fog_g").filter(|g| *g > SEEN_FOG_G) {
        list.push(format!(
            "up to {fog:.2} g of water was in the air as fog, which a humidity sensor does not count"
        ));
    }
    list.extend(ways(seen));
    if let Some(s) = seen.watch.get(table.frozen).value() {
        list.push(format!(
            "water is below 0 °C after {:.0} min: it stays liquid in this model, where a real box has ice \
             that melts late and gives off less vapour",
            s / 60.0
        ));
    }
    list
}

/// What a reader should know of the ways out.
fn ways(seen: &Seen<'_>) -> Vec<String> {
    let (model, mut list) = (seen.model, Vec::new());
    if model.pinhole().is_some() {
        list.push(
            "the box has no opening: it breathes through a pinhole that keeps the room's pressure and lets \
             no vapour diffuse"
                .into(),
        );
    }
    for lid in model.openings().iter().filter(|o| o.holds_pa > 0.0) {
        let out_g: f64 = lid.out.waters().map(|w| 1e3 * seen.y[model.index_of_water(w)]).sum();
        let dry_kg =
            seen.y[model.index_of_dry(lid.out.dry)] - seen.y[model.index_of_dry(lid.back.dry)];
        if dry_kg > 0.0 {
            list.push(format!(
                "the lid gave way at {:.1} kPa (enclosure.relief_pressure) and let {out_g:.2} g of water out",
                1e-3 * lid.holds_pa
            ));
        }
    }
    list
}

/// Targets that this air cannot reach.
fn targets(seen: &Seen<'_>, value: impl Fn(&str) -> Option<f64>, list: &mut Vec<String>) {
    for load in &seen.model.landmarks.loads {
        let Some(m) = &load.moisture else { continue };
        let value = |key: &str| value(&format!("{}_{key}", load.name));
        let floor = value("floor_wt_pct").filter(|f| *f > 100.0 * m.target);
        if let (Some(floor), None) = (floor, value("target_h")) {
            list.push(format!(
                "{} cannot become drier than {floor:.3} wt% in the air that the box ends with; its target \
                 is {:.3} wt%: drier air or a hotter box is needed",
                load.name,
                100.0 * m.target
            ));
        }
    }
}

/// A warning if the highest temperature at the place of a limit passes it.
fn passed(seen: &Seen<'_>, watched: &Watched, label: &impl Fn(&Probe) -> String) -> Option<String> {
    let Watched { limit, places } = watched;
    let peaks = places.iter().filter_map(|p| Some((p, seen.watch.get(p.1).extreme()?)));
    let ((probe, _, crossing), peak) = peaks.max_by(|a, b| a.1.value.total_cmp(&b.1.value))?;
    let limit_c = c_from_k(limit.limit_k);
    let slack = match limit.place {
        LimitPlace::AirAround(_) | LimitPlace::Rim(_) | LimitPlace::Core(_) => SOFTENING_SLACK_K,
        _ => 0.0,
    };
    (peak.value > limit_c + slack).then(|| {
        let passed_s = seen.watch.get(*crossing).value().unwrap_or(peak.time_s);
        format!(
            "{} passes {limit_c:.0} °C after {:.0} min and reaches {:.0} °C: {}",
            label(probe),
            passed_s / 60.0,
            peak.value,
            limit.reason
        )
    })
}
