//! Syntax errors of a file in words a user can act on.

use std::collections::BTreeSet;

use toml::de::DeTable;

use super::issue::Issue;
use super::node::SourcePlace;

/// One syntax error. `text` is the whole file, `start` the byte the parser complains about.
/// `search` asks for the first use of a duplicate name.
pub fn issue(
    file: &str,
    text: &str,
    message: &str,
    start: usize,
    place: SourcePlace,
    search: bool,
) -> Issue {
    let line = line_at(text, start);
    let duplicate = is_duplicate(message);
    let (what, why, hint) = if duplicate {
        duplicate_name(text, line, start, if search { place.line } else { 0 })
    } else {
        let (what, hint) = describe(message, line);
        (what, None, hint)
    };
    let code = if duplicate { "duplicate" } else { "syntax" };
    Issue { line: place.line, column: place.column, why, ..Issue::of_file(code, file, what, &hint) }
}

/// Everything the parser complains about, as `(byte, message)`, in no order.
///
/// The parser leaves the rest of a file unread after a line without `=` and after a table name
/// that is not closed, so such lines are blanked out and the file is read again.
pub fn complaints(text: &str) -> Vec<(usize, String)> {
    /// Each pass reports all lines that stop it, so two are enough but for odd nestings.
    const PASSES: usize = 3;
    const STOPPING: [&str; 3] = ["key with no value", "unclosed table", "unclosed array table"];
    let mut masked = text.to_owned();
    let mut found = BTreeSet::new();
    let mut header_lost = false;
    for _ in 0..PASSES {
        let (_, errors) = DeTable::parse_recoverable(&masked);
        let mut stops = BTreeSet::new();
        for error in &errors {
            let (start, message) = (error.span().map_or(0, |s| s.start), error.message());
            if STOPPING.iter().any(|m| message.starts_with(m)) {
                stops.insert(start);
            }
            // without its header a table's keys seem to belong to the table above
            if !(header_lost && is_duplicate(message)) {
                found.insert((start, message.to_owned()));
            }
        }
        if stops.is_empty() {
            break;
        }
        header_lost |= stops.iter().any(|at| is_header(text, *at));
        masked = without_lines(&masked, &stops);
    }
    found.into_iter().collect()
}

/// The text with the lines that hold the given bytes turned into comments of the same length.
fn without_lines(text: &str, at: &BTreeSet<usize>) -> String {
    let mut end = 0;
    let mut out = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        let start = end;
        end += line.len();
        // a complaint about the end of the file belongs to its last line
        let until = if end == text.len() { usize::MAX } else { end };
        let hit = at.range(start..until).next().is_some();
        match line.trim_end_matches(['\n', '\r']) {
            body if hit => {
                out.extend(std::iter::repeat_n('#', body.len()));
                out.push_str(&line[body.len()..]);
            }
            _ => out.push_str(line),
        }
    }
    out
}

/// Whether the parser complains about a name given twice.
pub fn is_duplicate(message: &str) -> bool {
    message.starts_with("duplicate key")
}

/// Whether the line that holds byte `at` is a table header.
pub fn is_header(text: &str, at: usize) -> bool {
    line_at(text, at).starts_with('[')
}

/// The trimmed line that holds byte `at`.
fn line_at(text: &str, at: usize) -> &str {
    let at = floor_boundary(text, at);
    let start = text[..at].rfind('\n').map_or(0, |n| n + 1);
    let end = text[at..].find('\n').map_or(text.len(), |n| at + n);
    text[start..end].trim()
}

pub fn floor_boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

type Explained = (String, Option<String>, String);

