//! From a value in SI to text that [`super::parse`] reads back.

use super::table::Unit;
use super::{Kind, Measured};

/// Digits shown by [`format`]: one more than most bench instruments resolve.
const DIGITS: usize = 4;

/// Numbers outside these decades are shown with an exponent.
const PLAIN_DECADES: std::ops::Range<i32> = -4..7;

/// A value with its unit to about four digits: `6 mm`, `58 °C`, `45 %RH`, `150 min`.
#[must_use]
pub fn format(kind: Kind, si: f64) -> String {
    format_digits(kind, si, DIGITS)
}

/// A value with its unit to a given number of significant digits (1 to 17).
///
/// A temperature reading is rounded to `digits - 2` decimals instead, since its zero is arbitrary.
#[must_use]
pub fn format_digits(kind: Kind, si: f64, digits: usize) -> String {
    let unit = display_unit(kind, si);
    with_unit(&shown_number(kind, unit.typed(si), digits), unit)
}

/// A measured value with its uncertainty to two digits and the value to match: `2.96 ± 0.03 g`.
#[must_use]
pub fn format_measured(kind: Kind, measured: Measured) -> String {
    let Some(sd) = measured.sd.filter(|sd| *sd > 0.0 && sd.is_finite()) else {
        return format(kind, measured.value);
    };
    let unit = display_unit(kind, measured.value);
    let (value, spread) = (unit.typed(measured.value), unit.typed_span(sd));
    let sd_text = significant(spread, 2);
    let decimals = (1 - decade(spread)).clamp(0, 12) as usize;
    let size = decade(value);
    let number = if value == 0.0 || PLAIN_DECADES.contains(&size) {
        strip(&format!("{value:.decimals$}"))
    } else {
        significant(value, (size - decade(spread) + 2).clamp(1, 17) as usize)
    };
    with_unit(&format!("{number} ± {sd_text}"), unit)
}

/// Values that belong together, joined by "to", in the unit that suits `like` and rounded to two digits
/// of `step`: `1010.1 to 1016.4 hPa`.
#[must_use]
pub fn format_together(kind: Kind, like: f64, values: &[f64], step: f64) -> String {
    let unit = display_unit(kind, like);
    let decimals = match unit.typed_span(step) {
        step if step > 0.0 && step.is_finite() => (1 - decade(step)).clamp(0, 12) as usize,
        _ => DIGITS,
    };
    let number = |v: &f64| {
        let value = unit.typed(*v);
        let plain = value == 0.0 || PLAIN_DECADES.contains(&decade(value));
        if plain { strip(&format!("{value:.decimals$}")) } else { significant(value, DIGITS) }
    };
    with_unit(&values.iter().map(number).collect::<Vec<_>>().join(" to "), unit)
}

fn with_unit(number: &str, unit: &Unit) -> String {
    if unit.shown.is_empty() { number.to_owned() } else { format!("{number} {}", unit.shown) }
}

fn shown_number(kind: Kind, shown: f64, digits: usize) -> String {
    if kind == Kind::Temperature && shown.is_finite() {
        let decimals = digits.saturating_sub(2).min(15);
        return strip(&format!("{shown:.decimals$}"));
    }
    significant(shown, digits)
}

/// A number to `digits` significant digits without trailing zeros.
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    if !value.is_finite() {
        return value.to_string();
    }
    let digits = digits.clamp(1, 17);
    let scientific = format!("{value:.*e}", digits - 1);
    let (mantissa, exponent) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    if !PLAIN_DECADES.contains(&exponent) {
        return format!("{}e{exponent}", strip(mantissa));
    }
    let decimals = (digits as i32 - 1 - exponent).max(0) as usize;
    // Through the rounded text, so that digits above the decimal point are rounded as well.
    let rounded: f64 = scientific.parse().unwrap_or(value);
    strip(&format!("{rounded:.decimals$}"))
}

fn decade(value: f64) -> i32 {
    let text = format!("{value:.1e}");
    text.split_once('e').and_then(|(_, e)| e.parse().ok()).unwrap_or(0)
}

/// Drops trailing zeros behind the decimal point, and the sign of a zero.
fn strip(number: &str) -> String {
    let short = if number.contains('.') {
        number.trim_end_matches('0').trim_end_matches('.')
    } else {
        number
    };
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}

