//! The figures of merit of a simulated run, each with its definition.

use super::{Column, Group, Run};
use crate::merit::{BAND_K, HOLD_S, LEAST_REMOVED_G, Merit, Trace, steady_from_s};
use crate::model::{Limit, LimitPlace, Model};

/// Film that counts as condensation \[g\]: a tenth of a gram can be seen and felt.
const VISIBLE_FILM_G: f64 = 0.1;
/// A box set to the softening limit of its spool passes it by its overshoot; limits of softening are
/// no sharper than this \[K\]. Our choice.
const SOFTENING_SLACK_K: f64 = 1.0;

/// All figures of merit of `run`, whose final state is `y`.
pub(super) fn of(run: &Run, model: &Model, y: &[f64]) -> Vec<Merit> {
    let mut list = Vec::new();
    heating(run, model, &mut list);
    drying(run, model, &mut list);
    super::spool_merits::of(run, model, &mut list);
    air(run, model, y, &mut list);
    list
}

fn merit(key: &str, label: &str, value: Option<f64>, unit: &str, definition: &str) -> Merit {
    Merit {
        key: key.into(),
        label: label.into(),
        value: value.filter(|v| v.is_finite()),
        unit: unit.into(),
        definition: definition.into(),
    }
}

fn trace<'a>(run: &'a Run, column: &'a Column) -> Trace<'a> {
    Trace { time_s: &run.time_s, value: &column.values }
}

fn group(run: &Run, group: Group) -> impl Iterator<Item = &Column> {
    run.columns.iter().filter(move |c| c.group == group)
}

fn window_from(run: &Run) -> f64 {
    let end = run.time_s.last().copied().unwrap_or(0.0);
    steady_from_s(end)
}

/// Largest peak among columns.
fn highest<'a>(columns: impl Iterator<Item = &'a Column>) -> Option<f64> {
    columns.filter_map(|c| c.peak.map(|p| p.value)).reduce(f64::max)
}

fn zone_columns<'a>(run: &'a Run, model: &Model, suffix: &str) -> Vec<&'a Column> {
    let names = model.zones().iter().map(|z| format!("{}_{suffix}", z.name));
    names.filter_map(|n| run.column(&n)).collect()
}

fn heating(run: &Run, model: &Model, list: &mut Vec<Merit>) {
    let air = zone_columns(run, model, "temperature_C");
    let readings: Vec<&Column> = group(run, Group::SensorTemperature).collect();
    let sensor = model.landmarks.control_sensor.and_then(|i| readings.get(i).copied());
    let from = window_from(run);
    if let (Some(set_k), Some(sensor)) = (model.landmarks.set_point_k, sensor) {
        let set = crate::units::c_from_k(set_k);
        let reading = trace(run, sensor);
        let minutes = |t: Option<f64>| t.map(|s| s / 60.0);
        let peak = sensor.peak.map(|p| p.value - set);
        let hottest = highest(air.iter().copied()).map(|t| t - set);
        let warm = minutes(reading.first_reaching(set - BAND_K));
        let settled = minutes(reading.settled(set, BAND_K, HOLD_S));
        let swing = reading.since(from).range().map(|(low, high)| high - low);
        list.extend([
            merit("warm_up_min", "warm-up", warm, "min",
                "control sensor first within 1 K of the set point"),
            merit("overshoot_sensor_K", "overshoot at the control sensor", peak, "K",
                "highest reading minus set point"),
            merit("overshoot_air_K", "overshoot of the hottest air", hottest, "K",
                "highest air temperature in any zone minus set point"),
            merit("settling_min", "settling", settled, "min",
                "first time from which the control sensor stays within 1 K for 10 min"),
            merit("ripple_K", "ripple at the control sensor", swing, "K",
                "peak to peak of the samples in the steady window (last 30 min, at most half the run)"),
        ]);
    }
    list.push(merit(
        "peak_air_C",
        "hottest air",
        highest(air.iter().copied()),
        "°C",
        "highest air temperature in any zone",
    ));
    let element = run.column("element_temperature_C").and_then(|c| c.peak).map(|p| p.value);
    list.push(merit("peak_element_C", "hottest element", element, "°C", "its highest temperature"));
    if air.len() > 1 {
        let spread: Vec<f64> = (0..run.time_s.len())
            .map(|i| {
                let at = air.iter().map(|c| c.values[i]);
                at.clone().fold(f64::NEG_INFINITY, f64::max) - at.fold(f64::INFINITY, f64::min)
            })
            .collect();
        let mean = Trace { time_s: &run.time_s, value: &spread }.since(from).mean();
        list.push(merit(
            "hot_minus_cold_K",
            "hot side minus cold side",
            mean,
            "K",
            "mean difference of the warmest and the coolest zone in the steady window",
        ));
    }
}

/// Series of what the electric parts have used so far.
const ENERGIES: [&str; 2] = ["heater_energy_Wh", "fan_energy_Wh"];

