//! The forms a line of readings can have.
//!
//! A shape turns one line into [`Cell`]s that belong to *targets*: columns or labels, in the order
//! of [`super::decide::ReadingPlan::targets`]. It knows nothing of times or units. To add a shape: a file
//! here with a reader that gives [`Parsed`], a variant of [`Shape`], and a line in
//! [`super::decide::shape`] that says when a sample of lines has it.

pub mod columns;
pub mod json;
pub mod labelled;

use super::lex::{Decimal, Stamp, Unit, is_missing, number, stamp, unit};

/// The content of one field.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// No value.
    Missing,
    /// A number, perhaps with a unit after it.
    Number(f64, Option<Unit>),
    /// A date or a clock.
    Stamp(Stamp),
    /// A word, such as ON, or a remark.
    Word(String),
}

/// What a line is to its shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Parsed {
    /// One reading or several; each cell with the target it belongs to.
    Records(Vec<Vec<(usize, Cell)>>),
    /// The names of the columns once more.
    Header,
    /// Fewer fields than the form has.
    Short,
    /// Against the form; says how.
    Contradiction(String),
    /// Only values that are known and not kept.
    LeftOut,
    /// No reading.
    Text,
}

/// The form of the lines of a log.
#[derive(Clone, Debug)]
pub enum Shape {
    /// Fields in fixed places.
    Columns(columns::Columns),
    /// Values with labels.
    Labelled(labelled::Labelled),
    /// One JSON object a line.
    Json(json::Json),
}

impl Shape {
    /// Reads one line.
    pub fn parse(&mut self, body: &str) -> Parsed {
        match self {
            Self::Columns(c) => c.parse(body),
            Self::Labelled(l) => l.parse(body),
            Self::Json(j) => j.parse(body),
        }
    }

    /// Labels that first came after the form was decided; they are left out.
    #[must_use]
    pub fn strangers(&self) -> &[String] {
        match self {
            Self::Columns(_) => &[],
            Self::Labelled(l) => &l.strangers,
            Self::Json(j) => &j.strangers,
        }
    }
}

/// Reads a field.
#[must_use]
pub fn cell(text: &str, decimal: Decimal) -> Cell {
    let text = text.trim();
    if is_missing(text) {
        return Cell::Missing;
    }
    if let Some(stamp) = stamp::exact(text) {
        return Cell::Stamp(stamp);
    }
    // A quoted field may have the other mark.
    let marks = [decimal, if decimal == Decimal::Point { Decimal::Comma } else { Decimal::Point }];
    for mark in marks {
        let Some((value, length)) = number(text, mark) else { continue };
        let rest = &text[length..];
        if rest.is_empty() {
            return Cell::Number(value, None);
        }
        if let Some((unit, n)) = unit::at(rest).filter(|(_, n)| *n == rest.len()) {
            let _ = n;
            return Cell::Number(value, Some(unit));
        }
    }
    Cell::Word(text.to_owned())
}
