//! `drybench fit`: parameters of a box from measured runs, with intervals and a verdict.

use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::figures;
use super::fit_question::Question;
use super::look::Look;
use super::output::{Talk, check_folder, json, print, write_folder};
use super::{Exit, Format, Outcome, Stop};
use crate::report::{fit as report, pictures};
use crate::study::box_fit::{self, BoxFit, HeldOut, Settings};
use crate::units;

/// Parameter sets drawn for the bands of held-out readings.
const DRAWS: usize = 200;

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
    /// Table of readings with the header time_s, instead of folders; repeat it for several runs
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
    /// Which further measurement would tell most about this parameter, or figure such as t90_min
    #[arg(long, value_name = "NAME")]
    plan: Option<String>,
    /// Folder for report.txt, fit.json, the fitted scenario and a figure (svg, png and its data)
    #[arg(short, long, value_name = "FOLDER")]
    output: Option<PathBuf>,
    /// Replace files in that folder
    #[arg(long)]
    force: bool,
    /// How to write the result
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
    #[command(flatten)]
    look: Look,
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
        let names = self.file_names(&question);
        if let Some(folder) = &self.output {
            let drawn = stems(question.runs.len(), "fit")
                .chain(["profiles", "correlation"].map(str::to_owned))
                .flat_map(|s| ["svg", "png", "csv"].map(|end| format!("{s}.{end}")));
            let all: Vec<String> = names.iter().cloned().chain(drawn).collect();
            check_folder(folder, &all, self.force)?;
        }
        let (source, free) = (&question.source, &question.free);
        let mut problem = BoxFit::new(source, free.clone(), &question.runs).map_err(Stop::input)?;
        if let Some(span_s) = question.means_s {
            problem = problem.self_switching(span_s);
        }
        let sets =
            self.output.is_some() || !question.later.is_empty() || !question.others.is_empty();
        let settings =
            Settings { more_starts: self.starts, seed: self.seed, sets, ..Settings::default() };
        let outcome = box_fit::solve(&mut problem, &settings).map_err(Stop::input)?;
        let mut held = Vec::new();
        if !question.later.is_empty() {
            let later =
                box_fit::hold_out(source, free, &question.later, &outcome, DRAWS, self.seed);
            held.extend(later.map_err(Stop::input)?);
        }
        if !question.others.is_empty() {
            let (runs, seed) = (&question.others, self.seed);
            let other = box_fit::hold_out_runs(source, &problem, runs, &outcome, DRAWS, seed);
            held.extend(other.map_err(Stop::input)?);
        }
        let notes = &question.notes;
        let mut page = report::page(&question.title, &outcome, notes, &held);
        page += &self.plan(&question, &problem, &outcome)?;
        let units = "parameters in their si_unit; series and held_out in their own unit";
        let saved =
            Saved { units, title: &question.title, notes, outcome: &outcome, held_out: &held };
        let saved = json(&saved)?;
        if let Some(folder) = &self.output {
            let mut contents = vec![page.clone(), saved.clone()];
            for (k, run) in question.runs.iter().enumerate() {
                let fitted =
                    box_fit::fitted(&question.texts[k], &self.sets, &problem, run, k, &outcome);
                contents.push(fitted.map_err(|e| Stop::message(Exit::Output, e))?);
            }
            let plain = contents.into_iter().map(String::into_bytes);
            let mut files: Vec<_> = names.iter().cloned().zip(plain).collect();
            for (run, stem) in question.runs.iter().zip(stems(question.runs.len(), "fit")) {
                let figure = pictures::fit(&question.title, &run.name, &outcome);
                files.extend(figures::one(&stem, &figure, &self.look.style())?);
            }
            if let Some(figure) = pictures::fit_profiles(&question.title, &outcome) {
                files.extend(figures::one("profiles", &figure, &self.look.style())?);
            }
            if let Some(map) = pictures::fit_correlation(&question.title, &outcome) {
                files.extend(figures::map("correlation", &map, &self.look.style())?);
            }
            write_folder(folder, &files)?;
            let list: Vec<&str> = files.iter().map(|(n, _)| n.as_str()).collect();
            talk.note(&format!("wrote {} to {}", list.join(", "), folder.display()));
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

    fn file_names(&self, question: &Question) -> Vec<String> {
        let count = question.runs.len();
        let mut names = vec!["report.txt".to_owned(), "fit.json".to_owned()];
        names.extend(stems(count, "fitted").map(|stem| format!("{stem}.toml")));
        names
    }

    /// The page on what would tell more, if it was asked for.
    fn plan(
        &self,
        question: &Question,
        problem: &BoxFit,
        outcome: &box_fit::Outcome,
    ) -> Result<String, Stop> {
        let Some(wanted) = &self.plan else { return Ok(String::new()) };
        let (source, free, run) = (&question.source, &question.free, &question.runs[0]);
        let parameters = problem.parameters();
        if let Some(target) = parameters.iter().position(|p| p.name == *wanted) {
            let gains = box_fit::plan(source, free, run, problem, outcome, target);
            let kind = problem.path_of(target).kind.difference();
            let shown = |s: f64| format!("± {}", units::format_digits(kind, s, 2));
            return Ok(report::plan(wanted, &shown, &gains));
        }
        let figure = box_fit::figure(problem, outcome, wanted).map_err(|figures| {
            let names: Vec<&str> = parameters.iter().map(|p| p.name.as_str()).collect();
            let text = format!(
                "--plan {wanted} is not free, nor a figure of this run\n     name one of {}, or one of {figures}",
                names.join(", ")
            );
            Stop::message(Exit::BadInput, text)
        })?;
        let gains = box_fit::plan_figure(source, free, run, problem, outcome, &figure);
        let shown = |s: f64| format!("± {s:.2} {}", figure.unit);
        let now = figure.standard_error.map_or("not known".to_owned(), shown);
        let name = format!("{wanted} (now {:.1} {}, {now})", figure.value, figure.unit);
        Ok(report::plan(&name, &shown, &gains))
    }
}

/// One name for a single run, numbered ones for several.
fn stems(count: usize, word: &str) -> impl Iterator<Item = String> {
    (1..=count).map(move |k| if count == 1 { word.to_owned() } else { format!("{word}_{k}") })
}
