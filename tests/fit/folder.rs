//! `drybench fit` on run folders: folders written from simulated runs give back what went in, other
//! runs are predicted, and what is wrong is told with the file and what to type.

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

use crate::kit::Dice;
use assert_cmd::Command;
use drybench::reader::Source;
use drybench::run::sample;
use drybench::scenario::Scenario;
use serde_json::Value;

/// What the person believes of the box. Invented.
const BOX: &str = r#"
title = "Cigar box with a lamp"
[room]
temperature = "20 °C"
relative_humidity = "50 %RH"
[enclosure]
volume = "12 L"
inner_area = "0.34 m2"
wall_loss = "1.3 W/K"
wall_heat_capacity = "900 J/K"
zones = ["air"]
[heater]
kind = "resistive"
power = "40 W"
[fan]
circulation = "5 L/s"
motor_power = "2 W"
[control]
kind = "always_on"
[vent.low]
kind = "hole"
zone = "air"
diameter = "5 mm"
height = "30 mm"
depth = "3 mm"
[load.pad]
kind = "wet_pad"
water = "2.5 g"
dry_mass = "3.08 g"
size = ["70 mm", "50 mm", "4 mm"]
zone = "air"
air_speed = "0.7 m/s"
[run]
duration = "90 min"
"#;

/// The description of a run; `MORE` stands for what a test adds.
const RUN: &str = r#"
title = "Lamp run"
start = "13:00"
[room]
temperature = "23 ± 0.5 °C"
relative_humidity = "45 ± 3 %RH"
[log.box]
file = "raw/log.txt"
[sensor.hot]
channel = ""                  # the only sensor of its log
accuracy_temperature = "0.5 K"
accuracy_humidity = "3 %RH"
time_constant = "45 s"
[weighings]
file = "raw/notes.txt"
MORE
"#;

/// What the simulated person got.
struct Truth {
    wall_loss: f64,
    capacity: f64,
    coefficient_factor: f64,
    /// The sensor reads so much too high \[K\], within its accuracy.
    offset_k: f64,
    seed: u64,
}

const TRUTH: Truth =
    Truth { wall_loss: 1.1, capacity: 1100.0, coefficient_factor: 1.3, offset_k: 0.25, seed: 7 };

impl Truth {
    fn scenario(&self) -> Scenario {
        let mut source = Source::from_bytes("box.toml", BOX.as_bytes()).expect("a tree");
        for set in [
            format!("enclosure.wall_loss={} W/K", self.wall_loss),
            format!("enclosure.wall_heat_capacity={} J/K", self.capacity),
            format!("load.pad.coefficient_factor={}", self.coefficient_factor),
            "load.pad.water=2.96 g".into(),
            "room.temperature=23 °C".into(),
            "room.relative_humidity=45 %".into(),
            "run.duration=91 min".into(),
            "sensor.hot={ zone = \"air\", time_constant = \"45 s\" }".into(),
            "event={ a = { kind = \"lid_open\", at = \"30 min\", duration = \"40 s\", exchange = \"60 %\" }, \
              b = { kind = \"lid_open\", at = \"60 min\", duration = \"40 s\", exchange = \"60 %\" } }"
                .into(),
        ] {
            source.set(&set).expect("an assignment");
        }
        Scenario::read(&source).expect("a scenario").0
    }

