//! Records samples on the output grid from the solver's dense output.

use super::ledger;
use super::moisture;
use super::probe::{self, Piece, Probe};
use super::watch::Watch;
use super::{Column, Effort, Ended, Run, SCHEMA_VERSION, metrics, warnings};
use crate::address::{Address, DryingResistance, Event, Place, Quantity, Side};
use crate::model::events::Action;
use crate::model::parts::Moisture;
use crate::model::store::{Heat, Holds};
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

/// What of a run is recorded beside metrics and accounts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Record<'a> {
    /// All there is, layers of spools too.
    Detail,
    /// All but the layers of spools.
    Usual,
    /// The columns of these heads.
    Heads(&'a [String]),
}

impl Record<'_> {
    fn wants(&self, column: &Column) -> bool {
        match self {
            Record::Detail => true,
            Record::Usual => !column.address.place.is_detail(),
            Record::Heads(heads) => heads.contains(&column.name),
        }
    }
}

pub(super) struct Recorder {
    due: Due,
    time_s: Vec<f64>,
    columns: Vec<(Probe, Column)>,
    y: Vec<f64>,
}

impl Recorder {
    pub(super) fn new(scenario: &Scenario, model: &Model, what: Record<'_>) -> Self {
        let rows = (scenario.run.duration_s / scenario.run.output_every_s) as usize + 2;
        let names = model.names();
        let columns = probes(scenario, model).into_iter().map(|(probe, address)| {
            let column = Column {
                address,
                name: names.head(address),
                label: names.label(address),
                unit: address.quantity.unit().into(),
                values: Vec::with_capacity(rows),
                peak: None,
            };
            (probe, column)
        });
        Recorder {
            due: Due::Every(scenario.run.output_every_s, scenario.run.duration_s),
            time_s: Vec::with_capacity(rows),
            columns: columns.filter(|(_, c)| what.wants(c)).collect(),
            y: vec![0.0; model.entries().len()],
        }
    }

