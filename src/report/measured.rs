//! What was understood of the texts of a measured run.

use std::fmt::Write;

use serde::Serialize;

use crate::assess::Gathered;
use crate::measured::Series;
use crate::reader::{Issue, Report};

/// The page of `check`, below the values.
pub fn page(run: &Gathered) -> String {
    let mut out = String::from("Texts\n");
    for log in &run.logs {
        let (first, last) = span(&log.series);
        let _ = writeln!(out, "  [log.{}] {}", log.name, log.ledger);
        let _ = writeln!(out, "      {}", log.detected);
        let _ = writeln!(out, "      {:.1} to {:.1} min of the run", first / 60.0, last / 60.0);
    }
    if let Some(notes) = &run.weighings {
        let _ = writeln!(out, "  [weighings] {}", notes.ledger);
    }
    let lids = &run.evidence.lids;
    if !lids.is_empty() {
        out.push_str("\nLid openings\n");
        for lid in lids {
            let verdict = match (lid.noted, lid.seen) {
                (true, true) => "noted, and the log shows it",
                (true, false) => "noted; the log does not show it",
                (false, _) => "the log shows it; not noted",
            };
            let _ = writeln!(out, "  {:>7.1} min  {verdict}", lid.from_s / 60.0);
        }
    }
    if !run.evidence.flags.is_empty() {
        out.push_str("\nReadings in doubt\n");
        for flag in &run.evidence.flags {
            let _ =
                writeln!(out, "  {:>7.1} min  {}: {}", flag.from_s / 60.0, flag.probe, flag.what);
        }
    }
    if !run.notes.is_empty() {
        out.push_str("\nTaken as given\n");
        for line in &run.notes {
            let _ = writeln!(out, "  {line}");
        }
    }
    out
}

fn span(series: &Series) -> (f64, f64) {
    let ends = (series.time_s.first(), series.time_s.last());
    (ends.0.copied().unwrap_or(0.0), ends.1.copied().unwrap_or(0.0))
}

/// What `check` says of a run folder, for JSON.
#[derive(Debug, Serialize)]
pub struct Summary<'a> {
    schema_version: u32,
    units: &'static str,
    title: &'a str,
    warnings: &'a [Issue],
    logs: Vec<LogSummary<'a>>,
    weighings: Option<String>,
    lid_openings: usize,
    readings_in_doubt: usize,
    taken_as_given: &'a [String],
}

#[derive(Debug, Serialize)]
struct LogSummary<'a> {
    name: &'a str,
    ledger: &'a str,
    detected: &'a str,
    first_s: f64,
    last_s: f64,
}

/// The same for JSON.
pub fn summary<'a>(run: &'a Gathered, report: &'a Report) -> Summary<'a> {
    let logs = run.logs.iter().map(|l| {
        let (first_s, last_s) = span(&l.series);
        LogSummary { name: &l.name, ledger: &l.ledger, detected: &l.detected, first_s, last_s }
    });
    Summary {
        schema_version: crate::run::SCHEMA_VERSION,
        units: "times in s of the run",
        title: &run.evidence.title,
        warnings: &report.warnings,
        logs: logs.collect(),
        weighings: run.weighings.as_ref().map(|w| w.ledger.to_string()),
        lid_openings: run.evidence.lids.len(),
        readings_in_doubt: run.evidence.flags.len(),
        taken_as_given: &run.notes,
    }
}
