//! Where each number of a run belongs: a place and a quantity.
//!
//! Columns, stores, running totals, lines of the accounts and events have an address. Heads, labels and
//! words are made from it in `names` and nowhere else; nobody takes a name apart.
//!
//! ```
//! use drybench::address::{Place, Quantity};
//! use drybench::run::{Method, simulate};
//! # let text = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/sealed.toml"));
//! # let mut source = drybench::reader::Source::from_bytes("sealed.toml", text.as_bytes()).expect("TOML");
//! # source.set("run.duration=5 min").expect("a value");
//! # let (scenario, _) = drybench::scenario::Scenario::read(&source).expect("a sound scenario");
//! let run = simulate(&scenario, Method::Rodas5p).expect("a solution");
//! let air = run.at(Place::Zone(0), Quantity::Temperature).expect("a column");
//! assert_eq!(air.values.len(), run.time_s.len());
//! ```

mod entries;
mod event;
mod names;
mod reserved;

pub use event::{Change, Event, Keeping};
pub use names::{LoadNames, Names, account_head};
pub use reserved::{NOT_FOR_LOADS, NOT_FOR_ZONES, clash};

use serde::{Deserialize, Serialize};

/// A place; numbers count within their kind, in the order of the scenario.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// The whole box.
    Box,
    /// The air of a zone.
    Zone(usize),
    /// The air of all zones.
    AllZones,
    /// The wall of a zone.
    Wall(usize),
    /// A face of the wall of a zone.
    Face(usize, Side),
    /// A joint between two layers of the wall of a zone, from the inside out.
    Joint(usize, usize),
    /// The walls of all zones.
    AllWalls,
    /// The floor of a zone.
    Floor(usize),
    /// The floors of all zones.
    AllFloors,
    /// The heating element.
    Element,
    /// The heater as a consumer of power.
    Heater,
    /// The circulating fan.
    Fan,
    /// A load.
    Load(usize),
    /// A half of a spool that stands in two zones.
    Half(usize, usize),
    /// The outermost layer of a half.
    Rim(usize, usize),
    /// The innermost layer of a half.
    Core(usize, usize),
    /// A layer of a spool in all of its halves.
    Layer(usize, usize),
    /// A layer of one half, by its number among all of them.
    Slice(usize, usize),
    /// A shell of the filament in such a layer.
    Shell(usize, usize, usize),
    /// All loads.
    AllLoads,
    /// Where a load is kept that has left the box.
    Storage(usize),
    /// A sensor.
    Sensor(usize),
    /// An opening.
    Opening(usize),
    /// The pinhole of a box without openings.
    Pinhole,
    /// The lid.
    Lid,
    /// The controller.
    Controller,
    /// The cut-out.
    CutOut,
    /// The exhaust fan.
    Exhaust,
    /// The room.
    Room,
    /// The mains.
    Mains,
}

impl Place {
    /// The load that it is, or a piece of.
    #[must_use]
    pub const fn load(self) -> Option<usize> {
        match self {
            Place::Load(i)
            | Place::Half(i, _)
            | Place::Rim(i, _)
            | Place::Core(i, _)
            | Place::Layer(i, _)
            | Place::Slice(i, _)
            | Place::Shell(i, ..) => Some(i),
            _ => None,
        }
    }

    /// Whether it is a piece of a load too fine for most uses: a layer or less.
    #[must_use]
    pub const fn is_detail(self) -> bool {
        matches!(self, Place::Layer(..) | Place::Slice(..) | Place::Shell(..))
    }

    /// The part of the model that acts there.
    #[must_use]
    pub const fn part(self) -> Address {
        Address { place: self, quantity: Quantity::Heat }
    }
}

/// Which face of a wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Towards the air of the box.
    Inside,
    /// Towards the room.
    Outside,
}

/// What stands between the water in a spool and dry air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DryingResistance {
    /// The spool is still colder than the air.
    Heating,
    /// Diffusion inside the filament.
    Filament,
    /// Diffusion through the gaps of the winding, and the air at the spool.
    Gaps,
    /// The vapour that the air of the box holds already.
    Air,
}

impl DryingResistance {
    /// All of them, from the inside out.
    pub const ALL: [Self; 4] = [Self::Heating, Self::Filament, Self::Gaps, Self::Air];
}