    /// Writes the run as a person would have it: logger text, notes, description, model of the box.
    fn folder(&self, at: &Path, more: &str) {
        let columns = [
            "sensor_hot_temperature_C",
            "sensor_hot_relative_humidity_pct",
            "pad_water_remaining_g",
        ]
        .map(str::to_owned);
        let times: Vec<f64> = (0..=180).map(|i| 30.0 * f64::from(i)).collect();
        let scenario = self.scenario();
        let found =
            sample(&scenario, &times, &crate::kit::addresses(&scenario, &columns)).expect("a run");
        let value =
            |name: &str, i: usize| found.iter().find(|c| c.name == name).expect(name).values[i];
        let mut dice = Dice::new(self.seed);
        let mut noise = |u: f64| dice.normal(u);
        let mut log = String::from("lamp box logger (invented)\n\n");
        for (i, t) in times.iter().enumerate() {
            let (m, s) = ((t / 60.0) as u32, (t % 60.0) as u32);
            let temp = value(&columns[0], i) + self.offset_k + noise(0.1);
            let rh = value(&columns[1], i) + noise(0.3);
            writeln!(
                log,
                "{:02}:{:02}:{s:02} -> hot T={temp:.2}C RH={rh:.2}%",
                13 + m / 60,
                m % 60
            )
            .expect("a line");
        }
        let mut notes = String::from("dry 3.08 g\nwet 6.04 g\ninto the box 13:00\n");
        for (i, clock) in [(60, "13:30"), (120, "14:00"), (180, "14:30")] {
            let mass = 3.08 + value(&columns[2], i) + noise(0.005);
            writeln!(notes, "{clock}  {mass:.2} g  lid open about 40 s").expect("a line");
        }
        fs::create_dir_all(at.join("raw")).expect("a folder");
        fs::write(at.join("raw/log.txt"), log).expect("a file");
        fs::write(at.join("raw/notes.txt"), notes).expect("a file");
        fs::write(at.join("run.toml"), RUN.replace("MORE", more)).expect("a file");
        fs::write(at.join("box.toml"), BOX).expect("a file");
    }
}

/// Exit code, standard output and standard error of `drybench fit`.
fn fit(at: &Path, words: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("drybench").expect("the program");
    let output = command.current_dir(at).arg("fit").args(words).output().expect("an answer");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code().unwrap_or(-1), text(&output.stdout), text(&output.stderr))
}

fn json(page: &str) -> Value {
    serde_json::from_str(page).expect("JSON")
}

/// Asserts that the interval of a parameter holds `truth` and is narrower than `share` of it.
fn holds(answer: &Value, name: &str, truth: f64, share: f64) {
    let all = answer["parameters"].as_array().expect("parameters");
    let row = all.iter().find(|p| p["name"] == name).expect(name);
    let (low, high) = (row["low"].as_f64(), row["high"].as_f64());
    let (low, high) = (low.expect("a lower end"), high.expect("an upper end"));
    assert!(low <= truth && truth <= high, "{name}: {truth} is not in {low} to {high}");
    assert!(high - low < share * truth, "{name}: {low} to {high} says little");
}

const LOSS: &str = "enclosure.wall_loss=0.5..3 W/K";
const CAPACITY: &str = "enclosure.wall_heat_capacity=300..3000 J/K";
const FILM_PATH: &str = "load.pad.coefficient_factor";
const FILM: &str = "load.pad.coefficient_factor=0.5..3";

#[test]
fn a_folder_gives_back_what_went_in_though_its_sensor_reads_wrong() {
    let at = tempfile::tempdir().expect("a folder");
    TRUTH.folder(&at.path().join("lamp"), "");
    let free = ["lamp", "--free", LOSS, "--free", CAPACITY, "--free", FILM];
    let (code, page, talk) = fit(at.path(), &[&free[..], &["--format", "json"]].concat());
    assert_eq!(code, 0, "{talk}");
    let answer = json(&page);
    holds(&answer, "enclosure.wall_loss", TRUTH.wall_loss, 0.1);
    holds(&answer, "enclosure.wall_heat_capacity", TRUTH.capacity, 0.2);
    holds(&answer, "load.pad.coefficient_factor", TRUTH.coefficient_factor, 0.1);
    // The last tenth of the water leaves just before the run ends: a little slower, and it does not.
    let late = fit(at.path(), &[&free[..], &["--plan", "t90_min"]].concat());
    assert_eq!(late.0, 3, "{}", late.2);
    let why = "--plan t90_min is not reached within the run where load.pad.coefficient_factor is a little different";
    assert!(late.2.contains(why) && late.2.contains("raise run.duration"), "{}", late.2);
    let (code, page, talk) = fit(at.path(), &[&free[..], &["--plan", "t50_min"]].concat());
    assert_eq!(code, 0, "{talk}");
    for words in [
        "the room is held at 23 °C and 45 %RH, as noted in run.toml",
        "3 lid openings replayed",
        "load.pad.water is 2.96 ± 0.004",
        "readings left out: ",
        "taken as given: each weighing is taken as a lid opening of 40 s",
        "while the lid was open",
        "60 ± 20 % of the gas swapped in 3 of them is a guess",
        "hot humidity as vapour pressure",
        "water remaining by the scale",
        "clocks read to the minute are taken as right within 30 s",
        "Errors of inputs and sensors, in the intervals",
        "What would tell more about t50_min (now ",
        "weigh every 15 min: pad_water_remaining_g",
        "repeat it, log every 10 s",
    ] {
        assert!(page.contains(words), "{words} is not in:\n{page}");
    }
}

