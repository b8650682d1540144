//! Several runs side by side as a table.

use std::fmt::Write;

use super::summary::{missing, one_sided};
use super::text::{cell, digits, left, right};
use crate::merit::{bounds, reasons};
use crate::run::Run;

/// Figures of merit as rows, runs as columns.
pub fn page(runs: &[(String, Run)]) -> String {
    let mut out = String::new();
    for (i, (name, run)) in runs.iter().enumerate() {
        let _ = writeln!(out, "{}  {name}: {}", i + 1, run.title);
    }
    let heads: String = (1..=runs.len()).map(|i| right(&i.to_string(), 12)).collect();
    let _ = writeln!(out, "\n{}{heads}", left("", 46));
    let (mut reasons, mut early) = (String::new(), false);
    for (key, label, unit) in keys(runs) {
        let found = |run: &Run| run.merits.iter().find(|m| m.key == key).cloned();
        let cell = |(_, run): &(String, Run)| {
            let merit = found(run);
            let value = merit.as_ref().and_then(|m| Some(one_sided(m.bound, &digits(m.value?))));
            right(&value.unwrap_or_else(|| "-".into()), 12)
        };
        let cells: String = runs.iter().map(cell).collect();
        let _ = writeln!(out, "{}{cells}  {unit}", left(&label, 46));
        early |= runs.iter().filter_map(|(_, r)| found(r)).any(|m| m.bound.is_some());
        let without = runs.iter().enumerate().filter_map(|(i, (_, r))| match found(r) {
            Some(m) if m.value.is_none() => Some(format!("{} {}", i + 1, missing(&m))),
            Some(_) => None,
            None => Some(format!("{} has no such figure", i + 1)),
        });
        let without: Vec<String> = without.collect();
        if !without.is_empty() {
            let _ = writeln!(reasons, "-  {label}: {}", without.join("; "));
        }
    }
    if early {
        out.push_str(
            "\n≥: at least, ≤: at most, since that run left the range of the model early\n",
        );
    }
    if !reasons.is_empty() {
        let _ = write!(out, "\n{reasons}");
    }
    out
}

/// The same as CSV, one row a run.
pub fn csv(runs: &[(String, Run)]) -> String {
    let keys = keys(runs);
    let mut out = String::from("scenario");
    for (key, _, _) in &keys {
        let _ = write!(out, ",{}", cell(key));
    }
    out.push_str(",bounds,missing\n");
    for (name, run) in runs {
        out.push_str(&cell(name));
        for (key, _, _) in &keys {
            let _ = match run.merit(key) {
                Some(value) => write!(out, ",{value}"),
                None => write!(out, ","),
            };
        }
        let _ = writeln!(out, ",{},{}", cell(&bounds(&run.merits)), cell(&reasons(&run.merits)));
    }
    out
}

/// Keys, labels and units of all figures of merit, in the order in which they first appear.
fn keys(runs: &[(String, Run)]) -> Vec<(String, String, String)> {
    let mut keys: Vec<(String, String, String)> = Vec::new();
    for merit in runs.iter().flat_map(|(_, r)| &r.merits) {
        if !keys.iter().any(|(key, _, _)| *key == merit.key) {
            keys.push((merit.key.clone(), merit.label.clone(), merit.unit.clone()));
        }
    }
    keys
}
