//! All names of addresses: heads of columns, labels, entries of the state, lines of the accounts.

use serde::{Deserialize, Serialize};

use super::{Address, DryingResistance, Place, Quantity, Side};
use crate::text::joined;

/// Names that a zone may not have: zones have columns beside those of these.
pub const NOT_FOR_ZONES: [&str; 4] = ["all", "element", "mains", "room"];

/// Names that a load may not have: what columns, accounts and figures call something of every box.
pub const NOT_FOR_LOADS: [&str; 24] = [
    "air",
    "all",
    "box",
    "control",
    "cut_out",
    "element",
    "energy",
    "exhaust",
    "fan",
    "floor",
    "heater",
    "lid",
    "loads",
    "mains",
    "pinhole",
    "power",
    "room",
    "sensor",
    "set_point",
    "vent",
    "wall",
    "walls",
    "water",
    "water_in_box",
];

/// What follows the name of a load in the columns of its pieces.
const PIECES: [&str; 7] = ["core", "half", "layer", "resistance", "rim", "shell", "slice"];

/// Whether the columns of two names, or of pieces of what has them, could not be told apart.
#[must_use]
pub fn clash(one: &str, other: &str) -> bool {
    let piece = |long: &str, short: &str| {
        let rest = long.strip_prefix(short).and_then(|r| r.strip_prefix('_'));
        rest.is_some_and(|r| PIECES.iter().any(|p| r == *p || r.starts_with(&format!("{p}_"))))
    };
    one == other || piece(one, other) || piece(other, one)
}

/// The names that a scenario gives.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Names {
    /// Zones in airflow order.
    pub zones: Vec<String>,
    /// Loads.
    pub loads: Vec<LoadNames>,
    /// Sensors.
    pub sensors: Vec<String>,
    /// Openings.
    pub openings: Vec<String>,
}

/// What names of a load and its pieces are made of.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct LoadNames {
    /// Its name.
    pub name: String,
    /// For each half the name of the zone that it stands in; one where it is whole.
    pub halves: Vec<String>,
    /// Middle radius of each layer \[mm\]; none where it has no layers.
    pub radii_mm: Vec<f64>,
}

impl LoadNames {
    fn whole(&self) -> bool {
        self.halves.len() < 2
    }
}

impl DryingResistance {
    /// Word for heads.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Heating => "heating",
            Self::Filament => "filament",
            Self::Gaps => "gaps",
            Self::Air => "air",
        }
    }

    /// Words for people.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Heating => "a spool colder than the air",
            Self::Filament => "diffusion in the filament",
            Self::Gaps => "the gaps of the winding",
            Self::Air => "the humidity of the box",
        }
    }
}

/// Head of the column of a line of an account: `water_to_out_through_vent_low_g`.
#[must_use]
pub fn account_head(account: &str, side: &str, line: &str, unit: &str) -> String {
    format!("{account}_{side}_{}_{unit}", joined(line))
}

impl Names {
    fn zone(&self, i: usize) -> &str {
        self.zones.get(i).map_or("", String::as_str)
    }

    fn opening(&self, i: usize) -> &str {
        self.openings.get(i).map_or("", String::as_str)
    }

    fn sensor(&self, i: usize) -> &str {
        self.sensors.get(i).map_or("", String::as_str)
    }

    fn load(&self, i: usize) -> &str {
        self.loads.get(i).map_or("", |l| l.name.as_str())
    }

    fn is_whole(&self, i: usize) -> bool {
        self.loads.get(i).is_none_or(LoadNames::whole)
    }

    /// The start of the head of a column.
    #[must_use]
    pub fn stem(&self, place: Place) -> String {
        match place {
            Place::Zone(z) => self.zone(z).to_owned(),
            Place::Wall(z) => format!("wall_{}", self.zone(z)),
            Place::Face(z, Side::Inside) => format!("wall_{}_inside", self.zone(z)),
            Place::Face(z, Side::Outside) => format!("wall_{}_outside", self.zone(z)),
            Place::Joint(z, i) => format!("wall_{}_joint_{i}", self.zone(z)),
            Place::Floor(z) => format!("floor_{}", self.zone(z)),
            Place::Load(i) => self.load(i).to_owned(),
            Place::Half(i, half) => format!("{}_half_{}", self.load(i), half + 1),
            Place::Rim(i, half) => format!("{}_rim", self.half(i, half)),
            Place::Core(i, half) => format!("{}_core", self.half(i, half)),
            Place::Layer(i, layer) => format!("{}_layer_{}", self.load(i), layer + 1),
            Place::Slice(i, slice) => format!("{}_slice_{}", self.load(i), slice + 1),
            Place::Shell(i, slice, shell) => {
                format!("{}_slice_{}_shell_{}", self.load(i), slice + 1, shell + 1)
            }
            Place::Storage(i) => format!("storage_of_{}", self.load(i)),
            Place::Sensor(i) => format!("sensor_{}", self.sensor(i)),
            Place::Opening(i) => format!("vent_{}", joined_spaces(self.opening(i))),
            Place::Controller => "control".into(),
            Place::CutOut => "cut_out".into(),
            Place::Box => "box".into(),
            Place::AllZones => "air".into(),
            Place::AllWalls => "walls".into(),
            Place::AllFloors => "floor".into(),
            Place::AllLoads => "loads".into(),
            Place::Element => "element".into(),
            Place::Heater => "heater".into(),
            Place::Fan => "fan".into(),
            Place::Exhaust => "exhaust".into(),
            Place::Pinhole => "pinhole".into(),
            Place::Lid => "lid".into(),
            Place::Room => "room".into(),
            Place::Mains => "mains".into(),
        }
    }

