//! The form of the lines, and what stands in each column or behind each label.

use super::header::columns;
use super::table::{TableShape, rows_of, usual_length};
use super::{Blocks, Sample};
use crate::measured::Quantity;
use crate::measured::log::complaint::error;
use crate::measured::log::lex::{Decimal, Meaning, label};
use crate::measured::log::options::Separator;
use crate::measured::log::shapes::labelled::{Item, Labelled, items, key, skeleton};
use crate::measured::log::shapes::{Cell, Shape, json};
use crate::reader::Issue;

/// Finds the form of the sample.
pub fn find(sample: &mut Sample<'_>) -> Result<TableShape, Vec<Issue>> {
    let decimal = decimal(sample)?;
    let found = kind(sample, decimal);
    match found {
        Some(Kind::Json) => json(sample),
        Some(Kind::Labelled) if sample.options.columns.is_some() => Err(vec![error(
            sample.file,
            0,
            "columns-of-labels",
            "--columns is for rows without labels, and these lines have labels",
            None,
            "leave --columns out",
        )]),
        Some(Kind::Labelled) => Ok(labelled(sample, decimal)),
        Some(Kind::Columns(separator)) => columns(sample, separator, decimal),
        None => Err(vec![no_reading(sample)]),
    }
}

enum Kind {
    Json,
    Labelled,
    Columns(Separator),
}

/// Which form most lines have.
fn kind(sample: &Sample<'_>, decimal: Decimal) -> Option<Kind> {
    let json = sample.bodies().filter(|(_, b)| json::flat(b).is_some()).count();
    let forced = sample.options.separator.is_some() || sample.options.columns.is_some();
    let labelled =
        if forced { 0 } else { sample.bodies().filter(|(_, b)| has_label(b, decimal)).count() };
    let (separator, rows) = separator(sample, decimal);
    if json > 0 && json >= labelled.max(rows) {
        Some(Kind::Json)
    } else if labelled > 0 && labelled >= rows {
        Some(Kind::Labelled)
    } else if rows > 0 {
        Some(Kind::Columns(separator))
    } else {
        None
    }
}

/// Whether a line has a value whose label or unit is that of a temperature or a humidity.
fn has_label(body: &str, decimal: Decimal) -> bool {
    let known = |item: &Item| match (&item.cell, item.label.is_empty()) {
        (Cell::Stamp(_), _) => false,
        (Cell::Number(_, unit), true) => unit.and_then(|u| u.implies()).is_some(),
        _ => matches!(label(&item.label).meaning, Meaning::Reading(_) | Meaning::LowerT),
    };
    items(body, decimal).iter().any(known)
}

/// The separator by which most lines split into rows of one length, and how many do.
fn separator(sample: &Sample<'_>, decimal: Decimal) -> (Separator, usize) {
    let all = [
        Separator::Char('\t'),
        Separator::Char(';'),
        Separator::Char(','),
        Separator::Char('|'),
        Separator::Char('/'),
        Separator::Blanks,
    ];
    let candidates: Vec<Separator> = match sample.options.separator {
        Some(separator) => vec![separator],
        // a decimal comma is no separator
        None => {
            all.into_iter().filter(|s| *s != Separator::Char(char::from(decimal.mark()))).collect()
        }
    };
    let mut best = (candidates[0], 0);
    for separator in candidates {
        let rows = rows_of(sample, separator, decimal);
        let usual = usual_length(&rows);
        let count = rows.iter().filter(|(_, fields)| fields.len() == usual).count();
        if count > best.1 {
            best = (separator, count);
        }
    }
    best
}