fn drying(run: &Run, model: &Model, list: &mut Vec<Merit>) {
    let added: f64 = model.landmarks.loads.iter().map(|l| 1e3 * l.added_kg).sum();
    let heater = run.energy.amount("heater").unwrap_or(0.0);
    let electric = heater + run.energy.amount("fan motor").unwrap_or(0.0);
    list.push(merit("energy_Wh", "electric energy", Some(electric), "Wh", "heater and fan motor"));
    if added <= 0.0 {
        return;
    }
    let columns: Vec<&Column> = group(run, Group::WaterLeft).collect();
    let left: Vec<f64> =
        (0..run.time_s.len()).map(|i| columns.iter().map(|c| c.values[i]).sum()).collect();
    let left_trace = Trace { time_s: &run.time_s, value: &left };
    for percent in [50.0, 90.0, 95.0] {
        let t = left_trace.first_falling_to(added * (1.0 - percent / 100.0)).map(|s| s / 60.0);
        list.push(merit(
            &format!("t{percent:.0}_min"),
            &format!("time to remove {percent:.0} % of the added water"),
            t,
            "min",
            "mass of the loads back to that share of the added water above their mass in room air",
        ));
    }
    let in_box = run.column("water_in_box_g").map(|c| trace(run, c));
    let gone_s = in_box.and_then(|t| t.first_falling_to(0.1 * added));
    let gone = gone_s.map(|s| s / 60.0);
    let used: Vec<&Column> = ENERGIES.iter().filter_map(|name| run.column(name)).collect();
    let used = gone_s.and_then(|s| used.iter().map(|c| trace(run, c).at(s)).sum());
    let still = in_box.and_then(|t| t.value.last().copied());
    list.extend([
        merit(
            "box_t90_min",
            "time until 90 % of the water left the box",
            gone,
            "min",
            "water in loads, air and on the walls back to 10 % of the added water above the start",
        ),
        merit(
            "box_t90_energy_Wh",
            "electric energy until the box is 90 % dry",
            used,
            "Wh",
            "heater and fan motor, until 90 % of the added water left the box",
        ),
        merit(
            "water_in_box_g",
            "added water still in the box at the end",
            still,
            "g",
            "in loads, in the air and on the walls, above what was there before any was added",
        ),
    ]);
    let end = left.last().copied().unwrap_or(added);
    let removed = added - end;
    let per_gram = (removed > LEAST_REMOVED_G).then(|| electric / removed);
    list.extend([
        merit(
            "water_left_g",
            "added water left at the end",
            Some(end),
            "g",
            "negative where a load ends drier than it was in room air",
        ),
        merit(
            "removed_g",
            "water removed from the loads",
            Some(removed),
            "g",
            "added water minus what is left; it may still be in the air or on the walls",
        ),
        merit(
            "energy_per_gram_Wh_g",
            "energy per gram removed",
            per_gram,
            "Wh/g",
            "electric energy over water removed from the loads, whole run; the floor is 0.66",
        ),
    ]);
}

fn air(run: &Run, model: &Model, y: &[f64], list: &mut Vec<Merit>) {
    // The room's own humidity at the start says nothing about the box.
    let warm = list
        .iter()
        .find(|m| m.key == "warm_up_min")
        .and_then(|m| m.value)
        .map_or(0.0, |m| 60.0 * m);
    let humidities = zone_columns(run, model, "relative_humidity_pct");
    let peaks = humidities.iter().filter_map(|c| trace(run, c).since(warm).range());
    let peak_rh = peaks.map(|(_, high)| high).reduce(f64::max);
    let peak_density = highest(zone_columns(run, model, "vapour_density_g_m3").into_iter());
    let films: Vec<&Column> = group(run, Group::Film).collect();
    let total: Vec<f64> =
        (0..run.time_s.len()).map(|i| films.iter().map(|c| c.values[i]).sum()).collect();
    let film = Trace { time_s: &run.time_s, value: &total };
    let wet = film.time_above(VISIBLE_FILM_G) / 60.0;
    let most = film.range().map(|(_, high)| high);
    let breathed = 1e3 * y[model.index_of_lag(model.breathed())];
    let volume_l: f64 = model.zones().iter().map(|z| 1e3 * z.volume_m3).sum();
    let from = window_from(run);
    let changes = run.column("room_air_entered_L").and_then(|c| {
        let t = trace(run, c).since(from);
        let (low, high) = t.range()?;
        let hours = (t.time_s.last()? - t.time_s.first()?) / 3600.0;
        (hours > 0.0).then(|| (high - low) / volume_l / hours)
    });
    list.extend([
        merit("peak_rh_pct", "peak relative humidity", peak_rh, "%RH",
            "highest sample in any zone after warm-up (in the whole run without one)"),
        merit("peak_vapour_density_g_m3", "peak vapour density", peak_density, "g/m³",
            "highest in any zone"),
        merit("condensation_min", "time with over 0.1 g of water on the walls", Some(wet), "min",
            "time with more than 0.1 g of water on the walls"),
        merit("peak_film_g", "most water on the walls", most, "g", "sum of all walls"),
        merit("breathed_L", "gas breathed out", Some(breathed), "L",
            "net outflow through all openings at box temperature, while outward: what heating and \
             evaporation push out; not a path of its own"),
        merit("air_changes_per_h", "air changes", changes, "1/h",
            "room air entering through all openings in the steady window, at room state, over the free volume"),
    ]);
}

