//! Ranges of values as typed: `3..9 mm step 1 mm`, `1..10 mm count 7 log`.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use crate::reader::Issue;

/// Most values of an axis and most cases of a sweep; more is a slip of the fingers.
pub const MOST: usize = 1_000_000;

/// Significant digits of computed values: enough for any unit, too few for 0.30000000000000004.
const DIGITS: usize = 12;

/// A range as typed: ends in one unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Range {
    /// First value, in `unit`.
    pub(super) from: f64,
    /// Last value, in `unit`.
    pub(super) to: f64,
    /// The unit of both ends; may be empty.
    pub(super) unit: String,
    /// Whether equal steps are equal ratios.
    pub(super) log: bool,
}

impl Range {
    /// The value at a share of the way from the first to the last end.
    pub(super) fn at(&self, share: f64) -> String {
        let value = if self.log {
            self.from * (self.to / self.from).powf(share)
        } else {
            self.from + share * (self.to - self.from)
        };
        self.text(value)
    }

    fn text(&self, value: f64) -> String {
        let rounded: f64 = format!("{value:.*e}", DIGITS - 1).parse().unwrap_or(value);
        format!("{rounded} {}", self.unit).trim_end().to_owned()
    }
}

/// A range and the number of its values if it says so; `None` if there are no two dots.
pub(super) fn range(typed: &str, rest: &str) -> Result<Option<(Range, Option<usize>)>, Issue> {
    let Some((from, after)) = rest.split_once("..") else { return Ok(None) };
    if after.starts_with('.') {
        return Err(fault(typed, "has three dots".into(), "write two dots between the ends."));
    }
    let mut words: Vec<&str> = after.split_whitespace().collect();
    let log = words.last() == Some(&"log");
    if log {
        words.pop();
    }
    let at = words.iter().position(|w| matches!(*w, "step" | "count"));
    let tail = at.map(|at| words.split_off(at));
    let number = |text: &str| {
        number(text).ok_or_else(|| {
            let what = format!("has no number in \"{text}\"");
            fault(typed, what, "write \"3..9 mm step 1 mm\".")
        })
    };
    let (from, first_unit) = number(from)?;
    let (to, unit) = number(&words.join(" "))?;
    if !first_unit.is_empty() && first_unit != unit {
        let what = format!("runs from {first_unit} to {unit}");
        return Err(fault(typed, what, "write both ends in the same unit."));
    }
    if from >= to {
        let what = format!("runs from {from} to {to} {unit}").trim_end().to_owned();
        return Err(fault(typed, what, "write the smaller value first."));
    }
    if log && from <= 0.0 {
        return Err(fault(typed, format!("cannot have log from {from}"), "start above zero."));
    }
    let range = Range { from, to, unit, log };
    let count = match tail.as_deref() {
        None => None,
        Some(["count", n]) => match n.parse::<usize>() {
            Ok(count) if (2..=MOST).contains(&count) => Some(count),
            _ => {
                let hint = format!("write a whole number of 2 to {MOST} after count.");
                return Err(fault(typed, format!("has a count of {n}"), &hint));
            }
        },
        Some(["step", size @ ..]) if !log => {
            let (size, step_unit) = number(&size.join(" "))?;
            if step_unit != range.unit && !step_unit.is_empty() {
                let hint = format!("write the step in {} too.", range.unit);
                return Err(fault(typed, format!("has a step in {step_unit}"), &hint));
            }
            Some(steps(typed, &range, size)?)
        }
        Some(_) => {
            let hint = "end with step and a size, or count and a number (and log).";
            return Err(fault(typed, "has an end that is not understood".into(), hint));
        }
    };
    if let Some(n) = count.filter(|n| *n > MOST) {
        return Err(fault(typed, format!("has {n} values"), &format!("take at most {MOST}.")));
    }
    Ok(Some((range, count)))
}

/// Number of values a step size makes; it must end on the last value.
fn steps(typed: &str, range: &Range, size: f64) -> Result<usize, Issue> {
    let exact = (range.to - range.from) / size;
    let whole = exact.round();
    if size > 0.0 && whole >= MOST as f64 {
        let hint = format!("take at most {MOST}: a larger step.");
        return Err(fault(typed, format!("has {:.0} values", whole + 1.0), &hint));
    }
    // Written steps such as 0.1 are not exact in binary.
    if size > 0.0 && whole >= 1.0 && (exact - whole).abs() < 1e-6 {
        return Ok(whole as usize + 1);
    }
    let what = format!("does not come from {} to {} in steps of {size}", range.from, range.to);
    Err(fault(typed, what, "choose a step that fits, or write count and a number."))
}

/// A number and the unit after it; `None` for words.
#[must_use]
pub fn number(text: &str) -> Option<(f64, String)> {
    let text = text.trim();
    let numeric = |c: char| c.is_ascii_digit() || "+-.".contains(c);
    let mut end = text.find(|c: char| !numeric(c)).unwrap_or(text.len());
    if let Some(power) = text[end..].strip_prefix('e') {
        let more = power.find(|c: char| !numeric(c)).unwrap_or(power.len());
        if text[..end + 1 + more].parse::<f64>().is_ok() {
            end += 1 + more;
        }
    }
    let value: f64 = text[..end].parse().ok().filter(|v: &f64| v.is_finite())?;
    Some((value, text[end..].trim().to_owned()))
}

/// A mistake of this axis.
pub(super) fn fault(typed: &str, what: String, hint: &str) -> Issue {
    Issue::of_file("bad-axis", &format!("axis {typed}"), what, hint)
}
