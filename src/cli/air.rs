//! `drybench air`: the moist-air calculator.

use clap::Args;

use super::Format;
use super::output::{Talk, json, print};
use crate::files::{Cause, Listener, Outcome, Stop};
use crate::physics::constants::STANDARD_PRESSURE;
use crate::physics::moist_air::standard_atmosphere_pa;
use crate::physics::psychrometrics::{AirError, AirState, Humidity, air_state};
use crate::report::air;
use crate::units::{self, Kind, ZERO_CELSIUS_K};

#[derive(Debug, Args)]
#[command(
    allow_negative_numbers = true,
    after_help = "Examples:\n  \
        drybench air -t \"22 °C\" --rh \"45 %RH\" --heat-to \"50 °C\"\n  \
        drybench air -t \"122 °F\" --dew-point \"20 °C\" --altitude \"1200 m\"\n\n\
        Above 0 °C all humidities are over water, below it over ice."
)]
pub(super) struct Air {
    /// Temperature, -50 to 100 °C
    #[arg(short, long, allow_hyphen_values = true, value_name = "TEMPERATURE")]
    temperature: String,
    #[command(flatten)]
    humidity: HumidityArgument,
    /// Pressure, 600 to 1100 hPa; 1013.25 hPa without it
    #[arg(long, value_name = "PRESSURE", conflicts_with = "altitude")]
    pressure: Option<String>,
    /// Altitude instead of pressure (standard atmosphere), -500 to 4100 m
    #[arg(long, allow_hyphen_values = true, value_name = "HEIGHT")]
    altitude: Option<String>,
    /// Also show the same air (same water content) at another temperature
    #[arg(long, allow_hyphen_values = true, value_name = "TEMPERATURE")]
    heat_to: Option<String>,
    /// How to write the result
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
}

/// One of four ways of saying how humid the air is.
#[derive(Debug, Args)]
#[group(required = true, multiple = false)]
struct HumidityArgument {
    /// Relative humidity, such as "45 %RH"
    #[arg(long, value_name = "HUMIDITY")]
    rh: Option<String>,
    /// Dew point (frost point below 0 °C)
    #[arg(long, allow_hyphen_values = true, value_name = "TEMPERATURE")]
    dew_point: Option<String>,
    /// Wet-bulb temperature (over ice below 0 °C)
    #[arg(long, allow_hyphen_values = true, value_name = "TEMPERATURE")]
    wet_bulb: Option<String>,
    /// Humidity ratio, such as "8 g/kg"
    #[arg(long, value_name = "RATIO")]
    humidity_ratio: Option<String>,
}

/// A result for JSON.
#[derive(serde::Serialize)]
struct Answer {
    schema_version: u32,
    units: &'static str,
    warnings: Vec<String>,
    air: AirState,
    heated: Option<AirState>,
}

const TEMPERATURES: (f64, f64) = (ZERO_CELSIUS_K - 50.0, ZERO_CELSIUS_K + 100.0);
const PRESSURES: (f64, f64) = (60e3, 110e3);
/// Up to here a humidity above saturation is taken for the error of a sensor in saturated air: the
/// few percent that makers state. Common practice.
const SENSED_AS_SATURATED: f64 = 1.05;

impl Air {
    pub(super) fn run(&self, talk: &Talk) -> Outcome {
        let temp_k = value("--temperature", &self.temperature, Kind::Temperature, TEMPERATURES)?;
        let total_pa = self.pressure_pa()?;
        let (humidity, warnings) = self.humidity.read()?;
        let state = air_state(temp_k, humidity, total_pa)
            .map_err(|e| impossible(&self.humidity.typed(), &self.temperature, e))?;
        let heated = match &self.heat_to {
            None => None,
            Some(text) => {
                let to = value("--heat-to", text, Kind::Temperature, TEMPERATURES)?;
                let ratio = Humidity::Ratio(state.humidity_ratio);
                let heated = air_state(to, ratio, total_pa);
                Some(heated.map_err(|e| below_dew_point(text, &state, e))?)
            }
        };
        let mut states = vec![("as given", state)];
        states.extend(heated.map(|s| ("same water", s)));
        for text in &warnings {
            talk.note(text);
        }
        match self.format {
            Format::Table => print(&air::table(&states)),
            Format::Csv => print(&air::csv(&states)),
            Format::Json => {
                let schema_version = crate::run::SCHEMA_VERSION;
                let units = "SI: K, Pa, kg/kg, kg/m3, m3/kg, J/kg; relative humidity 0..1";
                print(&json(&Answer { schema_version, units, warnings, air: state, heated })?)
            }
        }
    }

