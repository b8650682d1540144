//! Units as loggers print them.

use crate::measured::Quantity;
use crate::units::k_from_c;

/// A unit of a reading or of a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)] // the names are the units
pub enum Unit {
    Celsius,
    Fahrenheit,
    Kelvin,
    Percent,
    Fraction,
    Hectopascal,
    Pascal,
    Kilopascal,
    MillimetreMercury,
    InchMercury,
    Watt,
    Kilowatt,
    WattHour,
    KilowattHour,
    Joule,
    Gram,
    Kilogram,
    Milligram,
    Second,
    Millisecond,
    Microsecond,
    Nanosecond,
    Minute,
    Hour,
    /// Mass of vapour in a volume of air.
    GramPerCubicMetre,
    /// Mass of vapour beside a mass of dry air.
    GramPerKilogram,
    /// A unit of something this program does not keep.
    Other,
}

use Unit::{
    Celsius, Fahrenheit, Fraction, Gram, GramPerCubicMetre, GramPerKilogram, Hectopascal, Hour,
    InchMercury, Joule, Kelvin, Kilogram, Kilopascal, Kilowatt, KilowattHour, Microsecond,
    Milligram, MillimetreMercury, Millisecond, Minute, Nanosecond, Other, Pascal, Percent, Second,
    Watt, WattHour,
};

/// Spellings after a number or in brackets, longest first where one starts another.
const SPELLINGS: &[(&str, Unit)] = &[
    ("percent", Percent),
    ("celsius", Celsius),
    ("Celsius", Celsius),
    ("kelvin", Kelvin),
    ("Kelvin", Kelvin),
    ("fahrenheit", Fahrenheit),
    ("Fahrenheit", Fahrenheit),
    ("seconds", Second),
    ("minutes", Minute),
    ("g/m^3", GramPerCubicMetre),
    ("g/m³", GramPerCubicMetre),
    ("g/m3", GramPerCubicMetre),
    ("g/kg", GramPerKilogram),
    ("deg C", Celsius),
    ("deg F", Fahrenheit),
    ("degC", Celsius),
    ("degF", Fahrenheit),
    ("% RH", Percent),
    ("% rH", Percent),
    ("% rF", Percent),
    ("%RH", Percent),
    ("%rh", Percent),
    ("%rF", Percent),
    ("%rH", Percent),
    ("mmHg", MillimetreMercury),
    ("inHg", InchMercury),
    ("mbar", Hectopascal),
    ("Â°C", Celsius),
    ("Â°F", Fahrenheit),
    ("pct", Percent),
    ("kWh", KilowattHour),
    ("sec", Second),
    ("min", Minute),
    ("hPa", Hectopascal),
    ("kPa", Kilopascal),
    ("dBm", Other),
    ("ppm", Other),
    ("lux", Other),
    ("ppb", Other),
    ("ohm", Other),
    ("Ohm", Other),
    ("rpm", Other),
    ("mAh", Other),
    ("m/s", Other),
    ("µg/m³", Other),
    ("ug/m3", Other),
    ("kΩ", Other),
    ("dBA", Other),
    ("dB", Other),
    ("lx", Other),
    ("Hz", Other),
    ("mm", Other),
    ("cm", Other),
    ("Ω", Other),
    ("° C", Celsius),
    ("° F", Fahrenheit),
    ("°C", Celsius),
    ("°F", Fahrenheit),
    ("ºC", Celsius),
    ("ºF", Fahrenheit),
    ("\u{fffd}C", Celsius),
    ("\u{fffd}F", Fahrenheit),
    ("*C", Celsius),
    ("*F", Fahrenheit),
    ("'C", Celsius),
    ("'F", Fahrenheit),
    ("°K", Kelvin),
    ("℃", Celsius),
    ("℉", Fahrenheit),
    ("Pa", Pascal),
    ("Wh", WattHour),
    ("kW", Kilowatt),
    ("kg", Kilogram),
    ("mg", Milligram),
    ("ms", Millisecond),
    ("us", Microsecond),
    ("µs", Microsecond),
    ("μs", Microsecond),
    ("ns", Nanosecond),
    ("mV", Other),
    ("mA", Other),
    ("ft", Other),
    ("RH", Percent),
    ("C", Celsius),
    ("F", Fahrenheit),
    ("K", Kelvin),
    ("%", Percent),
    ("W", Watt),
    ("J", Joule),
    ("g", Gram),
    ("s", Second),
    ("h", Hour),
    ("m", Other),
    ("V", Other),
    ("A", Other),
];

/// Last words of names that are units: `temp_c`, `rh_pct`, `uptime_ms`.
const WORDS: &[(&str, Unit)] = &[
    ("c", Celsius),
    ("degc", Celsius),
    ("celsius", Celsius),
    ("f", Fahrenheit),
    ("degf", Fahrenheit),
    ("fahrenheit", Fahrenheit),
    ("k", Kelvin),
    ("kelvin", Kelvin),
    ("pct", Percent),
    ("percent", Percent),
    ("fraction", Fraction),
    ("hpa", Hectopascal),
    ("mbar", Hectopascal),
    ("pa", Pascal),
    ("kpa", Kilopascal),
    ("mmhg", MillimetreMercury),
    ("inhg", InchMercury),
    ("w", Watt),
    ("watts", Watt),
    ("kw", Kilowatt),
    ("wh", WattHour),
    ("kwh", KilowattHour),
    ("j", Joule),
    ("g", Gram),
    ("gram", Gram),
    ("grams", Gram),
    ("kg", Kilogram),
    ("mg", Milligram),
    ("s", Second),
    ("sec", Second),
    ("secs", Second),
    ("seconds", Second),
    ("ms", Millisecond),
    ("millis", Millisecond),
    ("milliseconds", Millisecond),
    ("us", Microsecond),
    ("micros", Microsecond),
    ("ns", Nanosecond),
    ("nanoseconds", Nanosecond),
    ("gm3", GramPerCubicMetre),
    ("gkg", GramPerKilogram),
    ("min", Minute),
    ("mins", Minute),
    ("minutes", Minute),
    ("h", Hour),
    ("hours", Hour),
    ("m", Other),
    ("v", Other),
    ("mv", Other),
    ("dbm", Other),
];

