//! `drybench simulate`: one scenario to summary, series, ledgers and figure.

mod bands;

use std::path::{Path, PathBuf};

use clap::builder::PossibleValuesParser;
use clap::{Args, ValueEnum};
use rayon::prelude::*;
use serde::Serialize;

use super::fit::Fitted;
use super::look::Look;
use super::output::{Talk, json, print};
use crate::cli::Format;
use crate::files::whole::Stage;
use crate::files::{Cause, Listener, Outcome, Stop, figures, source};
use crate::reader;
use crate::report::{differing, explanation, series, spread, summary, together};
use crate::run::{
    Explanation, Method, Record, Run, RunError, SCHEMA_VERSION, explain, simulate_recording,
};
use crate::scenario::Scenario;
use crate::study::guesses::{self, GuessBands};
use crate::units::{self, Kind};
use bands::BandTarget;

/// Which stepper integrates.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Solver {
    /// Stiff, with exact derivatives: the normal choice
    Rodas5p,
    /// Explicit: slower, as an independent check
    Dopri5,
}

/// Files beside the figures.
const PLAIN_FILES: [&str; 3] = ["summary.txt", "series.csv", "run.json"];

/// Most scenarios in one figure: more lines cannot be told apart.
const MOST_TOGETHER: usize = 8;

/// A run as JSON.
#[derive(Serialize)]
struct Saved<'a> {
    units: &'static str,
    #[serde(flatten)]
    run: &'a Run,
    /// What guessed values leave open.
    spread: &'a GuessBands,
}

fn saved<'a>(run: &'a Run, spread: &'a GuessBands) -> Saved<'a> {
    let units = "time_s in s; each column, metric and ledger in its own unit";
    Saved { units, run, spread }
}

/// Every flow of one instant as JSON.
#[derive(Serialize)]
struct Explained<'a> {
    schema_version: u32,
    units: &'static str,
    warnings: [&'static str; 0],
    #[serde(flatten)]
    explanation: &'a Explanation,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench simulate box.toml -o out --figures all\n  \
    drybench simulate box.toml --set \"vent.low.diameter=8 mm\" --explain \"t=45 min\"\n  \
    drybench simulate box.toml --fit fitted/fit.json -o out")]
pub(super) struct Simulate {
    /// Scenario file, or - for standard input; several are shown side by side
    #[arg(required = true, num_args = 1..=MOST_TOGETHER, value_name = "SCENARIO")]
    scenarios: Vec<PathBuf>,
    /// Replace one value, as in the file: PATH=VALUE
    #[arg(long = "set", value_name = "PATH=VALUE")]
    sets: Vec<String>,
    /// Folder for summary.txt, series.csv, run.json and figures (svg, png and their data as csv)
    #[arg(short, long, value_name = "FOLDER")]
    output: Option<PathBuf>,
    /// Replace files in that folder
    #[arg(long)]
    force: bool,
    /// What goes to standard output: the summary, the series (csv) or everything (json)
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
    /// Every flow at one instant by part, instead of the summary: "t=45 min"
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    explain: Option<String>,
    /// Figures to write: all, or a comma-separated list of overview (written as figure.*),
    /// temperatures, humidity, drying, power, vapour_paths, moisture
    #[arg(long, value_name = "NAMES", value_delimiter = ',', value_parser = PossibleValuesParser::from(figures::names().collect::<Vec<_>>()),
        default_value = crate::report::pictures::FIRST, hide_possible_values = true)]
    figures: Vec<String>,
    /// Record the layers of spools, too
    #[arg(long)]
    detail: bool,
    #[command(flatten)]
    fitted: Fitted,
    /// Seed of draws from a fit
    #[arg(long, value_name = "N", default_value_t = 1, requires = "fit")]
    seed: u64,
    /// Stepper
    #[arg(long, value_enum, default_value = "rodas5p")]
    solver: Solver,
    #[command(flatten)]
    look: Look,
    /// Print the definition of every metric
    #[arg(short, long)]
    verbose: bool,
}

