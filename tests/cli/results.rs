//! What `check` and `simulate` write: files, formats, the same bytes twice, and runs that fail.

use crate::bench::{BOX, Bench, changed};

const FILES: [&str; 6] =
    ["summary.txt", "series.csv", "run.json", "figure.svg", "figure.png", "figure.csv"];

fn json(text: &[u8]) -> serde_json::Value {
    serde_json::from_slice(text).expect("JSON")
}

#[test]
fn check_shows_values_with_their_origin() {
    let bench = Bench::new(BOX);
    let end = bench.run(&["check", "box.toml", "--set", "vent.low.diameter=8 mm"]);
    assert_eq!((end.code, end.err.as_str()), (0, ""));
    let line = |path: &str| {
        let found = end.out.lines().find(|l| l.trim_start().starts_with(path));
        found.unwrap_or_else(|| panic!("{path} in\n{}", end.out)).to_owned()
    };
    assert!(line("vent.low.diameter").ends_with("8 mm  --set"));
    assert!(line("vent.high.diameter").ends_with("7 mm  line 39"));
    assert!(line("vent.low.depth").ends_with("3 mm  default: thickness of the wall"));
    assert!(line("enclosure.volume").contains(" 9 L  inner_size"));
    for derived in ["steady_wall_loss", "purge_volume_40_pct", "evaporation_floor"] {
        assert!(end.out.contains(derived), "{derived}");
    }
}

#[test]
fn check_says_what_a_timer_a_fan_and_a_wall_loss_mean() {
    let wall = "wall         = { material = \"polypropylene\", thickness = \"3 mm\" }";
    let text = BOX.replace(wall, "wall_loss = \"1.2 W/K\"");
    let text = text.replace("diameter = ", "depth = \"3 mm\"\ndiameter = ");
    let exhaust = "\n[exhaust]\nzone = \"return\"\nheight = \"100 mm\"\nmax_pressure = \"30 Pa\"\n\
                   max_flow = \"2 L/s\"\nrule = \"timer\"\nperiod = \"15 min\"\non_time = \"2 min\"\n";
    let end = Bench::new(&(text + exhaust)).run(&["check", "box.toml"]);
    assert_eq!(end.code, 0, "{}", end.err);
    // 293.15 K over 323.15 K of 2 L/s; 1.2 W/K without a film of 0.27 m2.
    for (path, value, how) in [
        ("exhaust.first_pulse", "13 min", "the pulse comes at the end of each period"),
        ("exhaust.max_flow_of_room_air", "108.9 L/min", "counts the hot gas of the box"),
        (
            "enclosure.loss_from_face",
            " W/K",
            "counts from the air inside, inside coefficient included",
        ),
    ] {
        let found = end.out.lines().find(|l| l.trim_start().starts_with(path));
        let line = found.unwrap_or_else(|| panic!("{path} in\n{}", end.out));
        assert!(line.contains(value) && line.contains(how), "{line}");
    }
}

#[test]
fn check_as_csv_and_json() {
    let bench = Bench::new(BOX);
    let csv = bench.run(&["check", "box.toml", "--format", "csv"]).out;
    let mut lines = csv.lines();
    assert_eq!(lines.next(), Some("path,value,si_value,origin"));
    assert!(csv.contains("heater.power,150 W,150,line 14\n"), "{csv}");
    let json = json(bench.run(&["check", "box.toml", "--format", "json"]).out.as_bytes());
    assert_eq!((&json["schema_version"], &json["title"]), (&2.into(), &"Test box".into()));
    assert!(json["units"].is_string() && json["warnings"].is_array());
    let values = json["values"].as_array().expect("a list");
    assert_eq!(values.len(), lines.count());
    let power = values.iter().find(|v| v["path"] == "heater.power").expect("a power");
    assert_eq!((&power["si_value"], &power["si_unit"]), (&150.0.into(), &"W".into()));
}

