//! Values drawn from a fit, for answers with bands.

use std::path::PathBuf;

use clap::Args;

use crate::cli::output::Talk;
use crate::files::Stop;
use crate::files::fit::{all_there, draws};
use crate::reader::{Issue, Source};
use crate::study::box_fit::Draws;

/// The fit to draw from.
#[derive(Debug, Args)]
pub(in crate::cli) struct Fitted {
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
    pub(in crate::cli) fn read(&self, talk: &Talk, seed: u64) -> Result<Option<Draws>, Stop> {
        let Some(path) = &self.fit else { return Ok(None) };
        draws(talk, path, self.draws as usize, seed).map(Some)
    }

    /// Whether a scenario has every value that the fit sets; `varied` are paths that something else
    /// sets as well, and may bring into being.
    pub(in crate::cli) fn check(
        &self,
        draws: &Draws,
        name: &str,
        source: &Source,
        varied: &[String],
    ) -> Result<(), Vec<Issue>> {
        let Some(path) = &self.fit else { return Ok(()) };
        all_there(path, draws, name, source, varied)
    }

    /// What messages call the draws.
    pub(in crate::cli) fn typed(&self) -> String {
        let path = self.fit.as_ref().map(|p| p.display().to_string()).unwrap_or_default();
        format!("{} draws of {path}", self.draws)
    }
}
