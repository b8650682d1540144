//! What stands in each column or behind each label of the first lines.

use super::{Blocks, Sample};
use crate::measured::log::lex::Decimal;
use crate::measured::log::options::Separator;
use crate::measured::log::shapes::columns::{looks_like_row, split};
use crate::measured::log::shapes::{Cell, Shape};

/// Columns or labels with the first cells of each.
#[derive(Debug)]
pub struct TableShape {
    /// The form.
    pub shape: Shape,
    /// The decimal mark.
    pub decimal: Decimal,
    /// Names, in file order; empty for a column without one.
    pub names: Vec<String>,
    /// Cells of each, in file order.
    pub cells: Vec<Vec<Cell>>,
    /// Blocks of several lines.
    pub blocks: Option<Blocks>,
    /// Number of the header line.
    pub header_line: Option<u64>,
    /// Numbers of lines with readings.
    pub data_lines: Vec<u64>,
    /// First row as typed, for messages.
    pub first_row: String,
}

pub(super) fn rows_of(
    sample: &Sample<'_>,
    separator: Separator,
    decimal: Decimal,
) -> Vec<(u64, Vec<String>)> {
    let rows = sample.bodies().map(|(n, b)| (n, split(b, separator)));
    rows.filter(|(_, fields)| looks_like_row(fields, decimal)).collect()
}

pub(super) fn usual_length(rows: &[(u64, Vec<String>)]) -> usize {
    let mut counts = std::collections::BTreeMap::new();
    for (_, fields) in rows {
        *counts.entry(fields.len()).or_insert(0_usize) += 1;
    }
    counts.into_iter().max_by_key(|(_, n)| *n).map_or(0, |(length, _)| length)
}