/// The unit a text starts with after blanks, and how many bytes it takes with them.
///
/// A letter must not follow, nor `:` or `=`, which would make it the label of the next value.
#[must_use]
pub fn at(text: &str) -> Option<(Unit, usize)> {
    let body = text.trim_start_matches([' ', '\t']);
    let blanks = text.len() - body.len();
    let found = SPELLINGS.iter().find(|(word, _)| {
        let Some(rest) = body.strip_prefix(word) else { return false };
        let next = rest.chars().next();
        let letters = word.ends_with(|c: char| c.is_alphanumeric());
        let goes_on = letters && next.is_some_and(|c| c.is_alphanumeric() || c == '_');
        !goes_on && !rest.trim_start().starts_with([':', '='])
    });
    found.map(|(word, unit)| (*unit, blanks + word.len()))
}

/// The unit that is the whole text, as in the brackets of a header.
#[must_use]
pub fn exact(text: &str) -> Option<Unit> {
    let text = text.trim();
    let whole = at(text).filter(|(_, length)| *length == text.len()).map(|(unit, _)| unit);
    whole.or_else(|| word(&text.to_lowercase()))
}

/// The unit a lower-case word of a name stands for.
#[must_use]
pub fn word(word: &str) -> Option<Unit> {
    WORDS.iter().find(|(w, _)| *w == word).map(|(_, unit)| *unit)
}

impl Unit {
    /// What a value with this unit and no label measures.
    #[must_use]
    pub fn implies(self) -> Option<Quantity> {
        Some(match self {
            Celsius | Fahrenheit | Kelvin => Quantity::Temperature,
            Percent => Quantity::RelativeHumidity,
            Hectopascal | Pascal | Kilopascal | MillimetreMercury | InchMercury => {
                Quantity::Pressure
            }
            Watt | Kilowatt => Quantity::Power,
            WattHour | KilowattHour | Joule => Quantity::Energy,
            Gram | Kilogram | Milligram => Quantity::Mass,
            Fraction | Second | Millisecond | Microsecond | Nanosecond | Minute | Hour
            | GramPerCubicMetre | GramPerKilogram | Other => return None,
        })
    }

    /// Seconds in one of this unit of time.
    #[must_use]
    pub fn seconds(self) -> Option<f64> {
        Some(match self {
            Nanosecond => 1e-9,
            Microsecond => 1e-6,
            Millisecond => 1e-3,
            Second => 1.0,
            Minute => 60.0,
            Hour => 3600.0,
            _ => return None,
        })
    }

    /// The value in SI; NaN for a unit without one.
    #[must_use]
    pub fn to_si(self, value: f64) -> f64 {
        match self {
            Celsius => k_from_c(value),
            Fahrenheit => k_from_c((value - 32.0) / 1.8),
            Percent => value / 100.0,
            Hectopascal => value * 100.0,
            Kilopascal | Kilowatt => value * 1e3,
            // conventional millimetre and inch of mercury: ISO 80000-4 (mem)
            MillimetreMercury => value * 133.322_387_415,
            InchMercury => value * 3_386.389,
            WattHour => value * 3.6e3,
            KilowattHour => value * 3.6e6,
            Gram => value * 1e-3,
            Milligram => value * 1e-6,
            Kelvin | Fraction | Pascal | Watt | Joule | Kilogram => value,
            GramPerCubicMetre | GramPerKilogram => value * 1e-3,
            Second | Millisecond | Microsecond | Nanosecond | Minute | Hour => {
                self.seconds().map_or(f64::NAN, |s| s * value)
            }
            Other => f64::NAN,
        }
    }

    /// How it is written in what the program says.
    #[must_use]
    pub fn shown(self) -> &'static str {
        match self {
            Celsius => "°C",
            Fahrenheit => "°F",
            Kelvin => "K",
            Percent => "%",
            Fraction => "0..1",
            Hectopascal => "hPa",
            Pascal => "Pa",
            Kilopascal => "kPa",
            MillimetreMercury => "mmHg",
            InchMercury => "inHg",
            Watt => "W",
            Kilowatt => "kW",
            WattHour => "Wh",
            KilowattHour => "kWh",
            Joule => "J",
            Gram => "g",
            Kilogram => "kg",
            Milligram => "mg",
            Second => "s",
            Millisecond => "ms",
            Microsecond => "us",
            Nanosecond => "ns",
            GramPerCubicMetre => "g/m3",
            GramPerKilogram => "g/kg",
            Minute => "min",
            Hour => "h",
            Other => "another unit",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_ways_of_writing_a_degree() {
        for text in ["*C", " °C", "℃", "C", " Â°C", "degC", "\u{fffd}C", "deg C", "ºC\t"] {
            assert_eq!(at(text).map(|u| u.0), Some(Celsius), "{text:?}");
        }
        assert_eq!(at(" *F"), Some((Fahrenheit, 3)));
    }

    #[test]
    fn a_label_is_no_unit() {
        assert_eq!(at(" H:45"), None);
        assert_eq!(at(" F = 3"), None);
        assert_eq!(at("temp=24"), None);
        assert_eq!(at("%\tTemperature"), Some((Percent, 1)));
        assert_eq!(at(" hPa"), Some((Hectopascal, 4)));
        assert_eq!(exact("%rF"), Some(Percent));
    }
}
