//! Whether the tables of a sweep are what it wrote: what a text editor, a bad disk or a full one did to
//! them is told by its line, and the cases are run again.

use std::fs::File;
use std::io::{self, BufRead, BufReader};
use std::ops::Range;
use std::path::{Path, PathBuf};

use super::names::{CSV, JSONL, SERIES, failed};
use crate::files::stop::Stop;
use crate::reader::MAX_SHOWN;
use crate::study::sweep::Seal;

/// Most damaged cases that are run again by themselves; all after them are, if there are more. Our choice: so
/// many rows are held at once.
const MOST_AGAIN: usize = 1000;

/// A row within a table, by its bytes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Span {
    pub at: u64,
    pub len: u64,
}

/// What of the tables of a folder is as it was written.
pub struct Verified {
    first: usize,
    /// The rows of each case in each of the tables.
    rows: Vec<Vec<Option<Span>>>,
    /// Cases from the first to the last that is as it was written.
    pub count: usize,
    /// What is damaged, by file and line.
    pub damage: Vec<String>,
    /// Whether nothing but whole rows in their order stands in the tables, up to a torn end.
    pub tidy: bool,
}

/// The tables by name with their heads, as they are due.
pub type Heads = Vec<(&'static str, String)>;

/// A line of a table.
struct Line<'l> {
    span: Span,
    number: usize,
    /// None if it is no text.
    text: Option<&'l str>,
}

/// Looks at each line of a table behind its head; says whether the head is as due.
fn each_line(path: &Path, head: &str, mut see: impl FnMut(Line<'_>)) -> Result<bool, Stop> {
    let file = match File::open(path) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(false),
        other => other.map_err(|e| failed(path, &e))?,
    };
    let (mut reader, mut bytes, mut at, mut number) = (BufReader::new(file), Vec::new(), 0, 0);
    let mut headed = head.is_empty();
    loop {
        bytes.clear();
        let len = reader.read_until(b'\n', &mut bytes).map_err(|e| failed(path, &e))? as u64;
        // A line without an end is torn: it was being written.
        if bytes.last() != Some(&b'\n') {
            return Ok(headed);
        }
        number += 1;
        if number == 1 && !head.is_empty() {
            headed = bytes == head.as_bytes();
        } else {
            see(Line { span: Span { at, len }, number, text: std::str::from_utf8(&bytes).ok() });
        }
        at += len;
    }
}

impl Verified {
    /// Looks at all tables of a folder.
    pub fn of(folder: &Path, heads: &Heads, seal: Seal, cases: Range<usize>) -> Result<Self, Stop> {
        let mut verified = Verified {
            first: cases.start,
            rows: vec![vec![None; cases.len()]; heads.len()],
            count: 0,
            damage: Vec::new(),
            tidy: true,
        };
        // What the rows of JSON tell of the series of their cases.
        let mut sums: Vec<Option<u64>> = vec![None; cases.len()];
        for (t, (name, head)) in heads.iter().enumerate() {
            let path = folder.join(name);
            let headed = match *name {
                SERIES => verified.look_at_series(&path, head, seal, (t, &sums))?,
                _ => {
                    let case_of = |line: &str| match *name {
                        CSV => seal.case_of_csv(line),
                        _ => case_of_json(seal, line, cases.start, &mut sums),
                    };
                    verified.look_at(&path, head, t, case_of)?
                }
            };
            if !headed {
                verified.tidy = false;
            }
            if !headed && path.exists() && !head.is_empty() {
                verified.damage.push(format!("{}:1: its head is damaged", path.display()));
            }
        }
        let whole = |i: &usize| verified.rows.iter().all(|rows| rows[*i].is_some());
        verified.count = (0..cases.len()).rev().find(whole).map_or(0, |last| last + 1);
        let lacking = verified.lacking();
        if verified.damage.is_empty() {
            let missing = lacking.iter().map(|i| verified.missing_note(folder, heads, *i));
            verified.damage = missing.collect();
        }
        verified.tidy &= verified.damage.is_empty();
        if let Some(beyond) = lacking.get(MOST_AGAIN) {
            verified.count = *beyond;
        }
        Ok(verified)
    }

    fn missing_note(&self, folder: &Path, heads: &Heads, i: usize) -> String {
        let gone = self.rows.iter().position(|rows| rows[i].is_none());
        let path = folder.join(heads[gone.unwrap_or(0)].0);
        format!("{}: case {} is missing", path.display(), self.first + i)
    }

    fn look_at(
        &mut self,
        path: &Path,
        head: &str,
        table: usize,
        mut case_of: impl FnMut(&str) -> Option<usize>,
    ) -> Result<bool, Stop> {
        let Verified { first, rows, damage, tidy, .. } = self;
        let (rows, mut due) = (&mut rows[table], *first);
        each_line(path, head, |line| {
            let place = |case: usize| case.checked_sub(*first).filter(|i| *i < rows.len());
            let case = line.text.and_then(&mut case_of);
            let what = match case.and_then(place) {
                Some(i) if rows[i].is_none() => {
                    rows[i] = Some(line.span);
                    *tidy &= case == Some(due);
                    due = *first + i + 1;
                    return;
                }
                Some(i) => format!("is case {} a second time", *first + i),
                None if case.is_some() => "is a case of another part".to_owned(),
                None => "is damaged: its checksum does not fit".to_owned(),
            };
            damage.push(format!("{}:{}: {what}", path.display(), line.number));
        })
    }

