//! Weighing notes: scribbled lists and tables of masses, turned into a series that says which line
//! each number came from. Every line of the notes is in exactly one class.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

mod found;
mod line;
mod lines;
mod notes;
mod scan;
mod settle;
mod table;
mod words;

pub use found::{EnergyReading, LidNote, Mass, Repeat, Weighing, WeighingOptions, Weighings};
pub use lines::{LineClass, LineLedger};

use crate::reader::Issue;
use found::error;

/// Largest notes that are read.
const MOST_BYTES: usize = 4 << 20;

/// Reads notes. `name` is what messages call them.
///
/// # Errors
/// Everything that keeps them from being a run of weighings, at once.
pub fn read(name: &str, bytes: &[u8], options: &WeighingOptions) -> Result<Weighings, Vec<Issue>> {
    let text = decode(name, bytes).map_err(|issue| vec![issue])?;
    let mut issues = Vec::new();
    let mut found = match table::columns(&text) {
        Some(columns) => table::read(name, &text, &columns, options, &mut issues),
        None => notes::read(name, &text, options, &mut issues),
    };
    if let Some(kg) = options.dry_kg {
        found.dry = Some(Mass { kg, line: 0 });
    }
    found.settle(name, &mut issues);
    if options.strict {
        let guesses = found.notes.iter().filter(|t| t.contains("taken"));
        issues.extend(
            guesses.map(|t| error(name, 0, "guess", t.clone(), "say it, or leave out --strict")),
        );
    }
    if issues.is_empty() { Ok(found) } else { Err(issues) }
}

fn decode(name: &str, bytes: &[u8]) -> Result<String, Issue> {
    let fail = |code, what: &str, hint: &str| Err(error(name, 0, code, what.into(), hint));
    if bytes.len() > MOST_BYTES {
        return fail(
            "too-large",
            "is longer than 4 MB",
            "are these weighings? Logs go to: drybench import",
        );
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return fail(
            "empty",
            "has nothing in it",
            "write one line per weighing, such as: 10:30  5.39 g",
        );
    }
    if bytes.contains(&0) {
        return fail("not-text", "is not a text file", "give the notes as plain text");
    }
    std::str::from_utf8(bytes).map(str::to_owned).map_err(|e| {
        let at = e.valid_up_to();
        let line = 1 + bytes[..at].iter().filter(|b| **b == b'\n').count();
        let what = format!("is not UTF-8: byte 0x{:02x}", bytes[at]);
        error(
            name,
            line,
            "not-utf8",
            what,
            "save it as UTF-8; an umlaut or an accent is often the cause",
        )
    })
}

#[cfg(test)]
mod tests;
