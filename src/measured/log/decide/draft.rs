//! One form of lines on its way to a plan.

use super::marks::Pivot;
use super::table::TableShape;
use super::uses::ColumnUse;
use crate::measured::log::lex::Label;
use crate::measured::log::shapes::Cell;

/// One form of lines, on its way to a plan.
#[derive(Debug)]
pub struct Draft {
    /// What stands in the lines.
    pub table: TableShape,
    /// From fields to what they are for, where lines say what they are of.
    pub pivot: Option<Pivot>,
    /// Names of what there is, one for each sensor and quantity.
    pub names: Vec<String>,
    /// Their labels.
    pub labels: Vec<Label>,
    /// Their cells.
    pub cells: Vec<Vec<Cell>>,
    /// Why one is not kept.
    pub ignored: Vec<Option<String>>,
    /// What each is for.
    pub targets: Vec<ColumnUse>,
}
