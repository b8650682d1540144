//! The folder of a fit: report, numbers, fitted scenarios and figures.

use std::path::Path;

use super::question::Question;
use crate::files::figures;
use crate::files::stop::{Cause, Stop};
use crate::files::whole::Stage;
use crate::report::figure::{Drawing, Figure, FigureError, Style};
use crate::report::pictures::{self, FitPicture};
use crate::study::box_fit::{self, BoxFit, HeldOut, Prediction, RunData, Written};

/// Panels of readings that find room in a figure above the residuals, best first.
const ROOM: [usize; 3] = [3, 2, 1];

/// A file: name and bytes.
type File = (String, Vec<u8>);

/// What goes into the folder, and how its figures look.
#[derive(Clone, Copy, Debug)]
pub struct Pages<'a> {
    /// The report.
    pub report: &'a str,
    /// The same as data.
    pub json: &'a str,
    /// Assignments as typed.
    pub sets: &'a [String],
    /// How figures look.
    pub style: Style,
}

/// Begins the folder, unless any file that may be written is there.
///
/// # Errors
/// That it cannot be begun, or files are there.
pub fn stage(force: bool, question: &Question, folder: &Path) -> Result<Stage, Stop> {
    let figures =
        stems(question.runs.len(), "fit").chain(stems(question.others.len(), "predicted"));
    let figures =
        figures.flat_map(|s| pictures::appendices().into_iter().map(move |a| s.clone() + &a));
    let figures = figures.chain(["profiles", "correlation"].map(str::to_owned));
    let drawn = figures.flat_map(|s| ["svg", "png", "csv"].map(|end| format!("{s}.{end}")));
    let texts = SCENARIOS.iter().flat_map(|word| toml(question.runs.len(), word));
    let fixed = ["report.txt", "fit.json"].map(str::to_owned);
    let names: Vec<String> = fixed.into_iter().chain(texts).chain(drawn).collect();
    Stage::open(folder, &names, force)
}

/// Writes everything; returns the names of the files.
///
/// # Errors
/// That a figure cannot be drawn, or a file not be written.
pub fn write(
    stage: Stage,
    question: &Question,
    problem: &BoxFit,
    ahead: &Prediction<'_>,
    held: &[HeldOut],
    pages: &Pages<'_>,
) -> Result<Vec<String>, Stop> {
    let outcome = ahead.outcome;
    let mut plain =
        vec![("report.txt".to_owned(), pages.report), ("fit.json".to_owned(), pages.json)];
    let texts = scenarios(pages.sets, question, problem, outcome);
    let texts = texts.map_err(|e| Stop::message(Cause::Output, e))?;
    plain.extend(texts.iter().map(|(name, text)| (name.clone(), text.as_str())));
    let mut files: Vec<File> =
        plain.into_iter().map(|(name, text)| (name, text.as_bytes().to_vec())).collect();
    let style = &pages.style;
    files.extend(of_runs(question, ahead, held, style)?);
    if let Some(figure) = pictures::fit_profiles(&question.title, outcome) {
        files.extend(figures::one("profiles", &figure, style)?);
    }
    if let Some(map) = pictures::fit_correlation(&question.title, outcome) {
        files.extend(figures::one("correlation", &map, style)?);
    }
    stage.finish(&files)?;
    Ok(files.into_iter().map(|(name, _)| name).collect())
}

/// The box of each run, and the box under what that run did to it.
fn scenarios(
    sets: &[String],
    question: &Question,
    problem: &BoxFit,
    outcome: &box_fit::Outcome,
) -> Result<Vec<(String, String)>, String> {
    let (mut boxes, mut replays) = (Vec::new(), Vec::new());
    let [fitted, replay] = SCENARIOS.map(|word| toml(question.runs.len(), word));
    for (k, run) in question.runs.iter().enumerate() {
        let text = question.texts[k].as_str();
        let written = Written { text, sets, fit: problem, run, k, outcome };
        boxes.push((fitted[k].clone(), written.fitted(&replay[k])?));
        replays.extend(written.replay()?.map(|text| (replay[k].clone(), text)));
    }
    boxes.extend(replays);
    Ok(boxes)
}

/// What the scenarios of a fit are called.
const SCENARIOS: [&str; 2] = ["fitted", "replay"];

fn toml(runs: usize, word: &str) -> Vec<String> {
    stems(runs, word).map(|stem| format!("{stem}.toml")).collect()
}

/// Figures of all runs, fitted ones and others.
fn of_runs(
    question: &Question,
    ahead: &Prediction<'_>,
    held: &[HeldOut],
    style: &Style,
) -> Result<Vec<File>, Stop> {
    let mut curves = ahead.curves(&question.whole).map_err(Stop::input)?;
    if !question.others.is_empty() {
        curves.extend(ahead.curves_of_others(&question.others).map_err(Stop::input)?);
    }
    let named = |runs: &[RunData], word: &str| -> Vec<(String, String)> {
        runs.iter().map(|r| r.name.clone()).zip(stems(runs.len(), word)).collect()
    };
    let mut files = Vec::new();
    let all = [named(&question.whole, "fit"), named(&question.others, "predicted")].concat();
    for (run, stem) in &all {
        let picture = FitPicture {
            title: &question.title,
            run,
            outcome: ahead.outcome,
            curves: &curves,
            held,
            split_s: question.split_s,
            draws: ahead.draws,
        };
        for (end, figure) in fitting(&picture, style) {
            files.extend(figures::one(&format!("{stem}{end}"), &figure, style)?);
        }
    }
    Ok(files)
}

/// As many panels in a figure as find room there.
fn fitting(picture: &FitPicture<'_>, style: &Style) -> Vec<(String, Figure)> {
    let crowded = |f: &Figure| {
        matches!(f.scene(style), Err(FigureError::Crowded { .. } | FigureError::Lines { .. }))
    };
    let fits = |pages: &Vec<(String, Figure)>| !pages.iter().any(|(_, f)| crowded(f));
    let [.., least] = ROOM;
    ROOM.iter().map(|most| picture.pages(*most)).find(fits).unwrap_or_else(|| picture.pages(least))
}

/// One name for a single run, numbered ones for several.
fn stems(count: usize, word: &str) -> impl Iterator<Item = String> {
    (1..=count).map(move |k| if count == 1 { word.to_owned() } else { format!("{word}_{k}") })
}
