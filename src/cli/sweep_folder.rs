//! The folder of a sweep: tables that only grow at their ends, and what they belong to.

use std::fs::{self, File, OpenOptions};
use std::io::{self, BufRead, BufReader, Write};
use std::path::{Path, PathBuf};

use super::output::{Talk, json, make_folder, not_a_file, reason, whole};
use super::{Exit, Outcome, Stop};
use crate::report::columns;
use crate::study::sweep::{Manifest, Plan, Row, Shown, WARNINGS, csv_head, series_head};

/// The table.
pub(super) const CSV: &str = "cases.csv";
/// The same rows with names.
pub(super) const JSONL: &str = "cases.jsonl";
/// Series of the cases, where they are kept.
pub(super) const SERIES: &str = "series.csv";
/// What the columns of the table mean.
pub(super) const COLUMNS: &str = "columns.csv";
/// What they belong to.
pub(super) const MANIFEST: &str = "manifest.json";

/// The tables, open for more rows.
pub(super) struct Tables {
    folder: PathBuf,
    csv: File,
    jsonl: File,
    shown: Shown,
    /// The table of series and its columns.
    series: Option<(File, Vec<String>)>,
    rows: usize,
    failed: usize,
}

impl Tables {
    /// Makes a new folder, or takes up an interrupted one.
    pub(super) fn open(
        talk: &Talk,
        folder: &Path,
        manifest: &Manifest,
        plan: &Plan,
        shown: &Shown,
        resume: bool,
    ) -> Result<Self, Stop> {
        not_a_file(folder)?;
        let known = folder.join(MANIFEST).exists();
        let used = fs::read_dir(folder).is_ok_and(|mut d| d.next().is_some());
        if used && !(resume && known) {
            if known {
                agree(folder, &read_manifest(folder)?, manifest)?;
            }
            let hint = if known {
                "write --resume to finish it, or another folder after -o"
            } else {
                "it holds no sweep; write another folder after -o"
            };
            let text = format!("{} exists already\n     {hint}", folder.display());
            return Err(Stop::message(Exit::Output, text));
        }
        let head = csv_head(plan, shown);
        let mut rows = 0;
        if known {
            agree(folder, &read_manifest(folder)?, manifest)?;
            rows = cut(folder, &head)?.min(manifest.range().len());
            sound(folder, manifest.range().start, rows)?;
            if !manifest.series.is_empty() {
                cut_series(folder, manifest, manifest.range().start + rows)?;
            }
            talk.note(&format!("{rows} of {} cases are there already", manifest.range().len()));
        } else {
            make_folder(folder)?;
            write(&folder.join(CSV), head.as_bytes())?;
            write(&folder.join(JSONL), b"")?;
            if !manifest.series.is_empty() {
                write(&folder.join(SERIES), series_head(&manifest.series).as_bytes())?;
            }
            write(&folder.join(MANIFEST), json(manifest)?.as_bytes())?;
        }
        write(&folder.join(COLUMNS), columns::csv(plan, shown).as_bytes())?;
        let append = |name: &str| {
            let path = folder.join(name);
            OpenOptions::new().append(true).open(&path).map_err(|e| failed(&path, &e))
        };
        let (csv, jsonl) = (append(CSV)?, append(JSONL)?);
        let series = match manifest.series.as_slice() {
            [] => None,
            columns => Some((append(SERIES)?, columns.to_vec())),
        };
        Ok(Tables {
            folder: folder.to_owned(),
            csv,
            jsonl,
            shown: shown.clone(),
            series,
            rows,
            failed: 0,
        })
    }

    /// Rows so far.
    pub(super) fn rows(&self) -> usize {
        self.rows
    }

    /// Failed cases among the rows appended.
    pub(super) fn failed(&self) -> usize {
        self.failed
    }

    /// Where they are.
    pub(super) fn folder(&self) -> &Path {
        &self.folder
    }

