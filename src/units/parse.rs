//! From typed text to a value in SI.

use super::table::Unit;
use super::{Kind, Measured, UnitError, lex, typed};

/// Below this a typed relative humidity is more likely a fraction than a percentage. No room and
/// no drying air comes near 1 %RH, and fractions never exceed 1 (common practice).
const SUSPICIOUS_HUMIDITY: f64 = 0.01;

/// A temperature above this many typed degrees is taken as a reading, so the number is not
/// carried over into the suggested difference. A width of 20 K is already unusual.
const LARGEST_LIKELY_DIFFERENCE: f64 = 20.0;

/// Reads a value such as `"6 mm"`, `"122 °F"` or `"1 h 30 min"`, in SI.
///
/// # Errors
/// A [`UnitError`] that says what is wrong and what to type.
pub fn parse(kind: Kind, text: &str) -> Result<f64, UnitError> {
    one(kind, text).map_err(|error| typed::instead(kind, text, error))
}

/// The same without a look at what else was typed.
pub(super) fn one(kind: Kind, text: &str) -> Result<f64, UnitError> {
    let text = text.trim();
    let (typed, rest) = lex::number(kind, text)?;
    let unit_text = rest.trim();
    if unit_text.is_empty() {
        return bare(kind, typed);
    }
    if kind == Kind::Time && unit_text.contains(|c: char| c.is_ascii_digit()) {
        return compound(text);
    }
    let unit = lookup(kind, typed, unit_text)?;
    finish(kind, typed, unit.to_si(typed))
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
        Some(parts) => measured(kind, parts).map_err(|error| match typed::Typed::read(text) {
            Ok(typed::Typed::Measured(_)) => error,
            _ => typed::instead(kind, text, error),
        }),
    }
}

fn measured(kind: Kind, (left, right): (&str, &str)) -> Result<Measured, UnitError> {
    let (_, left_unit) = lex::number(kind, left)?;
    let (sd_typed, right_unit) = lex::number(kind.difference(), right)?;
    let (left_unit, right_unit) = (left_unit.trim(), right_unit.trim());
    if relative(kind, right_unit) {
        let value = one(kind, left)?;
        let sd = finish(kind.difference(), sd_typed, 0.01 * sd_typed * value.abs())?;
        return if sd > 0.0 {
            Ok(Measured { value, sd: Some(sd) })
        } else {
            Err(UnitError::BadUncertainty)
        };
    }
    let value = if left_unit.is_empty() && !right_unit.is_empty() {
        one(kind, &format!("{left} {right_unit}"))?
    } else {
        one(kind, left)?
    };
    let sd_unit = if right_unit.is_empty() { left_unit } else { right_unit };
    let sd = spread(kind, sd_typed, sd_unit)?;
    if sd > 0.0 { Ok(Measured { value, sd: Some(sd) }) } else { Err(UnitError::BadUncertainty) }
}

/// Whether an uncertainty in this unit is a share of the value.
fn relative(kind: Kind, unit_text: &str) -> bool {
    let percent = lex::canonical(unit_text) == "%";
    percent && kind != Kind::Temperature && kind.unit("%").is_none()
}

/// What stands on the two sides of the mark of an uncertainty.
#[must_use]
pub fn split_uncertainty(text: &str) -> Option<(&str, &str)> {
    let (left, right) = ["±", "+/-", "+/−", "+-"].iter().find_map(|m| text.split_once(m))?;
    Some((left.trim(), right.trim()))
}

/// A number and the unit behind it, whatever the kind; `None` for words.
#[must_use]
pub fn number(text: &str) -> Option<(f64, String)> {
    let (typed, rest) = lex::number(Kind::Number, text.trim()).ok()?;
    Some((typed, rest.trim().to_owned()))
}

