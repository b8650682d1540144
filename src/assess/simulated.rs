//! A simulated run as evidence: what sensors would have shown, beside what is true.

use super::evidence::{Evidence, LidOpening, Probe, Room, SensorPlace, Weighed};
use crate::run::{Column, Group, Run};
use crate::uncertainty::Estimate;
use crate::units::k_from_c;

/// The run as evidence. Its values are exact within the model, so their uncertainty is 0.
#[must_use]
pub fn evidence(run: &Run) -> Evidence {
    let set_point = run.columns.iter().find(|c| c.group == Group::SetPoint);
    let last = |c: &Column| c.values.last().copied().filter(|v| v.is_finite());
    Evidence {
        title: run.title.clone(),
        simulated: true,
        probes: probes(run),
        set_point_k: set_point.and_then(last).map(k_from_c),
        heater: switchings(run),
        room: room(run),
        weighed: weighed(run),
        lids: lids(run),
        energy: energy(run),
        volume_m3: volume(run),
        model_water: model_water(run),
        quoted: run.metrics.clone(),
        ended: run.ended.as_ref().map(ToString::to_string),
        ..Evidence::default()
    }
}

fn kelvins(column: &Column) -> Vec<f64> {
    column.values.iter().map(|v| k_from_c(*v)).collect()
}

/// Zones first, then sensors, then the room.
fn probes(run: &Run) -> Vec<Probe> {
    let zones: Vec<&str> = run
        .columns
        .iter()
        .filter(|c| c.group == Group::DewPoint)
        .filter_map(|c| c.name.strip_suffix("_dew_point_C"))
        .collect();
    let place = |i: usize| match i {
        0 if zones.len() > 1 => SensorPlace::Supply,
        i if i > 0 && i + 1 == zones.len() => SensorPlace::Return,
        _ => SensorPlace::Box,
    };
    let sensors = run.columns.iter().filter(|c| c.group == Group::SensorTemperature);
    let sensors = sensors.filter_map(|c| c.name.strip_suffix("_temperature_C"));
    let mut out = Vec::new();
    for (i, zone) in zones.iter().enumerate() {
        out.extend(probe(run, zone, &format!("{zone} air"), place(i), true));
    }
    for sensor in sensors {
        let name = sensor.strip_prefix("sensor_").unwrap_or(sensor);
        out.extend(probe(run, sensor, &format!("sensor {name}"), SensorPlace::Box, false));
    }
    out.extend(probe(run, "room", "room", SensorPlace::Room, true));
    out
}

fn probe(run: &Run, prefix: &str, name: &str, place: SensorPlace, exact: bool) -> Option<Probe> {
    let temperature = run.column(&format!("{prefix}_temperature_C"))?;
    let humidity = run.column(&format!("{prefix}_relative_humidity_pct"));
    Some(Probe {
        name: name.into(),
        place,
        controls: false,
        exact,
        time_s: run.time_s.clone(),
        temp_k: kelvins(temperature),
        relative_humidity: humidity
            .map(|c| c.values.iter().map(|v| v / 100.0).collect())
            .unwrap_or_default(),
        temp_sd_k: 0.0,
        rh_sd: 0.0,
        time_constant_s: None,
    })
}

fn switchings(run: &Run) -> Vec<(f64, f64)> {
    let state = |what: &str| match what {
        "heater on" => Some(1.0),
        "heater off" => Some(0.0),
        _ => None,
    };
    run.events.iter().filter_map(|h| Some((h.time_s, state(&h.what)?))).collect()
}

fn room(run: &Run) -> Room {
    let first = |name: &str| run.column(name).and_then(|c| c.values.first().copied());
    Room {
        temp_k: first("room_temperature_C").map(|t| Estimate::exact(k_from_c(t))),
        relative_humidity: first("room_relative_humidity_pct").map(|r| Estimate::exact(r / 100.0)),
        source: "the scenario".into(),
    }
}

/// All loads together, above their mass in room air.
fn weighed(run: &Run) -> Weighed {
    let columns: Vec<&Column> =
        run.columns.iter().filter(|c| c.group == Group::WaterRemaining).collect();
    if columns.is_empty() {
        return Weighed::default();
    }
    let left = |i: usize| columns.iter().map(|c| 1e-3 * c.values[i]).sum::<f64>();
    let masses = (0..run.time_s.len()).map(|i| (run.time_s[i], Estimate::exact(left(i))));
    let all: Vec<_> = masses.collect();
    Weighed {
        dry_kg: Some(Estimate::exact(0.0)),
        start_kg: all.first().map(|(_, m)| *m),
        weighings: all.into_iter().skip(1).collect(),
        continuous: true,
    }
}

fn lids(run: &Run) -> Vec<LidOpening> {
    let mut out: Vec<LidOpening> = Vec::new();
    for h in &run.events {
        if h.what.ends_with(": lid opened") {
            let lid = LidOpening {
                from_s: h.time_s,
                to_s: h.time_s,
                exchange: None,
                noted: true,
                seen: false,
            };
            out.push(lid);
        } else if let (true, Some(last)) = (h.what.ends_with("lid closed"), out.last_mut()) {
            last.to_s = h.time_s;
        }
    }
    out
}

fn energy(run: &Run) -> Vec<(f64, Estimate)> {
    let columns: Vec<&Column> = run.columns.iter().filter(|c| c.group == Group::Energy).collect();
    let total = |i: usize| columns.iter().map(|c| 3600.0 * c.values[i]).sum::<f64>();
    let ends = [0, run.time_s.len().saturating_sub(1)];
    let known = !columns.is_empty() && run.time_s.len() > 1;
    let read = |i: usize| (run.time_s[i], Estimate::exact(total(i)));
    if known { ends.map(read).to_vec() } else { Vec::new() }
}

/// The model's own account: each way out, less what came in that way, and what is still there.
fn model_water(run: &Run) -> Vec<(String, f64)> {
    let last = |c: &Column| c.values.last().copied().unwrap_or(f64::NAN);
    let first = |c: &Column| c.values.first().copied().unwrap_or(f64::NAN);
    let paths = run.columns.iter().filter(|c| c.group == Group::WaterPath);
    let changes =
        paths.filter(|c| !c.name.starts_with("water_path_in_") || c.name.ends_with("air_g"));
    changes.map(|c| (c.label.clone(), 1e-3 * (last(c) - first(c)))).collect()
}

/// Gas in the box \[m3\], from all vapour in it and its density where that is highest: the fan mixes zones
/// far better than openings exchange their air.
fn volume(run: &Run) -> Option<Estimate> {
    let vapour_g = &run.column("water_path_in_air_g")?.values;
    let zones: Vec<&Column> =
        run.columns.iter().filter(|c| c.group == Group::VapourDensity).collect();
    let at = (0..vapour_g.len()).max_by(|a, b| vapour_g[*a].total_cmp(&vapour_g[*b]))?;
    let density = zones.iter().map(|c| c.values[at]).sum::<f64>() / zones.len() as f64;
    let volume_m3 = vapour_g[at] / density;
    (volume_m3.is_finite() && volume_m3 > 0.0).then(|| Estimate::exact(volume_m3))
}
