//! From the first lines of a log to a plan for all of them.
//!
//! [`shape`] finds the form of the lines and what stands in each column or behind each label;
//! `roles` says which is which; [`time`] finds the clock. What the log does not state is a
//! [`Guess`]; what cannot be guessed is an error with the option to type.

mod header;
mod roles;
mod scales;
pub mod shape;
mod table;
pub mod time;
pub mod uses;

use super::bytes::Line;
use super::complaint::{Guess, strict};
use super::lex::stamp;
use super::options::ImportOptions;
use super::shapes::Shape;
use super::shapes::columns::Use;
use super::sink::Column;
use crate::reader::Issue;
use table::TableShape;
use time::TimePlan;
use uses::{ColumnUse, Role, Roles};

/// How the lines are read.
#[derive(Clone, Debug)]
pub struct ReadingPlan {
    /// Form of the lines.
    pub shape: Shape,
    /// What each column or label is for.
    pub targets: Vec<ColumnUse>,
    /// Channels of the rows.
    pub columns: Vec<Column>,
    /// Where times come from.
    pub time: TimePlan,
    /// Whether a reading takes several lines, and whether blank lines part them.
    pub blocks: Option<Blocks>,
    /// Whether there is a column of remarks.
    pub notes: bool,
    /// The most usual form of a line, to recognise cut ones.
    pub usual: String,
    /// Number of the header line.
    pub header_line: Option<u64>,
    /// One line that says what was found.
    pub detected: String,
    /// What was guessed.
    pub guesses: Vec<Guess>,
}

/// How blocks of several lines are told apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Blocks {
    /// Whether a blank line ends a block.
    pub blank: bool,
}

/// What the first lines say.
#[derive(Debug)]
pub struct Sample<'a> {
    /// Name of the file for messages.
    pub file: &'a str,
    /// The lines.
    pub lines: &'a [Line],
    /// What is pinned.
    pub options: &'a ImportOptions,
    /// Guesses so far.
    pub guesses: Vec<Guess>,
}

impl Sample<'_> {
    /// Notes a guess and the option that pins it.
    pub fn guess(&mut self, what: impl Into<String>, pin: impl Into<String>) {
        self.guesses.push(Guess { what: what.into(), pin: pin.into() });
    }

    /// Lines without the stamps of a terminal.
    pub fn bodies(&self) -> impl Iterator<Item = (u64, &str)> {
        let whole = self.lines.iter().filter(|l| !l.damaged);
        whole.map(|l| (l.number, stamp::prefix(&l.text).1))
    }
}

/// Makes the plan.
///
/// # Errors
/// What cannot be told from the lines; under `strict`, every guess.
pub fn decide(
    file: &str,
    lines: &[Line],
    options: &ImportOptions,
) -> Result<ReadingPlan, Vec<Issue>> {
    let mut sample = Sample { file, lines, options, guesses: Vec::new() };
    let mut table = shape::find(&mut sample)?;
    let mut roles = roles::assign(&mut sample, &mut table)?;
    let time = time::find(&mut sample, &mut roles, &table)?;
    let notes = roles.targets.iter().any(|t| t.role == Role::Note);
    if let Shape::Columns(columns) = &mut table.shape {
        columns.uses = roles.targets.iter().map(use_of).collect();
    }
    leave_out(&mut table.shape, &roles.targets);
    let detected = detected(&table, &roles, &time);
    if options.strict && !sample.guesses.is_empty() {
        return Err(sample.guesses.iter().map(|g| strict(file, g)).collect());
    }
    Ok(ReadingPlan {
        usual: usual(&sample, &table),
        guesses: sample.guesses,
        shape: table.shape,
        targets: roles.targets,
        columns: roles.columns,
        time,
        blocks: table.blocks,
        notes,
        header_line: table.header_line,
        detected,
    })
}

/// Labels that are not kept are known, but belong to no reading.
fn leave_out(shape: &mut Shape, targets: &[ColumnUse]) {
    let map = match shape {
        Shape::Columns(_) => return,
        Shape::Labelled(l) => &mut l.targets,
        Shape::Json(j) => &mut j.targets,
    };
    for target in map.values_mut() {
        *target = target.filter(|t| !matches!(targets[*t].role, Role::Ignored(_)));
    }
}

fn use_of(target: &ColumnUse) -> Use {
    match target.role {
        Role::Time | Role::Part(_) => Use::Time,
        Role::Value { .. } => Use::Value,
        Role::Note => Use::Note,
        Role::Ignored(_) => Use::Unused,
    }
}

/// The most usual form among the first lines with readings; none for blocks, which have several.
fn usual(sample: &Sample<'_>, table: &TableShape) -> String {
    if table.blocks.is_some() {
        return String::new();
    }
    let data = sample.bodies().filter(|(n, _)| table.data_lines.binary_search(n).is_ok());
    shape::usual_form(data.map(|(_, b)| b), table.decimal)
}

/// The line that says what was found.
fn detected(table: &TableShape, roles: &Roles, time: &TimePlan) -> String {
    let form = match (&table.shape, table.blocks) {
        (Shape::Columns(c), _) => format!("columns parted by {}", word(&c.separator.shown())),
        (Shape::Labelled(_), Some(b)) if b.blank => {
            "labelled lines in blocks parted by blank lines".into()
        }
        (Shape::Labelled(_), Some(_)) => "labelled lines in blocks".into(),
        (Shape::Labelled(_), None) => "labelled lines".into(),
        (Shape::Json(_), _) => "JSON lines".into(),
    };
    let mark = char::from(table.decimal.mark());
    let map: Vec<String> = roles.targets.iter().filter_map(|t| t.shown(&roles.columns)).collect();
    format!("{form}; decimal mark `{mark}`; time: {time}; {}", map.join(", "))
}

fn word(separator: &str) -> String {
    if separator.len() == 1 { format!("`{separator}`") } else { separator.to_owned() }
}
