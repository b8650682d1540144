//! The summary of a run: metrics, ledgers, cautions, as a plain-text page.

use std::fmt::Write;

use super::CAUTION;
use super::text::{digits, duration, fixed, left, right, widest};
use crate::metric::{Bound, Metric};
use crate::run::{Ledger, Run};

/// The whole page.
pub fn page(run: &Run) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}", run.title);
    let end = run.time_s.last().copied().unwrap_or(0.0);
    let early = if run.ended.is_some() { ", then it left the range of the model" } else { "" };
    let _ = write!(out, "{} simulated{early}", duration(end));
    if run.effort.switchings > 0 {
        let _ = write!(out, ", heater switched {} times", run.effort.switchings);
    }
    out.push_str("\n\nMetrics\n");
    let wide = widest(run.metrics.iter().map(|m| &m.label), 44);
    for metric in &run.metrics {
        out.push_str(&metric_line(metric, wide));
    }
    if run.metrics.iter().any(|m| m.bound.is_some()) {
        out.push_str("  ≥: at least, ≤: at most, since the run ended before its time\n");
    }
    out.push('\n');
    out.push_str(&ledger("Water", &run.water, 3));
    out.push('\n');
    out.push_str(&ledger("Energy", &run.energy, 2));
    out.push_str(&events(run));
    if !run.warnings.is_empty() {
        out.push_str("\nWarnings\n");
        for warning in &run.warnings {
            let _ = writeln!(out, "  {warning}");
        }
    }
    let _ = writeln!(out, "\nCaution\n  {}", CAUTION.replace('\n', "\n  "));
    out
}

/// Most lines of events that are shown one by one.
const MOST_EVENTS: usize = 12;

/// What happened, without the heater's own switching.
fn events(run: &Run) -> String {
    let list: Vec<_> = run.events.iter().filter(|h| !h.change.is_switching()).collect();
    if list.is_empty() {
        return String::new();
    }
    let mut out = String::from("\nEvents\n");
    for h in list.iter().take(MOST_EVENTS) {
        let _ = writeln!(out, "  {}  {}", right(&duration(h.time_s), 12), h);
    }
    if list.len() > MOST_EVENTS {
        let _ = writeln!(out, "  ... and {} more", list.len() - MOST_EVENTS);
    }
    out
}

fn metric_line(metric: &Metric, wide: usize) -> String {
    let label = left(&metric.label, wide);
    match metric.value {
        Some(v) => {
            let value = right(&one_sided(metric.bound, &digits(v)), 11);
            format!("{}\n", format!("  {label} {value} {}", metric.unit).trim_end())
        }
        None => format!("  {label} {}\n", missing(metric)),
    }
}

/// A value, with the side on which the true one lies if the run ended before that was known.
pub(super) fn one_sided(bound: Option<Bound>, value: &str) -> String {
    bound.map_or_else(|| value.to_owned(), |bound| format!("{} {value}", bound.sign()))
}

/// Why a figure has no value.
pub(super) fn missing(metric: &Metric) -> &str {
    metric.why.as_deref().unwrap_or("not reached")
}

/// One ledger: sources and uses one below the other, then what does not add up.
fn ledger(name: &str, ledger: &Ledger, decimals: usize) -> String {
    let mut out = format!("{name} ({})\n", ledger.unit);
    let wide = widest(ledger.sources.iter().chain(&ledger.uses).map(|r| &r.name), 46);
    for (title, rows) in [("from", &ledger.sources), ("to", &ledger.uses)] {
        let total: f64 = rows.iter().map(|r| r.amount).sum();
        for row in rows {
            let amount = right(&fixed(row.amount, decimals), 10);
            let _ = writeln!(out, "  {} {} {amount}", left(title, 5), left(&row.name, wide));
        }
        let total = right(&fixed(total, decimals), 10);
        let _ = writeln!(out, "  {} {} {total}", left("", 5), left("total", wide));
    }
    let error = match ledger.closure_error.abs() {
        0.0 => "0".into(),
        size => format!("{size:.0e}"),
    };
    let _ = writeln!(out, "  closure error {error} {}", ledger.unit);
    out
}

/// The definitions of all metrics of a run.
pub fn definitions(run: &Run) -> String {
    let mut out = String::from("Definitions\n");
    for m in &run.metrics {
        let _ = writeln!(out, "  {} [{}]: {}", m.label, m.unit, m.definition);
    }
    out
}
