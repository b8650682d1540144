//! Keys nobody asked for.

use crate::text::closest;
use std::borrow::Cow;
use std::collections::BTreeSet;

use super::check::{State, located};
use super::issue::{Issue, blank};
use super::node::{Content, Key, Node, Origin};
use super::path::join;
use super::renamed;
use super::source::Source;
use super::suggest;

/// Codes of "missing" messages; one slip of the finger should not cause two messages.
pub const MISSING_KEY: &str = "missing-key";
/// See [`MISSING_KEY`].
pub const MISSING_TABLE: &str = "missing-table";

/// Adds an issue for every key that was not asked for in a table that was opened. Where the key
/// was surely meant to be a missing one, the message about the missing one goes.
pub fn report(source: &Source, state: &mut State) {
    let mut found = Vec::new();
    let mut meant = BTreeSet::new();
    let mut open: Vec<(&Node, String)> = vec![(&source.root, String::new())];
    while let Some((node, path)) = open.pop() {
        let Some(asked) = state.asked(node).filter(|_| !state.whole.contains(&path)) else {
            continue;
        };
        let mut strange = Vec::new();
        for (segment, key, child) in children(node) {
            if !asked.iter().any(|name| *name == segment) {
                strange.push((segment, key, child));
            } else if child.content.is_branch() {
                open.push((child, join(&path, &segment)));
            }
        }
        if strange.is_empty() || state.excused.contains(&path) {
            continue;
        }
        let mut asked: Vec<&str> = asked.iter().map(String::as_str).collect();
        asked.sort_unstable();
        let is_missing = |name: &&str| node.child(name).is_none();
        let missing: Vec<&str> = asked.iter().copied().filter(is_missing).collect();
        for (segment, key, child) in strange {
            let now = renamed::present(&segment, &asked);
            let free = now.or_else(|| closest(&segment, missing.iter().copied()));
            meant.extend(free.map(|name| join(&path, name)));
            let close = free.or_else(|| closest(&segment, asked.iter().copied()));
            found.push(issue(source, &path, &segment, key, child, close, &asked));
        }
    }
    let is_missing = |i: &Issue| i.code == MISSING_KEY || i.code == MISSING_TABLE;
    state.issues.retain(|i| !(is_missing(i) && meant.contains(&i.path)));
    state.issues.extend(found);
}

fn children(node: &Node) -> Vec<(Cow<'_, str>, Option<&Key>, &Node)> {
    match &node.content {
        Content::Table(entries) => {
            entries.iter().map(|(key, child)| (Cow::from(&key.name), Some(key), child)).collect()
        }
        Content::Array(items) => items
            .iter()
            .enumerate()
            .map(|(i, child)| (Cow::from(i.to_string()), None, child))
            .collect(),
        _ => Vec::new(),
    }
}

fn issue(
    source: &Source,
    parent: &str,
    segment: &str,
    key: Option<&Key>,
    child: &Node,
    close: Option<&str>,
    known: &[&str],
) -> Issue {
    let path = join(parent, segment);
    let is_table = matches!(child.content, Content::Table(_));
    let (what, hint) = if key.is_none() {
        (format!("{path} is one element too many"), Some("remove it.".to_owned()))
    } else if is_table {
        let near = close.map(|name| format!("did you mean [{}]?", join(parent, name)));
        (format!("unknown table [{path}]"), near)
    } else {
        let home = if parent.is_empty() { String::new() } else { format!(" in [{parent}]") };
        match renamed::present(segment, known) {
            Some(now) => (
                format!("the key `{segment}`{home} has another name now"),
                Some(format!("write `{now}`; its meaning and units are the same.")),
            ),
            None => (
                format!("unknown key `{segment}`{home}"),
                close.map(|n| format!("did you mean `{n}`?")),
            ),
        }
    };
    let code = if is_table { "unknown-table" } else { "unknown-key" };
    let hint = hint.or_else(|| if key.is_some() { suggest::hint("", known) } else { None });
    let (leaf, leaf_path) = assigned_leaf(child, &path);
    let issue = Issue { path, ..located(source, Some(leaf), &leaf_path, blank(code, what, hint)) };
    match (key, &child.origin) {
        // a key is at fault, not its value
        (Some(key), Origin::File { .. }) if !is_table && key.place.line > 0 => {
            Issue { line: key.place.line, column: key.place.column, ..issue }
        }
        _ => issue,
    }
}

/// The value an assignment gave when it made whole tables on the way; else the node itself.
fn assigned_leaf<'n>(node: &'n Node, path: &str) -> (&'n Node, String) {
    let (mut node, mut path) = (node, path.to_owned());
    while !matches!(node.origin, Origin::File { .. })
        && let Content::Table(entries) = &node.content
        && let Some((key, child)) = entries.first()
    {
        path = join(&path, &key.name);
        node = child;
    }
    (node, path)
}
