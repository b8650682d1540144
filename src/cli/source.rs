//! Scenario files from disk or standard input, with the assignments of the command line.

use std::io::Read;
use std::path::Path;

use super::{Exit, Stop};
use crate::reader::{Issue, MAX_BYTES, Report, Source};
use crate::scenario::Scenario;

/// Reads a scenario with `--set` assignments applied, collecting every mistake.
pub(super) fn scenario(path: &Path, sets: &[String]) -> Result<(Scenario, Report), Stop> {
    let name =
        if path == Path::new("-") { "standard input".into() } else { path.display().to_string() };
    let bytes = bytes(path)?;
    let mut source = Source::from_bytes(&name, &bytes).map_err(Stop::input)?;
    let mut issues: Vec<Issue> = Vec::new();
    for assignment in sets {
        if let Err(issue) = source.set(assignment) {
            issues.push(issue);
        }
    }
    match Scenario::read(&source) {
        Ok(read) if issues.is_empty() => Ok(read),
        Ok(_) => Err(Stop::input(issues)),
        Err(more) => {
            issues.extend(more);
            Err(Stop::input(issues))
        }
    }
}

/// All bytes of a file, or of standard input for `-`; a file far too large is not read whole.
fn bytes(path: &Path) -> Result<Vec<u8>, Stop> {
    let most = MAX_BYTES as u64 + 1;
    let mut bytes = Vec::new();
    let read = if path == Path::new("-") {
        std::io::stdin().lock().take(most).read_to_end(&mut bytes)
    } else {
        std::fs::File::open(path).and_then(|f| f.take(most).read_to_end(&mut bytes))
    };
    match read {
        Ok(_) => Ok(bytes),
        Err(e) => {
            let hint = if e.kind() == std::io::ErrorKind::NotFound {
                "check the name; `drybench new two_holes -o box.toml` writes a starter scenario"
            } else {
                "a scenario is a text file"
            };
            let text = format!("cannot read {}: {e}\n     {hint}", path.display());
            Err(Stop::message(Exit::BadInput, text))
        }
    }
}
