//! `drybench sweep --merge`: the parts of a sweep to the bytes of the whole.

use std::fs::{self, File};
use std::io::{self, BufReader, Write};
use std::path::{Path, PathBuf};

use super::output::{Talk, json, make_folder, not_a_file};
use super::sweep_folder::{
    COLUMNS, CSV, JSONL, MANIFEST, SERIES, failed, first_line, lines, read_manifest, write,
};
use super::sweep_sound::{series_end, sound};
use super::{Exit, Outcome, Stop};
use crate::study::sweep::{Manifest, series_head};

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
    for (shard, folder, _) in &found {
        let cases = shard.cases(whole.cases);
        sound(folder, cases.clone())?;
        if !whole.series.is_empty() {
            let (path, bytes) = (folder.join(SERIES), series_end(folder, &whole, cases)?);
            if fs::metadata(&path).map_err(|e| failed(&path, &e))?.len() != bytes {
                let what = "has lines of cases that are not its own";
                let text =
                    format!("{} {what}\n     --resume in that folder cuts them", path.display());
                return refuse(text);
            }
        }
    }
    make_folder(out)?;
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
