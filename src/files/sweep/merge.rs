//! The parts of a sweep joined to the bytes of the whole.

use std::fs::{self, File};
use std::io::{self, BufRead, BufReader, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use super::folder::read_manifest;
use super::names::{COLUMNS, CSV, MANIFEST, failed};
use super::verify::{Verified, heads};
use crate::files::input::{MOST_BYTES, read_text};
use crate::files::stop::{Cause, Listener, Outcome, Stop, not_a_file};
use crate::files::whole::Stage;
use crate::study::sweep::{Manifest, Seal, columns_fingerprint, series_head};

/// Joins the folders of all parts of one sweep to what the whole would have written.
///
/// # Errors
/// Which part is lacking, damaged, unfinished or of another sweep.
pub fn merge(talk: &dyn Listener, parts: &[PathBuf], out: &Path) -> Outcome {
    let refuse = |text: String| Err(Stop::message(Cause::BadInput, text));
    not_a_file(out)?;
    if fs::read_dir(out).is_ok_and(|mut d| d.next().is_some()) {
        let text = format!("{} exists already\n     write another folder after -o", out.display());
        return Err(Stop::message(Cause::Output, text));
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
        if let Some((what, here, there)) = manifest.difference(&whole) {
            let other = found[0].1.display();
            return refuse(format!(
                "{folder} and {other} are parts of two sweeps, which differ in the {what}\n     \
                 {other}: {there}\n     {folder}: {here}\n     leave out what is of another sweep",
                folder = folder.display()
            ));
        }
    }
    if !found.iter().map(|(s, ..)| (s.part, s.of)).eq((1..=of).map(|part| (part, of))) {
        let got: Vec<String> = found.iter().map(|(s, ..)| format!("{}/{}", s.part, s.of)).collect();
        let lost = (1..=of).filter(|part| !found.iter().any(|(s, ..)| s.part == *part));
        let lost: Vec<String> = lost.map(|part| format!("{part}/{of}")).collect();
        let lost = if lost.is_empty() { "none" } else { &lost.join(", ") };
        return refuse(format!(
            "the parts are {}; missing: {lost}\n     give each of the {of} parts once",
            got.join(", ")
        ));
    }
    let (first, _) = lines_of(found[0].1)?;
    let series = (!whole.series.is_empty()).then(|| series_head(&whole.series));
    let heads = heads(first, series);
    let seal = Seal::of(&whole);
    let mut ends = Vec::new();
    for (shard, folder, _) in &found {
        let finish = "finish it with --resume first, which runs again what is damaged";
        let (head, meanings) = lines_of(folder)?;
        if columns_fingerprint(&head, &meanings) != whole.columns {
            let shown = folder.display();
            return refuse(format!(
                "the head of {CSV}, or {COLUMNS}, is damaged in {shown}\n     {finish}"
            ));
        }
        let cases = shard.cases(whole.cases);
        let verified = Verified::of(folder, &heads, seal, cases.clone())?;
        if !verified.damage.is_empty() {
            return refuse(format!("{}\n     {finish}", verified.note()));
        }
        if verified.count < cases.len() {
            let (rows, due) = (verified.count, cases.len());
            return refuse(format!(
                "{} is not finished ({rows} of {due} cases)\n     {finish}",
                folder.display()
            ));
        }
        ends.push(
            heads.iter().enumerate().map(|(t, (_, h))| verified.end(t, h)).collect::<Vec<_>>(),
        );
    }
    let stage = Stage::open(out, &[], false)?;
    for (t, (name, head)) in heads.iter().enumerate() {
        let path = stage.path(name)?;
        let join = || {
            let mut to = File::create(&path)?;
            to.write_all(head.as_bytes())?;
            for ((_, folder, _), ends) in found.iter().zip(&ends) {
                let mut from = File::open(folder.join(name))?;
                from.seek(SeekFrom::Start(head.len() as u64))?;
                io::copy(&mut from.take(ends[t] - head.len() as u64), &mut to)?;
            }
            to.sync_all()
        };
        join().map_err(|e| failed(&out.join(name), &e))?;
    }
    let (_, meanings) = lines_of(found[0].1)?;
    stage.finish(&[
        (COLUMNS.to_owned(), meanings.into_bytes()),
        (MANIFEST.to_owned(), whole.text().into_bytes()),
    ])?;
    talk.note(&format!("{} cases of {of} parts in {}", whole.cases, out.display()));
    Ok(())
}

/// The head of the table of a folder, and what its columns mean.
fn lines_of(folder: &Path) -> Result<(String, String), Stop> {
    let (table, meanings) = (folder.join(CSV), folder.join(COLUMNS));
    let mut head = String::new();
    let file = File::open(&table).map_err(|e| failed(&table, &e))?;
    // What is no text is no head either.
    let _ = BufReader::new(file).take(MOST_BYTES).read_line(&mut head);
    let meanings = read_text(&meanings).unwrap_or_default();
    Ok((head, meanings))
}
