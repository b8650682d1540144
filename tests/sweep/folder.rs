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
fn damaged_tables_are_told_by_their_line() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    let typed = ["--axis", DIAMETERS, "-o", at(&out)];
    done(sweep(&typed));
    let [csv, jsonl] = ["cases.csv", "cases.jsonl"].map(|name| out.join(name));
    let good = [&csv, &jsonl].map(|path| fs::read_to_string(path).unwrap());
    let nth = |text: &str, n: usize, new: Option<&str>| -> String {
        let lines = text.split_inclusive('\n').enumerate();
        lines.filter_map(|(i, l)| if i == n { new } else { Some(l) }).collect()
    };
    let cells = good[0].lines().next().unwrap().split(',').count();
    let third = good[0].lines().nth(3).unwrap();
    let at_si = third.split(',').nth(3).unwrap();
    for (path, text, line, what) in [
        (&csv, nth(&good[0], 3, None), 4, "is case 3 where case 2 is due".to_owned()),
        (
            &csv,
            nth(&good[0], 3, Some("garbage,1,2\n")),
            4,
            format!("has 3 cells where {cells} are due"),
        ),
        (
            &csv,
            good[0].replacen(third, &third.replacen(at_si, "0.00x", 1), 1),
            4,
            "is no number".into(),
        ),
        (&jsonl, nth(&good[1], 2, Some("{bro\n")), 3, "is not the row of case 2".into()),
        (&csv, good[0].replacen(third, &third.replace(",ok,", ",xx,"), 1), 4, "status = xx".into()),
        (&jsonl, good[1].replacen("\"peak_air_C\":", "\"peak_air_C\":9", 1), 0, "but 9".into()),
    ] {
        fs::write(path, text).unwrap();
        let (code, message) = refused(sweep(&[&typed[..], &["--resume"]].concat()));
        assert_eq!(code, Some(3), "{message}");
        // A number that differs is told where it stands in the first table.
        let place = match line {
            0 => format!("{}:2: ", csv.display()),
            line => format!("{}:{line}: ", path.display()),
        };
        assert!(message.contains(&place) && message.contains(&what), "{message}");
        fs::write(&csv, &good[0]).unwrap();
        fs::write(&jsonl, &good[1]).unwrap();
    }
    // As the message says: without that line and all after it, the rest is run again.
    let cut: String = good[0].split_inclusive('\n').take(4).collect();
    fs::write(&csv, cut).unwrap();
    done(sweep(&[&typed[..], &["--resume"]].concat()));
    assert_eq!(fs::read_to_string(&csv).unwrap(), good[0]);
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
    // A case that is not all there any more is told, and no more is built on it.
    let lost: String = whole.1.split_inclusive('\n').filter(|l| !l.starts_with("3,60")).collect();
    assert!(lost.len() < whole.1.len());
    fs::write(&series, lost).unwrap();
    let (code, text) = refused(sweep(&[&typed[..], &["--resume"]].concat()));
    let part = "samples, which are not all here";
    assert!(code == Some(3) && text.contains(part) && text.contains("row of case 3"), "{text}");
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