    /// Adds rows to all tables.
    pub(super) fn append(&mut self, plan: &Plan, rows: &[Row]) -> Outcome {
        let csv: String = rows.iter().map(|r| r.csv(&self.shown)).collect();
        let jsonl: String = rows.iter().map(|r| r.json(plan)).collect();
        self.rows += rows.len();
        self.failed += rows.iter().filter(|r| r.outcome.is_err()).count();
        let put = |file: &mut File, text: &str| {
            file.write_all(text.as_bytes()).and_then(|()| file.flush())
        };
        // The series first: what a row stands for is then complete.
        let series = match &mut self.series {
            None => Ok(()),
            Some((file, columns)) => rows.iter().try_for_each(|r| put(file, &r.series(columns))),
        };
        series
            .and_then(|()| put(&mut self.csv, &csv))
            .and_then(|()| put(&mut self.jsonl, &jsonl))
            .map_err(|e| failed(&self.folder, &e))
    }
}

pub(super) fn write(path: &Path, bytes: &[u8]) -> Outcome {
    whole(path, bytes).map_err(|e| failed(path, &e))
}

pub(super) fn failed(path: &Path, e: &io::Error) -> Stop {
    let hint = match e.kind() {
        io::ErrorKind::StorageFull => "free some space and repeat the command with --resume",
        _ => "write another place after -o",
    };
    let text = format!("cannot use {}: {}\n     {hint}", path.display(), reason(e));
    Stop::message(Exit::Output, text)
}

pub(super) fn read_manifest(folder: &Path) -> Result<Manifest, Stop> {
    let path = folder.join(MANIFEST);
    let text = fs::read_to_string(&path).map_err(|e| {
        let text =
            format!("{}: {}\n     give a folder of drybench sweep", path.display(), reason(&e));
        Stop::message(Exit::BadInput, text)
    })?;
    serde_json::from_str(&text).map_err(|e| {
        let text = format!("{} is damaged: {e}\n     start again in a new folder", path.display());
        Stop::message(Exit::BadInput, text)
    })
}

pub(super) fn agree(folder: &Path, there: &Manifest, here: &Manifest) -> Outcome {
    let Some((what, old, new)) = there.difference(here) else { return Ok(()) };
    let text = format!(
        "{} holds another sweep; the two differ in the {what}\n     there: {old}\n     now:   {new}\n     \
         repeat the first command, or write another folder after -o",
        folder.display()
    );
    Err(Stop::message(Exit::BadInput, text))
}

/// Cuts both tables after the last row that is whole in both; returns the number of rows.
fn cut(folder: &Path, head: &str) -> Result<usize, Stop> {
    let (csv, jsonl) = (folder.join(CSV), folder.join(JSONL));
    if lines(&csv, 1)?.0 == 0 {
        write(&csv, head.as_bytes())?;
    } else if first_line(&csv)? != head {
        let text = format!(
            "{} has other columns than this sweep\n     start again in a new folder",
            csv.display()
        );
        return Err(Stop::message(Exit::BadInput, text));
    }
    let rows = (lines(&csv, usize::MAX)?.0 - 1).min(lines(&jsonl, usize::MAX)?.0);
    for (path, keep) in [(&csv, rows + 1), (&jsonl, rows)] {
        let (_, bytes) = lines(path, keep)?;
        let file = OpenOptions::new().write(true).open(path).map_err(|e| failed(path, &e))?;
        file.set_len(bytes).map_err(|e| failed(path, &e))?;
    }
    Ok(rows)
}

