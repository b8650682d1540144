//! The parts of a box. Each file holds a part, the keys it reads and how it is built.

mod circulation;
mod fog;
mod heater;
mod hygroscopic;
mod inert;
mod lid;
mod sensor;
mod spool;
mod still_air;
mod uptake;
mod wall;
mod wet_pad;

pub use circulation::Circulation;
pub use fog::{Fog, SETTLING_M_S as FOG_SETTLING_M_S};
pub use heater::{Heater, HeaterSpec};
pub use hygroscopic::{Hygroscopic, HygroscopicSpec};
pub use inert::{Inert, InertSpec};
pub use lid::{Covered, Lid, LidEvent};
pub use sensor::{Sensor, SensorSpec};
pub use spool::{Moisture, SPREAD, SPREAD_NAMES, Slice, Spool, SpoolSpec};
pub use still_air::StillAir;
pub use uptake::Uptake;
pub use wall::{Build as WallBuild, Faces, Steady as SteadyWall, Wall, WallSpec};
pub use wet_pad::{Pad, PadSpec};

use super::control::Follower;
use super::flows::Flows;
use super::part::{At, Part};
use super::site::{Context, Site};
use super::store::{Heat, Water};
use crate::reader::Section;
use crate::real::Real;

/// What the results need to know of a load.
#[derive(Clone, Debug)]
pub struct LoadView {
    /// Name in the scenario.
    pub name: String,
    /// Its heat: that of its outermost layer where it has several.
    pub heat: Heat,
    /// All of its heat.
    pub heats: Vec<Heat>,
    /// All of its water; empty for dry loads.
    pub waters: Vec<Water>,
    /// Water in it that is not counted as added: what it holds in equilibrium with the room \[kg\].
    pub bound_kg: f64,
    /// Water added to it \[kg\].
    pub added_kg: f64,
    /// Its layers, where its moisture matters.
    pub moisture: Option<Moisture>,
}

impl LoadView {
    /// A load of one temperature, without water that is added and without layers.
    fn of_one(name: &str, heat: Heat, waters: Vec<Water>, bound_kg: f64) -> Self {
        let (name, heats) = (name.to_owned(), vec![heat]);
        LoadView { name, heat, heats, waters, bound_kg, added_kg: 0.0, moisture: None }
    }
}

/// The list of load kinds: it makes the enums, the reader and the words for error messages.
macro_rules! load_kinds {
    ($($word:literal => $variant:ident($spec:ty, $part:ty)),* $(,)?) => {
        /// Any load of a scenario.
        #[derive(Clone, Debug)]
        pub enum LoadSpec { $(#[doc = $word] $variant($spec)),* }
        impl LoadSpec {
            /// Words that `kind` may have.
            pub const KINDS: &'static [&'static str] = &[$($word),*];
            /// Reads `[load.<name>]`.
            pub fn read(s: &Section, cx: &Context) -> Self {
                match s.choice("kind", Self::KINDS) {
                    $($word => Self::$variant(<$spec>::read(s, cx)),)*
                    _ => unreachable!("choice returns one of KINDS"),
                }
            }
            /// Makes the part and what the results need to know of it.
            pub fn build(&self, site: &mut Site) -> (AnyPart, LoadView) {
                match self { $(Self::$variant(spec) => {
                    let (part, view) = spec.build(site);
                    (AnyPart::$variant(part), view)
                }),* }
            }
            /// Name in the scenario.
            pub fn name(&self) -> &str {
                match self { $(Self::$variant(spec) => &spec.name),* }
            }
            /// Water added \[kg\].
            pub fn added_kg(&self) -> f64 {
                match self { $(Self::$variant(spec) => spec.added_kg()),* }
            }
        }
        /// Any part of a model.
        #[derive(Clone, Debug)]
        pub enum AnyPart {
            /// The fan's stream round the box.
            Circulation(Circulation),
            /// Element and controller.
            Heater(Heater),
            /// The wall of one zone.
            Wall(Wall),
            /// Water in the plastic of a wall.
            Uptake(Uptake),
            /// Fog in the air of one zone.
            Fog(Fog),
            /// The lid while it is open.
            Lid(Lid),
            /// A sensor.
            Sensor(Sensor),
            /// What a cut-out feels.
            Follower(Follower),
            $(#[doc = $word] $variant($part)),*
        }
        impl AnyPart {
            /// Whether it draws from the mains.
            #[inline]
            pub fn is_fed(&self) -> bool {
                matches!(self, Self::Circulation(_) | Self::Heater(_))
            }
        }
        impl Part for AnyPart {
            #[inline]
            fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
                match self {
                    Self::Circulation(p) => p.flows(at, flows),
                    Self::Heater(p) => p.flows(at, flows),
                    Self::Wall(p) => p.flows(at, flows),
                    Self::Uptake(p) => p.flows(at, flows),
                    Self::Fog(p) => p.flows(at, flows),
                    Self::Lid(p) => p.flows(at, flows),
                    Self::Sensor(p) => p.flows(at, flows),
                    Self::Follower(p) => p.flows(at, flows),
                    $(Self::$variant(p) => p.flows(at, flows)),*
                }
            }
        }
    };
}
load_kinds! {
    "wet_pad" => Pad(PadSpec, Pad),
    "inert" => Inert(InertSpec, Inert),
    "hygroscopic" => Hygroscopic(HygroscopicSpec, Hygroscopic),
    "spool" => Spool(SpoolSpec, Spool),
}
