//! The figures of one run as a page, as CSV; JSON is the data itself.

use std::fmt::Write;

use super::CAUTION;
use super::text::{digits, left, plain, right, widest};
use crate::assess::{Assessment, Finding, Value};
use crate::text::Csv;
use crate::uncertainty::Method;

/// The whole page.
pub fn page(run: &Assessment, notes: &[String]) -> String {
    let kind = if run.simulated { "simulated" } else { "measured" };
    let mut out = format!("{}\n{kind}; value ± U (k = 2); {}\n", run.title, run.dry);
    let wide = widest(run.findings.iter().map(|f| &f.label), 46);
    let mut chapter = None;
    for finding in &run.findings {
        if chapter != Some(finding.chapter) {
            chapter = Some(finding.chapter);
            let _ = writeln!(out, "\n{}", finding.chapter.title());
        }
        out.push_str(&line(finding, wide));
    }
    section(&mut out, "Warnings", &run.warnings);
    section(&mut out, "Taken as given", notes);
    let _ = writeln!(out, "\nCaution\n  {}", CAUTION.replace('\n', "\n  "));
    out
}

fn section(out: &mut String, title: &str, lines: &[String]) {
    if !lines.is_empty() {
        let _ = writeln!(out, "\n{title}");
        for line in lines {
            let _ = writeln!(out, "  {line}");
        }
    }
}

fn line(finding: &Finding, wide: usize) -> String {
    let label = left(&finding.label, wide);
    let text = match &finding.value {
        Value::Words { words } => return format!("  {label} {words}\n"),
        Value::NotShown { why } => return format!("  {label} {}  {why}\n", right("-", 16)),
        other => shown(other),
    };
    let mark = mark(finding.method);
    let line = format!("  {label} {} {}{mark}", right(&text, 16), finding.unit);
    format!("{}\n", line.trim_end())
}

/// A value without its unit.
pub fn shown(value: &Value) -> String {
    match value {
        Value::Estimate(e) => e.to_string(),
        Value::Sampled { estimate, interval } => {
            let digits =
                (1 - estimate.standard.abs().max(1e-9).log10().floor() as i32).clamp(0, 6) as usize;
            format!(
                "{:.digits$} ({:.digits$} to {:.digits$})",
                estimate.value, interval.0, interval.1
            )
        }
        Value::Between { low, high } => format!("{} to {}", limit(*low), limit(*high)),
        Value::AtLeast { low } => format!("at least {}", digits(*low)),
        Value::AtMost { high } => format!("at most {}", digits(*high)),
        Value::Words { words } => words.clone(),
        Value::NotShown { .. } => "-".into(),
    }
}

/// A limit in whole units, or in two digits below ten.
fn limit(value: f64) -> String {
    if value < 10.0 { plain(value, 2) } else { format!("{value:.0}") }
}

/// What a reader must know of how an uncertainty was found.
fn mark(method: Method) -> &'static str {
    match method {
        Method::Exact | Method::Propagation => "",
        Method::Sampling => "  (sampled: mean, 95 % interval)",
        Method::Censoring => "  (interval between weighings)",
        Method::Scatter => "  (from scatter)",
    }
}

/// The definitions of all figures.
pub fn definitions(run: &Assessment) -> String {
    let mut out = String::from("Definitions\n");
    for f in run.findings.iter().filter(|f| !f.definition.is_empty()) {
        let unit = if f.unit.is_empty() { String::new() } else { format!(" [{}]", f.unit) };
        let _ = writeln!(out, "  {}{unit}: {}", f.label, f.meaning());
    }
    out
}

/// One row per figure: `chapter,key,label,value,expanded,low,high,unit,method,definition,missing`.
pub fn csv(run: &Assessment) -> String {
    let mut out = Csv::with_head([
        "chapter",
        "key",
        "label",
        "value",
        "expanded_uncertainty_k2",
        "low",
        "high",
        "unit",
        "method",
        "definition",
        "missing",
    ]);
    for f in &run.findings {
        let number = |v: f64| v.to_string();
        let (value, expanded, low, high) = match &f.value {
            Value::Estimate(e) => {
                (number(e.value), number(e.expanded()), String::new(), String::new())
            }
            Value::Sampled { estimate, interval } => (
                number(estimate.value),
                number(estimate.expanded()),
                number(interval.0),
                number(interval.1),
            ),
            Value::Between { low, high } => {
                (String::new(), String::new(), number(*low), number(*high))
            }
            Value::AtLeast { low } => (String::new(), String::new(), number(*low), String::new()),
            Value::AtMost { high } => (String::new(), String::new(), String::new(), number(*high)),
            Value::Words { words } => (words.clone(), String::new(), String::new(), String::new()),
            Value::NotShown { .. } => Default::default(),
        };
        let missing = match &f.value {
            Value::NotShown { why } => why,
            _ => "",
        };
        let method = match f.method {
            Method::Exact => "exact",
            Method::Propagation => "propagation",
            Method::Sampling => "sampling",
            Method::Censoring => "censoring",
            Method::Scatter => "scatter",
        };
        out.row([
            f.chapter.title(),
            &f.key.replace(' ', "_"),
            &f.label,
            &value,
            &expanded,
            &low,
            &high,
            &f.unit,
            method,
            &f.meaning(),
            missing,
        ]);
    }
    out.text()
}
