//! One table of the file: moving about, and saying what is wrong.

use super::check::{Reader, located};
use super::issue::{Issue, Severity, blank};
use super::key::Keys;
use super::node::{Content, Node, Origin};
use super::path::join;
use super::record::{Value, ValueRecord};
use super::unknown::{MISSING_KEY, MISSING_TABLE};
use crate::units::{Kind, Measured};

/// A table of the file, or the stand-in for one that is missing.
///
/// Cheap to clone. Getters never fail: they note an issue and return a value that lies in the
/// allowed range, so that one mistake does not cause a second message.
#[derive(Clone, Debug)]
pub struct Section<'r> {
    pub(super) reader: &'r Reader<'r>,
    pub(super) node: Option<&'r Node>,
    pub(super) path: String,
}

/// A value that was looked up, with its full path.
pub(super) struct Found<'r> {
    pub node: &'r Node,
    pub path: String,
}

/// What is wrong with a value, to follow `path = value`.
pub(super) struct Fault {
    pub code: &'static str,
    pub clause: String,
    pub why: Option<String>,
    pub hint: Option<String>,
}

impl Reader<'_> {
    /// The table that holds the whole file.
    #[must_use]
    pub fn root(&self) -> Section<'_> {
        self.open(&self.source.root);
        Section { reader: self, node: Some(&self.source.root), path: String::new() }
    }
}

impl<'r> Section<'r> {
    /// The last segment of the path: the name of a part.
    #[must_use]
    pub fn name(&self) -> String {
        let last = super::path::split(&self.path).and_then(|mut s| s.pop());
        last.unwrap_or_default()
    }

    /// Whether the table is really there. Required getters of an absent one stay silent: its
    /// absence has been noted already.
    #[must_use]
    pub fn is_present(&self) -> bool {
        self.node.is_some()
    }

    /// Whether the key is given. Counts as asking for it.
    #[must_use]
    pub fn has(&self, key: &(impl AsRef<str> + ?Sized)) -> bool {
        self.find(key.as_ref()).is_some()
    }

    /// The names of the keys given, in file order. Does not count as asking for them.
    #[must_use]
    pub fn keys(&self) -> Vec<String> {
        match self.node.map(|n| &n.content) {
            Some(Content::Table(entries)) => entries.iter().map(|(k, _)| k.name.clone()).collect(),
            _ => Vec::new(),
        }
    }

