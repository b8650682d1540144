//! What may be typed where values are asked for, in a file and in every option: a value, a value with
//! its uncertainty, a range, a list. What a path measures need not be known yet, so values stay as typed.

use super::range::{NAME as RANGE, Range};
use super::single::{end, one, split_uncertainty};
use super::{Kind, UnitError};

/// A text by what it is.
#[derive(Clone, Debug, PartialEq)]
pub enum Typed {
    /// `5 mm`; also a word, a quoted text, or what stands in brackets.
    Value(String),
    /// `5 ± 0.1 mm`, `160 W ± 5 %`; also `+/-` and `+-`.
    Measured(String),
    /// `1..9 mm`, `1..9 mm log`.
    Range(Range),
    /// `1..9 mm step 1 mm`, `1..9 mm count 5 log`: so many values of a range.
    Steps(Range, usize),
    /// `2 mm, 1..9 mm` or `2 ± 0.1 mm, 1..9 mm`: where to start, and the range to stay in.
    Start(String, Range),
    /// `1 mm, 2 mm, 3 mm`.
    List(Vec<String>),
}

/// What lists are called in messages.
const LIST: &str = "a list";

impl Typed {
    /// Reads a text.
    ///
    /// # Errors
    /// What is wrong with a range or a list; whether values fit what they are for is not asked here.
    pub fn read(text: &str) -> Result<Self, UnitError> {
        let text = text.trim();
        let mut parts = Self::split(text);
        if parts.iter().any(String::is_empty) && parts.len() > 1 {
            let what = "has an empty value".to_owned();
            return slip(LIST, what, "put one comma between values.".into());
        }
        if parts.len() > 1 {
            return list(text, parts);
        }
        let only = parts.remove(0);
        if only.starts_with(['"', '[', '{']) {
            return Ok(Typed::Value(only));
        }
        if let Some((from, after)) = only.split_once("..") {
            if split_uncertainty(&only).is_some() {
                let what = "has a ± in a range".to_owned();
                let hint = "write 5 ± 0.1 mm, or 1..9 mm, or both: 5 ± 0.1 mm, 1..9 mm.";
                return slip(RANGE, what, hint.into());
            }
            return Ok(match Range::read(from, after)? {
                (range, Some(count)) => Typed::Steps(range, count),
                (range, None) => Typed::Range(range),
            });
        }
        if split_uncertainty(&only).is_some() {
            return Ok(Typed::Measured(only));
        }
        if let Some((from, to)) = ends(&only) {
            let what = format!("looks like a range from {from} to {to}");
            return slip(RANGE, what, format!("write {from}..{to}, with two dots."));
        }
        Ok(Typed::Value(only))
    }

    /// What stands between commas; commas in brackets and quotes do not split.
    #[must_use]
    pub fn split(text: &str) -> Vec<String> {
        let (mut depth, mut quoted) = (0_i32, false);
        let mut found = vec![String::new()];
        for c in text.chars() {
            match c {
                '"' => quoted = !quoted,
                '[' | '{' if !quoted => depth += 1,
                ']' | '}' if !quoted => depth -= 1,
                ',' if !quoted && depth == 0 => {
                    found.push(String::new());
                    continue;
                }
                _ => {}
            }
            if let Some(last) = found.last_mut() {
                last.push(c);
            }
        }
        found.iter().map(|v| v.trim().to_owned()).collect()
    }

    /// What it is called in messages.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Typed::Value(_) => "a single value",
            Typed::Measured(_) => "a value with its uncertainty",
            Typed::Range(range) if range.is_log() => "a range with log",
            Typed::Range(_) => RANGE,
            Typed::Steps(..) => "a range in steps",
            Typed::Start(..) => "a start with a range",
            Typed::List(_) => LIST,
        }
    }

    /// The error of an option that takes only what `wanted` says, with one thing to type in its place.
    #[must_use]
    pub fn refused(&self, wanted: &'static str, write: String) -> UnitError {
        UnitError::Shape { found: self.name(), wanted, write }
    }
}