    fn pressure_pa(&self) -> Result<f64, Stop> {
        match (&self.pressure, &self.altitude) {
            (Some(text), _) => value("--pressure", text, Kind::Pressure, PRESSURES),
            (None, Some(text)) => {
                let height = value("--altitude", text, Kind::Length, (-500.0, 4_100.0))?;
                Ok(standard_atmosphere_pa(height))
            }
            (None, None) => Ok(STANDARD_PRESSURE),
        }
    }
}

impl HumidityArgument {
    /// The option as typed, for messages.
    fn typed(&self) -> String {
        let all = [
            ("--rh", &self.rh),
            ("--dew-point", &self.dew_point),
            ("--wet-bulb", &self.wet_bulb),
            ("--humidity-ratio", &self.humidity_ratio),
        ];
        let given = all.iter().find_map(|(name, text)| text.as_ref().map(|t| (name, t)));
        given.map_or_else(String::new, |(name, text)| format!("{name} = \"{text}\""))
    }

    /// The humidity, and how it was understood where that must be said.
    fn read(&self) -> Result<(Humidity, Vec<String>), Stop> {
        if let Some(text) = &self.rh {
            let kind = Kind::RelativeHumidity;
            if units::parse(kind, text).is_ok_and(|v| v > 1.0 && v <= SENSED_AS_SATURATED) {
                let note = format!(
                    "note: --rh = \"{text}\" is taken as saturated air, 100 %RH: a sensor may show \
                     that much more; what air holds beyond saturation is mist"
                );
                return Ok((Humidity::Relative(1.0), vec![note]));
            }
            let share = value("--rh", text, kind, (0.0, 1.0))?;
            return Ok((Humidity::Relative(share), Vec::new()));
        }
        Ok((self.read_other()?, Vec::new()))
    }

    fn read_other(&self) -> Result<Humidity, Stop> {
        let low = ZERO_CELSIUS_K - 90.0;
        let temperatures = (low, TEMPERATURES.1);
        if let Some(text) = &self.dew_point {
            let k = value("--dew-point", text, Kind::Temperature, temperatures)?;
            return Ok(Humidity::DewPoint(k));
        }
        if let Some(text) = &self.wet_bulb {
            let k = value("--wet-bulb", text, Kind::Temperature, temperatures)?;
            return Ok(Humidity::WetBulb(k));
        }
        let text = self.humidity_ratio.as_deref().unwrap_or_default();
        Ok(Humidity::Ratio(value("--humidity-ratio", text, Kind::HumidityRatio, (0.0, 10.0))?))
    }
}

/// Parses the text of an option and checks its range.
fn value(option: &str, text: &str, kind: Kind, (low, high): (f64, f64)) -> Result<f64, Stop> {
    let v = units::parse(kind, text).map_err(|e| {
        let message = format!("{option} = \"{text}\" {e}\n     {}", e.hint());
        Stop::message(Cause::BadInput, message)
    })?;
    // A part in 10^12 of slack, so that a limit may be typed in another unit.
    if v < low - 1e-12 * low.abs() || v > high + 1e-12 * high.abs() {
        let (low, high) = (units::format(kind, low), units::format(kind, high));
        let message =
            format!("{option} = \"{text}\" is out of range\n     it must be from {low} to {high}.");
        return Err(Stop::message(Cause::BadInput, message));
    }
    Ok(v)
}

/// Why air of this temperature and humidity cannot exist.
fn impossible(option: &str, temperature: &str, e: AirError) -> Stop {
    let hint = match e {
        AirError::AboveSaturation { .. } => {
            "dew point and wet bulb cannot be above the temperature".to_owned()
        }
        AirError::WetBulbTooLow { lowest_c } => {
            format!("write a wet bulb from {lowest_c:.2} °C up to the temperature")
        }
        AirError::Boiling { .. } => "lower the humidity or raise the pressure".to_owned(),
    };
    let text = format!("{option} cannot be at \"{temperature}\": {e}\n     {hint}");
    Stop::message(Cause::BadInput, text)
}

/// Why the same water does not stay in air of another temperature.
fn below_dew_point(to: &str, state: &AirState, e: AirError) -> Stop {
    let dew = state.dew_point_k.map(|k| units::format(Kind::Temperature, k));
    let text = match dew {
        Some(dew) if matches!(e, AirError::AboveSaturation { .. }) => format!(
            "--heat-to = \"{to}\" is below the dew point: water would condense\n     write a \
             temperature from {dew} up"
        ),
        _ => format!("--heat-to = \"{to}\" cannot be: {e}"),
    };
    Stop::message(Cause::BadInput, text)
}
