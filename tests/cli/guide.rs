//! The guide on the terminal.

use crate::bench::run;

#[test]
fn without_a_chapter_there_is_a_list_of_all() {
    let end = run(&["guide"]);
    assert_eq!((end.code, end.err.as_str()), (0, ""));
    let files =
        std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/src/guide")).expect("a folder");
    for file in files {
        let name = file.expect("an entry").file_name().to_string_lossy().into_owned();
        if let Some(chapter) = name.strip_suffix(".md") {
            let row = end.out.lines().find(|l| l.trim_start().starts_with(chapter));
            let line = row.unwrap_or_else(|| panic!("no {chapter} in\n{}", end.out)).trim_start();
            assert!(line.len() > chapter.len() + 10, "{line}");
        }
    }
}

#[test]
fn each_chapter_is_plain_text() {
    let list = run(&["guide"]).out;
    let names: Vec<&str> = list
        .lines()
        .filter(|l| l.starts_with("  "))
        .filter_map(|l| l.split_whitespace().next())
        .collect();
    assert!(names.len() >= 10, "{list}");
    for name in names {
        let end = run(&["guide", name]);
        assert_eq!((end.code, end.err.as_str()), (0, ""), "{name}");
        assert!(
            end.out.lines().nth(1).is_some_and(|l| l.starts_with("===")),
            "{name}: {}",
            end.out
        );
        for mark in ["```", "](", "<!--", "**", ".md\n", "|---"] {
            assert!(!end.out.contains(mark), "{name} has {mark}");
        }
    }
    let other = run(&["guide", "First Box"]).out;
    assert_eq!(other, run(&["guide", "first_box"]).out);
}

#[test]
fn a_misspelt_chapter_is_told_the_nearest() {
    for (typed, near) in
        [("sweps", "sweeps"), ("fiting", "fitting"), ("spool", "spools"), ("first-bx", "first_box")]
    {
        let end = run(&["guide", typed]);
        let want = format!(
            "error: the guide has no chapter \"{typed}\"\n     did you mean: drybench guide {near}\n"
        );
        assert_eq!((end.code, end.out.as_str(), end.err), (2, "", want));
    }
    let end = run(&["guide", "xyzzy"]);
    assert_eq!(end.code, 2);
    assert!(end.err.contains("chapters: first_box, vents, "), "{}", end.err);
}

#[test]
fn keys_answer_by_table_kind_and_key_in_each_format() {
    let table = run(&["keys", "vent"]);
    assert_eq!((table.code, table.err.as_str()), (0, ""));
    assert!(table.out.contains("[vent.NAME] with kind = \"seam\""), "{}", table.out);
    assert!(table.out.contains("a length, 0.1 mm to 200 mm; required"), "{}", table.out);
    let kind = run(&["keys", "spool"]).out;
    assert!(kind.contains("polymer") && !kind.contains("critical_moisture"), "{kind}");
    let key = run(&["keys", "pad.critical_moisture"]);
    assert_eq!(key.code, 2, "{}", key.out);
    let key = run(&["keys", "load.critical_moisture"]).out;
    assert!(key.contains("default: 40 % (25 % to 60 %, quality C)"), "{key}");
    let run_toml = run(&["keys", "--run", "spot"]).out;
    assert!(run_toml.contains("set_emissivity"), "{run_toml}");
    let csv = run(&["keys", "--format", "csv"]).out;
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    assert!(rows.records().all(|r| r.is_ok()) && csv.lines().count() > 150);
    let json: serde_json::Value =
        serde_json::from_str(&run(&["keys", "heater", "--format", "json"]).out).expect("JSON");
    let power = json["keys"].as_array().expect("keys").iter().find(|k| k["key"] == "power");
    assert_eq!(power.expect("power")["high"], 5000.0);
}

#[test]
fn a_table_that_is_not_there_is_met_with_the_nearest() {
    let end = run(&["keys", "vents"]);
    assert_eq!(end.code, 2);
    assert!(end.err.contains("did you mean: drybench keys vent"), "{}", end.err);
}

#[test]
fn a_shell_is_taught_commands_and_options() {
    for shell in ["bash", "zsh", "fish"] {
        let end = run(&["completions", shell]);
        assert_eq!((end.code, end.err.as_str()), (0, ""), "{shell}");
        assert!(end.out.contains("simulate") && end.out.contains("output"), "{shell}");
    }
    assert_eq!(run(&["completions", "abacus"]).code, 2);
}
