//! `drybench fit`: parameters of a box from measured runs, with intervals and a verdict.

use std::path::{Path, PathBuf};

use clap::Args;
use serde::Serialize;

use super::figures;
use super::look::Look;
use super::output::{Talk, check_folder, json, print, reason, write_folder};
use super::{Exit, Format, Outcome, Stop};
use crate::reader::{Issue, Report, Source};
use crate::report::{fit as report, pictures};
use crate::run::columns;
use crate::scenario::Scenario;
use crate::study::box_fit::{
    self, BoxFit, FreePath, HeldOut, Link, RunData, Settings, Table, Target,
};
use crate::study::fit::{FitError, Gain};
use crate::units::{Kind, parse};

/// Parameter sets drawn for the bands of held-out readings.
const DRAWS: usize = 200;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench fit box.toml --data clean.csv --free \"enclosure.wall_loss=0.5..3 W/K\" \
    --map \"hot_temperature_C=sensor_logger_temperature_C ± 0.2 K\" -o out\n  \
    drybench fit box.toml --data clean.csv --free \"enclosure.wall_loss=0.5..3 W/K\" \
    --map \"hot_temperature_C=supply_temperature_C ± 0.2 K\" --map heater_pct=control.heater \
    --hold-out-after \"40 min\"")]
