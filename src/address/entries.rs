//! Names of entries of the state, of parts, and of lines of the accounts.

use super::names::plain_head;
use super::{Address, Names, Place, Quantity, Side};

impl Names {
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
            (Place::Wall(_), Quantity::BoundWater) => format!("{} uptake", self.part(at.place)),
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
