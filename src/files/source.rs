//! Scenario files from disk or standard input, with the assignments of the command line.

use std::path::Path;

use super::input::read_start;
use super::stop::{Stop, reason};
use crate::reader::{Issue, MAX_BYTES, Report, Source};
use crate::scenario::Scenario;

/// Reads a scenario with `--set` assignments applied, collecting every mistake.
///
/// # Errors
/// Every mistake.
pub fn scenario(path: &Path, sets: &[String]) -> Result<(Scenario, Report), Stop> {
    read(path, sets).map(|(_, scenario, report)| (scenario, report))
}

/// The same with the tree that it was read from.
///
/// # Errors
/// Every mistake.
pub fn read(path: &Path, sets: &[String]) -> Result<(Source, Scenario, Report), Stop> {
    let bytes = bytes(path)?;
    let mut source = Source::from_bytes(&name(path), &bytes).map_err(Stop::input)?;
    let mut issues: Vec<Issue> = Vec::new();
    for assignment in sets {
        if let Err(issue) = source.set(assignment) {
            issues.push(issue);
        }
    }
    match Scenario::read(&source) {
        Ok((scenario, report)) if issues.is_empty() => Ok((source, scenario, report)),
        Ok(_) => Err(Stop::input(issues)),
        Err(more) => {
            issues.extend(more);
            Err(Stop::input(issues))
        }
    }
}

/// What messages call a scenario.
pub fn name(path: &Path) -> String {
    if path == Path::new("-") { "standard input".into() } else { path.display().to_string() }
}

/// The text of a file and its parsed tree with `--set` assignments applied.
///
/// # Errors
/// Every mistake in the text and the assignments.
pub fn tree(path: &Path, sets: &[String]) -> Result<(String, Source), Stop> {
    let bytes = bytes(path)?;
    let mut source = Source::from_bytes(&name(path), &bytes).map_err(Stop::input)?;
    let issues: Vec<Issue> = sets.iter().filter_map(|s| source.set(s).err()).collect();
    if !issues.is_empty() {
        return Err(Stop::input(issues));
    }
    Ok((String::from_utf8_lossy(&bytes).into_owned(), source))
}

/// All bytes of a file, or of standard input for `-`; a file far too large is not read whole.
fn bytes(path: &Path) -> Result<Vec<u8>, Stop> {
    read_start(path, MAX_BYTES as u64 + 1).map_err(|e| unreadable(path, &e))
}

fn unreadable(path: &Path, e: &std::io::Error) -> Stop {
    let (what, hint) = match e.kind() {
        std::io::ErrorKind::NotFound => (
            "there is no such file".to_owned(),
            "check the name; a starter scenario can be had with: drybench new two_holes -o box.toml",
        ),
        std::io::ErrorKind::IsADirectory => {
            ("is a folder".to_owned(), "give the name of a scenario file.")
        }
        _ => (format!("cannot be read: {}", reason(e)), "a scenario is a text file."),
    };
    Stop::input(vec![Issue::of_file("unreadable", &path.display().to_string(), what, hint)])
}
