//! One case of a sweep: run it and write its row.

use std::collections::BTreeMap;

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

use super::account::Account;
use super::axis::is_label;
use super::plan::{Shown, SweepPlan};
use super::seal::{CHECKSUM, Seal};
use crate::metric::{self, Bound};
use crate::reader::{Issue, Origin, Severity};
use crate::run::{Ledger, Method, Record, Run, simulate_recording};
use crate::scenario::Scenario;
use crate::text::{self, Csv, csv_line};
use crate::units::{self, significant};

/// Value of an axis in one case.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Setting {
    /// As typed, or as used by the scenario where the axis is not moved.
    pub text: String,
    /// In SI, where it is a number.
    pub si: Option<f64>,
}

impl Setting {
    /// Words for a figure: `low diameter 5 mm`, with digits for eyes; a label as it is.
    #[must_use]
    pub fn named(&self, path: &str) -> String {
        if is_label(path) {
            return self.text.clone();
        }
        let from = path.rmatch_indices('.').nth(1).map_or(0, |(at, _)| at + 1);
        let name = path[from..].replace(['.', '_'], " ");
        format!("{name} {}", short(&self.text))
    }
}

/// A typed value with at most four significant digits.
#[must_use]
pub fn short(text: &str) -> String {
    match units::number(text) {
        Some((value, unit)) => {
            format!("{} {unit}", significant(value, SHOWN_DIGITS)).trim_end().to_owned()
        }
        None => text.to_owned(),
    }
}

/// Significant digits of a value in a figure.
const SHOWN_DIGITS: usize = 4;

/// A finished case.
#[derive(Clone, Debug)]
pub struct Row {
    /// Number of the case, from 0.
    pub case: usize,
    /// Name of its scenario.
    pub scenario: String,
    /// One per path of the plan.
    pub settings: Vec<Setting>,
    /// The run, or why there is none.
    pub outcome: Result<Run, String>,
}

/// Runs one case and records these columns of it.
#[must_use]
pub fn run_case(plan: &SweepPlan, number: usize, what: Record<'_>) -> Row {
    let (base, moved) = plan.case(number);
    let mut source = base.source.clone();
    let mut settings = vec![Setting::default(); plan.paths().count()];
    let mut fault = None;
    for (a, at) in moved {
        let before: usize = plan.axes[..a].iter().map(|a| a.paths.len()).sum();
        let texts = match plan.values(base, a, at) {
            Ok(texts) => texts,
            Err(issue) => {
                fault = Some(issue.to_string());
                continue;
            }
        };
        for (k, (path, text)) in plan.axes[a].paths.iter().zip(texts).enumerate() {
            if !is_label(path)
                && let Err(issue) = source.set_value(path, &text, Origin::Axis)
            {
                fault = Some(issue.to_string());
            }
            settings[before + k].text = text;
        }
    }
    let outcome = match (fault, Scenario::read_case(&source)) {
        (Some(reason), _) => Err(reason),
        (None, Err(issues)) => Err(reasons(&issues)),
        (None, Ok((scenario, report))) => {
            for (setting, path) in settings.iter_mut().zip(plan.paths()) {
                let Some(record) = report.value(path) else { continue };
                setting.si = record.si();
                if setting.text.is_empty() {
                    setting.text = record.text();
                }
            }
            simulate_recording(&scenario, Method::Rodas5p, what).map_err(|e| e.to_string())
        }
    };
    let outcome = outcome.map_err(|reason| one_line(&reason));
    Row { case: number, scenario: base.name.clone(), settings, outcome }
}

fn reasons(issues: &[Issue]) -> String {
    let errors = issues.iter().filter(|i| i.severity == Severity::Error);
    errors.map(ToString::to_string).collect::<Vec<_>>().join("; ")
}