    fn half(&self, load: usize, half: usize) -> String {
        match self.is_whole(load) {
            true => self.load(load).to_owned(),
            false => self.stem(Place::Half(load, half)),
        }
    }

    /// Head of a column, with the unit at its end: `supply_temperature_C`.
    #[must_use]
    pub fn head(&self, at: Address) -> String {
        let stem = self.stem(at.place);
        let quantity = match (at.place, at.quantity) {
            (_, Quantity::SetPoint) => return "set_point_C".into(),
            (Place::Box, Quantity::WaterRemaining) => return "water_in_box_g".into(),
            (Place::Box, Quantity::Pressure) => return "floor_pressure_Pa".into(),
            (_, Quantity::RoomAirIn) => return "room_air_entered_L".into(),
            // Where the water is or went.
            (_, Quantity::Water) => return format!("water_path_in_{stem}_g"),
            (Place::AllWalls, Quantity::Condensate) => return "water_path_on_walls_g".into(),
            (Place::AllWalls, Quantity::BoundWater) => return "water_path_in_walls_g".into(),
            (Place::AllFloors, Quantity::Puddle) => return "water_path_on_floor_g".into(),
            (_, Quantity::NetWaterOut) => return format!("water_path_out_{stem}_g"),
            (Place::Face(..), Quantity::Temperature) => "C",
            (_, Quantity::Temperature) => "temperature_C",
            (_, Quantity::RelativeHumidity) => "relative_humidity_pct",
            (_, Quantity::VapourDensity) => "vapour_density_g_m3",
            (_, Quantity::DewPoint) => "dew_point_C",
            (_, Quantity::Pressure) => "pressure_Pa",
            (_, Quantity::WaterRemaining) => "water_remaining_g",
            (_, Quantity::MassChange) => "mass_change_g",
            (_, Quantity::Moisture) => "moisture_wt_pct",
            (_, Quantity::Resistance(what)) => {
                return format!("{stem}_resistance_{}_pct", what.word());
            }
            (_, Quantity::Condensate) => "film_g",
            (_, Quantity::Puddle) => "puddle_g",
            (_, Quantity::Power) => "power_W",
            (_, Quantity::Energy) => "energy_Wh",
            (_, Quantity::FlowOut) => "out_L_min",
            (_, other) => return format!("{stem}_{}", plain_head(other)),
        };
        format!("{stem}_{quantity}")
    }

    /// Words for a line of a figure: `supply air`.
    #[must_use]
    pub fn label(&self, at: Address) -> String {
        match (at.place, at.quantity) {
            (Place::Zone(_), Quantity::DewPoint) => format!("dew point, {}", self.words(at.place)),
            (_, Quantity::SetPoint) => "set point".into(),
            (Place::Wall(_), Quantity::Condensate) => format!("on {}", self.words(at.place)),
            (Place::Box, Quantity::WaterRemaining) => "in the whole box".into(),
            (Place::Load(_), Quantity::WaterRemaining) => {
                format!("remaining in {}", self.words(at.place))
            }
            (_, Quantity::MassChange) => format!("mass change of {}", self.words(at.place)),
            (_, Quantity::Resistance(what)) => what.label().into(),
            (Place::Box, Quantity::Pressure) => "pressure of the gas over that of the room".into(),
            (_, Quantity::RoomAirIn) => "room air entered".into(),
            (Place::AllZones, Quantity::Water) => "in the air".into(),
            (_, Quantity::Water) => format!("in {}", self.words(at.place)),
            (Place::AllWalls, Quantity::Condensate) => "on the walls".into(),
            (Place::AllWalls, Quantity::BoundWater) => "in the walls".into(),
            (Place::AllFloors, Quantity::Puddle) => "on the floor".into(),
            (_, Quantity::NetWaterOut) => format!("net out by {}", self.words(at.place)),
            _ => self.words(at.place),
        }
    }

