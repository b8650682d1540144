//! From the first lines of a log to a plan for all of them.
//!
//! [`shape`] finds the forms of the lines and what stands in each column or behind each label; `marks` finds which
//! of them say what sensor a row is of; `roles` says which is which; [`time`] finds the clock. What the log does not
//! state is a [`Guess`]; what cannot be guessed is a [`Question`].

mod decimal;
mod draft;
mod header;
mod marks;
mod meanings;
pub mod middle;
mod names;
mod question;
mod roles;
mod said;
mod scales;
mod sensors;
pub mod shape;
mod table;
pub mod time;
pub mod uses;

use std::collections::HashSet;

use super::bytes::Line;
use super::complaint::{Guess, Question};
use super::lex::Stamp;
use super::lex::prefix::{Inner, Prefix, prefix};
use super::options::ImportOptions;
use super::shapes::Shape;
use super::shapes::columns::Use;
use super::sink::Column;
use draft::Draft;
pub use marks::Pivot;
use middle::Middle;
use time::{Spread, TimePlan};
use uses::{ColumnUse, Role};

/// How the lines are read.
#[derive(Clone, Debug)]
pub struct ReadingPlan {
    /// The forms of lines, the most usual first.
    pub layouts: Vec<Layout>,
    /// Channels of the rows.
    pub columns: Vec<Column>,
    /// Lines that name the sensor of the lines after them, with its name.
    pub headings: Vec<(String, String)>,
    /// Whether there is a column of remarks.
    pub notes: bool,
    /// Whether a counter starts anew among the first lines.
    pub segments: bool,
    /// One line that says what was found.
    pub detected: String,
    /// What was guessed.
    pub guesses: Vec<Guess>,
    /// Middle values of the fields of readings.
    pub middles: Vec<Middle>,
}

/// How the lines of one form are read.
#[derive(Clone, Debug)]
pub struct Layout {
    /// The form.
    pub shape: Shape,
    /// Whether the name before a line is part of it.
    pub tagged: bool,
    /// Whether the counter before a line is its time.
    pub counted: bool,
    /// From the fields of a line to what each is for, where the line itself says what it is of.
    pub pivot: Option<Pivot>,
    /// What each field is for.
    pub targets: Vec<ColumnUse>,
    /// Where times come from.
    pub time: TimePlan,
    /// Whether several rows share a stamp that is coarser than they come.
    pub spread: Option<Spread>,
    /// Whether a reading takes several lines, and whether blank lines part them.
    pub blocks: Option<Blocks>,
    /// The most usual form of a line, to recognise cut ones.
    pub usual: String,
    /// Lines with names of columns and their units.
    pub header_lines: Vec<u64>,
    /// The line with its first reading.
    pub first_line: u64,
}

/// How blocks of several lines are told apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Blocks {
    /// Whether a blank line ends a block.
    pub blank: bool,
}

/// A line of the sample, with what stands before its readings.
#[derive(Clone, Copy, Debug)]
struct View<'a> {
    number: u64,
    prefix: Prefix<'a>,
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
    /// Whether names before lines say which sensor they are of.
    pub tagged: bool,
    /// Lines that have a form already.
    pub taken: HashSet<u64>,
    views: Vec<View<'a>>,
}

impl<'a> Sample<'a> {
    fn new(file: &'a str, lines: &'a [Line], options: &'a ImportOptions) -> Self {
        let whole = lines.iter().filter(|l| !l.damaged);
        let views = whole.map(|l| View { number: l.number, prefix: prefix(&l.text) }).collect();
        let (guesses, taken) = (Vec::new(), HashSet::new());
        Self { file, lines, options, guesses, tagged: false, taken, views }
    }

    /// Notes a guess and the option that pins it.
    pub fn guess(&mut self, what: impl Into<String>, pin: impl Into<String>) {
        let guess = Guess { what: what.into(), pin: pin.into() };
        if !self.guesses.contains(&guess) {
            self.guesses.push(guess);
        }
    }

    fn left(&self) -> impl Iterator<Item = &View<'a>> {
        self.views.iter().filter(|v| !self.taken.contains(&v.number))
    }

    /// Lines without what stands before their readings.
    pub fn bodies(&self) -> impl Iterator<Item = (u64, &'a str)> {
        self.tagged_bodies().map(|(number, body, _)| (number, body))
    }

    /// The same with the name that stood there.
    pub fn tagged_bodies(&self) -> impl Iterator<Item = (u64, &'a str, Option<&'a str>)> {
        let tagged = self.tagged;
        self.left().map(move |v| match v.prefix.tag {
            Some(tag) if tagged => (v.number, v.prefix.rest, Some(tag)),
            _ => (v.number, v.prefix.body, None),
        })
    }

    /// Stamps before the lines, and how many lines there are with text.
    fn stamps(&self) -> (Vec<Stamp>, usize) {
        let filled = self.views.iter().filter(|v| !v.prefix.body.trim().is_empty()).count();
        let inner = |v: &View<'_>| match v.prefix.inner {
            Inner::Stamp(s) if self.tagged => Some(s),
            _ => None,
        };
        (self.views.iter().filter_map(|v| v.prefix.stamp.or(inner(v))).collect(), filled)
    }

    /// Lines that are a stamp and nothing else.
    fn heads(&self) -> usize {
        self.views.iter().filter(|v| v.prefix.alone).count()
    }

    /// Counters before these lines.
    fn counts(&self, lines: &[u64]) -> Vec<f64> {
        let of = |v: &&View<'_>| lines.binary_search(&v.number).is_ok();
        let inner = |v: &View<'_>| match v.prefix.inner {
            Inner::Count(c) if self.tagged => Some(c),
            _ => None,
        };
        self.views.iter().filter(of).filter_map(|v| v.prefix.count.or(inner(v))).collect()
    }
}

