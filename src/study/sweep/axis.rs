//! One side of a sweep: the values typed for one path, or for several that go together.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use std::collections::HashSet;

use super::range::range;
use super::spread::Spread;
use crate::reader::Issue;

/// Most values of an axis and most cases of a sweep; more is a slip of the fingers.
pub const MOST: usize = 1_000_000;

/// Values that paths take together.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Dotted paths; more than one if they are paired.
    pub paths: Vec<String>,
    /// What they take.
    pub values: Values,
    /// As typed, for messages.
    pub typed: String,
}

/// What the paths of an axis take.
#[derive(Clone, Debug, PartialEq)]
pub enum Values {
    /// For each step one value per path, as typed.
    Steps(Vec<Vec<String>>),
    /// One spread per path, without a number of values: to draw from, or to take the ends of.
    Spreads(Vec<Spread>),
}

/// The values of one path of an axis.
enum Typed {
    Steps(Vec<String>),
    Spread(Spread),
}

impl Axis {
    /// Reads `path=a, b, c`, `path=1..9 mm step 1 mm` or `path=1..10 mm count 7 log`; or, to draw
    /// from, `path=1..9 mm`, `path=5 ± 0.1 mm` or the path alone, whose value has a ± in the file.
    /// Several of these with semicolons between go together step by step.
    ///
    /// # Errors
    /// What is wrong with the text; whether the values fit their paths is seen on reading.
    pub fn parse(typed: &str) -> Result<Self, Issue> {
        let mut paths = Vec::new();
        let mut steps: Vec<Vec<String>> = Vec::new();
        let mut spreads = Vec::new();
        for part in typed.split(';') {
            let (path, values) = part_of(typed, part)?;
            match values {
                Typed::Spread(spread) => spreads.push(spread),
                Typed::Steps(values) if steps.is_empty() => {
                    steps = values.into_iter().map(|v| vec![v]).collect();
                }
                Typed::Steps(values) if values.len() == steps.len() => {
                    steps.iter_mut().zip(values).for_each(|(step, v)| step.push(v));
                }
                Typed::Steps(values) => {
                    let what = format!(
                        "pairs {} values of {} with {} of {path}",
                        steps.len(),
                        paths[0],
                        values.len()
                    );
                    return Err(fault(typed, what, "give both the same number of values."));
                }
            }
            paths.push(path.to_owned());
        }
        // A pair may repeat a value, but not a whole step.
        let mut seen = HashSet::new();
        if let Some(twice) = steps.iter().find(|step| !seen.insert(*step)) {
            let what = format!("has {} twice", twice.join(" with "));
            return Err(fault(typed, what, "give each value once."));
        }
        let values = match (steps.is_empty(), spreads.is_empty()) {
            (false, true) => Values::Steps(steps),
            (true, _) => Values::Spreads(spreads),
            (false, false) => {
                let what = "pairs values with a spread".to_owned();
                return Err(fault(typed, what, "give both as values, or both as spreads."));
            }
        };
        Ok(Axis { paths, values, typed: typed.to_owned() })
    }

    /// An axis of ready steps: for each a value per path. `typed` is what messages call it.
    #[must_use]
    pub fn of_steps(typed: String, paths: Vec<String>, steps: Vec<Vec<String>>) -> Self {
        Axis { paths, values: Values::Steps(steps), typed }
    }

    /// Number of steps; a spread has its two ends.
    #[must_use]
    pub fn steps(&self) -> usize {
        match &self.values {
            Values::Steps(steps) => steps.len(),
            Values::Spreads(_) => 2,
        }
    }
}

/// A mistake of this axis.
pub(super) fn fault(typed: &str, what: String, hint: &str) -> Issue {
    Issue::of_file("bad-axis", &format!("axis {typed}"), what, hint)
}