#[test]
fn simulate_writes_six_files_and_the_same_bytes_twice() {
    let bench = Bench::new(BOX);
    let first = bench.run(&["simulate", "box.toml", "-o", "one"]);
    assert_eq!(first.code, 0, "{}", first.err);
    assert_eq!(first.err, "wrote summary, series, run and figures to one\n");
    let again = bench.run(&["simulate", "box.toml", "-o", "two", "-q"]);
    assert_eq!((again.code, again.err.as_str()), (0, ""));
    assert_eq!(first.out, again.out);
    for file in FILES {
        assert!(bench.read(&format!("one/{file}")) == bench.read(&format!("two/{file}")), "{file}");
    }
    assert_eq!(std::fs::read_dir(bench.path("one")).expect("a folder").count(), FILES.len());
    assert_eq!(first.out.as_bytes(), bench.read("one/summary.txt"));
    let csv = bench.run(&["simulate", "box.toml", "--format", "csv"]).out;
    assert_eq!(csv.as_bytes(), bench.read("one/series.csv"));
    assert!(bench.read("one/figure.png").starts_with(b"\x89PNG"));
    assert!(bench.read("one/figure.svg").starts_with(b"<svg "));
}

#[test]
fn results_are_replaced_only_on_request() {
    let bench = Bench::new(BOX);
    std::fs::create_dir(bench.path("out")).expect("a folder");
    std::fs::write(bench.path("out/figure.svg"), "mine").expect("a file");
    let end = bench.run(&["simulate", "box.toml", "-o", "out"]);
    let want = "error: out/figure.svg exists already (1 of 6 files)\n     write --force to replace \
                them, or another folder after -o\n";
    assert_eq!((end.code, end.out.as_str(), end.err.as_str()), (5, "", want));
    assert_eq!(bench.read("out/figure.svg"), b"mine");
    assert!(!bench.path("out/summary.txt").exists());
    assert_eq!(bench.run(&["simulate", "box.toml", "-o", "out", "--force"]).code, 0);
    assert!(bench.read("out/figure.svg").starts_with(b"<svg "));
}

#[test]
fn the_series_has_units_and_every_row() {
    let csv = Bench::new(BOX).run(&["simulate", "box.toml", "--format", "csv"]).out;
    let rows: Vec<Vec<&str>> = csv.lines().map(|l| l.split(',').collect()).collect();
    assert_eq!(rows.len(), 1 + 61, "a header, and 30 min every 30 s with both ends");
    assert!(rows.iter().all(|r| r.len() == rows[0].len()));
    let head =
        ["time_s", "supply_temperature_C", "return_relative_humidity_pct", "pad_water_remaining_g"];
    assert!(head.iter().all(|h| rows[0].contains(h)), "{:?}", rows[0]);
    assert_eq!((rows[1][0], rows[61][0]), ("0", "1800"));
    assert!(rows[1..].iter().flatten().all(|cell| cell.parse::<f64>().is_ok()));
}

#[test]
fn the_run_as_json() {
    let json =
        json(Bench::new(BOX).run(&["simulate", "box.toml", "--format", "json"]).out.as_bytes());
    assert_eq!(json["schema_version"], 2);
    assert_eq!(json["program_version"], env!("CARGO_PKG_VERSION"));
    assert!(json["units"].is_string() && json["warnings"].is_array());
    let times = json["time_s"].as_array().expect("times").len();
    for column in json["columns"].as_array().expect("columns") {
        assert!(column["unit"].is_string(), "{column}");
        assert_eq!(column["values"].as_array().map(Vec::len), Some(times));
    }
    let metrics = json["metrics"].as_array().expect("metrics");
    assert!(metrics.iter().all(|m| m["definition"].as_str().is_some_and(|d| d.len() > 3)));
    assert_eq!((&json["water"]["unit"], &json["energy"]["unit"]), (&"g".into(), &"Wh".into()));
}

#[test]
fn an_instant_is_explained() {
    let bench = Bench::new(BOX);
    let page = bench.run(&["simulate", "box.toml", "--explain", "t=5 min"]);
    assert_eq!((page.code, page.err.as_str()), (0, ""));
    assert!(page.out.starts_with("At 5 min\n\nTemperatures (°C)\n"), "{}", page.out);
    assert!(page.out.contains("\n  vent.low\n") && page.out.contains("heater element"));
    let csv = bench.run(&["simulate", "box.toml", "--explain", "5 min", "--format", "csv"]).out;
    assert!(csv.starts_with("time_s,part,from,to,rate,unit\n300,"), "{csv}");
    let text = bench.run(&["simulate", "box.toml", "--explain", "5min", "--format", "json"]).out;
    let json = json(text.as_bytes());
    assert_eq!((&json["schema_version"], &json["time_s"]), (&2.into(), &300.0.into()));
    assert!(json["units"].is_string() && json["warnings"].is_array());
    assert_eq!(json["flows"].as_array().map(Vec::len), Some(csv.lines().count() - 1));
}

