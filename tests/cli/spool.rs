//! `drybench spool`, and mistakes in tables of spools and hygroscopic loads.

use crate::bench::{BOX, Bench, changed, refused};

/// The pad of the test box replaced by a spool.
fn with_spool(more: &str) -> String {
    let start = BOX.find("[load.pad]").expect("a pad");
    let end = start + BOX[start..].find("[event.look]").expect("an event");
    let spool = format!(
        "[load.reel]\nkind = \"spool\"\npolymer = \"PLA\"\nmass = \"200 g\"\ncore_diameter = \"50 mm\"\n\
         width = \"40 mm\"\nzone = \"return\"\n{more}\n"
    );
    format!("{}{spool}{}", &BOX[..start], &BOX[end..])
}

#[test]
fn several_polymers_have_a_row_each_and_the_seed_decides() {
    let bench = Bench::new(with_spool("layers = 3\nshells = 3"));
    let arguments =
        ["spool", "box.toml", "--polymers", "PLA,PA6", "--samples", "10", "--seed", "5"];
    let first = bench.run(&arguments);
    assert_eq!((first.code, first.err.as_str()), (0, ""));
    for words in ["PLA 50 °C", "PA6 50 °C", "seed 5", "Caution", "What the bands come from"] {
        assert!(first.out.contains(words), "{words}: {}", first.out);
    }
    assert_eq!(bench.run(&arguments).out, first.out);
    let csv = bench.run(&[&arguments[..], &["--format", "csv"]].concat());
    assert_eq!(csv.out.lines().count(), 3, "{}", csv.out);
    let widths: Vec<usize> = csv.out.lines().map(|l| l.split(',').count()).collect();
    assert!(widths.iter().all(|w| *w == widths[0]), "{widths:?}");
    // A value that is stated has no spread, even where it is that of the table.
    let stated = ["--format", "csv", "--set", "load.reel.winding_diffusion=0.12"];
    let stated = bench.run(&[&arguments[..], &stated].concat());
    // Nor have diameter of the core and width, in both rows, and of polylactide the growth with water: there
    // is none.
    let without = |csv: &str| csv.matches(",0,0,-").count();
    assert_eq!(without(&csv.out), 2 * 2 + 1, "{}", csv.out);
    assert_eq!(without(&stated.out), 2 * 3 + 1, "{}", stated.out);
}

const SECOND: &str = "layers = 3\nshells = 3\n[load.full]\nkind = \"spool\"\npolymer = \"PETG\"\n\
                      mass = \"200 g\"\ncore_diameter = \"50 mm\"\nwidth = \"40 mm\"\nzone = \"return\"\n\
                      layers = 3\nshells = 3";

#[test]
fn every_spool_of_a_box_is_answered_for() {
    let bench = Bench::new(with_spool(SECOND));
    let page = bench.run(&["spool", "box.toml", "--samples", "10"]);
    assert_eq!((page.code, page.err.as_str()), (0, ""));
    assert!(page.out.contains("\nreel: PLA 50 °C") && page.out.contains("\nfull: PETG 50 °C"));
    let csv = bench.run(&["spool", "box.toml", "--samples", "10", "--format", "csv"]).out;
    let rows: Vec<Vec<&str>> = csv.lines().map(|l| l.split(',').collect()).collect();
    assert_eq!(
        (rows[1][..2].to_vec(), rows[2][..2].to_vec()),
        (vec!["reel", "PLA"], vec!["full", "PETG"])
    );
    let mut heads = rows[0].clone();
    heads.sort_unstable();
    heads.dedup();
    assert_eq!(heads.len(), rows[0].len(), "{:?}", rows[0]);
    // The figure has room for one, and says so.
    let drawn = bench.run(&["simulate", "box.toml", "-o", "out", "--figures", "moisture"]);
    assert_eq!(drawn.code, 0, "{}", drawn.err);
    for name in ["out/moisture.svg", "out/moisture_map.svg"] {
        let svg = String::from_utf8(bench.read(name)).expect("UTF-8");
        assert!(svg.contains("Reel alone, the first of 2 loads"), "{name}");
    }
    // One polymer at a time: the other spool keeps its own.
    let tried = ["spool", "box.toml", "--samples", "10", "--format", "csv", "--polymers", "ABS"];
    let tried = bench.run(&tried).out;
    let names: Vec<&str> = tried.lines().skip(1).map(|l| &l[..8]).collect();
    assert_eq!(names, ["reel,ABS", "full,ABS"], "{tried}");
}

#[test]
fn drying_and_storage_are_told_apart() {
    let out =
        "layers = 3\nshells = 3\n[event.out]\nkind = \"store\"\nat = \"15 min\"\nplace = \"room\"";
    let bench = Bench::new(with_spool(out));
    let page = bench.run(&["spool", "box.toml", "--samples", "10"]).out;
    assert!(page.contains("after 0.25 h") && page.contains("0.25 h + "), "{page}");
    assert!(page.contains("h stored: time in the box, then in storage"), "{page}");
    let json = bench.run(&["spool", "box.toml", "--samples", "10", "--format", "json"]).out;
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let answer = &json["answers"][0];
    let last = answer["after"].as_array().and_then(|a| a.last()).expect("a time");
    assert_eq!(last["in_box_h"], 0.25);
    assert!(last["stored_h"].as_f64() > Some(0.0) && last["moisture_wt_pct"]["value"].is_f64());
    assert_eq!(answer["customary"]["temperature_c"]["low"], 45.0);
    assert_eq!(answer["customary"]["time_h"]["high"], 8.0);
    assert!(answer["floor_wt_pct"].is_null(), "{answer}");
}

