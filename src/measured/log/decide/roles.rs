//! Which column or label is what.

use super::draft::Draft;
use super::marks::{self, Field};
use super::meanings::{
    complete, extremes, lower_t, numbers_of_rows, parts_of_clock, rising, shares, units_beside,
};
use super::question::no_reading;
use super::table::TableShape;
use super::uses::numbers;
use super::{Sample, question, scales, sensors};
use crate::measured::Quantity;
use crate::measured::log::complaint::Question;
use crate::measured::log::complaint::error;
use crate::measured::log::lex::{Label, Meaning, Unit, label};
use crate::measured::log::shapes::labelled::skeleton;
use crate::measured::log::shapes::{Cell, Shape};
use crate::measured::log::sink::Column;

/// Says what each field of a form is for.
pub fn draft(sample: &mut Sample<'_>, table: TableShape) -> Result<Draft, Vec<Question>> {
    let mut labels: Vec<Label> = table.names.iter().map(|n| label(n)).collect();
    complete(sample, &table, &mut labels);
    units_beside(&table, &mut labels);
    parts_of_clock(&table, &mut labels);
    lower_t(sample, &table, &mut labels);
    numbers_of_rows(&table, &mut labels);
    unnamed(sample, &table, &mut labels)?;
    let (pivot, fields) = marks::split(&table, &labels);
    let (mut names, mut labels, mut cells) = (Vec::new(), Vec::new(), Vec::new());
    for Field { name, label, cells: own } in fields {
        names.push(name);
        labels.push(label);
        cells.push(own);
    }
    for (label, cells) in labels.iter_mut().zip(&cells) {
        // A quantity that only a line of a long table names may have lost its meaning to a sensor.
        if label.meaning == Meaning::LowerT {
            label.meaning = Meaning::Reading(Quantity::Temperature);
        }
        let numeric = numbers(cells).count() > 0;
        if matches!(label.meaning, Meaning::Unknown | Meaning::Sensor) && numeric {
            label.meaning = Meaning::Other;
        }
    }
    two_shares(sample, &table, &labels, &cells)?;
    shares(&mut labels);
    if sample.options.swap {
        swap(&mut labels);
    }
    let mut ignored: Vec<Option<String>> = labels.iter().map(reason).collect();
    for (i, name) in names.iter().enumerate() {
        let unnamed = name.is_empty()
            || matches!(table.shape, Shape::Labelled(_)) && labels[i].unit.is_none();
        if labels[i].meaning == Meaning::Other && unnamed {
            ignored[i] = Some("not known".to_owned());
        }
    }
    extremes(&labels, &mut ignored);
    let apart =
        if pivot.is_none() { apart(&table) } else { vec![vec![false; names.len()]; names.len()] };
    doubles(sample, &names, &apart, &mut labels, &mut ignored);
    Ok(Draft { table, pivot, names, labels, cells, ignored, targets: Vec::new() })
}

/// Which fields are never on one line: names that changed on the way.
fn apart(table: &TableShape) -> Vec<Vec<bool>> {
    let count = table.names.len();
    let mut apart = vec![vec![true; count]; count];
    for row in &table.rows {
        for (i, a) in row {
            for (j, b) in row {
                if *a != Cell::Missing && *b != Cell::Missing {
                    apart[*i][*j] = false;
                }
            }
        }
    }
    apart
}

/// The columns of the rows, from all forms of lines, and the uses of their fields.
pub fn assign(sample: &mut Sample<'_>, drafts: &mut [Draft]) -> Result<Vec<Column>, Vec<Question>> {
    sensors::name(sample, drafts);
    let mut columns = Vec::new();
    scales::humidities(drafts);
    scales::columns(drafts, &mut columns);
    for draft in drafts.iter_mut() {
        scales::fill(sample, draft, &mut columns);
    }
    let air = columns.iter().any(|c| c.quantity != Quantity::Other);
    if !air || drafts.first().is_some_and(|d| are_notes(sample, &d.table, &columns)) {
        return Err(vec![no_reading(sample).into()]);
    }
    Ok(columns)
}

