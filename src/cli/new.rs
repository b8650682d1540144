//! `drybench new`: a commented starter scenario.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::Outcome;
use super::output::{Talk, print, write};

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
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench new two_holes -o box.toml\n  \
    drybench new sealed | drybench simulate -")]
pub(super) struct New {
    /// What to start from
    #[arg(value_enum, default_value = "two_holes")]
    starter: Starter,
    /// File to write; standard output without it
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Replace an existing file
    #[arg(long)]
    force: bool,
}

impl New {
    pub(super) fn run(&self, talk: &Talk) -> Outcome {
        let text = match self.starter {
            Starter::TwoHoles => include_str!("../../scenarios/two_holes_two_zones.toml"),
            Starter::SameSide => include_str!("../../scenarios/two_holes_one_zone.toml"),
            Starter::OneHole => include_str!("../../scenarios/one_small_hole.toml"),
            Starter::Sealed => include_str!("../../scenarios/sealed.toml"),
            Starter::TimedExhaust => include_str!("../../scenarios/timed_exhaust.toml"),
        };
        let Some(path) = &self.output else { return print(text) };
        write(path, text.as_bytes(), self.force)?;
        talk.note(&format!("wrote {0}; next: edit it, then  drybench check {0}", path.display()));
        Ok(())
    }
}