#[test]
fn runs_share_a_wall_and_predict_another() {
    let at = tempfile::tempdir().expect("a folder");
    let heater = "[event.late]\nkind = \"note\"\nat = \"13:20\"\n";
    for (name, coefficient_factor, seed) in [("one", 1.3, 1), ("two", 1.0, 2), ("three", 1.3, 3)] {
        Truth { coefficient_factor, seed, offset_k: 0.0, ..TRUTH }
            .folder(&at.path().join(name), heater);
    }
    let words = [
        "one",
        "two",
        "--hold-out-run",
        "three",
        "--free",
        LOSS,
        "--free",
        CAPACITY,
        "--free-per-run",
        FILM,
        "--starts",
        "1",
    ];
    let (code, page, talk) =
        fit(at.path(), &[&words[..], &["--format", "json", "-o", "out"]].concat());
    assert_eq!(code, 0, "{talk}");
    let answer = json(&page);
    the_figures_tell_all(&at.path().join("out"));
    holds(&answer, "enclosure.wall_loss", TRUTH.wall_loss, 0.1);
    holds(&answer, "load.pad.coefficient_factor in one", 1.3, 0.1);
    holds(&answer, "load.pad.coefficient_factor in two", 1.0, 0.1);
    let held = answer["held_out"].as_array().expect("held out");
    assert!(held.iter().all(|h| h["run"] == "three"), "{held:?}");
    let hot = held.iter().find(|h| h["name"] == "hot temperature").expect("a series");
    assert_eq!(hot["unit"], "°C");
    assert!(hot["rmse"].as_f64().expect("a number") < 0.5, "{hot}");
    assert!(hot["coverage"].as_f64().expect("a number") > 0.9, "{hot}");
    let notes = answer["notes"].to_string();
    assert!(notes.contains("one: not replayed, a scenario does not know it: late"), "{notes}");
}

/// Each of three runs has figures with all that was compared, the third as predicted.
fn the_figures_tell_all(out: &Path) {
    let read = |name: &str| fs::read_to_string(out.join(name)).unwrap_or_default();
    for (stem, readings) in [("fit_1", "fitted"), ("fit_2", "fitted"), ("predicted", "held out")] {
        let table = read(&format!("{stem}.csv")) + &read(&format!("{stem}_mass.csv"));
        for series in [
            "Temperature,hot temperature",
            "Vapour pressure,hot humidity",
            "Mass,water remaining by the scale",
        ] {
            assert!(table.contains(&format!("{series},")), "{stem}: no model of {series}");
            let row = format!("{series}, {readings} readings\"");
            let quoted = row.replacen(',', ",\"", 1);
            assert!(table.contains(&quoted), "{stem}: {quoted} is not in:\n{}", &table[..500]);
        }
        let other = if readings == "fitted" { "held out readings" } else { "fitted readings" };
        assert!(!table.contains(other), "{stem}: {other}");
    }
    let picture = read("fit_2.svg");
    assert!(
        picture.contains("Fit of several runs: two")
            && picture.contains("load pad coefficient factor")
    );
    assert!(!picture.contains("from here on held out"), "nothing of this run was held out");
    let picture = read("predicted.svg");
    assert!(picture.contains("Predicted, not fitted: three"), "{picture}");
    assert!(picture.contains("none of them fitted") && picture.contains("dashed"), "{picture}");
}