    /// A place in words.
    #[must_use]
    pub fn words(&self, place: Place) -> String {
        match place {
            Place::Zone(z) if self.zones.len() > 1 => format!("{} air", self.zone(z)),
            Place::Zone(_) | Place::AllZones => "air".into(),
            Place::Wall(z) => format!("{} wall", self.zone(z)),
            Place::Face(z, Side::Inside) => format!("{} wall inside", self.zone(z)),
            Place::Face(z, Side::Outside) => format!("{} wall outside", self.zone(z)),
            Place::Joint(z, _) => format!("{} wall between layers", self.zone(z)),
            Place::Floor(z) => format!("{} floor", self.zone(z)),
            Place::Load(i) => self.load(i).to_owned(),
            Place::Half(i, half) => format!("{}{}", self.load(i), self.side(i, half)),
            Place::Rim(i, half) => format!("{} rim{}", self.load(i), self.side(i, half)),
            Place::Core(i, half) => format!("{} core{}", self.load(i), self.side(i, half)),
            Place::Layer(i, layer) | Place::Slice(i, layer) | Place::Shell(i, layer, _) => {
                let radii = self.loads.get(i).map_or(&[][..], |l| &l.radii_mm);
                let radius = radii.get(layer % radii.len().max(1)).copied().unwrap_or(0.0);
                format!("{} at {radius:.0} mm", self.load(i))
            }
            Place::Storage(i) => format!("storage of {}", self.load(i)),
            Place::Sensor(i) => format!("sensor {}", self.sensor(i)),
            Place::Opening(i) => format!("vent {}", self.opening(i)),
            Place::Fan => "fan motor".into(),
            Place::Exhaust => "exhaust fan".into(),
            Place::Controller => "control".into(),
            Place::CutOut => "cut-out".into(),
            Place::AllWalls => "walls".into(),
            Place::AllFloors => "floor".into(),
            Place::AllLoads => "all loads".into(),
            other => self.stem(other),
        }
    }

    fn side(&self, load: usize, half: usize) -> String {
        let halves = self.loads.get(load).map_or(&[][..], |l| &l.halves);
        match halves.get(half).filter(|_| halves.len() > 1) {
            Some(zone) => format!(", {zone} half"),
            None => String::new(),
        }
    }

    /// The name of a part, or of a place in the list of flows: that of its table in a scenario.
    #[must_use]
    pub fn part(&self, place: Place) -> String {
        match place {
            Place::Zone(z) => format!("air.{}", self.zone(z)),
            Place::AllZones => "air from zone to zone".into(),
            Place::Wall(z) => format!("wall.{}", self.zone(z)),
            Place::Face(z, Side::Inside) => format!("wall.{} inside", self.zone(z)),
            Place::Face(z, Side::Outside) => format!("wall.{} outside", self.zone(z)),
            Place::Joint(z, i) => format!("wall.{} interface {i}", self.zone(z)),
            Place::Floor(z) => format!("floor.{}", self.zone(z)),
            Place::Element => "heater element".into(),
            Place::Load(i) => format!("load.{}", self.load(i)),
            Place::Slice(i, slice) => {
                let l = self.loads.get(i);
                let depth = l.map_or(1, |l| l.radii_mm.len()).max(1);
                match self.is_whole(i) {
                    true => format!("load.{} layer {}", self.load(i), slice + 1),
                    false => format!(
                        "load.{} half {} layer {}",
                        self.load(i),
                        slice / depth + 1,
                        slice % depth + 1
                    ),
                }
            }
            Place::Shell(i, slice, shell) => {
                format!("{} shell {}", self.part(Place::Slice(i, slice)), shell + 1)
            }
            Place::Storage(i) => format!("load.{} storage", self.load(i)),
            Place::Sensor(i) => format!("sensor.{}", self.sensor(i)),
            Place::Opening(i) => format!("vent.{}", self.opening(i)),
            Place::CutOut => "cut-out".into(),
            other => self.stem(other),
        }
    }

    /// The name of a part of the model in the list of flows.
    #[must_use]
    pub fn part_of(&self, at: Address) -> String {
        match (at.place, at.quantity) {
            (Place::Zone(z), Quantity::Fog) => format!("fog.{}", self.zone(z)),
            (Place::Wall(_), Quantity::BoundWater) => format!("{} plastic", self.part(at.place)),
            (Place::Pinhole, _) => "pinhole of a sealed box".into(),
            (place, _) => self.part(place),
        }
    }

