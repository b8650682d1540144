//! The lid of a tight box, which gives way where the pressure of the gas lifts it.

use super::exhaust::{FAN_CURVE_DENSITY, WARM_VISCOSITY};
use super::{Opening, OpeningSpec, VentPlace};
use crate::model::site::Site;
use crate::physics::constants::{CP_AIR, R_AIR, STANDARD_PRESSURE};
use crate::physics::opening;
use crate::reader::{Key, Keys, Section, key};
use crate::units::Kind;

const RELIEF_PRESSURE: Key = key::quantity("relief_pressure", Kind::Pressure, 50.0..=20_000.0)
    .or(USUAL_PA, "a lid, a seal or a panel gives way there (order; small openings only)")
    .within(3.0, 'D')
    .help("the lid of a box with small openings gives way there; state it for a box without any opening");

/// Name of its opening.
pub const NAME: &str = "relief";
/// Pressure at which a lid gives way by default \[Pa\]: on 0.1 m2 the weight of 20 kg. Order, our choice.
const USUAL_PA: f64 = 2_000.0;
/// Diameter of a hole of the area that opens then \[m\], 1 cm2: so wide that the pressure stays within
/// some ten pascals of what the lid holds. Our choice.
const LIFTED_M: f64 = 11.3e-3;
/// Share of that pressure that the openings may need to let the gas out which the heater swells, for the
/// lid to be left out. Our choice.
const FAR_BELOW: f64 = 0.5;
/// Power over the nominal one that they must be able to follow: a cold ceramic, a lid just closed. Our choice.
const SURGE: f64 = 2.0;

/// `enclosure.relief_pressure`.
#[derive(Clone, Copy, Debug)]
pub struct ReliefSpec {
    holds_pa: f64,
    height_m: f64,
}

impl ReliefSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[Keys::always("enclosure", "", &[&RELIEF_PRESSURE])];

    /// Reads `relief_pressure` of `[enclosure]`. None where openings let the gas out long before, and none
    /// in a box without openings that states nothing: that keeps the room's pressure by a pinhole.
    pub fn read(s: &Section, vents: &[OpeningSpec], power_w: f64, height_m: f64) -> Option<Self> {
        if s.has(&RELIEF_PRESSURE) {
            return Some(ReliefSpec { holds_pa: s.quantity(&RELIEF_PRESSURE), height_m });
        }
        if vents.is_empty() {
            return None;
        }
        let holds_pa = s.quantity(&RELIEF_PRESSURE);
        let swelling = SURGE * power_w * R_AIR / (CP_AIR * STANDARD_PRESSURE);
        let geometries = vents.iter().flat_map(OpeningSpec::geometries);
        let out: f64 = geometries
            .map(|g| g.resistance(WARM_VISCOSITY, FAN_CURVE_DENSITY).flow(FAR_BELOW * holds_pa))
            .sum();
        (out < swelling).then_some(ReliefSpec { holds_pa, height_m })
    }

    /// Makes the opening, in the last zone.
    pub fn build(&self, site: &mut Site) -> Opening {
        let zone = site.zones.len() - 1;
        let place = VentPlace { zone, height_m: self.height_m, pressure_share: Some(0.0) };
        let mut made = site.opening(NAME, &place, opening::hole(LIFTED_M, 0.0), 0.0);
        made.holds_pa = self.holds_pa;
        made
    }
}
