//! A file as a tree, and the assignments that change it.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use toml::de::{DeTable, DeValue};

use super::issue::{Issue, MAX_SHOWN, Severity};
use super::lines::Lines;
use super::node::{Content, Grower, Key, Node, Origin, SourcePlace};
use super::{path, suggest, syntax};

/// Largest file read; a scenario is a few kilobytes.
pub const MAX_BYTES: usize = 1 << 20;

/// Deepest path an assignment may create; the format needs five or six.
const MAX_DEPTH: usize = 32;

/// One parsed file with what was set on top of it.
#[derive(Clone, Debug)]
pub struct Source {
    pub(super) name: String,
    pub(super) root: Node,
}

impl Source {
    /// Reads a file. `name` is what messages call it.
    ///
    /// # Errors
    /// All syntax errors at once, in file order.
    pub fn from_bytes(name: &str, bytes: &[u8]) -> Result<Self, Vec<Issue>> {
        let text = decode(name, bytes).map_err(|issue| vec![issue])?;
        let lines = Lines::new(text);
        let (table, errors) = DeTable::parse_recoverable(text);
        if !errors.is_empty() {
            return Err(syntax_issues(name, text, &lines));
        }
        let grower = Grower {
            locate: &|at| lines.place(at),
            origin: &|place| Origin::File { line: place.line },
        };
        let content = grower.table(table.get_ref());
        if matches!(&content, Content::Table(entries) if entries.is_empty()) {
            let hint = "a starter file to edit can be had with: drybench new";
            return Err(vec![Issue::of_file("empty", name, "has nothing in it".to_owned(), hint)]);
        }
        let origin = Origin::File { line: 0 };
        let root = Node { content, origin, place: SourcePlace::default() };
        Ok(Self { name: name.to_owned(), root })
    }

    /// Applies one `--set` assignment: `heater.power=200 W`, `enclosure.inner_size.2=260 mm`.
    ///
    /// The value is a text unless it reads as a TOML number, boolean, list, table or quoted text.
    ///
    /// # Errors
    /// What is wrong with the assignment itself; whether the value fits its key is seen on reading.
    pub fn set(&mut self, assignment: &str) -> Result<(), Issue> {
        match path::split_assignment(assignment) {
            Some((path, text)) if !path.is_empty() => self.set_value(path, text, Origin::Set),
            _ => Err(Issue::of_file(
                "bad-assignment",
                &format!("--set {assignment}"),
                "is not an assignment".to_owned(),
                "write path=value, for example: --set \"heater.power=200 W\"",
            )),
        }
    }

    /// Puts a value at a path, tagged with where it came from.
    ///
    /// # Errors
    /// When the path runs through a value, past the end of a list, or would replace a table.
    pub fn set_value(&mut self, path: &str, text: &str, origin: Origin) -> Result<(), Issue> {
        let fail = |code, what: String, hint: Option<String>| Issue {
            severity: Severity::Error,
            code,
            file: assignment_name(&origin, path, text),
            line: 0,
            column: 0,
            path: path.to_owned(),
            what,
            why: None,
            hint,
        };
        let bad_path = |what: &str| {
            let hint = "write names with dots between, for example: vent.low.diameter";
            fail("bad-path", what.to_owned(), Some(hint.to_owned()))
        };
        let segments = path::split(path).ok_or_else(|| bad_path("is not a path"))?;
        if segments.len() > MAX_DEPTH {
            return Err(bad_path("is too long a path"));
        }
        let value = typed_value(text, &origin);
        place(&mut self.root, &segments, value, &origin)
            .map_err(|(what, hint)| fail("bad-path", what, hint))
    }

    /// The value at a path as typed; `None` when there is none or it is a table.
    #[must_use]
    pub fn get_text(&self, path: &str) -> Option<String> {
        let segments = path::split(path)?;
        let node = segments.iter().try_fold(&self.root, |node, s| node.child(s))?;
        match &node.content {
            Content::Table(_) => None,
            content => Some(content.typed(false)),
        }
    }

    /// The value or table at a path in TOML notation, on one line; `None` when there is none.
    #[must_use]
    pub fn toml(&self, path: &str) -> Option<String> {
        let segments = path::split(path)?;
        let node = segments.iter().try_fold(&self.root, |node, s| node.child(s))?;
        Some(node.content.typed(true))
    }

    /// Names in the table at a path, in file order; the whole file has an empty path.
    #[must_use]
    pub fn names(&self, path: &str) -> Vec<String> {
        let walk =
            |segments: Vec<String>| segments.iter().try_fold(&self.root, |node, s| node.child(s));
        let whole = path.is_empty().then_some(&self.root);
        match whole.or_else(|| path::split(path).and_then(walk)).map(|node| &node.content) {
            Some(Content::Table(entries)) => entries.iter().map(|(k, _)| k.name.clone()).collect(),
            _ => Vec::new(),
        }
    }
}

/// How a message names an assignment.
pub fn assignment_name(origin: &Origin, path: &str, text: &str) -> String {
    match origin {
        Origin::Axis => format!("axis {path}={text}"),
        Origin::Fit => format!("fit {path}={text}"),
        Origin::Program => format!("{path} = {text}"),
        _ => format!("--set {path}={text}"),
    }
}

