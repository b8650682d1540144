//! Records samples on the output grid from the solver's dense output.

use super::ledger;
use super::moisture::DryingResistance;
use super::probe::{self, Group, Piece, Probe};
use super::watch::Watch;
use super::{Column, Effort, Ended, Event, Run, SCHEMA_VERSION, metrics, warnings};
use crate::model::events::Action;
use crate::model::{Model, Plant};
use crate::scenario::Scenario;
use crate::solver::Segment;

/// When rows are due.
enum Due {
    /// At the start, in equal steps \[s\], and at the end \[s\].
    Every(f64, f64),
    /// At these times \[s\].
    At(Vec<f64>),
}

pub(super) struct Recorder {
    due: Due,
    time_s: Vec<f64>,
    columns: Vec<(Probe, Column)>,
    y: Vec<f64>,
}

impl Recorder {
    pub(super) fn new(scenario: &Scenario, model: &Model) -> Self {
        let rows = (scenario.run.duration_s / scenario.run.output_every_s) as usize + 2;
        let columns = probes(scenario, model).into_iter().map(|(probe, name, label)| {
            let (group, unit) = probe.group();
            let column = Column {
                name,
                label,
                unit: unit.into(),
                group,
                values: Vec::with_capacity(rows),
                peak: None,
            };
            (probe, column)
        });
        Recorder {
            due: Due::Every(scenario.run.output_every_s, scenario.run.duration_s),
            time_s: Vec::with_capacity(rows),
            columns: columns.collect(),
            y: vec![0.0; model.entries().len()],
        }
    }

    /// Records these columns only, at these times, which rise.
    pub(super) fn at(
        scenario: &Scenario,
        model: &Model,
        times_s: &[f64],
        names: &[String],
    ) -> Self {
        let mut recorder = Recorder::new(scenario, model);
        recorder.due = Due::At(times_s.to_vec());
        recorder.columns.retain(|(_, c)| names.contains(&c.name));
        recorder
    }

    /// Writes the row of the start, if it is due.
    pub(super) fn start(&mut self, plant: &mut Plant<'_>, y: &[f64]) {
        if self.next() == Some(0.0) {
            self.sample(plant, 0.0, y);
        }
    }

    /// When the next row is due.
    fn next(&self) -> Option<f64> {
        let rows = self.time_s.len();
        match &self.due {
            Due::At(times) => times.get(rows).copied(),
            Due::Every(_, end) if self.time_s.last().is_some_and(|last| last >= end) => None,
            Due::Every(step, end) => Some((rows as f64 * step).min(*end)),
        }
    }

    /// Writes one row.
    fn sample(&mut self, plant: &mut Plant<'_>, t: f64, y: &[f64]) {
        let model = plant.model();
        let instant = plant.instant(y);
        self.time_s.push(t);
        for (probe, column) in &mut self.columns {
            column.values.push(probe.value(model, &instant, y));
        }
    }

    /// Writes the rows that are due in one accepted step up to `until`.
    pub(super) fn follow(&mut self, plant: &mut Plant<'_>, segment: &Segment<'_>, until: f64) {
        let mut y = std::mem::take(&mut self.y);
        while let Some(next) = self.next().filter(|t| *t <= until) {
            segment.eval(next, &mut y);
            self.sample(plant, next, &y);
        }
        self.y = y;
    }

    /// Writes a last row where a run ends before its time.
    pub(super) fn end(&mut self, plant: &mut Plant<'_>, t: f64, y: &[f64]) {
        if self.time_s.last().is_none_or(|last| *last < t) {
            self.sample(plant, t, y);
        }
    }

    /// What is recorded.
    pub(super) fn probes(&self) -> impl Iterator<Item = Probe> + '_ {
        self.columns.iter().map(|(probe, _)| *probe)
    }

    /// The columns recorded.
    pub(super) fn columns(self) -> impl Iterator<Item = Column> {
        self.columns.into_iter().map(|(_, c)| c)
    }

    /// The whole run, whose final state is `y`.
    pub(super) fn finish(
        mut self,
        scenario: &Scenario,
        plant: &mut Plant<'_>,
        y: &[f64],
        (mut effort, ended): (Effort, Option<Ended>),
        watch: &Watch,
        table: &metrics::MetricTable,
    ) -> Run {
        let model = plant.model();
        let end_s = ended.as_ref().map_or(scenario.run.duration_s, |e| e.time_s);
        let switchings: Vec<f64> = plant
            .events()
            .iter()
            .filter(|(t, what)| *t > 0.0 && what.starts_with("heater "))
            .map(|(t, _)| *t)
            .collect();
        effort.switchings = switchings.len();
        let events = events(model, plant, end_s);
        let (water, energy) = (ledger::water(model, y), ledger::energy(model, y));
        let at = plant.instant(y);
        let seen = metrics::Seen {
            watch,
            model,
            at: &at,
            y,
            end_s,
            ended: ended.is_some(),
            switchings: &switchings,
        };
        let metrics = table.tell(&seen);
        let notes = warnings::of(&seen, table, &metrics, ended.as_ref(), |probe| {
            let found = self.columns.iter().find(|(p, _)| p == probe);
            found.map_or("", |(_, c)| c.label.as_str())
        });
        for (probe, column) in &mut self.columns {
            column.peak = table.peak(watch, probe);
        }
        Run {
            schema_version: SCHEMA_VERSION,
            program_version: env!("CARGO_PKG_VERSION").into(),
            title: scenario.title.clone(),
            time_s: self.time_s,
            columns: self.columns.into_iter().map(|(_, c)| c).collect(),
            metrics,
            water,
            energy,
            events,
            effort,
            warnings: notes,
            ended,
        }
    }
}

