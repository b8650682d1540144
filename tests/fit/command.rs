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
    bench_of(BOX, convert)
}

/// The same of a box that is otherwise than its file says.
fn bench_of(truth: &str, convert: fn(f64) -> f64) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let source = Source::from_bytes("box.toml", truth.replace("1.3 W/K", "1.1 W/K").as_bytes());
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
    assert_eq!(saved["schema_version"], 3);
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

/// A row of a figure's table: series, time, value, and the ends of its band or bar.
type Row = (String, f64, f64, Option<(f64, f64)>);

fn rows(text: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    assert_eq!(reader.headers().expect("a header").len(), 7, "no bands in:\n{}", &text[..200]);
    let read = |r: csv::StringRecord| {
        let number = |i: usize| r[i].parse::<f64>().ok();
        let name = format!("{}: {}", &r[0], &r[1]);
        (name, number(3).expect("a time"), number(4).expect("a value"), number(5).zip(number(6)))
    };
    reader.records().map(|r| read(r.expect("a row"))).collect()
}

#[test]
fn its_figure_shows_the_band_and_tells_held_out_readings_from_fitted_ones() {
    let folder = bench(|c| c);
    let words = ["--free", LOSS, "--hold-out-after", "20 min", "-o", "out", "--starts", "0"];
    let (code, _, talk) = drybench(folder.path(), &words);
    assert_eq!(code, 0, "{talk}");
    let read = |name: &str| fs::read_to_string(folder.path().join("out").join(name)).expect(name);
    let all = rows(&read("fit.csv"));
    let of = |name: &str| -> Vec<_> { all.iter().filter(|r| r.0 == name).collect() };
    let model = of("Temperature: hot temperature");
    let (first, last) = (model[0].1, model.iter().map(|r| r.1).fold(0.0, f64::max));
    assert!(
        first == 0.0 && (last - 30.0).abs() < 1e-9,
        "the model goes from {first} to {last} min"
    );
    for (_, t, value, band) in &model {
        let (low, high) = band.expect("a band");
        assert!(low <= *value && *value <= high, "{t} min: {low} {value} {high}");
        // A loss known to 0.1 % or so moves the air by some hundredths of a kelvin.
        assert!(*t < 5.0 || (1e-3..1.0).contains(&(high - low)), "{t} min: {low} to {high}");
    }
    let fitted = of("Temperature: hot temperature, fitted readings");
    let held = of("Temperature: hot temperature, held out readings");
    assert!(fitted.len() > 10 && fitted.iter().all(|r| r.1 <= 20.0), "{fitted:?}");
    assert!(held.len() > 5 && held.iter().all(|r| r.1 > 20.0), "{held:?}");
    let residuals =
        all.iter().filter(|r| r.0.starts_with("Model less reading") && r.0.ends_with("readings"));
    assert_eq!(residuals.clone().count(), fitted.len() + held.len());
    assert!(residuals.into_iter().all(|r| r.2.abs() < 3.0), "0.1 K of ripple against ± 0.1 K");
    let svg = read("fit.svg");
    for words in [
        "Fitted (± standard error): enclosure wall loss 1.",
        "from here on held out and predicted",
        "hot temperature",
        "held-out readings",
        "should lie within",
        "filled symbols: fitted readings; open: held-out ones",
        "shaded: 95 % band of the model",
    ] {
        assert!(svg.contains(words), "{words} is not in the picture");
    }
    let saved: serde_json::Value = serde_json::from_str(&read("fit.json")).expect("JSON");
    let one = &saved["held_out"][0];
    let column = |key: &str| one[key].as_array().expect(key).len();
    assert_eq!(column("time_s"), column("predicted"));
    assert_eq!(one["count"].as_u64(), Some(column("low") as u64));
}

#[test]
fn without_a_standard_error_the_figure_says_that_there_is_no_band() {
    let folder = bench(|c| c);
    // The end of the warm-up alone does not tell the loss from the power.
    let text = fs::read_to_string(folder.path().join("log.csv")).expect("a log");
    let flat: String = text
        .lines()
        .enumerate()
        .map(
            |(i, l)| if i == 0 { format!("{l}\n") } else { format!("{},0,52.0\n", 1e5 + i as f64) },
        )
        .collect();
    fs::write(folder.path().join("log.csv"), flat).expect("a file");
    let free = ["--free", LOSS, "--free", "heater.power=10..90 W", "--set", "run.duration=30 h"];
    let (code, _, talk) =
        drybench(folder.path(), &[&free[..], &["-o", "out", "--starts", "0"]].concat());
    assert_eq!(code, 0, "{talk}");
    let svg = fs::read_to_string(folder.path().join("out/fit.svg")).expect("a picture");
    let words = ["no band of the model: no parameter has a", "standard error"];
    assert!(words.iter().all(|w| svg.contains(w)), "{svg}");
}

