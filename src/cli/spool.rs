//! `drybench spool`: what a box makes of a spool, for one or several polymers.

use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::Format;
use super::output::{Talk, json, print};
use crate::files::{Cause, Listener, Outcome, Stop, source};
use crate::model::parts::LoadSpec;
use crate::reader::Issue;
use crate::report::spools;
use crate::scenario::Scenario;
use crate::study::spools::{Answer, answer, spools as spools_of};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench spool box.toml --polymers PLA,PETG,ABS,PC,PA6 --customary\n  \
    drybench spool box.toml --set load.spool.winding_diffusion=0.2")]
pub(super) struct SpoolCommand {
    /// Scenario file with loads of kind "spool", each of which is answered for
    scenario: PathBuf,
    /// Polymers to try in place of the file's, from the table of polymers; of several spools in one at
    /// a time
    #[arg(long, value_delimiter = ',', value_name = "NAME,...")]
    polymers: Vec<String>,
    /// Set each polymer's highest customary temperature, at most that of the file
    #[arg(long)]
    customary: bool,
    /// Runs with values drawn from their spread, 10 at least
    #[arg(long, default_value_t = 256, value_name = "N", value_parser = clap::value_parser!(u32).range(10..=10_000))]
    samples: u32,
    /// Seed of the draws
    #[arg(long, default_value_t = 1, value_name = "N")]
    seed: u64,
    /// Replace one value, as in the file: PATH=VALUE
    #[arg(long = "set", value_name = "PATH=VALUE")]
    sets: Vec<String>,
    /// How to write the result
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
}

/// Version of the layout of [`Answers`].
const SCHEMA_VERSION: u32 = 3;

/// The whole result for JSON.
#[derive(Serialize)]
struct Answers<'a> {
    schema_version: u32,
    title: &'a str,
    samples: u32,
    seed: u64,
    band: &'static str,
    answers: &'a [Answer],
}

impl SpoolCommand {
    pub(super) fn run(&self, talk: &Talk) -> Outcome {
        let (base, report) = source::scenario(&self.scenario, &self.sets)?;
        talk.warnings(&report.warnings);
        let names: Vec<String> = spools_of(&base).iter().map(|s| s.1.to_owned()).collect();
        if names.is_empty() {
            return Err(Stop::message(
                Cause::BadInput,
                "the scenario has no spool\n     add a table [load.spool] with kind = \"spool\"",
            ));
        }
        self.check_polymers()?;
        let mut answers = Vec::new();
        for name in &names {
            for scenario in self.scenarios(&base, name)? {
                let at = spools_of(&scenario).iter().find(|s| s.1 == name).map_or(0, |s| s.0);
                let one = answer(&scenario, at, self.samples as usize, self.seed);
                let one = one.map_err(|e| Stop::message(Cause::Numerical, e.to_string()))?;
                answers.extend(one);
            }
        }
        match self.format {
            Format::Table => {
                print(&spools::page(&base.title, &answers, self.samples as usize, self.seed))
            }
            Format::Csv => print(&spools::csv(&answers)),
            Format::Json => print(&json(&Answers {
                schema_version: SCHEMA_VERSION,
                title: &base.title,
                samples: self.samples,
                seed: self.seed,
                band: "from 5 % to 95 % of the samples",
                answers: &answers,
            })?),
        }
    }

    /// Refuses a list with two commas in a row or one at its end: the empty name would stand for the
    /// file's own polymer.
    fn check_polymers(&self) -> Outcome {
        if self.polymers.iter().all(|p| !p.trim().is_empty()) {
            return Ok(());
        }
        let typed = format!("--polymers {}", self.polymers.join(","));
        let names: Vec<&str> =
            self.polymers.iter().map(|p| p.trim()).filter(|p| !p.is_empty()).collect();
        let hint = format!("write --polymers {}", names.join(","));
        let what = "has an empty name".to_owned();
        Err(Stop::input(vec![Issue::of_file("empty-polymer", &typed, what, &hint)]))
    }

    /// The scenario with each polymer in the spool of this name.
    fn scenarios(&self, base: &Scenario, name: &str) -> Result<Vec<Scenario>, Stop> {
        let own = [String::new()];
        let polymers = if self.polymers.is_empty() { &own[..] } else { &self.polymers };
        let mut list = Vec::new();
        for polymer in polymers {
            let mut sets = self.sets.clone();
            if !polymer.is_empty() {
                sets.push(format!("load.{name}.polymer={}", polymer.trim()));
            }
            let (scenario, _) = source::scenario(&self.scenario, &sets)?;
            let highest = base.control.highest_k();
            let wanted = scenario.loads.iter().find_map(|l| match l {
                LoadSpec::Spool(s) if s.name == name => Some(s.polymer.customary_k.1),
                _ => None,
            });
            match (self.customary, highest, wanted) {
                (true, Some(highest), Some(wanted)) if wanted < highest => {
                    let celsius = crate::units::c_from_k(wanted);
                    sets.push(format!("control.set_point={celsius:.1} °C"));
                    list.push(source::scenario(&self.scenario, &sets)?.0);
                }
                _ => list.push(scenario),
            }
        }
        Ok(list)
    }
}
