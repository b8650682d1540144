//! The form of the lines, and what stands in each column or behind each label.

use super::question::no_reading;
use super::table::{TableShape, rows_of, usual_length};
use super::{Blocks, Sample};
use super::{decimal, header};
use crate::measured::Quantity;
use crate::measured::log::complaint::Question;
use crate::measured::log::complaint::error;
use crate::measured::log::lex::{Decimal, Meaning, label};
use crate::measured::log::options::Separator;
use crate::measured::log::shapes::labelled::{Item, Labelled, items, key, skeleton};
use crate::measured::log::shapes::pairs::{self, Pairs};
use crate::measured::log::shapes::{Cell, Shape, columns};
use std::collections::HashMap;

/// Most forms of lines in one log.
const MOST_FORMS: usize = 6;

/// Finds the forms of the sample, the most usual first.
pub fn find(sample: &mut Sample<'_>) -> Result<Vec<TableShape>, Vec<Question>> {
    let heads: Vec<u64> = sample.taken.iter().copied().collect();
    let mut tables = one(sample)?;
    while tables.len() < MOST_FORMS {
        // What is left may be of another form.
        let taken = tables.iter().flat_map(|t| t.data_lines.iter().chain(&t.header_lines));
        sample.taken = taken.copied().chain(heads.iter().copied()).collect();
        let Ok(more) = one(sample) else { break };
        let more: Vec<TableShape> = more.into_iter().filter(is_sound).collect();
        if more.is_empty() {
            break;
        }
        tables.extend(more);
    }
    sample.taken = heads.into_iter().collect();
    Ok(tables)
}

/// Whether a further form has readings of the air on more than one line, by names that are known.
fn is_sound(table: &TableShape) -> bool {
    let air = |n: &String| {
        matches!(
            label(n).meaning,
            Meaning::Reading(Quantity::Temperature | Quantity::RelativeHumidity) | Meaning::LowerT
        )
    };
    let named = table.names.iter().enumerate().any(|(i, n)| {
        air(n) && table.cells[i].iter().filter(|c| matches!(c, Cell::Number(..))).count() > 1
    });
    let quantity = |c: &Cell| matches!(c, Cell::Word(w) if air(w));
    table.data_lines.len() > 1 && (named || table.cells.iter().flatten().any(quantity))
}

/// The tables of the most usual form among the lines that are left.
fn one(sample: &mut Sample<'_>) -> Result<Vec<TableShape>, Vec<Question>> {
    let decimal = decimal::mark(sample, has_label);
    match kind(sample, decimal) {
        Some(Kind::Pairs) => Ok(vec![pairs(sample)]),
        Some(Kind::Labelled) if sample.options.columns.is_some() => Err(vec![
            error(
                sample.file,
                0,
                "columns-of-labels",
                "--columns is for rows without labels, and these lines have labels",
                None,
                "leave --columns out",
            )
            .into(),
        ]),
        Some(Kind::Labelled) => Ok(vec![labelled(sample, decimal)]),
        Some(Kind::Columns(separator)) => header::columns(sample, separator, decimal),
        None => Err(vec![no_reading(sample).into()]),
    }
}

enum Kind {
    Pairs,
    Labelled,
    Columns(Separator),
}

/// Which form most lines have.
fn kind(sample: &Sample<'_>, decimal: Decimal) -> Option<Kind> {
    let forced = sample.options.separator.is_some() || sample.options.columns.is_some();
    let sure = |body: &str| !forced && pairs::records(body).is_some();
    let pairs = sample.bodies().filter(|(_, b)| sure(b)).count();
    let has = |b: &str| has_label(b, decimal) && !sure(b);
    let labelled = if forced { 0 } else { sample.bodies().filter(|(_, b)| has(b)).count() };
    let (separator, rows) = separator(sample, decimal);
    if pairs > 0 && pairs >= labelled.max(rows) {
        Some(Kind::Pairs)
    } else if labelled > 0
        && (labelled > rows || labelled == rows && !headed(sample, separator, decimal))
    {
        Some(Kind::Labelled)
    } else if rows > 0 {
        Some(Kind::Columns(separator))
    } else {
        None
    }
}

/// Whether a line names the columns of rows whose fields have no labels, only units.
fn headed(sample: &Sample<'_>, separator: Separator, decimal: Decimal) -> bool {
    let rows = rows_of(sample, separator, decimal);
    let width = usual_length(rows.iter().map(|(_, f)| f.len()));
    let named =
        |(_, b): (u64, &str)| columns::names(b, separator).is_some_and(|n| n.len() == width);
    let marked = |(_, b): (u64, &str)| items(b, decimal).iter().any(|i| i.marked);
    width > 1 && sample.bodies().any(named) && !sample.bodies().any(marked)
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
        let usual = usual_length(rows.iter().map(|(_, f)| f.len()));
        let count = rows.iter().filter(|(_, fields)| fields.len() == usual).count();
        // Blanks stand in stamps and texts as well: another mark that parts nearly as many lines goes first.
        let clear =
            if separator == Separator::Blanks { 5 * count > 6 * best.1 } else { count > best.1 };
        if clear {
            best = (separator, count);
        }
    }
    best
}

