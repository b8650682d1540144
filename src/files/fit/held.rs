//! What of a fit is held out, and that nothing is compared twice.

use std::path::PathBuf;

use super::question::{Asked, Question, path_of};
use crate::files::stop::{Cause, Stop};
use crate::reader::{Issue, split_path};
use crate::study::box_fit::{Observed, RunData};
use crate::units::{self, Kind};

/// Part of the readings after which to hold out in a proposal.
const PROPOSED: f64 = 0.75;

impl Question {
    /// Cuts each run in a fitted part and a later one.
    pub fn hold_out_after(&mut self, at_s: f64) -> Result<(), Stop> {
        self.split_s = Some(at_s);
        self.runs = self.whole.iter().map(|r| part(r, at_s, false)).collect();
        self.later = self.whole.iter().map(|r| part(r, at_s, true)).collect();
        let read = || self.whole.iter().flat_map(times);
        let (first, last) =
            (read().fold(f64::INFINITY, f64::min), read().fold(f64::NEG_INFINITY, f64::max));
        let shown = |s: f64| units::format(Kind::Time, s);
        let none = |side: &str, end: &str, s: f64| {
            let proposed = first + PROPOSED * (last - first);
            let text = format!(
                "--hold-out-after \"{}\": no reading lies {side} it, the {end} is at {}\n     \
                 hold out the last quarter: --hold-out-after \"{}\"",
                shown(at_s),
                shown(s),
                units::format_digits(Kind::Time, proposed, 2)
            );
            Err(Stop::message(Cause::BadInput, text))
        };
        if first > last {
            // Nothing was read at all; the fit says so.
            return Ok(());
        }
        if last <= at_s {
            return none("after", "last", last);
        }
        if first > at_s {
            return none("before", "first", first);
        }
        for (runs, words) in [
            (&self.later, "nothing of it is held out: it has no reading after"),
            (&self.runs, "nothing of it is fitted: it has no reading before"),
        ] {
            let empty = runs.iter().filter(|r| times(r).next().is_none());
            self.notes.extend(empty.map(|r| format!("{}: {words} {}", r.name, shown(at_s))));
        }
        Ok(())
    }
}

/// Times of the readings of a run \[s\].
fn times(run: &RunData) -> impl Iterator<Item = f64> {
    let read = |o: &Observed| -> Vec<f64> {
        let good = o.times_s.iter().zip(&o.values).filter(|(_, v)| v.is_finite());
        good.map(|(t, _)| *t).collect()
    };
    run.observed.iter().flat_map(read)
}

/// The readings of a run up to a time, or those after it.
fn part(run: &RunData, at_s: f64, later: bool) -> RunData {
    let mut own = run.clone();
    for o in &mut own.observed {
        let blank = o.times_s.iter().zip(&mut o.values);
        blank.filter(|(t, _)| (**t > at_s) != later).for_each(|(_, v)| *v = f64::NAN);
    }
    // A series that lies in the other part as a whole is no concern of this one.
    let usable = |o: &Observed| o.values.iter().any(|v| v.is_finite());
    let mut before = run.observed.iter().map(usable);
    own.observed.retain(|o| !before.next().unwrap_or(false) || usable(o));
    own
}

/// Other runs that are to be predicted must have something to compare.
pub fn check_others(question: &Question) -> Result<(), Stop> {
    let empty = question.others.iter().filter(|r| times(r).next().is_none());
    let issue = |r: &RunData| {
        let what = "is to be predicted, but has no usable reading to compare".to_owned();
        let hint = "leave it out of --hold-out-run, or see what became of its readings: drybench assess FOLDER";
        Issue::of_file("nothing-held-out", &r.name, what, hint)
    };
    let issues: Vec<Issue> = empty.map(issue).collect();
    if issues.is_empty() { Ok(()) } else { Err(Stop::input(issues)) }
}

/// No folder and no table twice, however its path is written: its readings would count twice.
pub fn check_twice(fit: &Asked<'_>) -> Result<(), Stop> {
    let fitted = if fit.data.is_empty() { fit.runs } else { fit.data };
    let all: Vec<&PathBuf> = fitted.iter().chain(fit.hold_out_run).collect();
    let real: Vec<Option<PathBuf>> = all.iter().map(|p| p.canonicalize().ok()).collect();
    let first_of = |k: usize| real[..k].iter().position(|p| p.is_some() && *p == real[k]);
    let Some((i, k)) = (0..all.len()).find_map(|k| first_of(k).map(|i| (i, k))) else {
        return Ok(());
    };
    let (a, b) = (all[i].display(), all[k].display());
    let named = match all[i] == all[k] {
        true => format!("{a} is given twice"),
        false => format!("{a} and {b} are the same"),
    };
    let rest = match (i < fitted.len(), k < fitted.len()) {
        (true, false) => {
            "a run cannot be fitted and held out at once\n     leave it out of one of them; the end of a run \
             is held out with --hold-out-after TIME"
        }
        _ => "its readings would count twice\n     name it once",
    };
    Err(Stop::message(Cause::BadInput, format!("{named}: {rest}")))
}

/// No path free twice: it would be two parameters in one place, of which only one has a say.
pub fn check_free_twice(fit: &Asked<'_>) -> Result<(), Stop> {
    let options = [(fit.free, "--free"), (fit.free_per_run, "--free-per-run")];
    let all: Vec<(String, &str)> = options
        .iter()
        .flat_map(|(typed, option)| typed.iter().map(|t| (path_of(t), *option)))
        .collect();
    let parts = |path: &str| split_path(path).unwrap_or_else(|| vec![path.to_owned()]);
    let same = |k: usize| all[..k].iter().find(|a| parts(&a.0) == parts(&all[k].0));
    let Some((first, (path, option))) = (0..all.len()).find_map(|k| Some((same(k)?, &all[k])))
    else {
        return Ok(());
    };
    let text = match first.1 == *option {
        true => format!("{path} is free twice\n     keep one {option} of it"),
        false => format!(
            "{path} is free twice, with --free and with --free-per-run\n     keep --free for one value in all runs, \
             or --free-per-run for one in each"
        ),
    };
    Err(Stop::message(Cause::BadInput, text))
}
