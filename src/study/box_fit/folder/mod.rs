//! A measured run folder as data of a fit: its readings, and what makes the scenario of the box that
//! of this run. What cannot be used is told in a note, never dropped in silence.

mod amounts;
mod contents;
mod lids;
mod readings;
mod replay;

use super::data::{Input, Observed, RunData, Start};
use super::vapour::humidity_to_pressure;
use crate::assess::Evidence;
use crate::measured::folder::RunSpec;
use crate::reader::{self, Difference, Issue, Origin, Report, Source, split_path};
use crate::run::{Column, columns};
use crate::scenario::Scenario;

/// What to type for a log in Fahrenheit.
const FAHRENHEIT: &str = "write temperature_unit = \"F\" in its [log.<name>] of run.toml (a unit that the text itself names \
     goes before it: correct that in the text)";

/// A run folder and how it shall be compared with a box.
#[derive(Clone, Copy, Debug)]
pub struct Folder<'a> {
    /// What messages call it.
    pub name: &'a str,
    /// The box, with what was typed already applied.
    pub source: &'a Source,
    /// Its description.
    pub spec: &'a RunSpec,
    /// What was gathered from its texts.
    pub evidence: &'a Evidence,
    /// Paths of the box that were typed: nothing of the run replaces them.
    pub typed: &'a [String],
    /// Paths that are free.
    pub free: &'a [String],
    /// Time over which the noise of a log forgets itself \[s\]; without it the residuals tell.
    pub correlation_s: Option<f64>,
    /// Whether relative humidity is compared as it is, not as vapour pressure.
    pub keep_humidity: bool,
    /// Span over which readings of sensors and the model are averaged before they are compared
    /// \[s\]; none for reading by reading.
    pub means_s: Option<f64>,
}

/// A run folder bound to its box.
#[derive(Clone, Debug)]
pub struct BoundRun {
    /// The run.
    pub run: RunData,
    /// Every value of its scenario.
    pub report: Report,
    /// What was replayed, left out and taken as given.
    pub notes: Vec<String>,
}

/// Makes a run folder the data of a fit.
///
/// Sensors are compared by their places, with their lag where it is known. The stated uncertainty of
/// a sensor is that of an offset and a drift common to all its readings, and the most that each may
/// scatter, because a data sheet does not say which it is. What the run states with an uncertainty (room,
/// masses, lags, lid openings) is carried as an error of its input. Readings while the
/// lid was open (and three time constants after it) and readings in doubt are left out and counted.
///
/// # Errors
/// Everything in the box or the run that stands against it.
pub fn bind_folder(folder: &Folder<'_>) -> Result<BoundRun, Vec<Issue>> {
    let (scenario, _) = Scenario::read(folder.source)?;
    let mut binder = Binder {
        q: *folder,
        scenario,
        columns: Vec::new(),
        sets: Vec::new(),
        observed: Vec::new(),
        inputs: Vec::new(),
        start: None,
        notes: Vec::new(),
        issues: Vec::new(),
    };
    binder.replay();
    let mut source = folder.source.clone();
    for (path, text) in &binder.sets {
        source.set_value(path, text, Origin::Set).map_err(|i| vec![i])?;
    }
    let (scenario, report) = Scenario::read(&source)?;
    binder.columns = columns(&scenario);
    binder.scenario = scenario;
    binder.sensors();
    binder.weighings();
    binder.energy();
    binder.spots();
    binder.finish(report)
}

/// What has been made of a folder so far.
struct Binder<'a> {
    q: Folder<'a>,
    /// The box: first as given, then as that of this run.
    scenario: Scenario,
    columns: Vec<Column>,
    sets: Vec<(String, String)>,
    observed: Vec<Observed>,
    /// Inputs of the run with an uncertainty.
    inputs: Vec<Input>,
    /// Its start, if not certain.
    start: Option<Start>,
    notes: Vec<String>,
    issues: Vec<Issue>,
}

