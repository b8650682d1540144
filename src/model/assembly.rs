//! A box put together from its pieces: what the results may ask of it.

use super::accounts::{self, AccountLine, GasPath};
use super::control::{AnyDecider, Decider, Programme};
use super::events::ScheduledEvent;
use super::fan::FanSpec;
use super::network::Network;
use super::part::{Modes, SetPointRamp, Since};
use super::parts::{AnyPart, LoadView, Sensor};
use super::room::Room;
use super::store::{DryAir, Entry, Gas, Heat, Lag, Layout, Thermal, Water};
use super::{air, openings, parts};
use crate::address::{Address, Names, Place, Quantity};

/// Where the results find what they show.
#[derive(Clone, Debug)]
pub struct Landmarks {
    /// The heating element.
    pub element: Heat,
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
    pub(super) part_places: Vec<Address>,
    pub(super) names: Names,
    pub(super) lines: Vec<AccountLine>,
    pub(super) passages: Vec<GasPath>,
    pub(super) fed: Vec<bool>,
    pub(super) network: Network,
    pub(super) rooms: Vec<Room>,
    pub(super) total_pa: f64,
    pub(super) time: Lag,
    pub(super) deciders: Vec<AnyDecider>,
    pub(super) events: Vec<ScheduledEvent>,
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
    /// Parts with what they are.
    pub parts: Vec<(Address, AnyPart)>,
    /// Zones and openings.
    pub network: Network,
    /// The room at the start, and those of later events.
    pub rooms: Vec<Room>,
    /// What switches.
    pub deciders: Vec<AnyDecider>,
    /// What happens at known times.
    pub events: Vec<ScheduledEvent>,
    /// What a run begins with.
    pub steering: Steering,
    /// Pressure \[Pa\].
    pub total_pa: f64,
    /// Names of all but the openings.
    pub names: Names,
    /// Where the results find what they show.
    pub landmarks: Landmarks,
}

impl Model {
    /// Puts the pieces together.
    pub fn new(mut pieces: Pieces) -> Model {
        let time = pieces.layout.time();
        pieces.events.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        let mut part_places: Vec<Address> = pieces.parts.iter().map(|(at, _)| *at).collect();
        part_places.push(Place::AllZones.part());
        let openings = pieces.network.openings.iter();
        part_places.extend((0..openings.len()).map(|i| Place::Opening(i).part()));
        if pieces.network.pinhole.is_some() {
            part_places.push(Place::Pinhole.part());
        }
        let names = Names { openings: openings.map(|o| o.name.clone()).collect(), ..pieces.names };
        let entries: Vec<Entry> = pieces.layout.entries().cloned().collect();
        let lines = accounts::lines(&entries);
        Model {
            core: pieces.layout.core_len(),
            rules: pieces.layout.thermal_rules(),
            fed: part_places.iter().map(|at| accounts::is_fed(&lines, at.place)).collect(),
            lines,
            passages: accounts::passages(&entries),
            entries,
            names,
            parts: pieces.parts.into_iter().map(|(_, p)| p).collect(),
            part_places,
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

    /// What a part is called, by the number in a [`super::flows::Posting`].
    pub fn part_name(&self, part: usize) -> String {
        self.names.part_of(self.part_places[part])
    }

    /// What messages and lists of flows call an entry of the state.
    pub fn entry_name(&self, i: usize) -> String {
        self.names.entry(self.entries[i].address)
    }

    /// The names that the scenario gives.
    pub fn names(&self) -> &Names {
        &self.names
    }

    /// The lines of the accounts of water and energy, in the order of their first entries.
    pub fn lines(&self) -> &[AccountLine] {
        &self.lines
    }

    /// Number of the line of this address.
    pub fn line(&self, at: Address) -> Option<usize> {
        self.lines.iter().position(|l| l.address == at)
    }

    /// Ways of gas between box and surroundings, openings first.
    pub fn passages(&self) -> &[GasPath] {
        &self.passages
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

    /// What happens at known times, in order.
    pub fn events(&self) -> &[ScheduledEvent] {
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

    /// Entries of the running totals of what the mains give.
    pub fn mains(&self) -> impl Iterator<Item = usize> {
        let fed = self.lines.iter().filter(|l| l.address.quantity == Quantity::Energy);
        fed.flat_map(|l| l.entries.iter().copied())
    }

    /// All water in a load \[kg\].
    pub fn load_kg(&self, load: &LoadView, y: &[f64]) -> f64 {
        load.waters.iter().map(|w| y[self.index_of_water(*w)]).sum()
    }

    fn walls(&self) -> impl Iterator<Item = &parts::Wall> {
        self.parts.iter().filter_map(|p| match p {
            AnyPart::Wall(wall) => Some(wall),
            _ => None,
        })
    }

    /// Puddles on the floor, in the order of the zones.
    pub fn puddles(&self) -> impl Iterator<Item = Water> {
        self.walls().map(|w| w.puddle)
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
