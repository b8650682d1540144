//! `drybench sweep` as typed: same bytes however it was run, and every slip named.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use tempfile::TempDir;

const DIAMETERS: &str = "vent.only.diameter=1..8 mm count 50";
const POWERS: &str = "heater.power=60 W, 120 W";

fn scenario(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(name)
}

/// A sweep of one box with runs of one minute.
fn sweep(more: &[&str]) -> Command {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("drybench"));
    command.arg("sweep").arg(scenario("one_small_hole.toml"));
    command.args(["--set", "run.duration=1 min"]).args(more);
    command
}

fn run(mut command: Command) -> Output {
    command.output().expect("the program starts")
}

fn done(command: Command) -> Output {
    let output = run(command);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    output
}

/// Exit code and standard error of a command that must fail.
fn refused(command: Command) -> (Option<i32>, String) {
    let output = run(command);
    assert!(!output.status.success(), "it was accepted");
    (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned())
}

fn tables(folder: &Path) -> [String; 2] {
    ["cases.csv", "cases.jsonl"].map(|n| fs::read_to_string(folder.join(n)).expect("a table"))
}

fn at(folder: &Path) -> &str {
    folder.to_str().expect("a plain path")
}

/// The sweep that all others must equal: 100 cases, one thread.
fn whole(tmp: &TempDir) -> [String; 2] {
    let out = tmp.path().join("whole");
    done(sweep(&["--axis", DIAMETERS, "--axis", POWERS, "-o", at(&out), "--threads", "1"]));
    tables(&out)
}

#[test]
fn one_thread_and_two_write_the_same_bytes() {
    let tmp = TempDir::new().unwrap();
    let first = whole(&tmp);
    let out = tmp.path().join("two");
    done(sweep(&["--axis", DIAMETERS, "--axis", POWERS, "-o", at(&out), "--threads", "2"]));
    assert_eq!(first, tables(&out));
    assert_eq!(first[0].lines().count(), 101);
    assert_eq!(first[1].lines().count(), 100);
    assert!(first[0].lines().skip(1).all(|l| l.ends_with(",ok,")), "{}", first[0]);
    let second: serde_json::Value = serde_json::from_str(first[1].lines().nth(1).unwrap()).unwrap();
    assert_eq!(second["axes"]["heater.power"]["text"], "120 W");
    assert_eq!(second["axes"]["vent.only.diameter"]["si"], 0.001);
}

#[test]
fn a_killed_sweep_is_finished_to_the_same_bytes() {
    let tmp = TempDir::new().unwrap();
    let first = whole(&tmp);
    let out = tmp.path().join("killed");
    let axes = ["--axis", DIAMETERS, "--axis", POWERS, "-o", at(&out), "--threads", "1"];
    let mut child = sweep(&axes).stderr(Stdio::null()).spawn().unwrap();
    let table = out.join("cases.jsonl");
    let from = Instant::now();
    while fs::metadata(&table).map_or(0, |m| m.len()) == 0 {
        assert!(from.elapsed() < Duration::from_secs(60), "no block was written");
        std::thread::sleep(Duration::from_millis(1));
    }
    // Child::kill sends the signal that cannot be caught.
    child.kill().unwrap();
    child.wait().unwrap();
    let rows = fs::read_to_string(&table).unwrap().lines().count();
    assert!(rows < 100, "the sweep was over before it was killed");
    done(sweep(&[&axes[..], &["--resume"]].concat()));
    assert_eq!(first, tables(&out));
}