fn events(model: &Model, plant: &Plant<'_>, end_s: f64) -> Vec<Event> {
    // A schedule may step every second; only its switchings are told.
    let told = model.events().iter().filter(|e| !matches!(e.action, Action::Heater(_)));
    let events = told.map(|e| (e.at_s, format!("{}: {}", e.name, e.action.words())));
    let decided = plant.events().iter().map(|(t, what)| (*t, (*what).to_owned()));
    let mut all: Vec<Event> =
        events.chain(decided).map(|(time_s, what)| Event { time_s, what }).collect();
    all.retain(|h| h.time_s <= end_s);
    all.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    all
}

/// All probes with header and label.
fn probes(scenario: &Scenario, model: &Model) -> Vec<(Probe, String, String)> {
    let mut list = Vec::new();
    let mut add = |probe, name: String, label: String| list.push((probe, name, label));
    let several = model.zones().len() > 1;
    for (z, zone) in model.zones().iter().enumerate() {
        let n = &zone.name;
        let air = if several { format!("{n} air") } else { "air".to_owned() };
        add(Probe::ZoneTemperature(z), format!("{n}_temperature_C"), air.clone());
        add(Probe::ZoneHumidity(z), format!("{n}_relative_humidity_pct"), air.clone());
        add(Probe::ZoneDensity(z), format!("{n}_vapour_density_g_m3"), air.clone());
        add(Probe::ZoneDewPoint(z), format!("{n}_dew_point_C"), format!("dew point, {air}"));
    }
    let marks = &model.landmarks;
    if marks.set_point_k.is_some() {
        add(Probe::SetPoint, "set_point_C".into(), "set point".into());
    }
    let store = |heat| Probe::Store(model.index_of_heat(heat), Group::Temperature);
    add(store(marks.element), "element_temperature_C".into(), "element".into());
    for ((nodes, film), zone) in marks.walls.iter().zip(model.zones()) {
        let n = &zone.name;
        let (inner, outer) = (nodes[0], nodes[nodes.len() - 1]);
        add(store(inner), format!("wall_{n}_inside_C"), format!("{n} wall inside"));
        if nodes.len() > 1 {
            add(store(outer), format!("wall_{n}_outside_C"), format!("{n} wall outside"));
        }
        let water = Probe::Water(model.index_of_water(*film), 0.0, Group::Film);
        add(water, format!("wall_{n}_film_g"), format!("on {n} wall"));
    }
    for (i, load) in marks.loads.iter().enumerate() {
        let n = &load.name;
        if load.moisture.is_some() {
            add_moisture(model, i, &mut add);
            continue;
        }
        add(store(load.heat), format!("{n}_temperature_C"), n.clone());
        if !load.waters.is_empty() {
            let probe = Probe::Load(i, load.bound_kg, Group::WaterRemaining);
            add(probe, format!("{n}_water_remaining_g"), format!("remaining in {n}"));
        }
    }
    if marks.loads.iter().any(|l| !l.waters.is_empty()) {
        let probe = Probe::WaterInBox(probe::water_before_kg(model));
        list.push((probe, "water_in_box_g".into(), "in the whole box".into()));
    }
    add_sensors(scenario, model, &mut list);
    add_services(model, &mut list);
    add_paths(model, &mut list);
    list
}

