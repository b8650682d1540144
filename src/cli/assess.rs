//! `drybench assess`: the figures of one run, measured or simulated.

use std::path::{Path, PathBuf};

use clap::Args;
use serde::Serialize;

use super::Format;
use super::look::Look;
use super::output::{Talk, json, print};
use crate::assess::{Assessment, Evidence, Gathered, assess, evidence_of_run};
use crate::files::whole::Stage;
use crate::files::{Cause, Listener, Outcome, Stop, figures, input, reason, run_folder};
use crate::report::assessment as page;
use crate::run::Run;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench assess felt_run -o felt_run/out\n  \
    drybench simulate box.toml -o out && drybench assess out/run.json --definitions")]
pub(super) struct Assess {
    /// Folder of a measured run, or run.json (or its folder) of a simulated one
    run: PathBuf,
    /// Replace one value of run.toml: PATH=VALUE
    #[arg(long = "set", value_name = "PATH=VALUE")]
    sets: Vec<String>,
    /// Folder for the table (txt, csv, json), cleaned series and figures
    #[arg(short, long, value_name = "FOLDER")]
    output: Option<PathBuf>,
    /// Replace files in that folder
    #[arg(long)]
    force: bool,
    /// How to print the table
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
    /// Print the definition of every figure too
    #[arg(long, visible_alias = "verbose")]
    definitions: bool,
    #[command(flatten)]
    look: Look,
}

/// The table as JSON.
#[derive(Serialize)]
struct Saved<'a> {
    units: &'static str,
    coverage_factor: f64,
    taken_as_given: &'a [String],
    #[serde(flatten)]
    assessment: &'a Assessment,
}

impl Assess {
    pub(super) fn run(&self, talk: &Talk) -> Outcome {
        let (evidence, gathered) = self.evidence(talk)?;
        let notes = gathered.as_ref().map_or(&[][..], |g| &g.notes);
        let table = assess(&evidence);
        let mut text = page::page(&table, notes);
        if self.definitions {
            text.push('\n');
            text.push_str(&page::definitions(&table));
        }
        let saved = Saved {
            units: "each figure in its own unit; standard is the standard uncertainty",
            coverage_factor: crate::uncertainty::COVERAGE_FACTOR,
            taken_as_given: notes,
            assessment: &table,
        };
        if let Some(folder) = &self.output {
            let mut files = vec![
                ("figures.txt".to_owned(), text.clone().into_bytes()),
                ("figures.csv".to_owned(), page::csv(&table).into_bytes()),
                ("figures.json".to_owned(), json(&saved)?.into_bytes()),
            ];
            let cleaned = gathered.as_ref().map(run_folder::cleaned).transpose()?;
            files.extend(cleaned.unwrap_or_default());
            files.extend(figures::of_evidence(talk, &evidence, &self.look.style())?);
            let names: Vec<String> = files.iter().map(|f| f.0.clone()).collect();
            Stage::open(folder, &names, self.force)?.finish(&files)?;
            talk.note(&format!("wrote table, series and figures to {}", folder.display()));
        }
        match self.format {
            Format::Table => print(&text),
            Format::Csv => print(&page::csv(&table)),
            Format::Json => print(&json(&saved)?),
        }
    }

    fn evidence(&self, talk: &Talk) -> Result<(Evidence, Option<Gathered>), Stop> {
        let saved = self.run.join("run.json");
        if self.run.is_dir()
            && !self.run.join(crate::measured::folder::FILE).exists()
            && saved.exists()
        {
            return Ok((simulated(&saved)?, None));
        }
        if self.run.extension().is_some_and(|e| e == "json") {
            return Ok((simulated(&self.run)?, None));
        }
        if self.run.is_dir() {
            let opened = run_folder::open(&self.run, &self.sets)?;
            talk.warnings(&opened.report.warnings);
            return Ok((opened.gathered.evidence.clone(), Some(opened.gathered)));
        }
        let name = self.run.display();
        let text = if self.run.exists() {
            format!(
                "{name} is neither a run folder nor run.json\n     make a folder of it: drybench new run --log {name} -o felt_run"
            )
        } else {
            format!(
                "there is no {name}\n     a run folder is made with: drybench new run --log log.txt -o felt_run"
            )
        };
        Err(Stop::message(Cause::BadInput, text))
    }
}

fn simulated(path: &Path) -> Result<Evidence, Stop> {
    let bad = |what: String| {
        let text = format!(
            "{}: {what}\n     it is written by: drybench simulate box.toml -o out",
            path.display()
        );
        Stop::message(Cause::BadInput, text)
    };
    let text = input::read_text(path).map_err(|e| bad(reason(&e)))?;
    Ok(evidence_of_run(&Run::read(&text).map_err(bad)?))
}
