//! One table of metrics: every key of a simulated and of a measured run is in it, with one unit and one
//! definition; and readings tell what the run itself says, within their interval.

// An issue is large, but it is made once per mistake and printed.
#![allow(clippy::result_large_err)]

#[path = "common/mod.rs"]
mod common;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use drybench::assess::{Assessment, Finding, Value, assess, evidence_of_run, gather};
use drybench::measured::folder::RunSpec;
use drybench::metric::{self, FromReadings, Metric, Span, Trace, Tracker};
use drybench::reader::Source;
use drybench::run::outline;

use common::{bundled_text, column, last, replaced, run, scenario};

fn scenarios() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios")
}

/// The metrics of every bundled scenario, without a simulation.
fn outlined() -> Vec<Metric> {
    let files = fs::read_dir(scenarios()).expect("a folder").map(|f| f.expect("an entry").path());
    let boxes = files.filter(|f| f.extension().is_some_and(|e| e == "toml"));
    let texts = boxes.map(|f| fs::read_to_string(f).expect("a text"));
    let all: Vec<Metric> = texts.flat_map(|text| outline(&scenario(&text)).metrics).collect();
    assert!(all.len() > 500, "only {} metrics", all.len());
    all
}

/// A bundled run folder, with more of what a person may note.
fn felt_run(more: &str) -> Assessment {
    let folder = scenarios().join("felt_run");
    let text = fs::read_to_string(folder.join("run.toml")).expect("a description");
    let source = Source::from_bytes("run.toml", (text + more).as_bytes()).expect("good TOML");
    let (spec, _) = RunSpec::read(&source).unwrap_or_else(|e| panic!("{e:#?}"));
    let open = |name: &str| Ok(fs::read(folder.join(name)).expect("a text"));
    assess(&gather(&spec, open).unwrap_or_else(|e| panic!("{e:#?}")).evidence)
}

/// Checks one key against the table; the definition may have slots.
fn agrees(key: &str, unit: &str, definition: &str, seen: &mut BTreeMap<String, String>) {
    let row = metric::find(key).unwrap_or_else(|| panic!("{key} is not in the table"));
    assert_eq!(row.unit, unit, "{key}");
    for part in row.definition.split(['<', '>']).step_by(2) {
        assert!(definition.contains(part), "{key}: {definition}, in the table {}", row.definition);
    }
    if !row.definition.contains('<') {
        let known = seen.entry(row.key.clone()).or_insert_with(|| definition.to_owned());
        assert_eq!(known, definition, "{key}");
    }
}

#[test]
fn every_key_is_in_the_table_with_one_unit_and_one_definition() {
    let mut seen = BTreeMap::new();
    for m in outlined() {
        agrees(&m.key, &m.unit, &m.definition, &mut seen);
    }
    let own = run(&bundled_text("two_holes_two_zones.toml").replace("4 h", "1 h"));
    let side = "\n[side_by_side]\nfrom = \"13:10\"\nto = \"13:40\"\nreference = \"hot\"\n";
    for table in [felt_run(""), felt_run(side), assess(&evidence_of_run(&own))] {
        assert!(table.findings.len() > 30);
        for Finding { key, unit, definition, .. } in table.findings {
            agrees(&key, &unit, &definition, &mut seen);
        }
    }
    assert!(seen.len() > 50, "{}", seen.len());
}

#[test]
fn rows_of_the_table_are_whole() {
    let mut labels = BTreeMap::new();
    for row in metric::all() {
        assert!(!row.label.is_empty() && !row.definition.is_empty(), "{}", row.key);
        for text in [&row.label, &row.definition, &row.interval, &row.needs] {
            assert!(!text.ends_with(['.', ' ']) && !text.contains("  "), "{}: {text}", row.key);
        }
        let other = labels.insert((&row.label, &row.unit), &row.key);
        assert_eq!(other, None, "{} has the label of another", row.key);
    }
}

