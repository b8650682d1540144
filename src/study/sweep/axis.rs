//! One side of a sweep: the values typed for one path, or for several that go together.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use crate::reader::Issue;

/// Most values of an axis and most cases of a sweep; more is a slip of the fingers.
pub const MOST: usize = 1_000_000;

/// Significant digits of computed steps: enough for any unit, too few for 0.30000000000000004.
const DIGITS: usize = 12;

/// Values that paths take together.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Dotted paths; more than one if they are paired.
    pub paths: Vec<String>,
    /// For each step one value per path, as typed.
    pub steps: Vec<Vec<String>>,
}

/// A range as typed: ends in one unit.
#[derive(Clone, Debug, PartialEq)]
struct Range {
    /// First value, in `unit`.
    from: f64,
    /// Last value, in `unit`.
    to: f64,
    /// The unit of both ends; may be empty.
    unit: String,
    /// Whether equal steps are equal ratios.
    log: bool,
}

impl Range {
    /// The value at a share of the way from the first to the last end.
    fn at(&self, share: f64) -> String {
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

impl Axis {
    /// Reads `path=a, b, c`, `path=1..9 mm step 1 mm` or `path=1..10 mm count 7 log`; several of
    /// these with semicolons between go together step by step.
    ///
    /// # Errors
    /// What is wrong with the text; whether the values fit their paths is seen on reading.
    pub fn parse(typed: &str) -> Result<Self, Issue> {
        let mut axis = Axis { paths: Vec::new(), steps: Vec::new() };
        for (k, part) in typed.split(';').enumerate() {
            let (path, rest) = assignment(typed, part)?;
            let values = values(typed, rest)?;
            if k == 0 {
                axis.steps = vec![Vec::new(); values.len()];
            } else if values.len() != axis.steps.len() {
                let what = format!(
                    "pairs {} values of {} with {} of {path}",
                    axis.steps.len(),
                    axis.paths[0],
                    values.len()
                );
                return Err(fault(typed, what, "give both the same number of values."));
            }
            axis.steps.iter_mut().zip(values).for_each(|(step, v)| step.push(v));
            axis.paths.push(path.to_owned());
        }
        Ok(axis)
    }
}

/// A mistake of this axis.
pub(super) fn fault(typed: &str, what: String, hint: &str) -> Issue {
    Issue::of_file("bad-axis", &format!("axis {typed}"), what, hint)
}

fn assignment<'t>(typed: &str, part: &'t str) -> Result<(&'t str, &'t str), Issue> {
    let found = part.split_once('=').map(|(p, v)| (p.trim(), v.trim()));
    found.filter(|(p, v)| !p.is_empty() && !v.is_empty()).ok_or_else(|| {
        let hint = "write \"vent.low.diameter=3..9 mm step 1 mm\" or \"heater.power=60 W, 120 W\".";
        fault(typed, "is not PATH=VALUES".into(), hint)
    })
}

fn values(typed: &str, rest: &str) -> Result<Vec<String>, Issue> {
    match range(typed, rest)? {
        Some((range, Some(count))) => {
            let last = (count - 1).max(1) as f64;
            Ok((0..count).map(|i| range.at(i as f64 / last)).collect())
        }
        Some((range, None)) => {
            let hint = format!(
                "write \"{}..{} {} count 7\", or step and a size.",
                range.from, range.to, range.unit
            );
            Err(fault(typed, "does not say how many values".into(), &hint))
        }
        None => list(typed, rest),
    }
}

/// Values between commas; commas in brackets and quotes do not split.
fn list(typed: &str, rest: &str) -> Result<Vec<String>, Issue> {
    let (mut depth, mut quoted) = (0_i32, false);
    let mut found = vec![String::new()];
    for c in rest.chars() {
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
    let found: Vec<String> = found.iter().map(|v| v.trim().to_owned()).collect();
    if found.iter().any(String::is_empty) {
        return Err(fault(typed, "has an empty value".into(), "put one comma between values."));
    }
    if let Some(twice) = found.iter().enumerate().find(|(i, v)| found[..*i].contains(v)) {
        let what = format!("has {} twice", twice.1);
        return Err(fault(typed, what, "give each value once."));
    }
    Ok(found)
}

/// A range and the number of its values if it says so; `None` if there are no two dots.
fn range(typed: &str, rest: &str) -> Result<Option<(Range, Option<usize>)>, Issue> {
    let Some((from, after)) = rest.split_once("..") else { return Ok(None) };
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
        Some(["count", n]) => Some(n.parse::<usize>().unwrap_or(0)),
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
    if count.is_some_and(|n| !(2..=MOST).contains(&n)) {
        let what = format!("has {} values", count.unwrap_or(0));
        return Err(fault(typed, what, "take a count of 2 to 1000000."));
    }
    Ok(Some((range, count)))
}

/// Number of values a step size makes; it must end on the last value.
fn steps(typed: &str, range: &Range, size: f64) -> Result<usize, Issue> {
    let exact = (range.to - range.from) / size;
    let whole = exact.round();
    // Written steps such as 0.1 are not exact in binary.
    if size > 0.0 && whole >= 1.0 && (exact - whole).abs() < 1e-6 {
        return Ok(whole as usize + 1);
    }
    let what = format!("does not come from {} to {} in steps of {size}", range.from, range.to);
    Err(fault(typed, what, "choose a step that fits, or write count and a number."))
}

/// A number and the unit after it.
pub(super) fn number(text: &str) -> Option<(f64, String)> {
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

#[cfg(test)]
mod tests {
    use super::*;

    fn steps(typed: &str) -> Vec<String> {
        let axis = Axis::parse(typed).unwrap_or_else(|e| panic!("{typed}: {e}"));
        axis.steps.iter().map(|s| s.join(" & ")).collect()
    }

    #[test]
    fn ranges_lists_and_pairs() {
        assert_eq!(steps("a.b=3..5 mm step 1 mm"), ["3 mm", "4 mm", "5 mm"]);
        assert_eq!(steps("a=0.1..0.3 step 0.1"), ["0.1", "0.2", "0.3"]);
        assert_eq!(steps("a=1..100 mm count 3 log"), ["1 mm", "10 mm", "100 mm"]);
        assert_eq!(steps("a=60 W, 120 W"), ["60 W", "120 W"]);
        assert_eq!(steps("a=[1, 2], [3, 4]"), ["[1, 2]", "[3, 4]"]);
        assert_eq!(steps("a=1 mm, 2 mm; b=3..4 W count 2"), ["1 mm & 3 W", "2 mm & 4 W"]);
    }

    #[test]
    fn slips_are_named() {
        for (typed, part) in [
            ("a", "is not PATH=VALUES"),
            ("a=9..3 mm step 1 mm", "runs from 9 to 3 mm"),
            ("a=3..9 mm", "does not say how many"),
            ("a=3..9 mm step 4 mm", "does not come from"),
            ("a=3..9 mm step 0 mm", "does not come from"),
            ("a=3..9 mm count 0", "has 0 values"),
            ("a=3..9 mm count 2000000", "has 2000000 values"),
            ("a=3 cm..9 mm count 3", "runs from cm to mm"),
            ("a=0..9 mm count 3 log", "cannot have log"),
            ("a=1,,2", "empty value"),
            ("a=1, 1", "twice"),
            ("a=1, 2; b=1, 2, 3", "pairs 2 values"),
        ] {
            let issue = Axis::parse(typed).expect_err(typed).to_string();
            assert!(issue.contains(part), "{typed}: {issue}");
        }
    }
}