#[cfg(unix)]
#[test]
fn an_interrupted_sweep_says_so_and_is_finished_to_the_same_bytes() {
    let tmp = TempDir::new().unwrap();
    let first = whole(&tmp);
    let out = tmp.path().join("interrupted");
    let axes = ["--axis", DIAMETERS, "--axis", POWERS, "-o", at(&out), "--threads", "1"];
    let child = sweep(&axes).stderr(Stdio::piped()).spawn().unwrap();
    let table = out.join("cases.jsonl");
    let from = Instant::now();
    while fs::metadata(&table).map_or(0, |m| m.len()) == 0 {
        assert!(from.elapsed() < Duration::from_secs(60), "no block was written");
        std::thread::sleep(Duration::from_millis(1));
    }
    let sent = Command::new("sh").args(["-c", &format!("kill -INT {}", child.id())]).status();
    assert!(sent.unwrap().success());
    let ended = child.wait_with_output().unwrap();
    assert_eq!(ended.status.code(), Some(130));
    let said = String::from_utf8_lossy(&ended.stderr).into_owned();
    assert!(said.contains("interrupted after") && said.contains("--resume"), "{said}");
    done(sweep(&[&axes[..], &["--resume"]].concat()));
    assert_eq!(first, tables(&out));
}

#[test]
fn a_torn_last_line_is_cut() {
    let tmp = TempDir::new().unwrap();
    let first = whole(&tmp);
    let out = tmp.path().join("whole");
    for (name, keep) in [("cases.csv", 2000), ("cases.jsonl", 1500)] {
        let text = fs::read(out.join(name)).unwrap();
        assert!(text.len() > keep && text[keep - 1] != b'\n');
        fs::write(out.join(name), &text[..keep]).unwrap();
    }
    done(sweep(&["--axis", DIAMETERS, "--axis", POWERS, "-o", at(&out), "--resume"]));
    assert_eq!(first, tables(&out));
}

#[test]
fn three_parts_in_three_processes_join_to_the_whole() {
    let tmp = TempDir::new().unwrap();
    let first = whole(&tmp);
    let parts: Vec<PathBuf> = (1..=3).map(|k| tmp.path().join(format!("part{k}"))).collect();
    let spawn = |(k, out): (usize, &PathBuf)| {
        let part = format!("{}/3", k + 1);
        let axes = ["--axis", DIAMETERS, "--axis", POWERS, "-o", at(out), "--shard", &part];
        sweep(&axes).stderr(Stdio::null()).spawn().unwrap()
    };
    let children: Vec<_> = parts.iter().enumerate().map(spawn).collect();
    for mut child in children {
        assert!(child.wait().unwrap().success());
    }
    let merge = |parts: &[&PathBuf], out: &Path| {
        let mut command = Command::new(assert_cmd::cargo::cargo_bin!("drybench"));
        command.args(["sweep", "--merge"]).args(parts).arg("-o").arg(out);
        command
    };
    let joined = tmp.path().join("joined");
    let (code, text) = refused(merge(&[&parts[0], &parts[2]], &joined));
    assert_eq!(code, Some(3));
    assert!(text.contains("the parts are 1/3, 3/3"), "{text}");
    // the order in which they are named does not matter
    done(merge(&[&parts[2], &parts[0], &parts[1]], &joined));
    assert_eq!(first, tables(&joined));
    let manifest = |folder: &Path| fs::read_to_string(folder.join("manifest.json")).unwrap();
    assert_eq!(manifest(&joined), manifest(&tmp.path().join("whole")));
    // A row that was damaged since is told, and nothing is written.
    let path = parts[1].join("cases.jsonl");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, text.replacen('{', "<", 1)).unwrap();
    let again = tmp.path().join("again");
    let (code, text) = refused(merge(&[&parts[0], &parts[1], &parts[2]], &again));
    assert_eq!(code, Some(3));
    assert!(text.contains(&format!("{}:1: ", path.display())) && !again.exists(), "{text}");
}

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
fn a_value_at_odds_with_what_another_axis_replaces_is_no_mistake() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    let typed = |periods: &str| {
        let mut command = Command::new(assert_cmd::cargo::cargo_bin!("drybench"));
        command
            .arg("sweep")
            .arg(scenario("timed_exhaust.toml"))
            .args(["--set", "run.duration=1 min"]);
        // The file's fan runs for 60 s.
        command.args(["--axis", periods, "--axis", "exhaust.on_time=20 s, 30 s", "-o", at(&out)]);
        command
    };
    done(typed("exhaust.period=1 min, 10 min"));
    let csv = fs::read_to_string(out.join("cases.csv")).unwrap();
    assert_eq!(csv.lines().filter(|l| l.ends_with(",ok,")).count(), 4, "{csv}");
    // What nothing helps is one.
    let (code, text) = refused(typed("exhaust.period=10 s, 10 min"));
    assert_eq!(code, Some(3));
    assert!(text.contains("fills the whole period"), "{text}");
}

