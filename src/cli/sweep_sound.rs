//! Whether the tables of a sweep are what it wrote: what a text editor, a bad disk or a full one did to
//! them is told by its line, before more is built on it.

use std::fs::File;
use std::io::{BufRead, BufReader, Lines};
use std::ops::Range;
use std::path::Path;

use serde_json::Value;

use super::sweep_folder::{CSV, JSONL, SERIES, failed};
use super::{Exit, Outcome, Stop};
use crate::study::sweep::{Manifest, WARNINGS, series_head};

/// Digits lost in writing a number as text and reading it back, as a share of it; our bound.
const READ_BACK: f64 = 1e-12;

fn broken<T>(path: &Path, line: usize, what: &str, hint: &str) -> Result<T, Stop> {
    let text = format!("{}:{line}: {what}\n     {hint}", path.display());
    Err(Stop::message(Exit::BadInput, text))
}

/// Whether both tables hold the rows of these cases in order, and the same in both.
pub(super) fn sound(folder: &Path, cases: Range<usize>) -> Outcome {
    let hint = "delete that line and all after it: --resume runs those cases again";
    let (path, json) = (folder.join(CSV), folder.join(JSONL));
    let file = File::open(&path).map_err(|e| failed(&path, &e))?;
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(file);
    let head = reader.headers().cloned().unwrap_or_default();
    // Before the values in SI are the settings as typed, after the closures come words.
    let words = head.iter().position(|h| h == WARNINGS).unwrap_or(head.len());
    let numbers: Vec<usize> =
        (0..words).skip_while(|k| !head[*k].ends_with("_si")).chain(std::iter::once(0)).collect();
    let mut rows = json_rows(folder)?;
    for (i, record) in reader.records().enumerate() {
        let (line, due) = (i + 2, cases.start + i);
        let Ok(record) = record else { return broken(&path, line, "is no text", hint) };
        if record.len() != head.len() {
            let what = format!("has {} cells where {} are due", record.len(), head.len());
            return broken(&path, line, &what, hint);
        }
        let odd = |k: &&usize| !record[**k].is_empty() && record[**k].parse::<f64>().is_err();
        if let Some(k) = numbers.iter().find(odd) {
            let what = format!("{} = {} is no number", &head[*k], &record[*k]);
            return broken(&path, line, &what, hint);
        }
        if record[0].parse() != Ok(due) {
            let what = format!("is case {} where case {due} is due", &record[0]);
            return broken(&path, line, &what, hint);
        }
        let row = next_row(&mut rows, &json)?;
        if row["case"].as_u64() != Some(due as u64) {
            return broken(&json, i + 1, &format!("is not the row of case {due}"), hint);
        }
        for (key, own) in head.iter().zip(&record) {
            let same = match (&row[key], row["merits"].get(key)) {
                (Value::String(told), _) if key == "status" => told == own,
                (_, Some(Value::Null)) => own.is_empty(),
                (_, Some(Value::Number(told))) => {
                    let (told, own) = (told.as_f64(), own.parse::<f64>().ok());
                    told.zip(own).is_some_and(|(a, b)| (a - b).abs() <= READ_BACK * a.abs())
                }
                _ => true,
            };
            if !same {
                let told = if key == "status" { &row[key] } else { &row["merits"][key] };
                let what = format!("{key} = {own}, but {told} in {JSONL}");
                return broken(&path, line, &what, hint);
            }
        }
    }
    Ok(())
}

type Rows = Lines<BufReader<File>>;

fn json_rows(folder: &Path) -> Result<Rows, Stop> {
    let path = folder.join(JSONL);
    Ok(BufReader::new(File::open(&path).map_err(|e| failed(&path, &e))?).lines())
}

/// The next row; null where there is none, or none that can be read.
fn next_row(rows: &mut Rows, path: &Path) -> Result<Value, Stop> {
    let line = rows.next().transpose().map_err(|e| failed(path, &e))?;
    Ok(line.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default())
}

/// Number of bytes of the table of series in which these cases are whole; what follows belongs to cases
/// without a row.
pub(super) fn series_end(
    folder: &Path,
    manifest: &Manifest,
    cases: Range<usize>,
) -> Result<u64, Stop> {
    let (path, json) = (folder.join(SERIES), folder.join(JSONL));
    let head = series_head(&manifest.series);
    let file = File::open(&path).map_err(|e| failed(&path, &e))?;
    let (mut reader, mut line) = (BufReader::new(file), String::new());
    let read = reader.read_line(&mut line).map_err(|e| failed(&path, &e))?;
    if line != head {
        let hint = "start again in a new folder, or leave --series out";
        return broken(&path, 1, "is not the head of these series", hint);
    }
    let (mut bytes, mut at) = (read as u64, 1);
    let mut rows = json_rows(folder)?;
    for case in cases {
        let samples = next_row(&mut rows, &json)?["samples"].as_u64().unwrap_or(0);
        for _ in 0..samples {
            line.clear();
            at += 1;
            let read = reader.read_line(&mut line).unwrap_or(0);
            let own = line.split(',').next().and_then(|c| c.parse().ok()) == Some(case);
            let cells = line.split(',').count() == head.split(',').count();
            if !(own && cells && line.ends_with('\n')) {
                let what = format!("case {case} has {samples} samples, which are not all here");
                let hint = format!(
                    "delete the row of case {case} and all after it in {CSV}: --resume runs those cases again"
                );
                return broken(&path, at, &what, &hint);
            }
            bytes += read as u64;
        }
    }
    Ok(bytes)
}
