//! The table of units. A new unit is one line here.
//!
//! Factors are exact by definition unless a line says otherwise: inch, foot, pound and ounce by
//! the international yard and pound, standard atmosphere, millimetre of mercury from its
//! conventional density and gravity (common practice).

use super::{Kind, ZERO_CELSIUS_K};

/// One unit: `si = (typed - zero) * num / den + base`.
///
/// A quotient of two whole numbers keeps conversions correctly rounded: 6 mm is exactly the
/// number that 0.006 reads as.
#[derive(Debug)]
pub struct Unit {
    /// Accepted spellings in canonical form (see `lex::canonical`).
    pub names: &'static [&'static str],
    /// The spelling used in output.
    pub shown: &'static str,
    num: f64,
    den: f64,
    zero: f64,
    base: f64,
}

impl Unit {
    /// A typed number in SI.
    pub fn to_si(&self, typed: f64) -> f64 {
        (typed - self.zero) * self.num / self.den + self.base
    }

    /// An SI value as the number to show.
    pub fn typed(&self, si: f64) -> f64 {
        (si - self.base) * self.den / self.num + self.zero
    }

    /// The size of a typed difference in SI: the scale without its zero point.
    pub fn span_to_si(&self, typed: f64) -> f64 {
        typed * self.num / self.den
    }

    /// The inverse of [`Unit::span_to_si`].
    pub fn typed_span(&self, si: f64) -> f64 {
        si * self.den / self.num
    }
}

/// All that is known about a kind.
#[derive(Debug)]
pub struct Vocabulary {
    pub name: &'static str,
    pub si_unit: &'static str,
    pub preferred: &'static Unit,
    pub example: &'static str,
    pub units: &'static [Unit],
}

const fn scale(names: &'static [&'static str], shown: &'static str, num: f64, den: f64) -> Unit {
    Unit { names, shown, num, den, zero: 0.0, base: 0.0 }
}

const fn plain(names: &'static [&'static str], shown: &'static str) -> Unit {
    scale(names, shown, 1.0, 1.0)
}

static LENGTH: [Unit; 6] = [
    scale(&["mm"], "mm", 1.0, 1e3),
    scale(&["cm"], "cm", 1.0, 1e2),
    plain(&["m"], "m"),
    scale(&["in", "inch", "inches"], "in", 25.4, 1e3),
    scale(&["ft", "foot", "feet"], "ft", 304.8, 1e3),
    scale(&["um", "micron", "microns"], "µm", 1.0, 1e6),
];

static AREA: [Unit; 5] = [
    scale(&["mm2"], "mm²", 1.0, 1e6),
    scale(&["cm2"], "cm²", 1.0, 1e4),
    plain(&["m2"], "m²"),
    scale(&["in2"], "in²", 645.16, 1e6),
    scale(&["ft2"], "ft²", 0.09290304, 1.0),
];

static VOLUME: [Unit; 6] = [
    scale(&["L", "l"], "L", 1.0, 1e3),
    scale(&["mL", "ml", "cm3", "cc"], "mL", 1.0, 1e6),
    plain(&["m3"], "m³"),
    scale(&["mm3"], "mm³", 1.0, 1e9),
    scale(&["in3"], "in³", 16.387064, 1e6),
    scale(&["ft3"], "ft³", 0.028316846592, 1.0),
];

static MASS: [Unit; 5] = [
    scale(&["g"], "g", 1.0, 1e3),
    scale(&["mg"], "mg", 1.0, 1e6),
    plain(&["kg"], "kg"),
    scale(&["oz"], "oz", 0.028349523125, 1.0),
    scale(&["lb", "lbs"], "lb", 0.45359237, 1.0),
];

static TIME: [Unit; 5] = [
    plain(&["s", "sec", "secs", "second", "seconds"], "s"),
    scale(&["min", "mins", "minute", "minutes"], "min", 60.0, 1.0),
    scale(&["h", "hr", "hrs", "hour", "hours"], "h", 3600.0, 1.0),
    scale(&["d", "day", "days"], "d", 86_400.0, 1.0),
    scale(&["ms"], "ms", 1.0, 1e3),
];

static TEMPERATURE: [Unit; 3] = [
    Unit {
        names: &["°C", "degC", "C", "celsius", "Celsius"],
        shown: "°C",
        num: 1.0,
        den: 1.0,
        zero: 0.0,
        base: ZERO_CELSIUS_K,
    },
    plain(&["K", "kelvin"], "K"),
    Unit {
        names: &["°F", "degF", "F", "fahrenheit", "Fahrenheit"],
        shown: "°F",
        num: 5.0,
        den: 9.0,
        zero: 32.0,
        base: ZERO_CELSIUS_K,
    },
];