#[test]
fn the_accounts_of_every_row_close() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    // A hole that is not there in one case has no line there.
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("drybench"));
    command.arg("sweep").arg(scenario("two_holes_two_zones.toml")).args(["-o", at(&out)]);
    done({
        command.args(["--set", "run.duration=20 min", "--axis", "vent.high.count=0, 1"]);
        command
    });
    let csv = fs::read_to_string(out.join("cases.csv")).unwrap();
    let mut table = csv::Reader::from_reader(csv.as_bytes());
    let heads = table.headers().unwrap().clone();
    assert!(heads.iter().any(|h| h == "water_to_out_through_vent_high_g"), "{heads:?}");
    let json = fs::read_to_string(out.join("cases.jsonl")).unwrap();
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    for (row, line) in rows.iter().zip(json.lines()) {
        let line: serde_json::Value = serde_json::from_str(line).unwrap();
        for (quantity, unit, most) in [("water", "g", 1e-9), ("energy", "Wh", 1e-9)] {
            let sum = |side: &str| -> f64 {
                let head = format!("{quantity}_{side}_");
                let own = heads.iter().zip(row).filter(|(h, _)| h.starts_with(&head));
                own.filter_map(|(_, v)| v.parse::<f64>().ok()).sum()
            };
            let (from, to) = (sum("from"), sum("to"));
            assert!((from - to).abs() < most && from > 3.0, "{quantity}: {from} {to}");
            let told = &line[format!("{quantity}_{unit}")]["from"];
            let told: f64 = told.as_object().unwrap().values().map(|v| v.as_f64().unwrap()).sum();
            assert!((told - from).abs() < most, "{quantity}: {told} {from}");
        }
    }
    let high = heads.iter().position(|h| h == "water_to_out_through_vent_high_g").unwrap();
    assert!(rows[0][high].is_empty() && rows[1][high].parse::<f64>().unwrap() > 0.01);
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
fn a_failed_case_is_a_row_with_its_reason() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    // each value is fine alone; both together would overheat the element
    let flow = "fan.circulation=7 L/s, 3 L/s";
    done(sweep(&["--axis", "heater.power=100 W, 400 W", "--axis", flow, "-o", at(&out)]));
    let [csv, jsonl] = tables(&out);
    let rows: Vec<&str> = csv.lines().collect();
    assert_eq!(rows.len(), 5, "{csv}");
    assert!(rows[1..4].iter().all(|r| r.ends_with(",ok,")), "{csv}");
    assert!(rows[4].contains(",failed,"), "{csv}");
    let last: serde_json::Value = serde_json::from_str(jsonl.lines().nth(3).unwrap()).unwrap();
    assert_eq!(last["status"], "failed");
    assert!(last["reason"].as_str().unwrap().contains("°C"), "{last}");
}

#[test]
fn scenario_files_are_an_axis() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    let mut command = sweep(&["--axis", POWERS, "-o", at(&out)]);
    command.arg(scenario("two_holes_two_zones.toml"));
    done(command);
    let [csv, _] = tables(&out);
    let names: Vec<&str> = csv.lines().skip(1).filter_map(|l| l.split(',').nth(1)).collect();
    let (one, two) = ("one_small_hole", "two_holes_two_zones");
    assert_eq!(names, [one, one, two, two]);
}

