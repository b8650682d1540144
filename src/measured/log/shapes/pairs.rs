//! Names with their values, in a notation that parts them for sure: JSON, `name,tag=… field=… time`, and
//! `key=value` where a word among the values says which sensor it is.

use std::collections::HashMap;

use super::json::{self, Named};
use super::{Cell, Parsed, cell};
use crate::measured::log::lex::{Decimal, Meaning, label};

/// The plan of the names.
#[derive(Clone, Debug, Default)]
pub struct Pairs {
    /// Fields by name.
    pub fields: HashMap<String, usize>,
    /// Names that came later and are left out.
    pub strangers: Vec<String>,
    /// Those of the last line.
    pub missed: Vec<String>,
    /// Whether they are JSON, or look much like it.
    pub json: bool,
    /// Whether the name before a line says which sensor it is of: the field of it.
    pub tag: Option<usize>,
}

/// Most names remembered that came later.
const MOST_STRANGERS: usize = 20;

/// The records of a line; none when it has another notation.
#[must_use]
pub fn records(body: &str) -> Option<Vec<Named>> {
    let body = body.trim();
    if body.starts_with(['{', '[', '(']) {
        return json::records(body);
    }
    if body.starts_with('<') {
        return Some(vec![elements(body)?]);
    }
    let one = protocol(body).or_else(|| words(body))?;
    Some(vec![one])
}

/// `name,tag=a field=1,other=2 1465839830100400200`: a measurement, its tags, its fields, its time.
fn protocol(body: &str) -> Option<Named> {
    let parts: Vec<&str> = body.split(' ').filter(|p| !p.is_empty()).collect();
    let (head, fields, time) = match parts[..] {
        [head, fields] => (head, fields, None),
        [head, fields, time] => (head, fields, Some(time)),
        _ => return None,
    };
    let mut tags = head.split(',');
    let name = tags
        .next()
        .filter(|n| !n.is_empty() && !n.contains(['=', ':', '{']) && n.parse::<f64>().is_err())?;
    let mut record = vec![("name".to_owned(), Cell::Word(name.to_owned()))];
    for tag in tags {
        let (key, value) = tag.split_once('=').filter(|(k, v)| !k.is_empty() && !v.is_empty())?;
        record.push((key.to_owned(), Cell::Word(value.to_owned())));
    }
    for field in fields.split(',') {
        let (key, value) = field.split_once('=').filter(|(k, v)| !k.is_empty() && !v.is_empty())?;
        let bare = value.trim_end_matches(['i', 'u']);
        let read = match value {
            "t" | "true" | "True" => Cell::Word("on".into()),
            "f" | "false" | "False" => Cell::Word("off".into()),
            _ if value.starts_with('"') => Cell::Word(value.trim_matches('"').to_owned()),
            _ => Cell::Number(bare.parse().ok().filter(|v: &f64| v.is_finite())?, None),
        };
        record.push((key.to_owned(), read));
    }
    if let Some(time) = time {
        record.push(("time".to_owned(), Cell::Number(time.parse::<i64>().ok()? as f64, None)));
    }
    Some(record)
}

/// `<temp unit="C">22.1</temp><rh>45</rh>`: elements of a markup language, each with its value.
fn elements(body: &str) -> Option<Named> {
    let mut record = Vec::new();
    for piece in body.split("</") {
        let Some((before, value)) = piece.rsplit_once('>') else { continue };
        let Some((_, open)) = before.rsplit_once('<') else { continue };
        let (name, attributes) = open.split_once(' ').unwrap_or((open, ""));
        if name.is_empty() || value.trim().is_empty() {
            continue;
        }
        let unit = attributes
            .split_once("unit=\"")
            .and_then(|(_, r)| r.split_once('"'))
            .map_or("", |u| u.0);
        record.push((name.to_owned(), cell(&format!("{} {unit}", value.trim()), Decimal::Point)));
    }
    (!record.is_empty()).then_some(record)
}

/// `sensor=S1 temp=22.1 hum=45`: every piece has its name, and one says which sensor.
fn words(body: &str) -> Option<Named> {
    let glued = !body.contains(' ');
    let parts: Vec<&str> = match body {
        _ if body.contains(';') => body.split(';').collect(),
        _ if glued && body.contains('&') => body.split('&').collect(),
        _ if body.contains(',') => body.split(',').collect(),
        _ => body.split_whitespace().collect(),
    };
    let mut record = Vec::new();
    let mut named = false;
    for part in parts.iter().map(|p| p.trim()).filter(|p| !p.is_empty()) {
        let (key, value) = part.split_once('=').or_else(|| part.split_once(':'))?;
        let (key, value) = (key.trim(), value.trim().trim_matches('"'));
        if key.is_empty() || key.len() > 40 || value.contains('=') {
            return None;
        }
        let read = cell(value, Decimal::Point);
        named |= label(key).meaning == Meaning::Sensor && !value.is_empty();
        record.push((key.to_owned(), read));
    }
    (named && record.len() > 1).then_some(record)
}

impl Pairs {
    /// Reads one line.
    pub fn parse(&mut self, body: &str, tag: Option<&str>) -> Parsed {
        let Some(records) = records(body) else {
            let trimmed = body.trim();
            let cut = trimmed.len() > 1 && (trimmed.starts_with('{') || trimmed.ends_with('}'));
            return if cut { Parsed::Short } else { Parsed::Text };
        };
        let mut out = Vec::new();
        self.missed.clear();
        for record in records {
            let mut cells = Vec::new();
            for (name, cell) in record {
                if let Some(field) = self.fields.get(&name) {
                    cells.push((*field, cell));
                } else {
                    self.missed.push(name.clone());
                    if self.strangers.len() < MOST_STRANGERS && !self.strangers.contains(&name) {
                        self.strangers.push(name);
                    }
                }
            }
            if cells.is_empty() {
                continue;
            }
            if let (Some(field), Some(tag)) = (self.tag, tag) {
                cells.push((field, Cell::Word(tag.to_owned())));
            }
            out.push(cells);
        }
        if out.is_empty() { Parsed::Text } else { Parsed::Records(out) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(body: &str) -> Vec<String> {
        let all = records(body).unwrap_or_default();
        all.iter().flatten().map(|(k, _)| k.clone()).collect()
    }

    #[test]
    fn notations_that_part_names_for_sure() {
        assert_eq!(
            names("air,place=top temp=22.1,hum=45i 1465839830100400200"),
            ["name", "place", "temp", "hum", "time"]
        );
        assert_eq!(names("sensor=S1 temp=22.1 hum=45"), ["sensor", "temp", "hum"]);
        assert_eq!(names("id=3&t=22.1&h=45"), ["id", "t", "h"]);
        for body in
            ["T=22.1 H=45", "Humidity: 45 %  Temperature: 22.1 C", "22.1,45.0", "12:00:05 Temp: 3"]
        {
            assert!(records(body).is_none(), "{body}");
        }
    }
}
