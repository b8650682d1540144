//! JSON, as deep as loggers write it, and the notation of a scripting language that looks much like it.

use serde_json::{Map, Value};

use super::{Cell, cell};
use crate::measured::log::lex::{Decimal, Meaning, label};

/// Names and values of one record.
pub type Named = Vec<(String, Cell)>;

/// Most levels of objects and lists within each other.
const DEEPEST: usize = 24;
/// A longer list of numbers is a column, a shorter one has a number for each sensor.
const LONGEST_ROW: usize = 8;

/// The records of a JSON value; none when it is no object and no list of objects or rows.
#[must_use]
pub fn records(body: &str) -> Option<Vec<Named>> {
    let trimmed = body.trim().trim_end_matches(',');
    if !trimmed.starts_with(['{', '[', '(']) || depth(trimmed) > DEEPEST {
        return None;
    }
    let many = several(trimmed);
    let value = many.or_else(|| value(trimmed)).or_else(|| {
        // One line of a list that goes over several.
        let inner = trimmed.strip_prefix('[').unwrap_or(trimmed);
        let inner = if inner.len() < trimmed.len() { inner } else { trimmed.strip_suffix(']')? };
        value(inner.trim().trim_end_matches(','))
    })?;
    let mut out = Vec::new();
    match &value {
        Value::Object(_) => spread("", &value, &mut out),
        Value::Array(all) if named_pairs(all).is_some() => spread("", &value, &mut out),
        Value::Array(all) if all.iter().all(|v| v.is_object() || v.is_array()) => {
            all.iter().for_each(|v| spread("", v, &mut out));
        }
        _ => return None,
    }
    (!out.is_empty()).then_some(out)
}

/// Values side by side on one line, as a list of them.
fn several(text: &str) -> Option<Value> {
    if !text.contains("}{") && !text.contains("} {") {
        return None;
    }
    let all: Result<Vec<Value>, _> = serde_json::Deserializer::from_str(text).into_iter().collect();
    all.ok().filter(|v| v.len() > 1).map(Value::Array)
}

/// A list of which some are a name and its value, the others plain: `["12:00", ["temp", 22.1], ["rh", 45]]`.
fn named_pairs(list: &[Value]) -> Option<Named> {
    let mut named = 0;
    let mut record = Named::new();
    for (i, value) in list.iter().enumerate() {
        match value {
            Value::Array(pair) => match &pair[..] {
                [Value::String(name), inner] if !inner.is_array() && !inner.is_object() => {
                    named += 1;
                    record.push((name.clone(), read(inner)));
                }
                _ => return None,
            },
            Value::Object(_) => return None,
            scalar => record.push((format!("#{}", i + 1), read(scalar))),
        }
    }
    (named > 0).then_some(record)
}

/// The value of a text in JSON, or in the notation with single quotes, `True` and `None`.
fn value(text: &str) -> Option<Value> {
    if let Ok(value) = serde_json::from_str(text) {
        return Some(value);
    }
    if !text.contains(['\'', 'N', 'T', 'F', 'n']) {
        return None;
    }
    serde_json::from_str(&scripted(text)).ok()
}

/// Turns the notation of a scripting language into JSON: quotes, names of constants, tuples.
fn scripted(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut quote = None;
    let mut word = String::new();
    let flush = |word: &mut String, out: &mut String| {
        match word.as_str() {
            "True" => out.push_str("true"),
            "False" => out.push_str("false"),
            "None" | "nan" | "NaN" | "NAN" | "inf" | "Infinity" => out.push_str("null"),
            other => out.push_str(other),
        }
        word.clear();
    };
    for c in text.chars() {
        match (quote, c) {
            (Some(q), _) if c == q => {
                quote = None;
                out.push('"');
            }
            (Some(_), '"') => out.push_str("\\\""),
            (Some(_), _) => out.push(c),
            (None, '\'' | '"') => {
                flush(&mut word, &mut out);
                quote = Some(c);
                out.push('"');
            }
            (None, _) if c.is_alphanumeric() || c == '_' => word.push(c),
            (None, _) => {
                flush(&mut word, &mut out);
                out.push(match c {
                    '(' => '[',
                    ')' => ']',
                    c => c,
                });
            }
        }
    }
    flush(&mut word, &mut out);
    out
}

/// How deep brackets stand within each other at most; looked at before anything is built.
fn depth(text: &str) -> usize {
    let (mut now, mut most) = (0_usize, 0);
    for b in text.bytes() {
        match b {
            b'{' | b'[' => {
                now += 1;
                most = most.max(now);
            }
            b'}' | b']' => now = now.saturating_sub(1),
            _ => {}
        }
    }
    most
}

/// Open brackets that a text leaves open, brackets in quotes left out; negative when it closes more.
#[must_use]
pub fn open_brackets(text: &str) -> i64 {
    let (mut count, mut quoted, mut escaped) = (0, false, false);
    for b in text.bytes() {
        match b {
            _ if escaped => escaped = false,
            b'\\' if quoted => escaped = true,
            b'"' => quoted = !quoted,
            b'{' | b'[' if !quoted => count += 1,
            b'}' | b']' if !quoted => count -= 1,
            _ => {}
        }
    }
    count
}

fn joined(prefix: &str, key: &str) -> String {
    if prefix.is_empty() { key.to_owned() } else { format!("{prefix}.{key}") }
}