/// Whether both tables hold the rows of these cases in order; what a text editor or a bad disk did to them is
/// told by its line.
pub(super) fn sound(folder: &Path, first: usize, rows: usize) -> Outcome {
    let broken = |path: &Path, line: usize, what: &str| {
        let text = format!(
            "{}:{line}: {what}\n     delete that line and all after it: --resume runs those cases again",
            path.display()
        );
        Err(Stop::message(Exit::BadInput, text))
    };
    let path = folder.join(CSV);
    let file = File::open(&path).map_err(|e| failed(&path, &e))?;
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(file);
    let head = reader.headers().cloned().unwrap_or_default();
    // Before the values in SI are the settings as typed, after the closures come words.
    let words = head.iter().position(|h| h == WARNINGS).unwrap_or(head.len());
    let numbers: Vec<usize> =
        (0..words).skip_while(|k| !head[*k].ends_with("_si")).chain(std::iter::once(0)).collect();
    for (i, record) in reader.records().enumerate() {
        let line = i + 2;
        let Ok(record) = record else { return broken(&path, line, "is no text") };
        if record.len() != head.len() {
            let what = format!("has {} cells where {} are due", record.len(), head.len());
            return broken(&path, line, &what);
        }
        let odd = |k: &&usize| !record[**k].is_empty() && record[**k].parse::<f64>().is_err();
        if let Some(k) = numbers.iter().find(odd) {
            let what = format!("{} = {} is no number", &head[*k], &record[*k]);
            return broken(&path, line, &what);
        }
        if record[0].parse() != Ok(first + i) {
            let what = format!("is case {} where case {} is due", &record[0], first + i);
            return broken(&path, line, &what);
        }
    }
    let path = folder.join(JSONL);
    let file = File::open(&path).map_err(|e| failed(&path, &e))?;
    for (i, line) in BufReader::new(file).lines().enumerate().take(rows) {
        let line = line.map_err(|e| failed(&path, &e))?;
        let case = serde_json::from_str::<serde_json::Value>(&line).ok();
        if case.and_then(|row| row["case"].as_u64()) != Some((first + i) as u64) {
            return broken(&path, i + 1, &format!("is not the row of case {}", first + i));
        }
    }
    Ok(())
}

/// Cuts the table of series before the first line of a case from `next` on, and a torn line.
fn cut_series(folder: &Path, manifest: &Manifest, next: usize) -> Outcome {
    let path = folder.join(SERIES);
    let head = series_head(&manifest.series);
    if lines(&path, 1)?.0 == 0 || first_line(&path)? != head {
        let text = format!(
            "{} is damaged\n     start again in a new folder, or leave --series out",
            path.display()
        );
        return Err(Stop::message(Exit::BadInput, text));
    }
    let file = File::open(&path).map_err(|e| failed(&path, &e))?;
    let (mut reader, mut bytes, mut line) = (BufReader::new(file), 0, Vec::new());
    loop {
        line.clear();
        let read = reader.read_until(b'\n', &mut line).map_err(|e| failed(&path, &e))?;
        let case = line.split(|b| *b == b',').next().and_then(|c| std::str::from_utf8(c).ok());
        let case: Option<usize> = case.and_then(|c| c.parse().ok());
        let kept = bytes == 0 || case.is_some_and(|c| c < next);
        if read == 0 || line.last() != Some(&b'\n') || !kept {
            break;
        }
        bytes += read as u64;
    }
    let file = OpenOptions::new().write(true).open(&path).map_err(|e| failed(&path, &e))?;
    file.set_len(bytes).map_err(|e| failed(&path, &e))
}

/// Number of whole lines, `most` at most, and of their bytes.
pub(super) fn lines(path: &Path, most: usize) -> Result<(usize, u64), Stop> {
    let file = match File::open(path) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => {
            write(path, b"")?;
            return Ok((0, 0));
        }
        other => other.map_err(|e| failed(path, &e))?,
    };
    let mut reader = BufReader::new(file);
    let (mut count, mut bytes, mut line) = (0, 0, Vec::new());
    while count < most {
        line.clear();
        let read = reader.read_until(b'\n', &mut line).map_err(|e| failed(path, &e))?;
        if read == 0 || line.last() != Some(&b'\n') {
            break;
        }
        count += 1;
        bytes += read as u64;
    }
    Ok((count, bytes))
}

pub(super) fn first_line(path: &Path) -> Result<String, Stop> {
    let mut line = String::new();
    let file = File::open(path).map_err(|e| failed(path, &e))?;
    BufReader::new(file).read_line(&mut line).map_err(|e| failed(path, &e))?;
    Ok(line)
}
