//! Files from before a key, or a layout, was called otherwise: told the present name, never guessed.

use crate::bench::{BOX, Bench, changed, refused};

#[test]
fn an_old_key_is_told_the_new_one() {
    let spool = "kind = \"spool\"\npolymer = \"PLA\"\nmass = \"1 kg\"\nmoisture = \"0.4 %\"\n\
                 zone = \"return\"\n";
    let pad =
        &BOX[BOX.find("[load.pad]").expect("a pad")..BOX.find("[event.look]").expect("an event")];
    let cases: Vec<(String, &str, &str)> = vec![
        (
            changed("power = \"150 W\"", "power = \"150 W\"\nline = \"90 %\""),
            "line",
            "supply_voltage",
        ),
        (
            changed("pressure    = \"2 Pa\"", "pressure = \"2 Pa\"\nwhen_warm = \"50 %\""),
            "when_warm",
            "speed_after_warm_up",
        ),
        (
            changed("height   = \"30 mm\"", "height = \"30 mm\"\ngrazing = 2"),
            "grazing",
            "cross_flow_factor",
        ),
        (
            changed("dry_mass = \"3.2 g\"", "dry_mass = \"3.2 g\"\nfilm_factor = 1.2"),
            "film_factor",
            "coefficient_factor",
        ),
        (
            changed("supply_share = 0.3", "supply_share = 0.3\ninside_film = \"10 W/(m2 K)\""),
            "inside_film",
            "inside_coefficient",
        ),
        (
            changed("kind       = \"thermostat\"", "kind = \"pi\"\ncommands = \"duty\"")
                .replace("hysteresis = \"3 K\"\n", ""),
            "commands",
            "output",
        ),
        (
            BOX.replace(pad, &format!("[load.pad]\n{spool}strand = \"1.75 mm\"\n\n")),
            "strand",
            "filament",
        ),
        (
            BOX.replace(pad, &format!("[load.pad]\n{spool}film = \"9 W/(m2 K)\"\n\n")),
            "film",
            "surface_coefficient",
        ),
        (
            BOX.replace(pad, &format!("[load.pad]\n{spool}flange_gap = \"0.5 mm/s\"\n\n")),
            "flange_gap",
            "flange_mass_transfer",
        ),
    ];
    for (text, old, new) in cases {
        let said = refused(&text);
        let want = format!("the key `{old}` in [");
        assert!(said.contains(&want) && said.contains("has another name now"), "{old}: {said}");
        assert!(said.contains(&format!("write `{new}`")), "{old}: {said}");
        assert_eq!(said.matches("error").count(), 1, "{old}: {said}");
    }
}

#[test]
fn an_old_key_is_told_in_assignments_axes_and_free_parameters() {
    let bench = Bench::new(BOX);
    let old = "load.pad.film_factor";
    for words in [
        vec!["simulate", "box.toml", "--set", "load.pad.film_factor=1.2"],
        vec!["sweep", "box.toml", "-o", "out", "--axis", "load.pad.film_factor=1,2"],
    ] {
        let end = bench.run(&words);
        assert_eq!(end.code, 3, "{words:?}: {}", end.err);
        assert!(end.err.contains("`coefficient_factor`"), "{old}, {words:?}: {}", end.err);
    }
}

#[test]
fn a_free_parameter_of_an_old_name_is_told_the_new_one() {
    let bench = Bench::new(BOX);
    std::fs::write(bench.path("log.csv"), "time_s,hot_C\n0,20\n60,25\n").expect("a file");
    let map = "hot_C=sensor_panel_temperature_C ± 0.2 K";
    let free = "load.pad.film_factor=0.5..2";
    let end = bench.run(&["fit", "box.toml", "--data", "log.csv", "--map", map, "--free", free]);
    assert_eq!(end.code, 3, "{}", end.err);
    assert!(end.err.contains("it is called load.pad.coefficient_factor now"), "{}", end.err);
}

#[test]
fn a_saved_run_of_the_layout_before_is_refused() {
    let bench = Bench::new(BOX);
    let end = bench.run(&["simulate", "box.toml", "-q", "-o", "out"]);
    assert_eq!(end.code, 0, "{}", end.err);
    let saved = String::from_utf8(bench.read("out/run.json")).expect("UTF-8");
    let old = saved.replacen("\"schema_version\": 2", "\"schema_version\": 1", 1);
    let old = if old == saved {
        saved.replacen("\"schema_version\":2", "\"schema_version\":1", 1)
    } else {
        old
    };
    // The old layout had other names for metrics and events.
    let old =
        old.replacen("\"metrics\"", "\"merits\"", 1).replacen("\"events\"", "\"happenings\"", 1);
    std::fs::write(bench.path("old.json"), old).expect("a file");
    let end = bench.run(&["assess", "old.json"]);
    assert_eq!(end.code, 3, "{}", end.err);
    let want =
        "has version 1 of the layout of a run, and this program reads version 2: simulate it anew";
    assert!(end.err.contains(want), "{}", end.err);
}

#[test]
fn a_sweep_of_the_layout_before_is_not_resumed() {
    let bench = Bench::new(BOX);
    let words = [
        "sweep",
        "box.toml",
        "-q",
        "-o",
        "out",
        "--axis",
        "heater.power=100 W, 150 W",
        "--set",
        "run.duration=1 min",
    ];
    let end = bench.run(&words);
    assert_eq!(end.code, 0, "{}", end.err);
    let text = String::from_utf8(bench.read("out/manifest.json")).expect("UTF-8");
    let old = text.replace("\"schema_version\": 5", "\"schema_version\": 4");
    assert_ne!(old, text, "the version is not where it was");
    std::fs::write(bench.path("out/manifest.json"), old).expect("a file");
    let end = bench.run(&[&words[..], &["--resume"]].concat());
    assert_ne!(end.code, 0, "resumed");
    assert!(end.err.contains("layout"), "{}", end.err);
}
