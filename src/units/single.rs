//! From the text of a single value to SI.

use super::table::Unit;
use super::{Kind, Measured, UnitError, lex};

/// Below this a typed relative humidity is more likely a fraction than a percentage. No room and
/// no drying air comes near 1 %RH, and fractions never exceed 1 (common practice).
const SUSPICIOUS_HUMIDITY: f64 = 0.01;

/// A temperature above this many typed degrees is taken as a reading, so the number is not
/// carried over into the suggested difference. A width of 20 K is already unusual.
const LARGEST_LIKELY_DIFFERENCE: f64 = 20.0;

/// Reads one value, in SI.
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

/// A value and its uncertainty.
pub(super) fn measured(kind: Kind, (left, right): (&str, &str)) -> Result<Measured, UnitError> {
    let (_, left_unit) = lex::number(kind, left)?;
    let (sd_typed, right_unit) = lex::number(kind.difference(), right)?;
    let (left_unit, right_unit) = (left_unit.trim(), right_unit.trim());
    if kind == Kind::Temperature && lex::canonical(right_unit) == "%" {
        let what = "has an uncertainty in %, which means nothing of a temperature".to_owned();
        let hint = "write \"50 °C ± 0.5 K\".".to_owned();
        return Err(UnitError::Slip { found: "a value with its uncertainty", what, hint });
    }
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