    /// A required table. A missing one is noted once and stood in for.
    #[must_use]
    pub fn section(&self, key: &(impl AsRef<str> + ?Sized)) -> Section<'r> {
        let key = key.as_ref();
        if let Some(found) = self.find(key) {
            let path = found.path.clone();
            return self.opened(found).unwrap_or(Section { reader: self.reader, node: None, path });
        }
        let path = join(&self.path, key);
        if self.is_present() && !self.is_excused() {
            let what = format!("there is no table [{path}]");
            let issue = blank(MISSING_TABLE, what, Some(format!("add a [{path}] section.")));
            let place = self.located(self.node, &path, issue);
            self.reader.push(place);
        }
        Section { reader: self.reader, node: None, path }
    }

    /// An optional table.
    #[must_use]
    pub fn section_opt(&self, key: &(impl AsRef<str> + ?Sized)) -> Option<Section<'r>> {
        self.find(key.as_ref()).and_then(|f| self.opened(f))
    }

    /// Notes an error about a key; `what` follows `path = value`, as in "is not above the room".
    /// It points at the value, or at the table when the key is not given. A value that could not
    /// be read has its message already: what its stand-in does is nobody's mistake.
    pub fn fail(
        &self,
        key: &(impl AsRef<str> + ?Sized),
        code: &'static str,
        what: &str,
        why: Option<&str>,
        hint: Option<String>,
    ) {
        let issue = Issue { why: why.map(str::to_owned), ..blank(code, what.to_owned(), hint) };
        self.note(key.as_ref(), issue);
    }

    /// Notes an error about this table itself, such as its name.
    pub fn fail_table(&self, code: &'static str, what: &str, hint: &str) {
        if !self.is_excused() && !self.is_faulty(&self.path) {
            let issue = blank(code, format!("{} {what}", self.path), Some(hint.to_owned()));
            self.reader.push(self.located(self.node, &self.path, issue));
        }
    }

    /// Notes something odd but usable about a key, with the same words as [`Section::fail`].
    pub fn warn(
        &self,
        key: &(impl AsRef<str> + ?Sized),
        code: &'static str,
        what: &str,
        hint: Option<String>,
    ) {
        let issue = blank(code, what.to_owned(), hint);
        self.note(key.as_ref(), Issue { severity: Severity::Warning, ..issue });
    }

    /// Accepts those of `keys` that only other kinds of this part read, with a warning, so that a single
    /// assignment may change the kind.
    pub fn spare(&self, kind: &str, keys: &[Keys]) {
        let given = self.keys();
        let keys = keys.iter().filter(|k| k.when.is_some()).flat_map(|k| k.keys);
        for key in keys.map(|key| key.name).filter(|key| given.iter().any(|g| g == key)) {
            let Some(table) = self.node else { continue };
            let state = self.reader.state.borrow();
            let used = state.asked(table).is_some_and(|names| names.iter().any(|n| n == key));
            drop(state);
            if !used {
                if let Some(node) = table.child(key) {
                    self.reader.read_whole(node, &self.path_of(key));
                }
                self.warn(key, "unused-key", &format!("is not used by kind \"{kind}\""), None);
            }
        }
    }

    /// Records a value that was computed from others, with how.
    pub fn derived(&self, key: &str, kind: Kind, value: f64, how: &str) {
        self.reader.record(ValueRecord {
            path: join(&self.path, key),
            value: Value::Quantity(kind, Measured { value, sd: None }),
            origin: Origin::Derived(how.to_owned()),
            doubt: None,
        });
    }

    /// Stops unknown and missing keys of this table from being reported: for a part whose kind
    /// could not be told.
    pub fn excuse(&self) {
        self.reader.state.borrow_mut().excused.insert(self.path.clone());
    }

    pub(super) fn is_excused(&self) -> bool {
        self.reader.state.borrow().excused.contains(&self.path)
    }

    fn note(&self, key: &str, issue: Issue) {
        let found = self.find(key);
        let path = self.path_of(key);
        if self.is_excused() || self.is_faulty(&path) {
            return;
        }
        let what = match found.as_ref().map(|f| f.node) {
            // a whole table would drown the message
            Some(n) if matches!(n.content, Content::Table(_)) => format!("{path} {}", issue.what),
            Some(n) => quoted(n, &path, issue.what),
            None => format!("{path} {}", issue.what),
        };
        let issue = Issue { what, ..issue };
        let node = found.as_ref().map(|f| f.node).or(self.node);
        // An absent key of a table made by an assignment has no better place than the table.
        let issue = self.located(node, &path, issue);
        self.reader.push(issue);
    }

    /// Whether no mistake is known of a key: a value worth comparing with others, not a stand-in.
    #[must_use]
    pub fn is_valid(&self, key: &(impl AsRef<str> + ?Sized)) -> bool {
        !self.is_faulty(&self.path_of(key.as_ref()))
    }

    /// Whether the value at `path`, or a part of it, has an error already.
    pub(super) fn is_faulty(&self, path: &str) -> bool {
        let part_of = |i: &Issue| {
            let rest = i.path.strip_prefix(path);
            rest.is_some_and(|r| r.is_empty() || r.starts_with('.'))
        };
        let issues = &self.reader.state.borrow().issues;
        issues.iter().any(|i| i.severity == Severity::Error && part_of(i))
    }

    /// The full path of a key that may itself be a short path.
    pub(super) fn path_of(&self, key: &str) -> String {
        key.split('.').fold(self.path.clone(), |path, segment| join(&path, segment))
    }

    /// Looks a key up and notes that it was asked for.
    pub(super) fn find(&self, key: &str) -> Option<Found<'r>> {
        let mut node = self.node?;
        for segment in key.split('.') {
            self.reader.ask(node, segment);
            node = node.child(segment)?;
        }
        Some(Found { node, path: self.path_of(key) })
    }

    /// Looks a required key up; notes when it is missing.
    pub(super) fn required(&self, key: &str, example: &str) -> Option<Found<'r>> {
        let found = self.find(key);
        if found.is_none() && self.is_present() && !self.is_excused() {
            let hint = format!("add a line: {key} = {example}");
            let (what, hint) = if self.path.is_empty() {
                (format!("there is no `{key}`"), hint)
            } else if self.node.is_some_and(|n| !matches!(n.origin, Origin::File { .. })) {
                // most likely a slip in the name of a table that the file has
                let near = self.sibling().map(|name| format!("did you mean {name}?"));
                let hint = near.unwrap_or_else(|| format!("set {}.{key} too.", self.path));
                (format!("[{}] is not in the file and has no `{key}`", self.path), hint)
            } else {
                (format!("[{}] has no `{key}`", self.path), hint)
            };
            let issue = blank(MISSING_KEY, what, Some(hint));
            let issue = self.located(self.node, &self.path_of(key), issue);
            self.reader.push(issue);
        }
        found
    }

    /// The path of the table of the file beside this one with the closest name.
    fn sibling(&self) -> Option<String> {
        let mut segments = super::path::split(&self.path)?;
        let own = segments.pop()?;
        let parent = segments.iter().try_fold(&self.reader.source.root, |n, s| n.child(s))?;
        let Content::Table(entries) = &parent.content else { return None };
        let in_file = entries.iter().filter(|(_, n)| matches!(n.origin, Origin::File { .. }));
        let near = crate::text::closest(&own, in_file.map(|(k, _)| k.name.as_str()))?;
        Some(
            segments
                .iter()
                .map(String::as_str)
                .chain([near])
                .fold(String::new(), |p, s| join(&p, s)),
        )
    }

    /// Notes what is wrong with a value.
    pub(super) fn fault(&self, found: &Found<'_>, fault: Fault) {
        self.reader.read_whole(found.node, &found.path);
        let what = quoted(found.node, &found.path, fault.clause);
        let issue = Issue { why: fault.why, ..blank(fault.code, what, fault.hint) };
        let issue = self.located(Some(found.node), &found.path, issue);
        self.reader.push(issue);
    }

    pub(super) fn wrong_type(&self, found: &Found<'_>, wanted: &str, example: &str) {
        let clause = format!("is {} where {wanted} is needed", found.node.content.noun());
        let hint = Some(format!("write, for example, {example}."));
        self.fault(found, Fault { code: "wrong-type", clause, why: None, hint });
    }

    pub(super) fn opened(&self, found: Found<'r>) -> Option<Section<'r>> {
        if !matches!(found.node.content, Content::Table(_)) {
            self.wrong_type(&found, "a table", &format!("[{}]", found.path));
            return None;
        }
        self.reader.open(found.node);
        Some(Section { reader: self.reader, node: Some(found.node), path: found.path })
    }

    pub(super) fn located(&self, node: Option<&Node>, path: &str, issue: Issue) -> Issue {
        // a table is named by its path alone; its whole content would drown the message
        let table_from_set = node.filter(|n| {
            matches!(n.content, Content::Table(_)) && !matches!(n.origin, Origin::File { .. })
        });
        let node = if table_from_set.is_some() { None } else { node };
        located(self.reader.source, node, path, issue)
    }
}

/// `path = value clause`; the clause alone for an assignment, which its place quotes already.
fn quoted(node: &Node, path: &str, clause: String) -> String {
    match node.origin {
        Origin::Set | Origin::Program | Origin::Axis | Origin::Fit => clause,
        _ => format!("{path} = {} {clause}", node.shown()),
    }
}
