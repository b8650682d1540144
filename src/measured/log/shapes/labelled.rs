//! Values with labels before them: `Humidity: 45.4 %  Temperature: 22.1 *C`, `t=0 S1 T=22.0C`.

use std::collections::HashMap;

use super::{Cell, Parsed};
use crate::measured::log::lex::{
    Decimal, Label, Meaning, grouped, is_missing, label, number, stamp, unit,
};

/// A value with what stands before it.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// The label; empty when there is none.
    pub label: String,
    /// Whether `:` or `=` stood between.
    pub marked: bool,
    /// The value.
    pub cell: Cell,
}

/// The plan of the labels.
#[derive(Clone, Debug)]
pub struct Labelled {
    /// The decimal mark.
    pub decimal: Decimal,
    /// Fields of the known keys, none for those left out: see [`key`].
    pub targets: HashMap<String, Option<usize>>,
    /// Whether the name before a line says which sensor it is of.
    pub tagged: bool,
    /// How often a label stands on a line: once for each sensor. One where there is one.
    pub times: usize,
    /// Labels that came later and are left out.
    pub strangers: Vec<String>,
    /// Those of the last line.
    pub missed: Vec<String>,
}

/// Most labels remembered that came later.
const MOST_STRANGERS: usize = 20;

/// What tells labels apart: the label, or the unit of a value without one.
#[must_use]
pub fn key(item: &Item) -> String {
    if !item.label.is_empty() {
        return item.label.clone();
    }
    match &item.cell {
        Cell::Number(_, Some(unit)) => format!("[{}]", unit.shown()),
        Cell::Stamp(_) => "[stamp]".into(),
        _ => String::new(),
    }
}

/// All values of a line that have a label, a unit or the form of a clock.
///
/// Without `:` or `=` a label must be known as a whole: the number in "logger fw 1.3" is no reading.
#[must_use]
pub fn items(line: &str, decimal: Decimal) -> Vec<Item> {
    let usable = |item: &Item| {
        let known = || match label(&item.label) {
            Label { meaning: Meaning::Unknown | Meaning::Ignored(_), .. } => false,
            // The last part of a topic is its label, the others name the sensor.
            Label { sensor, .. } => {
                sensor.is_empty()
                    || matches!(item.cell, Cell::Number(_, Some(_)))
                    || item.label.contains('/') && !item.label.contains(' ')
            }
        };
        let plain = matches!(item.cell, Cell::Number(_, Some(_)) | Cell::Stamp(_));
        if item.label.is_empty() { plain } else { item.marked || known() }
    };
    let all = values(line, decimal);
    let mut items: Vec<Item> = Vec::new();
    let mut quantity = None;
    for item in all {
        let own = match item.cell {
            Cell::Number(_, Some(unit)) => unit.implies().map(|q| (q, unit)),
            _ => None,
        };
        // "24.1 C 75.4 F": the same once more in another unit.
        let other = |(q, unit)| quantity.is_some_and(|(before, old)| before == q && old != unit);
        let again = item.label.is_empty() && own.is_some_and(other);
        let usable = usable(&item);
        quantity = own;
        if usable && !again {
            items.push(item);
        }
    }
    items
}

/// All values of a line, with what stands before them.
fn values(line: &str, decimal: Decimal) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    let mut sensor = String::new();
    let parted = line.contains(['|', ';']);
    let (mut from, mut at) = (0, 0);
    while at < line.len() {
        let Some((cell, length)) = value_at(line, from, at, decimal) else {
            at += line[at..].chars().next().map_or(1, char::len_utf8);
            continue;
        };
        let (label, marked) = label_before(&line[from..at], &mut sensor, parted);
        items.push(Item { label, marked, cell });
        at += length;
        from = at;
    }
    items
}

/// The value that starts at `at`, with its length, if one does.
fn value_at(line: &str, from: usize, at: usize, decimal: Decimal) -> Option<(Cell, usize)> {
    let rest = &line[at..];
    let before = line[..at].chars().next_back();
    let joined = before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '.');
    if joined && at > from {
        return None;
    }
    let first = rest.chars().next()?;
    // A stamp that begins with a word has a date and a clock; other words are labels.
    let whole = |s: &stamp::Stamp| s.date.is_some() && s.second.is_some() || rest.starts_with("T+");
    if first.is_ascii_alphanumeric()
        && let Some((stamp, length)) =
            stamp::at(rest).filter(|(s, _)| first.is_ascii_digit() || whole(s))
    {
        return Some((Cell::Stamp(stamp), length));
    }
    if first.is_ascii_digit() || matches!(first, '-' | '+' | '.') {
        // "-- default test --" and ranges such as 3-5 are no signed numbers.
        let signed = matches!(first, '-' | '+');
        if !(signed && before.is_some_and(|c| c == first || c == '-' || c.is_alphanumeric()))
            && let Some((value, length)) = grouped(rest, decimal).or_else(|| number(rest, decimal))
        {
            return counted(value, &rest[length..], length);
        }
    }
    missing_at(&line[from..at], rest)
}

