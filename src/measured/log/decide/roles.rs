//! Which column or label is what.

use super::Sample;
use super::scales::fill;
use super::shape::no_reading;
use super::table::TableShape;
use super::uses::{Roles, numbers};
use crate::measured::Quantity;
use crate::measured::log::complaint::error;
use crate::measured::log::lex::{Label, Meaning, Unit, label};
use crate::measured::log::shapes::labelled::skeleton;
use crate::measured::log::shapes::{Cell, Shape};
use crate::measured::log::text;
use crate::reader::Issue;

/// Says what each column or label is for.
pub fn assign(sample: &mut Sample<'_>, table: &mut TableShape) -> Result<Roles, Vec<Issue>> {
    let mut labels: Vec<Label> = table.names.iter().map(|n| label(n)).collect();
    complete(sample, table, &mut labels);
    lower_t(sample, table, &mut labels);
    unnamed(sample, table, &mut labels)?;
    if sample.options.swap {
        swap(&mut labels);
    }
    let mut ignored: Vec<Option<String>> = labels.iter().map(reason).collect();
    doubles(sample, table, &mut labels, &mut ignored);
    sensors(sample, &mut labels);
    let mut roles = Roles { targets: Vec::new(), columns: Vec::new(), labels };
    fill(sample, table, &mut roles, ignored);
    if roles.columns.is_empty() || are_notes(sample, table, &roles) {
        return Err(vec![no_reading(sample)]);
    }
    Ok(roles)
}

/// Masses on lines of many forms, and no reading of the air: written by a person.
fn are_notes(sample: &Sample<'_>, table: &TableShape, roles: &Roles) -> bool {
    let has = |q: Quantity| roles.columns.iter().any(|c| c.quantity == q);
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

/// Units from the cells and from lines such as `t=s`; times by their look.
fn complete(sample: &Sample<'_>, table: &TableShape, labels: &mut [Label]) {
    let stated: Vec<(String, Unit)> = sample.bodies().flat_map(|(_, b)| text::units(b)).collect();
    for (i, label) in labels.iter_mut().enumerate() {
        let stamps = table.cells[i].iter().filter(|c| matches!(c, Cell::Stamp(_))).count();
        let open = matches!(label.meaning, Meaning::Unknown);
        if open && 2 * stamps > table.cells[i].len() && stamps > 0 {
            label.meaning = Meaning::Time;
        }
        let in_cells = table.cells[i].iter().find_map(|c| match c {
            Cell::Number(_, unit) => *unit,
            _ => None,
        });
        let named = stated.iter().find(|(key, _)| *key == table.names[i]).map(|(_, unit)| *unit);
        label.unit = label.unit.or(in_cells).or(named);
        if label.meaning == Meaning::LowerT && label.unit.is_some_and(|u| u.seconds().is_some()) {
            label.meaning = Meaning::Time;
        }
    }
}

fn rising(cells: &[Cell]) -> bool {
    let values: Vec<f64> = numbers(cells).collect();
    let back = values.windows(2).filter(|w| w[1] <= w[0]).count();
    values.len() > 2 && back * 50 <= values.len()
}

/// `t` is a time beside another temperature, else a temperature unless it only rises.
fn lower_t(sample: &mut Sample<'_>, table: &TableShape, labels: &mut [Label]) {
    let other = labels.iter().any(|l| l.meaning == Meaning::Reading(Quantity::Temperature));
    for (label, cells) in labels.iter_mut().zip(&table.cells) {
        if label.meaning != Meaning::LowerT {
            continue;
        }
        let time = label.sensor.is_empty() && (other || label.unit.is_none() && rising(cells));
        label.meaning = if time { Meaning::Time } else { Meaning::Reading(Quantity::Temperature) };
        if time && !other {
            sample.guess("`t` only rises and is taken as the time", "--columns time,…");
        }
    }
}

/// Columns without names: stamps are times, a rising first column is a counter; for the rest the
/// person must say.
fn unnamed(
    sample: &mut Sample<'_>,
    table: &TableShape,
    labels: &mut [Label],
) -> Result<(), Vec<Issue>> {
    let header = table.names.iter().any(|n| !n.is_empty());
    if header {
        return Ok(());
    }
    let has_time = labels.iter().any(|l| l.meaning == Meaning::Time);
    if !has_time && table.names.len() > 2 && rising(&table.cells[0]) {
        labels[0].meaning = Meaning::Time;
    }
    let implied = |l: &Label| l.unit.and_then(Unit::implies);
    for label in labels.iter_mut().filter(|l| l.meaning == Meaning::Unknown) {
        if let Some(quantity) = implied(label) {
            label.meaning = Meaning::Reading(quantity);
        }
    }
    let open: Vec<usize> = (0..labels.len())
        .filter(|i| labels[*i].meaning == Meaning::Unknown && numbers(&table.cells[*i]).count() > 0)
        .collect();
    if open.is_empty() { Ok(()) } else { Err(vec![ask(sample, table, labels, &open)]) }
}

/// Which of the unlabelled columns is which?
fn ask(sample: &Sample<'_>, table: &TableShape, labels: &[Label], open: &[usize]) -> Issue {
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
    // 60 to 90 is a room in °F, hardly one in °C.
    let warm =
        |i: usize| numbers(&table.cells[i]).next().is_some_and(|v| (60.0..90.0).contains(&v));
    let fahrenheit = open.iter().rev().copied().find(|i| warm(*i));
    let mut used = (false, false);
    let names: Vec<&str> = (0..labels.len())
        .map(|i| match labels[i].meaning {
            Meaning::Time => "time",
            _ if !open.contains(&i) => "-",
            _ if fahrenheit == Some(i) => "temp_f",
            _ if !std::mem::replace(&mut used.0, true) => "rh",
            _ if fahrenheit.is_none() && !std::mem::replace(&mut used.1, true) => "temp_c",
            _ => "-",
        })
        .collect();
    let why = format!("first row: {}", table.first_row);
    let hint = format!("Say which:  --columns {}", names.join(","));
    error(
        sample.file,
        table.data_lines.first().copied().unwrap_or(0),
        "unlabelled",
        what,
        Some(why),
        hint,
    )
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
        Meaning::Unknown => Some("not known".to_owned()),
        _ => None,
    }
}

