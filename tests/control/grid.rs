//! Every bundled scenario under conditions that it was not written for: no failure, closed
//! accounts, bounded air, and trends that physics demands.

use std::path::{Path, PathBuf};

use drybench::reader::Source;
use drybench::run::{Method, Run, simulate};
use drybench::scenario::Scenario;
use rayon::prelude::*;

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let entries = std::fs::read_dir(folder).expect("the folder of scenarios");
    let paths = entries.map(|e| e.expect("a directory entry").path());
    let mut files: Vec<_> = paths.filter(|p| p.extension().is_some_and(|e| e == "toml")).collect();
    files.sort();
    files
}

/// Messages with which a scenario may be refused: the change asks for something impossible.
const REFUSALS: [&str; 6] = [
    "set-point-below-room",
    "cut-out-below-set-point",
    "height-outside",
    "hole-too-large",
    "load-too-large",
    "ptc-rating",
];

/// Simulates a file with assignments; `None` if they do not apply or ask for the impossible.
fn varied(path: &Path, sets: &[String]) -> Option<Run> {
    let bytes = std::fs::read(path).expect("a readable scenario");
    let mut source = Source::from_bytes("grid", &bytes).expect("valid TOML");
    let at = || format!("{} {sets:?}", path.file_name().unwrap_or_default().to_string_lossy());
    for set in sets {
        let name = set.split_once('=').map_or("", |(name, _)| name);
        source.get_text(name)?;
        source.set(set).unwrap_or_else(|e| panic!("{}: {e:?}", at()));
    }
    match Scenario::read(&source) {
        Ok((mut scenario, _)) => {
            // Ten times finer than usual: a film that dries errs by the tolerance of a few steps.
            scenario.run.tolerance = 1e-7;
            Some(simulate(&scenario, Method::Rodas5p).unwrap_or_else(|e| panic!("{}: {e}", at())))
        }
        Err(issues) => {
            let known = issues.iter().all(|i| REFUSALS.contains(&i.code));
            assert!(known, "{}: {issues:#?}", at());
            None
        }
    }
}

/// What must hold whatever the box.
fn sane(run: &Run, at: &str) {
    for (name, ledger) in [("water", &run.water), ("energy", &run.energy)] {
        let size: f64 = ledger.sources.iter().map(|r| r.amount.abs()).sum();
        let error = ledger.closure_error.abs();
        assert!(error <= 1e-11 * (1.0 + size), "{at}: {name} is off by {error:e} of {size}");
    }
    for c in &run.columns {
        assert!(c.values.iter().all(|v| v.is_finite()), "{at}: {} is not finite", c.name);
        let most = c.values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let least = c.values.iter().copied().fold(f64::INFINITY, f64::min);
        let air = ["supply", "return"].iter().any(|z| c.name.starts_with(z));
        if air && c.name.ends_with("_relative_humidity_pct") {
            assert!(least >= -1e-6 && most <= 100.5, "{at}: {} {least}..{most}", c.name);
        }
        if air && c.name.ends_with("_temperature_C") {
            assert!(least > 4.0 && most < 150.0, "{at}: {} {least}..{most}", c.name);
        }
        // The solver may err by 1e-6 of a gram in each step.
        let net = c.name == "water_in_box_g"
            || c.name.starts_with("water_path_")
            || c.name.ends_with("_mass_change_g");
        if c.name.ends_with("_g") && !net && !c.name.contains("remaining") {
            assert!(least > -1e-5, "{at}: {} {least}", c.name);
        }
    }
}

/// Assignments that give the box `volume` times its volume: edges, heights, and the free volume.
fn resized(text: &str, volume: f64) -> Vec<String> {
    let (mut table, mut sets) = ("", Vec::new());
    for line in text.lines() {
        if let Some(name) = line.strip_prefix('[') {
            table = name.split(']').next().unwrap_or("");
        }
        let key = line.split('=').next().unwrap_or("").trim();
        let factor = match key {
            "inner_size" | "height" => f64::cbrt(volume),
            "free_volume" => volume,
            _ => continue,
        };
        let values: Vec<&str> = line.split('"').skip(1).step_by(2).collect();
        for (i, value) in values.iter().enumerate() {
            let (number, unit) = value.split_once(' ').expect("a number with its unit");
            let number = factor * number.parse::<f64>().expect("a number");
            let place = if values.len() > 1 { format!(".{i}") } else { String::new() };
            sets.push(format!("{table}.{key}{place}={number:.6} {unit}"));
        }
    }
    assert!(sets.len() >= 3, "no sizes were found");
    sets
}

