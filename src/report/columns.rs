//! What the columns of the table of a sweep mean, as a table of its own.

use super::differing;
use crate::study::sweep::{
    BOUNDS, CHECKSUM, MISSING, STATUS, Shown, SweepPlan, WARNINGS, is_label,
};
use crate::text::Csv;

/// A line per column of `cases.csv`: its head, its unit, and what it is.
#[must_use]
pub fn csv(plan: &SweepPlan, shown: &Shown) -> String {
    let mut out = Csv::with_head(["column", "unit", "meaning", "definition"]);
    let mut line = |cells: [&str; 4]| out.row(cells);
    line(["case", "", "number of the case", "from 0; the rows are in this order"]);
    let differ = differing::of_sweep(plan);
    let mut scenario = "of its file, without folder and ending".to_owned();
    if !differ.is_empty() {
        scenario.push_str(&format!("; beside the axes they differ in {differ}"));
    }
    line(["scenario", "", "name of the scenario", &scenario]);
    for path in plan.paths() {
        match is_label(path) {
            true => line([path, "", "name of the step", "as typed"]),
            false => line([path, "", "value of this path", "as typed, or as in the scenario"]),
        }
    }
    for path in plan.paths() {
        line([&format!("{path}_si"), "SI", "value of this path", "in SI; empty for words"]);
    }
    for m in &shown.metrics {
        line([&m.key, &m.unit, &m.label, &m.definition]);
    }
    for a in &shown.accounts {
        line([
            &a.key(),
            a.unit(),
            &a.meaning(),
            "over the whole run; empty where a case has no such line",
        ]);
    }
    let closure = "sum of sources less sum of uses: what the numbers lost or made";
    line(["water_closure_g", "g", "closure of the water", closure]);
    line(["energy_closure_Wh", "Wh", "closure of the energy", closure]);
    line([
        WARNINGS,
        "",
        "what a reader should know",
        "as simulate says it, with semicolons between",
    ]);
    let early = "of a case that ended early: >= stands for at least, <= for at most";
    line([BOUNDS, "", "metrics that are known from one side only", early]);
    line([MISSING, "", "why metrics have no value", "with semicolons between"]);
    let ended = "ended: the case left the range of the model before its time";
    line([STATUS, "", "ok, ended or failed", ended]);
    line(["reason", "", "why a case ended or failed", ""]);
    line([CHECKSUM, "", "of this row and what the sweep is", "tells a damaged row; no result"]);
    out.text()
}