    /// Records these columns only, at these times, which rise.
    pub(super) fn at(
        scenario: &Scenario,
        model: &Model,
        times_s: &[f64],
        wanted: &[Address],
    ) -> Self {
        let mut recorder = Recorder::new(scenario, model, Record::Detail);
        recorder.due = Due::At(times_s.to_vec());
        recorder.columns.retain(|(_, c)| wanted.contains(&c.address));
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
        self.time_s.push(t);
        if self.columns.is_empty() {
            return;
        }
        let model = plant.model();
        let instant = plant.instant(y);
        // The resistances of a load are found together, once for a row.
        let mut shares = None;
        for (probe, column) in &mut self.columns {
            let value = match probe {
                Probe::DryingResistance(load, what) => {
                    let known = shares.filter(|(of, _)| of == load);
                    let found = || (*load, moisture::shares_pct(model, *load, &instant, y));
                    shares.insert(known.unwrap_or_else(found)).1[*what as usize]
                }
                probe => probe.value(model, &instant, y),
            };
            column.values.push(value);
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
            .filter(|(t, change)| *t > 0.0 && change.is_switching())
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
        let all = probes(scenario, model);
        let notes = warnings::of(&seen, table, &metrics, ended.as_ref(), |probe| {
            let found = all.iter().find(|(p, _)| p == probe);
            found.map_or(String::new(), |(_, at)| model.names().label(*at))
        });
        for (probe, column) in &mut self.columns {
            column.peak = table.peak(watch, probe);
        }
        Run {
            schema_version: SCHEMA_VERSION,
            program_version: env!("CARGO_PKG_VERSION").into(),
            title: scenario.title.clone(),
            names: model.names().clone(),
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
    // A schedule may step every second; only its switchings are shown.
    let shown = model.events().iter().filter(|e| !matches!(e.action, Action::Heater(_)));
    let scheduled = shown.map(|e| Event {
        time_s: e.at_s,
        place: e.action.place(),
        change: e.action.change(),
        name: Some(e.name.clone()),
    });
    let decided = plant.events().iter().map(|(time_s, change)| Event {
        time_s: *time_s,
        place: change.place(),
        change: *change,
        name: None,
    });
    let mut all: Vec<Event> = scheduled.chain(decided).collect();
    all.retain(|h| h.time_s <= end_s);
    all.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    all
}

/// What is recorded, in the order of its columns.
struct Columns<'m> {
    model: &'m Model,
    list: Vec<(Probe, Address)>,
}

impl Columns<'_> {
    fn add(&mut self, place: Place, quantity: Quantity, probe: Probe) {
        self.list.push((probe, Address::new(place, quantity)));
    }

    fn temperature(&mut self, place: Place, heat: Heat) {
        self.add(place, Quantity::Temperature, Probe::Store(self.model.index_of_heat(heat)));
    }
}

/// All probes with their addresses.
fn probes(scenario: &Scenario, model: &Model) -> Vec<(Probe, Address)> {
    let mut columns = Columns { model, list: Vec::new() };
    for z in 0..model.zones().len() {
        let at = Place::Zone(z);
        columns.add(at, Quantity::Temperature, Probe::ZoneTemperature(z));
        columns.add(at, Quantity::RelativeHumidity, Probe::ZoneHumidity(z));
        columns.add(at, Quantity::VapourDensity, Probe::ZoneDensity(z));
        columns.add(at, Quantity::DewPoint, Probe::ZoneDewPoint(z));
    }
    let marks = &model.landmarks;
    if marks.set_point_k.is_some() {
        columns.add(Place::Controller, Quantity::SetPoint, Probe::SetPoint);
    }
    columns.temperature(Place::Element, marks.element);
    for (z, (nodes, film)) in marks.walls.iter().enumerate() {
        columns.temperature(Place::Face(z, Side::Inside), nodes[0]);
        if nodes.len() > 1 {
            columns.temperature(Place::Face(z, Side::Outside), nodes[nodes.len() - 1]);
        }
        let film = Probe::Condensate(model.index_of_water(*film));
        columns.add(Place::Wall(z), Quantity::Condensate, film);
    }
    for (i, load) in marks.loads.iter().enumerate() {
        match &load.moisture {
            Some(moisture) => add_moisture(moisture, i, &mut columns),
            None => {
                columns.temperature(Place::Load(i), load.heat);
                if !load.waters.is_empty() {
                    let probe = Probe::Load(i, load.bound_kg);
                    columns.add(Place::Load(i), Quantity::WaterRemaining, probe);
                }
            }
        }
    }
    if marks.loads.iter().any(|l| !l.waters.is_empty()) {
        let probe = Probe::WaterInBox(probe::water_before_kg(model));
        columns.add(Place::Box, Quantity::WaterRemaining, probe);
    }
    for (i, (sensor, spec)) in model.sensors().zip(&scenario.sensors).enumerate() {
        let (temperature, humidity) =
            (model.index_of_lag(sensor.temperature), model.index_of_lag(sensor.humidity));
        let (dt, drh) = sensor.offset;
        let at = Place::Sensor(i);
        columns.add(at, Quantity::Temperature, Probe::SensorTemperature(temperature, dt));
        columns.add(at, Quantity::RelativeHumidity, Probe::SensorHumidity(humidity, drh));
        debug_assert_eq!(model.names().sensors[i], spec.name);
    }
    add_services(&mut columns);
    add_paths(&mut columns);
    columns.list
}

/// Temperatures of rim and core, moisture, and what holds the water back.
fn add_moisture(m: &Moisture, load: usize, columns: &mut Columns<'_>) {
    let depth = m.depth();
    for half in 0..m.halves() {
        let (core, rim) = (m.slices[half * depth].heat, m.slices[(half + 1) * depth - 1].heat);
        match (depth, m.halves()) {
            (1, 1) => columns.temperature(Place::Load(load), rim),
            (1, _) => columns.temperature(Place::Half(load, half), rim),
            _ => {
                columns.temperature(Place::Rim(load, half), rim);
                columns.temperature(Place::Core(load, half), core);
            }
        }
    }
    columns.add(Place::Load(load), Quantity::Moisture, Probe::Moisture(load, Piece::Whole));
    for half in (0..m.halves()).filter(|_| m.halves() > 1) {
        let probe = Probe::Moisture(load, Piece::Half(half));
        columns.add(Place::Half(load, half), Quantity::Moisture, probe);
    }
    let model = columns.model;
    let start_kg = model.load_kg(&model.landmarks.loads[load], &model.start());
    columns.add(Place::Load(load), Quantity::MassChange, Probe::Load(load, start_kg));
    for i in (0..depth).filter(|_| depth > 1) {
        let probe = Probe::Moisture(load, Piece::Layer(i));
        columns.add(Place::Layer(load, i), Quantity::Moisture, probe);
    }
    for what in DryingResistance::ALL {
        let probe = Probe::DryingResistance(load, what);
        columns.add(Place::Load(load), Quantity::Resistance(what), probe);
    }
}

fn add_services(columns: &mut Columns<'_>) {
    let model = columns.model;
    for line in ledger::lines(model, Holds::Heat) {
        if line.address.quantity == Quantity::Energy
            && let Some(number) = model.line(line.address)
        {
            columns.add(line.address.place, Quantity::Power, Probe::Power(number));
            columns.add(line.address.place, Quantity::Energy, Probe::Energy(number));
        }
    }
    for i in 0..model.openings().len() {
        columns.add(Place::Opening(i), Quantity::FlowOut, Probe::Vent(i));
    }
    columns.add(Place::Box, Quantity::Pressure, Probe::Pressure);
    columns.add(Place::Room, Quantity::RoomAirIn, Probe::RoomAir);
    columns.add(Place::Room, Quantity::Temperature, Probe::RoomTemperature);
    columns.add(Place::Room, Quantity::RelativeHumidity, Probe::RoomHumidity);
}

/// Where the water is or went: together these columns hold all of it at any time.
fn add_paths(columns: &mut Columns<'_>) {
    let model = columns.model;
    for line in ledger::lines(model, Holds::Water) {
        let at = line.address;
        let inside = !matches!(at.quantity, Quantity::WaterIn | Quantity::WaterOut);
        if let Some(number) = model.line(at).filter(|_| inside) {
            columns.add(at.place, at.quantity, Probe::Line(number));
        }
    }
    for (number, path) in ledger::paths(model) {
        columns.add(path.place, Quantity::NetWaterOut, Probe::NetOut(number));
    }
}
