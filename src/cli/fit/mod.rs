//! `drybench fit`: parameters of a box from measured runs, with intervals and a verdict.

mod options;
mod saved;

use std::path::PathBuf;

use serde::Serialize;

use super::output::{Talk, json, print};
use crate::cli::Format;
use crate::files::fit::{Pages, Question, read, stage, write};
use crate::files::{Cause, Listener, Outcome, Stop};
use crate::report::fit as report;
use crate::study::box_fit::{self, BoxFit, HeldOut, Prediction, Settings};
use crate::units;
pub(super) use options::Fit;
pub(super) use saved::Fitted;

/// Parameter sets drawn for the bands of held-out readings.
const DRAWS: usize = 200;

/// Those for the bands in figures, along whole runs: half of the simulations for an edge that is hardly
/// less sure.
const DRAWS_OF_FIGURES: usize = 100;

/// Everything as JSON.
#[derive(Serialize)]
struct Saved<'a> {
    units: &'static str,
    title: &'a str,
    notes: &'a [String],
    #[serde(flatten)]
    outcome: &'a box_fit::Outcome,
    held_out: &'a [HeldOut],
}

impl Fit {
    pub(super) fn run(&self, talk: &Talk) -> Outcome {
        let question = read(&self.asked(), talk)?;
        let stage = |folder: &PathBuf| stage(self.force, &question, folder);
        let stage = self.output.as_ref().map(stage).transpose()?;
        let (source, free) = (&question.source, &question.free);
        let mut problem = BoxFit::new(source, free.clone(), &question.runs).map_err(Stop::input)?;
        if let Some(span_s) = question.means_s {
            problem = problem.self_switching(span_s);
        }
        let sets =
            self.output.is_some() || !question.later.is_empty() || !question.others.is_empty();
        // What is wrong with held-out readings is told before the search, not after it.
        for runs in [&question.later, &question.others] {
            BoxFit::new(source, free.clone(), runs).map_err(Stop::input)?;
        }
        let settings =
            Settings { more_starts: self.starts, seed: self.seed, sets, ..Settings::default() };
        let outcome = box_fit::solve(&mut problem, &settings).map_err(|mut issues| {
            // Where too few are left it matters which are not compared.
            let lost = question.left_out.join("; ");
            if !lost.is_empty() {
                issues.iter_mut().for_each(|i| _ = i.why.get_or_insert(lost.clone()));
            }
            Stop::input(issues)
        })?;
        let (fit, draws, seed) = (&problem, DRAWS, self.seed);
        let ahead = Prediction { source, free, fit, outcome: &outcome, draws, seed };
        let held = held_out(&question, &ahead)?;
        let notes = &question.notes;
        let mut page = report::page(&question.title, &outcome, notes, &held);
        page += &self.plan(&question, &problem, &outcome)?;
        let units = "parameters in their si_unit; series and held_out in their own unit";
        let saved =
            Saved { units, title: &question.title, notes, outcome: &outcome, held_out: &held };
        let saved = json(&saved)?;
        if let (Some(folder), Some(stage)) = (&self.output, stage) {
            let (sets, style) = (&self.sets, self.look.style());
            let pages = Pages { report: &page, json: &saved, sets, style };
            let ahead = Prediction { draws: DRAWS_OF_FIGURES, ..ahead };
            let names = write(stage, &question, &problem, &ahead, &held, &pages)?;
            talk.note(&format!("wrote {} to {}", names.join(", "), folder.display()));
        }
        match self.format {
            Format::Table => print(&page)?,
            Format::Csv => print(&report::csv(&outcome))?,
            Format::Json => print(&saved)?,
        }
        if outcome.optimum {
            return Ok(());
        }
        let text = format!("no optimum was found\n     {}", outcome.warnings.join("\n     "));
        Err(Stop::message(Cause::Numerical, text))
    }

    /// The page on what would tell more, if it was asked for.
    fn plan(
        &self,
        question: &Question,
        problem: &BoxFit,
        outcome: &box_fit::Outcome,
    ) -> Result<String, Stop> {
        let Some(wanted) = &self.plan else { return Ok(String::new()) };
        let (source, free, runs) = (&question.source, &question.free, &question.runs);
        let parameters = problem.parameters();
        // What one run has for itself is measured there.
        let run = runs.iter().find(|r| wanted.ends_with(&format!(" in {}", r.name)));
        let run = run.unwrap_or(&runs[0]);
        let several = runs.len() > 1;
        if let Some(target) = parameters.iter().position(|p| p.name == *wanted) {
            let gains = box_fit::plan(source, free, run, problem, outcome, target);
            let kind = problem.path_of(target).kind.difference();
            let shown = |s: f64| format!("± {}", units::format_digits(kind, s, 2));
            let place = if several { format!(", measured in {}", run.name) } else { String::new() };
            return Ok(report::plan(&format!("{wanted}{place}"), &shown, &gains));
        }
        let metric = box_fit::metric(problem, outcome, wanted)
            .map_err(|why| Stop::message(Cause::BadInput, format!("--plan {wanted} {why}")))?;
        let gains = box_fit::plan_metric(source, free, run, problem, outcome, &metric);
        let shown = |s: f64| format!("± {s:.2} {}", metric.unit);
        let now = metric.standard_error.map_or("not known".to_owned(), shown);
        let of = if several { format!(" of {}, measured there", run.name) } else { String::new() };
        let name = format!("{wanted}{of} (now {:.1} {}, {now})", metric.value, metric.unit);
        Ok(report::plan(&name, &shown, &gains))
    }
}

/// Predicts what was held out.
fn held_out(question: &Question, ahead: &Prediction<'_>) -> Result<Vec<HeldOut>, Stop> {
    let mut held = Vec::new();
    if !question.later.is_empty() {
        held.extend(ahead.hold_out(&question.later).map_err(Stop::input)?);
    }
    if !question.others.is_empty() {
        held.extend(ahead.hold_out_runs(&question.others).map_err(Stop::input)?);
    }
    Ok(held)
}