/// A row must stay one line, so that a torn end can be told.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A row as JSON, written without copies: a sweep writes many.
#[derive(Serialize)]
struct JsonRow<'r, A: Serialize, M: Serialize> {
    case: usize,
    scenario: &'r str,
    axes: A,
    #[serde(skip_serializing_if = "Option::is_none")]
    metrics: Option<M>,
    #[serde(skip_serializing_if = "Option::is_none", rename = "water_ledger_g")]
    water: Option<Sides<'r>>,
    #[serde(skip_serializing_if = "Option::is_none", rename = "energy_ledger_Wh")]
    energy: Option<Sides<'r>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    water_closure_g: Option<f64>,
    #[serde(rename = "energy_closure_Wh", skip_serializing_if = "Option::is_none")]
    energy_closure_wh: Option<f64>,
    #[serde(skip_serializing_if = "<[String]>::is_empty")]
    warnings: &'r [String],
    /// Metrics that are known from one side only.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    bounds: BTreeMap<&'r str, Bound>,
    /// Why metrics have no value.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    missing: BTreeMap<&'r str, &'r str>,
    /// Number of its lines in the table of series.
    #[serde(skip_serializing_if = "Option::is_none")]
    samples: Option<usize>,
    /// Checksum of those lines.
    #[serde(skip_serializing_if = "Option::is_none")]
    series_checksum: Option<String>,
    status: &'r str,
    #[serde(skip_serializing_if = "Option::is_none")]
    reason: Option<String>,
}

#[derive(Serialize)]
struct Typed<'r> {
    text: &'r str,
    si: Option<f64>,
}

/// An account with its two sides.
struct Sides<'r>(&'r Ledger);

impl Serialize for Sides<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let mut map = to.serialize_map(Some(2))?;
        for (side, rows) in [("from", &self.0.sources), ("to", &self.0.uses)] {
            map.serialize_entry(side, &Pairs(rows.iter().map(|r| (r.name.as_str(), r.amount))))?;
        }
        map.end()
    }
}

/// Pairs as an object.
struct Pairs<I>(I);

impl<'k, V: Serialize, I: Iterator<Item = (&'k str, V)> + Clone> Serialize for Pairs<I> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(self.0.clone())
    }
}

/// Head of the first column of words after the numbers of the CSV table.
pub const WARNINGS: &str = "warnings";
/// Head of the column that names the metrics that are known from one side only.
pub const BOUNDS: &str = "bounds";
/// Head of the column that says why metrics have no value.
pub const MISSING: &str = "missing";
/// Status of a case that left the range of the model before its time.
pub const ENDED: &str = "ended";
/// Head of the column that tells what became of a case.
pub const STATUS: &str = "status";

/// The first line of the CSV table.
#[must_use]
pub fn csv_head(plan: &SweepPlan, shown: &Shown) -> String {
    let mut cells = vec!["case".to_owned(), "scenario".to_owned()];
    cells.extend(plan.paths().map(str::to_owned));
    cells.extend(plan.paths().map(|p| format!("{p}_si")));
    cells.extend(shown.metrics.iter().map(|m| m.key.clone()));
    cells.extend(shown.accounts.iter().map(Account::key));
    let last = [
        "water_closure_g",
        "energy_closure_Wh",
        WARNINGS,
        BOUNDS,
        MISSING,
        STATUS,
        "reason",
        CHECKSUM,
    ];
    cells.extend(last.map(str::to_owned));
    csv_line(cells)
}

/// The first line of the table of series.
#[must_use]
pub fn series_head(columns: &[String]) -> String {
    csv_line(["case", "time_s"].into_iter().chain(columns.iter().map(String::as_str)))
}

impl Row {
    /// Words that tell this case from the others of its plan: its settings, and its scenario where
    /// there are several.
    #[must_use]
    pub fn name(&self, plan: &SweepPlan) -> String {
        let mut parts: Vec<String> = Vec::new();
        if plan.bases.len() > 1 || self.settings.is_empty() {
            parts.push(self.scenario.replace('_', " "));
        }
        let mut settings = &self.settings[..];
        for axis in &plan.axes {
            let (own, rest) = settings.split_at(axis.paths.len());
            settings = rest;
            let named = axis.paths.iter().zip(own);
            // A label says all of its axis.
            let label = named.clone().find(|(path, s)| is_label(path) && !s.text.is_empty());
            match label {
                Some((_, label)) => parts.push(label.text.clone()),
                None => parts.extend(
                    named.filter(|(path, _)| !is_label(path)).map(|(path, s)| s.named(path)),
                ),
            }
        }
        parts.join(", ")
    }