#[test]
fn one_at_a_time_starts_with_the_scenario_itself() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    let two = "vent.only.diameter=2 mm, 4 mm";
    done(sweep(&["--axis", POWERS, "--axis", two, "--one-at-a-time", "-o", at(&out)]));
    let [csv, _] = tables(&out);
    let cells = |l: &str| l.split(',').skip(2).take(2).collect::<Vec<_>>().join(" | ");
    let rows: Vec<String> = csv.lines().skip(1).map(cells).collect();
    let due = ["160 W | 3 mm", "60 W | 3 mm", "120 W | 3 mm", "160 W | 2 mm", "160 W | 4 mm"];
    assert_eq!(rows, due);
}

#[test]
fn every_slip_is_named_with_exit_code_3() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    for (axes, part) in [
        (vec!["heater.powr=60 W, 120 W"], "did you mean `power`"),
        (vec!["heater.power=60, 120"], "has no unit"),
        (vec!["vent.only.diameter=9..3 mm step 1 mm"], "runs from 9 to 3 mm"),
        (vec!["vent.only.diameter=3..9 mm"], "does not say which values"),
        (vec!["heater.power"], "does not say which values"),
        (vec!["vent.only.diameter=3..9 mm count 0"], "has a count of 0"),
        (vec![POWERS, "heater.power=1 W, 2 W"], "heater.power is on two axes"),
        (
            vec!["heater.power=1..9 W count 1001", "vent.only.diameter=1..2 mm count 1001"],
            "makes 1002001 cases",
        ),
        (vec![], "there is nothing to vary"),
    ] {
        let mut command = sweep(&["-o", at(&out)]);
        axes.iter().for_each(|a| {
            command.args(["--axis", a]);
        });
        let (code, text) = refused(command);
        assert_eq!(code, Some(3), "{text}");
        assert!(text.contains(part), "{axes:?}: {text}");
        assert!(!out.exists(), "{axes:?} left a folder");
    }
    // all at once
    let both = ["--axis", "heater.powr=60 W, 120 W", "--axis", "vent.only.diameter=1, 2"];
    let (_, text) = refused(sweep(&[&both[..], &["-o", at(&out)]].concat()));
    assert!(text.contains("powr") && text.contains("vent.only.diameter"), "{text}");
}

#[test]
fn a_dry_run_counts_and_writes_nothing() {
    let output = done(sweep(&["--axis", DIAMETERS, "--axis", POWERS, "--dry-run"]));
    let text = String::from_utf8_lossy(&output.stdout);
    assert!(text.starts_with("100 cases, about "), "{text}");
}

const DRAWN: [&str; 4] = ["--axis", "heater.power=100..200 W", "--axis", "load.pad.water"];

/// Cells of a column of a table, by its head.
fn column(csv: &str, head: &str) -> Vec<String> {
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let at = reader.headers().unwrap().iter().position(|h| h == head).expect("a column");
    reader.records().map(|r| r.unwrap()[at].to_owned()).collect()
}

#[test]
fn a_latin_hypercube_has_one_draw_in_each_slice_and_the_same_for_the_same_seed() {
    let tmp = TempDir::new().unwrap();
    let draw = |name: &str, more: &[&str]| {
        let out = tmp.path().join(name);
        done(sweep(&[&DRAWN[..], &["--latin", "40", "-o", at(&out)], more].concat()));
        tables(&out)
    };
    let first = draw("first", &["--threads", "1"]);
    assert_eq!(first, draw("again", &["--threads", "2"]));
    assert_ne!(first, draw("other", &["--seed", "2"]));
    let number = |t: &String| t.parse::<f64>().unwrap();
    let slice = |si: &String| (40.0 * (number(si) - 100.0) / 100.0) as usize;
    let mut slices: Vec<usize> = column(&first[0], "heater.power_si").iter().map(slice).collect();
    slices.sort_unstable();
    assert_eq!(slices, (0..40).collect::<Vec<_>>());
    // the scenario says 3.00 ± 0.02 g
    let water: Vec<f64> = column(&first[0], "load.pad.water_si").iter().map(number).collect();
    let mean = water.iter().sum::<f64>() / 40.0;
    let sd = (water.iter().map(|w| (w - mean).powi(2)).sum::<f64>() / 39.0).sqrt();
    assert!((mean - 3.0e-3).abs() < 1e-6 && (sd / 0.02e-3 - 1.0).abs() < 0.1, "{mean} {sd}");
}

