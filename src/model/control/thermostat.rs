//! On/off control with hysteresis.

use super::decider::Decider;
use crate::address::Change;
use crate::model::part::Modes;
use crate::model::reading::{Reading, See};
use crate::reader::{Key, Section, key};
use crate::units::Kind;

pub(super) const HYSTERESIS: Key =
    key::quantity("hysteresis", Kind::TemperatureDifference, 0.0..=30.0)
        .help("full width of the band between on and off, usually 1 to 5 K");

/// `[control]` with `kind = "thermostat"`.
#[derive(Clone, Debug)]
pub struct ThermostatSpec {
    /// Full width of the band \[K\].
    pub hysteresis_k: f64,
}

impl ThermostatSpec {
    /// Reads `hysteresis`.
    pub fn read(s: &Section) -> Self {
        let hysteresis_k = s.quantity(&HYSTERESIS);
        if hysteresis_k < 0.01 && s.has(&HYSTERESIS) {
            s.fail(
                "hysteresis",
                "hysteresis-zero",
                "is too narrow: the heater would switch without end",
                Some("hysteresis is the full width of the on/off band, usually 1 to 5 K"),
                Some("write \"1 K\"".into()),
            );
        }
        ThermostatSpec { hysteresis_k }
    }

    /// Makes the controller.
    pub fn build(&self, reading: Reading) -> Thermostat {
        Thermostat { reading, half_band_k: 0.5 * self.hysteresis_k }
    }
}

/// A two-point switch at its sensor.
#[derive(Clone, Debug)]
pub struct Thermostat {
    reading: Reading,
    half_band_k: f64,
}

impl Thermostat {
    /// How far the reading lies above the set point \[K\].
    fn excess(&self, see: &See<'_>, modes: &Modes) -> f64 {
        self.reading.value(see) - modes.target.at(see.time_s)
    }
}

impl Decider for Thermostat {
    fn guards(&self) -> usize {
        2
    }

    /// Off at the upper edge, on at the lower one.
    fn values(&self, see: &See<'_>, modes: &Modes, out: &mut [f64]) {
        let excess = self.excess(see, modes);
        out[0] = excess - self.half_band_k;
        out[1] = -self.half_band_k - excess;
    }

    fn decide(&self, see: &See<'_>, modes: &mut Modes) -> Option<Change> {
        let excess = self.excess(see, modes);
        if modes.heater_on && excess >= self.half_band_k {
            modes.heater_on = false;
            return Some(Change::HeaterOff);
        }
        if !modes.heater_on && excess <= -self.half_band_k {
            modes.heater_on = true;
            return Some(Change::HeaterOn);
        }
        None
    }
}
