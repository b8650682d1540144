//! Sensors: first-order lags. Its humidity element sees the vapour at the sensor's own temperature.

use crate::address::{Place, Quantity};
use crate::model::flows::Flows;
use crate::model::part::{At, Part};
use crate::model::reading::Reading;
use crate::model::site::{Context, SensorLags, Site, ZONE};
use crate::model::store::Lag;
use crate::physics::moist_air::saturation_in_air_pa;
use crate::reader::{Key, Keys, Section, key};
use crate::real::Real;
use crate::units::Kind;

const TIME_CONSTANT: Key =
    key::quantity("time_constant", Kind::Time, 0.1..=7_200.0).help("lag of its temperature");
const HUMIDITY_TIME_CONSTANT: Key =
    key::quantity("humidity_time_constant", Kind::Time, 0.1..=7_200.0)
        .or(8.0, "capacitive element at 1 m/s, 4 to 10 s (from memory of data sheets)")
        .likely(4.0, 10.0, 'C')
        .help("lag of its humidity element");
const OFFSET_TEMPERATURE: Key =
    key::quantity("offset_temperature", Kind::TemperatureDifference, -20.0..=20.0)
        .or(0.0, "reads true")
        .help("what it reads too much");
const OFFSET_HUMIDITY: Key = key::quantity("offset_humidity", Kind::HumidityDifference, -0.5..=0.5)
    .or(0.0, "reads true")
    .help("what it reads too much");
const ACCURACY_TEMPERATURE: Key =
    key::quantity("accuracy_temperature", Kind::TemperatureDifference, 0.0..=20.0)
        .optional()
        .help("stated limits of its error, as ±");
const ACCURACY_HUMIDITY: Key =
    key::quantity("accuracy_humidity", Kind::HumidityDifference, 0.0..=0.5)
        .optional()
        .help("stated limits of its error, as ±");

/// Scale of errors in a relative humidity: a thousandth of a percent at a tolerance of 1e-6.
const HUMIDITY_SCALE: f64 = 10.0;

/// `[sensor.<name>]`.
#[derive(Clone, Debug)]
pub struct SensorSpec {
    /// Name in the scenario.
    pub name: String,
    /// Zone, or the room.
    pub zone: Option<usize>,
    /// Lag of its temperature \[s\].
    pub time_constant_s: f64,
    /// Lag of its humidity element \[s\].
    pub humidity_time_constant_s: f64,
    /// What it reads too much: temperature \[K\] and relative humidity \[0..1\].
    pub offset: (f64, f64),
    /// Stated accuracy: temperature \[K\] and relative humidity \[0..1\].
    pub accuracy: Option<(f64, f64)>,
}

impl SensorSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[Keys::always(
        "sensor.NAME",
        "a sensor, as the controller or a logger reads it",
        &[
            &ZONE,
            &TIME_CONSTANT,
            &HUMIDITY_TIME_CONSTANT,
            &OFFSET_TEMPERATURE,
            &OFFSET_HUMIDITY,
            &ACCURACY_TEMPERATURE,
            &ACCURACY_HUMIDITY,
        ],
    )];

    /// Reads its keys.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let accuracy_k = s.quantity_opt(&ACCURACY_TEMPERATURE);
        let accuracy_rh = s.quantity_opt(&ACCURACY_HUMIDITY);
        SensorSpec {
            name: s.name(),
            zone: cx.zone_or_room(s),
            time_constant_s: s.quantity(&TIME_CONSTANT),
            humidity_time_constant_s: s.quantity(&HUMIDITY_TIME_CONSTANT),
            offset: (s.quantity(&OFFSET_TEMPERATURE), s.quantity(&OFFSET_HUMIDITY)),
            accuracy: accuracy_k.zip(accuracy_rh),
        }
    }

    /// Makes the part. It starts at rest in the air it sees.
    pub fn build(&self, site: &mut Site) -> Sensor {
        let air = if self.zone.is_some() { &site.start } else { &site.room };
        let (temp_k, rh) = (air.temp_k, air.relative_humidity(site.total_pa));
        let at = Place::Sensor(site.sensors.len());
        let scale = crate::model::store::SCALE.kelvin;
        let temperature = site.layout.lag(at, Quantity::Temperature, temp_k, scale);
        let humidity = site.layout.lag(at, Quantity::RelativeHumidity, rh, HUMIDITY_SCALE);
        site.sensors.push(SensorLags {
            temperature: Reading { lag: temperature, offset: self.offset.0 },
            humidity: Reading { lag: humidity, offset: self.offset.1 },
        });
        Sensor {
            zone: self.zone,
            temperature,
            humidity,
            per_s: 1.0 / self.time_constant_s,
            element_per_s: 1.0 / self.humidity_time_constant_s,
            offset: self.offset,
        }
    }
}

/// Two lags in series.
#[derive(Clone, Debug)]
pub struct Sensor {
    /// Zone, or the room.
    pub zone: Option<usize>,
    /// Its own temperature \[K\].
    pub temperature: Lag,
    /// Relative humidity of its element, 0..1.
    pub humidity: Lag,
    /// What it reads too much: temperature \[K\] and relative humidity \[0..1\].
    pub offset: (f64, f64),
    per_s: f64,
    element_per_s: f64,
}

impl Part for Sensor {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let air = self.zone.map_or(&at.room, |z| &at.zones[z].air);
        let own_k = at.lag(self.temperature);
        flows.pace(self.temperature, (air.temp_k - own_k) * self.per_s);
        let seen = air.vapour_pa / saturation_in_air_pa(own_k, at.total_pa);
        flows.pace(self.humidity, (seen - at.lag(self.humidity)) * self.element_per_s);
    }
}
