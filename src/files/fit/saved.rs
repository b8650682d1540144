//! A saved fit to draw from.

use std::path::Path;

use crate::files::input::read_text;
use crate::files::source;
use crate::files::stop::{Listener, Stop, reason};
use crate::reader::{Issue, Source};
use crate::scenario::Scenario;
use crate::study::box_fit::{Draws, SavedFit};

/// Draws from the fit in a file.
///
/// # Errors
/// That there is no fit to draw from.
pub fn draws(talk: &dyn Listener, path: &Path, count: usize, seed: u64) -> Result<Draws, Stop> {
    let name = path.display().to_string();
    let text = read_text(path).map_err(|e| {
        let what = format!("cannot be read: {}", reason(&e));
        let hint = "give the fit.json that drybench fit -o wrote.";
        Stop::input(vec![Issue::of_file("unreadable", &name, what, hint)])
    })?;
    let fit = SavedFit::read(&name, &text).map_err(|issue| Stop::input(vec![issue]))?;
    let draws = fit.draws(count, seed);
    draws.notes.iter().for_each(|note| talk.note(&format!("{name}: {note}")));
    Ok(draws)
}

/// Whether a scenario has every value that the fit in `path` sets; `varied` are paths that something else
/// sets as well, and may bring into being.
///
/// # Errors
/// What it lacks.
pub fn all_there(
    path: &Path,
    draws: &Draws,
    name: &str,
    source: &Source,
    varied: &[String],
) -> Result<(), Vec<Issue>> {
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
    let what = format!("{lost} of its {all} fitted values {is} of {name}: {}", lacking.join(", "));
    let own = path.with_file_name("fitted.toml");
    let hint = match own.exists() && source::name(&own) != name {
        true => format!("use the scenario that was fitted: {}", own.display()),
        false => format!("use the scenario that was fitted, or give this one {}", lacking[0]),
    };
    Err(vec![Issue::of_file("not-of-this-box", &path.display().to_string(), what, &hint)])
}
