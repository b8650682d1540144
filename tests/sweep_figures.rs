//! What a sweep tells besides its rows: the meaning of its columns, its figures, what decides it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tempfile::TempDir;

fn scenario(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(name)
}

/// A sweep of one box with runs of so long.
fn sweep_of(duration: &str, more: &[&str]) -> Output {
    sweep_box("one_small_hole.toml", duration, more)
}

fn sweep_box(name: &str, duration: &str, more: &[&str]) -> Output {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("drybench"));
    command.arg("sweep").arg(scenario(name));
    command.args(["--set", &format!("run.duration={duration}")]).args(more);
    command.output().expect("the program starts")
}

fn sweep(more: &[&str]) -> Output {
    sweep_of("1 min", more)
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Standard error of a sweep that must succeed.
fn done(output: &Output) -> String {
    assert!(output.status.success(), "{}", said(output));
    said(output)
}

fn read(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join(name)).expect(name)
}

fn at(folder: &Path) -> &str {
    folder.to_str().expect("a plain path")
}

/// Cells of a table, row by row, the head first.
fn cells(text: &str) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
    reader.records().map(|r| r.expect("a row").iter().map(str::to_owned).collect()).collect()
}

const POWERS: &str = "heater.power=60 W, 120 W";

#[test]
fn every_column_of_the_table_is_explained() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    done(&sweep(&["--axis", POWERS, "-o", at(&out)]));
    let heads = cells(&read(&out, "cases.csv")).remove(0);
    let columns = cells(&read(&out, "columns.csv"));
    assert_eq!(columns[0], ["column", "unit", "meaning", "definition"]);
    let explained: Vec<&String> = columns[1..].iter().map(|c| &c[0]).collect();
    assert_eq!(explained, heads.iter().collect::<Vec<_>>());
    // The threshold by which a film may be there without a time of condensation.
    let wet = columns.iter().find(|c| c[0] == "condensation_min").unwrap();
    assert!(wet[2].contains("over 0.1 g") && wet[1] == "min", "{wet:?}");
    assert!(columns[1..].iter().all(|c| !c[2].is_empty()), "{columns:?}");
}

#[test]
fn equal_values_in_different_units_are_refused() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    let refused = sweep(&["--axis", "vent.only.diameter=1 mm,0.1 cm", "-o", at(&out)]);
    assert_eq!(refused.status.code(), Some(3));
    let text = said(&refused);
    assert!(text.contains("has 1 mm twice, the second time as 0.1 cm"), "{text}");
    assert!(!out.exists());
}

#[test]
fn an_uncertainty_may_be_a_percentage() {
    let tmp = TempDir::new().unwrap();
    let drawn = |name: &str, typed: &str| {
        let out = tmp.path().join(name);
        done(&sweep(&["--axis", typed, "--latin", "8", "-o", at(&out)]));
        read(&out, "cases.csv")
    };
    let percent = drawn("percent", "heater.power=160 W ± 5 %");
    assert_eq!(percent, drawn("watts", "heater.power=160 W ± 8 W"));
    let odd = ["--axis", "room.temperature=21 °C ± 5 %", "--latin", "8", "--dry-run"];
    let text = said(&sweep(&odd));
    assert!(text.contains("write \"50 °C ± 0.5 K\""), "{text}");
}

#[test]
fn a_file_where_a_folder_belongs_is_named() {
    let tmp = TempDir::new().unwrap();
    let file = tmp.path().join("notes.txt");
    fs::write(&file, "mine").unwrap();
    let refused = sweep(&["--axis", POWERS, "-o", at(&file)]);
    assert_eq!(refused.status.code(), Some(5));
    let text = said(&refused);
    assert!(text.contains("is a file") && text.contains("write a folder after -o"), "{text}");
    let program = assert_cmd::cargo::cargo_bin!("drybench");
    let merge = ["sweep", "--merge", at(tmp.path()), "-o", at(&file)];
    for arguments in [&merge[..], &["new", "run", "-o", at(&file)]] {
        let refused = Command::new(program).args(arguments).output().unwrap();
        let text = said(&refused);
        assert!(text.contains("is a file"), "{arguments:?}: {text}");
    }
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
}

#[test]
fn shares_of_all_results_are_kept_whether_asked_for_or_not() {
    let tmp = TempDir::new().unwrap();
    let axes = ["--axis", "heater.power=100..200 W", "--axis", "load.pad.water", "--indices", "16"];
    let table = |name: &str, more: &[&str]| {
        let out = tmp.path().join(name);
        let text = done(&sweep(&[&axes[..], &["-o", at(&out)], more].concat()));
        (read(&out, "sensitivity.csv"), text)
    };
    let (plain, text) = table("plain", &[]);
    assert!(text.contains("sensitivity.csv tells") && text.contains("--sensitivity"), "{text}");
    let rows = cells(&plain);
    let of = |key: &str| rows.iter().filter(|r| r[1] == key).count();
    assert_eq!((of("energy_Wh"), of("breathed_L")), (2, 2), "{plain}");
    assert_eq!(table("asked", &["--sensitivity", "energy_Wh"]).0, plain);
}

