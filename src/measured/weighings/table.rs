//! Tables of weighings: a header and rows.

use std::collections::BTreeMap;

use super::found::{Mass, Weighing, WeighingOptions, Weighings, error};
use super::lines::LineClass;
use super::scan::{Piece, pieces};
use super::words::{Topic, about, mass_unit, time_unit};
use crate::measured::Moment;
use crate::reader::Issue;

/// The header of a table and what separates its cells.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    separator: char,
    names: Vec<String>,
    line: usize,
}

/// The columns of a table, if the text is one.
pub(super) fn columns(text: &str) -> Option<Columns> {
    let (line, header) = text.lines().enumerate().find(|(_, l)| !l.trim().is_empty())?;
    let separator = [';', '\t', ','].into_iter().find(|s| header.contains(*s))?;
    let names = cells(header, separator);
    let has = |topic| names.iter().any(|n| is_about(topic, n));
    (names.len() > 1 && has(Topic::Mass) && has(Topic::Time)).then_some(Columns {
        separator,
        names,
        line,
    })
}

/// Cells of a row; quotes keep a separator from counting.
fn cells(row: &str, separator: char) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut quoted = false;
    for c in row.chars() {
        match c {
            '"' => quoted = !quoted,
            c if c == separator && !quoted => out.push(String::new()),
            c => out.last_mut().unwrap_or(&mut String::new()).push(c),
        }
    }
    out.into_iter().map(|cell| cell.trim().to_owned()).collect()
}

/// Words of a header, cut at anything that is no letter.
fn header_words(name: &str) -> Vec<String> {
    let words = name.split(|c: char| !c.is_alphabetic()).filter(|w| !w.is_empty());
    words.map(str::to_lowercase).collect()
}

fn is_about(topic: Topic, name: &str) -> bool {
    let words = header_words(name);
    about(topic, words.iter().map(String::as_str))
}

pub(super) fn read(
    name: &str,
    text: &str,
    columns: &Columns,
    options: &WeighingOptions,
    issues: &mut Vec<Issue>,
) -> Weighings {
    let mut out = Weighings::default();
    let mut rows: Vec<(usize, Vec<String>)> = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let blank = line.trim().is_empty();
        out.ledger.push(match i {
            i if i == columns.line => LineClass::Header,
            _ if blank => LineClass::Blank,
            _ => LineClass::Unread,
        });
        if !blank && i != columns.line {
            rows.push((i, cells(line, columns.separator)));
        }
    }
    let rows = chosen(name, columns, rows, options, &mut out, issues);
    let time = column(name, columns, Topic::Time, options.time_column.as_deref(), &rows, issues);
    let mass = column(name, columns, Topic::Mass, options.mass_column.as_deref(), &rows, issues);
    let (Some(time), Some(mass)) = (time, mass) else { return out };
    let header = header_words(&columns.names[mass]);
    let in_header = header.iter().rev().find_map(|w| mass_unit(w));
    let pinned = options.mass_unit.as_ref().and_then(|w| mass_unit(&w.to_lowercase()));
    let unit = pinned.or(in_header);
    let dry = columns.names.iter().position(|n| is_about(Topic::Dry, n));
    let mut decimals = 0;
    for (i, row) in &rows {
        let cell = |k: usize| row.get(k).map_or("", String::as_str);
        let at = moment(cell(time), &columns.names[time]);
        match (at, number(cell(mass), unit)) {
            (Some(at), Some((kg, digits))) => {
                decimals = decimals.max(digits);
                out.weighings.push(Weighing {
                    at,
                    time_s: 0.0,
                    kg,
                    line: i + 1,
                    remark: String::new(),
                });
                out.ledger.lines[*i] = LineClass::Weighing;
            }
            (_, None) if unit.is_none() && cell(mass).chars().any(|c| c.is_ascii_digit()) => {
                let what = format!("column `{}` has masses without a unit", columns.names[mass]);
                issues.push(error(name, i + 1, "no-unit", what, "say which: --mass-unit g"));
                return out;
            }
            _ => {
                let what = format!(
                    "no time or no mass in \"{}\"",
                    row.join(&columns.separator.to_string())
                );
                issues.push(error(name, i + 1, "bad-row", what, "a row has a time and a mass"));
            }
        }
    }
    if let (Some(k), Some((i, row)), Some(unit)) = (dry, rows.first(), unit) {
        let kg = row.get(k).and_then(|c| number(c, Some(unit))).map(|(kg, _)| kg);
        out.dry = kg.map(|kg| Mass { kg, line: i + 1 });
    }
    begin(&mut out);
    out.resolution_kg = unit.map(|u| u * 10f64.powi(-(decimals as i32)));
    out
}

/// The first row of a table is the start.
fn begin(out: &mut Weighings) {
    if out.weighings.is_empty() {
        return;
    }
    let first = out.weighings.remove(0);
    out.start = Some(Mass { kg: first.kg, line: first.line });
    out.into_box = Some(first.at);
    out.notes.push(format!("the first row, line {}, is taken as the start", first.line));
    if let Some(class) = out.ledger.lines.get_mut(first.line - 1) {
        *class = LineClass::StartMass;
    }
}