#[test]
fn a_run_twice_and_a_prediction_of_nothing_are_refused() {
    let at = tempfile::tempdir().expect("a folder");
    for name in ["one", "two"] {
        TRUTH.folder(&at.path().join(name), "");
    }
    let refused = |words: &[&str], wanted: &[&str]| {
        let (code, _, talk) = fit(at.path(), &[words, &["--free", LOSS]].concat());
        assert_eq!(code, 3, "{talk}");
        wanted.iter().for_each(|w| assert!(talk.contains(w), "{w} is not in:\n{talk}"));
    };
    refused(&["one", "two", "one"], &["one is given twice", "name it once"]);
    refused(&["one", "./one/"], &["one and ./one/ are the same", "count twice"]);
    refused(
        &["one", "--hold-out-run", "two/../one"],
        &["one and two/../one are the same", "cannot be fitted and held out at once"],
    );
    refused(
        &["one", "--hold-out-run", "two", "--hold-out-run", "./two"],
        &["two and ./two are the same"],
    );
    // A film that is full all the time, and nothing weighed: nothing to compare a prediction with.
    let run = RUN.replace(
        "[weighings]\nfile = \"raw/notes.txt\"\nMORE",
        "[event.open]\nkind = \"lid_open\"\nat = \"13:00\"\nduration = \"3 h\"\n",
    );
    fs::write(at.path().join("two/run.toml"), run).expect("a file");
    refused(&["one", "--hold-out-run", "two"], &["two", "no usable reading"]);
}

#[test]
fn boxes_that_differ_in_a_set_point_alone_are_the_same_box() {
    let at = tempfile::tempdir().expect("a folder");
    let with = |set_c: u32, loss: &str| {
        let control = format!(
            "kind = \"pi\"\nset_point = \"{set_c} °C\"\nsensor = \"hot\"\n\
             [sensor.hot]\nzone = \"air\"\ntime_constant = \"45 s\""
        );
        BOX.replace("kind = \"always_on\"", &control).replace("1.3 W/K", loss)
    };
    for (name, set_c, loss) in
        [("one", 45, "1.3 W/K"), ("two", 50, "1.3 W/K"), ("three", 50, "1.4 W/K")]
    {
        TRUTH.folder(&at.path().join(name), "");
        fs::write(at.path().join(name).join("box.toml"), with(set_c, loss)).expect("a file");
    }
    let told = |other: &str| {
        let words = ["one", other, "--free", FILM, "--starts", "0", "--plan", FILM_PATH];
        let (_, page, talk) = fit(at.path(), &words);
        assert!(page.contains("Parameters"), "{page}{talk}");
        // Of several runs it is told where the further measurement would be taken.
        assert!(page.contains("more about load.pad.coefficient_factor, measured in one"), "{page}");
        assert!(page.contains("repeat one"), "{page}");
        page.lines().find(|l| l.contains("differ, each keeps its own")).map(str::to_owned)
    };
    assert_eq!(told("two"), None);
    let words = told("three").expect("a note");
    assert!(words.contains("enclosure.wall_loss (1.3 W/K and 1.4 W/K)"), "{words}");
    assert!(!words.contains("steady"), "{words}");
}

#[test]
fn the_felt_run_says_what_its_pad_was_made_with() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let words = ["felt_run", "--free", FILM, "--cycle-means", "10 min", "--starts", "0"];
    // Its data are of a pad that stays wet at its surface until it is dry.
    let wet = ["--set", "load.pad.critical_moisture=2 %", "--format", "json"];
    let (code, page, talk) = fit(&folder, &[&words[..], &wet].concat());
    assert_eq!(code, 0, "{talk}");
    let answer = json(&page);
    // Its texts come from a simulation with a factor of 1; the room's drift and all roundings are in them.
    let value = answer["parameters"][0]["value"].as_f64().expect("a number");
    assert!((value - 1.0).abs() < 0.03, "{value}");
    let series = answer["series"].as_array().expect("series");
    let hot = series.iter().find(|s| s["name"] == "hot temperature").expect("a series");
    assert!(hot["rms"].as_f64().expect("a number") < 0.3, "{hot}");
}

