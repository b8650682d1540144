//! Several runs side by side as a table.

use std::fmt::Write;

use super::text::{digits, left, right};
use crate::run::Run;
use crate::text::{Csv, number};

/// Figures of merit as rows, runs as columns.
pub fn page(runs: &[(String, Run)]) -> String {
    let mut out = String::new();
    for (i, (name, run)) in runs.iter().enumerate() {
        let _ = writeln!(out, "{}  {name}: {}", i + 1, run.title);
    }
    let heads: String = (1..=runs.len()).map(|i| right(&i.to_string(), 12)).collect();
    let _ = writeln!(out, "\n{}{heads}", left("", 46));
    for (key, label, unit) in keys(runs) {
        let cell = |(_, run): &(String, Run)| {
            right(&run.merit(&key).map_or_else(|| "-".into(), digits), 12)
        };
        let cells: String = runs.iter().map(cell).collect();
        let _ = writeln!(out, "{}{cells}  {unit}", left(&label, 46));
    }
    out.push_str("\n-: not reached, or the run does not show it\n");
    out
}

/// The same as CSV, one row a run.
pub fn csv(runs: &[(String, Run)]) -> String {
    let keys = keys(runs);
    let heads = keys.iter().map(|k| k.0.as_str());
    let mut out = Csv::with_head(std::iter::once("scenario").chain(heads));
    for (name, run) in runs {
        let values = keys.iter().map(|k| number(run.merit(&k.0)));
        out.row(std::iter::once(name.clone()).chain(values));
    }
    out.text()
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
