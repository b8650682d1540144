//! In what scenarios differ, for tables and pictures that compare them.

use std::fmt::Write;

use super::text::{left, right};
use crate::reader::Difference;
use crate::study::sweep::SweepPlan;

/// Said first: how a box is controlled changes every result, whatever else is compared.
const CONTROL: &str = "control";
/// No part of the box: what it calls itself, and how often results are written.
const TOLD_ELSEWHERE: [&str; 2] = ["title", "run.output_every"];
/// Most lines of a table; a room that follows a table of its own would fill pages.
const MOST_LINES: usize = 40;

/// Those that a comparison must name, unlike controllers first.
#[must_use]
pub fn listed(found: Vec<Difference>, varied: &[&str]) -> Vec<Difference> {
    let named = |d: &Difference| {
        !TOLD_ELSEWHERE.contains(&d.path.as_str()) && !varied.contains(&d.path.as_str())
    };
    let (mut first, rest): (Vec<_>, Vec<_>) =
        found.into_iter().filter(named).partition(|d| d.group() == CONTROL);
    first.extend(rest);
    first
}

/// The words for a sweep of several scenarios: in what they differ beside the axes.
#[must_use]
pub fn of_sweep(plan: &SweepPlan) -> String {
    let varied: Vec<&str> = plan.paths().collect();
    words(&listed(plan.differences.clone(), &varied))
}

/// One line of words, such as `control (thermostat, pi), vent, heater.power`; nothing without a difference.
#[must_use]
pub fn words(differences: &[Difference]) -> String {
    let one = |group: String| {
        let own: Vec<&Difference> = differences.iter().filter(|d| d.group() == group).collect();
        let kind = own.iter().find(|d| d.path == format!("{group}.kind"));
        match (kind, &own[..]) {
            (Some(kind), _) => {
                let kinds = once(kind.values.iter().flatten().cloned());
                format!("{group} ({})", kinds.join(", "))
            }
            (None, [only]) => only.path.clone(),
            _ => group,
        }
    };
    let groups = once(differences.iter().map(Difference::group));
    groups.into_iter().map(one).collect::<Vec<_>>().join(", ")
}

fn once(all: impl Iterator<Item = String>) -> Vec<String> {
    let mut list: Vec<String> = Vec::new();
    for one in all {
        if !list.contains(&one) {
            list.push(one);
        }
    }
    list
}

/// Width of a column that holds every value, `least` at least.
#[must_use]
pub fn width(differences: &[Difference], least: usize) -> usize {
    let cells = differences.iter().flat_map(|d| d.values.iter().flatten());
    cells.map(|v| v.chars().count() + 2).fold(least, usize::max)
}

/// A line for each, with a column for each scenario.
#[must_use]
pub fn lines(differences: &[Difference], name: usize, column: usize) -> String {
    let mut out = String::new();
    for d in differences.iter().take(MOST_LINES) {
        let cell = |v: &Option<String>| right(v.as_deref().unwrap_or("-"), column);
        let cells: String = d.values.iter().map(cell).collect();
        let _ = writeln!(out, "{}{cells}", left(&d.path, name));
    }
    if differences.len() > MOST_LINES {
        let _ = writeln!(out, "and {} more", differences.len() - MOST_LINES);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unlike_controllers_come_first_and_a_picture_gets_few_words() {
        let difference = |path: &str, values: [Option<&str>; 2]| Difference {
            path: path.into(),
            values: values.map(|v| v.map(str::to_owned)).to_vec(),
        };
        let found = vec![
            difference("title", [Some("a"), Some("b")]),
            difference("heater.power", [Some("160 W"), Some("120 W")]),
            difference("vent.low", [Some("yes"), None]),
            difference("vent.high", [Some("yes"), None]),
            difference("control.kind", [Some("thermostat"), Some("pi")]),
            difference("control.hysteresis", [Some("2 K"), None]),
        ];
        let all = listed(found.clone(), &[]);
        assert_eq!(words(&all), "control (thermostat, pi), heater.power, vent");
        let page = lines(&all, 20, width(&all, 6));
        let first = page.lines().next().unwrap();
        assert_eq!(first, "control.kind          thermostat          pi");
        assert!(!page.contains("title"), "{page}");
        assert_eq!(words(&listed(found, &["heater.power"])), "control (thermostat, pi), vent");
        assert_eq!(words(&[]), "");
    }
}