#[test]
fn the_figure_of_moisture_names_all_that_holds_water_back_and_ends_it_in_storage() {
    let out =
        "layers = 3\nshells = 3\n[event.out]\nkind = \"store\"\nat = \"15 min\"\nplace = \"room\"";
    let bench = Bench::new(with_spool(out));
    let end = bench.run(&["simulate", "box.toml", "-o", "out", "--figures", "moisture"]);
    assert_eq!(end.code, 0, "{}", end.err);
    let read = |name: &str| std::fs::read_to_string(bench.path(name)).expect(name);
    let svg = read("out/moisture.svg");
    for words in ["cold spool", "filament", "gaps", "box air", "in the box", "of storage"] {
        assert!(svg.contains(words), "{words}");
    }
    assert!(!svg.contains(" more<"), "a name is hidden");
    let csv = read("out/moisture.csv");
    let rows: Vec<Vec<&str>> = csv.lines().map(|l| l.split(',').collect()).collect();
    let held = rows[0].iter().position(|h| h.contains("box_air")).expect("a column");
    assert!(!rows[2][held].is_empty() && rows[rows.len() - 1][held].is_empty(), "{csv}");
}

#[test]
fn an_empty_name_among_the_polymers_is_refused() {
    let bench = Bench::new(with_spool(""));
    for typed in ["PLA,", "PLA,,PETG", ","] {
        let end = bench.run(&["spool", "box.toml", "--polymers", typed]);
        assert!(end.code == 3 && end.err.contains("has an empty name"), "{typed}: {}", end.err);
    }
    let help = bench.run(&["spool", "--help"]);
    assert!(help.out.contains("10 at least"), "{}", help.out);
}

#[test]
fn moisture_that_is_there_at_the_start_is_no_time() {
    let bench = Bench::new(with_spool("layers = 3\nshells = 3\nmoisture = \"0.02 %\""));
    let page = bench.run(&["spool", "box.toml", "--samples", "10"]).out;
    assert!(page.contains("0.05 at the start"), "{page}");
    // Little moisture has one more digit.
    assert!(page.contains("0.0200"), "{page}");
}

#[test]
fn a_box_without_a_spool_is_told_what_to_add() {
    let end = Bench::new(BOX).run(&["spool", "box.toml"]);
    assert_eq!(end.code, 3);
    assert!(
        end.err.contains("the scenario has no spool") && end.err.contains("[load.spool]"),
        "{}",
        end.err
    );
}

#[test]
fn mistakes_in_a_spool_name_what_to_type() {
    for (text, words) in [
        (with_spool("").replace("\"PLA\"", "\"PETGG\""), "did you mean \"PETG\"?"),
        (with_spool("").replace("\"200 g\"", "\"9 kg\""), "it does not fit into the box"),
        (
            with_spool("zones = [\"supply\", \"attic\"]"),
            "write one or two of: [\"supply\", \"return\"]",
        ),
        (with_spool("zones = [\"supply\", \"return\"]"), "delete the line with `zone`"),
        (
            with_spool(
                "model = \"lumped\"\n[event.out]\nkind = \"store\"\nat = \"15 min\"\nplace = \"bag\"",
            ),
            "write model = \"layers\" in [load.reel]",
        ),
        (
            changed(
                "[event.look]",
                "[event.out]\nkind = \"store\"\nat = \"15 min\"\nplace = \"room\"\n[event.look]",
            ),
            "takes out a spool, but there is none",
        ),
        (
            with_spool(
                "[event.out]\nkind = \"store\"\nat = \"15 min\"\nplace = \"room\"\nload = \"real\"",
            ),
            "did you mean \"reel\"?",
        ),
        (
            with_spool("")
                .replace("kind = \"spool\"", "kind = \"hygroscopic\"\nmaterial = \"silica_gle\""),
            "did you mean \"silica_gel\"?",
        ),
    ] {
        let said = refused(text);
        assert!(said.contains(words), "{words}: {said}");
    }
}

/// A value that a person may well find at their own spool lies in the band of one who has not looked.
#[test]
fn a_plausible_gap_at_the_flanges_lies_in_the_band() {
    let scenario = include_str!("../../scenarios/spool_polyamide.toml");
    let bench = Bench::new(scenario.replace("48 h", "24 h"));
    let run = |more: &[&str]| {
        let start = ["spool", "box.toml", "--format", "json", "--set", "load.spool.layers=3"];
        let end = bench.run(&[&start[..], &["--set", "load.spool.shells=3"][..], more].concat());
        assert_eq!(end.code, 0, "{}", end.err);
        serde_json::from_str::<serde_json::Value>(&end.out).expect("JSON")
    };
    let band = |of: &serde_json::Value| {
        let after = of["answers"][0]["after"].as_array().expect("times").clone();
        after.last().expect("a time")["moisture_wt_pct"].clone()
    };
    let all = run(&["--samples", "60"]);
    let open = run(&["--samples", "10", "--set", "load.spool.flange_mass_transfer=1 mm/s"]);
    let (found, value) = (band(&all), band(&open)["value"].as_f64().expect("a value"));
    let (low, high) = (found["low"].as_f64().unwrap(), found["high"].as_f64().unwrap());
    assert!((low..high).contains(&value), "{value} is not within {low} to {high}");
    // The ends say how well they are known.
    assert!(found["low_between"]["low"].as_f64() <= Some(low), "{found}");
    let causes = all["answers"][0]["causes"].as_array().expect("causes").len();
    assert_eq!(causes, 15);
}