fn duplicate_name(text: &str, line: &str, start: usize, line_number: usize) -> Explained {
    let before = &text[..floor_boundary(text, start)];
    let earlier = || before.lines().take(line_number.saturating_sub(1)).enumerate();
    if line.starts_with('[') {
        let head = |l: &str| l.split('#').next().unwrap_or("").trim().to_owned();
        let name = head(line);
        let first = earlier().find(|(_, l)| head(l) == name);
        let why = first.map(|(n, _)| format!("{name} is already on line {}.", n + 1));
        let hint = "put the keys in one table, or give the second a name of its own.";
        return (format!("duplicate name {name}"), why, hint.to_owned());
    }
    let rest = &text[floor_boundary(text, start)..];
    let key_end = rest.find(|c: char| c.is_whitespace() || "=.],}".contains(c));
    let key = rest[..key_end.unwrap_or(rest.len())].trim_matches(['"', '\'']);
    let is_key = |l: &str| {
        l.trim_start().strip_prefix(key).is_some_and(|r| r.trim_start().starts_with(['=', '.']))
    };
    let section = earlier().filter(|(_, l)| l.trim_start().starts_with('[')).last();
    let from = section.map_or(0, |(n, _)| n);
    let first = earlier().skip(from).find(|(_, l)| is_key(l));
    let table = section.map(|(_, l)| format!(" in {}", l.split('#').next().unwrap_or("").trim()));
    let why = first.map(|(n, _)| format!("it is already on line {}.", n + 1));
    let what = format!("duplicate name `{key}`{}", table.unwrap_or_default());
    (what, why, "keep one of the two.".to_owned())
}

/// The parser's message in plain words, and a hint built from the line itself.
fn describe(message: &str, line: &str) -> (String, String) {
    let (key, value) = line.split_once('=').map_or(("", ""), |(k, v)| (k.trim(), v.trim()));
    let value = value.split(" #").next().unwrap_or("").trim();
    let has = |part: &str| message.contains(part);
    let plain = |what: &str, hint: &str| (what.to_owned(), hint.to_owned());
    if has("missing value") || (has("must be quoted") && value.is_empty() && !key.is_empty()) {
        return (format!("`{key}` has no value"), format!("write {key} = \"…\"."));
    }
    if has("string values must be quoted") || (has("unexpected key or value") && !value.is_empty())
    {
        let quotable = !key.is_empty() && !value.contains(['"', '\'', '[', '{']);
        let hint = if quotable {
            format!("write {key} = \"{value}\".")
        } else {
            "write texts and values with a unit in double quotes: \"6 mm\".".to_owned()
        };
        return ("a value that is not a plain number needs quotes".to_owned(), hint);
    }
    if has("key with no value") {
        let hint = "write name = value, or start the line with # to make it a comment.";
        return plain("this line has no `=`", hint);
    }
    if has("unclosed table") || has("unclosed array table") {
        return plain("a table name is not closed", "end it with `]`, as in [heater].");
    }
    if has("string") && (has("invalid") || has("missing")) {
        return plain("a text is not closed", "end it with the quote it started with.");
    }
    if has("between array elements") || has("unclosed array") || has("in array") {
        let hint = "separate elements by commas and end the list with `]`.";
        return plain("a list is not finished", hint);
    }
    if has("inline table") || has("key-value pairs") {
        let hint = "write { name = value, name = value } with a comma between.";
        return plain("an inline table is not well formed", hint);
    }
    if has("unquoted key") {
        let hint = "use letters a-z, digits, `_` and `-`, or put the name in quotes.";
        return plain("a name has a character that is not allowed there", hint);
    }
    if has("invalid boolean") {
        return plain("this is neither true nor false", "write true or false in small letters.");
    }
    if has("escape") {
        let hint = "write \\\\ for a backslash, or use single quotes.";
        return plain("a backslash in a text starts nothing known", hint);
    }
    if has("recursion") {
        return plain("tables or lists are nested too deeply", "flatten them.");
    }
    if has("leading zero") {
        return plain("a number starts with a superfluous zero", "leave the zero out.");
    }
    let short = message.split(", expected").next().unwrap_or(message);
    (short.to_owned(), "each line is a [table], a name = value, or a # comment.".to_owned())
}
