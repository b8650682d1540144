//! All names of addresses: heads of columns, labels, entries of the state, lines of the accounts.

use serde::{Deserialize, Serialize};

use super::{Address, DryingResistance, Place, Quantity, Side};
use crate::text::joined;

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
    pub(super) fn zone(&self, i: usize) -> &str {
        self.zones.get(i).map_or("", String::as_str)
    }

    pub(super) fn opening(&self, i: usize) -> &str {
        self.openings.get(i).map_or("", String::as_str)
    }

    pub(super) fn sensor(&self, i: usize) -> &str {
        self.sensors.get(i).map_or("", String::as_str)
    }

    pub(super) fn load(&self, i: usize) -> &str {
        self.loads.get(i).map_or("", |l| l.name.as_str())
    }

    pub(super) fn is_whole(&self, i: usize) -> bool {
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
            (_, Quantity::Resistance(what)) => {
                format!("{}: {}", self.words(at.place), what.label())
            }
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
}

/// Spaces in the names of openings, such as the zones of a seam, are no part of a head.
fn joined_spaces(name: &str) -> String {
    name.replace(' ', "_")
}

/// A head for what no column shows so far.
pub(super) fn plain_head(quantity: Quantity) -> &'static str {
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