/// Numbers written in a picture, in the order of its words.
fn words(svg: &str) -> Vec<String> {
    let text = |part: &str| Some(part.split_once('>')?.1.split_once('<')?.0.trim().to_owned());
    svg.split("<text").skip(1).filter_map(text).collect()
}

#[test]
fn an_axis_of_ratios_is_drawn_in_ratios() {
    let tmp = TempDir::new().unwrap();
    let drawn = |name: &str, end: &str| {
        let out = tmp.path().join(name);
        let diameters = format!("vent.only.diameter=1..10 mm count 7{end}");
        let axes = ["--axis", &diameters, "--axis", "heater.power=60 W, 120 W"];
        let figures = ["--plot", "breathed_L", "--map", "breathed_L", "-o", at(&out)];
        done(&sweep(&[&axes[..], &figures].concat()));
        ["breathed_L.svg", "map_breathed_L.svg"].map(|n| words(&read(&out, n)))
    };
    for picture in drawn("ratios", " log") {
        for tick in ["1", "2", "5", "10"] {
            assert!(picture.iter().any(|w| w == tick), "{tick}: {picture:?}");
        }
        // The steps themselves are no round numbers.
        assert!(!picture.iter().any(|w| w == "1.468"), "{picture:?}");
    }
    let [plot, map] = drawn("even", "");
    assert!(map.iter().any(|w| w == "2.5") && plot.iter().any(|w| w == "4"), "{map:?} {plot:?}");
}

#[test]
fn the_table_of_a_trade_off_leads_back_to_the_cases() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    let goals = "--tradeoff=energy_Wh,breathed_L>";
    done(&sweep(&["--axis", "heater.power=60..120 W step 20 W", goals, "-o", at(&out)]));
    let table = cells(&read(&out, "tradeoff.csv"));
    assert_eq!(table[0], ["case", "scenario", "heater.power", "energy_Wh", "breathed_L", "front"]);
    let cases = cells(&read(&out, "cases.csv"));
    let energy = cases[0].iter().position(|h| h == "energy_Wh").unwrap();
    assert_eq!(table.len(), cases.len());
    for row in &table[1..] {
        let case = &cases[1 + row[0].parse::<usize>().unwrap()];
        assert_eq!((&row[2], &row[3]), (&case[2], &case[energy]), "{row:?}");
    }
}

#[test]
fn a_label_names_the_steps_of_a_pair_in_tables_lines_and_maps() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    let pair = |more: &[&str]| sweep_box("two_holes_two_zones.toml", "2 min", more);
    let labelled = "label=one, \"two, far\"; vent.high.count=0, 1; vent.high.zone=return, supply";
    let args = ["--axis", "vent.low.diameter=3, 5 mm", "--pair", labelled];
    let figures = ["--plot", "peak_air_C", "--map", "peak_air_C", "-o", at(&out)];
    // A bare 3 takes no unit from its neighbour.
    assert_eq!(pair(&[&args[..], &figures[..]].concat()).status.code(), Some(3));
    let args = ["--axis", "vent.low.diameter=3 mm, 5 mm", "--pair", labelled];
    done(&pair(&[&args[..], &figures[..]].concat()));
    let table = cells(&read(&out, "cases.csv"));
    let label = table[0].iter().position(|h| h == "label").unwrap();
    let told: Vec<&str> = table[1..].iter().map(|r| r[label].as_str()).collect();
    assert_eq!(told, ["one", "two, far", "one", "two, far"]);
    let lines = words(&read(&out, "peak_air_C.svg"));
    assert!(["one", "two, far"].iter().all(|n| lines.iter().any(|w| w == n)), "{lines:?}");
    assert!(!lines.iter().any(|w| w.contains("high zone")), "{lines:?}");
    let map = words(&read(&out, "map_peak_air_C.svg"));
    assert!(["one", "two, far"].iter().all(|n| map.iter().any(|w| w == n)), "{map:?}");
    // Of two labels each needs a name.
    let twice = ["--pair", "label=a, b; heater.power=100 W, 120 W", "-o", at(&out), "--resume"];
    let text = said(&pair(&[&args[..], &twice[..]].concat()));
    assert!(text.contains("label is on two axes") && text.contains("label.one"), "{text}");
}

#[test]
fn what_simulate_warns_of_stands_in_the_row() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    let holes = "vent.low.diameter=0.5 mm, 5 mm";
    let args = ["--axis", holes, "--set", "vent.high.count=0", "-o", at(&out)];
    done(&sweep_box("two_holes_two_zones.toml", "2 min", &args));
    let table = cells(&read(&out, "cases.csv"));
    let at = table[0].iter().position(|h| h == "warnings").unwrap();
    assert!(table[1][at].contains("the pressure in the box reaches"), "{}", table[1][at]);
    assert!(!table[2][at].contains("pressure"), "{}", table[2][at]);
    let first = read(&out, "cases.jsonl").lines().next().unwrap().to_owned();
    let row: serde_json::Value = serde_json::from_str(&first).unwrap();
    let told = row["warnings"].as_array().unwrap();
    assert!(told.iter().any(|w| w.as_str().unwrap().contains("pressure")), "{told:?}");
}
