//! Commands on a box that leaves the range of the model.

use crate::bench::{BOX, Bench};

const HOT: [&str; 8] = [
    "--set",
    "heater.kind=resistive",
    "--set",
    "heater.power=2000 W",
    "--set",
    "control.kind=always_on",
    "--set",
    "fan.circulation=0 L/s",
];

fn hot(bench: &Bench, more: &[&str]) -> crate::bench::Ended {
    bench.run(&[&["simulate", "-q", "box.toml"], &HOT[..], more].concat())
}

#[test]
fn all_outputs_are_written_and_the_exit_code_is_6() {
    let bench = Bench::new(BOX);
    let end = hot(&bench, &["-o", "out"]);
    assert_eq!(end.code, 6, "{}", end.err);
    assert!(end.err.starts_with("error: box.toml: at "), "{}", end.err);
    assert!(end.err.contains(" s the air in zone supply reaches 150 °C"), "{}", end.err);
    assert!(end.err.ends_with("\n     look at heater.power, fan.circulation and control\n"));
    assert_eq!(end.out.as_bytes(), bench.read("out/summary.txt"));
    for file in ["series.csv", "run.json", "figure.svg", "figure.png", "figure.csv"] {
        assert!(!bench.read(&format!("out/{file}")).is_empty(), "{file}");
    }
    assert!(end.out.contains("then it left the range of the model"), "{}", end.out);
    assert!(end.out.contains("≥ 150.0 °C"), "{}", end.out);
    assert!(end.out.contains("unknown after ") && !end.out.contains("not reached"), "{}", end.out);
    // The saved run says the same.
    let table = bench.run(&["assess", "out/run.json"]);
    assert_eq!(table.code, 0, "{}", table.err);
    assert!(table.out.contains("at least 150.0 °C") && table.out.contains("unknown after"));
    assert!(table.out.contains("the run ends there"), "{}", table.out);
}

#[test]
fn an_instant_behind_the_end_has_no_explanation() {
    let end = hot(&Bench::new(BOX), &["--explain", "20 min"]);
    assert_eq!((end.code, end.out.as_str()), (4, ""));
    assert!(end.err.contains("reaches 150 °C"), "{}", end.err);
}

#[test]
fn several_boxes_are_shown_beside_each_other() {
    let bench = Bench::new(BOX);
    let cool = BOX.replace("Test box", "Cool box");
    std::fs::write(bench.path("cool.toml"), cool.replace("150 W", "50 W")).expect("a file");
    std::fs::write(
        bench.path("hot.toml"),
        BOX.replace("\"ptc\"", "\"resistive\"")
            .replace("150 W", "2000 W")
            .replace("\"thermostat\"", "\"always_on\""),
    )
    .expect("a file");
    let end = bench.run(&["simulate", "-q", "cool.toml", "hot.toml"]);
    assert_eq!(end.code, 6, "{}", end.err);
    assert!(end.err.contains("hot.toml: at ") && !end.err.contains("cool.toml"), "{}", end.err);
    assert!(end.out.contains("≥ 150.0"), "{}", end.out);
    assert!(
        end.out.contains("2 unknown after ") && end.out.contains("1 not reached within 30 min")
    );
    let csv = bench.run(&["simulate", "-q", "cool.toml", "hot.toml", "--format", "csv"]).out;
    assert!(csv.contains("peak_air_C >=") && csv.contains("t90_min: unknown after"), "{csv}");
}

#[test]
fn a_start_at_which_a_pad_would_boil_is_refused() {
    let text = BOX.replace(
        "[enclosure]",
        "pressure = \"900 hPa\"\n\n[start]\ntemperature = \"97 °C\"\n\n[enclosure]",
    );
    let bench = Bench::new(&text);
    let end = bench.run(&["simulate", "box.toml"]);
    assert_eq!(end.code, 3, "{}", end.err);
    assert!(
        end.err.contains("start.temperature = \"97 °C\" lets the water in load.pad boil"),
        "{}",
        end.err
    );
    assert!(end.err.contains("at 900 hPa water boils at 96.69 °C"), "{}", end.err);
    let end = bench.run(&["simulate", "-q", "box.toml", "--set", "start.temperature=90 °C"]);
    assert_eq!(end.code, 0, "{}", end.err);
}

#[test]
fn a_saved_run_is_quoted() {
    let bench = Bench::new(BOX);
    assert_eq!(bench.run(&["simulate", "-q", "box.toml", "-o", "out"]).code, 0);
    let json = |text: &[u8]| serde_json::from_slice::<serde_json::Value>(text).expect("JSON");
    let run = json(&bench.read("out/run.json"));
    let table = json(bench.run(&["assess", "out", "--format", "json"]).out.as_bytes());
    let findings = table["findings"].as_array().expect("figures");
    for metric in run["metrics"].as_array().expect("figures") {
        let same: Vec<_> = findings.iter().filter(|f| f["key"] == metric["key"]).collect();
        assert_eq!(same.len(), 1, "{}", metric["key"]);
        match metric["value"].as_f64() {
            Some(value) => {
                assert_eq!(same[0]["value"]["value"].as_f64(), Some(value), "{}", same[0])
            }
            None => assert_eq!(same[0]["value"]["why"], metric["why"], "{}", same[0]),
        }
    }
    // What samples say by another definition has a key of its own.
    for key in ["mean_swing_K", "supply_minus_return_K"] {
        assert!(findings.iter().any(|f| f["key"] == key), "{key}");
    }
}
