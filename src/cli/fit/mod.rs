//! `drybench fit`: parameters of a box from measured runs, with intervals and a verdict.

mod files;
mod folders;
mod held;
mod notes;
mod question;
mod saved;

use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::look::Look;
use super::output::{Talk, json, print};
use crate::cli::{Exit, Format, Outcome, Stop};
use crate::report::fit as report;
use crate::study::box_fit::{self, BoxFit, HeldOut, Prediction, Settings};
use crate::units;
use files::Pages;
use question::Question;
pub(super) use saved::Fitted;

/// Parameter sets drawn for the bands of held-out readings.
const DRAWS: usize = 200;

/// Those for the bands in figures, along whole runs: half of the simulations for an edge that is hardly
/// less sure.
const DRAWS_OF_FIGURES: usize = 100;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench fit felt_run --free \"enclosure.wall_loss=0.5..3 W/K\" --cycle-means \"10 min\"\n  \
    drybench fit run_1 run_2 --hold-out-run run_3 --free \"vent.low.diameter=2..9 mm\" -o out\n  \
    drybench fit box.toml --data clean.csv --free \"enclosure.wall_loss=0.5..3 W/K\" \
    --map \"hot_temperature_C=sensor_logger_temperature_C ± 0.2 K\" -o out\n  \
    drybench fit box.toml --data clean.csv --free \"enclosure.wall_loss=0.5..3 W/K\" \
    --map \"hot_temperature_C=supply_temperature_C ± 0.2 K\" --map heater_pct=control.heater \
    --hold-out-after \"40 min\"")]
pub(super) struct Fit {
    /// Folders of measured runs, fitted together; with --data a scenario file, or - for standard
    /// input
    #[arg(required = true, value_name = "FOLDER")]
    pub(super) runs: Vec<PathBuf>,
    /// Scenario of the box for all folders; else the one each names in run.toml, or its box.toml
    #[arg(long = "box", value_name = "FILE")]
    pub(super) scenario: Option<PathBuf>,
    /// Table of readings with the header time_s, instead of folders; repeat it for several runs of one
    /// scenario. Runs with a room, set point or load of their own go into folders: drybench new run
    #[arg(long, value_name = "FILE")]
    pub(super) data: Vec<PathBuf>,
    /// Free parameter: PATH=LOW..HIGH, or PATH=START, LOW..HIGH; PATH alone if its value has a ±
    #[arg(long, value_name = "PATH=LOW..HIGH")]
    pub(super) free: Vec<String>,
    /// The same, with a value of its own in each run
    #[arg(long, value_name = "PATH=LOW..HIGH")]
    pub(super) free_per_run: Vec<String>,
    /// With --data: what a column is compared with: HEADER=COLUMN ± UNCERTAINTY, COLUMN being one
    /// of a run's series or room.temperature, room.relative_humidity, control.heater;
    /// HEADER - TARE=COLUMN takes off a tare
    #[arg(long, value_name = "HEADER=COLUMN")]
    pub(super) map: Vec<String>,
    /// Replace one value of the scenario, as in the file: PATH=VALUE
    #[arg(long = "set", value_name = "PATH=VALUE")]
    pub(super) sets: Vec<String>,
    /// Fit only readings up to this time, predict the later ones and say how it held
    #[arg(long, value_name = "TIME")]
    pub(super) hold_out_after: Option<String>,
    /// Folder of another run that is predicted from the fit; repeat it for several
    #[arg(long, value_name = "FOLDER")]
    pub(super) hold_out_run: Vec<PathBuf>,
    /// Compare means over this time, a few heating cycles, where an on/off heater was not logged
    #[arg(long, value_name = "TIME")]
    pub(super) cycle_means: Option<String>,
    /// Time over which the noise of a log forgets itself; without it the residuals tell
    #[arg(long, value_name = "TIME")]
    pub(super) correlation: Option<String>,
    /// Compare relative humidity as it is, not as vapour pressure
    #[arg(long)]
    pub(super) keep_humidity: bool,
    /// Searches from other starts, besides the stated one
    #[arg(long, default_value_t = 4, value_name = "COUNT")]
    starts: usize,
    /// Seed of those starts and of the drawn parameters
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Which further measurement would tell most about this parameter, or figure such as t90_min (of
    /// the first run)
    #[arg(long, value_name = "NAME")]
    plan: Option<String>,
    /// Folder for report.txt, fit.json, the fitted box (fitted.toml), the same under what the run did to
    /// it (replay.toml), and figures (svg, png and their data)
    #[arg(short, long, value_name = "FOLDER")]
    pub(super) output: Option<PathBuf>,
    /// Replace files in that folder
    #[arg(long)]
    pub(super) force: bool,
    /// How to write the result
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
    #[command(flatten)]
    pub(super) look: Look,
}

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
        let question = Question::read(self, talk)?;
        let stage = |folder: &PathBuf| files::stage(self, &question, folder);
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
            let pages = Pages { report: &page, json: &saved };
            let ahead = Prediction { draws: DRAWS_OF_FIGURES, ..ahead };
            let names = files::write((self, stage), &question, &problem, &ahead, &held, &pages)?;
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
        Err(Stop::message(Exit::Numerical, text))
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
        let figure = box_fit::figure(problem, outcome, wanted)
            .map_err(|why| Stop::message(Exit::BadInput, format!("--plan {wanted} {why}")))?;
        let gains = box_fit::plan_figure(source, free, run, problem, outcome, &figure);
        let shown = |s: f64| format!("± {s:.2} {}", figure.unit);
        let now = figure.standard_error.map_or("not known".to_owned(), shown);
        let of = if several { format!(" of {}, measured there", run.name) } else { String::new() };
        let name = format!("{wanted}{of} (now {:.1} {}, {now})", figure.value, figure.unit);
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
