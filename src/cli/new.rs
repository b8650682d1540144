//! `drybench new`: a commented starter scenario, or the folder of a measured run.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::output::{Talk, print};
use crate::files::whole::write;
use crate::files::{Cause, Listener, Outcome, Stop, run_folder};

/// Starter scenarios.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
#[value(rename_all = "snake_case")]
enum Starter {
    /// Two holes on the two sides of the fan
    TwoHoles,
    /// Two holes on the same side of the fan
    SameSide,
    /// One small hole in a tight box
    OneHole,
    /// No opening at all
    Sealed,
    /// An exhaust fan on a timer, behind a flap
    TimedExhaust,
    /// A spool of polymer filament in a vented box
    Spool,
    /// Folder of a measured run: copies of its texts, and run.toml to fill in
    Run,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench new two_holes -o box.toml\n  \
    drybench new run --log serial.txt --weighings notes.txt -o felt_run")]
pub(super) struct New {
    /// What to start from
    #[arg(value_enum, default_value = "two_holes")]
    starter: Starter,
    /// File to write, or folder of a run; standard output without it
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Logger text of a measured run; may be repeated
    #[arg(long, value_name = "FILE")]
    log: Vec<PathBuf>,
    /// Weighing notes of a measured run
    #[arg(long, value_name = "FILE")]
    weighings: Option<PathBuf>,
    /// Replace an existing file
    #[arg(long)]
    force: bool,
}

impl New {
    pub(super) fn run(&self, talk: &Talk) -> Outcome {
        if self.starter == Starter::Run {
            return run_folder::create(
                talk,
                self.output.as_deref(),
                &self.log,
                self.weighings.as_deref(),
                self.force,
            );
        }
        if !self.log.is_empty() || self.weighings.is_some() {
            let text =
                "--log and --weighings belong to a measured run\n     write: drybench new run";
            return Err(Stop::message(Cause::BadInput, text));
        }
        let text = match self.starter {
            Starter::TwoHoles => include_str!("../../scenarios/two_holes_two_zones.toml"),
            Starter::SameSide => include_str!("../../scenarios/two_holes_one_zone.toml"),
            Starter::OneHole => include_str!("../../scenarios/one_small_hole.toml"),
            Starter::Sealed => include_str!("../../scenarios/sealed.toml"),
            Starter::TimedExhaust => include_str!("../../scenarios/timed_exhaust.toml"),
            Starter::Spool => include_str!("../../scenarios/spool_vented_box.toml"),
            // handled above
            Starter::Run => "",
        };
        let Some(path) = &self.output else { return print(text) };
        write(path, text.as_bytes(), self.force)?;
        talk.note(&format!("wrote {0}; next: edit it, then  drybench check {0}", path.display()));
        Ok(())
    }
}