/// What a number says of its place. The kind and the unit follow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// Temperature \[°C\].
    Temperature,
    /// What the controller wants \[°C\].
    SetPoint,
    /// Relative humidity \[%RH\].
    RelativeHumidity,
    /// Vapour density \[g/m3\].
    VapourDensity,
    /// Dew point \[°C\].
    DewPoint,
    /// Pressure over that of the room \[Pa\].
    Pressure,
    /// Water of any kind \[g\].
    Water,
    /// Vapour in air or gaps \[g\].
    Vapour,
    /// Fog \[g\].
    Fog,
    /// Condensate \[g\].
    Condensate,
    /// Water in a puddle \[g\].
    Puddle,
    /// Water bound in a material \[g\].
    BoundWater,
    /// A slice of it, from the surface inwards \[g\].
    BoundWaterAt(usize),
    /// Water that was added \[g\].
    AddedWater,
    /// What of the added water is still there \[g\].
    WaterRemaining,
    /// What it weighs more than at the start \[g\].
    MassChange,
    /// Bound water per dry mass \[wt%\].
    Moisture,
    /// Share of what holds its water back \[%\].
    Resistance(DryingResistance),
    /// Heat \[Wh\].
    Heat,
    /// Dry air \[g\].
    DryAir,
    /// Heat that went out through it \[Wh\].
    HeatOut,
    /// Heat that came in through it \[Wh\].
    HeatIn,
    /// Heat radiated through it \[Wh\].
    RadiatedOut,
    /// Latent heat of the water that left \[Wh\].
    LatentOut,
    /// Heat that the exchange of air took along \[Wh\].
    SensibleOut,
    /// Water that went out through it \[g\].
    WaterOut,
    /// Fog that went out through it \[g\].
    FogOut,
    /// Water that came in through it \[g\].
    WaterIn,
    /// The difference of both \[g\].
    NetWaterOut,
    /// Dry air that went out through it \[g\].
    AirOut,
    /// Dry air that came in through it \[g\].
    AirIn,
    /// Room air that has entered \[L\].
    RoomAirIn,
    /// Volume flow out \[L/min\].
    FlowOut,
    /// Gas that heating and evaporation push out \[m3\].
    DisplacedGas,
    /// Electric power \[W\].
    Power,
    /// Electric energy \[Wh\].
    Energy,
    /// A sum of past deviations.
    Integral,
    /// Time \[s\].
    Time,
}

impl Quantity {
    /// The unit that columns and accounts show it in, for people.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self {
            Self::Temperature | Self::SetPoint | Self::DewPoint => "°C",
            Self::RelativeHumidity => "%RH",
            Self::VapourDensity => "g/m³",
            Self::Pressure => "Pa",
            Self::Moisture => "wt%",
            Self::Resistance(_) => "%",
            Self::RoomAirIn => "L",
            Self::FlowOut => "L/min",
            Self::DisplacedGas => "m³",
            Self::Power => "W",
            Self::Time => "s",
            Self::Integral => "",
            Self::Heat
            | Self::HeatOut
            | Self::HeatIn
            | Self::RadiatedOut
            | Self::LatentOut
            | Self::SensibleOut
            | Self::Energy => "Wh",
            _ => "g",
        }
    }
}

/// A place and a quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Address {
    /// Where.
    pub place: Place,
    /// What.
    pub quantity: Quantity,
}

impl Address {
    /// The quantity at the place.
    #[must_use]
    pub const fn new(place: Place, quantity: Quantity) -> Self {
        Address { place, quantity }
    }

    /// Whether it tells where water is or went, so that all such columns together hold all water.
    #[must_use]
    pub fn is_water_path(self) -> bool {
        use Quantity as Q;
        match self.place {
            Place::AllWalls => matches!(self.quantity, Q::Condensate | Q::BoundWater),
            Place::AllFloors => self.quantity == Q::Puddle,
            _ => matches!(self.quantity, Q::Water | Q::NetWaterOut),
        }
    }

    /// The line of the accounts of water and energy that a store or running total of this address adds
    /// to; none for what is no part of them. The heat of streams of gas is split over all ways together
    /// into its latent and its sensible part, and has no line of its own.
    #[must_use]
    pub fn line(self) -> Option<Address> {
        use Place::{AllFloors, AllWalls, AllZones, Box, Load};
        use Quantity as Q;
        let Address { place, quantity } = self;
        let of = |place, quantity| Some(Address { place, quantity });
        match (quantity, place.load()) {
            (Q::Water | Q::Vapour | Q::BoundWater, Some(i)) => of(Load(i), Q::Water),
            (Q::Vapour | Q::Fog, None) => of(AllZones, Q::Water),
            (Q::Condensate, _) => of(AllWalls, Q::Condensate),
            (Q::Puddle, _) => of(AllFloors, Q::Puddle),
            (Q::BoundWater | Q::BoundWaterAt(_), None) => of(AllWalls, Q::BoundWater),
            (Q::WaterOut | Q::FogOut, _) => of(place, Q::WaterOut),
            (Q::Heat, _) => of(Box, Q::Heat),
            (Q::HeatOut, _) => matches!(place, Place::Wall(_)).then_some(self),
            (Q::WaterIn | Q::RadiatedOut | Q::Energy, _) => Some(self),
            _ => None,
        }
    }
}
