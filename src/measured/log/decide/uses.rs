//! What columns or labels may be for.

use crate::measured::Quantity;
use crate::measured::log::lex::{HumidityMeasure, Unit};
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
    /// A measure of humidity from which the relative one follows.
    Humidity {
        /// Place of the relative humidity in a row.
        column: usize,
        /// Place of the temperature beside it.
        temperature: usize,
        /// What it measures, in this unit.
        measure: HumidityMeasure,
        /// Its unit.
        unit: Unit,
    },
    /// A remark.
    Note,
    /// Not kept, and why.
    Ignored(String),
}

/// How a cell becomes SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// A unit, of which the number counts so many parts: 1, or 0.1 or 0.01 for whole numbers in tenths or hundredths.
    /// A unit written in the cell goes first.
    Unit(Unit, f64),
    /// The number as it is, of a quantity that this program does not know.
    Plain,
    /// A switch: words, or a number of which this much is fully on.
    Switch(f64),
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
                    Scale::Unit(unit, 1.0) => unit.shown().to_owned(),
                    Scale::Unit(unit, parts) => format!("{parts} {}", unit.shown()),
                    Scale::Switch(full) if *full > 1.0 => "%".to_owned(),
                    Scale::Switch(_) => "on/off".to_owned(),
                    Scale::Plain => return Some(format!("{name} kept as it is")),
                };
                format!("{name} = {sensor}{} in {unit}", quantity_word(c.quantity))
            }
            Role::Humidity { column, measure, unit, .. } => {
                let c = &columns[*column];
                let sensor =
                    if c.sensor.is_empty() { String::new() } else { format!("{} ", c.sensor) };
                let what = match measure {
                    HumidityMeasure::DewPoint => "dew point",
                    HumidityMeasure::Content => "water content",
                };
                format!("{name} = {sensor}relative humidity from the {what} in {}", unit.shown())
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
        Quantity::Other => "another quantity",
    }
}

pub(super) fn numbers(cells: &[Cell]) -> impl Iterator<Item = f64> {
    cells.iter().filter_map(|c| match c {
        Cell::Number(v, _) => Some(*v),
        _ => None,
    })
}