#[test]
fn parts_of_drawn_cases_join_to_the_whole_with_their_series() {
    let tmp = TempDir::new().unwrap();
    for (design, cases) in [(["--sobol", "16"], 16), (["--indices", "16"], 64)] {
        let run = |name: String, more: &[&str]| {
            let out = tmp.path().join(name);
            let series = ["--series", "return_temperature_C,water_in_box_g", "-o", at(&out)];
            done(sweep(&[&DRAWN[..], &design, &series, more].concat()));
            out
        };
        let read = |out: &Path| {
            let series = fs::read_to_string(out.join("series.csv")).unwrap();
            (tables(out), series)
        };
        let whole = run(format!("whole{}", design[0]), &[]);
        let parts: Vec<PathBuf> = (1..=3)
            .map(|k| run(format!("part{k}{}", design[0]), &["--shard", &format!("{k}/3")]))
            .collect();
        let joined = tmp.path().join(format!("joined{}", design[0]));
        let mut merge = Command::new(assert_cmd::cargo::cargo_bin!("drybench"));
        merge.args(["sweep", "--merge"]).args(&parts).arg("-o").arg(&joined);
        done(merge);
        let whole = read(&whole);
        assert_eq!(whole, read(&joined));
        assert_eq!(whole.0[0].lines().count(), cases + 1);
        // seven samples of a minute for each case
        assert_eq!(whole.1.lines().count(), 1 + cases * 7, "{}", whole.1);
        let head = whole.1.lines().next().unwrap();
        assert_eq!(head, "case,time_s,return_temperature_C,water_in_box_g");
    }
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
fn what_decides_a_result_is_told_by_both_designs() {
    let tmp = TempDir::new().unwrap();
    // The heat-up of ten seconds hangs on the power alone, whatever little water there is.
    let merit = ["--sensitivity", "peak_air_C", "--set", "run.duration=1 min"];
    for design in [&["--one-at-a-time"][..], &["--indices", "64"]] {
        let out = tmp.path().join(design[0]);
        let typed = [&DRAWN[..], design, &merit, &["-o", at(&out)]].concat();
        let said = done(sweep(&typed));
        let text = String::from_utf8_lossy(&said.stdout).into_owned();
        assert!(text.contains("heater.power") && text.contains("load.pad.water"), "{text}");
        let csv = fs::read_to_string(out.join("sensitivity.csv")).unwrap();
        let own: String = csv
            .lines()
            .enumerate()
            .filter(|(i, l)| *i == 0 || l.contains(",peak_air_C,"))
            .map(|(_, l)| format!("{l}\n"))
            .collect();
        let number = |t: &String| t.parse::<f64>().unwrap();
        if design.len() == 1 {
            let [low, high] = ["at_lowest", "at_highest"].map(|h| column(&own, h));
            let reach: Vec<f64> =
                low.iter().zip(&high).map(|(a, b)| number(b) - number(a)).collect();
            assert_eq!(column(&own, "path")[0], "heater.power");
            assert!(reach[0] > 10.0 * reach[1].abs(), "{own}");
        } else {
            let total: Vec<f64> = column(&own, "total").iter().map(number).collect();
            assert!((total[0] - 1.0).abs() < 0.15 && total[1].abs() < 0.01, "{own}");
        }
        for end in ["svg", "png", "csv"] {
            assert!(out.join(format!("sensitivity_peak_air_C.{end}")).exists());
        }
    }
}

#[test]
fn slips_of_designs_and_figures_are_named() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    for (typed, part) in [
        (&["--sobol", "70000"][..], "the sequence has 65536 points"),
        (&["--latin", "5", "--sensitivity", "peak_air_C"], "add --one-at-a-time, or --indices"),
        (&["--latin", "9", "--curves", "water_in_box_g"], "cannot show 9 cases in one figure"),
        (&["--latin", "5", "--curves", "water_in_bax_g"], "did you mean water_in_box_g?"),
        (&["--latin", "5", "--series", "water"], "water is no series of this sweep"),
        (&["--latin", "5", "--axis", "vent.only.diameter"], "has no ± in the scenario"),
        (&["--latin", "5", "--axis", "vent.only.diameter=3 ± 1"], "has no unit"),
        (&["--latin", "5", "--axis", "vent.only.diameter=3 ± 9 mm"], "vent.only.diameter"),
        (&["--indices", "8"], "take --indices 16 or more"),
        (
            &["--latin", "5", "--set", "heater.power=9 W"],
            "fixes heater.power, which is also varied",
        ),
        (&["--latin", "5", "--map", "peak_air_C"], "has no grid of drawn cases"),
        (&["--latin", "5", "--tradeoff", "t90_min"], "needs two different figures of merit"),
        (&["--latin", "6", "--side-by-side"], "cannot show 6 cases in one figure"),
    ] {
        let (code, text) = refused(sweep(&[&DRAWN[..], typed, &["-o", at(&out)]].concat()));
        assert_eq!(code, Some(3), "{text}");
        assert!(text.contains(part), "{typed:?}: {text}");
        assert!(!out.exists(), "{typed:?} left a folder");
    }
    let (code, _) = refused(sweep(&[&DRAWN[..], &["--latin", "5", "--sobol", "4"]].concat()));
    assert_eq!(code, Some(2), "two designs at once");
    let mut twice = sweep(&["--axis", POWERS, "-o", at(&out)]);
    let copy = tmp.path().join("one_small_hole.toml");
    fs::copy(scenario("one_small_hole.toml"), &copy).unwrap();
    twice.arg(&copy);
    let (code, text) = refused(twice);
    assert_eq!(code, Some(3), "{text}");
    assert!(text.contains("is the name of two scenarios"), "{text}");
}

