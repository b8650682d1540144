//! Several runs side by side as a table.

use std::fmt::Write;

use super::differing;
use super::summary::{missing, one_sided};
use super::text::{digits, left, right};
use crate::metric::{bounds, reasons};
use crate::reader::Difference;
use crate::run::Run;
use crate::text::{Csv, number};

/// Widths of names, and of columns at least.
const NAME: usize = 46;
const COLUMN: usize = 12;

/// Metrics as rows, runs as columns; above them in what the scenarios differ.
pub fn page(runs: &[(String, Run)], differences: &[Difference]) -> String {
    let mut out = String::new();
    for (i, (name, run)) in runs.iter().enumerate() {
        let _ = writeln!(out, "{}  {name}: {}", i + 1, run.title);
    }
    let column = differing::width(differences, COLUMN);
    let heads: String = (1..=runs.len()).map(|i| right(&i.to_string(), column)).collect();
    let what = if differences.is_empty() { "no value differs" } else { "what differs" };
    let _ = writeln!(out, "\n{}{heads}", left(what, NAME));
    out.push_str(&differing::lines(differences, NAME, column));
    out.push('\n');
    let (mut reasons, mut early) = (String::new(), false);
    for (key, label, unit) in keys(runs) {
        let found = |run: &Run| run.metrics.iter().find(|m| m.key == key).cloned();
        let cell = |(_, run): &(String, Run)| {
            let metric = found(run);
            let value = metric.as_ref().and_then(|m| Some(one_sided(m.bound, &digits(m.value?))));
            right(&value.unwrap_or_else(|| "-".into()), column)
        };
        let cells: String = runs.iter().map(cell).collect();
        let _ = writeln!(out, "{}{cells}  {unit}", left(&label, NAME));
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
    let heads = keys.iter().map(|k| k.0.as_str());
    let mut out =
        Csv::with_head(std::iter::once("scenario").chain(heads).chain(["bounds", "missing"]));
    for (name, run) in runs {
        let values = keys.iter().map(|k| number(run.metric(&k.0)));
        let words = [bounds(&run.metrics), reasons(&run.metrics)];
        out.row(std::iter::once(name.clone()).chain(values).chain(words));
    }
    out.text()
}

/// Keys, labels and units of all metrics, in the order in which they first appear.
fn keys(runs: &[(String, Run)]) -> Vec<(String, String, String)> {
    let mut keys: Vec<(String, String, String)> = Vec::new();
    for metric in runs.iter().flat_map(|(_, r)| &r.metrics) {
        if !keys.iter().any(|(key, _, _)| *key == metric.key) {
            keys.push((metric.key.clone(), metric.label.clone(), metric.unit.clone()));
        }
    }
    keys
}