/// The decimal mark: a comma between digits, in a text that has no points between digits.
fn decimal(sample: &mut Sample<'_>) -> Result<Decimal, Vec<Issue>> {
    if let Some(decimal) = sample.options.decimal {
        return Ok(decimal);
    }
    let marks = |mark: u8| {
        let count = |body: &str| {
            let digit = |b: Option<&u8>| b.is_some_and(u8::is_ascii_digit);
            let bytes = body.as_bytes();
            (1..bytes.len())
                .filter(|i| bytes[*i] == mark && digit(bytes.get(i - 1)) && digit(bytes.get(i + 1)))
                .count()
        };
        sample.bodies().map(|(_, b)| count(&without_stamps(b))).sum::<usize>()
    };
    let (points, commas) = (marks(b'.'), marks(b','));
    if points > 0 || commas == 0 {
        return Ok(Decimal::Point);
    }
    // "45,22" may be two whole numbers: it is a decimal comma only where another separator parts fields.
    let separated = |(_, b): (u64, &str)| b.contains([';', '\t']) || has_label(b, Decimal::Comma);
    let (all, parted) =
        (sample.bodies().count(), sample.bodies().filter(|x| separated(*x)).count());
    Ok(if 2 * parted >= all { Decimal::Comma } else { Decimal::Point })
}

/// The text without dates with points and fractions of seconds.
fn without_stamps(body: &str) -> String {
    let pieces = body.split([' ', '\t', ';']);
    let kept = pieces.filter(|p| !p.contains(':') && p.matches('.').count() < 2);
    kept.collect::<Vec<_>>().join(" ")
}

fn labelled(sample: &Sample<'_>, decimal: Decimal) -> TableShape {
    let mut names: Vec<String> = Vec::new();
    let mut cells: Vec<Vec<Cell>> = Vec::new();
    let mut data_lines = Vec::new();
    let mut first_row = String::new();
    let mut bodies: Vec<(u64, &str)> = sample.bodies().collect();
    let usual =
        usual_form(bodies.iter().map(|(_, b)| *b).filter(|b| has_label(b, decimal)), decimal);
    bodies.retain(|(_, b)| !is_piece(&skeleton(b, decimal), &usual));
    // What comes before the first known label is a banner; its numbers are no readings.
    let start = bodies.iter().position(|(_, b)| has_label(b, decimal)).unwrap_or(0);
    for (number, body) in &bodies[start..] {
        let known = has_label(body, decimal);
        let found = items(body, decimal);
        if !known && !found.iter().any(|i| i.marked) {
            continue;
        }
        for item in found {
            let key = key(&item);
            let place = names.iter().position(|n| *n == key).unwrap_or_else(|| {
                names.push(key);
                cells.push(Vec::new());
                names.len() - 1
            });
            cells[place].push(item.cell);
        }
        data_lines.push(*number);
        if first_row.is_empty() {
            first_row = (*body).trim().to_owned();
        }
    }
    rare(&mut names, &mut cells, data_lines.len());
    let targets = names.iter().cloned().enumerate().map(|(i, n)| (n, Some(i))).collect();
    let shape = Shape::Labelled(Labelled { decimal, targets, strangers: Vec::new() });
    let blocks = blocks(&bodies, decimal);
    TableShape { shape, decimal, names, cells, blocks, header_line: None, data_lines, first_row }
}

/// The most usual form among the first lines.
pub fn usual_form<'a>(bodies: impl Iterator<Item = &'a str>, decimal: Decimal) -> String {
    /// Lines looked at: enough to see the usual one.
    const ENOUGH: usize = 400;
    let mut counts: Vec<(String, usize)> = Vec::new();
    for body in bodies.take(ENOUGH) {
        let form = skeleton(body, decimal);
        match counts.iter_mut().find(|(f, _)| *f == form) {
            Some((_, n)) => *n += 1,
            None => counts.push((form, 1)),
        }
    }
    // One of many forms is not usual.
    counts
        .into_iter()
        .max_by_key(|(_, n)| *n)
        .filter(|(_, n)| *n > 1)
        .map(|c| c.0)
        .unwrap_or_default()
}

/// Whether a form with a number is a part of the usual one, and not that form itself.
#[must_use]
pub fn is_piece(form: &str, usual: &str) -> bool {
    form.contains('#') && form.len() < usual.len() && usual.contains(form)
}