/// Pressure in the box from which on its openings cannot be its only ways out \[Pa\]: on a lid of 0.1 m² it
/// is the weight of 5 kg. Our choice.
const LIFTS_A_LID_PA: f64 = 500.0;

/// Things a reader of the results should know.
pub(super) fn warnings(run: &Run, model: &Model) -> Vec<String> {
    let limits = model.landmarks.limits.iter();
    let mut list: Vec<String> = limits.filter_map(|l| passed(run, model, l)).collect();
    let value = |key: &str| run.merit(key);
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
    if let Some(left) = value("water_left_g").filter(|g| *g < -0.01) {
        list.push(format!(
            "a load ends {:.2} g lighter than it was in room air: water that its fibre had bound \
             there has left too",
            -left
        ));
    }
    if let Some(still) = value("water_in_box_g").filter(|g| *g > 0.2) {
        let load = value("water_left_g").unwrap_or(0.0).max(0.0);
        if still - load > 0.1 {
            list.push(format!(
                "{:.2} g of water has left the load but not the box: it is in the air or on the walls",
                still - load
            ));
        }
    }
    let pressure = run.column("floor_pressure_Pa").map_or(0.0, |c| {
        let between = c.peak.map_or(0.0, |p| p.value);
        c.values.iter().fold(between, |most: f64, p| most.max(p.abs()))
    });
    if pressure > LIFTS_A_LID_PA {
        list.push(format!(
            "the pressure in the box reaches {pressure:.0} Pa: a real one gives way at its seams before \
             that, so the gas finds another way than these openings; add a [vent.seam]"
        ));
    }
    super::spool_merits::warnings(run, model, &mut list);
    if value("peak_rh_pct").is_some_and(|rh| rh > 100.5) {
        list.push(
            "the air is oversaturated for a while: it would form mist, which is not modelled"
                .into(),
        );
    }
    list
}

/// A warning if the highest temperature at the place of a limit passes it.
fn passed(run: &Run, model: &Model, limit: &Limit) -> Option<String> {
    let loads = &model.landmarks.loads;
    let part_of = |c: &Column, i: usize, part: &str| {
        let own = c.name.strip_prefix(&loads[i].name).and_then(|rest| rest.strip_prefix('_'));
        let half =
            own.and_then(|rest| rest.strip_prefix("half_1_").or(rest.strip_prefix("half_2_")));
        half.or(own).and_then(|rest| rest.strip_suffix("temperature_C")) == Some(part)
    };
    let matches = |c: &&Column| match limit.place {
        LimitPlace::Air => {
            model.zones().iter().any(|z| c.name == format!("{}_temperature_C", z.name))
        }
        LimitPlace::Element => c.name == "element_temperature_C",
        LimitPlace::WallInside => c.name.starts_with("wall_") && c.name.ends_with("_inside_C"),
        LimitPlace::WallOutside => c.name.starts_with("wall_") && c.name.ends_with("_outside_C"),
        LimitPlace::Load => {
            (0..loads.len()).any(|i| ["", "rim_", "core_"].iter().any(|part| part_of(c, i, part)))
        }
        LimitPlace::AirAround(i) => loads[i]
            .moisture
            .iter()
            .flat_map(|m| &m.around)
            .any(|(z, _)| c.name == format!("{}_temperature_C", model.zones()[*z].name)),
        LimitPlace::Rim(i) => part_of(c, i, "rim_"),
        LimitPlace::Core(i) => part_of(c, i, "core_"),
    };
    let columns = run.columns.iter().filter(matches);
    let hottest = columns.filter_map(|c| c.peak.map(|p| (c, p)));
    let (column, peak) = hottest.max_by(|a, b| a.1.value.total_cmp(&b.1.value))?;
    let limit_c = crate::units::c_from_k(limit.limit_k);
    let slack = match limit.place {
        LimitPlace::AirAround(_) | LimitPlace::Rim(_) | LimitPlace::Core(_) => SOFTENING_SLACK_K,
        _ => 0.0,
    };
    (peak.value > limit_c + slack).then(|| {
        let trace = Trace { time_s: &run.time_s, value: &column.values };
        let passed = trace.first_reaching(limit_c).unwrap_or(peak.time_s).min(peak.time_s);
        format!(
            "{} passes {limit_c:.0} °C after {:.0} min and reaches {:.0} °C: {}",
            column.label,
            passed / 60.0,
            peak.value,
            limit.reason
        )
    })
}
