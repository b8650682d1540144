//! From typed text to a value in SI.

use super::single::{measured, number, one, split_uncertainty};
use super::typed::{Typed, instead};
use super::{Kind, Measured, UnitError};

/// Reads a value such as `"6 mm"`, `"122 °F"` or `"1 h 30 min"`, in SI.
///
/// # Errors
/// A [`UnitError`] that says what is wrong and what to type.
pub fn parse(kind: Kind, text: &str) -> Result<f64, UnitError> {
    one(kind, text).map_err(|error| instead(kind, text, error))
}

/// Reads a value with an optional standard uncertainty: `"2.96 ± 0.03 g"`, also `+/-`.
///
/// The unit may stand on either side or on both. An uncertainty in % is a share of the value, unless
/// the kind has a unit % of its own or, as a temperature, an arbitrary zero.
///
/// # Errors
/// A [`UnitError`] that says what is wrong and what to type.
pub fn parse_measured(kind: Kind, text: &str) -> Result<Measured, UnitError> {
    match split_uncertainty(text) {
        None => Ok(Measured { value: parse(kind, text)?, sd: None }),
        Some(parts) => measured(kind, parts).map_err(|error| match Typed::read(text) {
            Ok(Typed::Measured(_)) => error,
            _ => instead(kind, text, error),
        }),
    }
}