/// Cases are written in blocks, so ten times as many take no more memory.
#[cfg(target_os = "linux")]
#[test]
fn memory_does_not_grow_with_the_cases() {
    let tmp = TempDir::new().unwrap();
    let peak_kb = |cases: &str| {
        let out = tmp.path().join(cases);
        let typed = [&DRAWN[..], &["--latin", cases, "-o", at(&out), "--threads", "1"]].concat();
        let mut child = sweep(&typed).stderr(Stdio::null()).spawn().unwrap();
        let status = format!("/proc/{}/status", child.id());
        let mut peak = 0_u64;
        while child.try_wait().unwrap().is_none() {
            let text = fs::read_to_string(&status).unwrap_or_default();
            let found = text.lines().find_map(|l| l.strip_prefix("VmHWM:"));
            let kb = found.and_then(|l| l.trim().strip_suffix(" kB")?.parse().ok());
            peak = kb.unwrap_or(peak);
            std::thread::sleep(Duration::from_millis(1));
        }
        assert!(child.wait().unwrap().success());
        peak
    };
    let (few, many) = (peak_kb("200"), peak_kb("2000"));
    // The order of a Latin hypercube takes four bytes for each case and axis, 14 kB here; 1 MB more
    // is the noise of the allocator. Rows kept would take far more than 1 kB each.
    assert!(few > 0 && many < few + 1200, "{few} kB for 200 cases, {many} kB for 2000");
}

/// What `drybench fit` writes, as far as predictions read it.
const FIT: &str = r#"{"parameters": [
    {"name": "heater.power", "path": "heater.power", "kind": "power", "value": 150.0,
     "standard_error": 5.0, "bounds": [50, 400]},
    {"name": "load.pad.water", "path": "load.pad.water", "kind": "mass", "value": 0.003,
     "standard_error": 2e-5, "bounds": [0.001, 0.01]}],
    "correlation": [[1, 0.5], [0.5, 1]]}"#;