#[test]
fn nothing_held_out_and_the_same_twice_are_refused() {
    let folder = bench(|c| c);
    let cases: [(&[&str], &[&str]); 5] = [
        (
            &["--hold-out-after", "45 min"],
            &["no reading lies after it, the last is at 30 min", "--hold-out-after \"22 min\""],
        ),
        (&["--hold-out-after", "30 min"], &["no reading lies after it"]),
        (&["--hold-out-after=-1 s"], &["no reading lies before it, the first is at 0 s"]),
        (&["--data", "log.csv"], &["log.csv is given twice", "name it once"]),
        (&["--data", "./log.csv"], &["log.csv and ./log.csv are the same", "count twice"]),
    ];
    for (more, wanted) in cases {
        let (code, _, talk) = drybench(folder.path(), &[&["--free", LOSS], more].concat());
        assert_eq!(code, 3, "{talk}");
        wanted.iter().for_each(|w| assert!(talk.contains(w), "{w} is not in:\n{talk}"));
    }
}

#[test]
fn a_table_that_is_none_is_told_with_one_thing_to_type() {
    let folder = bench(|c| c);
    let at = folder.path().join("log.csv");
    let good = fs::read_to_string(&at).expect("a log");
    let header = good.lines().next().expect("a header");
    let import = "drybench import log.csv -o clean.csv";
    let cases = [
        (good.replace(',', ";"), vec!["semicolons part its columns", import]),
        (good.replace(',', "\t"), vec!["tabs part its columns", import]),
        (good.replacen("time_s", "time", 1), vec!["no column `time_s`, only time, line", import]),
        (String::new(), vec!["log.csv: is empty", "give a table of readings"]),
        (format!("{header}\n"), vec!["a header, but no row of readings"]),
        (good.replacen("\n30,", "\noops,", 1), vec!["log.csv:3: `oops` under time_s is no number"]),
        (
            good.replacen("\n30,", "\n,", 1),
            vec!["log.csv:3: has nothing under time_s", "drop the row"],
        ),
        (good.replacen("\n30,", "\n0,", 1), vec!["log.csv:3: time_s does not rise: 0 after 0"]),
        (good.replacen("line", "time_s", 1), vec!["two columns called time_s"]),
        (good.replacen(",3,", ",3,4,", 1), vec!["log.csv:3: 4 cells stand in this row, 3 under"]),
    ];
    for (text, wanted) in cases {
        fs::write(&at, &text).expect("a file");
        let (code, _, talk) = drybench(folder.path(), &["--free", LOSS]);
        assert_eq!(code, 3, "{talk}");
        wanted.iter().for_each(|w| assert!(talk.contains(w), "{w} is not in:\n{talk}"));
        assert_eq!(talk.matches("error").count(), 1, "one mistake, one message:\n{talk}");
    }
    fs::write(&at, [0xff, 0xfe, 0x74, 0x00]).expect("a file");
    let (_, _, talk) = drybench(folder.path(), &["--free", LOSS]);
    assert!(talk.contains("is no text in UTF-8") && talk.contains(import), "{talk}");
}

#[test]
fn readings_after_the_end_of_the_run_are_told() {
    let folder = bench(|c| c);
    let short = ["--free", LOSS, "--set", "run.duration=20 min", "--starts", "0"];
    let (code, page, talk) = drybench(folder.path(), &short);
    assert_eq!(code, 0, "{talk}");
    assert!(page.contains("20 readings after the end of the scenario's run (20 min)"), "{page}");
}

