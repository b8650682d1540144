//! The reading pass: what was asked for, what was found, and the verdict at the end.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet, HashSet};

use super::issue::{Issue, Severity};
use super::node::{Node, Origin};
use super::section::Section;
use super::source::{Source, assignment_name};
use super::unknown;
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

/// What a pass has gathered so far.
#[derive(Debug, Default)]
pub(super) struct State {
    pub issues: Vec<Issue>,
    values: Vec<ValueRecord>,
    asked: BTreeMap<usize, Vec<String>>,
    /// Paths of tables and lists read as one value, whatever is inside.
    pub whole: BTreeSet<String>,
    /// Tables whose kind is unknown: what they should hold is anyone's guess.
    pub excused: BTreeSet<String>,
}

impl State {
    /// The keys asked for in a table or list, in the order of asking; `None` if it was not opened.
    pub fn asked(&self, node: &Node) -> Option<&[String]> {
        self.asked.get(&place_of(node)).map(Vec::as_slice)
    }
}

/// Tells the nodes of a tree that does not change from each other, quicker than their paths.
fn place_of(node: &Node) -> usize {
    std::ptr::from_ref(node).addr()
}

/// One reading pass over a [`Source`]; hands out [`Section`]s and collects what they find.
#[derive(Debug)]
pub struct Reader<'s> {
    pub(super) source: &'s Source,
    pub(super) state: RefCell<State>,
}

impl<'s> Reader<'s> {
    pub(super) fn new(source: &'s Source) -> Self {
        Self { source, state: RefCell::default() }
    }

    /// The table that holds the whole file.
    #[must_use]
    pub fn root(&self) -> Section<'_> {
        self.open(&self.source.root);
        Section { reader: self, node: Some(&self.source.root), path: String::new() }
    }

    /// Ends the pass.
    ///
    /// # Errors
    /// Every issue in file order if at least one is an error, unknown keys included. What has no
    /// line (missing tables, assignments) comes last.
    pub fn finish(self) -> Result<Report, Vec<Issue>> {
        let mut state = self.state.into_inner();
        unknown::report(self.source, &mut state);
        let mut issues = std::mem::take(&mut state.issues);
        issues.sort_by_key(Issue::order);
        let mut seen = BTreeSet::new();
        issues.retain(|i| seen.insert((i.line, i.column, i.file.clone(), i.what.clone())));
        if issues.iter().any(|i| i.severity == Severity::Error) {
            return Err(issues);
        }
        Ok(Report { warnings: issues, values: once(state.values) })
    }

    /// Notes that a table or list was opened, so that its unasked keys count as unknown.
    pub(super) fn open(&self, node: &Node) {
        self.state.borrow_mut().asked.entry(place_of(node)).or_default();
    }

    pub(super) fn ask(&self, parent: &Node, segment: &str) {
        let mut state = self.state.borrow_mut();
        let names = state.asked.entry(place_of(parent)).or_default();
        if !names.iter().any(|name| name == segment) {
            names.push(segment.to_owned());
        }
    }

    /// Notes that a node was read as one value; without meaning for one that has no parts.
    pub(super) fn read_whole(&self, node: &Node, path: &str) {
        if node.content.is_branch() {
            self.state.borrow_mut().whole.insert(path.to_owned());
        }
    }

    pub(super) fn push(&self, issue: Issue) {
        self.state.borrow_mut().issues.push(issue);
    }

    pub(super) fn record(&self, record: ValueRecord) {
        self.state.borrow_mut().values.push(record);
    }
}

/// A value read twice is listed once: at its first place, as it was read last.
fn once(values: Vec<ValueRecord>) -> Vec<ValueRecord> {
    let mut seen = HashSet::with_capacity(values.len());
    if values.iter().all(|v| seen.insert(v.path.as_str())) {
        return values;
    }
    drop(seen);
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].path.cmp(&values[*b].path));
    let mut values: Vec<Option<ValueRecord>> = values.into_iter().map(Some).collect();
    let mut first = 0;
    for pair in 1..order.len() {
        let same = values[order[first]].as_ref().map(|v| &v.path)
            == values[order[pair]].as_ref().map(|v| &v.path);
        if same {
            values[order[first]] = values[order[pair]].take();
        } else {
            first = pair;
        }
    }
    values.into_iter().flatten().collect()
}

/// Where a message about a value points: the file and line, or the assignment it came from.
pub(super) fn located(source: &Source, node: Option<&Node>, path: &str, issue: Issue) -> Issue {
    let place = node.map(|n| n.place).unwrap_or_default();
    let file = match node.map(|n| &n.origin) {
        Some(origin @ (Origin::Set | Origin::Axis | Origin::Fit)) => {
            assignment_name(origin, path, &node.map(Node::shown_bare).unwrap_or_default())
        }
        _ => source.name.clone(),
    };
    Issue { file, line: place.line, column: place.column, path: path.to_owned(), ..issue }
}