fn decode<'b>(name: &str, bytes: &'b [u8]) -> Result<&'b str, Issue> {
    if bytes.len() > MAX_BYTES {
        // the rest of a huge file may not have been read, so its length is not known here
        let what = format!("is longer than {} kB", MAX_BYTES / 1024);
        let hint = "is this a scenario? Series of readings belong in a file of their own.";
        return Err(Issue::of_file("too-large", name, what, hint));
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        let what = "is written in UTF-16".to_owned();
        return Err(Issue::of_file("not-utf8", name, what, "save it as UTF-8."));
    }
    let whole = bytes.len();
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mark = whole - bytes.len();
    if bytes.contains(&0) {
        let what = "is not a text file (it has a zero byte)".to_owned();
        return Err(Issue::of_file("not-text", name, what, "give a TOML text file."));
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let at = error.valid_up_to();
        let good = String::from_utf8_lossy(&bytes[..at]);
        let place = Lines::new(&good).place(at);
        let byte = bytes.get(at).copied().unwrap_or(0);
        let what = format!("is not UTF-8: byte 0x{byte:02x} at offset {}", mark + at);
        let hint = "save it as UTF-8; a degree or micro sign is often the cause.";
        let issue = Issue::of_file("not-utf8", name, what, hint);
        Issue { line: place.line, column: place.column, ..issue }
    })
}

/// The first error of each line: what follows on a line is mostly an echo.
fn syntax_issues(name: &str, text: &str, lines: &Lines) -> Vec<Issue> {
    let mut starts = syntax::complaints(text);
    // A line's leading complaint is the one about the value's start, where the fix goes.
    starts.sort();
    let mut issues: Vec<Issue> = Vec::new();
    let mut table_again = None;
    for (start, message) in &starts {
        let (start, message) = (*start, message.as_str());
        let place = lines.place(start);
        if issues.last().is_some_and(|last| last.line == place.line) {
            continue;
        }
        if syntax::is_duplicate(message) {
            // the keys of a table given twice are echoes of its name
            if table_again.is_some_and(|from| !text[from..start].contains("\n[")) {
                table_again = Some(start);
                continue;
            }
            table_again = syntax::is_header(text, start).then_some(start);
        }
        // Looking for the first use of a name costs a walk through the file.
        let search = issues.len() < MAX_SHOWN;
        issues.push(syntax::issue(name, text, message, start, place, search));
    }
    issues
}

/// What a typed assignment value means; see [`Source::set`].
fn typed_value(text: &str, origin: &Origin) -> Node {
    let grower = Grower { locate: &|_| SourcePlace::default(), origin: &|_| origin.clone() };
    let (value, errors) = DeValue::parse_recoverable(text);
    let is_date = matches!(value.get_ref(), DeValue::Datetime(_));
    if errors.is_empty() && !is_date {
        return grower.node(value.get_ref(), 0);
    }
    let content = Content::Text(text.to_owned());
    Node { content, origin: origin.clone(), place: SourcePlace::default() }
}

type PathFault = (String, Option<String>);

fn place(
    root: &mut Node,
    segments: &[String],
    value: Node,
    origin: &Origin,
) -> Result<(), PathFault> {
    let mut node = root;
    let mut walked = String::new();
    for segment in segments {
        if !node.content.is_branch() {
            let shown = node.shown();
            let what = format!("{walked} is a value ({shown}), it has no `{segment}`");
            return Err((what, Some(format!("set {walked} itself."))));
        }
        let parent = std::mem::take(&mut walked);
        walked = path::join(&parent, segment);
        node = match &mut node.content {
            Content::Array(items) => element(items, segment, &parent)?,
            Content::Table(entries) => entry(entries, segment, origin),
            _ => return Err((format!("{parent} has no `{segment}`"), None)),
        };
    }
    replace(node, &walked, value)
}

fn element<'n>(
    items: &'n mut [Node],
    segment: &str,
    parent: &str,
) -> Result<&'n mut Node, PathFault> {
    let count = items.len();
    let index = segment.parse::<usize>().ok().filter(|i| *i < count);
    let hint = match count {
        0 => format!("set {parent} to a whole list."),
        _ => format!("elements are counted from {parent}.0 to {parent}.{}.", count - 1),
    };
    let fault = || (format!("{parent} is a list of {count}, it has no `{segment}`"), Some(hint));
    match index.and_then(|i| items.get_mut(i)) {
        Some(node) => Ok(node),
        None => Err(fault()),
    }
}

/// The entry of that name, made if missing.
fn entry<'n>(entries: &'n mut Vec<(Key, Node)>, name: &str, origin: &Origin) -> &'n mut Node {
    let at = entries.iter().position(|(key, _)| key.name == name).unwrap_or_else(|| {
        let key = Key { name: name.to_owned(), place: SourcePlace::default() };
        let content = Content::Table(Vec::new());
        entries
            .push((key, Node { content, origin: origin.clone(), place: SourcePlace::default() }));
        entries.len() - 1
    });
    &mut entries[at].1
}

fn replace(node: &mut Node, walked: &str, value: Node) -> Result<(), PathFault> {
    if let Content::Table(entries) = &node.content
        && !entries.is_empty()
        && !matches!(value.content, Content::Table(_))
    {
        let names: Vec<&str> = entries.iter().map(|(k, _)| k.name.as_str()).collect();
        let what = format!("{walked} is a table, not a value");
        return Err((what, suggest::hint("", &names)));
    }
    *node = value;
    Ok(())
}
