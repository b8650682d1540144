//! A run whose heater was logged gives a box with its controller, which may be changed, and a replay,
//! which may not.

use std::fmt::Write;
use std::fs;
use std::path::Path;

use crate::common::{run, scenario};
use assert_cmd::Command;
use drybench::reader::Source;
use drybench::run::sample;
use drybench::scenario::Scenario;

/// A vented box with a damp pad under a thermostat. Invented.
const BOX: &str = r#"
[room]
temperature = "20 °C"
relative_humidity = "50 %RH"
[enclosure]
volume = "12 L"
inner_area = "0.34 m2"
wall_loss = "1.3 W/K"  # a guess
wall_heat_capacity = "900 J/K"
zones = ["air"]
[heater]
kind = "resistive"
power = "60 W"
[fan]
circulation = "5 L/s"
pressure = "3 Pa"
# The knob stands at 45.
[control]
kind = "thermostat"
set_point = "45 °C"
hysteresis = "2 K"
sensor = "logger"
[sensor.logger]
zone = "air"
time_constant = "45 s"
[vent.in]
kind = "hole"
diameter = "5 mm"
depth = "3 mm"
height = "30 mm"
pressure_share = -0.5
[vent.out]
kind = "hole"
diameter = "5 mm"
depth = "3 mm"
height = "30 mm"
pressure_share = 0.5
[load.pad]
kind = "wet_pad"
water = "1.2 g"
dry_mass = "3 g"
size = ["70 mm", "50 mm", "4 mm"]
air_speed = "0.7 m/s"
[run]
duration = "60 min"
"#;

/// What the box really is.
fn truth() -> String {
    BOX.replace("1.3 W/K", "1.1 W/K")
}

/// The box and a log of it with its heater.
fn bench(at: &Path) {
    let made = run(&truth());
    let edges = made.events.iter().filter_map(|h| match h.to_string().as_str() {
        "heater on" => Some((h.time_s, 1)),
        "heater off" => Some((h.time_s, 0)),
        _ => None,
    });
    let mut steps: Vec<(f64, i32)> = std::iter::once((0.0, 1)).chain(edges).collect();
    steps.dedup_by_key(|s| s.1);
    let mut times: Vec<f64> = (0..=120).map(|i| 30.0 * f64::from(i)).collect();
    times.extend(steps.iter().map(|s| s.0));
    times.sort_by(f64::total_cmp);
    times.dedup();
    let scenario = scenario(&truth());
    let logged = crate::kit::addresses(&scenario, &["sensor_logger_temperature_C"]);
    let temps = sample(&scenario, &times, &logged).expect("a run").remove(0).values;
    let mut text = "time_s,line,hot_temperature_C,heater\n".to_owned();
    for (i, (t, c)) in times.iter().zip(temps).enumerate() {
        let on = steps.iter().rev().find(|s| s.0 <= *t).map_or(0, |s| s.1);
        let ripple = 0.1 * (2.4 * i as f64).sin();
        writeln!(text, "{t},{},{:.2},{on}", i + 2, c + ripple).expect("a line");
    }
    fs::write(at.join("box.toml"), BOX).expect("a file");
    fs::write(at.join("log.csv"), text).expect("a file");
}

/// What the program says beside its result.
fn said(at: &Path, words: &[&str]) -> String {
    let mut command = Command::cargo_bin("drybench").expect("the program");
    let output = command.current_dir(at).args(words).output().expect("an answer");
    let talk = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{words:?}: {talk}");
    talk
}

const CHANGES: [&str; 3] =
    ["vent.in.diameter=9 mm", "vent.out.diameter=9 mm", "room.temperature=10 °C"];

/// Minutes until nine tenths of the water are gone, in a cooler room and with larger holes.
fn changed_min(text: &str) -> f64 {
    let mut source = Source::from_bytes("box.toml", text.as_bytes()).expect("a tree");
    CHANGES.iter().for_each(|set| source.set(set).expect("an assignment"));
    let (scenario, _) = Scenario::read(&source).expect("a scenario");
    let made = drybench::run::simulate(&scenario, drybench::run::Method::Rodas5p).expect("a run");
    made.metric("t90_min").expect("dry in the end")
}

#[test]
fn a_fitted_box_may_be_changed_and_a_replay_says_that_it_may_not() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = folder.path();
    bench(at);
    let maps = ["hot_temperature_C=sensor_logger_temperature_C ± 0.1 K", "heater=control.heater"];
    let loss = "enclosure.wall_loss=0.5..3 W/K";
    let words = ["fit", "box.toml", "--data", "log.csv", "--map", maps[0], "--map", maps[1]];
    said(at, &[&words[..], &["--free", loss, "--starts", "0", "-o", "out"]].concat());
    let read = |name: &str| fs::read_to_string(at.join("out").join(name)).expect(name);
    let (fitted, replay) = (read("fitted.toml"), read("replay.toml"));
    for words in [
        "# The knob stands at 45.\n# not fitted: as given; the fit replayed the logged heater (replay.toml)\n[control]",
        "kind = \"thermostat\"",
        // Known to 0.0005: the fifth digit is that of the solver's path.
        "# fitted: 1.0999",
    ] {
        assert!(fitted.contains(words), "{words} is not in:\n{fitted}");
    }
    assert!(replay.contains("kind = \"schedule\"") && replay.contains("replay_of = \"log.csv\""));
    let [true_min, own_min, replayed_min] = [&truth(), &fitted, &replay].map(|t| changed_min(t));
    println!("dry after {true_min:.1} min; fitted box {own_min:.1}, replay {replayed_min:.1}");
    // The loss is known to 1 %.
    assert!((own_min / true_min - 1.0).abs() < 0.01, "{own_min} {true_min}");
    assert!((replayed_min / true_min - 1.0).abs() > 0.05, "{replayed_min} {true_min}");

    let of_no_box = |words: &[&str]| said(at, words).contains("those of no box");
    let set = ["--set", CHANGES[0]];
    let own = ["simulate", "out/replay.toml"];
    let bands = ["simulate", "out/replay.toml", "--fit", "out/fit.json", "--draws", "2"];
    let axis = ["--axis", "vent.in.diameter=4..6 mm step 1 mm", "--dry-run"];
    let swept = ["sweep", "out/replay.toml"];
    let drawn = ["--fit", "out/fit.json", "--draws", "2"];
    assert!(!of_no_box(&own) && !of_no_box(&bands));
    assert!(!of_no_box(&[&own[..], &["--set", "run.output_every=10 s"]].concat()));
    assert!(of_no_box(&[&own[..], &set].concat()) && of_no_box(&[&bands[..], &set].concat()));
    assert!(of_no_box(&[&swept[..], &axis].concat()));
    assert!(of_no_box(&[&swept[..], &drawn, &axis].concat()));
    assert!(!of_no_box(&[&swept[..], &drawn, &["--dry-run"]].concat()));
    assert!(!of_no_box(&["simulate", "out/fitted.toml", "--set", CHANGES[0]]));
    let edited = replay.replace("diameter = \"5 mm\"", "diameter = \"9 mm\"");
    fs::write(at.join("out/replay.toml"), edited).expect("a file");
    assert!(of_no_box(&own));
}