static TEMPERATURE_DIFFERENCE: [Unit; 3] = [
    plain(
        &["K", "ΔK", "Δ°C", "ΔdegC", "ΔC", "delta_K", "deltaK", "delta_C", "deltaC", "kelvin"],
        "K",
    ),
    scale(&["Δ°F", "ΔdegF", "ΔF", "delta_F", "deltaF"], "Δ°F", 5.0, 9.0),
    scale(&["mK"], "mK", 1.0, 1e3),
];

static HUMIDITY: [Unit; 1] =
    [scale(&["%RH", "%rh", "%", "%r.h.", "RH%", "percent"], "%RH", 1.0, 100.0)];

static HUMIDITY_RATIO: [Unit; 2] = [scale(&["g/kg"], "g/kg", 1.0, 1e3), plain(&["kg/kg"], "kg/kg")];

static PRESSURE: [Unit; 8] = [
    plain(&["Pa"], "Pa"),
    scale(&["hPa", "mbar"], "hPa", 100.0, 1.0),
    scale(&["kPa"], "kPa", 1e3, 1.0),
    scale(&["bar"], "bar", 1e5, 1.0),
    scale(&["atm"], "atm", 101_325.0, 1.0),
    scale(&["mmHg"], "mmHg", 133.322_387_415, 1.0),
    scale(&["inHg"], "inHg", 3_386.388_640_341, 1.0),
    scale(&["psi"], "psi", 6_894.757_293_168, 1.0),
];

static POWER: [Unit; 3] =
    [plain(&["W"], "W"), scale(&["mW"], "mW", 1.0, 1e3), scale(&["kW"], "kW", 1e3, 1.0)];

static ENERGY: [Unit; 5] = [
    scale(&["Wh"], "Wh", 3_600.0, 1.0),
    plain(&["J"], "J"),
    scale(&["kJ"], "kJ", 1e3, 1.0),
    scale(&["kWh"], "kWh", 3.6e6, 1.0),
    scale(&["MJ"], "MJ", 1e6, 1.0),
];

static VOLUME_FLOW: [Unit; 7] = [
    scale(&["L/min", "l/min", "lpm"], "L/min", 1.0, 60_000.0),
    scale(&["L/s", "l/s"], "L/s", 1.0, 1e3),
    scale(&["L/h", "l/h"], "L/h", 1.0, 3.6e6),
    scale(&["m3/h"], "m³/h", 1.0, 3_600.0),
    plain(&["m3/s"], "m³/s"),
    scale(&["mL/min", "ml/min"], "mL/min", 1.0, 6e7),
    scale(&["cfm", "CFM", "ft3/min"], "cfm", 0.028316846592, 60.0),
];

static CONDUCTANCE: [Unit; 2] =
    [plain(&["W/K", "W/°C"], "W/K"), scale(&["mW/K", "mW/°C"], "mW/K", 1.0, 1e3)];

static COEFFICIENT: [Unit; 1] = [plain(&["W/m2K", "W/m2/K", "W/m2°C"], "W/(m² K)")];

static CONDUCTIVITY: [Unit; 2] = [
    plain(&["W/mK", "W/m/K", "W/m°C"], "W/(m K)"),
    scale(&["mW/mK", "mW/m/K"], "mW/(m K)", 1.0, 1e3),
];

static HEAT_CAPACITY: [Unit; 3] = [
    plain(&["J/K", "J/°C"], "J/K"),
    scale(&["kJ/K", "kJ/°C"], "kJ/K", 1e3, 1.0),
    scale(&["Wh/K"], "Wh/K", 3_600.0, 1.0),
];

static SPECIFIC_HEAT: [Unit; 3] = [
    plain(&["J/kgK", "J/kg/K", "J/kg°C"], "J/(kg K)"),
    scale(&["kJ/kgK", "kJ/kg/K", "kJ/kg°C"], "kJ/(kg K)", 1e3, 1.0),
    scale(&["J/gK", "J/g/K"], "J/(g K)", 1e3, 1.0),
];

static DENSITY: [Unit; 4] = [
    plain(&["kg/m3"], "kg/m³"),
    scale(&["g/cm3", "kg/L", "g/mL", "g/ml"], "g/cm³", 1e3, 1.0),
    scale(&["g/m3"], "g/m³", 1.0, 1e3),
    plain(&["g/L"], "g/L"),
];

