//! The reading pass: what was asked for and what was found.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use super::issue::Issue;
use super::node::{Node, Origin};
use super::record::ValueRecord;
use super::source::{Source, assignment_name};

/// What a pass has gathered so far.
#[derive(Debug, Default)]
pub(super) struct State {
    pub issues: Vec<Issue>,
    pub values: Vec<ValueRecord>,
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

/// One reading pass over a [`Source`]; hands out [`super::Section`]s and collects what they find.
#[derive(Debug)]
pub struct Reader<'s> {
    pub(super) source: &'s Source,
    pub(super) state: RefCell<State>,
}

impl<'s> Reader<'s> {
    pub(super) fn new(source: &'s Source) -> Self {
        Self { source, state: RefCell::default() }
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

impl Source {
    /// Starts a reading pass.
    #[must_use]
    pub fn reader(&self) -> Reader<'_> {
        Reader::new(self)
    }
}

/// Where a message about a value points: the file and line, or the assignment it came from.
pub(super) fn located(source: &Source, node: Option<&Node>, path: &str, issue: Issue) -> Issue {
    let place = node.map(|n| n.place).unwrap_or_default();
    let file = match node.map(|n| &n.origin) {
        Some(origin @ (Origin::Set | Origin::Program | Origin::Axis | Origin::Fit)) => {
            assignment_name(origin, path, &node.map(Node::shown_bare).unwrap_or_default())
        }
        _ => source.name.clone(),
    };
    Issue { file, line: place.line, column: place.column, path: path.to_owned(), ..issue }
}
