//! Invented logs of many kinds, each with what must come of it: see `tests/logs/kinds/README.md`.

use std::path::{Path, PathBuf};

use drybench::files::table::{TableStyle, Writer};
use drybench::measured::log::{Failure, ImportOptions, Importer};
use drybench::reader::{Source, render};
use serde::Deserialize;

#[derive(Deserialize)]
struct Truth {
    log: Vec<Log>,
}

/// One log and its truth.
#[derive(Deserialize)]
struct Log {
    file: String,
    about: String,
    options: Option<toml::Table>,
    columns: Option<Vec<String>>,
    rows: Option<Vec<Vec<f64>>>,
    segment: Option<Vec<u32>>,
    /// Words of which the question must have one.
    asks: Option<Vec<String>>,
    /// How far times may be off that are written coarsely [s].
    time_tolerance: Option<f64>,
    /// How far humidities may be off that are worked out [%].
    tolerance: Option<f64>,
}

fn folder() -> PathBuf {
    let own = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/logs/kinds");
    std::env::var("DRYBENCH_LOGS").map_or(PathBuf::from(own), PathBuf::from)
}

fn options(log: &Log) -> ImportOptions {
    let Some(table) = &log.options else { return ImportOptions::default() };
    let text = toml::to_string(table).expect("options");
    let source = Source::from_bytes("options.toml", text.as_bytes()).expect("a table");
    let reader = source.reader();
    let root = reader.root();
    let options = ImportOptions::read(&root);
    drop(root);
    if let Err(issues) = reader.finish() {
        panic!("{}: {}", log.file, render(&issues));
    }
    options
}

/// The rows as the program writes them, or its question.
fn written(bytes: &[u8], options: ImportOptions) -> Result<String, String> {
    let mut out = Vec::new();
    let writer = Writer::new(&mut out, TableStyle::Csv, 101_325.0);
    let mut importer = Importer::new("log.txt", options, writer);
    let said = |f: Failure| match f {
        Failure::Input(issues) => render(&issues),
        Failure::Output(e) => panic!("{e}"),
    };
    for piece in bytes.chunks(1000) {
        importer.feed(piece).map_err(said)?;
    }
    let (summary, writer) = importer.finish().map_err(said)?;
    assert!(summary.ledger.adds_up(), "{}", summary.ledger);
    writer.end(&summary).expect("memory");
    Ok(String::from_utf8(out).expect("text"))
}

/// What is wrong with what came of a log.
fn fault(log: &Log, got: &Result<String, String>) -> Option<String> {
    let text = match (got, &log.asks) {
        (Err(said), Some(words)) => {
            let has = words.iter().any(|w| said.to_lowercase().contains(&w.to_lowercase()));
            return (!has).then(|| format!("asks another question: {said}"));
        }
        (Err(said), None) => return Some(format!("refused: {said}")),
        (Ok(text), Some(_)) if log.rows.is_none() => {
            let head: Vec<&str> = text.lines().take(4).collect();
            return Some(format!("not asked about, but read as\n{}", head.join("\n")));
        }
        (Ok(text), _) => text,
    };
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let heads = table.headers().expect("heads").clone();
    let place = |name: &str| heads.iter().position(|h| h == name);
    let names = log.columns.as_ref().expect("columns");
    let mut places = vec![place("time_s").expect("time")];
    for name in names {
        match place(name) {
            Some(i) => places.push(i),
            None => return Some(format!("no column {name} among {heads:?}")),
        }
    }
    let air = |h: &&str| h.ends_with("temperature_C") || h.ends_with("relative_humidity_pct");
    for head in heads.iter().filter(air) {
        if !names.iter().any(|n| n == head) {
            return Some(format!("a column {head} that the log does not have, among {heads:?}"));
        }
    }
    // A row without a value keeps the time of a failed read: with it or without it a log is right.
    let there = |r: &csv::StringRecord| places[1..].iter().any(|p| !r[*p].is_empty());
    let rows: Vec<csv::StringRecord> =
        table.records().map(|r| r.expect("a row")).filter(there).collect();
    let wanted = log.rows.as_ref().expect("rows");
    let wanted: Vec<&Vec<f64>> =
        wanted.iter().filter(|w| w[1..].iter().any(|v| !v.is_nan())).collect();
    for (i, (row, want)) in rows.iter().zip(&wanted).enumerate() {
        let got: Vec<f64> = places.iter().map(|p| row[*p].parse().unwrap_or(f64::NAN)).collect();
        for (k, (g, w)) in got.iter().zip(*want).enumerate() {
            let name = if k == 0 { "time_s" } else { &names[k - 1] };
            let off = match name {
                "time_s" => log.time_tolerance.unwrap_or(2e-3),
                n if n.contains("humidity") => log.tolerance.unwrap_or(1e-6),
                n if n.contains("temperature") => 6e-3,
                _ => 1e-4,
            };
            if !(g.is_nan() && w.is_nan() || (g - w).abs() <= off) {
                return Some(format!("row {}: {name} is {g}, must be {w}: {row:?}", i + 1));
            }
        }
        if let Some(segments) = &log.segment {
            let at = place("segment").and_then(|p| row[p].parse::<u32>().ok());
            if at != Some(segments[i]) {
                return Some(format!("row {}: segment {at:?}, must be {}", i + 1, segments[i]));
            }
        }
    }
    (rows.len() != wanted.len()).then(|| format!("{} rows, must be {}", rows.len(), wanted.len()))
}

fn kinds(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).expect("the folder of logs");
    let mut kinds: Vec<PathBuf> = entries.map(|e| e.expect("an entry").path()).collect();
    kinds.retain(|k| k.join("truth.toml").exists());
    kinds.sort();
    kinds
}

#[test]
fn every_kind_of_log_is_right_or_asked_about() {
    let mut faults = Vec::new();
    let mut count = 0;
    for kind in kinds(&folder()) {
        let text = std::fs::read_to_string(kind.join("truth.toml")).expect("the truth");
        let truth: Truth =
            toml::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", kind.display()));
        for log in &truth.log {
            count += 1;
            let bytes = std::fs::read(kind.join(&log.file)).expect("a log");
            let got = written(&bytes, options(log));
            if let Some(what) = fault(log, &got) {
                let name = kind.file_name().unwrap_or_default().to_string_lossy();
                faults.push(format!("{name}/{} ({}): {what}", log.file, log.about));
            }
        }
    }
    assert!(faults.is_empty(), "{} of {count} logs:\n{}", faults.len(), faults.join("\n"));
    assert!(count >= 150, "{count} logs");
}

/// What one log looks like to the program; for work on a new kind.
#[test]
#[ignore = "shows a file that is named in DRYBENCH_LOG"]
fn show() {
    let path = std::env::var("DRYBENCH_LOG").expect("a file");
    for path in path.split(',') {
        let bytes = std::fs::read(path).expect("a log");
        let interval_s = std::env::var("DRYBENCH_INTERVAL").ok().and_then(|v| v.parse().ok());
        let options = ImportOptions { interval_s, ..ImportOptions::default() };
        let found = drybench::measured::log::import(path, &bytes, options);
        match found {
            Ok((summary, _)) => println!(
                "{path}\n  {}\n  {}\n{}",
                summary.detected,
                summary.ledger,
                render(&summary.warnings)
            ),
            Err(Failure::Input(issues)) => println!("{path}\n{}", render(&issues)),
            Err(Failure::Output(e)) => panic!("{e}"),
        }
    }
}