/// Where a single value is needed and there is none: says so if something else was typed that is read
/// elsewhere, in place of what is wrong with it as a value.
pub(super) fn instead(kind: Kind, text: &str, error: UnitError) -> UnitError {
    if matches!(error, UnitError::DecimalComma { .. } | UnitError::ThousandsSeparator { .. }) {
        return error;
    }
    let (found, first) = match Typed::read(text) {
        Ok(Typed::Value(_)) => return error,
        Ok(typed) => {
            let first = match &typed {
                Typed::Measured(text) => split_uncertainty(text).map(with_unit_of),
                Typed::Range(range) | Typed::Steps(range, _) => Some(range.at(0.0)),
                _ => None,
            };
            (typed.name(), first)
        }
        // Of several pairs of number and unit a time knows more.
        Err(UnitError::Slip { found, .. }) if error != UnitError::BadCompound => (found, None),
        Err(_) => return error,
    };
    let mut all = first.into_iter().chain(Typed::split(text));
    let write = all.find(|t| one(kind, t).is_ok()).unwrap_or_else(|| kind.example().to_owned());
    UnitError::Shape { found, wanted: "a single value", write }
}

/// The value of a measured one, with the unit that may stand behind its uncertainty only.
fn with_unit_of((value, uncertainty): (&str, &str)) -> String {
    match (end(value), end(uncertainty)) {
        (Ok((_, own)), Ok((_, unit))) if own.is_empty() => format!("{value} {unit}"),
        _ => value.to_owned(),
    }
}

fn slip<T>(found: &'static str, what: String, hint: String) -> Result<T, UnitError> {
    Err(UnitError::Slip { found, what, hint })
}

/// Several values between commas: a list, or where to start and a range.
fn list(text: &str, parts: Vec<String>) -> Result<Typed, UnitError> {
    let is_range = |part: &&String| !part.starts_with(['"', '[', '{']) && part.contains("..");
    if let [start, range] = &parts[..]
        && is_range(&range)
        && !is_range(&start)
        && let Typed::Range(range) = Typed::read(range)?
    {
        let bare = split_uncertainty(start).is_none() && end(start).is_ok_and(|e| e.1.is_empty());
        let start = if bare { with_unit(start, range.unit()) } else { start.clone() };
        return Ok(Typed::Start(start, range));
    }
    if parts.iter().any(|part| is_range(&part)) {
        let what = "has a range among its values".to_owned();
        return slip(LIST, what, "write one range, or each value; a decimal has a point.".into());
    }
    if let Some(unit) = unit_once(&parts) {
        let all: Vec<String> = parts.iter().map(|v| with_unit(v, &unit)).collect();
        let all = all.join(", ");
        // Two numbers without a blank between may be one with a decimal comma.
        if let (2, Err(e)) = (parts.len(), end(text)) {
            return slip(LIST, e.to_string(), format!("{} As a list: {all}.", e.hint()));
        }
        let what = format!("gives its unit {unit} with the last value only");
        return slip(LIST, what, format!("write {all}."));
    }
    Ok(Typed::List(parts))
}

/// The unit of a list whose last value alone has one.
fn unit_once(listed: &[String]) -> Option<String> {
    let (last, others) = listed.split_last()?;
    let unit = end(last).ok()?.1;
    let bare = others.iter().all(|v| end(v).is_ok_and(|n| n.1.is_empty()));
    // An uncertainty is no unit.
    (bare && !unit.is_empty() && unit.split_whitespace().count() == 1).then_some(unit)
}

fn with_unit(value: &str, unit: &str) -> String {
    if value.ends_with(unit) { value.to_owned() } else { format!("{value} {unit}") }
}

/// The two ends of what a person may mean as a range: `80-200 W`, `80 to 200 W`.
fn ends(text: &str) -> Option<(&str, &str)> {
    let starts = |t: &str| t.starts_with(|c: char| c.is_ascii_digit());
    ["-", "–", " to "].iter().find_map(|joint| {
        let (from, to) = text.split_once(joint).map(|(a, b)| (a.trim(), b.trim()))?;
        // The minus of an exponent is no joint.
        let whole = starts(from) && starts(to) && !from.ends_with(['e', 'E']);
        (whole && end(to).is_ok_and(|n| !n.1.is_empty())).then_some((from, to))
    })
}