/// The same of one end of a range: times such as `1 h 30 min` in seconds.
pub(super) fn end(text: &str) -> Result<(f64, String), UnitError> {
    let (typed, rest) = lex::number(Kind::Number, text.trim())?;
    let unit = rest.trim();
    match one(Kind::Time, text) {
        Ok(seconds) if unit.contains(|c: char| c.is_ascii_digit()) => Ok((seconds, "s".to_owned())),
        _ => Ok((typed, unit.to_owned())),
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

/// A value typed in one unit as a number in another, if a kind has both.
pub(super) fn in_unit(typed: f64, from: &str, to: &str) -> Option<f64> {
    let (from, to) = (lex::canonical(from), lex::canonical(to));
    Kind::ALL.iter().find_map(|k| Some(k.unit(&to)?.typed(k.unit(&from)?.to_si(typed))))
}

/// The same of a difference.
pub(super) fn span_in_unit(typed: f64, from: &str, to: &str) -> Option<f64> {
    let (from, to) = (lex::canonical(from), lex::canonical(to));
    Kind::ALL.iter().find_map(|k| {
        let from = k.unit(&from).or_else(|| k.difference().unit(&from))?;
        Some(k.unit(&to)?.typed_span(from.span_to_si(typed)))
    })
}

/// The uncertainty part. A reading's unit counts here by its scale alone: ± 0.3 °C is 0.3 K.
fn spread(kind: Kind, typed: f64, unit_text: &str) -> Result<f64, UnitError> {
    let difference = kind.difference();
    if unit_text.is_empty() {
        return bare(difference, typed);
    }
    let canonical = lex::canonical(unit_text);
    let si = match (difference.unit(&canonical), kind.unit(&canonical)) {
        (Some(unit), _) => unit.to_si(typed),
        (None, Some(unit)) => unit.span_to_si(typed),
        (None, None) => lookup(difference, typed, unit_text)?.to_si(typed),
    };
    finish(difference, typed, si)
}

fn bare(kind: Kind, typed: f64) -> Result<f64, UnitError> {
    if kind.is_bare() || (typed == 0.0 && kind.zero_is_clear()) {
        return Ok(typed);
    }
    if kind == Kind::RelativeHumidity && typed > 0.0 && typed <= 1.0 {
        return Err(ambiguous(typed));
    }
    // A number like 1013 can only be the air's pressure in hectopascal.
    let barometer = kind == Kind::Pressure && (500.0..=1200.0).contains(&typed);
    let unit = if barometer { "hPa" } else { kind.preferred_unit() };
    Err(UnitError::MissingUnit { kind, write: format!("{typed} {unit}") })
}

fn ambiguous(typed: f64) -> UnitError {
    let percent = super::format::significant(typed * 100.0, 6);
    UnitError::Ambiguous { write: format!("{percent} %RH"), literal: format!("{typed} %RH") }
}

fn finish(kind: Kind, typed: f64, si: f64) -> Result<f64, UnitError> {
    if !si.is_finite() {
        return Err(UnitError::NonFinite { kind });
    }
    if kind == Kind::RelativeHumidity && si > 0.0 && si < SUSPICIOUS_HUMIDITY {
        return Err(ambiguous(typed));
    }
    Ok(si)
}

fn lookup(kind: Kind, typed: f64, unit_text: &str) -> Result<&'static Unit, UnitError> {
    let canonical = lex::canonical(unit_text);
    if let Some(unit) = kind.unit(&canonical) {
        return Ok(unit);
    }
    if kind == Kind::TemperatureDifference
        && let Some(unit) = Kind::Temperature.unit(&canonical)
    {
        return Err(UnitError::ReadingForDifference { write: as_difference(typed, unit) });
    }
    if kind == Kind::Temperature && Kind::TemperatureDifference.unit(&canonical).is_some() {
        return Err(UnitError::DifferenceForReading);
    }
    if kind == Kind::Number {
        return Err(UnitError::UnitOnNumber { write: typed.to_string() });
    }
    if let Some(suggestion) = close_unit(kind, &canonical) {
        let suggestion = Some(format!("{typed} {suggestion}"));
        return Err(UnitError::UnknownUnit { kind, unit: short(unit_text), suggestion });
    }
    if let Some(found) = Kind::ALL.into_iter().find(|k| k.unit(&canonical).is_some()) {
        return Err(UnitError::WrongKind { wanted: kind, found });
    }
    Err(UnitError::UnknownUnit { kind, unit: short(unit_text), suggestion: None })
}

fn as_difference(typed: f64, unit: &Unit) -> String {
    if typed.abs() <= LARGEST_LIKELY_DIFFERENCE {
        let kelvin = super::format::significant(unit.span_to_si(typed), 4);
        format!("{kelvin} K")
    } else {
        Kind::TemperatureDifference.example().to_owned()
    }
}

/// A unit of this kind that the typed one was surely meant to be: the same letters in another
/// case, or one slip in a longer name. `m` for a time is the one special case.
fn close_unit(kind: Kind, canonical: &str) -> Option<&'static str> {
    if kind == Kind::Time && canonical == "m" {
        return Some("min");
    }
    let belongs_elsewhere = Kind::ALL.into_iter().any(|k| k.unit(canonical).is_some());
    if belongs_elsewhere {
        return None;
    }
    let same_letters = || kind.unit_names().find(|n| n.eq_ignore_ascii_case(canonical));
    let one_slip = || {
        let typed = canonical.to_lowercase();
        let long = |n: &&'static str| n.len() >= 3 && typed.chars().count() >= 3;
        kind.unit_names()
            .filter(long)
            .find(|n| strsim::damerau_levenshtein(&n.to_lowercase(), &typed) == 1)
    };
    same_letters().or_else(one_slip)
}

/// Keeps a quoted unit readable when a whole sentence was typed.
fn short(unit: &str) -> String {
    /// Longest unit quoted in full; every known unit is shorter.
    const LONGEST: usize = 24;
    if unit.chars().count() <= LONGEST {
        return unit.to_owned();
    }
    let head: String = unit.chars().take(LONGEST).collect();
    format!("{head}…")
}

/// `"1 h 30 min"`: units from large to small, each at most once, nothing negative.
fn compound(text: &str) -> Result<f64, UnitError> {
    let kind = Kind::Time;
    let mut rest = text;
    let mut total_s = 0.0;
    let mut last_unit_s = f64::INFINITY;
    while !rest.is_empty() {
        let (typed, after) = lex::number(kind, rest)?;
        let after = after.trim_start();
        let unit_end = after
            .find(|c: char| c.is_ascii_digit() || c.is_whitespace() || "+-−.".contains(c))
            .unwrap_or(after.len());
        if unit_end == 0 || typed < 0.0 {
            return Err(UnitError::BadCompound);
        }
        let unit = lookup(kind, typed, &after[..unit_end])?;
        if unit.to_si(1.0) >= last_unit_s {
            return Err(UnitError::BadCompound);
        }
        last_unit_s = unit.to_si(1.0);
        total_s += unit.to_si(typed);
        rest = after[unit_end..].trim_start();
    }
    finish(kind, total_s, total_s)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::k_from_c;

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