fn part_of<'t>(typed: &str, part: &'t str) -> Result<(&'t str, Typed), Issue> {
    let (path, rest) =
        part.split_once('=').map_or((part.trim(), None), |(p, v)| (p.trim(), Some(v.trim())));
    let odd =
        path.is_empty() || rest.is_some_and(str::is_empty) || path.contains(char::is_whitespace);
    if odd {
        let hint = "write \"vent.low.diameter=3..9 mm step 1 mm\" or \"heater.power=60 W, 120 W\".";
        return Err(fault(typed, "is not PATH=VALUES".into(), hint));
    }
    let Some(rest) = rest else { return Ok((path, Typed::Spread(Spread::Own))) };
    let values = match range(typed, rest)? {
        Some((range, Some(count))) => {
            let last = (count - 1).max(1) as f64;
            Typed::Steps((0..count).map(|i| range.at(i as f64 / last)).collect())
        }
        Some((range, None)) => Typed::Spread(Spread::Range(range)),
        None => {
            let mut listed = list(typed, rest)?;
            if listed.len() == 1 && Spread::is_measured(&listed[0]) {
                Typed::Spread(Spread::Measured(listed.remove(0)))
            } else {
                Typed::Steps(listed)
            }
        }
    };
    Ok((path, values))
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
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn steps(typed: &str) -> Vec<String> {
        let axis = Axis::parse(typed).unwrap_or_else(|e| panic!("{typed}: {e}"));
        let Values::Steps(steps) = axis.values else { panic!("{typed} has no steps") };
        steps.iter().map(|s| s.join(" & ")).collect()
    }

    #[test]
    fn ranges_lists_and_pairs() {
        assert_eq!(steps("a.b=3..5 mm step 1 mm"), ["3 mm", "4 mm", "5 mm"]);
        assert_eq!(steps("a=0.1..0.3 step 0.1"), ["0.1", "0.2", "0.3"]);
        assert_eq!(steps("a=1..100 mm count 3 log"), ["1 mm", "10 mm", "100 mm"]);
        assert_eq!(steps("a=60 W, 120 W"), ["60 W", "120 W"]);
        assert_eq!(steps("a=[1, 2], [3, 4]"), ["[1, 2]", "[3, 4]"]);
        assert_eq!(steps("a=0, 1, 1; b=x, x, y"), ["0 & x", "1 & x", "1 & y"]);
        assert_eq!(steps("a=1 mm, 2 mm; b=3..4 W count 2"), ["1 mm & 3 W", "2 mm & 4 W"]);
    }

    #[test]
    fn spreads_are_kept_as_typed() {
        for typed in ["a.b", "a=1..2 mm", "a=1..9 mm log", "a=3 ± 0.1 g", "a=1..2; b=3..4 W"] {
            let axis = Axis::parse(typed).unwrap_or_else(|e| panic!("{typed}: {e}"));
            assert!(matches!(axis.values, Values::Spreads(_)), "{typed}: {axis:?}");
        }
    }

    #[test]
    fn slips_are_named() {
        for (typed, part) in [
            ("a b", "is not PATH=VALUES"),
            ("=3", "is not PATH=VALUES"),
            ("a=", "is not PATH=VALUES"),
            ("a=1, 2; b", "pairs values with a spread"),
            ("a=9..3 mm step 1 mm", "runs from 9 to 3 mm"),
            ("a=3..9 mm step 4 mm", "does not come from"),
            ("a=3..9 mm step 0 mm", "does not come from"),
            ("a=3..9 mm count 0", "has 0 values"),
            ("a=3..9 mm count 2000000", "has 2000000 values"),
            ("a=3 cm..9 mm count 3", "runs from cm to mm"),
            ("a=0..9 mm count 3 log", "cannot have log"),
            ("a=1,,2", "empty value"),
            ("a=1, 1", "has 1 twice"),
            ("a=1, 2, 1; b=3, 4, 3", "has 1 with 3 twice"),
            ("a=1, 2; b=1, 2, 3", "pairs 2 values"),
        ] {
            let issue = Axis::parse(typed).expect_err(typed).to_string();
            assert!(issue.contains(part), "{typed}: {issue}");
        }
    }
}
