//! Damaged tables: every damaged row is told by its line and run again, and nothing damaged is joined.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use tempfile::TempDir;

use crate::kit::{DIAMETERS, at, done, noted, read, refused, run, sweep};

const FILES: [&str; 4] = ["cases.csv", "cases.jsonl", "series.csv", "manifest.json"];

const SWEEP: [&str; 6] = [
    "--axis",
    DIAMETERS,
    "--series",
    "water_in_box_g,vent_only_out_L_min",
    "--set",
    "run.output_every=20 s",
];

fn typed<'t>(out: &'t Path, more: &[&'t str]) -> Command {
    sweep(&[&SWEEP[..], &["-o", at(out)], more].concat())
}

fn texts(folder: &Path) -> [Vec<u8>; 4] {
    FILES.map(|name| fs::read(folder.join(name)).expect(name))
}

fn put(folder: &Path, texts: &[Vec<u8>; 4]) {
    for (name, bytes) in FILES.iter().zip(texts) {
        fs::write(folder.join(name), bytes).expect("written");
    }
}

fn merge(parts: &[PathBuf], out: &Path) -> Command {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("drybench"));
    command.args(["sweep", "--merge"]).args(parts).arg("-o").arg(out);
    command
}

/// The text without its n-th line, or with another one in its place.
fn nth(text: &str, n: usize, new: &str) -> String {
    let lines = text.split_inclusive('\n').enumerate();
    lines.map(|(i, l)| if i == n { new } else { l }).collect()
}

#[test]
fn a_damaged_row_is_told_by_its_line_and_run_again() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    done(typed(&out, &[]));
    let good = texts(&out);
    let [csv, jsonl, series] =
        ["cases.csv", "cases.jsonl", "series.csv"].map(|name| read(&out, name));
    let third = csv.lines().nth(3).unwrap().to_owned();
    let cells: Vec<&str> = third.split(',').collect();
    let changed = |cell: usize, new: &str| {
        let mut cells = cells.clone();
        cells[cell] = new;
        nth(&csv, 3, &(cells.join(",") + "\n"))
    };
    let ledger = cells.len() - 6;
    let lost = |line: &str| -> String {
        series.split_inclusive('\n').filter(|l| !l.starts_with(line)).collect()
    };
    for (name, text, what) in [
        // An axis value, its value in SI, a line of an account, a word.
        ("cases.csv", changed(2, "9 mm"), ":4: is damaged: its checksum does not fit"),
        ("cases.csv", changed(3, "0.009"), ":4: is damaged"),
        ("cases.csv", changed(ledger, "0.5"), ":4: is damaged"),
        ("cases.csv", third.replace(",ok,", ",xx,"), ":1: its head is damaged"),
        ("cases.csv", nth(&csv, 3, ""), ": case 2 is missing"),
        ("cases.csv", nth(&csv, 3, &format!("{third}\n{third}\n")), ":5: is case 2 a second time"),
        ("cases.csv", nth(&csv, 0, "case,scenario\n"), ":1: its head is damaged"),
        ("cases.jsonl", nth(&jsonl, 2, "{bro\n"), ":3: is damaged"),
        ("cases.jsonl", jsonl.replacen("\"peak_air_C\":", "\"peak_air_C\":9", 1), ":1: is damaged"),
        ("cases.jsonl", String::new(), ""),
        ("series.csv", series.replacen("\n3,20,", "\n3,21,", 1), "the series of case 3 is damaged"),
        ("series.csv", lost("3,60"), "the series of case 3 is damaged"),
        ("series.csv", lost("3,"), "the series of case 3 is missing"),
        ("series.csv", nth(&series, 9, "junk\n"), "is damaged"),
    ] {
        fs::write(out.join(name), text).unwrap();
        let said = noted(typed(&out, &["--resume"]));
        let place = out.join(name).display().to_string();
        assert!(
            what.is_empty() || said.contains(&place) && said.contains(what),
            "{name}, {what}: {said}"
        );
        assert!(texts(&out) == good, "{name}, {what}: not the same bytes");
        put(&out, &good);
    }
    // Only the damaged case is run again.
    fs::write(out.join("cases.csv"), changed(2, "9 mm")).unwrap();
    let said = noted(typed(&out, &["--resume"]));
    assert!(
        said.contains("run again: case 2\n") && said.contains("50 of 50 cases are there already"),
        "{said}"
    );
    // A row of another sweep has a checksum, but not one of this.
    let other = tmp.path().join("other");
    done(sweep(&["--axis", "vent.only.diameter=1..8.5 mm count 50", "-o", at(&other)]));
    let foreign = read(&other, "cases.csv").lines().nth(3).unwrap().to_owned() + "\n";
    fs::write(out.join("cases.csv"), nth(&csv, 3, &foreign)).unwrap();
    let said = noted(typed(&out, &["--resume"]));
    assert!(said.contains("cases.csv:4: is damaged"), "{said}");
    assert!(texts(&out) == good);
}

