//! Figures of sweeps and their tables.

use tempfile::TempDir;

use crate::kit::{at, cells, done, read, refused, sweep, sweep_box};

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
        let figures = ["--plot", "displaced_L", "--map", "displaced_L", "-o", at(&out)];
        done(sweep(&[&axes[..], &figures].concat()));
        ["displaced_L.svg", "map_displaced_L.svg"].map(|n| words(&read(&out, n)))
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
    let goals = "--tradeoff=energy_Wh,displaced_L>";
    done(sweep(&["--axis", "heater.power=60..120 W step 20 W", goals, "-o", at(&out)]));
    let table = cells(&read(&out, "tradeoff.csv"));
    assert_eq!(table[0], ["case", "scenario", "heater.power", "energy_Wh", "displaced_L", "front"]);
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
    assert_eq!(refused(pair(&[&args[..], &figures[..]].concat())).0, Some(3));
    let args = ["--axis", "vent.low.diameter=3 mm, 5 mm", "--pair", labelled];
    done(pair(&[&args[..], &figures[..]].concat()));
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
    let (_, text) = refused(pair(&[&args[..], &twice[..]].concat()));
    assert!(text.contains("label is on two axes") && text.contains("label.one"), "{text}");
}
