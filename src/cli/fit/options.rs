//! The command line of `drybench fit`.

use std::path::PathBuf;

use clap::Args;

use crate::cli::Format;
use crate::cli::look::Look;
use crate::files::fit::Asked;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench fit felt_run --free \"enclosure.wall_loss=0.5..3 W/K\" --cycle-means \"10 min\"\n  \
    drybench fit run_1 run_2 --hold-out-run run_3 --free \"vent.low.diameter=2..9 mm\" -o out\n  \
    drybench fit box.toml --data clean.csv --free \"enclosure.wall_loss=0.5..3 W/K\" \
    --map \"hot_temperature_C=sensor_logger_temperature_C ± 0.2 K\" -o out\n  \
    drybench fit box.toml --data clean.csv --free \"enclosure.wall_loss=0.5..3 W/K\" \
    --map \"hot_temperature_C=supply_temperature_C ± 0.2 K\" --map heater_pct=control.heater \
    --hold-out-after \"40 min\"")]
pub(in crate::cli) struct Fit {
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
    /// Free parameter: "PATH=LOW..HIGH unit", or "PATH=START, LOW..HIGH unit"; known beforehand, so that
    /// it counts as one more reading: "PATH=VALUE ± UNCERTAINTY unit" (or %), with bounds behind a
    /// comma if there are any, or PATH alone if its value has a ±
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
    pub(super) starts: usize,
    /// Seed of those starts and of the drawn parameters
    #[arg(long, default_value_t = 1)]
    pub(super) seed: u64,
    /// Which further measurement would tell most about this parameter, or figure such as t90_min (of
    /// the first run)
    #[arg(long, value_name = "NAME")]
    pub(super) plan: Option<String>,
    /// Folder for report.txt, fit.json, the fitted box (fitted.toml), the same under what the run did to
    /// it (replay.toml), and figures (svg, png and their data)
    #[arg(short, long, value_name = "FOLDER")]
    pub(super) output: Option<PathBuf>,
    /// Replace files in that folder
    #[arg(long)]
    pub(super) force: bool,
    /// How to write the result
    #[arg(long, value_enum, default_value = "table")]
    pub(super) format: Format,
    #[command(flatten)]
    pub(super) look: Look,
}

impl Fit {
    /// What is asked.
    pub(super) fn asked(&self) -> Asked<'_> {
        Asked {
            runs: &self.runs,
            scenario: self.scenario.as_deref(),
            data: &self.data,
            free: &self.free,
            free_per_run: &self.free_per_run,
            map: &self.map,
            sets: &self.sets,
            hold_out_after: self.hold_out_after.as_deref(),
            hold_out_run: &self.hold_out_run,
            cycle_means: self.cycle_means.as_deref(),
            correlation: self.correlation.as_deref(),
            keep_humidity: self.keep_humidity,
        }
    }
}