    /// What messages and lists of flows call an entry of the state.
    #[must_use]
    pub fn entry(&self, at: Address) -> String {
        let part = self.part(at.place);
        let what = match (at.place, at.quantity) {
            (_, Quantity::Energy) => {
                return match at.place {
                    Place::Heater | Place::Fan => format!("mains to {part}"),
                    _ => format!("mains to {}", self.words(at.place)),
                };
            }
            (_, Quantity::Time) => return "time".into(),
            (_, Quantity::DisplacedGas) => return "displaced gas".into(),
            (Place::Lid, Quantity::RadiatedOut) => return "lid radiation".into(),
            (Place::Wall(_), Quantity::HeatOut) => "to room",
            // A shell of the filament is its bound water.
            (_, Quantity::Heat) | (Place::Shell(..), _) => return part,
            (Place::Slice(..), Quantity::Vapour) => "gaps",
            (_, Quantity::Vapour) => "vapour",
            (_, Quantity::Fog) => "fog",
            (_, Quantity::DryAir) => "dry air",
            (_, Quantity::Condensate) => "film",
            (_, Quantity::Puddle) => "puddle",
            (_, Quantity::BoundWaterAt(i)) => return format!("{part} sorbed {}", i + 1),
            (Place::Wall(_), Quantity::BoundWater) => "sorbed",
            (_, Quantity::Water | Quantity::BoundWater) => "water",
            (_, Quantity::WaterOut | Quantity::HeatOut | Quantity::AirOut) => "out",
            (_, Quantity::FogOut) => "out fog",
            (_, Quantity::WaterIn | Quantity::HeatIn | Quantity::AirIn) => "in",
            (_, Quantity::Temperature) => "temperature",
            (_, Quantity::RelativeHumidity) => "humidity",
            (_, Quantity::Integral) => "integral",
            (_, other) => plain_head(other),
        };
        format!("{part} {what}")
    }

    /// A line of an account: of what was there before, or came in, as a source; else where it went.
    #[must_use]
    pub fn line(&self, at: Address, source: bool) -> String {
        let words = || self.words(at.place);
        match (at.place, at.quantity, source) {
            (Place::AllZones, Quantity::Water, true) => "in the air at the start".into(),
            (Place::AllZones, Quantity::Water, false) => "in the air at the end".into(),
            (_, Quantity::AddedWater, _) => format!("added to {}", words()),
            (Place::AllWalls, Quantity::BoundWater, true) => "bound in the walls before".into(),
            (Place::AllWalls, Quantity::BoundWater, false) => "bound in the walls".into(),
            (_, Quantity::Water, true) => format!("bound in {} before", words()),
            (_, Quantity::Water, false) => format!("remaining in {} (bound included)", words()),
            (_, Quantity::Condensate, _) => "condensed on the walls".into(),
            (_, Quantity::Puddle, _) => "in puddles on the floor".into(),
            (_, Quantity::WaterIn, _) => format!("in through {}", words()),
            (_, Quantity::WaterOut, _) => format!("out through {}", words()),
            (_, Quantity::Energy, _) => words(),
            (_, Quantity::HeatOut, _) => format!("through the {}", words()),
            (_, Quantity::LatentOut, _) => "evaporating water that left the box".into(),
            (_, Quantity::SensibleOut, _) => "warming the air exchanged with the room".into(),
            (_, Quantity::RadiatedOut, _) => "radiated through the open lid".into(),
            (_, Quantity::Heat, _) => "stored in box, air and loads".into(),
            _ => self.label(at),
        }
    }
}

/// Spaces in the names of openings, such as the zones of a seam, are no part of a head.
fn joined_spaces(name: &str) -> String {
    name.replace(' ', "_")
}

/// A head for what no column shows so far.
fn plain_head(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Vapour => "vapour_g",
        Quantity::Fog => "fog_g",
        Quantity::BoundWater => "bound_water_g",
        Quantity::AddedWater => "added_water_g",
        Quantity::Heat => "heat_Wh",
        Quantity::DryAir => "dry_air_g",
        Quantity::HeatOut => "heat_out_Wh",
        Quantity::HeatIn => "heat_in_Wh",
        Quantity::RadiatedOut => "radiated_out_Wh",
        Quantity::LatentOut => "latent_out_Wh",
        Quantity::SensibleOut => "sensible_out_Wh",
        Quantity::WaterOut => "water_out_g",
        Quantity::FogOut => "fog_out_g",
        Quantity::WaterIn => "water_in_g",
        Quantity::AirOut => "dry_air_out_g",
        Quantity::AirIn => "dry_air_in_g",
        Quantity::DisplacedGas => "displaced_m3",
        Quantity::Integral => "integral",
        Quantity::Time => "time_s",
        _ => "value",
    }
}
