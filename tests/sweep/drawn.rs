//! Cases drawn from spreads or from a fit, and what decides their results.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use tempfile::TempDir;

use crate::kit::{
    DRAWN, POWERS, at, cells, column, done, noted, read, refused, scenario, sweep, tables,
};

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
fn an_uncertainty_may_be_a_percentage() {
    let tmp = TempDir::new().unwrap();
    let drawn = |name: &str, typed: &str| {
        let out = tmp.path().join(name);
        done(sweep(&["--axis", typed, "--latin", "8", "-o", at(&out)]));
        // A checksum is of what was typed, too.
        let bare = |line: &str| line.rsplit_once(',').map(|(row, _)| row.to_owned());
        read(&out, "cases.csv").lines().filter_map(bare).collect::<Vec<_>>()
    };
    let percent = drawn("percent", "heater.power=160 W ± 5 %");
    assert_eq!(percent, drawn("watts", "heater.power=160 W ± 8 W"));
    let odd = ["--axis", "room.temperature=21 °C ± 5 %", "--latin", "8", "--dry-run"];
    let (_, text) = refused(sweep(&odd));
    assert!(text.contains("write \"50 °C ± 0.5 K\""), "{text}");
}

#[test]
fn what_decides_a_result_is_told_by_both_designs() {
    let tmp = TempDir::new().unwrap();
    // The heat-up of ten seconds hangs on the power alone, whatever little water there is.
    let metric = ["--sensitivity", "peak_air_C", "--set", "run.duration=1 min"];
    for design in [&["--one-at-a-time"][..], &["--indices", "64"]] {
        let out = tmp.path().join(design[0]);
        let typed = [&DRAWN[..], design, &metric, &["-o", at(&out)]].concat();
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
fn shares_of_all_results_are_kept_whether_asked_for_or_not() {
    let tmp = TempDir::new().unwrap();
    let axes = ["--axis", "heater.power=100..200 W", "--axis", "load.pad.water", "--indices", "16"];
    let table = |name: &str, more: &[&str]| {
        let out = tmp.path().join(name);
        let text = noted(sweep(&[&axes[..], &["-o", at(&out)], more].concat()));
        (read(&out, "sensitivity.csv"), text)
    };
    let (plain, text) = table("plain", &[]);
    assert!(text.contains("sensitivity.csv tells") && text.contains("--sensitivity"), "{text}");
    let rows = cells(&plain);
    let of = |key: &str| rows.iter().filter(|r| r[1] == key).count();
    assert_eq!((of("energy_Wh"), of("displaced_L")), (2, 2), "{plain}");
    assert_eq!(table("asked", &["--sensitivity", "energy_Wh"]).0, plain);
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
        (
            &["--one-at-a-time", "--map", "peak_air_C", "--limit", "overshoot_air_K<12 min"],
            "is a time where a temperature difference is needed",
        ),
        (
            &["--one-at-a-time", "--map", "peak_air_C", "--limit", "overshoot_air_K<nan"],
            "is not a finite number",
        ),
        (
            &["--one-at-a-time", "--map", "peak_air_C", "--limit", "overshoot_air_K=3"],
            "is not METRIC<VALUE",
        ),
        (&["--latin", "5", "--map", "peak_air_C"], "has no grid of drawn cases"),
        (&["--latin", "5", "--plot", "breathed_L"], "it is called displaced_L now"),
        (&["--latin", "5", "--plot", "spool_t90_h"], "it needs a load with bound water"),
        (&["--latin", "5", "--tradeoff", "t90_min"], "needs two different metrics"),
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
    let head = "scenario,vent.only.diameter,metric,unit,middle,low,high,draws,with_value";
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
    let metrics = saved["metrics"].as_array().unwrap();
    let air = metrics.iter().find(|m| m["metric"]["key"] == "peak_air_C").unwrap();
    let (low, high) = (air["band"]["low"].as_f64().unwrap(), air["band"]["high"].as_f64().unwrap());
    let best = air["metric"]["value"].as_f64().unwrap();
    assert!(low < best && best < high && high - low > 1.0, "{air}");
    let again = done(run(&["--format", "json"]));
    let first = fs::read_to_string(out.join("bands.json")).unwrap();
    assert_eq!(String::from_utf8_lossy(&again.stdout), first, "same seed, same bands");
    let (code, text) = refused(run(&["-o", at(&out)]));
    assert_eq!(code, Some(5), "{text}");
}