impl Simulate {
    pub(super) fn run(&self, talk: &Talk) -> Outcome {
        let draws = self.fitted.read(talk, self.seed)?;
        let [path] = self.scenarios.as_slice() else {
            if draws.is_some() {
                let text = "--fit takes one scenario\n     name one file";
                return Err(Stop::message(Cause::BadInput, text));
            }
            return self.together(talk);
        };
        if let Some(draws) = &draws {
            let fixed = |s: &&String| {
                draws.paths.iter().any(|p| s.split('=').next().map(str::trim) == Some(p))
            };
            if let Some(set) = self.sets.iter().find(fixed) {
                let text = format!(
                    "--set {set} fixes what is drawn from the fit\n     leave out the one or the other"
                );
                return Err(Stop::message(Cause::BadInput, text));
            }
            let (_, source) = source::tree(path, &self.sets)?;
            let name = source::name(path);
            self.fitted.check(draws, &name, &source, &[]).map_err(Stop::input)?;
            if let Ok((_, report)) = Scenario::read(&source) {
                talk.warnings(&report.warnings);
            }
            let (output, force) = (self.output.as_deref(), self.force);
            let to = BandTarget { output, force, format: self.format, look: &self.look };
            return bands::run(talk, &name, &source, draws, &to);
        }
        let (source, scenario, report) = source::read(path, &self.sets)?;
        talk.warnings(&report.warnings);
        if let Some(text) = &self.explain {
            return self.explain(talk, path, &scenario, text);
        }
        let plain = PLAIN_FILES.map(str::to_owned).into_iter();
        let stage =
            self.stage(&plain.chain(figures::file_names(&self.figures)).collect::<Vec<_>>())?;
        let run = self.simulate(path, &scenario)?;
        let spread = match (self.format, &self.output) {
            (Format::Csv, None) => GuessBands::default(),
            _ => guesses::spread(&source, &scenario, &report, &run),
        };
        let page = self.page(&run, &spread);
        if let Some((stage, folder)) = stage {
            let contents = [page.clone(), series::csv(&run), json(&saved(&run, &spread))?];
            let mut files: Vec<_> = PLAIN_FILES
                .into_iter()
                .zip(contents)
                .map(|(name, text)| (name.to_owned(), text.into_bytes()))
                .collect();
            files.extend(figures::of_run(talk, &self.figures, &run, &self.look.style())?);
            stage.finish(&files)?;
            talk.note(&format!("wrote summary, series, run and figures to {}", folder.display()));
        }
        match self.format {
            Format::Table => print(&page)?,
            Format::Csv => print(&series::csv(&run))?,
            Format::Json => print(&json(&saved(&run, &spread))?)?,
        }
        early([(source::name(path), &run)].into_iter())
    }

    /// Several scenarios side by side: one table, one figure.
    fn together(&self, talk: &Talk) -> Outcome {
        if self.explain.is_some() {
            let text = "--explain takes one scenario\n     name one file";
            return Err(Stop::message(Cause::BadInput, text));
        }
        let names = ["txt", "svg", "png", "csv"].map(|end| format!("together.{end}"));
        let stage = self.stage(&names)?;
        let mut scenarios = Vec::new();
        let mut reports = Vec::new();
        for path in &self.scenarios {
            let (scenario, report) = source::scenario(path, &self.sets)?;
            talk.warnings(&report.warnings);
            scenarios.push((path, scenario));
            reports.push(report);
        }
        let found = reader::differences(&reports.iter().collect::<Vec<_>>());
        let differences = differing::listed(found, &[]);
        let one = |(path, scenario): &(&PathBuf, Scenario)| {
            let name = path.file_stem().unwrap_or(path.as_os_str()).to_string_lossy();
            self.simulate(path, scenario).map(|run| (name.replace('_', " "), run))
        };
        let runs = scenarios.par_iter().map(one).collect::<Result<Vec<_>, Stop>>()?;
        let page = together::page(&runs, &differences);
        if let Some((stage, folder)) = stage {
            let mut files = vec![(names[0].clone(), page.clone().into_bytes())];
            files.extend(figures::together(&runs, &differences, &self.look.style())?);
            stage.finish(&files)?;
            talk.note(&format!("wrote table and figure to {}", folder.display()));
        }
        match self.format {
            Format::Table => print(&page)?,
            Format::Csv => print(&together::csv(&runs))?,
            Format::Json => print(&json(&runs)?)?,
        }
        let names = self.scenarios.iter().map(|path| source::name(path));
        early(names.zip(runs.iter().map(|(_, run)| run)))
    }

