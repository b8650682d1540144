//! A box put together from its pieces: what the results may ask of it.

use super::control::{AnyDecider, Decider, Programme};
use super::events::Event;
use super::fan::FanSpec;
use super::network::Network;
use super::part::{Modes, SetPointRamp, Since};
use super::parts::{AnyPart, LoadView, Sensor};
use super::room::Room;
use super::store::{DryAir, Entry, Gas, Heat, Lag, Layout, Thermal, Water};

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
    /// Highest set point \[K\], if there is one.
    pub set_point_k: Option<f64>,
    /// Number of the sensor that the controller reads.
    pub control_sensor: Option<usize>,
    /// Temperatures that something should not pass.
    pub limits: Vec<Limit>,
}

/// A temperature that something should not pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// What it is for.
    pub place: LimitPlace,
    /// The limit \[K\].
    pub limit_k: f64,
    /// Whose limit it is, in words.
    pub reason: String,
    /// Whether a material brings it: where it begins to suffer.
    pub service: bool,
}

/// What a limit is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitPlace {
    /// The air of any zone.
    Air,
    /// The element.
    Element,
    /// Any wall inside.
    WallInside,
    /// Any wall outside.
    WallOutside,
    /// Any load.
    Load,
    /// The air around the load of this number.
    AirAround(usize),
    /// The rim of it.
    Rim(usize),
    /// The core of it.
    Core(usize),
}

/// A box ready to be simulated. Immutable; many threads may share one.
#[derive(Clone, Debug)]
pub struct Model {
    pub(super) entries: Vec<Entry>,
    pub(super) core: usize,
    pub(super) rules: Vec<(usize, Thermal)>,
    pub(super) parts: Vec<AnyPart>,
    pub(super) part_names: Vec<String>,
    pub(super) network: Network,
    pub(super) rooms: Vec<Room>,
    pub(super) total_pa: f64,
    pub(super) time: Lag,
    pub(super) deciders: Vec<AnyDecider>,
    pub(super) events: Vec<Event>,
    pub(super) steering: Steering,
    /// Where the results find what they show.
    pub landmarks: Landmarks,
}

/// What a run begins with and what events change.
#[derive(Clone, Debug)]
pub struct Steering {
    /// The fan.
    pub fan: FanSpec,
    /// Power of the flow with which the element's coupling grows.
    pub coupling_exponent: f64,
    /// The set point at the start.
    pub target: SetPointRamp,
}

/// The pieces of a model, as the scenario builds them.
pub struct Pieces {
    /// The state vector.
    pub layout: Layout,
    /// Parts with their names.
    pub parts: Vec<(String, AnyPart)>,
    /// Zones and openings.
    pub network: Network,
    /// The room at the start, and those of later events.
    pub rooms: Vec<Room>,
    /// What switches.
    pub deciders: Vec<AnyDecider>,
    /// What happens at known times.
    pub events: Vec<Event>,
    /// What a run begins with.
    pub steering: Steering,
    /// Pressure \[Pa\].
    pub total_pa: f64,
    /// Where the results find what they show.
    pub landmarks: Landmarks,
}

