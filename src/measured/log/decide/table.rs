//! What stands in each column or behind each label of the first lines.

use super::{Blocks, Sample};
use crate::measured::log::lex::Decimal;
use crate::measured::log::options::Separator;
use crate::measured::log::shapes::columns::{looks_like_row, split};
use crate::measured::log::shapes::{Cell, Shape};

/// The first lines of one form.
#[derive(Debug)]
pub struct TableShape {
    /// The form.
    pub shape: Shape,
    /// The decimal mark.
    pub decimal: Decimal,
    /// Names of the fields, in file order; empty for one without a name.
    pub names: Vec<String>,
    /// Records in file order: which field, and its cell.
    pub rows: Vec<Vec<(usize, Cell)>>,
    /// Cells of each field, in file order.
    pub cells: Vec<Vec<Cell>>,
    /// Blocks of several lines.
    pub blocks: Option<Blocks>,
    /// Numbers of the lines with names of columns and their units.
    pub header_lines: Vec<u64>,
    /// Numbers of lines with readings.
    pub data_lines: Vec<u64>,
    /// First row as typed, for messages.
    pub first_row: String,
}

impl TableShape {
    /// Fields and cells from records.
    pub(super) fn new(shape: Shape, decimal: Decimal, names: Vec<String>) -> Self {
        let cells = vec![Vec::new(); names.len()];
        Self {
            shape,
            decimal,
            names,
            rows: Vec::new(),
            cells,
            blocks: None,
            header_lines: Vec::new(),
            data_lines: Vec::new(),
            first_row: String::new(),
        }
    }

    /// Adds a record of a line.
    pub(super) fn add(&mut self, line: u64, body: &str, record: Vec<(usize, Cell)>) {
        for (i, cell) in &record {
            self.cells[*i].push(cell.clone());
        }
        self.rows.push(record);
        if self.data_lines.last() != Some(&line) {
            self.data_lines.push(line);
        }
        if self.first_row.is_empty() {
            self.first_row = body.trim().to_owned();
        }
    }

    /// The place of a name, which gets one if it has none.
    pub(super) fn place(&mut self, name: String) -> usize {
        self.names.iter().position(|n| *n == name).unwrap_or_else(|| {
            self.names.push(name);
            self.cells.push(Vec::new());
            self.names.len() - 1
        })
    }
}

pub(super) fn rows_of(
    sample: &Sample<'_>,
    separator: Separator,
    decimal: Decimal,
) -> Vec<(u64, Vec<String>)> {
    let rows = sample.bodies().map(|(n, b)| (n, split(b, separator)));
    rows.filter(|(_, fields)| looks_like_row(fields, decimal)).collect()
}

pub(super) fn usual_length(lengths: impl Iterator<Item = usize>) -> usize {
    let mut counts = std::collections::BTreeMap::new();
    for length in lengths {
        *counts.entry(length).or_insert(0_usize) += 1;
    }
    counts.into_iter().max_by_key(|(_, n)| *n).map_or(0, |(length, _)| length)
}
