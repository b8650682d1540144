//! A heater replayed from the log of a measured run: it gives what the box of that run took, whatever
//! the box is made into.

use super::Scenario;
use crate::model::control::Replay;
use crate::reader::{Issue, Section, Severity, Source, fingerprint, join_path, split_path};

/// Tables of which nothing changes how much heat the box takes; of `run` only the duration counts.
const APART: [&str; 4] = ["title", "control", "limits", "run"];

const HINT: &str = "let a controller heat it: fitted.toml beside the file of the replay has one";

/// Mark of everything that a replayed heater belongs to.
#[must_use]
pub fn mark(source: &Source) -> String {
    let mut paths: Vec<String> = source.names("").iter().map(|n| join_path("", n)).collect();
    paths.retain(|p| is_of_the_box(p));
    paths.sort();
    paths.push("run.duration".into());
    let line = |p: &String| format!("{p} = {}\n", source.toml(p).unwrap_or_default());
    fingerprint(paths.iter().map(line).collect::<String>().as_bytes())
}

fn is_of_the_box(path: &str) -> bool {
    let first = split_path(path).unwrap_or_default();
    path == "run.duration" || !first.first().is_some_and(|name| APART.contains(&name.as_str()))
}

/// Warns if the box is no longer that of the replay.
pub(super) fn check(control: &Section, source: &Source, scenario: &Scenario) {
    let Some(Replay { mark: Some(own), .. }) = scenario.control.replay() else { return };
    if *own != mark(source) {
        let what = "replays the logged heater of that run under a box, load or room that is no longer that of \
                    the run: the results are those of no box";
        control.warn("replay_of", "replay-of-another-box", what, Some(HINT.to_owned()));
    }
}

/// A warning if one of these paths changes a box whose heater is replayed.
#[must_use]
pub fn varied<'p>(
    name: &str,
    scenario: &Scenario,
    paths: impl Iterator<Item = &'p str>,
) -> Option<Issue> {
    let Replay { run, .. } = scenario.control.replay()?;
    let of_the_box: Vec<&str> = paths.filter(|p| is_of_the_box(p) && *p != "label").collect();
    (!of_the_box.is_empty()).then(|| {
        let what = format!(
            "replays the logged heater of {run} whatever {} is: the results are those of no box",
            of_the_box.join(", ")
        );
        Issue {
            severity: Severity::Warning,
            ..Issue::of_file("replay-of-another-box", name, what, HINT)
        }
    })
}