/// One condition each.
fn conditions(path: &Path) -> Vec<Vec<String>> {
    let mut list: Vec<Vec<String>> = Vec::new();
    let axes: [(&str, &[&str]); 8] = [
        ("room.temperature", &["5 °C", "35 °C"]),
        ("room.relative_humidity", &["10 %RH", "90 %RH"]),
        ("control.set_point", &["40 °C", "70 °C", "85 °C"]),
        ("room.pressure", &["75 kPa"]),
        ("load.pad.water", &["0.5 g", "30 g"]),
        ("fan.circulation", &["0 L/s", "0.5 L/s", "20 L/s"]),
        ("vent.low.diameter", &["0.5 mm", "10 mm"]),
        ("vent.only.diameter", &["0.5 mm", "10 mm"]),
    ];
    for (key, values) in axes {
        list.extend(values.iter().map(|v| vec![format!("{key}={v}")]));
    }
    let text = std::fs::read_to_string(path).expect("a readable scenario");
    list.extend([0.3, 3.0].map(|volume| resized(&text, volume)));
    list
}

#[test]
fn every_scenario_stands_other_conditions() {
    let cases: Vec<_> = files()
        .into_iter()
        .flat_map(|p| conditions(&p).into_iter().map(move |c| (p.clone(), c)))
        .collect();
    let ran = cases.par_iter().filter(|(path, sets)| {
        let Some(run) = varied(path, sets) else { return false };
        sane(&run, &format!("{} {sets:?}", path.display()));
        true
    });
    let ran = ran.count();
    println!("{ran} of {} variations ran", cases.len());
    assert!(ran * 3 > cases.len() * 2, "only {ran} of {} variations ran", cases.len());
}

fn end(run: &Run, column: &str) -> f64 {
    *run.column(column).and_then(|c| c.values.last()).expect("a column with samples")
}

fn two_holes(sets: &[&str]) -> Run {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/two_holes_two_zones.toml");
    let sets: Vec<String> = sets.iter().map(|s| (*s).to_owned()).collect();
    varied(&path, &sets).expect("a run")
}

#[test]
fn more_vent_leaves_the_box_drier() {
    let dry = |d: &str| {
        let sets = [format!("vent.low.diameter={d}"), format!("vent.high.diameter={d}")];
        let run = two_holes(&[&sets[0], &sets[1], "run.duration=90 min"]);
        end(&run, "return_vapour_density_g_m3")
    };
    let ends: Vec<f64> = ["2 mm", "4 mm", "6 mm", "9 mm"].map(dry).to_vec();
    println!("vapour after 90 min by hole: {ends:.2?} g/m3");
    assert!(ends.windows(2).all(|w| w[1] < w[0]), "{ends:?}");
}

#[test]
fn a_warmer_room_of_equal_humidity_has_a_higher_floor() {
    let floor = |t: &str| {
        let set = format!("room.temperature={t}");
        let run = two_holes(&[&set, "load.pad.water=0.5 g", "run.duration=8 h"]);
        // The mean of the last half hour, as the thermostat swings.
        let humidity = &run.column("return_relative_humidity_pct").expect("a column").values;
        let last = &humidity[humidity.len() - 180..];
        last.iter().sum::<f64>() / last.len() as f64
    };
    let ends: Vec<f64> = ["5 °C", "15 °C", "25 °C", "35 °C"].map(floor).to_vec();
    println!("end humidity by room: {ends:.2?} %RH");
    // Saturation pressure rises by a factor of 1.9 in 10 K.
    assert!(ends.windows(2).all(|w| w[1] > 1.7 * w[0]), "{ends:?}");
}

#[test]
fn a_hotter_box_dries_faster_and_costs_more_power() {
    let sums = ["45 °C", "55 °C", "65 °C"].map(|t| {
        let set = format!("control.set_point={t}");
        let run = two_holes(&[&set]);
        (run.metric("t90_min").expect("dry"), run.metric("energy_Wh").expect("energy"))
    });
    println!("t90 and energy by set point: {sums:.1?}");
    assert!(sums.windows(2).all(|w| w[1].0 < w[0].0 && w[1].1 > w[0].1), "{sums:?}");
}