#[test]
fn draws_from_a_fit_make_bands() {
    let tmp = TempDir::new().unwrap();
    let fit = tmp.path().join("fit.json");
    fs::write(&fit, FIT).unwrap();
    let out = tmp.path().join("out");
    let diameters = "vent.only.diameter=2 mm, 6 mm";
    let typed = ["--axis", diameters, "--fit", at(&fit), "--draws", "60", "-o", at(&out)];
    done(sweep(&[&typed[..], &["--plot", "peak_air_C"]].concat()));
    let bands = fs::read_to_string(out.join("bands.csv")).unwrap();
    let head = "scenario,vent.only.diameter,merit,unit,middle,low,high,draws,with_value";
    assert_eq!(bands.lines().next(), Some(head));
    let number = |t: &String| t.parse::<f64>().unwrap();
    let own: Vec<Vec<String>> = csv::Reader::from_reader(bands.as_bytes())
        .records()
        .map(|r| r.unwrap().iter().map(str::to_owned).collect())
        .filter(|r: &Vec<String>| r[2] == "peak_air_C")
        .collect();
    assert_eq!(own.len(), 2, "{bands}");
    // The air of a minute at full power warms by some 20 K, in proportion to the power: a standard
    // error of 3.3 % makes a band of 13 % of that.
    for row in &own {
        let (middle, low, high) = (number(&row[4]), number(&row[5]), number(&row[6]));
        let share = (high - low) / (middle - 21.0);
        assert!((0.08..0.18).contains(&share), "{row:?}: {share}");
        assert_eq!(row[7..], ["60", "60"]);
    }
    assert!(out.join("peak_air_C.svg").exists());
    // another fit is another sweep
    fs::write(&fit, FIT.replace("5.0", "6.0")).unwrap();
    let (_, text) = refused(sweep(&[&typed[..], &["--resume"]].concat()));
    assert!(text.contains("the two differ in the draws from a fit"), "{text}");
    fs::write(&fit, "{}").unwrap();
    let (code, text) = refused(sweep(&typed));
    assert_eq!(code, Some(3), "{text}");
    assert!(text.contains("is no file of a fit"), "{text}");
}

#[test]
fn a_simulation_carries_the_uncertainty_of_a_fit() {
    let tmp = TempDir::new().unwrap();
    let (fit, out) = (tmp.path().join("fit.json"), tmp.path().join("out"));
    fs::write(&fit, FIT).unwrap();
    let run = |more: &[&str]| {
        let mut command = Command::new(assert_cmd::cargo::cargo_bin!("drybench"));
        command.arg("simulate").arg(scenario("one_small_hole.toml"));
        command.args(["--set", "run.duration=1 min", "--fit", at(&fit), "--draws", "60"]);
        command.args(more);
        command
    };
    let said = done(run(&["-o", at(&out)]));
    let page = String::from_utf8_lossy(&said.stdout).into_owned();
    assert!(page.contains("60 runs with values drawn from the fit"), "{page}");
    for name in ["bands.txt", "bands.json", "bands_series.csv", "bands.svg", "bands.png"] {
        assert!(out.join(name).exists(), "{name}");
    }
    let saved: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(out.join("bands.json")).unwrap()).unwrap();
    let merits = saved["merits"].as_array().unwrap();
    let air = merits.iter().find(|m| m["merit"]["key"] == "peak_air_C").unwrap();
    let (low, high) = (air["band"]["low"].as_f64().unwrap(), air["band"]["high"].as_f64().unwrap());
    let best = air["merit"]["value"].as_f64().unwrap();
    assert!(low < best && best < high && high - low > 1.0, "{air}");
    let again = done(run(&["--format", "json"]));
    let first = fs::read_to_string(out.join("bands.json")).unwrap();
    assert_eq!(String::from_utf8_lossy(&again.stdout), first, "same seed, same bands");
    let (code, text) = refused(run(&["-o", at(&out)]));
    assert_eq!(code, Some(5), "{text}");
}
