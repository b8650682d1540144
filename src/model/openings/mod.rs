//! Openings to the room, as one set that one pressure balance solves together.
//!
//! An opening kind reads its keys, works out a flow geometry and a diffusion length, and hands back
//! plain [`Opening`]s: no behaviour of its own is needed at run time. A new kind is one file here
//! and one line in the list below.

mod counterflow;
mod exhaust;
mod hole;
mod relief;
mod seam;

pub use counterflow::Counterflow;
pub(super) use exhaust::FAN_CURVE_DENSITY;
pub use exhaust::{Exhaust, ExhaustSpec};
pub use hole::HoleSpec;
pub use relief::{NAME as RELIEF, ReliefSpec};
pub use seam::SeamSpec;

use super::site::{Context, Site};
use super::store::Gas;
use crate::address::Place;
use crate::physics::opening::Geometry;
use crate::reader::{Key, Keys, Section, key};

const KIND: Key = key::word("kind", OpeningSpec::KINDS).help("what it is");
const HEIGHT: Key = key::quantity("height", crate::units::Kind::Length, 0.0..=5.0)
    .help("height of its centre above the floor of the box");
const PRESSURE_SHARE: Key = key::number("pressure_share", -2.0..=2.0)
    .optional()
    .help("share of the pressure of the stirring fan that it sees; +1/2 behind the fan to -1/2 before it without it");
/// 1 for still air, up to 4 where a stream grazes it. Our range, from the spread of cavity data (from memory).
const CROSS_FLOW_FACTOR: Key = key::number("cross_flow_factor", 0.0..=10.0)
    .or(1.0, "still air at the opening; 1 to 4 in a stream")
    .likely(1.0, 4.0, 'D')
    .help("what a stream along the opening does to the diffusion through it");

/// An opening between one zone and the room.
#[derive(Clone, Debug)]
pub struct Opening {
    /// Name in the scenario, such as `low`.
    pub name: String,
    /// Number of the zone it opens into.
    pub zone: usize,
    /// Height of its centre above the floor of the box \[m\].
    pub height_m: f64,
    /// Share of the fan pressure it sees (+1/2 at the fan's outlet side).
    pub pressure_share: f64,
    /// Its resistance to any gas.
    pub geometry: Geometry,
    /// Free area over diffusion length, times the stirring factor \[m\].
    pub diffusion_m: f64,
    /// Pressure, either way, below which nothing passes \[Pa\]; 0 for an opening that is open.
    pub holds_pa: f64,
    /// Counterflow of warm and cold air within it.
    pub exchange: Option<Counterflow>,
    /// The fan and flap behind it.
    pub exhaust: Option<Exhaust>,
    /// Totals of what left through it.
    pub out: Gas,
    /// Totals of what entered through it (negative amounts: the room is poorer by them).
    pub back: Gas,
}

/// Where an opening sits, as every kind reads it.
#[derive(Clone, Debug)]
pub struct VentPlace {
    /// Number of the zone.
    pub zone: usize,
    /// Height \[m\].
    pub height_m: f64,
    /// Own share of the fan pressure, where the scenario states one.
    pub pressure_share: Option<f64>,
}

impl VentPlace {
    /// Reads `zone`, `height` and `pressure_share`.
    pub fn read(s: &Section, cx: &Context) -> VentPlace {
        VentPlace { zone: cx.zone(s), height_m: read_height(s, cx), pressure_share: read_share(s) }
    }
}

fn read_height(s: &Section, cx: &Context) -> f64 {
    let height = s.quantity(&HEIGHT);
    if height > cx.inner_height_m * (1.0 + 1e-9) {
        s.fail(
            "height",
            "height-outside",
            &format!("lies above the box, which is {} high inside", length(cx.inner_height_m)),
            Some("height counts from the floor of the box to the centre of the opening"),
            None,
        );
    }
    height
}

fn length(metres: f64) -> String {
    crate::units::format(crate::units::Kind::Length, metres)
}

fn read_share(s: &Section) -> Option<f64> {
    s.has(&PRESSURE_SHARE).then(|| s.quantity(&PRESSURE_SHARE))
}

impl Site {
    /// Makes one opening and its running totals.
    pub(super) fn opening(
        &mut self,
        name: &str,
        place: &VentPlace,
        geometry: Geometry,
        diffusion_m: f64,
    ) -> Opening {
        let at = Place::Opening(self.openings);
        self.openings += 1;
        let share = place.pressure_share.unwrap_or(self.zones[place.zone].pressure_share);
        Opening {
            name: name.into(),
            zone: place.zone,
            height_m: place.height_m,
            pressure_share: share,
            geometry,
            diffusion_m,
            holds_pa: 0.0,
            exchange: None,
            exhaust: None,
            out: self.layout.outflow_total(at),
            back: self.layout.inflow_total(at),
        }
    }
}

/// The list of opening kinds: it makes the enum, the reader and the words for error messages.
macro_rules! opening_kinds {
    ($($word:literal => $variant:ident($spec:ty)),* $(,)?) => {
        /// Any opening of a scenario.
        #[derive(Clone, Debug)]
        pub enum OpeningSpec { $(#[doc = $word] $variant($spec)),* }
        impl OpeningSpec {
            /// Words that `kind` may have.
            pub const KINDS: &'static [&'static str] = &[$($word),*];
            /// The keys of each kind.
            pub const KEYS: &'static [Keys] = &[
                Keys::always("vent.NAME", "an opening to the room", &[&KIND]),
                $(Keys::when("vent.NAME", ("kind", $word), "", <$spec>::KEYS)),*
            ];
            /// Reads `[vent.<name>]`.
            pub fn read(s: &Section, cx: &Context) -> Self {
                match s.choice(&KIND) {
                    $($word => Self::$variant(<$spec>::read(s, cx)),)*
                    _ => unreachable!("choice returns one of KINDS"),
                }
            }
            /// Makes the openings.
            pub fn build(&self, site: &mut Site) -> Vec<Opening> {
                match self { $(Self::$variant(spec) => spec.build(site)),* }
            }
            /// Flow geometries of its passages.
            pub fn geometries(&self) -> Vec<Geometry> {
                match self { $(Self::$variant(spec) => spec.geometries()),* }
            }
            /// Free area \[m2\].
            pub fn area_m2(&self) -> f64 {
                match self { $(Self::$variant(spec) => spec.area_m2()),* }
            }
        }
    };
}
opening_kinds! {
    "hole" => Hole(HoleSpec),
    "seam" => Seam(SeamSpec),
}
