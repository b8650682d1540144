//! Moist air of box and room, and what venting can reach.

use super::evidence::{Evidence, Probe, Room};
use super::finding::Finding;
use super::steady::window;
use crate::physics::constants::{R_AIR, STANDARD_PRESSURE};
use crate::physics::moist_air::{
    humidity_ratio, saturation_in_air_pa, sensed_vapour_density_kg_m3 as density,
};
use crate::physics::psychrometrics::dew_point_k;
use crate::uncertainty::{Estimate, evaluate_together, mean_of_series};
use crate::units::c_from_k;

/// Mean temperature and relative humidity of a probe between two times, with the uncertainty of
/// its accuracy and of the mean.
pub(super) fn mean_state(probe: &Probe, from_s: f64, to_s: f64) -> Option<(Estimate, Estimate)> {
    let inside = |i: &usize| (from_s..=to_s).contains(&probe.time_s[*i]);
    let good = |i: &usize| probe.relative_humidity.get(*i).is_some_and(|v| v.is_finite());
    let rows: Vec<usize> = (0..probe.time_s.len()).filter(inside).filter(good).collect();
    let column = |values: &[f64], sd: f64| {
        let values: Vec<f64> = rows.iter().map(|i| values[*i]).collect();
        let mean = mean_of_series(&values).or_else(|| values.first().map(|v| Estimate::exact(*v)));
        mean.map(|e| e.widened(sd))
    };
    Some((column(&probe.temp_k, probe.temp_sd_k)?, column(&probe.relative_humidity, probe.rh_sd)?))
}

pub(super) fn findings(run: &Evidence) -> Vec<Finding> {
    let mut out = Vec::new();
    let (from, to) = window(run);
    for probe in run.humid_probes() {
        let Some((temp, rh)) = mean_state(probe, from, to) else { continue };
        out.extend(state(&probe.name, temp, rh, run.pressure_pa));
    }
    out.extend(room(run));
    out
}

/// The measures of one moist air.
fn state(name: &str, temp: Estimate, rh: Estimate, pressure: Option<Estimate>) -> Vec<Finding> {
    let new = |key: &str| Finding::of(key, &[("sensor", name)]);
    let inputs = [temp, rh];
    let total_pa = pressure.map_or(STANDARD_PRESSURE, |p| p.value);
    let pa = |x: &[f64]| x[1] * saturation_in_air_pa(x[0], total_pa);
    let dew_c = |x: &[f64]| dew_point_k(pa(x), total_pa).map_or(f64::NAN, c_from_k);
    let mut out = vec![
        new("<sensor>_temperature_C").estimate(temp.shifted(c_from_k(0.0))),
        new("<sensor>_relative_humidity_pct").estimate(rh.scaled(100.0)),
        new("<sensor>_vapour_density_g_m3")
            .evaluated(evaluate_together(&inputs, |x| density(x[0], x[1])), 1e3),
        new("<sensor>_dew_point_C").evaluated(evaluate_together(&inputs, dew_c), 1.0),
    ];
    if let Some(p) = pressure {
        let ratio = evaluate_together(&[temp, rh, p], |x| humidity_ratio(pa(x), x[2]));
        out.push(new("<sensor>_humidity_ratio_g_kg").evaluated(ratio, 1e3));
    }
    out
}

/// What the room allows: the floor that venting tends to, and the air needed to carry the water.
fn room(run: &Evidence) -> Vec<Finding> {
    let Room { temp_k: Some(temp), relative_humidity: Some(rh), source } = &run.room else {
        let why = "no room: log it, or add room.temperature and room.relative_humidity";
        return vec![Finding::new("room").missing(why)];
    };
    let mut out = vec![
        Finding::of("room_vapour_density_g_m3", &[("source", source)])
            .evaluated(evaluate_together(&[*temp, *rh], |x| density(x[0], x[1])), 1e3),
    ];
    let warm = run.set_point_k.map(Estimate::exact).or_else(|| {
        let (from, to) = window(run);
        run.control_probe().and_then(|p| mean_state(p, from, to)).map(|s| s.0)
    });
    let Some(warm) = warm else { return out };
    let pressure = run.pressure_pa.map_or(STANDARD_PRESSURE, |p| p.value);
    let full = |temp_k: f64| saturation_in_air_pa(temp_k, pressure);
    let floor = evaluate_together(&[*temp, *rh, warm], |x| x[1] * full(x[0]) / full(x[2]));
    out.push(Finding::new("floor_rh_pct").evaluated(floor, 100.0));
    if let (Some(start), Some(dry)) = (run.weighed.start_kg, run.weighed.dry_kg) {
        // Room air that leaves saturated at box temperature: nothing can carry more.
        let litres = evaluate_together(&[*temp, *rh, warm, start, dry], |x| {
            let (room_pa, full_pa) = (x[1] * full(x[0]), full(x[2]));
            let gain = humidity_ratio(full_pa, pressure) - humidity_ratio(room_pa, pressure);
            let dry_air = (x[3] - x[4]) / gain;
            dry_air * R_AIR * x[0] / (pressure - room_pa)
        });
        out.push(Finding::new("purge_L").evaluated(litres, 1e3));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::finding::Value;
    use super::*;
    use crate::units::k_from_c;

    /// Fact of the trade, hand computation with Buck's formula: 50 ± 0.5 °C and 30 ± 2 %RH hold
    /// 24.8 g/m³ (limits taken as U: ± 1.65 by the humidity, ± 0.6 by the temperature, added), and 0.5 % more with the
    /// saturation of real air.
    #[test]
    fn a_cheap_sensor_knows_the_vapour_to_nine_percent() {
        let temp = Estimate::new(k_from_c(50.0), 0.25);
        let found = state("box", temp, Estimate::new(0.30, 0.01), None);
        let density = found.iter().find(|f| f.key == "box_vapour_density_g_m3").unwrap();
        let Value::Estimate(e) = density.value else { panic!("{density:?}") };
        assert!((e.value - 24.9).abs() < 0.1, "{e}");
        assert!((e.expanded() - 2.25).abs() < 0.1, "{e}");
    }

    /// Hand computation: room air of 22 °C and 45 %RH has 9.6 %RH at 50 °C; 2 g need 21 L at least.
    #[test]
    fn floor_and_purge() {
        let run = Evidence {
            set_point_k: Some(k_from_c(50.0)),
            room: Room {
                temp_k: Some(Estimate::exact(k_from_c(22.0))),
                relative_humidity: Some(Estimate::exact(0.45)),
                source: "notes".into(),
            },
            weighed: super::super::evidence::Weighed {
                start_kg: Some(Estimate::exact(5e-3)),
                dry_kg: Some(Estimate::exact(3e-3)),
                ..Default::default()
            },
            ..Evidence::default()
        };
        let found = room(&run);
        let of = |key: &str| found.iter().find(|f| f.key == key).and_then(Finding::middle).unwrap();
        assert!((of("floor_rh_pct") - 9.6).abs() < 0.05, "{}", of("floor_rh_pct"));
        assert!((of("purge_L") - 21.0).abs() < 1.0, "{}", of("purge_L"));
    }
}
