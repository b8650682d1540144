//! Ranges of values as typed: `3..9 mm step 1 mm`, `1..10 mm count 7 log`.

use super::single::{end, in_unit, one, span_in_unit};
use super::{Kind, UnitError};

/// Most values of a range, and most cases of a sweep; more is a slip of the fingers.
pub const MOST: usize = 1_000_000;

/// Significant digits of computed values: enough for any unit, too few for 0.30000000000000004.
const DIGITS: usize = 12;

/// What a range is called in messages.
pub(super) const NAME: &str = "a range";

/// A range as typed: both ends in one unit, that of the last.
#[derive(Clone, Debug, PartialEq)]
pub struct Range {
    from: f64,
    to: f64,
    /// May be empty.
    unit: String,
    log: bool,
}

impl Range {
    /// Whether equal steps are equal ratios.
    #[must_use]
    pub fn is_log(&self) -> bool {
        self.log
    }

    /// The unit of both ends; may be empty.
    pub(super) fn unit(&self) -> &str {
        &self.unit
    }

    /// The value at a share of the way from the first to the last end, as it would be typed.
    #[must_use]
    pub fn at(&self, share: f64) -> String {
        let value = if self.log {
            self.from * (self.to / self.from).powf(share)
        } else {
            self.from + share * (self.to - self.from)
        };
        let rounded: f64 = format!("{value:.*e}", DIGITS - 1).parse().unwrap_or(value);
        format!("{rounded} {}", self.unit).trim_end().to_owned()
    }

    /// So many values of it, evenly spread.
    #[must_use]
    pub fn values(&self, count: usize) -> Vec<String> {
        let last = count.saturating_sub(1).max(1) as f64;
        (0..count).map(|i| self.at(i as f64 / last)).collect()
    }

    /// Both ends in SI.
    ///
    /// # Errors
    /// Why an end is no value of the kind.
    pub fn ends(&self, kind: Kind) -> Result<(f64, f64), UnitError> {
        Ok((one(kind, &self.at(0.0))?, one(kind, &self.at(1.0))?))
    }

    /// Reads what stands on the two sides of the two dots, and the number of values if it says so.
    pub(super) fn read(from: &str, after: &str) -> Result<(Self, Option<usize>), UnitError> {
        if after.starts_with('.') {
            return slip("has three dots".into(), "write two dots between the ends.");
        }
        let mut words: Vec<&str> = after.split_whitespace().collect();
        let log = words.last() == Some(&"log");
        if log {
            words.pop();
        }
        let at = words.iter().position(|w| matches!(*w, "step" | "count"));
        let tail = at.map(|at| words.split_off(at));
        let (first, first_unit) = number(from)?;
        let (to, unit) = number(&words.join(" "))?;
        let same = first_unit.is_empty() || first_unit == unit;
        let Some(from) =
            Some(first).filter(|_| same).or_else(|| in_unit(first, &first_unit, &unit))
        else {
            let what = format!("runs from {first_unit} to {unit}");
            return slip(what, "write both ends in the same unit.");
        };
        if from >= to {
            let what = format!("runs from {from} to {to} {unit}").trim_end().to_owned();
            return slip(what, "write the smaller value first.");
        }
        if log && from <= 0.0 {
            return slip(format!("cannot have log from {from}"), "start above zero.");
        }
        let range = Range { from, to, unit, log };
        let count = match tail.as_deref() {
            None => None,
            Some(["count", n]) => match n.parse::<usize>() {
                Ok(count) if (2..=MOST).contains(&count) => Some(count),
                _ => {
                    let hint = format!("write a whole number of 2 to {MOST} after count.");
                    return slip(format!("has a count of {n}"), &hint);
                }
            },
            Some(["step", size @ ..]) if !log => Some(range.steps(&size.join(" "))?),
            Some(_) => {
                let hint = "end with step and a size, or count and a number (and log).";
                return slip("has an end that is not understood".into(), hint);
            }
        };
        Ok((range, count))
    }

    /// Number of values a step size makes; it must end on the last value.
    fn steps(&self, size: &str) -> Result<usize, UnitError> {
        let (typed, unit) = number(size)?;
        let same = unit.is_empty() || unit == self.unit;
        let Some(size) =
            Some(typed).filter(|_| same).or_else(|| span_in_unit(typed, &unit, &self.unit))
        else {
            let hint = format!("write the step in {} too.", self.unit);
            return slip(format!("has a step in {unit}"), &hint);
        };
        let exact = (self.to - self.from) / size;
        let whole = exact.round();
        if size > 0.0 && whole >= MOST as f64 {
            let hint = format!("take at most {MOST}: a larger step.");
            return slip(format!("has {:.0} values", whole + 1.0), &hint);
        }
        // Written steps such as 0.1 are not exact in binary.
        if size > 0.0 && whole >= 1.0 && (exact - whole).abs() < 1e-6 {
            return Ok(whole as usize + 1);
        }
        let what = format!("does not come from {} to {} in steps of {size}", self.from, self.to);
        slip(what, "choose a step that fits, or write count and a number.")
    }
}

fn number(text: &str) -> Result<(f64, String), UnitError> {
    end(text).or_else(|error| match error {
        UnitError::NotANumber { .. } => {
            slip(format!("has no number in \"{text}\""), "write \"3..9 mm step 1 mm\".")
        }
        other => Err(other),
    })
}

fn slip<T>(what: String, hint: &str) -> Result<T, UnitError> {
    Err(UnitError::Slip { found: NAME, what, hint: hint.to_owned() })
}
