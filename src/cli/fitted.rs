//! Values drawn from a fit, for answers with bands.

use std::path::PathBuf;

use clap::Args;

use super::Stop;
use super::output::{Talk, reason};
use crate::reader::Issue;
use crate::study::box_fit::{Draws, SavedFit};

/// The fit to draw from.
#[derive(Debug, Args)]
pub(super) struct Fitted {
    /// Draw values from this fit.json, as drybench fit writes it, so that results have bands
    #[arg(long = "fit", value_name = "FIT")]
    fit: Option<PathBuf>,
    /// Number of those draws
    #[arg(long, value_name = "N", default_value_t = 40, requires = "fit",
        value_parser = clap::value_parser!(u32).range(2..=10_000))]
    draws: u32,
}

impl Fitted {
    /// The draws, if a fit was named.
    pub(super) fn read(&self, talk: &Talk, seed: u64) -> Result<Option<Draws>, Stop> {
        let Some(path) = &self.fit else { return Ok(None) };
        let name = path.display().to_string();
        let text = std::fs::read_to_string(path).map_err(|e| {
            let what = format!("cannot be read: {}", reason(&e));
            let hint = "give the fit.json that drybench fit -o wrote.";
            Stop::input(vec![Issue::of_file("unreadable", &name, what, hint)])
        })?;
        let fit = SavedFit::read(&name, &text).map_err(|issue| Stop::input(vec![issue]))?;
        let draws = fit.draws(self.draws as usize, seed);
        draws.notes.iter().for_each(|note| talk.note(&format!("{name}: {note}")));
        Ok(Some(draws))
    }

    /// What messages call the draws.
    pub(super) fn typed(&self) -> String {
        let path = self.fit.as_ref().map(|p| p.display().to_string()).unwrap_or_default();
        format!("{} draws of {path}", self.draws)
    }
}
