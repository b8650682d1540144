//! `drybench simulate`: one scenario to summary, series, ledgers and figure.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use serde::Serialize;

use super::output::{Talk, check_folder, json, print, write_folder};
use super::{Exit, Format, Outcome, Stop};
use crate::report::figure::{FigureError, Size, Style, Theme, to_png, to_svg};
use crate::report::{explanation, pictures, series, summary};
use crate::run::{Explanation, Method, Run, RunError, SCHEMA_VERSION, explain, simulate};
use crate::scenario::Scenario;
use crate::units::{self, Kind};

/// Which stepper integrates.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Solver {
    /// Stiff, with exact derivatives: the normal choice
    Rodas5p,
    /// Explicit: slower, as an independent check
    Dopri5,
}

/// Background of figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Background {
    /// Light lines on a dark ground
    Dark,
    /// Dark lines on a light ground
    Light,
    /// No ground, for dark video
    ClearDark,
    /// No ground, for light pages
    ClearLight,
}

/// What `-o` writes.
const FILES: [&str; 6] =
    ["summary.txt", "series.csv", "run.json", "figure.svg", "figure.png", "figure.csv"];

/// A run as JSON.
#[derive(Serialize)]
struct Saved<'a> {
    units: &'static str,
    #[serde(flatten)]
    run: &'a Run,
}

fn saved(run: &Run) -> Saved<'_> {
    let units = "time_s in s; each column, figure of merit and ledger in its own unit";
    Saved { units, run }
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
    drybench simulate box.toml -o out\n  \
    drybench simulate box.toml --set \"vent.low.diameter=8 mm\" --explain \"t=45 min\"")]
pub(super) struct Simulate {
    /// Scenario file, or - for standard input
    scenario: PathBuf,
    /// Replace one value, as in the file: PATH=VALUE
    #[arg(long = "set", value_name = "PATH=VALUE")]
    sets: Vec<String>,
    /// Folder for summary.txt, series.csv, run.json, figure.svg, figure.png and figure.csv
    #[arg(short, long, value_name = "FOLDER")]
    output: Option<PathBuf>,
    /// Replace files in that folder
    #[arg(long)]
    force: bool,
    /// What goes to standard output: the summary, the series (csv) or everything (json)
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
    /// Every flow at one instant by part, instead of the summary: "t=45 min"
    #[arg(long, value_name = "TIME", allow_hyphen_values = true, conflicts_with = "output")]
    explain: Option<String>,
    /// Stepper
    #[arg(long, value_enum, default_value = "rodas5p")]
    solver: Solver,
    /// Background of the figures
    #[arg(long, value_enum, default_value = "dark", value_name = "BACKGROUND")]
    theme: Background,
    /// Upright figures (1080 × 1920) instead of 1920 × 1080
    #[arg(long)]
    portrait: bool,
    /// Print the definition of every figure of merit
    #[arg(short, long)]
    verbose: bool,
}

impl Simulate {
    pub(super) fn run(&self, talk: &Talk) -> Outcome {
        let (scenario, report) = super::source::scenario(&self.scenario, &self.sets)?;
        talk.warnings(&report.warnings);
        if let Some(text) = &self.explain {
            return self.explain(&scenario, text);
        }
        let method = match self.solver {
            Solver::Rodas5p => Method::Rodas5p,
            Solver::Dopri5 => Method::Dopri5,
        };
        if let Some(folder) = &self.output {
            check_folder(folder, &FILES, self.force)?;
        }
        let run = simulate(&scenario, method).map_err(|e| self.numerical(&e))?;
        let page = self.page(&run);
        if let Some(folder) = &self.output {
            self.write(folder, &run, &page)?;
            talk.note(&format!("wrote summary, series, run and figure to {}", folder.display()));
        }
        match self.format {
            Format::Table => print(&page),
            Format::Csv => print(&series::csv(&run)),
            Format::Json => print(&json(&saved(&run))?),
        }
    }

    fn page(&self, run: &Run) -> String {
        let mut page = summary::page(run);
        if self.verbose {
            page.push('\n');
            page.push_str(&summary::definitions(run));
        }
        page
    }

    fn explain(&self, scenario: &Scenario, text: &str) -> Outcome {
        let time = text.trim();
        let time = time.strip_prefix("t=").unwrap_or(time);
        let time_s = units::parse(Kind::Time, time).map_err(|e| {
            let message = format!("--explain = \"{text}\" {e}\n     write \"t=45 min\"");
            Stop::message(Exit::BadInput, message)
        })?;
        if !(0.0..=scenario.run.duration_s).contains(&time_s) {
            let end = units::format(Kind::Time, scenario.run.duration_s);
            let message = format!(
                "--explain = \"{text}\" is outside the run (0 to {end})\n     write a time within \
                 it, or raise run.duration"
            );
            return Err(Stop::message(Exit::BadInput, message));
        }
        let explanation = explain(scenario, time_s).map_err(|e| self.numerical(&e))?;
        match self.format {
            Format::Table => print(&explanation::page(&explanation)),
            Format::Csv => print(&explanation::csv(&explanation)),
            Format::Json => print(&json(&Explained {
                schema_version: SCHEMA_VERSION,
                units: "time_s in s, temperatures_c in °C, each flow in its own unit",
                warnings: [],
                explanation: &explanation,
            })?),
        }
    }

    fn write(&self, folder: &Path, run: &Run, page: &str) -> Outcome {
        let figure = pictures::overview(run);
        let style = self.style();
        let contents = [
            page.as_bytes().to_vec(),
            series::csv(run).into_bytes(),
            json(&saved(run))?.into_bytes(),
            to_svg(&figure, &style).map_err(undrawn)?.into_bytes(),
            to_png(&figure, &style).map_err(undrawn)?,
            figure.to_csv().into_bytes(),
        ];
        let files: Vec<_> = FILES.into_iter().zip(contents).collect();
        write_folder(folder, &files)
    }

    fn numerical(&self, e: &RunError) -> Stop {
        let name = super::source::name(&self.scenario);
        Stop::message(Exit::Numerical, format!("{name}: {e}"))
    }

    fn style(&self) -> Style {
        let size = if self.portrait { Size::Portrait } else { Size::Landscape };
        let theme = match self.theme {
            Background::Dark => Theme::Dark,
            Background::Light => Theme::Light,
            Background::ClearDark => Theme::TransparentOnDark,
            Background::ClearLight => Theme::TransparentOnLight,
        };
        Style { size, theme }
    }
}

fn undrawn(e: FigureError) -> Stop {
    Stop::message(Exit::Output, format!("cannot draw the figure: {e}"))
}
