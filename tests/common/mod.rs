//! From the text of a scenario to a model, and a model driven to a given time, for all test crates.

// Every test crate compiles this file for itself and uses a part of it.
#![allow(dead_code)]

use std::path::{Path, PathBuf};

use drybench::model::store::Holds;
use drybench::model::{Model, Plant};
use drybench::reader::{Source, render};
use drybench::run::{Method, Run, simulate};
use drybench::scenario::Scenario;
use drybench::solver::{Rodas5p, SolverOptions, integrate};

/// The scenario that a text describes.
pub fn scenario(text: &str) -> Scenario {
    scenario_of(text.as_bytes())
}

/// The same from the bytes of a file.
pub fn scenario_of(bytes: &[u8]) -> Scenario {
    let source =
        Source::from_bytes("test.toml", bytes).unwrap_or_else(|e| panic!("{}", render(&e)));
    Scenario::read(&source).unwrap_or_else(|e| panic!("{}", render(&e))).0
}

/// Simulates a text with the usual method.
pub fn run(text: &str) -> Run {
    simulate(&scenario(text), Method::Rodas5p).unwrap_or_else(|e| panic!("{e}"))
}

/// Values of a column that must exist.
pub fn column<'a>(run: &'a Run, name: &str) -> &'a [f64] {
    let names = || run.columns.iter().map(|c| c.name.as_str()).collect::<Vec<_>>().join(", ");
    &run.column(name).unwrap_or_else(|| panic!("no {name} among {}", names())).values
}

/// Value of a column at `time_s`, which must be one of the samples.
pub fn value_at(run: &Run, name: &str, time_s: f64) -> f64 {
    let at = run.time_s.iter().position(|t| (t - time_s).abs() < 1e-9);
    column(run, name)[at.unwrap_or_else(|| panic!("no sample at {time_s} s"))]
}

/// Last value of a column.
pub fn last(run: &Run, name: &str) -> f64 {
    *column(run, name).last().expect("a run has samples")
}

/// Paths of all bundled scenarios, sorted.
pub fn bundled() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let entries = std::fs::read_dir(folder).expect("the folder of bundled scenarios");
    let mut paths: Vec<PathBuf> = entries
        .map(|entry| entry.expect("a readable folder").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    paths.sort();
    paths
}

/// Text of a bundled scenario.
pub fn bundled_text(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(name);
    std::fs::read_to_string(path).expect("a bundled scenario")
}

/// `text` with `old` replaced by `new`; `old` must be there, or a test would test nothing.
pub fn replaced(text: &str, old: &str, new: &str) -> String {
    assert!(text.contains(old), "the text does not contain {old:?}");
    text.replace(old, new)
}

/// `text` without the table of this header, up to the next one.
pub fn without_table(text: &str, header: &str) -> String {
    let start = text.find(&format!("[{header}]")).unwrap_or_else(|| panic!("no table {header}"));
    let rest = &text[start + 1..];
    let end = rest.find("\n[").map_or(text.len(), |i| start + 1 + i + 1);
    format!("{}{}", &text[..start], &text[end..])
}

/// Sum of all entries of one kind, running totals included: what can neither grow nor shrink.
pub fn total(model: &Model, y: &[f64], what: Holds) -> f64 {
    let pairs = model.entries().iter().zip(y);
    pairs.filter(|(entry, _)| entry.holds == what).map(|(_, value)| value).sum()
}

/// Index of the entry of this name and kind.
pub fn entry(model: &Model, name: &str, what: Holds) -> usize {
    let named = |i: &usize| model.entry_name(*i) == name && model.entries()[*i].holds == what;
    let found = (0..model.entries().len()).find(named);
    found.unwrap_or_else(|| panic!("no entry {name} of {what:?}"))
}

/// Drives a plant from `y` at time 0 to `end_s` through lid openings and knots of the room's table;
/// `look(plant, t, y)` sees the state at each accepted step and each stop.
pub fn drive(
    plant: &mut Plant<'_>,
    y: &mut [f64],
    rtol: f64,
    end_s: f64,
    look: &mut dyn FnMut(&mut Plant<'_>, f64, &[f64]),
) {
    let model = plant.model();
    let edges = model.events().iter().map(|e| e.at_s).chain(model.room_knots());
    let mut stops: Vec<f64> = edges.filter(|t| *t > 0.0 && *t < end_s).collect();
    stops.push(end_s);
    stops.sort_by(f64::total_cmp);
    let mut stepper = Rodas5p::new(SolverOptions { rtol, ..SolverOptions::default() });
    let mut t = 0.0;
    let mut dense = vec![0.0; y.len()];
    look(plant, t, y);
    for stop in stops {
        for event in model.events().iter().filter(|e| e.at_s == t) {
            plant.act(event.action, t, y);
        }
        integrate(&mut stepper, plant, t, y, stop, &mut |plant, segment, until| {
            segment.eval(until, &mut dense);
            look(plant, until, &dense);
        })
        .unwrap_or_else(|failure| panic!("{failure}"));
        t = stop;
    }
}

/// Runs a model to `end_s` without looking and returns the state there.
pub fn state_at(model: &Model, rtol: f64, end_s: f64) -> Vec<f64> {
    let mut plant = Plant::new(model, rtol);
    let mut y = model.start();
    drive(&mut plant, &mut y, rtol, end_s, &mut |_, _, _| ());
    y
}

/// Fails unless `ours` is within `tolerance` of `theirs`, and prints both with their gap.
#[track_caller]
pub fn close(what: &str, ours: f64, theirs: f64, tolerance: f64) {
    let gap = ours - theirs;
    println!("{what}: {ours:.9} against {theirs:.9}, gap {gap:.2e} of {tolerance:.0e}");
    assert!(gap.abs() <= tolerance, "{what}: {ours} against {theirs}, gap {gap:e}");
}