/// Keys in the source that are looked up in the table.
#[test]
fn every_key_of_the_source_is_in_the_table() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let folders = ["run/metrics", "assess"].map(|f| fs::read_dir(root.join(f)).expect("a folder"));
    let before = ["add(", "highest(", "time(", "last(", "new(", "of(", "tell(", "minutes("];
    let mut found = 0;
    for file in folders.into_iter().flatten().map(|f| f.expect("an entry").path()) {
        let Ok(text) = fs::read_to_string(&file) else { continue };
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        for (at, _) in code.match_indices('"') {
            let call = code[..at].trim_end();
            let key = code[at + 1..].split('"').next().unwrap_or_default();
            if before.iter().any(|name| call.ends_with(name)) {
                found += 1;
                let known = metric::all().any(|row| row.key == key);
                assert!(known, "{}: {key}", file.display());
            }
        }
    }
    assert!(found > 70, "only {found} keys were found");
}

/// Readings every second of what the run followed step by step.
#[test]
fn dense_readings_tell_what_the_run_says() {
    let text = bundled_text("two_holes_two_zones.toml").replace("4 h", "2 h");
    let own = run(&replaced(&text, "\"10 s\"", "\"1 s\""));
    assert!(own.time_s.len() > 7000, "{}", own.time_s.len());
    let of = |name: &str| Trace { time_s: &own.time_s, value: column(&own, name) };
    let reading = of("sensor_panel_temperature_C");
    let set = last(&own, "set_point_C");
    let steady = 5_400.0;
    let check = |key: &str, found: Option<FromReadings>, unit: f64, slack: f64| {
        let wanted = unit * own.metric(key).unwrap_or_else(|| panic!("{key}"));
        let Some(FromReadings::Value(found)) = found else { panic!("{key}: {found:?}") };
        let off = (found.value - wanted).abs();
        assert!(off <= found.expanded() + slack, "{key}: {found}, the run says {wanted}");
    };
    // Between two readings a highest value hides little.
    let sd = 0.05;
    check("warm_up_min", reading.estimate(&Tracker::warm(set), sd), 60.0, 0.0);
    let air = of("supply_temperature_C");
    check("peak_air_C", air.estimate(&Tracker::high(Span::All), sd), 1.0, 0.0);
    let left = of("pad_water_remaining_g");
    let added = left.value[0];
    check("t50_min", left.estimate(&Tracker::falling(0.5 * added), 0.002), 60.0, 0.0);
    let other = of("return_temperature_C");
    let off: Vec<f64> = air.value.iter().zip(other.value).map(|(a, b)| (a - b).abs()).collect();
    let apart = Trace { time_s: &own.time_s, value: &off }.since(steady);
    check("hot_minus_cold_K", apart.estimate(&Tracker::mean(), 0.0), 1.0, 5e-3);
    let window = reading.since(steady);
    let ends =
        [Tracker::high(Span::Steady), Tracker::low(Span::Steady)].map(|t| window.value_of(&t));
    let ripple = ends[0].expect("a top") - ends[1].expect("a bottom");
    assert!((ripple - own.metric("ripple_K").expect("a ripple")).abs() < 0.01, "{ripple}");
}

#[test]
fn a_measured_run_shares_keys_with_a_simulated_one() {
    let titles = outlined();
    let table = felt_run("");
    for key in ["warm_up_min", "overshoot_sensor_K", "settling_min", "t90_min", "energy_Wh"] {
        let finding = table.findings.iter().find(|f| f.key == key).expect("a finding");
        let title = titles.iter().find(|m| m.key == key).expect("a metric");
        assert_eq!(finding.unit, title.unit, "{key}");
        assert!(finding.label.starts_with(&title.label), "{key}: {}", finding.label);
    }
    let warm = table.findings.iter().find(|f| f.key == "warm_up_min").expect("a finding");
    let Value::Estimate(found) = warm.value else { panic!("{warm:?}") };
    assert!((found.value - 3.04).abs() < 0.01, "{found}");
}
