//! `drybench simulate --fit`: one scenario with the bands that the uncertainty of a fit gives it.

use std::path::Path;

use rayon::prelude::*;

use crate::cli::Format;
use crate::cli::look::Look;
use crate::cli::output::{Talk, json, print};
use crate::files::whole::Stage;
use crate::files::{Cause, Listener, Outcome, Stop, figures};
use crate::reader::{Issue, Origin, Source};
use crate::report::{bands, pictures};
use crate::run::{Method, Run, simulate};
use crate::scenario::Scenario;
use crate::study::box_fit::Draws;

/// The files in the folder.
const FILES: [&str; 6] =
    ["bands.txt", "bands.json", "bands_series.csv", "bands.svg", "bands.png", "bands.csv"];

/// Where the answer goes.
pub(super) struct BandTarget<'t> {
    pub(super) output: Option<&'t Path>,
    pub(super) force: bool,
    pub(super) format: Format,
    pub(super) look: &'t Look,
}

/// Runs the scenario at the best values and at every draw, and tells the bands.
pub(super) fn run(
    talk: &Talk,
    name: &str,
    source: &Source,
    draws: &Draws,
    to: &BandTarget,
) -> Outcome {
    let open = |folder| Stage::open(folder, &FILES.map(str::to_owned), to.force);
    let stage = to.output.map(open).transpose()?;
    let best = read(source, draws, &draws.best).map_err(Stop::input)?;
    let best = simulate(&best, Method::Rodas5p)
        .and_then(Run::whole)
        .map_err(|e| Stop::message(Cause::Numerical, format!("{name}: {e}")))?;
    let one = |set: &Vec<String>| -> Result<Run, String> {
        let scenario = read(source, draws, set).map_err(|issues| first(&issues))?;
        simulate(&scenario, Method::Rodas5p).and_then(Run::whole).map_err(|e| e.to_string())
    };
    let all: Vec<Result<Run, String>> = draws.sets.par_iter().map(one).collect();
    let count = all.len();
    let (good, bad): (Vec<_>, Vec<_>) = all.into_iter().partition(Result::is_ok);
    if let Some(Err(why)) = bad.first() {
        talk.note(&format!("{} of {count} draws have no run and are left out: {why}", bad.len()));
    }
    let drawn: Vec<Run> = good.into_iter().flatten().collect();
    if drawn.len() < 2 {
        let text = "too few of the draws have a run for a band\n     narrow the bounds of the fit";
        return Err(Stop::message(Cause::Numerical, text));
    }
    let found = bands::metrics(&best, &drawn);
    let page = bands::page(&best, &found, drawn.len());
    let saved = json(&bands::Saved::new(&best, &found, drawn.len(), &draws.paths))?;
    if let (Some(folder), Some(stage)) = (to.output, stage) {
        let series = bands::series_csv(&best, &drawn);
        let contents = [page.clone(), saved.clone(), series];
        let plain = FILES.iter().zip(contents);
        let mut files: Vec<_> =
            plain.map(|(name, text)| ((*name).to_owned(), text.into_bytes())).collect();
        if let Some(figure) = pictures::bands(&best, &drawn) {
            files.extend(figures::one("bands", &figure, &to.look.style())?);
        }
        stage.finish(&files)?;
        talk.note(&format!("wrote {} to {}", FILES.join(", "), folder.display()));
    }
    match to.format {
        Format::Table => print(&page),
        Format::Csv => print(&bands::series_csv(&best, &drawn)),
        Format::Json => print(&saved),
    }
}

/// The scenario with these values.
fn read(source: &Source, draws: &Draws, values: &[String]) -> Result<Scenario, Vec<Issue>> {
    let mut source = source.clone();
    for (path, value) in draws.paths.iter().zip(values) {
        source.set_value(path, value, Origin::Fit).map_err(|issue| vec![issue])?;
    }
    Scenario::read(&source).map(|(scenario, _)| scenario)
}

fn first(issues: &[Issue]) -> String {
    issues.first().map(ToString::to_string).unwrap_or_default()
}