    fn stage(&self, names: &[String]) -> Result<Option<(Stage, &Path)>, Stop> {
        let open = |folder: &PathBuf| Stage::open(folder, names, self.force);
        Ok(self.output.as_ref().map(open).transpose()?.zip(self.output.as_deref()))
    }

    fn simulate(&self, path: &Path, scenario: &Scenario) -> Result<Run, Stop> {
        let method = match self.solver {
            Solver::Rodas5p => Method::Rodas5p,
            Solver::Dopri5 => Method::Dopri5,
        };
        // Layers of a spool fill a table; the figure of its moisture needs them.
        let layers = self.detail || figures::has_layers(&self.figures);
        let what = if layers { Record::Detail } else { Record::Usual };
        simulate_recording(scenario, method, what).map_err(|e| numerical(path, &e))
    }

    fn page(&self, run: &Run, spread: &GuessBands) -> String {
        let mut page = summary::page(run);
        page.push_str(&spread::section(spread));
        if self.verbose {
            page.push('\n');
            page.push_str(&summary::definitions(run));
        }
        page
    }

    fn explain(&self, talk: &Talk, path: &Path, scenario: &Scenario, text: &str) -> Outcome {
        let time = text.trim();
        let time = time.strip_prefix("t=").unwrap_or(time);
        let time_s = units::parse(Kind::Time, time).map_err(|e| {
            let message = format!("--explain = \"{text}\" {e}\n     write \"t=45 min\"");
            Stop::message(Cause::BadInput, message)
        })?;
        if !(0.0..=scenario.run.duration_s).contains(&time_s) {
            let end = units::format(Kind::Time, scenario.run.duration_s);
            let message = format!(
                "--explain = \"{text}\" is outside the run (0 to {end})\n     write a time within \
                 it, or raise run.duration"
            );
            return Err(Stop::message(Cause::BadInput, message));
        }
        let names = figures::FLOWS_FILES.map(str::to_owned);
        let stage = self.stage(&names)?;
        let explanation = explain(scenario, time_s).map_err(|e| numerical(path, &e))?;
        let explained = json(&Explained {
            schema_version: SCHEMA_VERSION,
            units: "time_s in s, temperatures_c in °C, each flow in its own unit",
            warnings: [],
            explanation: &explanation,
        })?;
        if let Some((stage, folder)) = stage {
            let mut files = vec![(names[0].clone(), explained.clone().into_bytes())];
            files.extend(figures::flows(&explanation, &self.look.style())?);
            stage.finish(&files)?;
            talk.note(&format!("wrote explanation and flows to {}", folder.display()));
        }
        match self.format {
            Format::Table => print(&explanation::page(&explanation)),
            Format::Csv => print(&explanation::csv(&explanation)),
            Format::Json => print(&explained),
        }
    }
}

/// Says which runs ended before their time.
fn early<'r>(runs: impl Iterator<Item = (String, &'r Run)>) -> Outcome {
    let differences = runs.filter_map(|(name, run)| {
        let ended = run.ended.as_ref()?;
        Some(format!("{name}: {ended}\n     look at {}", ended.look_at))
    });
    match differences.collect::<Vec<_>>() {
        all if all.is_empty() => Ok(()),
        all => Err(Stop::message(Cause::Ended, all.join("\n"))),
    }
}

fn numerical(path: &Path, e: &RunError) -> Stop {
    let name = source::name(path);
    Stop::message(Cause::Numerical, format!("{name}: {e}"))
}