#[test]
fn a_scenario_without_a_fitted_value_is_told_which_and_what_to_use() {
    let folder = bench(|c| c);
    let free = ["--free", LOSS, "--free", "sensor.logger.time_constant=5..200 s"];
    let (code, _, talk) =
        drybench(folder.path(), &[&free[..], &["-o", "out", "--starts", "0"]].concat());
    assert_eq!(code, 0, "{talk}");
    let other = BOX.replace("[sensor.logger]\nzone = \"air\"\ntime_constant = \"45 s\"\n", "");
    fs::write(folder.path().join("other.toml"), other).expect("a file");
    for words in [
        &["simulate", "other.toml", "--fit", "out/fit.json"][..],
        &["sweep", "other.toml", "--fit", "out/fit.json", "-o", "swept"],
    ] {
        let mut command = Command::cargo_bin("drybench").expect("the program");
        let output = command.current_dir(folder.path()).args(words).output().expect("an answer");
        let talk = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(3), "{talk}");
        for wanted in [
            "out/fit.json: 1 of its 2 fitted values is no value of other.toml: sensor.logger.time_constant",
            "use the scenario that was fitted: out/fitted.toml",
        ] {
            assert!(talk.contains(wanted), "{wanted} is not in:\n{talk}");
        }
        assert_eq!(talk.matches("error").count(), 1, "{talk}");
    }
    // What an axis brings into being is not missed.
    let axis = "sensor.logger={ zone = \"air\", time_constant = \"45 s\" }";
    let mut command = Command::cargo_bin("drybench").expect("the program");
    command.current_dir(folder.path());
    command.args([
        "simulate",
        "other.toml",
        "--set",
        axis,
        "--fit",
        "out/fit.json",
        "--draws",
        "2",
    ]);
    command.assert().success();
}

#[test]
fn wrong_start_values_and_minutes_are_not_called_fahrenheit() {
    // The lamp has 110 W, the file says 40 W and the search starts at 15 W.
    let folder = bench_of(&BOX.replace("40 W", "110 W"), |c| c);
    let free = ["--free", LOSS, "--free", "heater.power=15, 5..200 W", "--starts", "0"];
    let (code, page, talk) = drybench(folder.path(), &free);
    assert!(code == 0 && !talk.contains("Fahrenheit"), "{talk}");
    assert!(page.contains("heater.power         110.") && !page.contains("Fahrenheit"), "{page}");
    // Minutes under a header that says seconds are wrong, but no degrees.
    let text = fs::read_to_string(folder.path().join("log.csv")).expect("a log");
    let minute = |line: &str| match line.split_once(',') {
        Some((t, rest)) => match t.parse::<f64>() {
            Ok(t) => format!("{},{rest}\n", t / 60.0),
            Err(_) => format!("{line}\n"),
        },
        None => String::new(),
    };
    let fast: String = text.lines().map(minute).collect();
    fs::write(folder.path().join("log.csv"), fast).expect("a file");
    let (_, _, talk) = drybench(folder.path(), &["--free", LOSS, "--starts", "0"]);
    assert!(!talk.contains("Fahrenheit"), "{talk}");
}

#[test]
fn fahrenheit_is_seen_in_the_readings_also_behind_means_and_a_warm_box_has_a_way_on() {
    let hot = bench(|c| 1.8 * c + 32.0);
    let means = ["--free", LOSS, "--starts", "0", "--cycle-means", "5 min"];
    let (code, _, talk) = drybench(hot.path(), &means);
    let words = "its first reading is 68.0, where the box starts at 20.0 °C = 68.0 °F";
    assert!(code == 3 && talk.contains(words), "{talk}");
    assert!(
        talk.contains("if they are °C, the box was warm at the start: --set \"start."),
        "{talk}"
    );
    let warm = ["--free", LOSS, "--starts", "0", "--set", "start.temperature=68.0 °C"];
    let (_, _, talk) = drybench(hot.path(), &warm);
    assert!(!talk.contains("looks like degrees Fahrenheit"), "{talk}");
    // A log that begins in the middle of the run does not tell by itself: the misfit says it at the end.
    let at = hot.path().join("log.csv");
    let text = fs::read_to_string(&at).expect("a log");
    let late: Vec<&str> =
        text.lines().enumerate().filter(|(i, _)| *i == 0 || *i > 12).map(|(_, l)| l).collect();
    fs::write(&at, late.join("\n")).expect("a file");
    let (_, page, talk) = drybench(hot.path(), &["--free", LOSS, "--starts", "0"]);
    assert!(
        page.contains("perhaps degrees Fahrenheit read as °C") && page.contains("_F"),
        "{page}{talk}"
    );
}