/// The records within a value: what stands beside a list of objects belongs to each of them.
fn spread(prefix: &str, value: &Value, out: &mut Vec<Named>) {
    match value {
        Value::Object(object) => object_records(prefix, object, out),
        Value::Array(list) => {
            let name = |i: usize| joined(prefix, &format!("#{}", i + 1));
            if let Some(record) = named_pairs(list) {
                return out.push(record);
            }
            if list.iter().any(|v| v.is_object() || v.is_array()) {
                list.iter().for_each(|v| spread(prefix, v, out));
            } else {
                out.push(list.iter().enumerate().map(|(i, v)| (name(i), read(v))).collect());
            }
        }
        scalar => out.push(vec![(prefix.to_owned(), read(scalar))]),
    }
}

fn object_records(prefix: &str, object: &Map<String, Value>, out: &mut Vec<Named>) {
    let mut base: Named = Vec::new();
    let mut many: Vec<Named> = Vec::new();
    let scalars = |v: &Value| match v {
        Value::Array(l) if !l.is_empty() && !l.iter().any(|v| v.is_object() || v.is_array()) => {
            Some(l.len())
        }
        _ => None,
    };
    let lists: Vec<(&String, usize)> =
        object.iter().filter_map(|(k, v)| Some((k, scalars(v)?))).collect();
    let is_time = |k: &str| {
        matches!(label(k).meaning, Meaning::Time | Meaning::Elapsed | Meaning::DateOrClock)
    };
    let same = lists.windows(2).all(|w| w[0].1 == w[1].1) && lists.len() > 1;
    let columns = same && (lists[0].1 > LONGEST_ROW || lists.iter().any(|(k, _)| is_time(k)));
    for (key, value) in object {
        let path = joined(prefix, key);
        match value {
            Value::Array(_) if columns && scalars(value).is_some() => {}
            Value::Array(list) if scalars(value).is_some() => {
                // `"temp_rh": [22.1, 45]` names both.
                let parts: Vec<&str> = key.split(['_', ',', '/', '-', ' ']).collect();
                let all = parts.len() == list.len() && parts.len() > 1;
                let known =
                    all && parts.iter().all(|p| matches!(label(p).meaning, Meaning::Reading(_)));
                let one = |(i, v): (usize, &Value)| {
                    let name = if known {
                        joined(prefix, parts[i])
                    } else {
                        joined(&path, &(i + 1).to_string())
                    };
                    (name, read(v))
                };
                base.extend(list.iter().enumerate().map(one));
            }
            // A list within is a list of records: its name says nothing about each.
            Value::Array(list) => list.iter().for_each(|v| spread("", v, &mut many)),
            Value::Object(inner) => {
                let mut found = Vec::new();
                object_records(&path, inner, &mut found);
                if found.len() == 1 {
                    base.append(&mut found[0]);
                } else {
                    many.append(&mut found);
                }
            }
            scalar => base.push((path, read(scalar))),
        }
    }
    if columns {
        for i in 0..lists[0].1 {
            let at = |k: &str| object.get(k).and_then(|v| v.get(i)).map_or(Cell::Missing, read);
            many.push(lists.iter().map(|(k, _)| (joined(prefix, k), at(k))).collect());
        }
    }
    if many.is_empty() {
        out.push(base);
        return;
    }
    for mut record in many {
        let beside = base.iter().filter(|(k, _)| !record.iter().any(|(r, _)| r == k)).cloned();
        let beside: Vec<_> = beside.collect();
        record.extend(beside);
        out.push(record);
    }
}

fn read(value: &Value) -> Cell {
    match value {
        Value::Number(n) => n.as_f64().map_or(Cell::Missing, |v| Cell::Number(v, None)),
        Value::Bool(on) => Cell::Word(if *on { "on" } else { "off" }.into()),
        Value::String(text) => cell(text, Decimal::Point),
        Value::Null | Value::Array(_) | Value::Object(_) => Cell::Missing,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> Vec<String> {
        let one = |r: &Named| {
            let cells = r.iter().map(|(k, c)| match c {
                Cell::Number(v, _) => format!("{k}={v}"),
                Cell::Word(w) => format!("{k}={w}"),
                _ => format!("{k}?"),
            });
            cells.collect::<Vec<_>>().join(" ")
        };
        records(text).unwrap_or_default().iter().map(one).collect()
    }

    #[test]
    fn objects_lists_and_what_stands_in_them() {
        assert_eq!(shown(r#"{"a":{"b":{"t":1}},"h":2}"#), ["a.b.t=1 h=2"]);
        assert_eq!(shown(r#"[{"t":1},{"t":2}]"#), ["t=1", "t=2"]);
        assert_eq!(
            shown(r#"{"ms":5,"list":[{"id":"A","t":1},{"id":"B","t":2}]}"#),
            ["id=A t=1 ms=5", "id=B t=2 ms=5"]
        );
        assert_eq!(shown(r#"{"time":[0,30],"t":[1,2]}"#), ["t=1 time=0", "t=2 time=30"]);
        assert_eq!(shown(r#"{"t":[1,2],"h":[3,4]}"#), ["h.1=3 h.2=4 t.1=1 t.2=2"]);
        assert_eq!(shown("[[0,1],[30,2]]"), ["#1=0 #2=1", "#1=30 #2=2"]);
        assert_eq!(shown("{'t': 1.5, 'ok': True, 'h': None}"), ["h? ok=on t=1.5"]);
        assert_eq!(shown(r#"[{"t":1},"#), ["t=1"]);
        assert!(records(&"[".repeat(80_000)).is_none() && records("22.1").is_none());
    }
}
