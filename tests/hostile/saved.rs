//! Saved results that were damaged: told, never a panic.

use std::fs;

use serde_json::{Value, json};

use crate::bench::{BOX, Bench};
use crate::dice::Dice;

/// Places of all values in a tree.
fn places(value: &Value, at: &str, out: &mut Vec<String>) {
    out.push(at.to_owned());
    match value {
        Value::Array(list) => {
            // Numbers of a long list are alike.
            let some = list.iter().enumerate().filter(|(i, _)| *i < 3 || *i + 1 == list.len());
            some.for_each(|(i, v)| places(v, &format!("{at}/{i}"), out));
        }
        Value::Object(map) => map.iter().for_each(|(k, v)| places(v, &format!("{at}/{k}"), out)),
        _ => {}
    }
}

/// Spoils one place: another value, a shorter or longer list, or nothing there.
fn spoil(whole: &mut Value, place: &str, dice: &mut Dice) {
    let others = [
        Value::Null,
        json!(1e308),
        json!(-1e308),
        json!(0),
        json!(-1),
        json!(1e18),
        json!([]),
        json!([1.0]),
        json!({}),
        json!(""),
        json!("\u{1b}[2J"),
        json!("=1"),
        json!("Temperature"),
        json!(true),
    ];
    let Some(value) = whole.pointer_mut(place) else { return };
    match (dice.below(4), value) {
        (0, Value::Array(list)) => _ = list.pop(),
        (1, Value::Array(list)) => list.extend(list.last().cloned()),
        (2, Value::Array(list)) => list.clear(),
        (0, Value::Object(map)) => {
            let keys: Vec<String> = map.keys().cloned().collect();
            if !keys.is_empty() {
                map.remove(dice.pick(&keys));
            }
        }
        (_, value) => *value = dice.pick(&others).clone(),
    }
}

/// Runs the program; it must end with a code of its own and, if that is no success, say why.
fn told(bench: &Bench, arguments: &[&str], what: &str) -> i32 {
    let end = bench.run(arguments);
    assert!([0, 3, 4].contains(&end.code), "{what}: {} {}", end.code, end.err);
    assert!(end.code == 0 || !end.err.is_empty(), "{what}");
    assert!(
        !end.err.contains("panicked") && !end.err.contains('\u{1b}') && !end.out.contains('\u{1b}'),
        "{what}: {}",
        end.err
    );
    end.code
}

#[test]
fn damaged_runs_are_told() {
    let bench = Bench::new(BOX);
    assert_eq!(bench.run(&["simulate", "box.toml", "-q", "-o", "out"]).code, 0);
    let whole: Value = serde_json::from_slice(&bench.read("out/run.json")).expect("JSON");
    let mut all = Vec::new();
    places(&whole, "", &mut all);
    let mut dice = Dice::new(3);
    let mut refused = 0;
    for i in 0..150 {
        let mut spoilt = whole.clone();
        let mut done = Vec::new();
        for _ in 0..1 + dice.below(2) {
            let place = dice.pick(&all).clone();
            spoil(&mut spoilt, &place, &mut dice);
            done.push(place);
        }
        fs::write(bench.path("run.json"), spoilt.to_string()).expect("written");
        let format = ["table", "csv", "json"][i % 3];
        refused += usize::from(
            told(&bench, &["assess", "run.json", "--format", format], &done.join(" ")) == 3,
        );
    }
    assert!(refused > 20, "{refused}");
    let mut short = whole.clone();
    short["columns"][4]["values"].as_array_mut().expect("values").pop();
    fs::write(bench.path("run.json"), short.to_string()).expect("written");
    let end = bench.run(&["assess", "run.json"]);
    let name = whole["columns"][4]["name"].as_str().expect("a name");
    assert_eq!(end.code, 3, "{}", end.err);
    assert!(
        end.err.starts_with(&format!(
            "error: run.json: is a damaged run: column {name} has 60 values for 61 times\n"
        )),
        "{}",
        end.err
    );
}

#[test]
fn damaged_fits_and_manifests_are_told() {
    let bench = Bench::new(BOX);
    let fit = json!({"parameters": [{"name": "heater.power", "path": "heater.power", "kind": "power", "value": 150.0,
        "standard_error": 5.0, "bounds": [50, 400]}], "correlation": [[1]]});
    let axis = ["--axis", "heater.power=100 W, 110 W", "--set", "run.duration=1 min", "-q"];
    for k in ["1/2", "2/2"] {
        let out = format!("part{}", &k[..1]);
        let end =
            bench.run(&[&["sweep", "box.toml", "--shard", k, "-o", &out], &axis[..]].concat());
        assert_eq!(end.code, 0, "{}", end.err);
    }
    let manifest: Value = serde_json::from_slice(&bench.read("part2/manifest.json")).expect("JSON");
    let mut dice = Dice::new(4);
    for (whole, file) in [(&fit, "fit.json"), (&manifest, "part2/manifest.json")] {
        let mut all = Vec::new();
        places(whole, "", &mut all);
        for _ in 0..40 {
            let mut spoilt = whole.clone();
            let place = dice.pick(&all).clone();
            spoil(&mut spoilt, &place, &mut dice);
            fs::write(
                bench.path(file),
                serde_json::to_string_pretty(&spoilt).expect("JSON") + "\n",
            )
            .expect("written");
            let merge = ["sweep", "--merge", "part1", "part2", "-o", "whole"];
            let simulate = ["simulate", "box.toml", "--fit", "fit.json", "--draws", "2"];
            let code = if file == "fit.json" {
                told(&bench, &simulate, &place)
            } else {
                told(&bench, &merge, &place)
            };
            if code == 0 && file != "fit.json" {
                assert_eq!(&spoilt, whole, "{place} was accepted");
                fs::remove_dir_all(bench.path("whole")).expect("removed");
            }
        }
    }
}
