//! The reading pass: what was asked for, what was found, and the verdict at the end.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::issue::{Issue, Severity};
use super::node::{Node, Origin};
use super::section::Section;
use super::source::{Source, assignment_name};
use super::unknown;
use crate::units::Kind;

/// One value as it was used, and where it came from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ValueRecord {
    /// Dotted path.
    pub path: String,
    /// The value for display, with its unit.
    pub text: String,
    /// The value in SI, when it is one number.
    pub si: Option<f64>,
    /// What it measures, when it is a quantity.
    pub kind: Option<Kind>,
    /// Where it came from.
    pub origin: Origin,
}

/// The outcome of a pass without errors.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
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
    /// Index into `values` by path, so that a value read twice is listed once.
    recorded: BTreeMap<String, usize>,
    /// The keys asked for, by the path of their table or list.
    pub asked: BTreeMap<String, BTreeSet<String>>,
    /// Paths read as one value, whatever is inside.
    pub whole: BTreeSet<String>,
    /// Tables whose kind is unknown: what they should hold is anyone's guess.
    pub excused: BTreeSet<String>,
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
        self.open(String::new());
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
        Ok(Report { warnings: issues, values: state.values })
    }

    /// Notes that a table or list was opened, so that its unasked keys count as unknown.
    pub(super) fn open(&self, path: String) {
        self.state.borrow_mut().asked.entry(path).or_default();
    }

    pub(super) fn ask(&self, parent: &str, segment: &str) {
        let mut state = self.state.borrow_mut();
        state.asked.entry(parent.to_owned()).or_default().insert(segment.to_owned());
    }

    pub(super) fn read_whole(&self, path: &str) {
        self.state.borrow_mut().whole.insert(path.to_owned());
    }

    pub(super) fn push(&self, issue: Issue) {
        self.state.borrow_mut().issues.push(issue);
    }

    pub(super) fn record(&self, record: ValueRecord) {
        let state = &mut *self.state.borrow_mut();
        match state.recorded.get(&record.path) {
            Some(at) => state.values[*at] = record,
            None => {
                state.recorded.insert(record.path.clone(), state.values.len());
                state.values.push(record);
            }
        }
    }
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
