//! One side of a sweep: the values typed for one path, or for several that go together.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use std::collections::{HashMap, HashSet};

use super::range::{fault, number, range};
use super::spread::InputSpread;
use crate::reader::Issue;
use crate::units::{Kind, parse, significant};

/// Values that paths take together.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Dotted paths; more than one if they are paired.
    pub paths: Vec<String>,
    /// What they take.
    pub values: Values,
    /// The paths whose values go by equal ratios.
    pub log: Vec<String>,
    /// Whether no person typed the steps, so that two may be equal.
    pub ready: bool,
    /// As typed, for messages.
    pub typed: String,
}

/// What the paths of an axis take.
#[derive(Clone, Debug, PartialEq)]
pub enum Values {
    /// For each step one value per path, as typed.
    Steps(Vec<Vec<String>>),
    /// One spread per path, without a number of values: to draw from, or to take the ends of.
    Spreads(Vec<InputSpread>),
}

/// The values of one path of an axis.
enum Typed {
    Steps(Vec<String>),
    Ratios(Vec<String>),
    InputSpread(InputSpread),
}

/// Digits to which two values in different units are the same: fewer than rounding spoils.
const SAME_DIGITS: usize = 12;

impl Axis {
    /// Reads `path=a, b, c`, `path=1..9 mm step 1 mm` or `path=1..10 mm count 7 log`; or, to draw
    /// from, `path=1..9 mm`, `path=5 ± 0.1 mm` or the path alone, whose value has a ± in the file.
    /// Several of these with semicolons between go together step by step. The path `label` is none of
    /// the scenario: it names the steps for figures and tables.
    ///
    /// # Errors
    /// What is wrong with the text; whether the values fit their paths is seen on reading.
    pub fn parse(typed: &str) -> Result<Self, Issue> {
        let mut paths = Vec::new();
        let mut steps: Vec<Vec<String>> = Vec::new();
        let (mut spreads, mut log) = (Vec::new(), Vec::new());
        let parts: Result<Vec<_>, _> = typed.split(';').map(|part| part_of(typed, part)).collect();
        let mut parts = parts?;
        // What names the steps comes behind what they are.
        parts.sort_by_key(|(path, _)| is_label(path));
        if parts.iter().all(|(path, _)| is_label(path)) {
            let what = "names steps, but has none".to_owned();
            let hint = "write the paths too: \"label=small, large; vent.low.diameter=3 mm, 9 mm\".";
            return Err(fault(typed, what, hint));
        }
        for (path, values) in parts {
            let is_log = match &values {
                Typed::Steps(_) => false,
                Typed::Ratios(_) => true,
                Typed::InputSpread(spread) => spread.is_log(),
            };
            log.extend(is_log.then(|| path.to_owned()));
            let values = match values {
                Typed::Steps(names) if is_label(path) => {
                    Typed::Steps(names.iter().map(|n| n.trim_matches('"').to_owned()).collect())
                }
                other => other,
            };
            match values {
                Typed::InputSpread(spread) => spreads.push(spread),
                Typed::Steps(values) | Typed::Ratios(values) if steps.is_empty() => {
                    steps = values.into_iter().map(|v| vec![v]).collect();
                }
                Typed::Steps(values) | Typed::Ratios(values) if values.len() == steps.len() => {
                    steps.iter_mut().zip(values).for_each(|(step, v)| step.push(v));
                }
                Typed::Steps(values) | Typed::Ratios(values) => {
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
        Ok(Axis { paths, values, typed: typed.to_owned(), log, ready: false })
    }

    /// An axis of ready steps: for each a value per path. `typed` is what messages call it.
    #[must_use]
    pub fn of_steps(typed: String, paths: Vec<String>, steps: Vec<Vec<String>>) -> Self {
        Axis { paths, values: Values::Steps(steps), typed, log: Vec::new(), ready: true }
    }

    /// Two steps that are the same in different words, such as `1 mm` and `0.1 cm`; `kind` tells
    /// what a path measures.
    pub(super) fn twice(&self, kind: impl Fn(&str) -> Option<Kind>) -> Option<Issue> {
        let Values::Steps(steps) = &self.values else { return None };
        let meant = |(path, text): (&String, &String)| match kind(path).map(|k| parse(k, text)) {
            Some(Ok(si)) => significant(si, SAME_DIGITS),
            _ => text.trim_matches('"').to_owned(),
        };
        let mut seen = HashMap::new();
        for step in steps.iter().filter(|_| !self.ready) {
            let meant: Vec<String> = self.paths.iter().zip(step).map(meant).collect();
            if let Some(first) = seen.insert(meant, step) {
                let (first, again) = (first.join(" with "), step.join(" with "));
                let what = format!("has {first} twice, the second time as {again}");
                return Some(fault(&self.typed, what, &format!("leave out {again}.")));
            }
        }
        None
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

/// Whether a path is none of the scenario, but names the steps of its axis: `label`, or `label.holes`
/// where several axes have one.
#[must_use]
pub fn is_label(path: &str) -> bool {
    path.split('.').next() == Some("label")
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
    let Some(rest) = rest else { return Ok((path, Typed::InputSpread(InputSpread::Own))) };
    let values = match range(typed, rest)? {
        Some((range, Some(count))) => {
            let last = (count - 1).max(1) as f64;
            let values = (0..count).map(|i| range.at(i as f64 / last)).collect();
            if range.log { Typed::Ratios(values) } else { Typed::Steps(values) }
        }
        Some((range, None)) => Typed::InputSpread(InputSpread::Range(range)),
        None => {
            let mut listed = list(typed, rest)?;
            if is_label(path) && listed.iter().any(|name| name.trim_matches('"').trim().is_empty())
            {
                let hint = "give each step a name.";
                return Err(fault(typed, "has an empty label".into(), hint));
            }
            if let Some(unit) = unit_once(&listed).filter(|_| !is_label(path)) {
                let all: Vec<String> = listed.iter().map(|v| with_unit(v, &unit)).collect();
                let what = format!("gives its unit {unit} with the last value only");
                let mut hint = format!("write {path}={}.", all.join(", "));
                if let [whole, part] = &listed[..] {
                    hint.push_str(&format!(" A decimal has a point: {whole}.{part}."));
                }
                return Err(fault(typed, what, &hint));
            }
            if let [only] = &listed[..]
                && let Some((from, to)) = ends(only)
            {
                let what = format!("looks like a range from {from} to {to}");
                return Err(fault(typed, what, &format!("write {path}={from}..{to} count 7.")));
            }
            if listed.len() == 1 && InputSpread::is_measured(&listed[0]) {
                Typed::InputSpread(InputSpread::Measured(listed.remove(0)))
            } else {
                Typed::Steps(listed)
            }
        }
    };
    Ok((path, values))
}

/// The unit of a list whose last value alone has one.
fn unit_once(listed: &[String]) -> Option<String> {
    let (last, others) = listed.split_last().filter(|(_, others)| !others.is_empty())?;
    let unit = number(last)?.1;
    let bare = others.iter().all(|v| number(v).is_some_and(|n| n.1.is_empty()));
    // An uncertainty and a list are no units.
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
        let whole =
            !text.contains('±') && starts(from) && starts(to) && !from.ends_with(['e', 'E']);
        (whole && number(to).is_some_and(|n| !n.1.is_empty())).then_some((from, to))
    })
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
        assert_eq!(steps("label=one, \"two, far\"; a=0, 1"), ["0 & one", "1 & two, far"]);
    }

    #[test]
    fn ratios_are_known_by_their_paths() {
        for (typed, log) in [
            ("a=1..100 mm count 3 log", &["a"][..]),
            ("a=1..100 mm count 3", &[]),
            ("a=1..9 mm log", &["a"]),
            ("a=1..2 W count 3; b=1..4 mm count 3 log", &["b"]),
        ] {
            assert_eq!(Axis::parse(typed).unwrap().log, log, "{typed}");
        }
    }

    #[test]
    fn equal_values_in_other_words_are_found() {
        let twice = |typed: &str| {
            let axis = Axis::parse(typed).unwrap_or_else(|e| panic!("{typed}: {e}"));
            axis.twice(|path| (path == "a").then_some(Kind::Length)).map(|i| i.to_string())
        };
        for (typed, words) in [
            ("a=1 mm, 0.1 cm", "has 1 mm twice, the second time as 0.1 cm"),
            ("a=25.4 mm, 2 mm, 1 in", "leave out 1 in."),
            ("b=x, \"x\"", "has x twice"),
            ("a=1 mm, 0.1 cm; b=x, x", "has 1 mm with x twice, the second time as 0.1 cm with x"),
        ] {
            let found = twice(typed).unwrap_or_else(|| panic!("{typed} was accepted"));
            assert!(found.contains(words), "{typed}: {found}");
        }
        for typed in ["a=1 mm, 0.2 cm", "a=1 mm, 0.1 cm; b=x, y", "b=1 mm, 0.1 cm"] {
            assert_eq!(twice(typed), None, "{typed}");
        }
        let steps = vec![vec!["1 mm".to_owned()]; 2];
        let drawn = Axis::of_steps("a fit".into(), vec!["a".into()], steps);
        assert_eq!(drawn.twice(|_| Some(Kind::Length)), None);
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
            ("a=3..9 mm count 0", "has a count of 0"),
            ("a=3..9 mm count 2.5", "has a count of 2.5"),
            ("a=3...9 mm count 2", "has three dots"),
            ("a=3-9 mm", "looks like a range"),
            ("a=3 to 9 mm", "looks like a range"),
            ("a=3 mm - 9 mm", "looks like a range"),
            ("a=0..9 mm step 1e-9 mm", "has 9000000001 values"),
            ("a=3..9 mm count 2000000", "has a count of 2000000"),
            ("a=3 cm..9 mm count 3", "runs from cm to mm"),
            ("a=0..9 mm count 3 log", "cannot have log"),
            ("a=1,,2", "empty value"),
            ("a=1, 1", "has 1 twice"),
            ("a=1, 2, 1; b=3, 4, 3", "has 1 with 3 twice"),
            ("a=1, 2; b=1, 2, 3", "pairs 2 values"),
            ("a=3, 5, 8 mm", "with the last value only"),
            ("label=, two; a=1, 2", "empty value"),
            ("label=\"\", two; a=1, 2", "has an empty label"),
            ("label=one, two", "names steps, but has none"),
            ("label=one; a=1, 2", "pairs 2 values of a with 1 of label"),
            ("label=one, two; a=1..2", "pairs values with a spread"),
        ] {
            let issue = Axis::parse(typed).expect_err(typed).to_string();
            assert!(issue.contains(part), "{typed}: {issue}");
        }
    }
}
