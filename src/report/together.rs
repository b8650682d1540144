//! Several runs side by side as a table.

use std::fmt::Write;

use super::differing;
use super::text::{digits, left, right};
use crate::reader::Difference;
use crate::run::Run;

/// Widths of names, and of columns at least.
const NAME: usize = 46;
const COLUMN: usize = 12;

/// Figures of merit as rows, runs as columns; above them in what the scenarios differ.
pub fn page(runs: &[(String, Run)], told: &[Difference]) -> String {
    let mut out = String::new();
    for (i, (name, run)) in runs.iter().enumerate() {
        let _ = writeln!(out, "{}  {name}: {}", i + 1, run.title);
    }
    let column = differing::width(told, COLUMN);
    let heads: String = (1..=runs.len()).map(|i| right(&i.to_string(), column)).collect();
    let what = if told.is_empty() { "no value differs" } else { "what differs" };
    let _ = writeln!(out, "\n{}{heads}", left(what, NAME));
    out.push_str(&differing::lines(told, NAME, column));
    out.push('\n');
    for (key, label, unit) in keys(runs) {
        let cell = |(_, run): &(String, Run)| {
            right(&run.merit(&key).map_or_else(|| "-".into(), digits), column)
        };
        let cells: String = runs.iter().map(cell).collect();
        let _ = writeln!(out, "{}{cells}  {unit}", left(&label, NAME));
    }
    out.push_str("\n-: not reached, or the run (or scenario) does not have it\n");
    out
}

/// The same as CSV, one row a run.
pub fn csv(runs: &[(String, Run)]) -> String {
    let keys = keys(runs);
    let mut out = String::from("scenario");
    for (key, _, _) in &keys {
        let _ = write!(out, ",{key}");
    }
    out.push('\n');
    for (name, run) in runs {
        out.push_str(name);
        for (key, _, _) in &keys {
            let _ = match run.merit(key) {
                Some(value) => write!(out, ",{value}"),
                None => write!(out, ","),
            };
        }
        out.push('\n');
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