/// Two columns of one sensor and quantity: the one that names °C, else the first that names a unit,
/// is kept; without units they are two sensors.
fn doubles(
    sample: &mut Sample<'_>,
    table: &TableShape,
    labels: &mut [Label],
    ignored: &mut [Option<String>],
) {
    for i in 0..labels.len() {
        let same = |j: &usize| {
            labels[*j].meaning == labels[i].meaning && labels[*j].sensor == labels[i].sensor
        };
        let group: Vec<usize> =
            (i..labels.len()).filter(|j| ignored[*j].is_none()).filter(same).collect();
        if !matches!(labels[i].meaning, Meaning::Reading(_)) || group.len() < 2 || group[0] != i {
            continue;
        }
        let with = |unit: Unit| group.iter().copied().find(|j| labels[*j].unit == Some(unit));
        let unit = group.iter().copied().find(|j| labels[*j].unit.is_some());
        let differ = group.iter().any(|j| labels[*j].unit != labels[i].unit);
        match with(Unit::Celsius).or(unit).filter(|_| differ) {
            Some(kept) => {
                let name = table.names[kept].clone();
                for j in group.iter().filter(|j| **j != kept) {
                    ignored[*j] = Some(format!("the same as {name}?"));
                }
                let all: Vec<&str> = group.iter().map(|j| table.names[*j].as_str()).collect();
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

/// Names of sensors: from comments and options; none for the only one.
fn sensors(sample: &Sample<'_>, labels: &mut [Label]) {
    let air = |l: &Label, q: Quantity| l.meaning == Meaning::Reading(q);
    let of = |labels: &[Label], q: Quantity| {
        let mut names: Vec<String> =
            labels.iter().filter(|l| air(l, q)).map(|l| l.sensor.clone()).collect();
        names.sort();
        names.dedup();
        names
    };
    let (warm, humid) = (of(labels, Quantity::Temperature), of(labels, Quantity::RelativeHumidity));
    let mut all: Vec<String> = warm.iter().chain(&humid).cloned().collect();
    all.sort();
    all.dedup();
    // one sensor, or a temperature and a humidity that are named after different things
    let single = all.len() <= 1 || warm.len() == 1 && humid.len() == 1;
    let comments: Vec<(String, String)> =
        sample.bodies().take(200).flat_map(|(_, b)| comment_names(b)).collect();
    for label in labels.iter_mut() {
        if !matches!(label.meaning, Meaning::Reading(_)) {
            continue;
        }
        let typed = label.sensor.clone();
        let stated = comments.iter().find(|(k, _)| *k == typed).map(|(_, v)| v.clone());
        let known = all.contains(&typed);
        label.sensor = match sample.options.renamed(&typed) {
            Some(new) => text::identifier(new),
            None if single && known => String::new(),
            None => stated.unwrap_or(typed),
        };
    }
}

fn comment_names(body: &str) -> Vec<(String, String)> {
    let comment = body.trim_start().starts_with(['#', ';']) || body.trim_start().starts_with("//");
    if comment { text::names(body) } else { Vec::new() }
}