pub(super) struct Fit {
    /// Scenario file, or - for standard input
    scenario: PathBuf,
    /// Table of readings with the header time_s; repeat it for several runs
    #[arg(long, required = true, value_name = "FILE")]
    data: Vec<PathBuf>,
    /// Free parameter: PATH=LOW..HIGH, or PATH=START, LOW..HIGH; PATH alone if its value has a ±
    #[arg(long, value_name = "PATH=LOW..HIGH")]
    free: Vec<String>,
    /// The same, with a value of its own in each run
    #[arg(long, value_name = "PATH=LOW..HIGH")]
    free_per_run: Vec<String>,
    /// What a column of the data is compared with: HEADER=COLUMN ± UNCERTAINTY, COLUMN being one
    /// of a run's series or room.temperature, room.relative_humidity, control.heater;
    /// HEADER - TARE=COLUMN takes off a tare
    #[arg(long, value_name = "HEADER=COLUMN")]
    map: Vec<String>,
    /// Replace one value of the scenario, as in the file: PATH=VALUE
    #[arg(long = "set", value_name = "PATH=VALUE")]
    sets: Vec<String>,
    /// Fit only readings up to this time, predict the later ones and say how it held
    #[arg(long, value_name = "TIME")]
    hold_out_after: Option<String>,
    /// Time over which the noise of a log forgets itself; without it the residuals tell
    #[arg(long, value_name = "TIME")]
    correlation: Option<String>,
    /// Compare relative humidity as it is, not as vapour pressure
    #[arg(long)]
    keep_humidity: bool,
    /// Searches from other starts, besides the stated one
    #[arg(long, default_value_t = 4, value_name = "COUNT")]
    starts: usize,
    /// Seed of those starts and of the drawn parameters
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Which further measurement would tell most about this parameter
    #[arg(long, value_name = "PATH")]
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

/// What was asked, read and checked.
struct Question {
    text: String,
    source: Source,
    title: String,
    free: Vec<FreePath>,
    runs: Vec<RunData>,
    /// The part of each run that is not fitted.
    later: Vec<RunData>,
}

impl Fit {
    pub(super) fn run(&self, talk: &Talk) -> Outcome {
        let question = self.question(talk)?;
        let names = self.file_names(&question);
        if let Some(folder) = &self.output {
            let drawn = stems(question.runs.len(), "fit")
                .flat_map(|s| ["svg", "png", "csv"].map(|end| format!("{s}.{end}")));
            let all: Vec<String> = names.iter().cloned().chain(drawn).collect();
            check_folder(folder, &all, self.force)?;
        }
        let (source, free) = (&question.source, &question.free);
        let mut problem = BoxFit::new(source, free.clone(), &question.runs).map_err(Stop::input)?;
        let settings =
            Settings { more_starts: self.starts, seed: self.seed, ..Settings::default() };
        let outcome = box_fit::solve(&mut problem, &settings).map_err(Stop::input)?;
        let held = if question.later.is_empty() {
            Vec::new()
        } else {
            box_fit::hold_out(source, free, &question.later, &outcome, DRAWS, self.seed)
                .map_err(Stop::input)?
        };
        let notes = notes(&question.runs);
        let mut page = report::page(&question.title, &outcome, &notes, &held);
        if let Some((target, gains)) = self.plan(&question, &problem, &outcome)? {
            let (name, kind) = (&problem.parameters()[target].name, problem.path_of(target).kind);
            page += &report::plan(name, kind, &gains);
        }
        let units = "parameters in their si_unit; series and held_out in their own unit";
        let saved = Saved {
            units,
            title: &question.title,
            notes: &notes,
            outcome: &outcome,
            held_out: &held,
        };
        let saved = json(&saved)?;
        if let Some(folder) = &self.output {
            let mut contents = vec![page.clone(), saved.clone()];
            for (k, run) in question.runs.iter().enumerate() {
                let text = &question.text;
                let fitted = box_fit::fitted(text, &self.sets, &problem, run, k, &outcome);
                contents.push(fitted.map_err(|e| Stop::message(Exit::Output, e))?);
            }
            let plain = contents.into_iter().map(String::into_bytes);
            let mut files: Vec<_> = names.iter().cloned().zip(plain).collect();
            for (run, stem) in question.runs.iter().zip(stems(question.runs.len(), "fit")) {
                let figure = pictures::fit(&question.title, &run.name, &outcome);
                files.extend(figures::one(&stem, &figure, &self.look.style())?);
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

    /// Reads everything, collecting every mistake.
    fn question(&self, talk: &Talk) -> Result<Question, Stop> {
        let (text, source) = super::source::tree(&self.scenario, &self.sets)?;
        let (scenario, read) = Scenario::read(&source).map_err(Stop::input)?;
        talk.warnings(&read.warnings);
        let mut issues = Vec::new();
        let free = self.free(&read, &mut issues);
        let mut links = Vec::new();
        for typed in &self.map {
            match Link::parse(typed) {
                Ok(link) => links.push(link),
                Err(issue) => issues.push(issue),
            }
        }
        let correlation_s = time(self.correlation.as_deref(), "--correlation")?;
        let split_s = time(self.hold_out_after.as_deref(), "--hold-out-after")?;
        let known = columns(&scenario);
        let mut all = Vec::new();
        for path in &self.data {
            let bound = table(path).and_then(|t| {
                box_fit::bind(&t, &links, &scenario, &known, correlation_s, self.keep_humidity)
            });
            match bound {
                Ok(run) => all.push(run),
                Err(more) => issues.extend(more),
            }
        }
        if !issues.is_empty() {
            return Err(Stop::input(issues));
        }
        if free.is_empty() {
            return Err(Stop::message(Exit::BadInput, FitError::NothingFree.to_string()));
        }
        let (runs, later) = split(all, split_s);
        Ok(Question { text, source, title: scenario.title, free, runs, later })
    }

    fn free(&self, read: &Report, issues: &mut Vec<Issue>) -> Vec<FreePath> {
        let shared = self.free.iter().map(|t| (t, false));
        let own = self.free_per_run.iter().map(|t| (t, true));
        let mut free = Vec::new();
        for (text, per_run) in shared.chain(own) {
            match box_fit::free_path(text, per_run, read) {
                Ok(path) => free.push(path),
                Err(issue) => issues.push(issue),
            }
        }
        free
    }

    fn file_names(&self, question: &Question) -> Vec<String> {
        let count = question.runs.len();
        let mut names = vec!["report.txt".to_owned(), "fit.json".to_owned()];
        names.extend(stems(count, "fitted").map(|stem| format!("{stem}.toml")));
        names
    }

    fn plan(
        &self,
        question: &Question,
        problem: &BoxFit,
        outcome: &box_fit::Outcome,
    ) -> Result<Option<(usize, Vec<Gain>)>, Stop> {
        let Some(wanted) = &self.plan else { return Ok(None) };
        let place = problem.parameters().iter().position(|p| p.name == *wanted);
        let Some(target) = place else {
            let names: Vec<&str> = problem.parameters().iter().map(|p| p.name.as_str()).collect();
            let text =
                format!("--plan {wanted} is not free\n     name one of {}", names.join(", "));
            return Err(Stop::message(Exit::BadInput, text));
        };
        let (source, free, run) = (&question.source, &question.free, &question.runs[0]);
        let gains = box_fit::plan(source, free, run, problem, outcome, target);
        Ok(Some((target, gains)))
    }
}

/// One name for a single run, numbered ones for several.
fn stems(count: usize, word: &str) -> impl Iterator<Item = String> {
    (1..=count).map(move |k| if count == 1 { word.to_owned() } else { format!("{word}_{k}") })
}

fn time(text: Option<&str>, option: &str) -> Result<Option<f64>, Stop> {
    let read = |t: &str| {
        parse(Kind::Time, t).map_err(|e| {
            Stop::message(Exit::BadInput, format!("{option} \"{t}\" {e}\n     {}", e.hint()))
        })
    };
    text.map(read).transpose()
}

fn table(path: &Path) -> Result<Table, Vec<Issue>> {
    let name = super::source::name(path);
    let text = std::fs::read_to_string(path)
        .map_err(|e| vec![Issue::of_file("unreadable", &name, reason(&e), "check the name.")])?;
    Table::read(&name, &text)
}

/// Cuts each run in a fitted part and a later one.
fn split(all: Vec<RunData>, at_s: Option<f64>) -> (Vec<RunData>, Vec<RunData>) {
    let Some(at_s) = at_s else { return (all, Vec::new()) };
    let part = |run: &RunData, later: bool| {
        let mut own = run.clone();
        for o in &mut own.observed {
            let blank = o.times_s.iter().zip(&mut o.values);
            blank.filter(|(t, _)| (**t > at_s) != later).for_each(|(_, v)| *v = f64::NAN);
        }
        own
    };
    (all.iter().map(|r| part(r, false)).collect(), all.iter().map(|r| part(r, true)).collect())
}

/// What a reader must know of how the readings were taken.
fn notes(runs: &[RunData]) -> Vec<String> {
    let mut notes = Vec::new();
    let pressure =
        |r: &RunData| r.observed.iter().any(|o| matches!(o.target, Target::VapourPressure { .. }));
    if runs.iter().any(pressure) {
        notes.push(
            "Relative humidity is fitted as vapour pressure, with the temperature read beside it: a \
             percentage would move by 6 % for each kelvin that the model is off."
                .to_owned(),
        );
    }
    let has = |path: &str| runs.iter().any(|r| r.sets.iter().any(|(p, _)| p == path));
    if has("room") {
        notes.push("The room follows the log.".to_owned());
    }
    if has("control") {
        notes.push("The heater follows the log, switch by switch.".to_owned());
    }
    notes
}
