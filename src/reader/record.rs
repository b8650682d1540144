//! What a pass found: values as they were used, and what is odd about them.

use super::issue::Issue;
use super::key::Doubt;
use super::node::Origin;
use crate::units::{self, Kind, Measured};

/// A value as it was used.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A quantity in SI, with its uncertainty where one was given.
    Quantity(Kind, Measured),
    /// A whole number.
    Count(usize),
    /// A text, a word, a switch.
    Words(String),
}

/// One value as it was used, and where it came from.
///
/// Its text is made on request: a sweep reads a scenario for every case and shows next to nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct ValueRecord {
    /// Dotted path.
    pub path: String,
    /// The value.
    pub value: Value,
    /// Where it came from.
    pub origin: Origin,
    /// How far it may be off, where it is a default that was guessed.
    pub doubt: Option<Doubt>,
}

impl ValueRecord {
    /// The value for display, with its unit.
    #[must_use]
    pub fn text(&self) -> String {
        match &self.value {
            Value::Quantity(kind, measured) => units::format_measured(*kind, *measured),
            Value::Count(count) => count.to_string(),
            Value::Words(words) => words.clone(),
        }
    }

    /// The value in SI, when it is one number.
    #[must_use]
    pub fn si(&self) -> Option<f64> {
        match self.value {
            Value::Quantity(_, measured) => Some(measured.value),
            Value::Count(count) => Some(count as f64),
            Value::Words(_) => None,
        }
    }

    /// The ends of what is likely, in SI, where it is a default that was guessed.
    #[must_use]
    pub fn likely(&self) -> Option<(f64, f64)> {
        Some(self.doubt?.ends(self.si()?))
    }

    /// What it measures, when it is a quantity.
    #[must_use]
    pub fn kind(&self) -> Option<Kind> {
        match self.value {
            Value::Quantity(kind, _) => Some(kind),
            Value::Count(_) => Some(Kind::Number),
            Value::Words(_) => None,
        }
    }
}

/// The outcome of a pass without errors.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Report {
    /// What is odd but usable.
    pub warnings: Vec<Issue>,
    /// Every value used, in reading order.
    pub values: Vec<ValueRecord>,
}

impl Report {
    /// The record of one path.
    #[must_use]
    pub fn value(&self, path: &str) -> Option<&ValueRecord> {
        self.values.iter().find(|v| v.path == path)
    }
}