/// Temperatures of rim and core, moisture, and what holds the water back.
fn add_moisture(model: &Model, load: usize, add: &mut impl FnMut(Probe, String, String)) {
    let view = &model.landmarks.loads[load];
    let (n, Some(m)) = (&view.name, &view.moisture) else { return };
    let store = |heat| Probe::Store(model.index_of_heat(heat), Group::Temperature);
    let depth = m.depth();
    let side = |half: usize| &model.zones()[m.around[half].0].name;
    for half in 0..m.halves() {
        let (key, words) = match m.halves() {
            1 => (String::new(), String::new()),
            _ => (format!("half_{}_", half + 1), format!(", {} half", side(half))),
        };
        let (core, rim) = (m.slices[half * depth].heat, m.slices[(half + 1) * depth - 1].heat);
        if depth == 1 {
            add(store(rim), format!("{n}_{key}temperature_C"), format!("{n}{words}"));
        } else {
            add(store(rim), format!("{n}_{key}rim_temperature_C"), format!("{n} rim{words}"));
            add(store(core), format!("{n}_{key}core_temperature_C"), format!("{n} core{words}"));
        }
    }
    add(Probe::Moisture(load, Piece::Whole), format!("{n}_moisture_wt_pct"), n.clone());
    for half in (0..m.halves()).filter(|_| m.halves() > 1) {
        let key = format!("{n}_half_{}_moisture_wt_pct", half + 1);
        let words = format!("{n}, {} half", side(half));
        add(Probe::Moisture(load, Piece::Half(half)), key, words);
    }
    let weighed = Probe::Load(load, model.load_kg(view, &model.start()), Group::MassChange);
    add(weighed, format!("{n}_mass_change_g"), format!("mass change of {n}"));
    for i in (0..depth).filter(|_| depth > 1) {
        let radius = m.ring(i).next().map_or(0.0, |s| 1e3 * s.radius_m);
        let key = format!("{n}_layer_{}_moisture_wt_pct", i + 1);
        add(Probe::Moisture(load, Piece::Layer(i)), key, format!("{n} at {radius:.0} mm"));
    }
    for what in DryingResistance::ALL {
        let key = format!("{n}_resistance_{}_pct", what.word());
        add(Probe::DryingResistance(load, what), key, what.label().to_owned());
    }
}

fn add_sensors(scenario: &Scenario, model: &Model, list: &mut Vec<(Probe, String, String)>) {
    for (sensor, spec) in model.sensors().zip(&scenario.sensors) {
        let n = &spec.name;
        let label = format!("sensor {n}");
        let t = Probe::SensorTemperature(model.index_of_lag(sensor.temperature), sensor.offset.0);
        list.push((t, format!("sensor_{n}_temperature_C"), label.clone()));
        let rh = Probe::SensorHumidity(model.index_of_lag(sensor.humidity), sensor.offset.1);
        list.push((rh, format!("sensor_{n}_relative_humidity_pct"), label));
    }
}

fn add_services(model: &Model, list: &mut Vec<(Probe, String, String)>) {
    let mut add = |probe, name: &str, label: &str| list.push((probe, name.into(), label.into()));
    let mains = model.index_of_heat(model.landmarks.heater_mains);
    add(Probe::Power(mains), "heater_power_W", "heater");
    add(Probe::Energy(mains), "heater_energy_Wh", "heater");
    if let Some(fan) = model.fan_mains() {
        let mains = model.index_of_heat(fan);
        add(Probe::Power(mains), "fan_power_W", "fan motor");
        add(Probe::Energy(mains), "fan_energy_Wh", "fan motor");
    }
    for (i, opening) in model.openings().iter().enumerate() {
        let name = opening.name.replace(' ', "_");
        add(Probe::Vent(i), &format!("vent_{name}_out_L_min"), &format!("vent {}", opening.name));
    }
    add(Probe::Pressure, "floor_pressure_Pa", "pressure of the gas over that of the room");
    add(Probe::RoomAir, "room_air_entered_L", "room air entered");
    add(Probe::RoomTemperature, "room_temperature_C", "room");
    add(Probe::RoomHumidity, "room_relative_humidity_pct", "room");
}

/// Where the water is or went: together these columns hold all of it at any time.
fn add_paths(model: &Model, list: &mut Vec<(Probe, String, String)>) {
    let mut add = |probe, name: String, label: String| {
        list.push((probe, format!("water_path_{}_g", name.replace(' ', "_")), label));
    };
    let loads = model.landmarks.loads.iter().enumerate();
    for (i, load) in loads.filter(|(_, l)| !l.waters.is_empty()) {
        let probe = Probe::Load(i, 0.0, Group::WaterPath);
        add(probe, format!("in_{}", load.name), format!("in {}", load.name));
    }
    add(Probe::InAir, "in_air".into(), "in the air".into());
    add(Probe::Films, "on_walls".into(), "on the walls".into());
    add(Probe::Puddles, "on_floor".into(), "on the floor".into());
    for passage in ledger::passages(model) {
        let probe = Probe::NetOut(passage.1, passage.2);
        add(probe, format!("out_{}", passage.0), format!("net out by {}", passage.0));
    }
}
