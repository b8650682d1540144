//! What others wrote is shown, and obeyed by nobody.

use std::fs;

use crate::bench::{BOX, Bench, Ended};

const ESCAPE: &str = "\u{1b}]0;owned\u{7}\u{1b}[2J\u{9b}31m\u{202e}";

fn harmless(what: &str, end: &Ended) {
    for text in [&end.out, &end.err] {
        let odd = |c: char| c.is_control() && c != '\n' && c != '\t' || c == '\u{202e}';
        assert!(!text.contains(odd), "{what}: {text:?}");
    }
}

#[test]
fn terminals_obey_nothing_that_was_read() {
    let bench = Bench::new(BOX);
    let path = format!("{ESCAPE}.toml");
    fs::write(bench.path(&path), BOX.replace("Test box", "x\\u001b[2J")).expect("written");
    let log = format!(
        "time_s,{ESCAPE}_temp_c,note\n0,20,{ESCAPE}\n10,21,=1+1\n20,x{ESCAPE},b\n30,22,c\n"
    );
    fs::write(bench.path("log.txt"), &log).expect("written");
    let notes = format!("start 5.00 g {ESCAPE}\n10:00 4.5 g {ESCAPE}\n11:00 {ESCAPE}\n");
    fs::write(bench.path("notes.txt"), notes).expect("written");
    let set = format!("load.{ESCAPE}=1");
    let axis = format!("{ESCAPE}=1..{ESCAPE}");
    let lines: [&[&str]; 15] = [
        &["check", &path],
        &["simulate", &path],
        &["check", ESCAPE],
        &["check", "box.toml", "--set", &set],
        &["simulate", "box.toml", "--set", &format!("title=\"{ESCAPE}\"")],
        &["simulate", "box.toml", "--explain", ESCAPE],
        &["sweep", "box.toml", "--axis", &axis, "-o", "out"],
        &[
            "sweep",
            "box.toml",
            "--pair",
            &format!("label={ESCAPE}, b; heater.power=1 W, 2 W"),
            "--dry-run",
        ],
        &["air", "-t", ESCAPE, "--rh", "50 %"],
        &[ESCAPE],
        &["import", "log.txt", "--format", ESCAPE],
        &["import", "log.txt"],
        &["import", "log.txt", "--format", "json"],
        &["import", "log.txt", "--format", "jsonl"],
        &["new", "-o", &format!("none{ESCAPE}/x")],
    ];
    for arguments in lines {
        harmless(&format!("{arguments:?}"), &bench.run(arguments));
    }
    let end =
        bench.run(&["new", "run", "--log", "log.txt", "--weighings", "notes.txt", "-o", "felt"]);
    assert_eq!(end.code, 0, "{}", end.err);
    harmless("new run", &end);
    for arguments in [
        &["check", "felt"][..],
        &["assess", "felt", "--definitions"],
        &["check", "felt", "--format", "json"],
    ] {
        harmless(&format!("{arguments:?}"), &bench.run(arguments));
    }
}

#[test]
fn json_with_odd_characters_is_still_json() {
    let bench = Bench::new(BOX);
    fs::write(
        bench.path("log.txt"),
        format!("time_s,temp_c,note\n0,20,{ESCAPE}\n10,21,b\n20,22,c\n"),
    )
    .expect("written");
    let end = bench.run(&["import", "log.txt", "--format", "json"]);
    assert_eq!(end.code, 0, "{}", end.err);
    let read: serde_json::Value = serde_json::from_str(&end.out).expect("JSON");
    assert!(read["rows"][0]["note"].as_str().is_some_and(|n| n.contains('\u{9b}')), "{}", end.out);
}

#[test]
fn no_cell_is_a_formula() {
    let bench = Bench::new(BOX);
    let notes = "time_s,temp_c,note\n0,-20,=cmd|' /C calc'!A0\n10,-21,+1+1\n20,22,-2+3\n30,23,@SUM(A1)\n40,24,fine\n";
    fs::write(bench.path("log.txt"), notes).expect("written");
    let end = bench.run(&["import", "log.txt"]);
    assert_eq!(end.code, 0, "{}", end.err);
    let mut reader = csv::Reader::from_reader(end.out.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    let notes: Vec<&str> = rows.iter().map(|r| &r[r.len() - 1]).collect();
    assert_eq!(notes, ["'=cmd|' /C calc'!A0", "'+1+1", "'-2+3", "'@SUM(A1)", "fine"]);
    assert_eq!(&rows[0][2], "-20");
    let sweep =
        ["sweep", "box.toml", "--set", "run.duration=1 min", "--plot", "peak_air_C", "-o", "out"];
    let pair = [
        "--pair",
        "label=\"=1+1\", \"a\"; heater.power=100 W, 110 W",
        "--axis",
        "room.temperature=-5 °C, 20 °C",
    ];
    let end = bench.run(&[&sweep[..], &pair].concat());
    assert_eq!(end.code, 0, "{}", end.err);
    let table = String::from_utf8(bench.read("out/cases.csv")).expect("a text");
    assert!(table.contains(",'=1+1,") && table.contains(",-5 °C,"), "{table}");
    // Figures show the name as it was typed.
    let svg = String::from_utf8(bench.read("out/peak_air_C.svg")).expect("a text");
    assert!(svg.contains("=1+1") && !svg.contains("'=1+1"));
}
