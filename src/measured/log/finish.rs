//! What is said at the end of an import.

use super::bytes::{Line, Oddities};
use super::complaint::{Guess, error, warning};
use super::decide::time::TimePlan;
use super::ledger::{Class, Ledger};
use super::run::Run;
use super::sink::Head;
use super::text;
use crate::reader::Issue;

/// First lines kept to the end, for what a banner may have said.
pub const BANNER_LINES: usize = 50;
/// With a larger share of readings without a time, a part of the log has another clock.
const MOST_TIMELESS: f64 = 0.1;
/// With a larger share of rows against the form, the form is wrong.
const MOST_CONTRADICTIONS: f64 = 0.1;

/// What came of an import.
#[derive(Clone, Debug)]
pub struct Summary {
    /// The count of lines.
    pub ledger: Ledger,
    /// Rows that went out.
    pub rows: u64,
    /// Columns and clock.
    pub head: Head,
    /// What was found, in one line.
    pub detected: String,
    /// What was guessed, with the options that pin it.
    pub guesses: Vec<Guess>,
    /// What was odd.
    pub warnings: Vec<Issue>,
}

/// The summary of a run, or why there is none.
pub fn summary(
    file: &str,
    run: Run,
    oddities: Oddities,
    first_lines: &[Line],
    one_axis: bool,
) -> Result<Summary, Vec<Issue>> {
    if run.plan.layouts.iter().all(|l| l.time == TimePlan::None) {
        return Err(vec![no_time(file, &run, first_lines)]);
    }
    let late = run.gate.restarted.filter(|_| !run.plan.segments);
    if let Some(line) = run.gate.restarted.filter(|_| one_axis).or(late) {
        return Err(vec![restarted(file, line)]);
    }
    let ledger = &run.ledger;
    let (timeless, timed) =
        (ledger.count(Class::NoTime), ledger.count(Class::Reading) + ledger.count(Class::Partial));
    if timeless > 2 && timeless as f64 > MOST_TIMELESS * (timed + timeless) as f64 {
        return Err(vec![no_time_in_part(file, &run, timeless)]);
    }
    let data = ledger.count(Class::Reading) + ledger.count(Class::Partial);
    let against = ledger.count(Class::Contradiction);
    let mut warnings = run.tally.warnings(file);
    if against as f64 > MOST_CONTRADICTIONS * (data + against) as f64 {
        let first = warnings.iter().find(|w| w.code == "contradiction");
        let line = first.map_or(0, |w| w.line) as u64;
        let why = first.map(|w| w.what.clone());
        let what = format!("{against} of {} rows go against the form of the file", data + against);
        let hint = "import the two parts of the file one by one, or pin --separator and --columns";
        return Err(vec![error(file, line, "contradictions", what, why, hint)]);
    }
    let Some(head) = run.gate.head.clone().filter(|_| run.gate.rows > 1 && data > 0) else {
        return Err(vec![too_few(file, &run, data)]);
    };
    warnings.extend(more(file, &run, oddities));
    warnings.sort_by_key(|w| if w.line == 0 { usize::MAX } else { w.line });
    Ok(Summary {
        ledger: run.ledger.clone(),
        rows: run.gate.rows,
        head,
        detected: run.plan.detected.clone(),
        guesses: run.plan.guesses.clone(),
        warnings,
    })
}

/// A part of the readings says no time, or one of another kind than the rest.
fn no_time_in_part(file: &str, run: &Run, count: u64) -> Issue {
    let warnings = run.tally.warnings(file);
    let line = warnings.iter().find(|w| w.what.contains("without its time")).map_or(0, |w| w.line);
    let what =
        format!("{count} readings have no time, or one of another kind than the other readings");
    let why = "a time is not invented".to_owned();
    let hint = "cut the log where its clock changes, and import the parts one by one";
    error(file, line as u64, "no-time-in-part", what, Some(why), hint)
}

