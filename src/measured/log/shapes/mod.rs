//! The forms a line of readings can have.
//!
//! A shape turns one line into [`Cell`]s that belong to *fields*: columns, labels or keys. It knows nothing of
//! times or units, nor of what a field is for. To add a shape: a file here with a reader that gives [`Parsed`], a variant of
//! [`Shape`], and a line in [`super::decide::shape`] that says when a sample of lines has it.

pub mod columns;
pub mod json;
pub mod labelled;
pub mod pairs;

use super::lex::{Decimal, Stamp, Unit, grouped, is_missing, number, stamp, unit};

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

/// One record of a line: which field, and its cell.
pub type Record = Vec<(usize, Cell)>;

/// What a line is to its shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Parsed {
    /// One reading or several.
    Records(Vec<Record>),
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
    /// Names with values in a notation of its own: JSON and others.
    Pairs(pairs::Pairs),
}

impl Shape {
    /// Reads one line, with the name that stands before it if the form has such names.
    pub fn parse(&mut self, body: &str, tag: Option<&str>) -> Parsed {
        match self {
            Self::Columns(c) => c.parse(body, tag),
            Self::Labelled(l) => l.parse(body, tag),
            Self::Pairs(p) => p.parse(body, tag),
        }
    }

    /// Labels that first came after the form was decided; they are left out.
    #[must_use]
    pub fn strangers(&self) -> &[String] {
        match self {
            Self::Columns(_) => &[],
            Self::Labelled(l) => &l.strangers,
            Self::Pairs(p) => &p.strangers,
        }
    }

    /// The decimal mark.
    #[must_use]
    pub fn decimal(&self) -> Decimal {
        match self {
            Self::Columns(c) => c.decimal,
            Self::Labelled(l) => l.decimal,
            Self::Pairs(_) => Decimal::Point,
        }
    }
}

/// Reads a field.
#[must_use]
pub fn cell(text: &str, decimal: Decimal) -> Cell {
    let edge = |b: Option<&u8>| b.is_none_or(|b| !b.is_ascii_graphic());
    let bytes = text.as_bytes();
    let text = if edge(bytes.first()) || edge(bytes.last()) { text.trim() } else { text };
    let first = text.bytes().next();
    // The most usual field first: a plain number.
    if first.is_some_and(|b| b.is_ascii_digit() || b == b'-')
        && let Some((value, length)) = number(text, decimal)
        && length == text.len()
        && length != 14
    {
        return Cell::Number(value, None);
    }
    if is_missing(text) {
        return Cell::Missing;
    }
    if let Some(stamp) = stamp::exact(text) {
        return Cell::Stamp(stamp);
    }
    if let Some((value, length)) = grouped(text, decimal) {
        let rest = &text[length..];
        match unit::at(rest) {
            Some((unit, n)) if n == rest.len() => return Cell::Number(value, Some(unit)),
            _ if rest.is_empty() => return Cell::Number(value, None),
            _ => {}
        }
    }
    // A quoted field may have the other mark.
    let marks = [decimal, if decimal == Decimal::Point { Decimal::Comma } else { Decimal::Point }];
    for mark in marks {
        let Some((value, length)) = number(text, mark) else { continue };
        let rest = &text[length..];
        if rest.is_empty() {
            return Cell::Number(value, None);
        }
        if let Some((unit, _)) = unit::at(rest).filter(|(_, n)| *n == rest.len()) {
            return Cell::Number(value, Some(unit));
        }
    }
    Cell::Word(text.to_owned())
}
