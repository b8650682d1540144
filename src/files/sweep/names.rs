//! The files of a sweep by name.

use std::io;
use std::path::Path;

use crate::files::stop::{Cause, Stop, reason};

/// The table.
pub const CSV: &str = "cases.csv";
/// The same rows with names.
pub const JSONL: &str = "cases.jsonl";
/// Series of the cases, where they are kept.
pub const SERIES: &str = "series.csv";
/// What the columns of the table mean.
pub const COLUMNS: &str = "columns.csv";
/// What they belong to.
pub const MANIFEST: &str = "manifest.json";

pub fn failed(path: &Path, e: &io::Error) -> Stop {
    let hint = match e.kind() {
        io::ErrorKind::StorageFull => "free some space and repeat the command with --resume",
        _ => "write another place after -o",
    };
    let text = format!("cannot use {}: {}\n     {hint}", path.display(), reason(e));
    Stop::message(Cause::Output, text)
}