/// A counter that starts anew, where one axis of time is needed.
fn restarted(file: &str, line: u64) -> Issue {
    let what = "the counter starts anew here, and the pause before it is not known";
    let why = "a time is not invented".to_owned();
    let hint = "say how long it was from the reading before to this one:  --pause \"10 s\"; or import the two parts one by one";
    error(file, line, "restart", what, Some(why), hint)
}

fn too_few(file: &str, run: &Run, data: u64) -> Issue {
    let what = match (run.ledger.lines(), data) {
        (1, _) => "the file has one line only".to_owned(),
        (_, 0) => "no reading could be kept".to_owned(),
        _ => "there is one reading only".to_owned(),
    };
    let why = format!("{}", run.ledger);
    error(file, 0, "too-few", what, Some(why), "a series needs two readings or more")
}

/// No time: the banner may state the period, which is offered and not taken.
fn no_time(file: &str, run: &Run, first_lines: &[Line]) -> Issue {
    let [full, partial, failed] = run.readings;
    let count = |n: u64, one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
    let mut parts = vec![count(full, "reading", "readings")];
    if partial > 0 {
        parts.push(count(partial, "partial reading", "partial readings"));
    }
    if failed > 0 {
        parts.push(count(failed, "failed read", "failed reads"));
    }
    let what = format!("no time in this file ({}, no clock, no counter)", parts.join(", "));
    let stated = first_lines.iter().find_map(|l| Some((l.number, text::period(&l.text)?)));
    let (why, hint) = match stated {
        Some((line, (words, seconds))) => (
            format!("line {line} says \"{words}\""),
            format!("If that is right:  drybench import {file} --interval \"{seconds} s\""),
        ),
        None => (
            "a time is not invented".to_owned(),
            format!(
                "If you know the time between readings:  drybench import {file} --interval \"30 s\""
            ),
        ),
    };
    error(file, 0, "no-time", what, Some(why), hint)
}

/// What is odd about the file as a whole.
fn more(file: &str, run: &Run, oddities: Oddities) -> Vec<Issue> {
    let mut out = Vec::new();
    let mut say = |line: u64, code: &'static str, what: String| {
        out.push(warning(file, line, code, what));
    };
    if oddities.latin > 0 {
        let text = match oddities.latin {
            1 => "1 line is not UTF-8 and was read as Latin-1".to_owned(),
            n => format!("{n} lines are not UTF-8 and were read as Latin-1"),
        };
        say(0, "latin-1", text);
    }
    if oddities.nul > 0 {
        say(0, "nul", format!("{} lines have NUL bytes", oddities.nul));
    }
    let shapes = run.plan.layouts.iter().flat_map(|l| l.shape.strangers());
    let marks = run.plan.layouts.iter().filter_map(|l| l.pivot.as_ref()).flat_map(|p| &p.strangers);
    let strangers: Vec<&str> = shapes.chain(marks).map(String::as_str).collect();
    if !strangers.is_empty() {
        let what = format!("labels that came later are left out: {}", strangers.join(", "));
        say(0, "strangers", what);
    }
    let (gaps, longest, line) = run.gate.gaps();
    match gaps {
        0 => {}
        1 => say(line, "gap", format!("a gap in time of {longest:.0} s before this line")),
        n => say(
            line,
            "gap",
            format!("{n} gaps in time; the longest, before this line, {longest:.0} s"),
        ),
    }
    for sensor in run.swap.suspects() {
        let of = if sensor.is_empty() { String::new() } else { format!(" of {sensor}") };
        let what =
            format!("temperature and humidity{of} look the wrong way round; if they are: --swap");
        say(0, "swapped", what);
    }
    if run.plan.layouts.iter().any(|l| matches!(l.time, TimePlan::Interval(_))) && run.stamped {
        say(0, "own-times", "the lines have times of their own; --interval is used instead".into());
    }
    out
}
