//! Reads what a fit is asked: run folders or tables, each with its box, read and checked.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use std::path::Path;

use super::folders::of_folders;
use super::held;
use super::notes;
use super::question::{Asked, Question, Times, free_paths};
use crate::files::stop::{Cause, Listener, Stop, reason};
use crate::files::{input, source};
use crate::reader::Issue;
use crate::run::columns;
use crate::scenario::Scenario;
use crate::study::box_fit::{self, Compared, FitTable, Link, RunData};
use crate::study::fit::FitError;
use crate::units::{Kind, parse};

/// Reads everything, collecting every mistake.
///
/// # Errors
/// What is wrong with the question or its files.
pub fn read(fit: &Asked<'_>, talk: &dyn Listener) -> Result<Question, Stop> {
    let times = Times {
        correlation_s: time(fit.correlation, "--correlation")?,
        split_s: time(fit.hold_out_after, "--hold-out-after")?,
        means_s: time(fit.cycle_means, "--cycle-means")?,
    };
    check_kind(fit)?;
    let mut question = if fit.data.is_empty() {
        of_folders(fit, talk, &times)?
    } else {
        of_tables(fit, talk, &times)?
    };
    if question.free.is_empty() {
        let text = format!(
            "{}, for example --free \"enclosure.wall_loss=0.5..3 W/K\"",
            FitError::NothingFree
        );
        return Err(Stop::message(Cause::BadInput, text));
    }
    let pressure = |r: &RunData| {
        r.observed.iter().any(|o| matches!(o.target, Compared::VapourPressure { .. }))
    };
    if question.runs.iter().any(pressure) {
        question.notes.insert(
            0,
            "Relative humidity is fitted as vapour pressure, with the temperature read beside it: a \
             percentage would move by 6 % for each kelvin that the model is off."
                .to_owned(),
        );
    }
    question.means_s = times.means_s;
    question.whole = question.runs.clone();
    if let Some(at_s) = times.split_s {
        question.hold_out_after(at_s)?;
    }
    held::check_others(&question)?;
    Ok(question)
}

/// Folders or tables: not both, nothing that belongs to the other, and nothing twice.
fn check_kind(fit: &Asked<'_>) -> Result<(), Stop> {
    held::check_twice(fit)?;
    held::check_free_twice(fit)?;
    let stop = |text: String| Err(Stop::message(Cause::BadInput, text));
    let first = fit.runs[0].display();
    if !fit.data.is_empty() {
        if fit.runs.len() > 1 && fit.runs.iter().all(|p| p.is_file()) {
            return stop(
                "--data goes with one scenario file, for all tables\n     \
                 make a folder of each run, with a box of its own: drybench new run --log log.txt -o run_1"
                    .into(),
            );
        }
        if fit.runs.len() > 1 || fit.runs[0].is_dir() {
            return stop(format!(
                "--data goes with one scenario file, not with folders\n     \
                 a folder brings its own readings: drybench fit {first} --free ..."
            ));
        }
        for (given, name) in
            [(fit.scenario.is_some(), "--box"), (!fit.hold_out_run.is_empty(), "--hold-out-run")]
        {
            if given {
                return stop(format!(
                    "{name} goes with folders of measured runs\n     \
                     make one of a log, with a box of its own: drybench new run --log log.txt -o run_1"
                ));
            }
        }
        return Ok(());
    }
    if !fit.map.is_empty() {
        return stop(
            "--map goes with --data\n     leave it out: sensors of a folder are told in its run.toml"
                .into(),
        );
    }
    let Some(path) = fit.runs.iter().chain(fit.hold_out_run).find(|p| !p.is_dir()) else {
        return Ok(());
    };
    let shown = path.display();
    stop(if path.exists() {
        format!(
            "{shown} is no folder of a measured run\n     \
             a scenario needs readings: drybench fit {shown} --data clean.csv --map ... --free ..."
        )
    } else {
        format!(
            "there is no {shown}\n     \
             a run folder is made with: drybench new run --log log.txt -o felt_run"
        )
    })
}

fn of_tables(fit: &Asked<'_>, talk: &dyn Listener, times: &Times) -> Result<Question, Stop> {
    let (text, source) = source::tree(&fit.runs[0], fit.sets)?;
    let (scenario, read) = Scenario::read(&source).map_err(Stop::input)?;
    talk.warnings(&read.warnings);
    let mut issues = Vec::new();
    let mut free = free_paths(fit, &[&read], &mut issues);
    let mut links = Vec::new();
    for typed in fit.map {
        match Link::parse(typed) {
            Ok(link) => links.push(link),
            Err(issue) => issues.push(issue),
        }
    }
    issues.extend(free.iter_mut().filter_map(|f| box_fit::beyond_the_box(&source, f)));
    issues.extend(Link::twice(&links));
    let known = columns(&scenario);
    let (mut runs, mut left_out) = (Vec::new(), Vec::new());
    for path in fit.data {
        let bound = table(path).and_then(|t| {
            let (correlation, keep) = (times.correlation_s, fit.keep_humidity);
            box_fit::bind(&t, &links, &scenario, &known, correlation, keep)
        });
        match bound {
            Ok(mut run) => {
                left_out.extend(notes::left_out(&run, scenario.run.duration_s));
                let averaged = times.means_s.map_or(Ok(()), |s| box_fit::average(&mut run, s));
                issues.extend(averaged.err());
                runs.push(run);
            }
            Err(more) => issues.extend(more),
        }
    }
    if !issues.is_empty() {
        return Err(Stop::input(issues));
    }
    let mut notes = left_out.clone();
    let has = |path: &str| runs.iter().any(|r| r.sets.iter().any(|(p, _)| p == path));
    if has("room") {
        notes.push("The room follows the log.".to_owned());
    }
    if has("control") {
        notes.push("The heater follows the log, switch by switch.".to_owned());
    } else {
        notes.extend(notes::switches_by_itself(&source, times.means_s));
    }
    let texts = vec![text; runs.len()];
    let question = Question::new(texts, source, scenario.title, free, runs);
    Ok(Question { notes, left_out, ..question })
}

fn time(text: Option<&str>, option: &str) -> Result<Option<f64>, Stop> {
    let read = |t: &str| {
        parse(Kind::Time, t).map_err(|e| {
            Stop::message(Cause::BadInput, format!("{option} \"{t}\" {e}\n     {}", e.hint()))
        })
    };
    text.map(read).transpose()
}

fn table(path: &Path) -> Result<FitTable, Vec<Issue>> {
    let name = source::name(path);
    let text = input::read_text(path).map_err(|e| {
        let (what, hint) = match e.kind() {
            std::io::ErrorKind::InvalidData => (
                "is no text in UTF-8".to_owned(),
                format!("let drybench make a table of it: drybench import {name} -o clean.csv"),
            ),
            _ => (reason(&e), "check the name.".to_owned()),
        };
        vec![Issue::of_file("unreadable", &name, what, &hint)]
    })?;
    FitTable::read(&name, &text)
}
