//! What columns or labels may be for.

use crate::measured::Quantity;
use crate::measured::log::lex::{Label, Unit};
use crate::measured::log::shapes::Cell;
use crate::measured::log::sink::Column;

/// What one column or label is for.
#[derive(Clone, Debug, PartialEq)]
pub struct ColumnUse {
    /// Its name in the log.
    pub name: String,
    /// Its use.
    pub role: Role,
}

/// A use.
#[derive(Clone, Debug, PartialEq)]
pub enum Role {
    /// A time, a date or a clock.
    Time,
    /// Year, month, day, hour, minute or second.
    Part(usize),
    /// A reading: its place in a row, and how it becomes SI.
    Value {
        /// Place in a row.
        column: usize,
        /// From what is typed to SI.
        scale: Scale,
    },
    /// A remark.
    Note,
    /// Not kept, and why.
    Ignored(String),
}

/// How a cell becomes SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// A unit; one written in the cell goes first.
    Unit(Unit),
    /// A switch: words, or a number of which this much is fully on.
    Switch(f64),
}

/// The uses of all columns or labels.
#[derive(Debug)]
pub struct Roles {
    /// One per name of the table.
    pub targets: Vec<ColumnUse>,
    /// Columns of the rows.
    pub columns: Vec<Column>,
    /// The labels taken apart.
    pub labels: Vec<Label>,
}

impl ColumnUse {
    /// `name → column`, or that it is not kept.
    pub fn shown(&self, columns: &[Column]) -> Option<String> {
        let name = if self.name.is_empty() { "(no name)" } else { &self.name };
        Some(match &self.role {
            Role::Time | Role::Part(_) => format!("{name} = time"),
            Role::Note => format!("{name} = note"),
            Role::Ignored(why) => format!("{name} ignored ({why})"),
            Role::Value { column, scale } => {
                let c = &columns[*column];
                let sensor =
                    if c.sensor.is_empty() { String::new() } else { format!("{} ", c.sensor) };
                let unit = match scale {
                    Scale::Unit(unit) => unit.shown(),
                    Scale::Switch(full) if *full > 1.0 => "%",
                    Scale::Switch(_) => "on/off",
                };
                format!("{name} = {sensor}{} in {unit}", quantity_word(c.quantity))
            }
        })
    }
}

/// A quantity in words.
pub fn quantity_word(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Temperature => "temperature",
        Quantity::RelativeHumidity => "relative humidity",
        Quantity::Pressure => "pressure",
        Quantity::SetPoint => "set point",
        Quantity::Heater => "heater",
        Quantity::Fan => "fan",
        Quantity::Power => "power",
        Quantity::Energy => "energy",
        Quantity::Mass => "mass",
    }
}

pub(super) fn numbers(cells: &[Cell]) -> impl Iterator<Item = f64> {
    cells.iter().filter_map(|c| match c {
        Cell::Number(v, _) => Some(*v),
        _ => None,
    })
}
