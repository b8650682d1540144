//! The box as a system of equations: stores, the parts that move amounts between them, and the
//! right-hand side that sums it all up.
//!
//! Amounts are the state; temperatures and humidities are derived once per evaluation. A part can
//! only move an amount from one store to another, so heat, water and dry air are conserved by
//! construction, whatever the parts do.

pub mod air;
pub mod control;
pub mod flows;
pub mod materials;
pub mod network;
pub mod openings;
pub mod part;
pub mod parts;
mod plant;
pub mod room;
pub mod site;
pub mod store;

pub use plant::{Instant, Plant};

use network::Network;
use part::Modes;
use parts::{AnyPart, LoadView, Sensor};
use room::Room;
use store::{DryAir, Entry, Gas, Heat, Lag, Layout, Thermal, Water};

/// Where the results find what they show.
#[derive(Clone, Debug)]
pub struct Landmarks {
    /// The heating element.
    pub element: Heat,
    /// Electric energy of the heater.
    pub heater_mains: Heat,
    /// Nodes of the wall of each zone, inner face first, and its film of condensate.
    pub walls: Vec<(Vec<Heat>, Water)>,
    /// The loads.
    pub loads: Vec<LoadView>,
    /// Set point \[K\], if there is one.
    pub set_point_k: Option<f64>,
    /// Number of the sensor that the controller reads.
    pub control_sensor: Option<usize>,
}

/// A box ready to be simulated. Immutable; many threads may share one.
#[derive(Clone, Debug)]
pub struct Model {
    entries: Vec<Entry>,
    core: usize,
    rules: Vec<(usize, Thermal)>,
    parts: Vec<AnyPart>,
    part_names: Vec<String>,
    network: Network,
    room: Room,
    total_pa: f64,
    time: Lag,
    heater: usize,
    lid: Option<usize>,
    /// Where the results find what they show.
    pub landmarks: Landmarks,
}

/// The pieces of a model, as the scenario builds them.
pub struct Pieces {
    /// The state vector.
    pub layout: Layout,
    /// Parts with their names.
    pub parts: Vec<(String, AnyPart)>,
    /// Zones and openings.
    pub network: Network,
    /// The room.
    pub room: Room,
    /// Pressure \[Pa\].
    pub total_pa: f64,
    /// Where the results find what they show.
    pub landmarks: Landmarks,
}

impl Model {
    /// Puts the pieces together.
    ///
    /// # Panics
    /// If no part is a heater: every scenario has one, if only switched off.
    pub fn new(mut pieces: Pieces) -> Model {
        let time = pieces.layout.time();
        let find = |wanted: fn(&AnyPart) -> bool| pieces.parts.iter().position(|(_, p)| wanted(p));
        let heater = find(|p| matches!(p, AnyPart::Heater(_))).expect("a model has a heater");
        let lid = find(|p| matches!(p, AnyPart::Lid(_)));
        let mut part_names: Vec<String> = pieces.parts.iter().map(|(n, _)| n.clone()).collect();
        part_names.push("air from zone to zone".into());
        part_names.extend(pieces.network.openings.iter().map(|o| format!("vent.{}", o.name)));
        if pieces.network.pinhole.is_some() {
            part_names.push("pinhole of a sealed box".into());
        }
        Model {
            core: pieces.layout.core_len(),
            rules: pieces.layout.thermal_rules(),
            entries: pieces.layout.entries().cloned().collect(),
            parts: pieces.parts.into_iter().map(|(_, p)| p).collect(),
            part_names,
            network: pieces.network,
            room: pieces.room,
            total_pa: pieces.total_pa,
            time,
            heater,
            lid,
            landmarks: pieces.landmarks,
        }
    }

    /// Entries of the state vector.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Number of entries that the right-hand side reads; running totals follow.
    pub fn core_len(&self) -> usize {
        self.core
    }

