//! The folder of a sweep: tables that only grow at their ends, and what they belong to.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::names::{COLUMNS, MANIFEST, failed};
use super::verify::{Heads, Verified, heads, paths};
use crate::files::input::read_text;
use crate::files::stop::{Cause, Listener, Outcome, Stop, in_use, make_folder, not_a_file, reason};
use crate::files::whole::{Whole, whole};
use crate::reader::MAX_SHOWN;
use crate::report::columns;
use crate::run::Record;
use crate::study::sweep::{Manifest, Row, Seal, Shown, SweepPlan, csv_head, run_case, series_head};

/// The tables, open for more rows.
pub struct Tables {
    folder: PathBuf,
    files: Vec<File>,
    shown: Shown,
    /// The series that are kept.
    series: Vec<String>,
    seal: Seal,
    rows: usize,
    failed: usize,
    ended: usize,
    /// Held as long as rows may be written.
    _lock: File,
}

impl Tables {
    /// Makes a new folder, or takes up an interrupted one.
    ///
    /// # Errors
    /// That it holds something else, is in use, damaged or cannot be written.
    pub fn open(
        talk: &dyn Listener,
        folder: &Path,
        manifest: &Manifest,
        plan: &SweepPlan,
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
            return Err(Stop::message(Cause::Output, text));
        }
        make_folder(folder)?;
        let mut lock = lock(folder)?;
        let series = (!manifest.series.is_empty()).then(|| series_head(&manifest.series));
        let heads = heads(csv_head(plan, shown), series);
        let seal = Seal::of(manifest);
        let mut rows = 0;
        // Another run may have begun it a moment ago.
        if is_known(folder) {
            agree(folder, &read_manifest(folder)?, manifest)?;
            rows = mend(talk, folder, &heads, (plan, shown, manifest))?;
            talk.note(&format!("{rows} of {} cases are there already", manifest.range().len()));
        } else {
            // Into the file that is locked, not into one in its place.
            let path = folder.join(MANIFEST);
            let written = lock.write_all(manifest.text().as_bytes());
            written.map_err(|e| {
                let _ = lock.set_len(0);
                failed(&path, &e)
            })?;
            for ((_, head), path) in heads.iter().zip(paths(folder, &heads)) {
                write(&path, head.as_bytes())?;
            }
        }
        write(&folder.join(COLUMNS), columns::csv(plan, shown).as_bytes())?;
        let append = |path: PathBuf| {
            OpenOptions::new().append(true).open(&path).map_err(|e| failed(&path, &e))
        };
        Ok(Tables {
            folder: folder.to_owned(),
            files: paths(folder, &heads).map(append).collect::<Result<_, Stop>>()?,
            shown: shown.clone(),
            series: manifest.series.clone(),
            seal,
            rows,
            failed: 0,
            ended: 0,
            _lock: lock,
        })
    }

    /// Rows so far.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Failed cases among the rows appended.
    pub fn failed(&self) -> usize {
        self.failed
    }

    /// Cases among the rows appended that left the range of the model before their time.
    pub fn ended(&self) -> usize {
        self.ended
    }

    /// Where they are.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Adds rows to all tables.
    ///
    /// # Errors
    /// That they cannot be written.
    pub fn append(&mut self, plan: &SweepPlan, rows: &[Row]) -> Outcome {
        let all: Vec<Texts> =
            rows.iter().map(|r| texts(r, plan, &self.shown, &self.series, self.seal)).collect();
        self.rows += rows.len();
        self.failed += rows.iter().filter(|r| r.outcome.is_err()).count();
        let early = |r: &&Row| r.outcome.as_ref().is_ok_and(|run| run.ended.is_some());
        self.ended += rows.iter().filter(early).count();
        // The series first: what a row stands for is then complete.
        for (t, file) in self.files.iter_mut().enumerate().rev() {
            let text: String = all.iter().map(|texts| texts[t].as_str()).collect();
            let put = file.write_all(text.as_bytes()).and_then(|()| file.flush());
            put.map_err(|e| failed(&self.folder, &e))?;
        }
        Ok(())
    }
}