#[test]
fn the_end_of_the_felt_run_is_predicted_though_its_meter_was_read_only_there() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let late = ["--hold-out-after", "150 min", "--starts", "0", "--format", "json"];
    let words = ["felt_run", "--free", FILM, "--cycle-means", "10 min"];
    let (code, page, talk) = fit(&folder, &[&words[..], &late[..]].concat());
    assert_eq!(code, 0, "{talk}");
    let answer = json(&page);
    let held = answer["held_out"].as_array().expect("held out");
    let row = |name: &str| held.iter().find(|h| h["name"] == name).expect(name);
    assert!(row("hot temperature")["rmse"].as_f64().expect("a number") < 0.3, "{held:?}");
    assert_eq!(row("energy by the meter")["count"], 1);
}

#[test]
fn a_logged_heater_is_replayed_and_a_surface_is_compared() {
    let at = tempfile::tempdir().expect("a folder");
    let lamp = at.path().join("lamp");
    let spot = "[spot.lid]\nreading = \"35 ± 1 °C\"\nemissivity = \"0.92 ± 0.03\"\nat = \"14:00\"\n\
                [event.off]\nkind = \"heater_off\"\nat = \"14:20\"\n";
    TRUTH.folder(&lamp, spot);
    let (code, page, talk) = fit(at.path(), &["lamp", "--free", LOSS, "--starts", "0"]);
    assert_eq!(code, 0, "{talk}");
    assert!(page.contains("replayed as the mains switched"), "{page}");
    assert!(page.contains("spot.lid is not compared: the box's wall has no outside"), "{page}");
    let text = fs::read_to_string(lamp.join("raw/log.txt")).expect("a log");
    let with =
        |line: &str| if line.contains("->") { format!("{line} heater=1") } else { line.into() };
    let lines: Vec<String> = text.lines().map(with).collect();
    fs::write(lamp.join("raw/log.txt"), lines.join("\n")).expect("a file");
    let (code, page, talk) = fit(at.path(), &["lamp", "--free", LOSS, "--starts", "0"]);
    assert_eq!(code, 0, "{talk}");
    assert!(page.contains("the heater follows the log"), "{page}");
}

#[test]
fn what_is_wrong_is_told_with_the_file_and_what_to_type() {
    let at = tempfile::tempdir().expect("a folder");
    let lamp = at.path().join("lamp");
    TRUTH.folder(&lamp, "");
    let refused = |words: &[&str], wanted: &[&str]| {
        let (code, _, talk) = fit(at.path(), words);
        assert_eq!(code, 3, "{talk}");
        wanted.iter().for_each(|w| assert!(talk.contains(w), "{w} is not in:\n{talk}"));
    };
    refused(&["lamp"], &["no parameter is free", "--free \"enclosure.wall_loss=0.5..3 W/K\""]);
    refused(&["nothing", "--free", LOSS], &["there is no nothing", "drybench new run"]);
    refused(&["lamp/box.toml", "--free", LOSS], &["no folder of a measured run", "--data"]);
    refused(
        &["lamp", "--free", "enclosure.wall_los=1..2 W/K"],
        &["did you mean enclosure.wall_loss?"],
    );
    refused(&["lamp", "--free", LOSS, "--map", "a=b"], &["--map goes with --data"]);
    refused(&["lamp", "--data", "x.csv", "--free", LOSS], &["--data goes with one scenario file"]);
    refused(
        &["lamp", "--free", LOSS, "--cycle-means", "20 s"],
        &["lamp: no 20 s hold two readings of a sensor", "they come every 30 s"],
    );
    fs::remove_file(lamp.join("box.toml")).expect("a file");
    refused(&["lamp", "--free", LOSS], &["lamp: has no model of its box", "--box box.toml"]);
    fs::write(at.path().join("other.toml"), BOX).expect("a file");
    let (code, page, talk) = fit(
        at.path(),
        &[
            "lamp",
            "--box",
            "other.toml",
            "--free",
            "heater.supply_voltage=80..120 %",
            "--free",
            "sensor.hot.offset_humidity=-5..5 %RH",
            "--starts",
            "0",
        ],
    );
    assert_eq!(code, 0, "{page}{talk}");
}

