//! A simulated run as evidence: what sensors would have shown, beside what is true.

use super::evidence::{Evidence, LidOpening, Probe, Room, SensorPlace, Weighed};
use crate::address::{Change, Place, Quantity};
use crate::run::{Column, Run};
use crate::uncertainty::Estimate;
use crate::units::k_from_c;

/// The run as evidence. Its values are exact within the model, so their uncertainty is 0.
#[must_use]
pub fn evidence(run: &Run) -> Evidence {
    let set_point = run.at(Place::Controller, Quantity::SetPoint);
    let last = |c: &Column| c.values.last().copied().filter(|v| v.is_finite());
    Evidence {
        title: run.title.clone(),
        simulated: true,
        probes: probes(run),
        set_point_k: set_point.and_then(last).map(k_from_c),
        room: room(run),
        weighed: weighed(run),
        lids: lids(run),
        energy: energy(run),
        volume_m3: volume(run),
        quoted: run.metrics.clone(),
        ended: run.ended.as_ref().map(ToString::to_string),
        ..Evidence::default()
    }
}

/// Zones first, then sensors, then the room.
fn probes(run: &Run) -> Vec<Probe> {
    let zones: Vec<&Column> = run.in_zones(Quantity::Temperature).collect();
    let place = |i: usize| match i {
        0 if zones.len() > 1 => SensorPlace::Supply,
        i if i > 0 && i + 1 == zones.len() => SensorPlace::Return,
        _ => SensorPlace::Box,
    };
    let mut out = Vec::new();
    for (i, zone) in zones.iter().enumerate() {
        let name = run.names.zones.get(i).map_or("", String::as_str);
        out.push(probe(run, zone, format!("{name} air"), place(i), true));
    }
    for sensor in run.of_sensors(Quantity::Temperature) {
        out.push(probe(run, sensor, sensor.label.clone(), SensorPlace::Box, false));
    }
    let room = run.at(Place::Room, Quantity::Temperature);
    out.extend(room.map(|c| probe(run, c, c.label.clone(), SensorPlace::Room, true)));
    out
}

fn probe(run: &Run, temperature: &Column, name: String, place: SensorPlace, exact: bool) -> Probe {
    let humidity = run.at(temperature.address.place, Quantity::RelativeHumidity);
    Probe {
        name,
        place,
        controls: false,
        exact,
        time_s: run.time_s.clone(),
        temp_k: temperature.values.iter().map(|v| k_from_c(*v)).collect(),
        relative_humidity: humidity
            .map_or(Vec::new(), |c| c.values.iter().map(|v| v / 100.0).collect()),
        temp_sd_k: 0.0,
        rh_sd: 0.0,
        time_constant_s: None,
    }
}

fn room(run: &Run) -> Room {
    let first = |quantity| run.at(Place::Room, quantity).and_then(|c| c.values.first().copied());
    Room {
        temp_k: first(Quantity::Temperature).map(|t| Estimate::exact(k_from_c(t))),
        relative_humidity: first(Quantity::RelativeHumidity).map(|r| Estimate::exact(r / 100.0)),
        source: "the scenario".into(),
    }
}

/// All loads together, above their mass in room air.
fn weighed(run: &Run) -> Weighed {
    let columns: Vec<&Column> = run.of_loads(Quantity::WaterRemaining).collect();
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
        if h.change == Change::LidOpened {
            out.push(LidOpening::noted(h.time_s, h.time_s, None));
        } else if let (true, Some(last)) = (h.change == Change::LidClosed, out.last_mut()) {
            last.to_s = h.time_s;
        }
    }
    out
}

/// What the run itself says.
fn energy(run: &Run) -> Vec<(f64, Estimate)> {
    let used = run.metric("energy_Wh").map(|wh| Estimate::exact(3600.0 * wh));
    let ends = used.zip(run.time_s.last());
    ends.map_or(Vec::new(), |(used, end_s)| vec![(0.0, Estimate::exact(0.0)), (*end_s, used)])
}

/// Gas in the box \[m3\], from all vapour in it and its density where that is highest: the fan mixes zones
/// far better than openings exchange their air.
fn volume(run: &Run) -> Option<Estimate> {
    let vapour_g = &run.at(Place::AllZones, Quantity::Water)?.values;
    let zones: Vec<&Column> = run.in_zones(Quantity::VapourDensity).collect();
    let at = (0..vapour_g.len()).max_by(|a, b| vapour_g[*a].total_cmp(&vapour_g[*b]))?;
    let density = zones.iter().map(|c| c.values[at]).sum::<f64>() / zones.len() as f64;
    let volume_m3 = vapour_g[at] / density;
    (volume_m3.is_finite() && volume_m3 > 0.0).then(|| Estimate::exact(volume_m3))
}