    /// The lines of a case stand together; their checksum is in its row of JSON.
    fn look_at_series(
        &mut self,
        path: &Path,
        head: &str,
        seal: Seal,
        (table, sums): (usize, &[Option<u64>]),
    ) -> Result<bool, Stop> {
        let Verified { first, rows, damage, tidy, .. } = self;
        let (rows, mut due) = (&mut rows[table], 0);
        // A case without lines has the checksum of nothing.
        for (row, sum) in rows.iter_mut().zip(sums) {
            *row = (*sum == Some(seal.sum(b""))).then_some(Span::default());
        }
        let mut block: Option<(Option<usize>, Span, usize, Vec<u8>)> = None;
        let mut close = |block: Option<(Option<usize>, Span, usize, Vec<u8>)>| {
            let Some((case, span, number, text)) = block else { return };
            let i = case.and_then(|case| case.checked_sub(*first)).filter(|i| *i < rows.len());
            match i.map(|i| (i, sums[i])) {
                Some((i, Some(sum))) if sum == seal.sum(&text) && rows[i].is_none() => {
                    rows[i] = Some(span);
                    *tidy &= i >= due;
                    due = i + 1;
                }
                // Without a row it is a case that was being written, or one whose row is damaged.
                Some((_, None)) => {}
                _ => {
                    let last = number + text.iter().filter(|b| **b == b'\n').count() - 1;
                    let case = case.map_or("no case".to_owned(), |c| format!("case {c}"));
                    let path = path.display();
                    damage.push(format!("{path}:{number}-{last}: the series of {case} is damaged"));
                }
            }
        };
        let headed = each_line(path, head, |line| {
            let text = line.text.unwrap_or_default();
            let case = text.split(',').next().and_then(|c| c.parse().ok());
            match &mut block {
                Some((own, span, _, all)) if *own == case && case.is_some() => {
                    span.len += line.span.len;
                    all.extend_from_slice(text.as_bytes());
                }
                _ => {
                    let new = (case, line.span, line.number, text.as_bytes().to_vec());
                    close(block.replace(new));
                }
            }
        })?;
        close(block);
        // What the row of a case promises must be there, unless something else is told of it already.
        let lost = |i: &usize| sums[*i].is_some() && rows[*i].is_none();
        if let (Some(i), true) = ((0..rows.len()).find(lost), damage.is_empty()) {
            damage.push(format!(
                "{}: the series of case {} is missing",
                path.display(),
                *first + i
            ));
        }
        Ok(headed)
    }

    /// Places of the cases that are damaged or lacking, among those that are.
    pub fn lacking(&self) -> Vec<usize> {
        (0..self.count).filter(|i| self.rows.iter().any(|rows| rows[*i].is_none())).collect()
    }

    /// The row of a case in a table.
    pub fn row(&self, table: usize, i: usize) -> Option<Span> {
        self.rows[table][i]
    }

    /// Number of bytes of a tidy table in which all rows that count stand.
    pub fn end(&self, table: usize, head: &str) -> u64 {
        let rows = self.rows[table][..self.count].iter().flatten();
        rows.map(|s| s.at + s.len).max().unwrap_or(0).max(head.len() as u64)
    }

    /// What is damaged, the first few places of it.
    pub fn note(&self) -> String {
        let mut lines: Vec<String> = self.damage.iter().take(MAX_SHOWN).cloned().collect();
        if self.damage.len() > MAX_SHOWN {
            lines.push(format!("... and {} more", self.damage.len() - MAX_SHOWN));
        }
        lines.join("\n     ")
    }
}

/// The case of a row of JSON; notes the checksum of its series.
fn case_of_json(seal: Seal, line: &str, first: usize, sums: &mut [Option<u64>]) -> Option<usize> {
    let row = seal.row_of_json(line)?;
    let case = row["case"].as_u64()? as usize;
    let sum = row["series_checksum"].as_str().and_then(|s| u64::from_str_radix(s, 16).ok());
    if let Some(place) = case.checked_sub(first).and_then(|i| sums.get_mut(i)) {
        *place = place.or(sum);
    }
    Some(case)
}

/// The tables of a folder.
pub fn heads(csv: String, series: Option<String>) -> Heads {
    let mut heads = vec![(CSV, csv), (JSONL, String::new())];
    heads.extend(series.map(|head| (SERIES, head)));
    heads
}

/// The tables as files.
pub fn paths<'h>(folder: &Path, heads: &'h Heads) -> impl Iterator<Item = PathBuf> + use<'h> {
    let folder = folder.to_owned();
    heads.iter().map(move |(name, _)| folder.join(name))
}