fn labelled(sample: &Sample<'_>, decimal: Decimal) -> TableShape {
    let mut bodies: Vec<(u64, &str, Option<&str>)> =
        sample.tagged_bodies().filter(|(_, b, _)| pairs::records(b).is_none()).collect();
    let plain: Vec<(u64, &str)> = bodies.iter().map(|(n, b, _)| (*n, *b)).collect();
    let usual =
        usual_form(bodies.iter().map(|(_, b, _)| *b).filter(|b| has_label(b, decimal)), decimal);
    bodies.retain(|(_, b, _)| !is_piece(&skeleton(b, decimal), &usual));
    // What comes before the first known label is a banner; its numbers are no readings.
    let time = |b: &str| {
        items(b, decimal).iter().any(|i| {
            i.marked
                && matches!(
                    label(&i.label).meaning,
                    Meaning::Time | Meaning::Elapsed | Meaning::DateOrClock
                )
        })
    };
    let start = bodies.iter().position(|(_, b, _)| has_label(b, decimal) || time(b)).unwrap_or(0);
    let times = times(&bodies[start..], decimal);
    let form = Labelled {
        decimal,
        targets: HashMap::new(),
        tagged: sample.tagged,
        times,
        strangers: Vec::new(),
        missed: Vec::new(),
    };
    let mut table = TableShape::new(Shape::Labelled(form.clone()), decimal, Vec::new());
    for (number, body, tag) in &bodies[start..] {
        let found = form.named(body, *tag);
        if !has_label(body, decimal) && !found.iter().any(|(item, _)| item.marked) {
            continue;
        }
        let record = found.into_iter().map(|(item, name)| (table.place(name), item.cell)).collect();
        table.add(*number, body, record);
    }
    rare(&mut table);
    table.blocks = blocks(&plain, decimal);
    let targets = table.names.iter().cloned().enumerate().map(|(i, n)| (n, Some(i))).collect();
    table.shape = Shape::Labelled(Labelled { targets, ..form });
    table
}

/// How often the labels of readings stand on a usual line: once, or once for each sensor. Many times on hardly any line
/// are readings without line ends between them.
fn times(bodies: &[(u64, &str, Option<&str>)], decimal: Decimal) -> usize {
    /// Most sensors on a line.
    const MOST: usize = 8;
    let mut counts: Vec<usize> = Vec::new();
    for (_, body, _) in bodies.iter().filter(|(_, b, _)| has_label(b, decimal)).take(400) {
        let mut keys: Vec<String> = items(body, decimal)
            .iter()
            .map(key)
            .filter(|k| {
                matches!(
                    label(k).meaning,
                    Meaning::Reading(Quantity::Temperature | Quantity::RelativeHumidity)
                )
            })
            .collect();
        keys.sort();
        let longest = keys.chunk_by(|a, b| a == b).map(<[String]>::len).max().unwrap_or(0);
        counts.push(longest);
    }
    let usual = usual_length(counts.iter().copied());
    let share = counts.iter().filter(|c| **c == usual).count();
    if (2..=MOST).contains(&usual) && counts.len() > 2 && 5 * share >= 4 * counts.len() {
        usual
    } else {
        1
    }
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
fn rare(table: &mut TableShape) {
    /// A label counts when it is on one line in twenty (or on one at least of a short file).
    const SHARE: usize = 20;
    let lines = table.data_lines.len();
    let keep: Vec<bool> = table
        .names
        .iter()
        .zip(&table.cells)
        .map(|(n, c)| c.len() * SHARE > lines || label(n).meaning != Meaning::Unknown)
        .collect();
    let kept: Vec<usize> = (0..keep.len()).filter(|i| keep[*i]).collect();
    table.names = kept.iter().map(|i| table.names[*i].clone()).collect();
    table.cells = kept.iter().map(|i| std::mem::take(&mut table.cells[*i])).collect();
    for row in &mut table.rows {
        row.retain(|(i, _)| keep[*i]);
        for (i, _) in row {
            *i = kept.binary_search(i).unwrap_or(0);
        }
    }
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

fn pairs(sample: &Sample<'_>) -> TableShape {
    let mut table = TableShape::new(Shape::Pairs(Pairs::default()), Decimal::Point, Vec::new());
    for (number, body, tag) in sample.tagged_bodies() {
        for named in pairs::records(body).unwrap_or_default() {
            let mut record: Vec<(usize, Cell)> =
                named.into_iter().map(|(name, cell)| (table.place(name), cell)).collect();
            if let Some(tag) = tag.filter(|_| sample.tagged) {
                record.push((table.place(TAG.to_owned()), Cell::Word(tag.to_owned())));
            }
            table.add(number, body, record);
        }
    }
    let fields = table.names.iter().cloned().enumerate().map(|(i, n)| (n, i)).collect();
    let tag = table.names.iter().position(|n| n == TAG);
    let json = table.first_row.starts_with(['{', '[', '(']);
    table.shape = Shape::Pairs(Pairs { fields, json, tag, ..Pairs::default() });
    // Numbers in a list have places and no names.
    if table.names.iter().all(|n| n.starts_with('#')) {
        table.names.iter_mut().for_each(String::clear);
    }
    table
}

/// The field of the name that stands before a line.
const TAG: &str = "sensor name";