/// Labels that a cut or garbled line left behind: unknown, and on hardly any line.
fn rare(names: &mut Vec<String>, cells: &mut Vec<Vec<Cell>>, lines: usize) {
    /// A label counts when it is on one line in twenty (or on one at least of a short file).
    const SHARE: usize = 20;
    let keep: Vec<bool> = names
        .iter()
        .zip(cells.iter())
        .map(|(n, c)| c.len() * SHARE > lines || label(n).meaning != Meaning::Unknown)
        .collect();
    let mut k = keep.iter();
    names.retain(|_| *k.next().unwrap_or(&true));
    let mut k = keep.iter();
    cells.retain(|_| *k.next().unwrap_or(&true));
}

/// Whether temperature and humidity stand on lines of their own, and whether blank lines part them.
fn blocks(bodies: &[(u64, &str)], decimal: Decimal) -> Option<Blocks> {
    let (mut both, mut single) = (0, 0);
    let (mut complete, mut seen) = (0, (false, false));
    for (_, body) in bodies {
        let (mut t, mut h) = (false, false);
        for item in items(body, decimal) {
            match label(&item.label).meaning {
                Meaning::Reading(Quantity::Temperature) | Meaning::LowerT => t = true,
                Meaning::Reading(Quantity::RelativeHumidity) => h = true,
                _ => {}
            }
        }
        both += usize::from(t && h);
        single += usize::from(t != h);
        if body.trim().is_empty() {
            complete += usize::from(seen == (true, true));
            seen = (false, false);
        }
        seen = (seen.0 || t, seen.1 || h);
    }
    (single > 2 * both).then_some(Blocks { blank: complete > 0 })
}

fn json(sample: &Sample<'_>) -> Result<TableShape, Vec<Issue>> {
    let mut names: Vec<String> = Vec::new();
    let mut cells: Vec<Vec<Cell>> = Vec::new();
    let mut data_lines = Vec::new();
    let mut first_row = String::new();
    for (number, body) in sample.bodies() {
        let Some(pairs) = json::flat(body) else { continue };
        for (key, cell) in pairs {
            let place = names.iter().position(|n| *n == key).unwrap_or_else(|| {
                names.push(key);
                cells.push(Vec::new());
                names.len() - 1
            });
            cells[place].push(cell);
        }
        data_lines.push(number);
        if first_row.is_empty() {
            first_row = body.trim().to_owned();
        }
    }
    let targets = names.iter().cloned().enumerate().map(|(i, n)| (n, Some(i))).collect();
    let shape = Shape::Json(json::Json { targets, strangers: Vec::new() });
    let decimal = Decimal::Point;
    Ok(TableShape {
        shape,
        decimal,
        names,
        cells,
        blocks: None,
        header_line: None,
        data_lines,
        first_row,
    })
}

/// Why there is nothing to import; weighing notes are told apart.
pub fn no_reading(sample: &Sample<'_>) -> Issue {
    let words = ["weigh", "gram", "scale", "syringe", " g ", "mass"];
    let notes = sample.bodies().filter(|(_, b)| {
        let lower = format!("{} ", b.to_lowercase());
        words.iter().any(|w| lower.contains(w)) || lower.trim_end().ends_with('g')
    });
    let count = sample.lines.len();
    if notes.count() * 4 >= count.max(1) {
        let what = "these look like weighing notes, not a log of temperature and humidity";
        let hint = "name the file as the weighings of a run; import reads logs";
        return error(sample.file, 0, "weighing-notes", what, None, hint);
    }
    let what = match count {
        1 => "no reading in its one line".to_owned(),
        n => format!("no reading in the first {n} lines"),
    };
    let first = sample.bodies().map(|(_, b)| b.trim()).find(|b| !b.is_empty()).unwrap_or("");
    let shown: String = first.chars().take(60).collect();
    let why = format!("it starts with \"{shown}\"");
    let hint = "a reading is a line such as \"Humidity: 45.4 %  Temperature: 22.1 C\", or rows under \
                a header such as time_s,temp_c,rh";
    error(sample.file, 0, "no-reading", what, Some(why), hint)
}