/// Makes the plan; whether the readings can be what it takes them for is not looked at here.
///
/// # Errors
/// What cannot be told from the lines.
pub fn decide(
    file: &str,
    lines: &[Line],
    options: &ImportOptions,
) -> Result<ReadingPlan, Vec<Question>> {
    let mut sample = Sample::new(file, lines, options);
    sample.tagged = names::tagged(&sample);
    let headings = if sample.tagged { Vec::new() } else { names::headings(&sample) };
    if !headings.is_empty() {
        names::under_headings(&mut sample, &headings);
    }
    let tables = shape::find(&mut sample)?;
    let mut drafts = Vec::new();
    for (i, table) in tables.into_iter().enumerate() {
        match roles::draft(&mut sample, table) {
            Ok(draft) => drafts.push(draft),
            Err(issues) if i == 0 => return Err(issues),
            // Lines of another form that cannot be told stay other text, which is told.
            Err(_) => {}
        }
    }
    let columns = roles::assign(&mut sample, &mut drafts)?;
    let middles = middle::middles(&drafts);
    let mut layouts = Vec::new();
    for mut draft in drafts {
        let time = time::find(&mut sample, &mut draft)?;
        layouts.push(layout(&sample, draft, time));
    }
    let notes = layouts.iter().any(|l| l.targets.iter().any(|t| t.role == Role::Note));
    let detected: Vec<String> = layouts.iter().map(|l| detected(l, &columns)).collect();
    let detected = detected.join("; then ");
    let guesses = sample.guesses;
    let headings = headings.into_iter().map(|h| (h.line.to_owned(), h.name.to_owned())).collect();
    Ok(ReadingPlan {
        layouts,
        columns,
        notes,
        detected,
        guesses,
        headings,
        middles,
        segments: false,
    })
}

fn layout(sample: &Sample<'_>, mut draft: Draft, time: time::Found) -> Layout {
    let uses: Vec<Use> = match &draft.pivot {
        Some(pivot) => pivot.uses(&draft.targets),
        None => draft.targets.iter().map(use_of).collect(),
    };
    if let Shape::Columns(columns) = &mut draft.table.shape {
        columns.uses = uses;
    }
    // Labels that are not kept are known, but belong to no reading.
    if let Shape::Labelled(l) = &mut draft.table.shape {
        for target in l.targets.values_mut() {
            *target = target.filter(|t| !matches!(draft.targets[*t].role, Role::Ignored(_)));
        }
    }
    Layout {
        usual: usual(sample, &draft),
        tagged: sample.tagged,
        counted: time.counted,
        time: time.plan,
        spread: time.spread,
        blocks: draft.table.blocks,
        header_lines: draft.table.header_lines,
        first_line: draft.table.data_lines.first().copied().unwrap_or(0),
        shape: draft.table.shape,
        pivot: draft.pivot,
        targets: draft.targets,
    }
}

pub(super) fn use_of(target: &ColumnUse) -> Use {
    match target.role {
        Role::Time | Role::Part(_) => Use::Time,
        Role::Value { .. } | Role::Humidity { .. } => Use::Value,
        Role::Note => Use::Note,
        Role::Ignored(_) => Use::Unused,
    }
}

/// The most usual form among the first lines with readings; none for blocks, which have several.
fn usual(sample: &Sample<'_>, draft: &Draft) -> String {
    let table = &draft.table;
    if table.blocks.is_some() {
        return String::new();
    }
    let data = sample.bodies().filter(|(n, _)| table.data_lines.binary_search(n).is_ok());
    shape::usual_form(data.map(|(_, b)| b), table.decimal)
}

/// The line that says what was found.
fn detected(layout: &Layout, columns: &[Column]) -> String {
    let form = match (&layout.shape, layout.blocks) {
        (Shape::Columns(c), _) => format!("columns parted by {}", word(&c.separator.shown())),
        (Shape::Labelled(_), Some(b)) if b.blank => {
            "labelled lines in blocks parted by blank lines".into()
        }
        (Shape::Labelled(_), Some(_)) => "labelled lines in blocks".into(),
        (Shape::Labelled(_), None) => "labelled lines".into(),
        (Shape::Pairs(p), _) if p.json => "JSON".into(),
        (Shape::Pairs(_), _) => "names with their values".into(),
    };
    let mark = char::from(layout.shape.decimal().mark());
    let map: Vec<String> = layout.targets.iter().filter_map(|t| t.shown(columns)).collect();
    let of =
        if layout.pivot.is_some() || layout.tagged { "; each line says its sensor" } else { "" };
    let time = layout.time;
    let spread = if layout.spread.is_some() { ", rows of one stamp spread over it" } else { "" };
    format!("{form}{of}; decimal mark `{mark}`; time: {time}{spread}; {}", map.join(", "))
}

fn word(separator: &str) -> String {
    if separator.len() == 1 { format!("`{separator}`") } else { separator.to_owned() }
}