impl Model {
    /// Puts the pieces together.
    pub fn new(mut pieces: Pieces) -> Model {
        let time = pieces.layout.time();
        pieces.events.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
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
            rooms: pieces.rooms,
            deciders: pieces.deciders,
            events: pieces.events,
            steering: pieces.steering,
            total_pa: pieces.total_pa,
            time,
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

    /// Names of the parts, in the order of [`super::flows::Posting::part`].
    pub fn part_names(&self) -> &[String] {
        &self.part_names
    }

    /// The state at the start.
    pub fn start(&self) -> Vec<f64> {
        self.entries.iter().map(|e| e.start).collect()
    }

    /// The zones in airflow order.
    pub fn zones(&self) -> &[super::air::Zone] {
        &self.network.zones
    }

    /// The openings.
    pub fn openings(&self) -> &[super::openings::Opening] {
        &self.network.openings
    }

    /// The sensors, in the order of the scenario.
    pub fn sensors(&self) -> impl Iterator<Item = &Sensor> {
        self.parts.iter().filter_map(|p| match p {
            AnyPart::Sensor(s) => Some(s),
            _ => None,
        })
    }

    /// What happens at known times, in order.
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// Pressure of the room \[Pa\].
    pub fn total_pa(&self) -> f64 {
        self.total_pa
    }

    /// The room at the start.
    pub fn room(&self) -> &Room {
        &self.rooms[0]
    }

    /// Times at which the slope of a room changes \[s\].
    pub fn room_knots(&self) -> impl Iterator<Item = f64> {
        self.rooms.iter().flat_map(Room::knots)
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
        self.network.pinhole.map(|way| (way.out, way.back))
    }

    /// Running totals of the gas that left and entered while the lid was open.
    pub fn lid_gas(&self) -> Option<(Gas, Gas)> {
        self.network.lid.map(|way| (way.out, way.back))
    }

    /// Running total of the fan's electric energy, where its motor heats the box.
    pub fn fan_mains(&self) -> Option<Heat> {
        self.parts.iter().find_map(|p| match p {
            AnyPart::Circulation(fan) => fan.mains(),
            _ => None,
        })
    }

    /// Running totals of what the mains give.
    pub fn mains(&self) -> impl Iterator<Item = usize> {
        let heats = std::iter::once(self.landmarks.heater_mains).chain(self.fan_mains());
        heats.map(|heat| self.index_of_heat(heat))
    }

    /// Stores of the water bound in the walls.
    pub fn sorbed(&self) -> impl Iterator<Item = Water> {
        let uptakes = self.parts.iter().filter_map(|p| match p {
            AnyPart::Uptake(uptake) => Some(uptake.waters()),
            _ => None,
        });
        uptakes.flatten().copied()
    }

    /// All water in a load \[kg\].
    pub fn load_kg(&self, load: &LoadView, y: &[f64]) -> f64 {
        load.waters.iter().map(|w| y[self.index_of_water(*w)]).sum()
    }

    fn walls(&self) -> impl Iterator<Item = &super::parts::Wall> {
        self.parts.iter().filter_map(|p| match p {
            AnyPart::Wall(wall) => Some(wall),
            _ => None,
        })
    }

    /// Running totals of the heat lost through each wall, in the order of the zones.
    pub fn wall_losses(&self) -> impl Iterator<Item = Heat> {
        self.walls().map(super::parts::Wall::room)
    }

    /// Puddles on the floor, in the order of the zones.
    pub fn puddles(&self) -> impl Iterator<Item = Water> {
        self.walls().map(|w| w.puddle)
    }

    /// Running total of the heat that the box radiates while its lid is open.
    pub fn lid_radiation(&self) -> Option<Heat> {
        self.parts.iter().find_map(|p| match p {
            AnyPart::Lid(lid) => Some(lid.radiated()),
            _ => None,
        })
    }

    /// Running total of the gas that heating and evaporation push out \[m3\].
    pub fn displaced(&self) -> Lag {
        self.network.displaced
    }

    /// Index of a store in the state vector.
    pub fn index_of_water(&self, water: Water) -> usize {
        water.0.index(self.core)
    }

    /// Index of a lag in the state vector.
    pub fn index_of_lag(&self, lag: Lag) -> usize {
        lag.0.index(self.core)
    }

    pub(super) fn programme(&self) -> Option<&Programme> {
        self.deciders.iter().find_map(|d| match d {
            AnyDecider::Programme(p) => Some(p),
            _ => None,
        })
    }

    pub(super) fn guard_count(&self) -> usize {
        self.deciders.iter().map(Decider::guards).sum()
    }

    /// The modes at the start of a run, before any decision.
    pub(super) fn first_modes(&self) -> Modes {
        let steering = &self.steering;
        let mut modes = Modes {
            powered: true,
            heater_on: false,
            scheduled: 0.0,
            tripped: false,
            warm: false,
            exhaust: Since { on: false, since_s: 0.0 },
            stage_exhaust: true,
            fan: steering.fan.state(1.0, 1.0, true, steering.coupling_exponent),
            fan_share: 1.0,
            target: steering.target,
            stage: (0, 0.0),
            window: (0.0, 0.0),
            lid: None,
            room: 0,
            stored: Default::default(),
        };
        if let Some(programme) = self.programme() {
            programme.enter(0, steering.target.from_k, 0.0, &mut modes);
        }
        modes
    }
}