/// The rows of the sample that is asked for.
fn chosen(
    name: &str,
    columns: &Columns,
    rows: Vec<(usize, Vec<String>)>,
    options: &WeighingOptions,
    out: &mut Weighings,
    issues: &mut Vec<Issue>,
) -> Vec<(usize, Vec<String>)> {
    let keys: Vec<usize> =
        (0..columns.names.len()).filter(|k| is_about(Topic::Sample, &columns.names[*k])).collect();
    if keys.is_empty() {
        return rows;
    }
    let key = |row: &[String]| -> String {
        let cells = keys.iter().map(|k| row.get(*k).cloned().unwrap_or_default());
        cells.collect::<Vec<_>>().join("/")
    };
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for (_, row) in &rows {
        *counts.entry(key(row)).or_default() += 1;
    }
    let names: Vec<&str> = counts.keys().map(String::as_str).collect();
    let wanted = match (&options.sample, &names[..]) {
        (Some(wanted), _) if counts.contains_key(wanted) => wanted.clone(),
        (None, [only]) => (*only).to_owned(),
        (wanted, _) => {
            let what = match wanted {
                Some(w) => format!("has no sample \"{w}\""),
                None => format!("holds {} samples", names.len()),
            };
            let hint =
                format!("say which: --sample \"{}\"  (there are {})", names[0], names.join(", "));
            issues.push(error(name, 0, "which-sample", what, &hint));
            return Vec::new();
        }
    };
    let (mine, others): (Vec<_>, Vec<_>) =
        rows.into_iter().partition(|(_, row)| key(row) == wanted);
    for (i, _) in others {
        out.ledger.lines[i] = LineClass::OtherSample;
    }
    mine
}

/// The column of a topic: pinned, the only one, or the only one whose values change.
fn column(
    name: &str,
    columns: &Columns,
    topic: Topic,
    pinned: Option<&str>,
    rows: &[(usize, Vec<String>)],
    issues: &mut Vec<Issue>,
) -> Option<usize> {
    if rows.is_empty() {
        return None;
    }
    let (key, what) =
        if topic == Topic::Mass { ("mass-column", "masses") } else { ("time-column", "times") };
    if let Some(pinned) = pinned {
        let at = columns.names.iter().position(|n| n == pinned);
        if at.is_none() {
            let text = format!("has no column \"{pinned}\"");
            let hint = format!("say which: --{key} \"{}\"", columns.names.join("\" or \""));
            issues.push(error(name, columns.line + 1, "no-column", text, &hint));
        }
        return at;
    }
    let changes = |k: usize| {
        let first = rows[0].1.get(k);
        rows.iter().any(|(_, row)| row.get(k) != first)
    };
    let fits = |k: &usize| {
        is_about(topic, &columns.names[*k]) && !is_about(Topic::Dry, &columns.names[*k])
    };
    let all: Vec<usize> = (0..columns.names.len()).filter(fits).collect();
    let live: Vec<usize> = all.iter().copied().filter(|k| changes(*k)).collect();
    match (&all[..], &live[..]) {
        ([only], _) | (_, [only]) => Some(*only),
        _ => {
            let names: Vec<&str> = all.iter().map(|k| columns.names[*k].as_str()).collect();
            let text = format!("cannot tell which column has the {what}: {}", names.join(", "));
            let hint = format!("say which: --{key} \"{}\"", names.first().unwrap_or(&"mass"));
            issues.push(error(name, columns.line + 1, "which-column", text, &hint));
            None
        }
    }
}

/// A mass with the digits behind its mark; its own unit goes before that of the column.
fn number(cell: &str, unit: Option<f64>) -> Option<(f64, usize)> {
    match pieces(cell)[..] {
        [Piece::Number { value, decimals }] => Some((value * unit?, decimals)),
        [Piece::Number { value, decimals }, Piece::Word(ref w)] => {
            Some((value * mass_unit(w)?, decimals))
        }
        _ => None,
    }
}

/// A time; a bare number has the unit that the header names.
fn moment(cell: &str, header: &str) -> Option<Moment> {
    match pieces(cell)[..] {
        [Piece::Clock(s)] => Some(Moment::Clock(s)),
        [Piece::Date(d), Piece::Clock(s)] | [Piece::Date(d), Piece::Word(_), Piece::Clock(s)] => {
            Some(Moment::Dated(d as f64 * 86_400.0 + s))
        }
        [Piece::Number { value, .. }] => {
            let unit = header_words(header).iter().rev().find_map(|w| time_unit(w))?;
            Some(Moment::Elapsed(value * unit))
        }
        [Piece::Number { value, .. }, Piece::Word(ref w)] => {
            time_unit(w).map(|unit| Moment::Elapsed(value * unit))
        }
        _ => None,
    }
}