#[test]
fn an_instant_outside_the_run() {
    let bench = Bench::new(BOX);
    let cases = [
        (
            "t=31 min",
            "is outside the run (0 to 30 min)",
            "write a time within it, or raise run.duration",
        ),
        (
            "-1 min",
            "is outside the run (0 to 30 min)",
            "write a time within it, or raise run.duration",
        ),
        ("t=5", "has no unit", "write \"t=45 min\""),
        ("soon", "is not a time", "write \"t=45 min\""),
    ];
    for (typed, what, hint) in cases {
        let end = bench.run(&["simulate", "box.toml", "--explain", typed]);
        let want = format!("error: --explain = \"{typed}\" {what}\n     {hint}\n");
        assert_eq!((end.code, end.out.as_str(), end.err), (3, "", want));
    }
}

#[test]
fn assignments_change_the_run() {
    let bench = Bench::new(BOX);
    let plain = bench.run(&["simulate", "box.toml"]).out;
    let sets = ["--set", "vent.low.diameter=9 mm", "--set", "title=Wider"];
    let end = bench.run(&[&["simulate", "box.toml"], &sets[..]].concat());
    assert_eq!(end.code, 0, "{}", end.err);
    assert!(end.out.starts_with("Wider\n30 min simulated") && end.out != plain, "{}", end.out);
    let end = bench.run(&["simulate", "box.toml", "--set", "control.kind=pi"]);
    let want = "warning: box.toml:23: control.hysteresis = \"3 K\" is not used by kind \"pi\"\n";
    assert_eq!((end.code, end.err.as_str()), (0, want));
}

#[test]
fn the_definitions_are_printed_on_request() {
    let bench = Bench::new(BOX);
    let short = bench.run(&["simulate", "box.toml"]).out;
    let long = bench.run(&["simulate", "box.toml", "-v"]).out;
    assert!(
        long.starts_with(&short)
            && long.contains("\nDefinitions\n")
            && !short.contains("Definitions")
    );
}

#[test]
fn both_solvers_agree_on_the_water() {
    let bench = Bench::new(BOX);
    let left = |solver: &str| {
        let arguments = ["simulate", "box.toml", "--solver", solver, "--format", "json"];
        let json = json(
            bench
                .run(&[&arguments[..], &["--set", "control.kind=pi", "-q"]].concat())
                .out
                .as_bytes(),
        );
        let metrics = json["metrics"].as_array().expect("metrics").clone();
        let found = metrics.iter().find(|m| m["key"] == "water_remaining_g").expect("water left");
        found["value"].as_f64().expect("a number")
    };
    let (one, other) = (left("rodas5p"), left("dopri5"));
    assert!((one - other).abs() < 1e-4, "{one} {other}");
}

#[test]
fn what_else_differs_between_compared_scenarios_is_told_controllers_first() {
    let bench = Bench::new(BOX);
    let mut other = BOX.replace("150 W", "120 W").replacen("7 mm", "8 mm", 1);
    let at = other.find("\n[sensor").expect("a sensor");
    let exhaust = "\n[exhaust]\nzone = \"return\"\nheight = \"50 mm\"\nmax_pressure = \"25 Pa\"\n\
                   max_flow = \"30 L/min\"\nrule = \"always\"\n";
    other.insert_str(at, exhaust);
    std::fs::write(bench.path("other.toml"), other).expect("written");
    let pi = changed("kind       = \"thermostat\"", "kind = \"pi\"");
    std::fs::write(bench.path("pi.toml"), pi).expect("written");
    let page = bench.run(&["simulate", "box.toml", "other.toml", "pi.toml", "-o", "out"]);
    assert_eq!(page.code, 0, "{}", page.err);
    let told = page.out.split("what differs").nth(1).expect("a part for it");
    let rows: Vec<Vec<&str>> =
        told.lines().skip(1).map(|l| l.split_whitespace().collect()).collect();
    assert_eq!(rows[0], ["control.kind", "thermostat", "thermostat", "pi"]);
    assert!(rows.contains(&vec!["exhaust", "-", "yes", "-"]), "{told}");
    assert!(rows.contains(&vec!["heater.power", "150", "W", "120", "W", "150", "W"]), "{told}");
    let svg = String::from_utf8(bench.read("out/together.svg")).expect("UTF-8");
    assert!(svg.contains("the boxes differ in control (thermostat, pi)"), "{svg}");
}
