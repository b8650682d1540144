//! One side of a sweep: the values typed for one path, or for several that go together.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use std::collections::{HashMap, HashSet};

use super::spread::InputSpread;
use crate::reader::Issue;
use crate::units::{Kind, Typed, UnitError, parse, significant};

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
enum Part {
    Steps(Vec<String>, bool),
    Spread(InputSpread),
}

/// A mistake of this axis.
pub(super) fn fault(typed: &str, what: String, hint: &str) -> Issue {
    Issue::of_file("bad-axis", &format!("axis {typed}"), what, hint)
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
        for (path, part) in parts {
            let is_log = match &part {
                Part::Steps(_, is_log) => *is_log,
                Part::Spread(spread) => spread.is_log(),
            };
            log.extend(is_log.then(|| path.to_owned()));
            match part {
                Part::Spread(spread) => spreads.push(spread),
                Part::Steps(values, _) if steps.is_empty() => {
                    steps = values.into_iter().map(|v| vec![v]).collect();
                }
                Part::Steps(values, _) if values.len() == steps.len() => {
                    steps.iter_mut().zip(values).for_each(|(step, v)| step.push(v));
                }
                Part::Steps(values, _) => {
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

fn part_of<'t>(typed: &str, part: &'t str) -> Result<(&'t str, Part), Issue> {
    let (path, rest) =
        part.split_once('=').map_or((part.trim(), None), |(p, v)| (p.trim(), Some(v.trim())));
    let odd =
        path.is_empty() || rest.is_some_and(str::is_empty) || path.contains(char::is_whitespace);
    if odd {
        let hint = "write \"vent.low.diameter=3..9 mm step 1 mm\" or \"heater.power=60 W, 120 W\".";
        return Err(fault(typed, "is not PATH=VALUES".into(), hint));
    }
    let Some(rest) = rest else { return Ok((path, Part::Spread(InputSpread::Own))) };
    let wrong = |e: UnitError| fault(typed, e.to_string(), &e.hint());
    let part = match Typed::read(rest) {
        Ok(Typed::Steps(range, count)) => Part::Steps(range.values(count), range.is_log()),
        _ if is_label(path) => Part::Steps(names(typed, rest)?, false),
        Ok(Typed::Range(range)) => Part::Spread(InputSpread::Range(range)),
        Ok(Typed::Measured(text)) => Part::Spread(InputSpread::Measured(text)),
        Ok(Typed::Value(only)) => Part::Steps(vec![only], false),
        Ok(Typed::List(values)) => Part::Steps(values, false),
        Ok(start @ Typed::Start(..)) => {
            let range = rest.split_once(',').map_or(rest, |(_, range)| range.trim());
            let wanted = "values, a range or a value with its uncertainty";
            return Err(wrong(start.refused(wanted, format!("{path}={range}"))));
        }
        Err(error) => return Err(wrong(error)),
    };
    Ok((path, part))
}

/// Names of steps, without the quotes that may stand around them.
fn names(typed: &str, rest: &str) -> Result<Vec<String>, Issue> {
    let listed = Typed::split(rest);
    let names: Vec<String> = listed.iter().map(|n| n.trim_matches('"').to_owned()).collect();
    match names.iter().any(|name| name.trim().is_empty()) {
        true => Err(fault(typed, "has an empty label".into(), "give each step a name.")),
        false => Ok(names),
    }
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
        assert_eq!(steps("a=5 mm..1.5 cm step 5 mm"), ["0.5 cm", "1 cm", "1.5 cm"]);
        assert_eq!(steps("a=20..24 °C step 2 K"), ["20 °C", "22 °C", "24 °C"]);
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
            ("a=3 cm..9 mm count 3", "runs from 30 to 9 mm"),
            ("a=3 g..9 mm count 3", "runs from g to mm"),
            ("a=2 mm, 1..9 mm", "is a start with a range where values"),
            ("a=0..9 mm count 3 log", "cannot have log"),
            ("a=1,,2", "empty value"),
            ("a=1, 1", "has 1 twice"),
            ("a=1, 2, 1; b=3, 4, 3", "has 1 with 3 twice"),
            ("a=1, 2; b=1, 2, 3", "pairs 2 values"),
            ("a=3, 5, 8 mm", "with the last value only"),
            ("label=, two; a=1, 2", "has an empty label"),
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