    /// What became of the case, in a word.
    fn status(&self) -> &'static str {
        match &self.outcome {
            Ok(run) if run.ended.is_some() => ENDED,
            Ok(_) => "ok",
            Err(_) => "failed",
        }
    }

    /// Why there is no run, or only the first part of one.
    fn reason(&self) -> Option<String> {
        match &self.outcome {
            Ok(run) => run.ended.as_ref().map(ToString::to_string),
            Err(reason) => Some(reason.clone()),
        }
    }

    /// The lines of the table of series: one per sample, none of a failed case.
    #[must_use]
    pub fn series(&self, columns: &[String]) -> String {
        let Ok(run) = &self.outcome else { return String::new() };
        let found: Vec<_> = columns.iter().map(|c| run.column(c)).collect();
        let mut out = Csv::new();
        for (i, time_s) in run.time_s.iter().enumerate() {
            let values = found.iter().map(|c| text::number(c.map(|c| c.values[i])));
            out.row([self.case.to_string(), time_s.to_string()].into_iter().chain(values));
        }
        out.text()
    }

    /// The row of the CSV table.
    #[must_use]
    pub fn csv(&self, shown: &Shown, seal: Seal) -> String {
        let number = text::number;
        let run = self.outcome.as_ref().ok();
        let mut cells = vec![self.case.to_string(), self.scenario.clone()];
        cells.extend(self.settings.iter().map(|s| s.text.clone()));
        cells.extend(self.settings.iter().map(|s| number(s.si)));
        // Mostly in the order of the keys: the search goes on from the last place.
        let metrics = run.map_or(&[][..], |r| &r.metrics[..]);
        let mut next = 0;
        cells.extend(shown.metrics.iter().map(|due| {
            let (before, after) = metrics.split_at(next.min(metrics.len()));
            let found = after.iter().chain(before).position(|m| m.key == due.key);
            let place = found.map(|i| (i + before.len()) % metrics.len());
            next = place.map_or(next, |at| at + 1);
            number(place.and_then(|at| metrics[at].value))
        }));
        cells.extend(shown.accounts.iter().map(|a| number(run.and_then(|r| a.amount(r)))));
        cells.push(number(run.map(|r| r.water.closure_error)));
        cells.push(number(run.map(|r| r.energy.closure_error)));
        cells.push(run.map(|r| r.warnings.join("; ")).unwrap_or_default());
        cells.push(metric::bounds(metrics));
        cells.push(metric::reasons(metrics));
        cells.push(self.status().to_owned());
        cells.push(self.reason().unwrap_or_default());
        seal.csv(&csv_line(&cells))
    }

    /// The same row as one line of JSON; `series` are its lines of that table, if it is kept.
    #[must_use]
    pub fn json(&self, plan: &SweepPlan, series: Option<&str>, seal: Seal) -> String {
        let axes =
            plan.paths().zip(self.settings.iter().map(|s| Typed { text: &s.text, si: s.si }));
        let run = self.outcome.as_ref().ok();
        let metrics = run.map(|r| Pairs(r.metrics.iter().map(|m| (m.key.as_str(), m.value))));
        let told = || run.into_iter().flat_map(|r| &r.metrics);
        let row = JsonRow {
            case: self.case,
            scenario: &self.scenario,
            axes: Pairs(axes),
            metrics,
            water: run.map(|r| Sides(&r.water)),
            energy: run.map(|r| Sides(&r.energy)),
            water_closure_g: run.map(|r| r.water.closure_error),
            energy_closure_wh: run.map(|r| r.energy.closure_error),
            warnings: run.map_or(&[], |r| &r.warnings),
            bounds: told().filter_map(|m| Some((m.key.as_str(), m.bound?))).collect(),
            missing: told().filter_map(|m| Some((m.key.as_str(), m.why.as_deref()?))).collect(),
            samples: run.map(|r| r.time_s.len()),
            series_checksum: series.map(|text| format!("{:016x}", seal.sum(text.as_bytes()))),
            status: self.status(),
            reason: self.reason(),
        };
        // Plain numbers and texts can always be written.
        let line = serde_json::to_string(&row).unwrap_or_default();
        seal.json(&text::visible_json(&line))
    }
}
