//! What a run can record: each probe with its address, in the order of the columns.

use super::ledger;
use super::probe::{self, Piece, Probe};
use crate::address::{Address, DryingResistance, Place, Quantity, Side};
use crate::model::Model;
use crate::model::parts::Moisture;
use crate::model::store::{Heat, Holds};
use crate::scenario::Scenario;

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
pub(super) fn probes(scenario: &Scenario, model: &Model) -> Vec<(Probe, Address)> {
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
    for (half, (core, rim)) in m.ring(0).zip(m.ring(depth - 1)).enumerate() {
        match (depth, m.halves()) {
            (1, 1) => columns.temperature(Place::Load(load), rim.heat),
            (1, _) => columns.temperature(Place::Half(load, half), rim.heat),
            _ => {
                columns.temperature(Place::Rim(load, half), rim.heat);
                columns.temperature(Place::Core(load, half), core.heat);
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