/// Reads a value such as that of a metric, whose numbers are in `unit`: with a unit of its kind, or bare.
///
/// # Errors
/// A [`UnitError`] that says what is wrong and what to type.
pub fn parse_in(unit: &str, text: &str) -> Result<f64, UnitError> {
    if let Some((typed, _)) = number(text).filter(|(_, own)| own.is_empty() || own == unit) {
        return Ok(typed);
    }
    let shown = |k: &Kind| k.units().iter().find(|u| u.shown == unit).map(|u| (*k, u));
    let first = Kind::ALL.iter().find(|k| k.preferred_unit() == unit);
    match first.and_then(shown).or_else(|| Kind::ALL.iter().find_map(shown)) {
        Some((kind, unit)) => parse(kind, text).map(|si| unit.typed(si)),
        None => parse(Kind::Number, text),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::{k_from_c, lex};

    fn ok(kind: Kind, text: &str) -> f64 {
        parse(kind, text).unwrap_or_else(|e| panic!("{text}: {e}"))
    }

    fn err(kind: Kind, text: &str) -> (String, String) {
        let error = parse(kind, text).expect_err(text);
        (error.to_string(), error.hint())
    }

    #[test]
    fn lengths_and_temperatures_are_exact() {
        let table = [
            (Kind::Length, "1 in", 25.4e-3),
            (Kind::Length, "0.25 in", 6.35e-3),
            (Kind::Length, "12 in", 0.3048),
            (Kind::Length, "1 ft", 0.3048),
            (Kind::Length, "6 mm", 0.006),
            (Kind::Length, "50 µm", 50e-6),
            (Kind::Length, "50 μm", 50e-6),
            (Kind::Length, "50 um", 50e-6),
            (Kind::Area, "1 in2", 6.4516e-4),
            (Kind::Temperature, "122 °F", 323.15),
            (Kind::Temperature, "32 degF", 273.15),
            (Kind::Temperature, "212 F", 373.15),
            (Kind::Temperature, "-40 °F", 233.15),
            (Kind::Temperature, "-40 °C", 233.15),
            (Kind::Temperature, "−40 ℃", 233.15),
            (Kind::Temperature, "323.15 K", 323.15),
            (Kind::TemperatureDifference, "9 Δ°F", 5.0),
            (Kind::TemperatureDifference, "2 K", 2.0),
            (Kind::TemperatureDifference, "2 delta_C", 2.0),
        ];
        for (kind, text, si) in table {
            let ours = ok(kind, text);
            assert!((ours / si - 1.0).abs() < 1e-12, "{text}: {ours} is not {si}");
        }
        assert_eq!(ok(Kind::Temperature, "122 °F"), k_from_c(50.0));
        assert_eq!(ok(Kind::Length, "6 mm"), 0.006);
    }

    #[test]
    fn spellings_of_derived_units() {
        let table = [
            (Kind::HeatTransferCoefficient, "8 W/m2K", 8.0),
            (Kind::HeatTransferCoefficient, "8 W/(m2 K)", 8.0),
            (Kind::HeatTransferCoefficient, "8 W/m²K", 8.0),
            (Kind::HeatTransferCoefficient, "8 W/(m²·K)", 8.0),
            (Kind::Conductivity, "0.2 W/mK", 0.2),
            (Kind::Conductivity, "0.2 W/(m K)", 0.2),
            (Kind::Conductance, "1400 mW/K", 1.4),
            (Kind::SpecificHeat, "1.9 kJ/(kg K)", 1900.0),
            (Kind::SpecificHeat, "1900 J/kgK", 1900.0),
            (Kind::Density, "0.905 g/cm³", 905.0),
            (Kind::VolumeFlow, "6 L/min", 1e-4),
            (Kind::VolumeFlow, "3.6 m3/h", 1e-3),
            (Kind::VolumeFlow, "1 cfm", 0.3048 * 0.3048 * 0.3048 / 60.0),
            (Kind::Pressure, "1 atm", 101_325.0),
            (Kind::Pressure, "760 mmHg", 101_325.0),
            (Kind::Pressure, "1013.25 mbar", 101_325.0),
            (Kind::Energy, "1 kWh", 3.6e6),
            (Kind::Mass, "16 oz", 0.45359237),
            (Kind::Volume, "250 cc", 250e-6),
            (Kind::RelativeHumidity, "45 % RH", 0.45),
            (Kind::RelativeHumidity, "45%", 0.45),
            (Kind::HumidityRatio, "8 g/kg", 0.008),
            (Kind::Share, "60 %", 0.6),
            (Kind::Share, "0.6", 0.6),
            (Kind::Length, "1e-3 m", 1e-3),
            (Kind::Length, "6mm", 6e-3),
            (Kind::Length, ".5 mm", 0.5e-3),
            (Kind::Length, "0", 0.0),
            (Kind::TemperatureDifference, "0", 0.0),
            (Kind::PerKelvin, "0.004 1/K", 0.004),
            (Kind::PerKelvin, "0.004/K", 0.004),
        ];
        for (kind, text, si) in table {
            let ours = ok(kind, text);
            // the pressure of 760 mmHg is conventional to 1e-7
            let allowed = if text.contains("mmHg") { 2e-7 } else { 1e-12 };
            assert!((ours - si).abs() <= allowed * si.abs(), "{text}: {ours} is not {si}");
        }
    }

    #[test]
    fn times_add_up() {
        for text in ["1 h 30 min", "90 min", "1h30min", "1.5 h", "5400 s", "1 h 29 min 60 s"] {
            assert_eq!(ok(Kind::Time, text), 5400.0, "{text}");
        }
        assert_eq!(ok(Kind::Time, "2 d"), 172_800.0);
        for text in ["30 min 1 h", "1 h -30 min", "1 h 30", "1 h 1 h"] {
            assert_eq!(parse(Kind::Time, text), Err(UnitError::BadCompound), "{text}");
        }
    }

    #[test]
    fn every_listed_unit_parses() {
        for kind in Kind::ALL {
            for name in kind.unit_names() {
                for text in [format!("50 {name}"), format!("50{name}")] {
                    assert!(parse(kind, &text).is_ok(), "{kind:?} {text}");
                }
            }
            assert!(parse(kind, kind.example()).is_ok(), "{kind:?}");
            for unit in kind.units() {
                let text = format!("50 {}", unit.shown);
                assert!(parse(kind, &text).is_ok(), "{kind:?} {text}");
            }
        }
    }

    #[test]
    fn no_spelling_stands_for_two_units_of_a_kind() {
        for kind in Kind::ALL {
            let mut names: Vec<&str> = kind.unit_names().collect();
            let count = names.len();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), count, "{kind:?}");
            assert!(names.iter().all(|n| lex::canonical(n) == *n), "{kind:?} {names:?}");
        }
    }

    #[test]
    fn mistakes_say_what_to_type() {
        let table = [
            (Kind::Power, "180", "has no unit", "write \"180 W\". Plain numbers are not guessed."),
            (Kind::Temperature, "0", "has no unit", "\"0 °C\""),
            (Kind::Length, "3,5 mm", "has a decimal comma", "\"3.5 mm\""),
            (Kind::Length, "0,125 mm", "has a decimal comma", "\"0.125 mm\""),
            (Kind::Length, "1.234,5 mm", "has a decimal comma", "\"1234.5 mm\""),
            (Kind::Length, "1,234.5 mm", "has a thousands separator", "\"1234.5 mm\""),
            (Kind::Length, "1,234 mm", "has a thousands separator", "or \"1.234 mm\""),
            (Kind::Power, "1 000 W", "has a thousands separator", "\"1000 W\""),
            (Kind::Power, "1_000 W", "has a thousands separator", "\"1000 W\""),
            (Kind::Length, "6 MM", "has an unknown unit `MM`", "\"6 mm\""),
            (Kind::Length, "6 blah", "has an unknown unit `blah`", "mm, cm, m, in, ft or µm"),
            (Kind::Time, "3 m", "has an unknown unit `m`", "\"3 min\""),
            (Kind::Mass, "6 mm", "is a length where a mass is needed", "\"3 g\""),
            (
                Kind::TemperatureDifference,
                "58 °C",
                "is a temperature reading where a difference is needed",
                "Write \"2 K\".",
            ),
            (
                Kind::TemperatureDifference,
                "3 °C",
                "is a temperature reading where a difference is needed",
                "Write \"3 K\".",
            ),
            (
                Kind::Temperature,
                "3 ΔK",
                "is a temperature difference where a reading is needed",
                "50 °C",
            ),
            (Kind::RelativeHumidity, "0.58", "is ambiguous", "did you mean \"58 %RH\"? 0.58 %RH"),
            (Kind::RelativeHumidity, "0.46 %RH", "is ambiguous", "\"46 %RH\""),
            (Kind::RelativeHumidity, "58", "has no unit", "\"58 %RH\""),
            (Kind::Number, "5 W", "has a unit where a plain number is needed", "write 5 "),
            (Kind::Length, "wide", "is not a length", "\"6 mm\""),
            (Kind::Length, "", "is not a length", "\"6 mm\""),
            (Kind::Length, "1.2.3 mm", "is not a length", "\"6 mm\""),
            (Kind::Length, "inf mm", "is not a finite number", "\"6 mm\""),
            (Kind::Length, "NaN", "is not a finite number", "\"6 mm\""),
            (Kind::Length, "1e999 mm", "is not a finite number", "\"6 mm\""),
            (Kind::Pressure, "1e306 atm", "is not a finite number", "1013 hPa"),
        ];
        for (kind, text, what, hint) in table {
            let (our_what, our_hint) = err(kind, text);
            assert_eq!(our_what, what, "{text}");
            assert!(our_hint.contains(hint), "{text}: {our_hint:?} lacks {hint:?}");
        }
    }

    #[test]
    fn uncertainties() {
        let table = [
            (Kind::Mass, "2.96 ± 0.03 g", 2.96e-3, 0.03e-3),
            (Kind::Mass, "2.96 +/- 0.03 g", 2.96e-3, 0.03e-3),
            (Kind::Mass, "2.96 g ± 30 mg", 2.96e-3, 0.03e-3),
            (Kind::Mass, "2.96 g ± 0.03", 2.96e-3, 0.03e-3),
            (Kind::Temperature, "21.4 ± 0.3 °C", 294.55, 0.3),
            (Kind::Temperature, "21.4 °C ± 0.3 K", 294.55, 0.3),
            (Kind::Temperature, "122 ± 0.9 °F", 323.15, 0.5),
            (Kind::RelativeHumidity, "45 ± 0.5 %RH", 0.45, 0.005),
            (Kind::Power, "160 W ± 5 %", 160.0, 8.0),
            (Kind::Number, "0.9 ± 5%", 0.9, 0.045),
            (Kind::TemperatureDifference, "-2 K +/- 10 %", -2.0, 0.2),
            // These have a % of their own, so it stays in theirs.
            (Kind::RelativeHumidity, "45 %RH ± 3 %", 0.45, 0.03),
            (Kind::Share, "60 ± 5 %", 0.6, 0.05),
        ];
        for (kind, text, value, sd) in table {
            let ours = parse_measured(kind, text).unwrap_or_else(|e| panic!("{text}: {e}"));
            assert!((ours.value / value - 1.0).abs() < 1e-12, "{text} {ours:?}");
            assert!((ours.sd.unwrap_or(0.0) / sd - 1.0).abs() < 1e-12, "{text} {ours:?}");
        }
        assert_eq!(parse_measured(Kind::Mass, "3 g"), Ok(Measured { value: 3e-3, sd: None }));
        for text in ["3 ± -1 g", "3 ± 0 g", "3 g ± 0 %", "3 g ± -5 %", "0 g ± 5 %"] {
            assert_eq!(parse_measured(Kind::Mass, text), Err(UnitError::BadUncertainty), "{text}");
        }
        assert!(parse_measured(Kind::Mass, "3 ± 1").is_err());
        assert!(parse_measured(Kind::Mass, "3 ± 5 %").is_err());
        assert!(parse_measured(Kind::Temperature, "21 °C ± 5 %").is_err());
        assert!(parse_measured(Kind::Mass, "± 1 g").is_err());
    }

    proptest! {
        #[test]
        fn no_text_panics(text in ".{0,40}", index in 0..Kind::ALL.len()) {
            let kind = Kind::ALL[index];
            for result in [parse(kind, &text), parse_measured(kind, &text).map(|m| m.value)] {
                match result {
                    Ok(value) => prop_assert!(value.is_finite()),
                    Err(error) => prop_assert!(!error.to_string().is_empty() && !error.hint().is_empty()),
                }
            }
        }

        #[test]
        fn no_near_value_panics(text in "[-+−0-9.,eE _']{0,8}[ a-zA-Z%°/²µ±+()-]{0,8}[0-9. ,a-z]{0,6}", index in 0..Kind::ALL.len()) {
            let kind = Kind::ALL[index];
            for result in [parse(kind, &text), parse_measured(kind, &text).map(|m| m.value)] {
                match result {
                    Ok(value) => prop_assert!(value.is_finite()),
                    Err(error) => prop_assert!(!error.to_string().is_empty() && !error.hint().is_empty()),
                }
            }
        }
    }
}