#[test]
fn a_saved_fit_that_no_fit_writes_is_refused() {
    let folder = bench(|c| c);
    let (code, _, talk) = drybench(folder.path(), &["--free", LOSS, "--starts", "0", "-o", "out"]);
    assert_eq!(code, 0, "{talk}");
    let at = folder.path().join("out/fit.json");
    let good: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(&at).expect("a fit")).expect("JSON");
    let cases: [(&str, serde_json::Value, &str); 5] = [
        ("/schema_version", 9.into(), "has version 9 of its layout, this program reads up to"),
        (
            "/parameters/0/standard_error",
            (-0.01).into(),
            "has a standard error of -0.01 for enclosure.wall_loss",
        ),
        (
            "/parameters/0/value",
            7.0.into(),
            "has 7 W/K for enclosure.wall_loss, outside its bounds",
        ),
        (
            "/parameters/0/name",
            "wall".into(),
            "has a parameter wall with another path, enclosure.wall_loss",
        ),
        (
            "/parameters/0/path",
            "enclosure.wall".into(),
            "has a parameter enclosure.wall_loss with another path, enclosure.wall",
        ),
    ];
    for (place, value, wanted) in cases {
        let mut changed = good.clone();
        *changed.pointer_mut(place).expect(place) = value;
        fs::write(&at, changed.to_string()).expect("a file");
        for words in [&["simulate", "box.toml"][..], &["sweep", "box.toml", "-o", "swept"]] {
            let mut command = Command::cargo_bin("drybench").expect("the program");
            command.current_dir(folder.path()).args(words).args(["--fit", "out/fit.json"]);
            let output = command.output().expect("an answer");
            let talk = String::from_utf8_lossy(&output.stderr);
            assert_eq!(output.status.code(), Some(3), "{talk}");
            assert!(talk.contains(&format!("out/fit.json: {wanted}")), "{wanted}:\n{talk}");
        }
    }
}

/// Each of these is refused with these words, in one message.
fn refused(folder: &Path, cases: &[(&[&str], &[&str])]) {
    for (more, wanted) in cases {
        let (code, _, talk) = drybench(folder, more);
        assert_eq!(code, 3, "{more:?}:\n{talk}");
        wanted.iter().for_each(|w| assert!(talk.contains(w), "{w} is not in:\n{talk}"));
        assert_eq!(talk.matches("error").count(), 1, "{more:?}:\n{talk}");
    }
}

#[test]
fn nothing_is_free_twice_nor_compared_twice() {
    let folder = bench(|c| c);
    let again = "hot_temperature_C=sensor_logger_temperature_C ± 0.3 K";
    let (room, other) = ("hot_temperature_C=room.temperature", "line_C=room.temperature");
    refused(
        folder.path(),
        &[
            (
                &["--free", LOSS, "--free", "enclosure.wall_loss = 1..2 W/K"],
                &["enclosure.wall_loss is free twice", "keep one --free of it"],
            ),
            (
                &["--free", LOSS, "--free-per-run", LOSS],
                &["free twice, with --free and with --free-per-run", "one value in all runs"],
            ),
            (
                &["--free", LOSS, "--map", again],
                &[
                    "hot_temperature_C is compared with sensor_logger_temperature_C twice",
                    "would count twice",
                    "leave one of the two --map out",
                ],
            ),
        ],
    );
    let at = folder.path().join("log.csv");
    let text = fs::read_to_string(&at).expect("a log").replacen("line", "line_C", 1);
    fs::write(&at, text).expect("a file");
    refused(
        folder.path(),
        &[(
            &["--free", LOSS, "--map", room, "--map", other],
            &["room.temperature cannot follow both hot_temperature_C and line_C"],
        )],
    );
    // Two sensors at one place.
    let second = "line_C=sensor_logger_temperature_C ± 500 K";
    let (code, page, talk) =
        drybench(folder.path(), &["--free", LOSS, "--starts", "0", "--map", second]);
    assert!(code == 0 && page.contains("122 readings"), "{page}{talk}");
}

