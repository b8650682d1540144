//! Names of the cases of a sweep, of the lines they make and of the sides of their grid.

use std::collections::BTreeMap;

use crate::study::sweep::{Line, SweepTable, is_label};

/// Rows by scenario and by all axes but `x`; by scenario and labels alone without `x`.
pub(super) fn groups(table: &SweepTable, x: Option<usize>) -> Vec<(String, Vec<&Line>)> {
    let mut groups: Vec<(String, Vec<&Line>)> = Vec::new();
    let others = (0..table.paths.len()).filter(|p| match x {
        Some(x) => x != *p && !follows(table, *p, x) && !table.drawn.contains(p),
        None => is_label(&table.paths[*p]),
    });
    let others = telling(table, others.collect());
    for row in &table.rows {
        let name = name(table, row, &others);
        match groups.iter_mut().find(|g| g.0 == name) {
            Some(group) => group.1.push(row),
            None => groups.push((name, vec![row])),
        }
    }
    groups
}

/// Words for one case among all of the table.
pub(super) fn case(table: &SweepTable, row: &Line) -> String {
    name(table, row, &telling(table, (0..table.paths.len()).collect()))
}

/// The settings at some places, behind the scenario where there are several.
fn name(table: &SweepTable, row: &Line, places: &[usize]) -> String {
    let several = table.rows.iter().any(|r| r.scenario != table.rows[0].scenario);
    let scenario = several.then(|| row.scenario.replace('_', " "));
    let settings = places.iter().map(|p| row.settings[*p].named(&table.paths[*p]));
    scenario.into_iter().chain(settings).collect::<Vec<_>>().join(", ")
}

/// Without the paths whose values a label among them names.
fn telling(table: &SweepTable, places: Vec<usize>) -> Vec<usize> {
    let labels: Vec<usize> =
        places.iter().copied().filter(|p| is_label(&table.paths[*p])).collect();
    let says = |p: &usize| labels.contains(p) || !labels.iter().any(|l| follows(table, *p, *l));
    places.into_iter().filter(says).collect()
}

/// Whether a path has one value for each value of another, as the paths of a pair do.
fn follows(table: &SweepTable, path: usize, x: usize) -> bool {
    let mut seen: BTreeMap<&str, &str> = BTreeMap::new();
    table.rows.iter().all(|r| {
        let own = r.settings[path].text.as_str();
        *seen.entry(&r.settings[x].text).or_insert(own) == own
    })
}

/// The paths that tell the sides of a grid: of those that move together the label, or the first.
pub(super) fn sides(table: &SweepTable) -> Vec<usize> {
    let mut kept: Vec<usize> = Vec::new();
    let mut places: Vec<usize> = (0..table.paths.len()).collect();
    places.sort_by_key(|p| !is_label(&table.paths[*p]));
    for p in places {
        let says = |q: &usize| {
            follows(table, p, *q) && (is_label(&table.paths[*q]) || follows(table, *q, p))
        };
        if !kept.iter().any(says) {
            kept.push(p);
        }
    }
    kept.sort_unstable();
    kept
}

/// Words for a path and those that move together with it, step by step. A label of its own words has
/// these, another one those of what it names.
pub(super) fn along(table: &SweepTable, x: usize) -> String {
    let label = is_label(&table.paths[x]);
    if label && !words(&table.paths[x]).is_empty() {
        return words(&table.paths[x]);
    }
    let moves = |p: usize| follows(table, p, x) && (label || follows(table, x, p));
    let found: Vec<String> = (0..table.paths.len())
        .filter(|p| *p == x || (!table.scattered && moves(*p)))
        .filter(|p| !table.drawn.contains(p) && !is_label(&table.paths[*p]))
        .map(|p| words(&table.paths[p]))
        .collect();
    found.join(" and ")
}

/// Of a label only what comes after it: `label.holes` is `holes`, a plain one nothing.
pub(super) fn words(path: &str) -> String {
    let path = if is_label(path) { path.trim_start_matches("label") } else { path };
    path.trim_start_matches('.').replace(['.', '_'], " ")
}
