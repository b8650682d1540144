//! One JSON object a line, with objects inside it one level deep.

use std::collections::HashMap;

use serde_json::Value;

use super::{Cell, Parsed, cell};
use crate::measured::log::lex::Decimal;

/// The plan of the keys.
#[derive(Clone, Debug, Default)]
pub struct Json {
    /// Targets of the known keys, none for those left out; `inside.t` for a key of an object inside.
    pub targets: HashMap<String, Option<usize>>,
    /// Keys that came later and are left out.
    pub strangers: Vec<String>,
}

/// Most keys remembered that came later.
const MOST_STRANGERS: usize = 20;

/// Keys and values of an object, one level of objects inside opened; none when it is no object.
#[must_use]
pub fn flat(body: &str) -> Option<Vec<(String, Cell)>> {
    let body = body.trim().trim_start_matches('[').trim_end_matches([',', ']']);
    let Ok(Value::Object(object)) = serde_json::from_str(body) else { return None };
    let mut out = Vec::new();
    for (key, value) in object {
        match value {
            Value::Object(inner) => {
                out.extend(inner.into_iter().map(|(k, v)| (format!("{key}.{k}"), read(&v))));
            }
            other => out.push((key, read(&other))),
        }
    }
    Some(out)
}

fn read(value: &Value) -> Cell {
    match value {
        Value::Number(n) => n.as_f64().map_or(Cell::Missing, |v| Cell::Number(v, None)),
        Value::Bool(on) => Cell::Word(if *on { "on" } else { "off" }.into()),
        Value::String(text) => cell(text, Decimal::Point),
        Value::Null | Value::Array(_) | Value::Object(_) => Cell::Missing,
    }
}

impl Json {
    /// Reads one line.
    pub fn parse(&mut self, body: &str) -> Parsed {
        let Some(pairs) = flat(body) else {
            let cut = body.trim_start().starts_with('{') || body.trim_end().ends_with('}');
            return if cut { Parsed::Short } else { Parsed::Text };
        };
        let mut record = Vec::new();
        for (key, cell) in pairs {
            if let Some(known) = self.targets.get(&key) {
                record.extend(known.map(|target| (target, cell)));
            } else if self.strangers.len() < MOST_STRANGERS && !self.strangers.contains(&key) {
                self.strangers.push(key);
            }
        }
        if record.is_empty() { Parsed::Text } else { Parsed::Records(vec![record]) }
    }
}