/// A number with its unit, unless it belongs to a label (`sensor 1: …`).
fn counted(value: f64, after: &str, length: usize) -> Option<(Cell, usize)> {
    if after.trim_start_matches(' ').starts_with(['=', ':']) {
        return None;
    }
    Some(match unit::at(after) {
        Some((unit, n)) => (Cell::Number(value, Some(unit)), length + n),
        None => (Cell::Number(value, None), length),
    })
}

/// A word for a missing value right after `:` or `=`.
fn missing_at(chunk: &str, rest: &str) -> Option<(Cell, usize)> {
    if !chunk.trim_end().ends_with([':', '=']) || rest.starts_with([' ', '\t']) {
        return None;
    }
    let length = rest.find(|c: char| !c.is_alphabetic()).unwrap_or(rest.len());
    if ["on", "off", "true", "false"].contains(&rest[..length].to_lowercase().as_str()) {
        return Some((Cell::Word(rest[..length].to_owned()), length));
    }
    let end =
        rest.find(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '|' | '%' | '*' | '°'));
    let word = &rest[..end.unwrap_or(rest.len())];
    let bare = word.trim_end_matches(['C', 'F']);
    let taken = [word, bare].into_iter().find(|w| !w.is_empty() && is_missing(w))?;
    let after = &rest[taken.len()..];
    let unit = unit::at(after).map_or(0, |(_, n)| n);
    Some((Cell::Missing, taken.len() + unit))
}

/// The label at the end of the text before a value. A sensor named once holds until the next name.
fn label_before(chunk: &str, sensor: &mut String, parted: bool) -> (String, bool) {
    let body = chunk.trim_end();
    let bare = body.trim_end_matches([':', '=', '>', ' ', '\t']);
    let marked = bare.len() < body.len();
    let bare = bare.trim_end_matches('-').trim_end();
    if chunk.contains('|') || chunk.contains(';') {
        sensor.clear();
    }
    let cut = |c: char| matches!(c, '|' | ',' | ';' | '\t' | ']' | ')' | '>' | '%');
    let mut piece = bare.rsplit(cut).next().unwrap_or(bare).trim();
    // A slash right behind a value, or with blanks around it, parts values; within words it is a topic's.
    piece = piece.rsplit("/ ").next().unwrap_or(piece).trim_start_matches('/').trim();
    if let Some((_, last)) = piece.rsplit_once("  ") {
        piece = last.trim();
    }
    // "Probe: Temp=…", "S1 T=…": what stands before the last word names the sensor.
    let (name, word) = match piece.rsplit_once([' ', ':']) {
        Some((name, word)) => (name.trim().trim_end_matches(':').trim(), word),
        None => ("", piece),
    };
    // In a line cut by bars a plain word before a known label is a name too: "| cold T=…".
    let plain_name = || {
        let known = label(piece);
        parted && marked && matches!(known.meaning, Meaning::Reading(_)) && !known.sensor.is_empty()
    };
    // "inside: T=22.1": a name that is no label before one that is.
    let colon = || {
        let reading = |l: &Label| {
            matches!(l.meaning, Meaning::Reading(_) | Meaning::LowerT) && l.sensor.is_empty()
        };
        piece[name.len()..].trim_start().starts_with(':')
            && label(name).meaning == Meaning::Unknown
            && reading(&label(word))
    };
    if !name.is_empty() && !word.is_empty() && (looks_like_name(name) || plain_name() || colon()) {
        *sensor = name.to_owned();
    }
    let plain = !word.is_empty() && name.is_empty() && !sensor.is_empty();
    let label = if plain { format!("{sensor} {word}") } else { piece.to_owned() };
    (label, marked)
}

/// A short name with a number or all in capitals, as loggers give to sensors.
fn looks_like_name(name: &str) -> bool {
    let short = name.len() <= 12 && !name.contains(' ');
    let capitals = name.chars().any(char::is_uppercase) && !name.chars().any(char::is_lowercase);
    let numbered = name.ends_with(|c: char| c.is_ascii_digit());
    short && (capitals || numbered)
}

impl Labelled {
    /// The names of the fields of a line with their cells, in the order of the line.
    #[must_use]
    pub fn named(&self, body: &str, tag: Option<&str>) -> Vec<(Item, String)> {
        let mut seen: Vec<(String, usize)> = Vec::new();
        let mut one = |item: Item| {
            let mut name = key(&item);
            if self.times > 1 {
                let count = match seen.iter_mut().find(|(n, _)| *n == name) {
                    Some((_, count)) => {
                        *count += 1;
                        *count
                    }
                    None => {
                        seen.push((name.clone(), 1));
                        1
                    }
                };
                let sensor = matches!(label(&name).meaning, Meaning::Reading(_) | Meaning::LowerT);
                name = if sensor { format!("{name} {count}") } else { name };
            }
            let time = matches!(item.cell, Cell::Stamp(_))
                || matches!(
                    label(&name).meaning,
                    Meaning::Time | Meaning::Elapsed | Meaning::DateOrClock
                );
            let name = match tag.filter(|_| self.tagged && !time) {
                Some(tag) => format!("{tag} {name}"),
                None => name,
            };
            (item, name)
        };
        items(body, self.decimal).into_iter().map(&mut one).collect()
    }

