//! On/off control with hysteresis.

use super::read_set_point;
use crate::model::site::{Context, Site};
use crate::model::store::Lag;
use crate::reader::Section;
use crate::units::Kind;

/// `[control]` with `kind = "thermostat"`.
#[derive(Clone, Debug)]
pub struct ThermostatSpec {
    /// Middle of the band \[K\].
    pub set_point_k: f64,
    /// Full width of the band \[K\].
    pub hysteresis_k: f64,
    /// Number of the sensor it reads.
    pub sensor: usize,
}

impl ThermostatSpec {
    /// Reads `set_point`, `hysteresis` and `sensor`.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let hysteresis_k = s.quantity("hysteresis", Kind::TemperatureDifference, 0.0..=30.0);
        if hysteresis_k < 0.01 {
            s.fail(
                "hysteresis",
                "hysteresis-zero",
                "is too narrow: the heater would switch without end",
                Some("hysteresis is the full width of the on/off band, usually 1 to 5 K"),
                Some("write \"1 K\"".into()),
            );
        }
        ThermostatSpec {
            set_point_k: read_set_point(s, cx),
            hysteresis_k,
            sensor: cx.sensor(s, "sensor"),
        }
    }

    /// Makes the controller.
    pub fn build(&self, site: &Site) -> Thermostat {
        let (lag, offset) = site.sensors[self.sensor];
        // The reading is the lag plus the offset; compare the lag itself with shifted edges.
        Thermostat {
            sensor: lag,
            upper_k: self.set_point_k + 0.5 * self.hysteresis_k - offset,
            lower_k: self.set_point_k - 0.5 * self.hysteresis_k - offset,
        }
    }
}

/// A two-point switch at its sensor.
#[derive(Clone, Debug)]
pub struct Thermostat {
    sensor: Lag,
    upper_k: f64,
    lower_k: f64,
}

impl Thermostat {
    pub(super) fn starts_on(&self, y: &[f64]) -> bool {
        y[self.sensor.0.index(0)] < self.upper_k
    }

    /// Guard 0 switches off at the upper edge, guard 1 on at the lower one.
    pub(super) fn guard_values(&self, y: &[f64], out: &mut [f64]) {
        let reading = y[self.sensor.0.index(0)];
        out[0] = reading - self.upper_k;
        out[1] = self.lower_k - reading;
    }
}
