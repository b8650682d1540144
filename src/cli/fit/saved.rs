//! Values drawn from a fit, for answers with bands.

use std::path::PathBuf;

use clap::Args;

use crate::cli::Stop;
use crate::cli::output::{Talk, reason};
use crate::reader::{Issue, Source};
use crate::scenario::Scenario;
use crate::study::box_fit::{Draws, SavedFit};

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
        let name = path.display().to_string();
        let text = crate::cli::input::read_text(path).map_err(|e| {
            let what = format!("cannot be read: {}", reason(&e));
            let hint = "give the fit.json that drybench fit -o wrote.";
            Stop::input(vec![Issue::of_file("unreadable", &name, what, hint)])
        })?;
        let fit = SavedFit::read(&name, &text).map_err(|issue| Stop::input(vec![issue]))?;
        let draws = fit.draws(self.draws as usize, seed);
        draws.notes.iter().for_each(|note| talk.note(&format!("{name}: {note}")));
        Ok(Some(draws))
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
        // A scenario that is wrong by itself is told where it is simulated.
        let Ok((_, report)) = Scenario::read(source) else { return Ok(()) };
        let table = |p: &str| p.rsplit_once('.').map_or(String::new(), |(t, _)| t.to_owned());
        let made = |p: &String| varied.iter().any(|v| table(v) == table(p));
        let lacking: Vec<&str> = draws
            .paths
            .iter()
            .filter(|p| report.value(p).is_none() && !made(p))
            .map(String::as_str)
            .collect();
        if lacking.is_empty() {
            return Ok(());
        }
        let (lost, all) = (lacking.len(), draws.paths.len());
        let is = if lost == 1 { "is no value" } else { "are no values" };
        let what =
            format!("{lost} of its {all} fitted values {is} of {name}: {}", lacking.join(", "));
        let own = path.with_file_name("fitted.toml");
        let hint = match own.exists() && crate::cli::source::name(&own) != name {
            true => format!("use the scenario that was fitted: {}", own.display()),
            false => format!("use the scenario that was fitted, or give this one {}", lacking[0]),
        };
        Err(vec![Issue::of_file("not-of-this-box", &path.display().to_string(), what, &hint)])
    }

    /// What messages call the draws.
    pub(in crate::cli) fn typed(&self) -> String {
        let path = self.fit.as_ref().map(|p| p.display().to_string()).unwrap_or_default();
        format!("{} draws of {path}", self.draws)
    }
}