/// Two percentages on a line that nothing names, beside one temperature.
fn two_shares(
    sample: &Sample<'_>,
    table: &TableShape,
    labels: &[Label],
    cells: &[Vec<Cell>],
) -> Result<(), Vec<Question>> {
    let of =
        |q: Quantity| labels.iter().filter(move |l| l.implied && l.meaning == Meaning::Reading(q));
    let numbered = |l: &Label| l.sensor.is_empty() || l.sensor.parse::<u32>().is_ok();
    let humid = of(Quantity::RelativeHumidity).filter(|l| numbered(l)).count();
    if humid < 2 || of(Quantity::Temperature).count() != 1 || cells.is_empty() {
        return Ok(());
    }
    let what = format!("{humid} percentages on a line have no name: which is the humidity?");
    let why = format!("first row: {}", table.first_row);
    let line = table.data_lines.first().copied().unwrap_or(0);
    let hint =
        "say what each field is, from the left:  --separator comma --columns time,temp_c,rh,-";
    Err(vec![error(sample.file, line, "two-percentages", what, Some(why), hint).into()])
}

/// Masses on lines of many forms, and no reading of the air: written by a person.
fn are_notes(sample: &Sample<'_>, table: &TableShape, columns: &[Column]) -> bool {
    let has = |q: Quantity| columns.iter().any(|c| c.quantity == q);
    let air = has(Quantity::Temperature) || has(Quantity::RelativeHumidity);
    if air || !has(Quantity::Mass) || !matches!(table.shape, Shape::Labelled(_)) {
        return false;
    }
    let mut forms: Vec<String> = sample
        .bodies()
        .map(|(_, b)| skeleton(b, table.decimal))
        .filter(|f| !f.is_empty())
        .collect();
    let lines = forms.len();
    forms.sort();
    forms.dedup();
    2 * forms.len() > lines
}

/// Columns without names: stamps are times, a rising first column is a counter; for the rest the
/// person must say.
fn unnamed(
    sample: &mut Sample<'_>,
    table: &TableShape,
    labels: &mut [Label],
) -> Result<(), Vec<Question>> {
    let named = |n: &String| !(n.is_empty() || sample.tagged && n == "sensor");
    if table.names.iter().any(named) {
        return Ok(());
    }
    let has_time = labels.iter().any(|l| l.meaning == Meaning::Time);
    let first = usize::from(sample.tagged && matches!(table.shape, Shape::Columns(_)));
    if !has_time && table.names.len() > first + 2 && rising(&table.cells[first]) {
        labels[first].meaning = Meaning::Time;
    }
    let implied = |l: &Label| l.unit.and_then(Unit::implies);
    for label in labels.iter_mut().filter(|l| l.meaning == Meaning::Unknown) {
        if let Some(quantity) = implied(label) {
            label.meaning = Meaning::Reading(quantity);
        }
    }
    let air = labels.iter().any(|l| {
        matches!(l.meaning, Meaning::Reading(Quantity::Temperature | Quantity::RelativeHumidity))
    });
    let words = table.cells.iter().flatten().any(|c| match c {
        Cell::Word(w) => matches!(label(w).meaning, Meaning::Reading(Quantity::Temperature)),
        _ => false,
    });
    let open: Vec<usize> = (0..labels.len())
        .filter(|i| labels[*i].meaning == Meaning::Unknown && numbers(&table.cells[*i]).count() > 0)
        .collect();
    if open.is_empty() || words || air && open.len() == 1 {
        return Ok(());
    }
    Err(vec![ask(sample, table, labels, &open)])
}

