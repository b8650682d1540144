//! `drybench fit` as a person types it: what it prints and writes, and how it refuses.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use drybench::reader::Source;
use drybench::run::{Method, simulate};
use drybench::scenario::Scenario;

/// Invented.
const BOX: &str = "\
title = \"Cigar box with a lamp\"
[room]
temperature = \"20 °C\"
relative_humidity = \"50 %RH\"
[enclosure]
volume = \"12 L\"
inner_area = \"0.34 m2\"
wall_loss = \"1.3 W/K\"  # a guess
wall_heat_capacity = \"900 J/K\"
zones = [\"air\"]
[heater]
kind = \"resistive\"
power = \"40 W\"
[fan]
circulation = \"5 L/s\"
[control]
kind = \"always_on\"
[sensor.logger]
zone = \"air\"
time_constant = \"45 s\"
[run]
duration = \"30 min\"
";

/// A folder with the scenario and a log of it: a wall loss of 1.1 W/K, and a ripple of 0.1 K for
/// noise, so that no dice are needed.
fn bench(convert: fn(f64) -> f64) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let source = Source::from_bytes("box.toml", BOX.replace("1.3 W/K", "1.1 W/K").as_bytes());
    let (scenario, _) = Scenario::read(&source.expect("a tree")).expect("a scenario");
    let run = simulate(&scenario, Method::Rodas5p).expect("a run");
    let temps = &run.column("sensor_logger_temperature_C").expect("a sensor").values;
    let mut text = "time_s,line,hot_temperature_C\n".to_owned();
    for (i, (t, c)) in run.time_s.iter().zip(temps).enumerate() {
        let ripple = 0.1 * (2.4 * i as f64).sin();
        text += &format!("{t},{},{:.2}\n", i + 2, convert(c + ripple));
    }
    fs::write(folder.path().join("box.toml"), BOX).expect("a file");
    fs::write(folder.path().join("log.csv"), text).expect("a file");
    folder
}

/// Exit code, standard output and standard error.
fn drybench(folder: &Path, more: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("drybench").expect("the program");
    let map = "hot_temperature_C=sensor_logger_temperature_C ± 0.1 K";
    command.current_dir(folder).args(["fit", "box.toml", "--data", "log.csv", "--map", map]);
    let output = command.args(more).output().expect("an answer");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code().unwrap_or(-1), text(&output.stdout), text(&output.stderr))
}

const LOSS: &str = "enclosure.wall_loss=0.5..3 W/K";

#[test]
fn it_prints_a_report_and_writes_a_scenario_that_runs() {
    let folder = bench(|c| c);
    let free = ["--free", LOSS, "--free", "enclosure.wall_heat_capacity=300..3000 J/K"];
    let plan = ["--hold-out-after", "20 min", "--plan", "enclosure.wall_loss", "-o", "out"];
    let (code, page, talk) = drybench(folder.path(), &[free.as_slice(), &plan].concat());
    assert_eq!(code, 0, "{talk}");
    for words in [
        "optimum found",
        "95 % interval",
        "enclosure.wall_loss is known to",
        "Held-out readings",
        "What would tell more about enclosure.wall_loss",
    ] {
        assert!(page.contains(words), "{words} is not in:\n{page}");
    }
    let read = |name: &str| fs::read_to_string(folder.path().join("out").join(name)).expect(name);
    assert_eq!(read("report.txt"), page);
    let saved: serde_json::Value = serde_json::from_str(&read("fit.json")).expect("JSON");
    let loss = saved["parameters"][0]["value"].as_f64().expect("a number");
    assert!((loss - 1.1).abs() < 0.01, "{loss}");
    assert_eq!(saved["schema_version"], 1);
    assert!(read("fitted.toml").contains("# fitted: 1.09"), "{}", read("fitted.toml"));
    let mut check = Command::cargo_bin("drybench").expect("the program");
    check.current_dir(folder.path()).args(["check", "out/fitted.toml"]).assert().success();
    // A second time nothing is overwritten.
    let (code, _, talk) = drybench(folder.path(), &["--free", LOSS, "-o", "out"]);
    assert_eq!(code, 5);
    assert!(talk.contains("--force"), "{talk}");
}

#[test]
fn it_refuses_in_words() {
    let folder = bench(|c| c);
    let cases: [(&[&str], &str); 4] = [
        (&[], "no parameter is free"),
        (&["--free", "enclosure.wall_los=1..2 W/K"], "did you mean enclosure.wall_loss?"),
        (&["--free", LOSS, "--map", "cold_C=return_C ± 1 K"], "no column `cold_C`"),
        (&["--free", LOSS, "--plan", "heater.power"], "--plan heater.power is not free"),
    ];
    for (more, words) in cases {
        let (code, _, talk) = drybench(folder.path(), more);
        assert_eq!(code, 3, "{talk}");
        assert!(talk.contains(words), "{words} is not in:\n{talk}");
    }
    let hot = bench(|c| 1.8 * c + 32.0);
    let (code, _, talk) = drybench(hot.path(), &["--free", LOSS]);
    assert!(code == 3 && talk.contains("degrees Fahrenheit") && talk.contains("_F"), "{talk}");
}
