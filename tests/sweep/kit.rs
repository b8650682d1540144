//! Sweeps as typed, and what they leave behind.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

pub const DIAMETERS: &str = "vent.only.diameter=1..8 mm count 50";

pub const POWERS: &str = "heater.power=60 W, 120 W";

pub const DRAWN: [&str; 4] = ["--axis", "heater.power=100..200 W", "--axis", "load.pad.water"];

pub fn scenario(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(name)
}

/// A sweep of one box with runs of one minute.
pub fn sweep(more: &[&str]) -> Command {
    sweep_box("one_small_hole.toml", "1 min", more)
}

/// A sweep of a bundled box with runs of so long.
pub fn sweep_box(name: &str, duration: &str, more: &[&str]) -> Command {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("drybench"));
    command.arg("sweep").arg(scenario(name));
    command.args(["--set", &format!("run.duration={duration}")]).args(more);
    command
}

pub fn run(mut command: Command) -> Output {
    command.output().expect("the program starts")
}

pub fn done(command: Command) -> Output {
    let output = run(command);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    output
}

/// Standard error of a command that must succeed.
pub fn noted(command: Command) -> String {
    String::from_utf8_lossy(&done(command).stderr).into_owned()
}

/// Exit code and standard error of a command that must fail.
pub fn refused(command: Command) -> (Option<i32>, String) {
    let output = run(command);
    assert!(!output.status.success(), "it was accepted");
    (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned())
}

pub fn tables(folder: &Path) -> [String; 2] {
    ["cases.csv", "cases.jsonl"].map(|n| fs::read_to_string(folder.join(n)).expect("a table"))
}

pub fn at(folder: &Path) -> &str {
    folder.to_str().expect("a plain path")
}

pub fn read(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join(name)).expect(name)
}

/// Cells of a table, row by row, the head first.
pub fn cells(text: &str) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
    reader.records().map(|r| r.expect("a row").iter().map(str::to_owned).collect()).collect()
}

/// Cells of a column of a table, by its head.
pub fn column(csv: &str, head: &str) -> Vec<String> {
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let at = reader.headers().unwrap().iter().position(|h| h == head).expect("a column");
    reader.records().map(|r| r.unwrap()[at].to_owned()).collect()
}
