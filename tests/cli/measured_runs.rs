//! From a messy log to a table in three commands, and what is said on the way.

use std::fs;
use std::path::Path;

use assert_cmd::Command;

fn drybench() -> Command {
    Command::cargo_bin("drybench").expect("the program")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

const LOG: &str = include_str!("../../scenarios/felt_run/raw/log.txt");
const NOTES: &str = include_str!("../../scenarios/felt_run/raw/notes.txt");

fn texts(folder: &Path) {
    fs::write(folder.join("serial.txt"), LOG).expect("a file");
    fs::write(folder.join("notes.txt"), NOTES).expect("a file");
}

#[test]
fn three_commands_from_a_log_to_a_table() {
    let folder = tempfile::tempdir().expect("a folder");
    texts(folder.path());
    let run = |arguments: &[&str]| drybench().current_dir(folder.path()).args(arguments).assert();
    run(&["new", "run", "--log", "serial.txt", "--weighings", "notes.txt", "-o", "felt"]).code(0);
    // The raw text is untouched.
    assert_eq!(fs::read_to_string(folder.path().join("felt/raw/serial.txt")).unwrap(), LOG);
    let check = run(&["check", "felt"]).code(0);
    let said = text(&check.get_output().stdout);
    assert!(said.contains("426 lines = 419 readings + 3 partial readings"), "{said}");
    assert!(said.contains("30.0 min  noted, and the log shows it"), "{said}");
    assert!(said.contains("2 meter readings"), "{said}");
    let table = run(&["assess", "felt", "-o", "out", "--set", "control.set_point=50 °C"]).code(0);
    let said = text(&table.get_output().stdout);
    for words in [
        "time to remove 90 % of the added water                90 to 120 min",
        "share of the added water removed                  103.72 ± 0.99 %",
        "104 % is gone",
        "overshoot at the control sensor (hot)               2.10 ± 0.58 K",
        "energy per gram removed",
        "vented                                                        -  no flow known",
    ] {
        assert!(said.contains(words), "{words}\n{said}");
    }
    for file in [
        "figures.csv",
        "figures.json",
        "readings.png",
        "humidity.svg",
        "weighings.csv",
        "clean_serial.csv",
        "clean_weighings.csv",
    ] {
        assert!(folder.path().join("out").join(file).exists(), "{file}");
    }
    let again = run(&["assess", "felt", "-o", "out"]).code(5);
    assert!(text(&again.get_output().stderr).contains("--force"));
}

#[test]
fn the_bundled_run_closes_its_balance() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/felt_run");
    let table = drybench().args(["assess", folder, "--format", "csv"]).assert().code(0);
    let said = text(&table.get_output().stdout);
    assert!(said.contains("the balance closes within its uncertainty"), "{said}");
    // The box of the invented run: 3.81 K between the sides, 57.8 and 102.7 min to 50 and 90 %.
    assert!(row_has(&said, "t50_min", "min,censoring"));
    let row = |key: &str| said.lines().find(|l| l.contains(key)).unwrap_or_default().to_owned();
    let cells: Vec<String> = row(",supply_minus_return_K,").split(',').map(str::to_owned).collect();
    let (value, u): (f64, f64) = (cells[3].parse().unwrap(), cells[4].parse().unwrap());
    assert!((value - 3.81).abs() < u, "{value} ± {u}");
    assert!(row(",t50_min,").contains(",30,60,"), "{}", row(",t50_min,"));
}

/// Whether the row of a figure holds some text.
fn row_has(table: &str, key: &str, words: &str) -> bool {
    table.lines().any(|l| l.contains(&format!(",{key},")) && l.contains(words))
}

#[test]
fn a_simulated_run_has_the_same_table() {
    let folder = tempfile::tempdir().expect("a folder");
    let scenario = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/two_holes_two_zones.toml");
    let out = folder.path().join("out");
    drybench().args(["simulate", scenario, "-o"]).arg(&out).assert().code(0);
    let table = drybench().arg("assess").arg(&out).assert().code(0);
    let said = text(&table.get_output().stdout);
    assert!(said.contains("simulated; value ± U (k = 2)"), "{said}");
    for words in ["time to remove 90 % of the added water", "supply side minus return side"] {
        assert!(said.contains(words), "{said}");
    }
}

#[test]
fn what_is_wrong_with_a_run_is_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let stderr = |arguments: &[&str], code: i32| {
        let done = drybench().current_dir(folder.path()).args(arguments).assert().code(code);
        text(&done.get_output().stderr)
    };
    let put =
        |name: &str, content: &str| fs::write(folder.path().join(name), content).expect("a file");
    assert!(stderr(&["assess", "nowhere"], 3).contains("drybench new run"));
    assert!(stderr(&["new", "run"], 3).contains("write its name"));
    assert!(stderr(&["new", "sealed", "--log", "a.txt"], 3).contains("drybench new run"));
    assert!(stderr(&["check", "."], 3).contains("holds no run.toml"));
    put("run.toml", "title = \"x\"\n[log.a]\nfile = \"a.txt\"\n[log.b]\nfile = \"b.txt\"\n");
    assert!(stderr(&["check", "."], 3).contains("a.txt: there is no such file"));
    // Two logs a year apart have no common time.
    put("a.txt", "time,temp_c,rh\n2026-03-14 10:00:00,20,50\n2026-03-14 10:01:00,21,50\n");
    put("b.txt", "time,temp_c,rh\n2027-03-14 10:00:00,20,50\n2027-03-14 10:01:00,21,50\n");
    let said = stderr(&["check", "."], 3);
    assert!(said.contains("b.txt has no time in common with a.txt"), "{said}");
    // A log without times is refused with the line to write into the description.
    put("a.txt", "sensor ok, period 30 s\nT=20 C RH=50 %\nT=21 C RH=50 %\nT=22 C RH=50 %\n");
    put("run.toml", "title = \"x\"\n[log.a]\nfile = \"a.txt\"\n");
    let said = stderr(&["check", "."], 3);
    assert!(said.contains("rite in [log.a] of run.toml:  interval = \"30 s\""), "{said}");
    // Notes without a unit, with the key to type.
    put("notes.txt", "10:30 5.39\n11:00 4.78\n");
    put("run.toml", "title = \"x\"\n[weighings]\nfile = \"notes.txt\"\n");
    let said = stderr(&["check", "."], 3);
    assert!(said.contains("in [weighings] of run.toml:  mass_unit = \"g\""), "{said}");
    put("run.toml", "title = \"x\"\n[log.a]\nfile = \"a.txt\"\ninterval = \"30 s\"\n");
    assert!(!stderr(&["check", "."], 0).contains("error"));
}
