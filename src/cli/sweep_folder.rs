//! The folder of a sweep: tables that only grow at their ends, and what they belong to.

use std::fs::{self, File, OpenOptions};
use std::io::{self, BufRead, BufReader, Write};
use std::path::{Path, PathBuf};

use super::output::{Talk, json, not_a_file, reason};
use super::{Exit, Outcome, Stop};
use crate::merit::Merit;
use crate::report::columns;
use crate::study::sweep::{Manifest, Plan, Row, csv_head, series_head};

/// The table.
pub(super) const CSV: &str = "cases.csv";
/// The same rows with names.
const JSONL: &str = "cases.jsonl";
/// Series of the cases, where they are kept.
const SERIES: &str = "series.csv";
/// What the columns of the table mean.
const COLUMNS: &str = "columns.csv";
/// What they belong to.
const MANIFEST: &str = "manifest.json";

/// The tables, open for more rows.
pub(super) struct Tables {
    folder: PathBuf,
    csv: File,
    jsonl: File,
    keys: Vec<String>,
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
        merits: &[Merit],
        resume: bool,
    ) -> Result<Self, Stop> {
        not_a_file(folder)?;
        let keys: Vec<String> = merits.iter().map(|m| m.key.clone()).collect();
        let known = folder.join(MANIFEST).exists();
        let used = fs::read_dir(folder).is_ok_and(|mut d| d.next().is_some());
        if used && !(resume && known) {
            let hint = if known {
                "write --resume to finish it, or another folder after -o"
            } else {
                "it holds no sweep; write another folder after -o"
            };
            let text = format!("{} exists already\n     {hint}", folder.display());
            return Err(Stop::message(Exit::Output, text));
        }
        let head = csv_head(plan, &keys);
        let mut rows = 0;
        if known {
            agree(folder, &read_manifest(folder)?, manifest)?;
            rows = cut(folder, &head)?.min(manifest.range().len());
            if !manifest.series.is_empty() {
                cut_series(folder, manifest, manifest.range().start + rows)?;
            }
            talk.note(&format!("{rows} of {} cases are there already", manifest.range().len()));
        } else {
            fs::create_dir_all(folder).map_err(|e| failed(folder, &e))?;
            write(&folder.join(CSV), head.as_bytes())?;
            write(&folder.join(JSONL), b"")?;
            if !manifest.series.is_empty() {
                write(&folder.join(SERIES), series_head(&manifest.series).as_bytes())?;
            }
            write(&folder.join(MANIFEST), json(manifest)?.as_bytes())?;
        }
        write(&folder.join(COLUMNS), columns::csv(plan, merits).as_bytes())?;
        let append = |name: &str| {
            let path = folder.join(name);
            OpenOptions::new().append(true).open(&path).map_err(|e| failed(&path, &e))
        };
        let (csv, jsonl) = (append(CSV)?, append(JSONL)?);
        let series = match manifest.series.as_slice() {
            [] => None,
            columns => Some((append(SERIES)?, columns.to_vec())),
        };
        Ok(Tables { folder: folder.to_owned(), csv, jsonl, keys, series, rows, failed: 0 })
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
        let csv: String = rows.iter().map(|r| r.csv(&self.keys)).collect();
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

fn write(path: &Path, bytes: &[u8]) -> Outcome {
    fs::write(path, bytes).map_err(|e| failed(path, &e))
}

fn failed(path: &Path, e: &io::Error) -> Stop {
    let hint = match e.kind() {
        io::ErrorKind::StorageFull => "free some space and repeat the command with --resume",
        _ => "write another place after -o",
    };
    let text = format!("cannot use {}: {}\n     {hint}", path.display(), reason(e));
    Stop::message(Exit::Output, text)
}

fn read_manifest(folder: &Path) -> Result<Manifest, Stop> {
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

fn agree(folder: &Path, there: &Manifest, here: &Manifest) -> Outcome {
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
fn lines(path: &Path, most: usize) -> Result<(usize, u64), Stop> {
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

fn first_line(path: &Path) -> Result<String, Stop> {
    let mut line = String::new();
    let file = File::open(path).map_err(|e| failed(path, &e))?;
    BufReader::new(file).read_line(&mut line).map_err(|e| failed(path, &e))?;
    Ok(line)
}

/// Joins the folders of all parts of one sweep to what the whole would have written.
pub(super) fn merge(talk: &Talk, parts: &[PathBuf], out: &Path) -> Outcome {
    let refuse = |text: String| Err(Stop::message(Exit::BadInput, text));
    not_a_file(out)?;
    if fs::read_dir(out).is_ok_and(|mut d| d.next().is_some()) {
        let text = format!("{} exists already\n     write another folder after -o", out.display());
        return Err(Stop::message(Exit::Output, text));
    }
    let mut found = Vec::new();
    for folder in parts {
        let manifest = read_manifest(folder)?;
        let Some(shard) = manifest.shard else {
            return refuse(format!("{} is no part\n     leave it out", folder.display()));
        };
        found.push((shard, folder, Manifest { shard: None, ..manifest }));
    }
    found.sort_by_key(|(s, ..)| s.part);
    let whole = found[0].2.clone();
    let of = found[0].0.of;
    for (_, folder, manifest) in &found {
        agree(folder, manifest, &whole)?;
    }
    if !found.iter().map(|(s, ..)| (s.part, s.of)).eq((1..=of).map(|part| (part, of))) {
        let got: Vec<String> = found.iter().map(|(s, ..)| format!("{}/{}", s.part, s.of)).collect();
        return refuse(format!(
            "the parts are {}\n     give each of the {of} parts once",
            got.join(", ")
        ));
    }
    let head = first_line(&found[0].1.join(CSV))?;
    for (shard, folder, _) in &found {
        let due = shard.cases(whole.cases).len();
        let csv = lines(&folder.join(CSV), usize::MAX)?.0;
        let jsonl = lines(&folder.join(JSONL), usize::MAX)?.0;
        if (csv, jsonl) != (due + 1, due) || first_line(&folder.join(CSV))? != head {
            return refuse(format!(
                "{} is not finished ({} of {due} cases)\n     finish it with --resume first",
                folder.display(),
                csv.saturating_sub(1).min(jsonl)
            ));
        }
    }
    fs::create_dir_all(out).map_err(|e| failed(out, &e))?;
    let mut tables = vec![(CSV, head), (JSONL, String::new())];
    if !whole.series.is_empty() {
        tables.push((SERIES, series_head(&whole.series)));
    }
    for (name, head) in tables {
        let (path, skip) = (out.join(name), head.len());
        let mut to = File::create(&path).map_err(|e| failed(&path, &e))?;
        to.write_all(head.as_bytes()).map_err(|e| failed(&path, &e))?;
        for (_, folder, _) in &found {
            let part = folder.join(name);
            let mut from = BufReader::new(File::open(&part).map_err(|e| failed(&part, &e))?);
            io::copy(&mut io::Read::take(&mut from, skip as u64), &mut io::sink())
                .and_then(|_| io::copy(&mut from, &mut to))
                .map_err(|e| failed(&part, &e))?;
        }
    }
    let columns = found[0].1.join(COLUMNS);
    if columns.exists() {
        fs::copy(&columns, out.join(COLUMNS)).map_err(|e| failed(&columns, &e))?;
    }
    write(&out.join(MANIFEST), json(&whole)?.as_bytes())?;
    talk.note(&format!("{} cases of {of} parts in {}", whole.cases, out.display()));
    Ok(())
}
