//! Run folders as data of a fit, each with the model of its box.

use std::path::Path;

use super::notes;
use super::question::{Asked, Question, Times, free_paths, path_of};
use crate::files::input::inside;
use crate::files::run_folder::{self, Opened};
use crate::files::source;
use crate::files::stop::{Listener, Stop, reason};
use crate::measured::folder::FILE;
use crate::reader::{Issue, Report, Source};
use crate::study::box_fit::{
    BoundRun, Folder, FreePath, RunData, beyond_the_box, bind_folder, differences,
};

/// Scenario of a folder whose description names none.
const BOX: &str = "box.toml";

/// Most values named in which boxes differ.
const MOST_NAMED: usize = 4;

/// A folder with its box.
struct Laid {
    name: String,
    opened: Opened,
    text: String,
    source: Source,
}

/// The question of folders, each with its box.
pub fn of_folders(fit: &Asked<'_>, talk: &dyn Listener, times: &Times) -> Result<Question, Stop> {
    let names = names(fit);
    let all = fit.runs.iter().chain(fit.hold_out_run).zip(&names);
    let laid: Vec<Laid> =
        all.map(|(path, name)| lay(fit, path, name)).collect::<Result<_, Stop>>()?;
    laid.iter().for_each(|l| talk.warnings(&l.opened.report.warnings));
    let paths: Vec<String> = fit.free.iter().chain(fit.free_per_run).map(|t| path_of(t)).collect();
    let typed: Vec<String> = fit.sets.iter().map(|t| path_of(t)).collect();
    let (mut issues, mut bound) = (Vec::new(), Vec::new());
    for l in &laid {
        let folder = Folder {
            name: &l.name,
            source: &l.source,
            spec: &l.opened.spec,
            evidence: &l.opened.gathered.evidence,
            typed: &typed,
            free: &paths,
            correlation_s: times.correlation_s,
            keep_humidity: fit.keep_humidity,
            means_s: times.means_s,
        };
        match bind_folder(&folder) {
            Ok(run) => bound.push(run),
            Err(more) => issues.extend(more),
        }
    }
    if !issues.is_empty() {
        return Err(Stop::input(issues));
    }
    let reports: Vec<&Report> = bound.iter().map(|b| &b.report).collect();
    let mut free = free_paths(fit, &reports, &mut issues);
    let refused = |f: &mut FreePath| laid.iter().find_map(|l| beyond_the_box(&l.source, f));
    issues.extend(free.iter_mut().filter_map(refused));
    let notes = folder_notes(&laid, &bound, &paths);
    bound.iter().for_each(|b| talk.warnings(&b.report.warnings));
    if !issues.is_empty() {
        return Err(Stop::input(issues));
    }
    let title = match &laid[..fit.runs.len()] {
        [one] => one.opened.gathered.evidence.title.clone(),
        several => format!("{} runs: {}", several.len(), names[..several.len()].join(", ")),
    };
    let mut runs: Vec<RunData> = bound.into_iter().map(|b| b.run).collect();
    let others = runs.split_off(fit.runs.len());
    let source = laid[0].source.clone();
    let texts = laid.into_iter().map(|l| l.text).collect();
    Ok(Question { others, notes, ..Question::new(texts, source, title, free, runs) })
}

/// Last parts of the folders' paths, or the whole where that would be the same twice.
fn names(fit: &Asked<'_>) -> Vec<String> {
    let all = || fit.runs.iter().chain(fit.hold_out_run);
    let short = |p: &Path| p.file_name().map(|n| n.to_string_lossy().into_owned());
    all()
        .map(|p| {
            let alone = all().filter(|q| short(q) == short(p)).count() == 1;
            short(p).filter(|_| alone).unwrap_or_else(|| p.display().to_string())
        })
        .collect()
}

/// Opens a folder and the scenario of its box.
fn lay(fit: &Asked<'_>, path: &Path, name: &str) -> Result<Laid, Stop> {
    let opened = run_folder::open(path, &[])?;
    let own = path.join(opened.spec.scenario.as_deref().unwrap_or(BOX));
    let scenario = fit.scenario.unwrap_or(&own);
    if !scenario.exists() {
        let what = format!("has no model of its box: there is no {}", scenario.display());
        let hint = format!(
            "name one: --box box.toml, or make it: drybench new two_holes -o {}",
            own.display()
        );
        let at = path.display().to_string();
        return Err(Stop::input(vec![Issue::of_file("no-box", &at, what, &hint)]));
    }
    if let (None, Some(named)) = (&fit.scenario, &opened.spec.scenario)
        && let Err(e) = inside(path, named)
    {
        let at = path.join(FILE).display().to_string();
        let what = format!("enclosure.scenario = {named:?}: {}", reason(&e));
        let hint = "put a copy into the folder, or name it: --box box.toml";
        return Err(Stop::input(vec![Issue::of_file("outside", &at, what, hint)]));
    }
    let (text, source) = source::tree(scenario, fit.sets)?;
    Ok(Laid { name: name.to_owned(), opened, text, source })
}

/// What was made of each folder, with its name where there are several.
fn folder_notes(laid: &[Laid], bound: &[BoundRun], free: &[String]) -> Vec<String> {
    let several = laid.len() > 1;
    let mut notes = Vec::new();
    for (l, b) in laid.iter().zip(bound) {
        let mark = if several { format!("{}: ", l.name) } else { String::new() };
        notes.extend(b.notes.iter().map(|n| format!("{mark}{n}")));
        let taken = &l.opened.gathered.notes;
        notes.extend(taken.iter().map(|t| format!("{mark}taken as given: {t}")));
        let lost = l.opened.gathered.logs.iter().filter_map(notes::not_compared);
        notes.extend(lost.map(|n| format!("{mark}{n}")));
    }
    for (l, b) in laid.iter().zip(bound).skip(1) {
        let found = differences(&bound[0].report, &b.report, free);
        if !found.is_empty() {
            let more = found.len().saturating_sub(MOST_NAMED);
            let tail = if more > 0 { format!(" and {more} more") } else { String::new() };
            notes.push(format!(
                "the boxes of {} and {} differ, each keeps its own: {}{tail} (--box FILE gives all the same)",
                laid[0].name,
                l.name,
                found.iter().take(MOST_NAMED).cloned().collect::<Vec<_>>().join(", ")
            ));
        }
    }
    notes
}