/// Which of the unlabelled columns is which?
fn ask(sample: &Sample<'_>, table: &TableShape, labels: &[Label], open: &[usize]) -> Question {
    let range = |i: &usize| {
        numbers(&table.cells[*i])
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)))
    };
    let ranges: Vec<(f64, f64)> = open.iter().map(range).collect();
    let alike = ranges.iter().all(|(l, h)| *l >= 20.0 && *h <= 80.0);
    let count = open.len();
    let many = if count == 1 { "column" } else { "columns" };
    let spread: Vec<String> = ranges.iter().map(|(l, h)| format!("{l} to {h}")).collect();
    let detail = match (alike, count) {
        (true, 2) => "both between 20 and 80".to_owned(),
        (true, _) => "all between 20 and 80".to_owned(),
        (false, _) => spread.join(", "),
    };
    let what =
        format!("cannot tell temperature from humidity ({count} unlabelled {many}, {detail})");
    let of = |i: usize| match labels[i].meaning {
        Meaning::Time => "time",
        Meaning::Sensor => "sensor",
        _ => "-",
    };
    let from = usize::from(sample.tagged && matches!(table.shape, Shape::Columns(_)));
    let plain: Vec<&str> = (from..labels.len()).map(of).collect();
    let places: Vec<usize> = open.iter().map(|i| i - from).collect();
    let why = format!("first row: {}", table.first_row);
    let line = table.data_lines.first().copied().unwrap_or(0);
    let attempts = question::which_columns(sample, &plain, &places);
    let issue = error(sample.file, line, "unlabelled", what, Some(why), "");
    Question { issue, attempts }
}

/// `--swap`: the labels of temperature and humidity are the wrong way round.
fn swap(labels: &mut [Label]) {
    for label in labels {
        let (meaning, unit) = match label.meaning {
            Meaning::Reading(Quantity::Temperature) => {
                (Quantity::RelativeHumidity, Some(Unit::Percent))
            }
            Meaning::Reading(Quantity::RelativeHumidity) => {
                (Quantity::Temperature, Some(Unit::Celsius))
            }
            _ => continue,
        };
        (label.meaning, label.unit) = (Meaning::Reading(meaning), unit);
    }
}

fn reason(label: &Label) -> Option<String> {
    match label.meaning {
        Meaning::Ignored(why) => Some(why.to_owned()),
        Meaning::Unknown | Meaning::Sensor => Some("not known".to_owned()),
        _ => None,
    }
}

/// Two columns of one sensor and quantity: the one that names °C, else the first that names a unit,
/// is kept; without units they are two sensors.
fn doubles(
    sample: &mut Sample<'_>,
    names: &[String],
    apart: &[Vec<bool>],
    labels: &mut [Label],
    ignored: &mut [Option<String>],
) {
    for i in 0..labels.len() {
        let same = |j: &usize| {
            labels[*j].meaning == labels[i].meaning && labels[*j].sensor == labels[i].sensor
        };
        let group: Vec<usize> =
            (i..labels.len()).filter(|j| ignored[*j].is_none()).filter(same).collect();
        if group.iter().all(|a| group.iter().all(|b| a == b || apart[*a][*b])) {
            continue;
        }
        if !matches!(labels[i].meaning, Meaning::Reading(_)) || group.len() < 2 || group[0] != i {
            continue;
        }
        let with = |unit: Unit| group.iter().copied().find(|j| labels[*j].unit == Some(unit));
        let unit = group.iter().copied().find(|j| labels[*j].unit.is_some());
        let differ = group.iter().any(|j| labels[*j].unit != labels[i].unit);
        match with(Unit::Celsius).or(unit).filter(|_| differ) {
            Some(kept) => {
                let name = names[kept].clone();
                for j in group.iter().filter(|j| **j != kept) {
                    ignored[*j] = Some(format!("the same as {name}?"));
                }
                let all: Vec<&str> = group.iter().map(|j| names[*j].as_str()).collect();
                sample.guess(
                    format!("{} could all be the same reading; {name} is kept", all.join(" and ")),
                    "--columns … with `-` for a column to leave out",
                );
            }
            None => {
                for (n, j) in group.iter().enumerate() {
                    let sensor = labels[*j].sensor.clone();
                    let glue = if sensor.is_empty() { "" } else { "_" };
                    labels[*j].sensor = format!("{sensor}{glue}{}", n + 1);
                }
            }
        }
    }
}