#[test]
fn fahrenheit_too_few_readings_and_no_effect_are_noticed() {
    let at = tempfile::tempdir().expect("a folder");
    let lamp = at.path().join("lamp");
    TRUTH.folder(&lamp, "");
    let text = fs::read_to_string(lamp.join("raw/log.txt")).expect("a log");
    let (code, page, _) = fit(
        at.path(),
        &["lamp", "--free", LOSS, "--free", "vent.low.height=20..150 mm", "--starts", "0"],
    );
    assert_eq!(code, 0, "{page}");
    assert!(page.contains("vent.low.height is flat") && page.contains("leave it out"), "{page}");
    // A log that claims degrees Celsius and holds Fahrenheit.
    let hot = |line: &str| -> String {
        let Some((head, rest)) = line.split_once("T=") else { return line.into() };
        let (number, tail) = rest.split_once('C').expect("a temperature");
        let f = 1.8 * number.parse::<f64>().expect("a number") + 32.0;
        format!("{head}T={f:.2}C{tail}")
    };
    let lines: Vec<String> = text.lines().map(hot).collect();
    fs::write(lamp.join("raw/log.txt"), lines.join("\n")).expect("a file");
    let (code, _, talk) = fit(at.path(), &["lamp", "--free", LOSS]);
    assert!(
        code == 3 && talk.contains("lamp: hot temperature looks like degrees Fahrenheit"),
        "{talk}"
    );
    assert!(talk.contains("temperature_unit = \"F\""), "{talk}");
    let few: Vec<&str> = text.lines().take(4).collect();
    fs::write(lamp.join("raw/log.txt"), few.join("\n")).expect("a file");
    fs::write(
        lamp.join("run.toml"),
        RUN.replace("[weighings]\nfile = \"raw/notes.txt\"\nMORE", ""),
    )
    .expect("a file");
    let words = [
        "lamp",
        "--keep-humidity",
        "--free",
        LOSS,
        "--free",
        CAPACITY,
        "--free",
        FILM,
        "--free",
        "heater.power=20..80 W",
        "--free",
        "heater.coupling=1..10 W/K",
    ];
    let (code, _, talk) = fit(at.path(), &words);
    assert!(code == 3 && talk.contains("4 data cannot give 5 parameters"), "{talk}");
    assert!(talk.contains("lamp") && talk.contains("free fewer parameters"), "{talk}");
}

#[test]
fn columns_of_a_log_that_nothing_is_compared_with_are_listed_and_clocks_with_seconds_are_believed()
{
    let at = tempfile::tempdir().expect("a folder");
    let lamp = at.path().join("lamp");
    TRUTH.folder(&lamp, "");
    let run = |start: &str| {
        format!(
            "title = \"Two sensors\"\n{start}[room]\ntemperature = \"20 °C\"\nrelative_humidity = \"50 %RH\"\n\
             [log.box]\nfile = \"raw/log.txt\"\n[sensor.cold]\nchannel = \"cold\"\n"
        )
    };
    let mut log = String::new();
    for i in 0..60 {
        let (m, s, t) = (i / 2, 30 * (i % 2), 20.0 + 0.3 * f64::from(i));
        let _ =
            writeln!(log, "13:{m:02}:{s:02} a=1 cold T={t:.2}C RH=48.0% bench T=20.50C moist=47.0");
    }
    fs::write(lamp.join("raw/log.txt"), log).expect("a file");
    fs::write(lamp.join("run.toml"), run("")).expect("a file");
    let words = ["lamp", "--free", LOSS, "--starts", "0"];
    let (_, page, talk) = fit(at.path(), &words);
    let told = "not compared, of [log.box]: the relative humidity of no named sensor (no temperature stands \
                beside it), a (not known), moist (not known)";
    assert!(page.contains(told), "{page}{talk}");
    assert!(!page.contains("to the minute"), "the log's clock has seconds:\n{page}");
    fs::write(lamp.join("run.toml"), run("start = \"13:00\"\n")).expect("a file");
    let (_, page, talk) = fit(at.path(), &words);
    let told = "the start, noted to the minute, is taken as right within 30 s, ± 17 s";
    assert!(page.contains(told), "{page}{talk}");
    // Means that cannot be.
    let (code, _, talk) = fit(at.path(), &[&words[..], &["--cycle-means", "3 h"]].concat());
    assert!(code == 3 && talk.contains("lamp: 3 h are longer than its readings"), "{talk}");
}
