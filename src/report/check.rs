//! What a scenario says and what follows from it, each value with where it came from.

use super::text::{left, right};
use crate::reader::{Doubt, Origin, Report, ValueRecord};
use crate::text::{Csv, number};
use crate::units::format_together;

/// The whole page.
pub fn page(title: &str, report: &Report) -> String {
    let mut out = format!("{title}\n");
    let derived = |v: &&ValueRecord| matches!(v.origin, Origin::Derived(_));
    out.push_str("\nValues\n");
    // The title stands above already.
    for value in report.values.iter().filter(|v| !derived(v) && v.path != "title") {
        out.push_str(&line(value));
    }
    let guessed = report.values.iter().filter_map(|v| Some((v, v.likely()?, v.doubt?)));
    let guesses: Vec<String> = guessed.map(|(v, ends, doubt)| guess(v, ends, doubt)).collect();
    if !guesses.is_empty() {
        out.push_str("\nDefaults that are guesses: for most boxes they lie\n");
        out.push_str(&guesses.concat());
    }
    out.push_str("\nWhat follows from them\n");
    for value in report.values.iter().filter(derived) {
        out.push_str(&line(value));
    }
    out
}

fn line(value: &ValueRecord) -> String {
    let origin = match &value.origin {
        Origin::Default(source) => format!("default: {source}"),
        other => origin_words(other),
    };
    format!("  {} {}  {origin}\n", left(&value.path, 36), right(&value.text(), 18))
}

/// Where a guessed default is likely to lie, and the quality of that.
fn guess(value: &ValueRecord, (low, high): (f64, f64), doubt: Doubt) -> String {
    let like = value.si().filter(|si| *si != 0.0).unwrap_or(high);
    let range =
        value.kind().map(|kind| format_together(kind, like, &[low, high], low.max(0.1 * high)));
    let range = range.unwrap_or_default();
    format!(
        "  {} {}  {range}, quality {}\n",
        left(&value.path, 36),
        right(&value.text(), 18),
        doubt.quality
    )
}

fn origin_words(origin: &Origin) -> String {
    match origin {
        Origin::File { line } => format!("line {line}"),
        Origin::Set => "--set".into(),
        Origin::Program => "program".into(),
        Origin::Axis => "sweep axis".into(),
        Origin::Fit => "fit".into(),
        Origin::Default(source) | Origin::Derived(source) => source.clone(),
    }
}

/// One row per value as CSV.
pub fn csv(report: &Report) -> String {
    let mut out = Csv::with_head(["path", "value", "si_value", "origin"]);
    for value in &report.values {
        let kind = match &value.origin {
            Origin::Default(_) => "default, ",
            Origin::Derived(_) => "derived, ",
            // A cell that begins with dashes would be a formula.
            Origin::Set => "option, ",
            _ => "",
        };
        let origin = format!("{kind}{}", origin_words(&value.origin));
        out.row([&value.path, &value.text(), &number(value.si()), &origin]);
    }
    out.text()
}