impl Binder<'_> {
    fn note(&mut self, text: impl Into<String>) {
        self.notes.push(text.into());
    }

    fn fail(&mut self, code: &'static str, what: String, hint: &str) {
        self.issues.push(Issue::of_file(code, self.q.name, what, hint));
    }

    /// Makes a value of the box that of the run, unless it was typed, or something inside it is
    /// free. Returns whether it did.
    fn adopt(&mut self, path: &str, text: String) -> bool {
        let typed = self.q.typed.iter().any(|t| inside(t, path) || inside(path, t));
        let free = self.q.free.iter().any(|f| f != path && inside(f, path));
        if typed || free {
            let why = if typed { "it was typed" } else { "something in it is free" };
            self.note(format!("{path} stays as it is: {why}"));
            return false;
        }
        self.sets.push((path.to_owned(), text));
        true
    }

    /// An input of the run that is larger by its standard uncertainty with this assignment.
    fn uncertain(&mut self, name: String, path: &str, text: String) {
        self.inputs.push(Input { name, sets: vec![(path.to_owned(), text)] });
    }

    fn is_free(&self, path: &str) -> bool {
        self.q.free.iter().any(|f| f == path)
    }

    fn finish(mut self, report: Report) -> Result<BoundRun, Vec<Issue>> {
        if self.observed.is_empty() && self.issues.is_empty() {
            let what = "holds nothing that the box can be compared with".to_owned();
            let hint = format!("look what is in it: drybench check {}", self.q.name);
            self.fail("no-data", what, &hint);
        }
        if !self.issues.is_empty() {
            return Err(self.issues);
        }
        let lids = self.q.evidence.lids.iter().any(|l| l.noted);
        let noted = lids || self.observed.iter().any(|o| o.clock_s > 0.0);
        let (clock_s, start_s) = (if noted { self.clock_s() } else { 0.0 }, self.start_s());
        let what = match (start_s > 0.0, clock_s > 0.0) {
            (true, true) => "clocks read to the minute are",
            (true, false) => "the start, noted to the minute, is",
            (false, _) => "times of notes, to the minute, are",
        };
        if clock_s.max(start_s) > 0.0 {
            self.note(format!(
                "{what} taken as right within 30 s, ± {:.0} s (write start = \"13:05:10\" if you know better)",
                clock_s.max(start_s)
            ));
        }
        let run = RunData {
            start: self.start,
            name: self.q.name.to_owned(),
            scenario: Some(self.q.source.clone()),
            fahrenheit_hint: "write temperature_unit = \"F\" in its [log.<name>] of run.toml"
                .into(),
            sets: self.sets,
            observed: self.observed,
            inputs: self.inputs,
        };
        Ok(BoundRun { run, report, notes: self.notes })
    }
}

/// What the temperature of a sensor is called.
fn temperature_of(probe: &str) -> String {
    format!("{probe} temperature")
}

/// Whether `path` is `parent` or lies in it.
fn inside(path: &str, parent: &str) -> bool {
    let (Some(path), Some(parent)) = (split_path(path), split_path(parent)) else { return false };
    path.starts_with(&parent)
}

/// Values in which two boxes differ, beyond what differs from run to run: load, room, events,
/// duration, and what is free.
#[must_use]
pub fn differences(a: &Report, b: &Report, free: &[String]) -> Vec<String> {
    const OF_A_RUN: [&str; 8] =
        ["title", "room", "start", "load", "event", "run", "control", "sensor"];
    let of_box = |d: &Difference| {
        let of_run = OF_A_RUN.iter().any(|part| inside(&d.path, part));
        !of_run && !free.contains(&d.path)
    };
    let found = reader::differences(&[a, b]).into_iter().filter(of_box);
    found
        .map(|d| match &d.values[..] {
            [Some(one), Some(other)] => format!("{} ({one} and {other})", d.path),
            _ => format!("{} (there only in one)", d.path),
        })
        .collect()
}