static SPEED: [Unit; 4] = [
    plain(&["m/s"], "m/s"),
    scale(&["cm/s"], "cm/s", 1.0, 1e2),
    scale(&["mm/s"], "mm/s", 1.0, 1e3),
    scale(&["m/min"], "m/min", 1.0, 60.0),
];

static SHARE: [Unit; 1] = [scale(&["%", "percent"], "%", 1.0, 100.0)];

static NUMBER: [Unit; 1] = [plain(&[], "")];

static PER_KELVIN: [Unit; 2] = [
    plain(&["1/K", "/K", "1/°C", "/°C", "K-1"], "1/K"),
    scale(&["%/K", "%/°C"], "%/K", 1.0, 100.0),
];

macro_rules! vocabulary {
    ($($kind:ident: $name:literal, $si:literal, $example:literal, $units:ident;)*) => {
        /// What is known about a kind; the first unit of its list is the preferred one.
        pub fn vocabulary(kind: Kind) -> &'static Vocabulary {
            match kind {
                $(Kind::$kind => {
                    static V: Vocabulary = Vocabulary {
                        name: $name,
                        si_unit: $si,
                        preferred: &$units[0],
                        example: $example,
                        units: &$units,
                    };
                    &V
                })*
            }
        }
    };
}

vocabulary! {
    Length: "a length", "m", "6 mm", LENGTH;
    Area: "an area", "m2", "40 mm2", AREA;
    Volume: "a volume", "m3", "17 L", VOLUME;
    Mass: "a mass", "kg", "3 g", MASS;
    Time: "a time", "s", "30 s", TIME;
    Temperature: "a temperature", "K", "50 °C", TEMPERATURE;
    TemperatureDifference: "a temperature difference", "K", "2 K", TEMPERATURE_DIFFERENCE;
    RelativeHumidity: "a relative humidity", "", "45 %RH", HUMIDITY;
    HumidityDifference: "a difference of relative humidity", "", "3 %RH", HUMIDITY;
    HumidityRatio: "a humidity ratio", "kg/kg", "8 g/kg", HUMIDITY_RATIO;
    Pressure: "a pressure", "Pa", "1013 hPa", PRESSURE;
    Power: "a power", "W", "180 W", POWER;
    Energy: "an energy", "J", "50 Wh", ENERGY;
    VolumeFlow: "a volume flow", "m3/s", "6 L/min", VOLUME_FLOW;
    Conductance: "a thermal conductance", "W/K", "1.4 W/K", CONDUCTANCE;
    HeatTransferCoefficient: "a heat transfer coefficient", "W/(m2 K)", "8 W/(m2 K)", COEFFICIENT;
    Conductivity: "a thermal conductivity", "W/(m K)", "0.2 W/(m K)", CONDUCTIVITY;
    HeatCapacity: "a heat capacity", "J/K", "900 J/K", HEAT_CAPACITY;
    SpecificHeat: "a specific heat", "J/(kg K)", "1900 J/(kg K)", SPECIFIC_HEAT;
    Density: "a density", "kg/m3", "905 kg/m3", DENSITY;
    Speed: "a speed", "m/s", "0.5 m/s", SPEED;
    Share: "a share", "", "0.6", SHARE;
    Number: "a plain number", "", "1.5", NUMBER;
    PerKelvin: "a change per kelvin", "1/K", "0.004 1/K", PER_KELVIN;
}

impl Kind {
    /// The kind in words with its article, for messages: "a length".
    #[must_use]
    pub fn name(self) -> &'static str {
        vocabulary(self).name
    }

    /// The SI unit the value is kept in; empty for plain fractions and numbers.
    #[must_use]
    pub fn si_unit(self) -> &'static str {
        vocabulary(self).si_unit
    }

    /// The unit shown first to a user; empty for plain numbers.
    #[must_use]
    pub fn preferred_unit(self) -> &'static str {
        vocabulary(self).preferred.shown
    }

    /// A value of this kind as a user would type it: `6 mm`.
    #[must_use]
    pub fn example(self) -> &'static str {
        vocabulary(self).example
    }

    /// Every accepted spelling of every unit of this kind, in canonical ASCII form where there is
    /// one. Superscripts, dots, brackets and blanks are accepted besides.
    pub fn unit_names(self) -> impl Iterator<Item = &'static str> {
        self.units().iter().flat_map(|u| u.names.iter().copied())
    }

    pub(super) fn units(self) -> &'static [Unit] {
        vocabulary(self).units
    }

    pub(super) fn unit(self, canonical: &str) -> Option<&'static Unit> {
        self.units().iter().find(|u| u.names.contains(&canonical))
    }
}
