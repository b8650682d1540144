//! The parts of a box. Each file holds a part, the keys it reads and how it is built.

mod circulation;
mod fog;
mod heater;
mod hygroscopic;
mod inert;
#[cfg(test)]
mod lamp;
mod lid;
mod moisture;
mod sensor;
mod spool;
mod still_air;
mod uptake;
mod view;
mod wall;
mod wet_pad;

pub use circulation::Circulation;
pub use fog::{Fog, SETTLING_M_S as FOG_SETTLING_M_S};
pub use heater::{Heater, HeaterSpec};
pub use hygroscopic::{Hygroscopic, HygroscopicSpec};
pub use inert::{Inert, InertSpec};
pub use lid::{Covered, Lid, LidEvent};
pub use moisture::{Moisture, Slice};
pub use sensor::{Sensor, SensorSpec};
pub use spool::{SPREAD, SPREAD_NAMES, Spool, SpoolSpec};
pub use still_air::StillAir;
pub use uptake::Uptake;
pub use view::LoadView;
pub use wall::{Build as WallBuild, Faces, Steady as SteadyWall, Wall, WallSpec};
pub use wet_pad::{Pad, PadSpec};

use super::control::Follower;
use super::flows::Flows;
use super::part::{At, Part};
use super::site::{Context, Site};
use crate::reader::{Key, Keys, Section, key};
use crate::real::Real;

const KIND: Key = key::word("kind", LoadSpec::KINDS).help("what it is");

/// The list of load kinds: it makes the enums, the reader and the words for error messages.
macro_rules! load_kinds {
    ($($(#[$only:meta])? $word:literal => $variant:ident($spec:ty, $part:ty)),* $(,)?) => {
        /// Any load of a scenario.
        #[derive(Clone, Debug)]
        pub enum LoadSpec { $($(#[$only])? #[doc = $word] $variant($spec)),* }
        impl LoadSpec {
            /// Words that `kind` may have.
            pub const KINDS: &'static [&'static str] = &[$($(#[$only])? $word),*];
            /// The keys of each kind.
            pub const KEYS: &'static [Keys] = &[
                Keys::always("load.NAME", "what dries, or takes heat or water up", &[&KIND]),
                $($(#[$only])? Keys::when("load.NAME", ("kind", $word), "", <$spec>::KEYS)),*
            ];
            /// Reads `[load.<name>]`.
            pub fn read(s: &Section, cx: &Context) -> Self {
                match s.choice(&KIND) {
                    $($(#[$only])? $word => Self::$variant(<$spec>::read(s, cx)),)*
                    _ => unreachable!("choice returns one of KINDS"),
                }
            }
            /// Makes the part and what the results need to know of it.
            pub fn build(&self, site: &mut Site) -> (AnyPart, LoadView) {
                match self { $($(#[$only])? Self::$variant(spec) => {
                    let (part, view) = spec.build(site);
                    (AnyPart::$variant(part), view)
                }),* }
            }
            /// Name in the scenario.
            pub fn name(&self) -> &str {
                match self { $($(#[$only])? Self::$variant(spec) => &spec.name),* }
            }
            /// Water added \[kg\].
            pub fn added_kg(&self) -> f64 {
                match self { $($(#[$only])? Self::$variant(spec) => spec.added_kg()),* }
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
            $($(#[$only])? #[doc = $word] $variant($part)),*
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
                    $($(#[$only])? Self::$variant(p) => p.flows(at, flows)),*
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
    #[cfg(test)] "lamp" => Lamp(lamp::LampSpec, lamp::Lamp),
}