/// The unit that keeps a value of usual size between about 1 and 1000.
fn display_unit(kind: Kind, si: f64) -> &'static Unit {
    let size = si.abs();
    let name = match kind {
        Kind::Length if size >= 1.0 => "m",
        Kind::Area if size >= 0.01 => "m2",
        Kind::Volume if size >= 1.0 => "m3",
        Kind::Volume if size < 1e-3 && size > 0.0 => "mL",
        Kind::Mass if size >= 10.0 => "kg",
        Kind::Time if size >= 3.0 * 3600.0 => "h",
        Kind::Time if size >= 120.0 => "min",
        Kind::Pressure if size >= 1e4 => "hPa",
        Kind::Power if size >= 1e4 => "kW",
        _ => return &kind.units()[0],
    };
    kind.unit(name).unwrap_or(&kind.units()[0])
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::{k_from_c, parse, parse_measured};

    #[test]
    fn usual_values_read_naturally() {
        let table = [
            (Kind::Length, 0.006, "6 mm"),
            (Kind::Length, 0.32, "320 mm"),
            (Kind::Length, 1.25, "1.25 m"),
            (Kind::Area, 40e-6, "40 mm²"),
            (Kind::Area, 0.42, "0.42 m²"),
            (Kind::Volume, 0.01747, "17.47 L"),
            (Kind::Volume, 30e-6, "30 mL"),
            (Kind::Mass, 2.96e-3, "2.96 g"),
            (Kind::Time, 30.0, "30 s"),
            (Kind::Time, 9000.0, "150 min"),
            (Kind::Time, 14_400.0, "4 h"),
            (Kind::Temperature, k_from_c(58.0), "58 °C"),
            (Kind::Temperature, k_from_c(-0.0001), "0 °C"),
            (Kind::TemperatureDifference, 2.0, "2 K"),
            (Kind::RelativeHumidity, 0.45, "45 %RH"),
            (Kind::Pressure, 100_900.0, "1009 hPa"),
            (Kind::Pressure, 2.0, "2 Pa"),
            (Kind::Power, 180.0, "180 W"),
            (Kind::Energy, 3600.0 * 53.0, "53 Wh"),
            (Kind::VolumeFlow, 1e-4, "6 L/min"),
            (Kind::Conductance, 1.4, "1.4 W/K"),
            (Kind::HeatTransferCoefficient, 8.0, "8 W/(m² K)"),
            (Kind::Share, 0.6, "60 %"),
            (Kind::Number, 1.5, "1.5"),
            (Kind::Number, 123_456.0, "123500"),
            (Kind::Number, -1.23456e-7, "-1.235e-7"),
            (Kind::PerKelvin, 0.004, "0.004 1/K"),
        ];
        for (kind, si, text) in table {
            assert_eq!(format(kind, si), text, "{kind:?} {si}");
        }
    }

    #[test]
    fn a_measured_value_shows_matching_digits() {
        let text = |kind, value, sd| format_measured(kind, Measured { value, sd });
        assert_eq!(text(Kind::Mass, 2.96e-3, Some(0.03e-3)), "2.96 ± 0.03 g");
        assert_eq!(text(Kind::Temperature, k_from_c(21.4), Some(0.3)), "21.4 ± 0.3 °C");
        assert_eq!(text(Kind::Mass, 2.96e-3, None), "2.96 g");
        assert_eq!(text(Kind::Number, 2.114e-13, Some(1.7e-14)), "2.11e-13 ± 1.7e-14");
    }

    #[test]
    fn values_that_are_not_finite_do_not_panic() {
        for si in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, f64::MIN_POSITIVE] {
            for kind in Kind::ALL {
                assert!(!format(kind, si).is_empty());
            }
        }
    }

    fn kind_and_value() -> impl Strategy<Value = (Kind, f64)> {
        (proptest::sample::select(Kind::ALL.to_vec()), -7.0..7.0f64, any::<bool>()).prop_map(
            |(kind, decade, negative)| {
                let size = 10f64.powf(decade);
                let value = match kind {
                    // below 1 %RH a reading is refused on purpose
                    Kind::RelativeHumidity => 0.01 + size / 1e7,
                    Kind::Temperature => size / 1e4,
                    _ if negative => -size,
                    _ => size,
                };
                (kind, value)
            },
        )
    }

    #[test]
    fn values_that_belong_together_share_a_unit() {
        let hpa = format_together(Kind::Pressure, 101_320.0, &[100_880.0, 101_640.0], 160.0);
        assert_eq!(hpa, "1008.8 to 1016.4 hPa");
        let minutes = format_together(Kind::Time, 125.0, &[54.0, 7680.0], 18.0);
        assert_eq!(minutes, "0.9 to 128 min");
        let end = format_together(Kind::Length, 0.197e-3, &[0.5764e-3], f64::INFINITY);
        assert_eq!(end, "0.5764 mm");
    }

    proptest! {
        #[test]
        fn what_is_shown_reads_back((kind, si) in kind_and_value()) {
            let text = format(kind, si);
            let back = parse(kind, &text).map_err(|e| TestCaseError::fail(format!("{text}: {e}")))?;
            // four digits: half a unit of the last one is at most 5e-4 of the value
            let allowed = if kind == Kind::Temperature { 0.005 } else { si.abs() * 5.001e-4 };
            prop_assert!((back - si).abs() <= allowed + 1e-9 * si.abs(), "{si} {text} {back}");
        }

        #[test]
        fn seventeen_digits_read_back_closely((kind, si) in kind_and_value()) {
            let text = format_digits(kind, si, 17);
            let back = parse(kind, &text).map_err(|e| TestCaseError::fail(format!("{text}: {e}")))?;
            let scale = if kind == Kind::Temperature { 1e3 } else { si.abs() };
            prop_assert!((back - si).abs() <= 1e-15 * scale.max(1e-300) * 4.0, "{si} {text} {back}");
        }

        #[test]
        fn a_measured_value_reads_back(value in 1e-4..1.0f64, share in 1e-3..0.3f64) {
            let sd = value * share;
            let text = format_measured(Kind::Mass, Measured { value, sd: Some(sd) });
            let back = parse_measured(Kind::Mass, &text)
                .map_err(|e| TestCaseError::fail(format!("{text}: {e}")))?;
            prop_assert!((back.value - value).abs() <= 0.1 * sd, "{text}");
            prop_assert!((back.sd.unwrap_or(0.0) / sd - 1.0).abs() <= 0.051, "{text}");
        }
    }
}