#[test]
fn readings_that_are_not_compared_are_counted() {
    let folder = bench(|c| c);
    let at = folder.path().join("log.csv");
    let good = fs::read_to_string(&at).expect("a log");
    let mut lines = good.lines();
    let mut text = format!("{}\n-60,2,20.0\n-30,2,20.0\n", lines.next().expect("a header"));
    for (i, line) in lines.enumerate() {
        let (start, _) = line.rsplit_once(',').expect("cells");
        text += &match i {
            20 => format!("{start},inf\n"),
            21 => format!("{start},\n"),
            _ => format!("{line}\n"),
        };
    }
    fs::write(&at, text).expect("a file");
    let (code, page, talk) = drybench(folder.path(), &["--free", LOSS, "--starts", "0"]);
    assert_eq!(code, 0, "{talk}");
    for words in [
        "log.csv: 2 readings before the start (time_s below 0) are left out, of 63",
        "log.csv: 2 readings of 63 are no numbers (empty, nan or inf): left out",
        "59 readings, effective sample size",
    ] {
        assert!(page.contains(words), "{words} is not in:\n{page}");
    }
    // Milliseconds: one reading is left, and it is said where the others are.
    let milli = |line: &str| match line
        .split_once(',')
        .and_then(|(t, r)| Some((t.parse::<f64>().ok()?, r)))
    {
        Some((t, rest)) => format!("{},{rest}\n", 1000.0 * t),
        None => format!("{line}\n"),
    };
    fs::write(&at, good.lines().map(milli).collect::<String>()).expect("a file");
    let two = ["--free", LOSS, "--free", "enclosure.wall_heat_capacity=300..3000 J/K"];
    refused(
        folder.path(),
        &[(
            &two,
            &[
                "1 reading cannot give 2 parameters",
                "60 readings after the end of the scenario's run (30 min) are left out, of 61",
                "if time_s is in milliseconds, divide it by 1000, else --set \"run.duration=500 h\"",
            ],
        )],
    );
}

#[test]
fn a_thermostat_without_a_logged_heater_is_told() {
    let switching = "control={ kind = \"thermostat\", set_point = \"40 °C\", sensor = \"logger\", hysteresis = \"2 K\" }";
    let folder = bench(|c| c);
    let words = ["--free", LOSS, "--starts", "0", "--set", switching];
    let told = "no column is the heater, so the box's own thermostat switches it";
    let (_, page, talk) = drybench(folder.path(), &words);
    assert!(
        page.contains(told) && page.contains("--map heater_pct=control.heater"),
        "{page}{talk}"
    );
    assert!(page.contains("--cycle-means \"10 min\""), "{page}");
    let (_, page, talk) =
        drybench(folder.path(), &[&words[..], &["--cycle-means", "5 min"]].concat());
    assert!(page.contains("Parameters") && !page.contains(told), "{page}{talk}");
}

#[test]
fn uncertainties_spans_and_bounds_that_cannot_be_are_told_with_what_to_type() {
    let folder = bench(|c| c);
    let at = |u: &str| format!("line_C=air_temperature_C ± {u}");
    let path = folder.path().join("log.csv");
    let text = fs::read_to_string(&path).expect("a log").replacen("line", "line_C", 1);
    fs::write(&path, text).expect("a file");
    refused(
        folder.path(),
        &[
            (
                &["--free", LOSS, "--map", &at("0 K")],
                &["the uncertainty of line_C is ± 0 K, it must be above zero", "--map \"line_C="],
            ),
            (&["--free", LOSS, "--map", &at("-0.1 K")], &["is ± -0.1 K, it must be above zero"]),
            (
                &["--free", LOSS, "--cycle-means", "1 s"],
                &[
                    "no 1 s hold two readings of a sensor: they come every 30 s",
                    "over a few heating cycles: --cycle-means \"6 min\"",
                ],
            ),
            (
                &["--free", LOSS, "--cycle-means", "3 h"],
                &["3 h are longer than its readings, which take 30 min", "--cycle-means \"6 min\""],
            ),
            (
                &["--free", "enclosure.wall_loss=-1..3 W/K"],
                &[
                    "the lower bound of enclosure.wall_loss is -1 W/K",
                    "\"enclosure.wall_loss=0.001 W/K..3 W/K\"",
                ],
            ),
            (
                &["--free", "room.relative_humidity=20..120 %RH"],
                &[
                    "the upper bound of room.relative_humidity is 120 %RH",
                    "\"room.relative_humidity=20 %RH..100 %RH\"",
                ],
            ),
        ],
    );
    // What is proposed is accepted.
    let (_, _, talk) = drybench(folder.path(), &["--free", "enclosure.wall_loss=-1..3 W/K"]);
    let typed = talk.split("rite \"").nth(1).and_then(|t| t.split('"').next()).expect("a bound");
    let (code, _, talk) = drybench(folder.path(), &["--starts", "0", "--free", typed]);
    assert_eq!(code, 0, "{typed}: {talk}");
}
