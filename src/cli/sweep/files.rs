//! The files of a sweep by name.

use std::io;
use std::path::Path;

use crate::cli::output::reason;
use crate::cli::{Exit, Stop};

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

pub(super) fn failed(path: &Path, e: &io::Error) -> Stop {
    let hint = match e.kind() {
        io::ErrorKind::StorageFull => "free some space and repeat the command with --resume",
        _ => "write another place after -o",
    };
    let text = format!("cannot use {}: {}\n     {hint}", path.display(), reason(e));
    Stop::message(Exit::Output, text)
}