    /// Reads one line; a label that comes again starts a new reading.
    pub fn parse(&mut self, body: &str, tag: Option<&str>) -> Parsed {
        let mut records: Vec<Vec<(usize, Cell)>> = vec![Vec::new()];
        let mut left_out = false;
        self.missed.clear();
        for (item, key) in self.named(body, tag) {
            let Some(known) = self.targets.get(&key) else {
                self.stranger(key, item.marked);
                continue;
            };
            let Some(target) = *known else {
                left_out = true;
                continue;
            };
            if records.last().is_some_and(|r| r.iter().any(|(t, _)| *t == target)) {
                records.push(Vec::new());
            }
            if let Some(record) = records.last_mut() {
                record.push((target, item.cell));
            }
        }
        records.retain(|r| !r.is_empty());
        match (records.is_empty(), left_out) {
            (false, _) => Parsed::Records(records),
            (true, true) => Parsed::LeftOut,
            (true, false) => Parsed::Text,
        }
    }

    fn stranger(&mut self, key: String, marked: bool) {
        self.missed.push(key.clone());
        let new = marked && !key.is_empty() && self.strangers.len() < MOST_STRANGERS;
        if new && key.len() < 40 && !self.strangers.contains(&key) {
            self.strangers.push(key);
        }
    }
}

/// The text with every number as `#`, in small letters, blanks as one: lines of the same form are
/// the same then.
#[must_use]
pub fn skeleton(line: &str, decimal: Decimal) -> String {
    let mut out = String::new();
    let mut at = 0;
    let line = line.trim();
    while at < line.len() {
        let rest = &line[at..];
        let Some(c) = rest.chars().next() else { break };
        let value = || grouped(rest, decimal).or_else(|| number(rest, decimal));
        if let Some((_, n)) = c.is_ascii_digit().then(value).flatten() {
            out.push('#');
            at += n;
            continue;
        }
        if !c.is_whitespace() {
            out.extend(c.to_lowercase());
        } else if !out.ends_with(' ') {
            out.push(' ');
        }
        at += c.len_utf8();
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(line: &str) -> Vec<(String, Option<f64>)> {
        let value = |c: &Cell| match c {
            Cell::Number(v, _) => Some(*v),
            Cell::Stamp(s) => s.second,
            _ => None,
        };
        items(line, Decimal::Point).iter().map(|i| (key(i), value(&i.cell))).collect()
    }

    fn pairs(list: &[(&str, f64)]) -> Vec<(String, Option<f64>)> {
        list.iter().map(|(k, v)| ((*k).to_owned(), (!v.is_nan()).then_some(*v))).collect()
    }

    #[test]
    fn lines_of_many_loggers() {
        let nan = f64::NAN;
        for (line, want) in [
            (
                "Humidity: 45.4 %\tTemperature: 22.1 *C",
                &[("Humidity", 45.4), ("Temperature", 22.1)][..],
            ),
            ("Humidity: nan %  Temperature: nan C", &[("Humidity", nan), ("Temperature", nan)]),
            ("P:1003 H:45 T:24", &[("P", 1003.0), ("H", 45.0), ("T", 24.0)]),
            (
                "t=0  S1 T=22.0C RH=45.3% | AMB T=nan RH=44.7%",
                &[("t", 0.0), ("S1 T", 22.0), ("S1 RH", 45.3), ("AMB T", nan), ("AMB RH", 44.7)],
            ),
            (
                "temp=24.1, humi=45.0temp=24.2, humi=45.1",
                &[("temp", 24.1), ("humi", 45.0), ("temp", 24.2), ("humi", 45.1)],
            ),
            (
                "hot T=22.0C RH=45.3% | cold T=21.0C RH=44.7%",
                &[("hot T", 22.0), ("hot RH", 45.3), ("cold T", 21.0), ("cold RH", 44.7)],
            ),
            ("Approx. Altitude = 74.12 m", &[("Approx. Altitude", 74.12)]),
            ("24.1 C / 45.0 %", &[("[°C]", 24.1), ("[%]", 45.0)]),
            ("12:30:05 Temp: -3.5", &[("[stamp]", 45_005.0), ("Temp", -3.5)]),
            ("-- default test --", &[]),
        ] {
            assert_eq!(read(line), pairs(want), "{line}");
        }
    }

    #[test]
    fn a_cut_line_is_a_part_of_a_whole_one() {
        let whole = skeleton("Humidity: 45.0 %  Temperature: 22.0 C", Decimal::Point);
        assert!(whole.contains(&skeleton("ity: 44.9 %  Temperature: 22", Decimal::Point)));
    }
}
