//! What a folder may hold: another sweep, damaged tables, another run.

use std::fs;
use std::process::{Command, Stdio};

use tempfile::TempDir;

use crate::kit::{DIAMETERS, POWERS, at, done, refused, scenario, sweep, tables};

#[test]
fn another_sweep_in_the_folder_is_refused_with_the_difference() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    done(sweep(&["--axis", POWERS, "-o", at(&out)]));
    let (code, text) = refused(sweep(&["--axis", POWERS, "-o", at(&out)]));
    assert_eq!(code, Some(5));
    assert!(text.contains("--resume"), "{text}");
    let other = ["--axis", "heater.power=60 W, 130 W", "-o", at(&out), "--resume"];
    let (code, text) = refused(sweep(&other));
    assert_eq!(code, Some(3));
    for part in [
        "the two differ in the axes",
        "there: heater.power=60 W, 120 W",
        "now:   heater.power=60 W, 130 W",
    ] {
        assert!(text.contains(part), "{text}");
    }
    let set = ["--axis", POWERS, "-o", at(&out), "--resume", "--set", "fan.circulation=8 L/s"];
    let (_, text) = refused(sweep(&set));
    assert!(text.contains("the two differ in the fixed values"), "{text}");
}

#[test]
fn of_a_changed_scenario_the_values_are_told() {
    let tmp = TempDir::new().unwrap();
    let (own, out) = (tmp.path().join("box.toml"), tmp.path().join("out"));
    let text = fs::read_to_string(scenario("one_small_hole.toml")).unwrap();
    fs::write(&own, &text).unwrap();
    let typed = |more: &[&str]| {
        let mut command = Command::new(assert_cmd::cargo::cargo_bin!("drybench"));
        command.arg("sweep").arg(&own).args(["--set", "run.duration=1 min", "--axis", POWERS]);
        command.args(["-o", at(&out)]).args(more);
        command
    };
    done(typed(&[]));
    let old = text.lines().find(|l| l.starts_with("circulation")).expect("a circulation");
    fs::write(&own, text.replace(old, "circulation = \"1.5 L/s\"")).unwrap();
    let (code, text) = refused(typed(&["--resume"]));
    assert_eq!(code, Some(3));
    let told = text.contains("differ in the scenario\n")
        && text.contains("now:   box: fan.circulation = ");
    assert!(told, "{text}");
}

#[test]
fn series_are_cut_to_whole_cases_on_resume() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    let typed = ["--axis", DIAMETERS, "--series", "water_in_box_g", "-o", at(&out)];
    done(sweep(&typed));
    let series = out.join("series.csv");
    let whole = (tables(&out), fs::read_to_string(&series).unwrap());
    // the series of three more cases than there are rows, the last line torn
    let rows: String = whole.0[0].lines().take(21).map(|l| format!("{l}\n")).collect();
    fs::write(out.join("cases.csv"), rows).unwrap();
    fs::write(&series, &whole.1[..whole.1.find("\n23,").unwrap() + 3]).unwrap();
    done(sweep(&[&typed[..], &["--resume"]].concat()));
    assert_eq!(whole, (tables(&out), fs::read_to_string(&series).unwrap()));
    let (_, text) = refused(sweep(&["--axis", DIAMETERS, "-o", at(&out), "--resume"]));
    assert!(text.contains("the two differ in the series kept"), "{text}");
}

#[test]
fn two_runs_in_one_folder_do_not_meet() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    let axis = "vent.only.diameter=1..9 mm count 400";
    let start = || {
        let mut command = sweep(&["--axis", axis, "-o", at(&out), "--resume"]);
        command.stderr(Stdio::piped()).spawn().unwrap()
    };
    let both = [start(), start()].map(|child| child.wait_with_output().unwrap());
    let table = fs::read_to_string(out.join("cases.csv")).unwrap();
    assert_eq!(table.lines().count(), 401);
    // Whichever came second was refused, or found all cases there if it came late.
    for end in both {
        let said = String::from_utf8_lossy(&end.stderr).into_owned();
        let told = said.contains("another drybench is writing into");
        assert!(end.status.success() != told && (!told || end.status.code() == Some(5)), "{said}");
    }
    done(sweep(&["--axis", axis, "-o", at(&out), "--resume"]));
}

#[test]
fn a_file_where_a_folder_belongs_is_named() {
    let tmp = TempDir::new().unwrap();
    let file = tmp.path().join("notes.txt");
    fs::write(&file, "mine").unwrap();
    let (code, text) = refused(sweep(&["--axis", POWERS, "-o", at(&file)]));
    assert_eq!(code, Some(5));
    assert!(text.contains("is a file") && text.contains("write a folder after -o"), "{text}");
    let program = assert_cmd::cargo::cargo_bin!("drybench");
    let merge = ["sweep", "--merge", at(tmp.path()), "-o", at(&file)];
    for arguments in [&merge[..], &["new", "run", "-o", at(&file)]] {
        let mut command = Command::new(program);
        command.args(arguments);
        let (_, text) = refused(command);
        assert!(text.contains("is a file"), "{arguments:?}: {text}");
    }
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
}