/// One random thing that an editor, a disk or a copy may do to a file.
fn damage(bytes: &mut Vec<u8>, dice: &mut ChaCha8Rng) -> &'static str {
    let at = dice.random_range(0..bytes.len());
    let ends: Vec<usize> = (0..bytes.len()).filter(|i| bytes[*i] == b'\n').collect();
    let line = |bytes: &[u8], at: usize| {
        let from = bytes[..at].iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
        let to = bytes[at..].iter().position(|b| *b == b'\n').map_or(bytes.len(), |i| at + i + 1);
        from..to
    };
    match dice.random_range(0..8) {
        0 => {
            bytes[at] ^= 1 << dice.random_range(0..8_u32);
            "a bit"
        }
        1 => {
            let digits: Vec<usize> =
                (0..bytes.len()).filter(|i| bytes[*i].is_ascii_digit()).collect();
            let place = digits[dice.random_range(0..digits.len())];
            bytes[place] = b'0' + (bytes[place] - b'0' + 1) % 10;
            "a digit"
        }
        2 => {
            bytes.insert(at, (dice.next_u32() & 0x7f) as u8);
            "a byte more"
        }
        3 => {
            bytes.remove(at);
            "a byte less"
        }
        4 => {
            bytes.drain(line(bytes, at));
            "a line less"
        }
        5 => {
            let twice = bytes[line(bytes, at)].to_vec();
            let place = ends[dice.random_range(0..ends.len())] + 1;
            bytes.splice(place..place, twice);
            "a line twice"
        }
        6 => {
            bytes.truncate(at);
            "the end"
        }
        _ => {
            let to = (at + dice.random_range(1..600)).min(bytes.len());
            bytes[at..to].fill(0);
            "zeros"
        }
    }
}

#[test]
fn no_random_damage_is_taken_for_a_result() {
    let tmp = TempDir::new().unwrap();
    let out = tmp.path().join("out");
    done(typed(&out, &[]));
    let good = texts(&out);
    let mut dice = ChaCha8Rng::seed_from_u64(162);
    let mut mended = 0;
    for i in 0..140 {
        let file = i % FILES.len();
        let mut bad = good.clone();
        let what = damage(&mut bad[file], &mut dice);
        put(&out, &bad);
        let end = run(typed(&out, &["--resume"]));
        let said = String::from_utf8_lossy(&end.stderr).into_owned();
        let case = format!("{i}: {what} of {}: {said}", FILES[file]);
        if end.status.success() {
            assert!(texts(&out) == good, "{case}");
            mended += 1;
            // Fewer rows than there were are what a kill leaves, too; everything else is told.
            let fewer = !said.contains("50 of 50 cases are there");
            assert!(said.contains(FILES[file]) || fewer || bad[file] == good[file], "{case}");
        } else {
            // Only what the sweep is cannot be run again.
            assert_eq!(end.status.code(), Some(3), "{case}");
            assert!(file == 3 && said.contains("manifest.json"), "{case}");
        }
    }
    assert!(mended > 90, "{mended}");
}

#[test]
fn nothing_damaged_is_joined() {
    let tmp = TempDir::new().unwrap();
    let parts = [1, 2].map(|k| tmp.path().join(format!("part{k}")));
    for (k, part) in parts.iter().enumerate() {
        done(typed(part, &["--shard", &format!("{}/2", k + 1)]));
    }
    let (whole, joined) = (tmp.path().join("whole"), tmp.path().join("joined"));
    done(typed(&whole, &[]));
    done(merge(&parts, &joined));
    assert!(texts(&whole) == texts(&joined));
    let good = texts(&parts[1]);
    let mut dice = ChaCha8Rng::seed_from_u64(163);
    for i in 0..60 {
        let file = i % FILES.len();
        let mut bad = good.clone();
        let what = damage(&mut bad[file], &mut dice);
        put(&parts[1], &bad);
        let out = tmp.path().join(format!("again{i}"));
        let end = run(merge(&parts, &out));
        let said = String::from_utf8_lossy(&end.stderr).into_owned();
        let case = format!("{i}: {what} of {}: {said}", FILES[file]);
        if end.status.success() {
            assert!(texts(&out) == texts(&whole), "{case}");
        } else {
            assert_eq!(end.status.code(), Some(3), "{case}");
            assert!(!out.exists() && said.contains(at(&parts[1])), "{case}");
        }
    }
    // What the columns mean is of the sweep, too.
    put(&parts[1], &good);
    let meanings = parts[1].join("columns.csv");
    fs::write(&meanings, fs::read_to_string(&meanings).unwrap().replace("case", "cage")).unwrap();
    let (code, said) = refused(merge(&parts, &tmp.path().join("last")));
    assert!(code == Some(3) && said.contains("columns.csv, is damaged"), "{said}");
}
