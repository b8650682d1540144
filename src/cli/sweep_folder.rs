//! The folder of a sweep: tables that only grow at their ends, and what they belong to.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, BufRead, BufReader, Write};
use std::path::{Path, PathBuf};

use super::output::{Talk, json, make_folder, not_a_file, reason, whole};
use super::sweep_sound::{series_end, sound};
use super::{Exit, Outcome, Stop};
use crate::report::columns;
use crate::study::sweep::{Manifest, Plan, Row, Shown, csv_head, series_head};

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
    ended: usize,
    /// Held as long as rows may be written.
    _lock: File,
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
        let known = is_known(folder);
        let begun = |e: &fs::DirEntry| e.file_name() == MANIFEST && !known;
        let used = fs::read_dir(folder).is_ok_and(|d| d.flatten().any(|e| !begun(&e)));
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
        make_folder(folder)?;
        let lock = lock(folder)?;
        let head = csv_head(plan, shown);
        let mut rows = 0;
        // Another run may have begun it a moment ago.
        if is_known(folder) {
            agree(folder, &read_manifest(folder)?, manifest)?;
            rows = cut(folder, &head)?.min(manifest.range().len());
            let cases = manifest.range().start..manifest.range().start + rows;
            sound(folder, cases.clone())?;
            if !manifest.series.is_empty() {
                let bytes = series_end(folder, manifest, cases)?;
                set_len(&folder.join(SERIES), bytes)?;
            }
            talk.note(&format!("{rows} of {} cases are there already", manifest.range().len()));
        } else {
            write(&folder.join(MANIFEST), json(manifest)?.as_bytes())?;
            write(&folder.join(CSV), head.as_bytes())?;
            write(&folder.join(JSONL), b"")?;
            if !manifest.series.is_empty() {
                write(&folder.join(SERIES), series_head(&manifest.series).as_bytes())?;
            }
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
            ended: 0,
            _lock: lock,
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

    /// Cases among the rows appended that left the range of the model before their time.
    pub(super) fn ended(&self) -> usize {
        self.ended
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
        let early = |r: &&Row| r.outcome.as_ref().is_ok_and(|run| run.ended.is_some());
        self.ended += rows.iter().filter(early).count();
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
        set_len(path, bytes)?;
    }
    Ok(rows)
}

fn set_len(path: &Path, bytes: u64) -> Outcome {
    let file = OpenOptions::new().write(true).open(path).map_err(|e| failed(path, &e))?;
    file.set_len(bytes).map_err(|e| failed(path, &e))
}

/// Whether a folder holds a sweep; a manifest without a text is one that was about to begin.
fn is_known(folder: &Path) -> bool {
    fs::metadata(folder.join(MANIFEST)).is_ok_and(|m| m.len() > 0)
}

/// Keeps other runs out of a folder for as long as the file lives.
fn lock(folder: &Path) -> Result<File, Stop> {
    let path = folder.join(MANIFEST);
    let opened = OpenOptions::new().write(true).create(true).truncate(false).open(&path);
    let file = opened.map_err(|e| failed(&path, &e))?;
    // Where a file system knows no locks there is none.
    if let Err(TryLockError::WouldBlock) = file.try_lock() {
        let text = format!(
            "another drybench is writing into {}\n     wait until it is done, or write another folder \
             after -o",
            folder.display()
        );
        return Err(Stop::message(Exit::Output, text));
    }
    Ok(file)
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