/// The lines of a case in each of the tables.
type Texts = Vec<String>;

fn texts(row: &Row, plan: &SweepPlan, shown: &Shown, series: &[String], seal: Seal) -> Texts {
    let lines = (!series.is_empty()).then(|| row.series(series));
    let mut texts = vec![row.csv(shown, seal), row.json(plan, lines.as_deref(), seal)];
    texts.extend(lines);
    texts
}

/// Mends the tables: cuts what is torn, and runs again what is damaged; returns the number of rows.
fn mend(
    talk: &dyn Listener,
    folder: &Path,
    heads: &Heads,
    (plan, shown, manifest): (&SweepPlan, &Shown, &Manifest),
) -> Result<usize, Stop> {
    let (seal, range) = (Seal::of(manifest), manifest.range());
    let verified = Verified::of(folder, heads, seal, range.clone())?;
    let again = verified.lacking();
    if verified.tidy {
        for (t, (path, (_, head))) in paths(folder, heads).zip(heads).enumerate() {
            let file = OpenOptions::new().write(true).open(&path);
            let cut = file.and_then(|file| file.set_len(verified.end(t, head)));
            cut.map_err(|e| failed(&path, &e))?;
        }
        return Ok(verified.count);
    }
    if !verified.damage.is_empty() {
        talk.note(&verified.note());
    }
    if !again.is_empty() {
        let cases: Vec<String> =
            again.iter().take(MAX_SHOWN).map(|i| (range.start + i).to_string()).collect();
        let more = if again.len() > MAX_SHOWN { ", ..." } else { "" };
        talk.note(&format!("run again: case {}{more}", cases.join(", ")));
    }
    let new: Vec<Texts> = again
        .par_iter()
        .map(|i| {
            texts(
                &run_case(plan, range.start + i, Record::Heads(&manifest.series)),
                plan,
                shown,
                &manifest.series,
                seal,
            )
        })
        .collect();
    for (t, (path, (_, head))) in paths(folder, heads).zip(heads).enumerate() {
        let mended = || {
            let mut to = Whole::create(&path)?;
            let mut options = OpenOptions::new();
            let mut from = options.read(true).append(true).create(true).open(&path)?;
            to.write_all(head.as_bytes())?;
            for i in 0..verified.count {
                match again.binary_search(&i) {
                    Ok(k) => to.write_all(new[k][t].as_bytes())?,
                    Err(_) => {
                        let span = verified.row(t, i).unwrap_or_default();
                        from.seek(SeekFrom::Start(span.at))?;
                        io::copy(&mut (&from).take(span.len), &mut to)?;
                    }
                }
            }
            to.finish()
        };
        mended().map_err(|e: io::Error| failed(&path, &e))?;
    }
    Ok(verified.count)
}

pub fn write(path: &Path, bytes: &[u8]) -> Outcome {
    whole(path, bytes).map_err(|e| failed(path, &e))
}

pub fn read_manifest(folder: &Path) -> Result<Manifest, Stop> {
    let path = folder.join(MANIFEST);
    let text = read_text(&path).map_err(|e| {
        let text =
            format!("{}: {}\n     give a folder of drybench sweep", path.display(), reason(&e));
        Stop::message(Cause::BadInput, text)
    })?;
    Manifest::read(&text).map_err(|e| {
        let text = format!("{} is damaged: {e}\n     start again in a new folder", path.display());
        Stop::message(Cause::BadInput, text)
    })
}

pub fn agree(folder: &Path, there: &Manifest, here: &Manifest) -> Outcome {
    let Some((what, old, new)) = there.difference(here) else { return Ok(()) };
    let text = format!(
        "{} holds another sweep; the two differ in the {what}\n     there: {old}\n     now:   {new}\n     \
         repeat the first command, or write another folder after -o",
        folder.display()
    );
    Err(Stop::message(Cause::BadInput, text))
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
        return Err(in_use(folder));
    }
    Ok(file)
}