    /// Names of the parts, in the order of [`flows::Posting::part`].
    pub fn part_names(&self) -> &[String] {
        &self.part_names
    }

    /// The state at the start.
    pub fn start(&self) -> Vec<f64> {
        self.entries.iter().map(|e| e.start).collect()
    }

    /// The zones in airflow order.
    pub fn zones(&self) -> &[air::Zone] {
        &self.network.zones
    }

    /// The openings.
    pub fn openings(&self) -> &[openings::Opening] {
        &self.network.openings
    }

    /// The sensors, in the order of the scenario.
    pub fn sensors(&self) -> impl Iterator<Item = &Sensor> {
        self.parts.iter().filter_map(|p| match p {
            AnyPart::Sensor(s) => Some(s),
            _ => None,
        })
    }

    /// The lid openings of a run.
    pub fn lid_events(&self) -> &[parts::LidEvent] {
        match self.lid.map(|i| &self.parts[i]) {
            Some(AnyPart::Lid(lid)) => &lid.events,
            _ => &[],
        }
    }

    /// Pressure of the room \[Pa\].
    pub fn total_pa(&self) -> f64 {
        self.total_pa
    }

    /// The room.
    pub fn room(&self) -> &Room {
        &self.room
    }

    /// Index of a store in the state vector.
    pub fn index_of_heat(&self, heat: Heat) -> usize {
        heat.0.index(self.core)
    }

    /// Index of a store in the state vector.
    pub fn index_of_dry(&self, dry: DryAir) -> usize {
        dry.0.index(self.core)
    }

    /// Running totals of the gas that left and entered a sealed box through its pinhole.
    pub fn pinhole(&self) -> Option<(Gas, Gas)> {
        self.network.pinhole
    }

    /// Running totals of the gas that left and entered while the lid was open.
    pub fn lid_gas(&self) -> Option<(Gas, Gas)> {
        match self.lid.map(|i| &self.parts[i]) {
            Some(AnyPart::Lid(lid)) => Some(lid.totals()),
            _ => None,
        }
    }

    /// Running total of the fan's electric energy, where its motor heats the box.
    pub fn fan_mains(&self) -> Option<Heat> {
        self.parts.iter().find_map(|p| match p {
            AnyPart::Circulation(fan) => fan.mains(),
            _ => None,
        })
    }

    fn walls(&self) -> impl Iterator<Item = &parts::Wall> {
        self.parts.iter().filter_map(|p| match p {
            AnyPart::Wall(wall) => Some(wall),
            _ => None,
        })
    }

    /// Running totals of the heat lost through each wall, in the order of the zones.
    pub fn wall_losses(&self) -> impl Iterator<Item = Heat> {
        self.walls().map(parts::Wall::room)
    }

    /// Running totals of the water that ran off the walls.
    pub fn drips(&self) -> impl Iterator<Item = Water> {
        self.walls().map(|w| w.drip().1)
    }

    /// Running totals of the heat in that water.
    pub fn drip_heats(&self) -> impl Iterator<Item = Heat> {
        self.walls().map(|w| w.drip().0)
    }

    /// Running total of the gas that heating and evaporation push out \[m3\].
    pub fn breathed(&self) -> Lag {
        self.network.breathed
    }

    /// Index of a store in the state vector.
    pub fn index_of_water(&self, water: Water) -> usize {
        water.0.index(self.core)
    }

    /// Index of a lag in the state vector.
    pub fn index_of_lag(&self, lag: Lag) -> usize {
        lag.0.index(self.core)
    }

    fn heater(&self) -> &parts::Heater {
        match &self.parts[self.heater] {
            AnyPart::Heater(heater) => heater,
            _ => unreachable!("the index was taken from the heater"),
        }
    }

    /// The modes at the start of a run.
    pub fn first_modes(&self) -> Modes {
        Modes { heater_on: self.heater().control.starts_on(&self.start()), lid: None }
    }
}
