//! `drybench check`: all mistakes of a scenario at once, or its values and what follows from them.

use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::Format;
use super::output::{Talk, json, print};
use crate::files::{Cause, Listener, Outcome, Stop, run_folder, source};
use crate::reader::{Issue, Origin, Report};
use crate::report::{check, measured};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench check box.toml\n  \
    drybench check box.toml --set \"vent.low.diameter=8 mm\" --format json")]
pub(super) struct Check {
    /// Scenario file, folder of a measured run, or - for standard input
    scenario: PathBuf,
    /// Replace one value, as in the file: PATH=VALUE
    #[arg(long = "set", value_name = "PATH=VALUE")]
    sets: Vec<String>,
    /// How to write the result
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
}

/// What the numbers of the JSON are in.
const UNITS: &str = "si_value of each value in its si_unit";

/// One value for JSON.
#[derive(Serialize)]
struct Value<'a> {
    path: &'a str,
    value: String,
    si_value: Option<f64>,
    si_unit: Option<&'static str>,
    origin: String,
    /// Ends of what is likely, in the SI unit, where it is a guessed default.
    likely: Option<(f64, f64)>,
    quality: Option<char>,
}

/// The whole result for JSON.
#[derive(Serialize)]
struct Checked<'a> {
    schema_version: u32,
    units: &'static str,
    title: &'a str,
    errors: &'a [Issue],
    warnings: &'a [Issue],
    values: Vec<Value<'a>>,
}

impl Check {
    pub(super) fn run(&self, talk: &Talk) -> Outcome {
        if self.scenario.is_dir() {
            return self.folder(talk);
        }
        let (scenario, report) = match source::scenario(&self.scenario, &self.sets) {
            Ok(read) => read,
            Err(stop) if self.format == Format::Json && !stop.issues.is_empty() => {
                let checked = Checked {
                    schema_version: crate::run::SCHEMA_VERSION,
                    units: UNITS,
                    title: "",
                    errors: &stop.issues,
                    warnings: &[],
                    values: Vec::new(),
                };
                print(&json(&checked)?)?;
                return Err(Stop::message(Cause::BadInput, "the scenario has mistakes"));
            }
            Err(stop) => return Err(stop),
        };
        talk.warnings(&report.warnings);
        match self.format {
            Format::Table => print(&check::page(&scenario.title, &report)),
            Format::Csv => print(&check::csv(&report)),
            Format::Json => print(&json(&checked(&scenario.title, &report))?),
        }
    }
}

fn checked<'a>(title: &'a str, report: &'a Report) -> Checked<'a> {
    let values = report.values.iter().map(|v| Value {
        path: &v.path,
        value: v.text(),
        si_value: v.si(),
        si_unit: v.kind().map(|k| k.si_unit()),
        origin: match &v.origin {
            Origin::File { line } => format!("line {line}"),
            Origin::Set => "--set".into(),
            Origin::Program => "program".into(),
            Origin::Axis => "sweep axis".into(),
            Origin::Fit => "fit".into(),
            Origin::Default(source) => format!("default: {source}"),
            Origin::Derived(how) => format!("derived: {how}"),
        },
        likely: v.likely(),
        quality: v.doubt.map(|d| d.quality),
    });
    Checked {
        schema_version: crate::run::SCHEMA_VERSION,
        units: UNITS,
        title,
        errors: &[],
        warnings: &report.warnings,
        values: values.collect(),
    }
}

impl Check {
    /// A run folder.
    fn folder(&self, talk: &Talk) -> Outcome {
        let opened = run_folder::open(&self.scenario, &self.sets)?;
        talk.warnings(&opened.report.warnings);
        let title = &opened.gathered.evidence.title;
        match self.format {
            Format::Table => {
                let values = check::page(title, &opened.report);
                print(&format!("{values}\n{}", measured::page(&opened.gathered)))
            }
            Format::Csv => print(&check::csv(&opened.report)),
            Format::Json => print(&json(&measured::summary(&opened.gathered, &opened.report))?),
        }
    }
}
