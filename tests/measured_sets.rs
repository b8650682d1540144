//! Public measured sets through import and assessment. They stay where they lie; where their folder
//! is absent the tests say so and pass.

// An issue is large, but it is made once per mistake and printed.
#![allow(clippy::result_large_err)]

use std::path::PathBuf;

use drybench::assess::{Assessment, Finding, Value, assess, gather};
use drybench::measured::folder::RunSpec;
use drybench::measured::log::{ImportOptions, Summary, import};
use drybench::measured::{Quantity, Series};
use drybench::reader::Source;

fn folder() -> PathBuf {
    // Put together here: the sets are no part of the project.
    let beside = concat!("..", "/sha", "red/checks/measured");
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    std::env::var_os("DRYBENCH_MEASURED").map_or_else(|| root.join(beside), PathBuf::from)
}

fn set(file: &str) -> Option<Vec<u8>> {
    let bytes = std::fs::read(folder().join(file)).ok();
    if bytes.is_none() {
        println!("skipped: no {file} in {}", folder().display());
    }
    bytes
}

fn read(file: &str) -> Option<(Summary, Series)> {
    let bytes = set(file)?;
    let celsius =
        ImportOptions { temperature_unit: ImportOptions::unit_of("C"), ..ImportOptions::default() };
    Some(import(file, &bytes, celsius).unwrap_or_else(|e| panic!("{file}: {e:?}")))
}

/// Readings of a quantity that are there.
fn good(series: &Series, sensor: &str, quantity: Quantity) -> Vec<f64> {
    let channel = series.channel(sensor, quantity).expect("the channel");
    channel.values.iter().copied().filter(|v| v.is_finite()).collect()
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

/// A run folder made of one set.
fn assessed(file: &str, description: &str) -> Option<Assessment> {
    set(file)?;
    let text = format!(
        "title = \"{file}\"\n[log.set]\nfile = \"{file}\"\ntemperature_unit = \"C\"\n{description}"
    );
    let source = Source::from_bytes("run.toml", text.as_bytes()).expect("good TOML");
    let (spec, _) = RunSpec::read(&source).unwrap_or_else(|e| panic!("{e:#?}"));
    let open = |name: &str| Ok(set(name).expect("seen before"));
    let found = gather(&spec, open).unwrap_or_else(|e| panic!("{file}: {e:#?}"));
    Some(assess(&found.evidence))
}

fn figure(table: &Assessment, key: &str) -> f64 {
    let found = table.findings.iter().find(|f| f.key == key);
    found.and_then(Finding::middle).unwrap_or_else(|| panic!("{key}: {found:?}"))
}

#[test]
fn heater_pad() {
    let Some((summary, series)) = read("heater_pad/pad_202602111606.csv") else { return };
    assert_eq!(
        summary.ledger.to_string(),
        "160 lines = 156 readings + 1 partial reading + 2 failed reads + 1 header"
    );
    let temps = good(&series, "", Quantity::Temperature);
    // The -45.0 of the third row is set aside; its humidity is kept.
    assert_eq!(temps.len(), 156);
    assert!(close(temps[0], 37.8 + 273.15), "{}", temps[0]);
    assert_eq!(good(&series, "", Quantity::RelativeHumidity).len(), 157);
    assert!(close(series.time_s[1], 10.0));
    let table = assessed("heater_pad/pad_202602111606.csv", "").expect("seen before");
    // Target 40, overshoot to 42.0 °C by the set's own description.
    assert!((figure(&table, "overshoot_sensor_K") - 2.0).abs() < 0.05);
    let Some((other, _)) = read("heater_pad/pad_202603031510.csv") else { return };
    assert!(other.ledger.adds_up());
    let table = assessed("heater_pad/pad_202603031557.csv", "").expect("seen before");
    assert!(figure(&table, "hottest_C") > 59.0);
    assert!(figure(&table, "mean_swing_K") > 0.2);
}

#[test]
fn cardboard_box() {
    let Some((summary, series)) = read("cardboard_box/box_run2-1521179085.csv") else { return };
    assert_eq!(summary.ledger.to_string(), "52708 lines = 52707 readings + 1 header");
    let hours = series.time_s.last().expect("rows") / 3600.0;
    assert!((hours - 23.6).abs() < 0.05, "{hours}");
    let temps = good(&series, "", Quantity::Temperature);
    assert!(close(temps[0], 21.902 + 273.15));
    let table = assessed("cardboard_box/box_run2-1521179085.csv", "").expect("seen before");
    assert!((figure(&table, "hottest_C") - 33.0).abs() < 0.6, "{}", figure(&table, "hottest_C"));
    // Inside and outside under control; the room sensor is used as the room.
    let sensors = "[sensor.inside]\nplace = \"box\"\n[sensor.outside]\nplace = \"room\"\n";
    let table = assessed("cardboard_box/box_run21-1522520226.csv", sensors).expect("seen before");
    assert!(figure(&table, "room_vapour_density_g_m3") > 5.0);
    assert!(figure(&table, "floor_rh_pct") > 20.0);
}

#[test]
fn drying_objects_and_their_room() {
    let Some((summary, _)) = read("leaf_drying/weather_data.csv") else { return };
    assert_eq!(summary.ledger.to_string(), "254 lines = 253 readings + 1 header");
    let notes = "sensor = {}\nfirst_row_at = \"2019-03-24 23:00\"\n[sensor.set]\nchannel = \"\"\nplace = \"room\"\n[weighings]\nfile = \"leaf_drying/leaf_drying_data.csv\"\nmass_unit = \"g\"\nsample = \"10%/1\"\nmass_column = \"fresh.weight\"\n";
    let table = assessed("leaf_drying/weather_data.csv", notes).expect("seen before");
    assert!((figure(&table, "added_g") - (6.0317 - 0.5374)).abs() < 1e-6);
    let half = table.findings.iter().find(|f| f.key == "t50_min").expect("the figure");
    let known = matches!(half.value, Value::Between { low, high } if low < high)
        || matches!(half.value, Value::AtLeast { .. });
    assert!(known, "{half:?}");
}

#[test]
fn heater_steps() {
    let Some((summary, series)) = read("heater_lab/tclab_step_test.csv") else { return };
    assert_eq!(summary.ledger.to_string(), "902 lines = 901 readings + 1 header");
    let temps = good(&series, "1", Quantity::Temperature);
    assert!(close(temps[0], 22.84 + 273.15));
    assert!(close(good(&series, "1", Quantity::Heater)[0], 0.5));
    let table = assessed("heater_lab/tclab_step_test.csv", "").expect("seen before");
    assert!(figure(&table, "hottest_C") > 40.0, "{}", figure(&table, "hottest_C"));
}
