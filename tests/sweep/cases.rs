//! Axes, the cases that they make, and the rows of these.

use std::fs;
use std::process::Command;

use tempfile::TempDir;

use crate::kit::{
    DIAMETERS, POWERS, at, cells, column, done, noted, read, refused, scenario, sweep, sweep_box,
    tables,
};

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
    assert_eq!(csv.lines().filter(|l| l.contains(",ok,,")).count(), 4, "{csv}");
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
            let told = &line[format!("{quantity}_ledger_{unit}")]["from"];
            let told: f64 = told.as_object().unwrap().values().map(|v| v.as_f64().unwrap()).sum();
            assert!((told - from).abs() < most, "{quantity}: {told} {from}");
        }
    }
    let high = heads.iter().position(|h| h == "water_to_out_through_vent_high_g").unwrap();
    assert!(rows[0][high].is_empty() && rows[1][high].parse::<f64>().unwrap() > 0.01);
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
    assert!(rows[1..4].iter().all(|r| r.contains(",ok,,")), "{csv}");
    assert!(rows[4].contains(",failed,"), "{csv}");
    let last: serde_json::Value = serde_json::from_str(jsonl.lines().nth(3).unwrap()).unwrap();
    assert_eq!(last["status"], "failed");
    assert!(last["reason"].as_str().unwrap().contains("°C"), "{last}");
}

#[test]
fn a_case_that_ends_early_is_judged_by_what_is_known_of_it() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    let kind = ["--set", "heater.kind=resistive", "--set", "control.kind=always_on"];
    let axes = ["--axis", "heater.power=40 W, 900 W", "--axis", "vent.only.diameter=2 mm, 3 mm"];
    let figures = [
        "--map",
        "peak_rh_pct",
        "--limit",
        "peak_air_C<200",
        "--tradeoff",
        "energy_Wh,peak_supply_W",
        "-o",
        at(&out),
    ];
    let made = [&kind[..], &axes, &figures].concat();
    let said = noted(sweep_box("one_small_hole.toml", "10 min", &made));
    assert!(said.contains("2 ended before their time, see the column reason"), "{said}");
    let [csv, jsonl] = tables(&out);
    assert_eq!(column(&csv, "status"), ["ok", "ok", "ended", "ended"]);
    let reasons = column(&csv, "reason");
    assert!(reasons[0].is_empty() && reasons[2].contains("°C"), "{reasons:?}");
    assert!(column(&csv, "bounds")[2].contains("peak_air_C >="), "{csv}");
    assert!(column(&csv, "missing")[2].contains("t90_min: unknown after "), "{csv}");
    assert!(column(&csv, "missing")[0].contains("t90_min: not reached within 10 min"), "{csv}");
    assert!(column(&csv, "t90_min")[2].is_empty());
    let hottest: f64 = column(&csv, "peak_air_C")[2].parse().unwrap();
    let row: serde_json::Value = serde_json::from_str(jsonl.lines().nth(2).unwrap()).unwrap();
    assert_eq!(
        (&row["status"], &row["bounds"]["peak_air_C"]),
        (&"ended".into(), &"at_least".into())
    );
    assert!(row["missing"]["t90_min"].as_str().unwrap().starts_with("unknown after"), "{row}");
    // At least that hot is neither below 200 °C nor a point of a trade-off.
    assert!(hottest < 200.0, "{hottest}");
    let map = read(&out, "map_peak_rh_pct.csv");
    let rows = cells(&map);
    let limit = rows[0].iter().position(|h| h.contains("hottest")).expect("a limit");
    assert_eq!(rows[1..].iter().filter(|r| r[limit].is_empty()).count(), 2, "{map}");
    assert_eq!(cells(&read(&out, "tradeoff.csv")).len(), 1 + 2);
    // The tables are taken up again as they are.
    let again = [&made[..], &["--resume"]].concat();
    assert!(noted(sweep_box("one_small_hole.toml", "10 min", &again)).contains("4 of 4 cases"));
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
    // What else differs is told, without the axis.
    let columns = read(&out, "columns.csv");
    assert!(columns.contains("beside the axes they differ in vent\""), "{columns}");
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

#[test]
fn every_column_of_the_table_is_explained() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    done(sweep(&["--axis", POWERS, "-o", at(&out)]));
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
    let (code, text) =
        refused(sweep(&["--axis", "vent.only.diameter=1 mm,0.1 cm", "-o", at(&out)]));
    assert_eq!(code, Some(3));
    assert!(text.contains("has 1 mm twice, the second time as 0.1 cm"), "{text}");
    assert!(!out.exists());
}

#[test]
fn what_simulate_warns_of_stands_in_the_row() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    let holes = "vent.low.diameter=0.5 mm, 5 mm";
    let args = ["--axis", holes, "--set", "vent.high.count=0", "-o", at(&out)];
    done(sweep_box("two_holes_two_zones.toml", "2 min", &args));
    let table = cells(&read(&out, "cases.csv"));
    let at = table[0].iter().position(|h| h == "warnings").unwrap();
    assert!(table[1][at].contains("the pressure in the box reaches"), "{}", table[1][at]);
    assert!(!table[2][at].contains("pressure"), "{}", table[2][at]);
    let first = read(&out, "cases.jsonl").lines().next().unwrap().to_owned();
    let row: serde_json::Value = serde_json::from_str(&first).unwrap();
    let told = row["warnings"].as_array().unwrap();
    assert!(told.iter().any(|w| w.as_str().unwrap().contains("pressure")), "{told:?}");
}
