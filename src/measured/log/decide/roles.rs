//! Which column or label is what.

use super::marks::{self, Field, Pivot};
use super::shape::no_reading;
use super::table::TableShape;
use super::uses::{ColumnUse, numbers};
use super::{Sample, advice, scales};
use crate::measured::Quantity;
use crate::measured::log::complaint::error;
use crate::measured::log::lex::{Label, Meaning, Unit, label, unit};
use crate::measured::log::shapes::labelled::skeleton;
use crate::measured::log::shapes::{Cell, Shape};
use crate::measured::log::sink::Column;
use crate::measured::log::text;
use crate::reader::Issue;

/// One form of lines, on its way to a plan.
#[derive(Debug)]
pub struct Draft {
    /// What stands in the lines.
    pub table: TableShape,
    /// From fields to what they are for, where lines say what they are of.
    pub pivot: Option<Pivot>,
    /// Names of what there is, one for each sensor and quantity.
    pub names: Vec<String>,
    /// Their labels.
    pub labels: Vec<Label>,
    /// Their cells.
    pub cells: Vec<Vec<Cell>>,
    /// Why one is not kept.
    pub ignored: Vec<Option<String>>,
    /// What each is for.
    pub targets: Vec<ColumnUse>,
}

/// Says what each field of a form is for.
pub fn draft(sample: &mut Sample<'_>, table: TableShape) -> Result<Draft, Vec<Issue>> {
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
pub fn assign(sample: &mut Sample<'_>, drafts: &mut [Draft]) -> Result<Vec<Column>, Vec<Issue>> {
    sensors(sample, drafts);
    let mut columns = Vec::new();
    scales::humidities(drafts);
    scales::columns(drafts, &mut columns);
    for draft in drafts.iter_mut() {
        scales::fill(sample, draft, &mut columns);
    }
    let air = columns.iter().any(|c| c.quantity != Quantity::Other);
    if !air || drafts.first().is_some_and(|d| are_notes(sample, &d.table, &columns)) {
        return Err(vec![no_reading(sample)]);
    }
    Ok(columns)
}

/// A humidity that only a percent sign tells is one where its sensor has a temperature; else it may be the charge of a
/// battery or the opening of a valve, and keeps its name.
fn shares(labels: &mut [Label]) {
    let humidity = |l: &Label| l.meaning == Meaning::Reading(Quantity::RelativeHumidity);
    let warm: Vec<String> = labels
        .iter()
        .filter(|l| l.meaning == Meaning::Reading(Quantity::Temperature))
        .map(|l| l.sensor.clone())
        .collect();
    for label in labels.iter_mut() {
        let alone = label.implied && !label.sensor.is_empty() && !warm.contains(&label.sensor);
        if humidity(label) && alone {
            (label.meaning, label.sensor) = (Meaning::Other, String::new());
        }
    }
}

/// Fields that hold nothing but units are those of the fields beside them: `x.unit` of `x.value`.
fn units_beside(table: &TableShape, labels: &mut [Label]) {
    for i in 0..labels.len() {
        let all: Vec<&Cell> = table.cells[i].iter().filter(|c| **c != Cell::Missing).collect();
        let unit = |c: &&Cell| match c {
            Cell::Word(w) => unit::exact(w),
            _ => None,
        };
        let Some(first) = all.first().and_then(unit) else { continue };
        if !matches!(table.shape, Shape::Pairs(_)) || !all.iter().all(|c| unit(c) == Some(first)) {
            continue;
        }
        let stem = table.names[i].rsplit_once(['.', '_']).map_or("", |(stem, _)| stem);
        for (j, name) in table.names.iter().enumerate() {
            let beside = *name != table.names[i] && !stem.is_empty() && name.starts_with(stem);
            if beside && labels[j].unit.is_none() {
                labels[j].unit = Some(first);
            }
        }
        labels[i] = Label { meaning: Meaning::Ignored("a unit"), ..labels[i].clone() };
    }
}

/// Columns named `h`, `min` and `s` one after the other are the parts of a clock.
fn parts_of_clock(table: &TableShape, labels: &mut [Label]) {
    let name = |i: usize| table.names.get(i).map(|n| n.trim().to_lowercase()).unwrap_or_default();
    for i in 0..labels.len() {
        let hour = matches!(name(i).as_str(), "h" | "hh" | "hour" | "hours" | "hr");
        let minute = matches!(name(i + 1).as_str(), "m" | "min" | "mm" | "minute" | "minutes");
        let second = matches!(name(i + 2).as_str(), "s" | "sec" | "ss" | "second" | "seconds");
        if hour && minute {
            for (k, label) in labels[i..].iter_mut().take(if second { 3 } else { 2 }).enumerate() {
                label.meaning = Meaning::Part(3 + k);
            }
        }
    }
}

/// Two percentages on a line that nothing names, beside one temperature.
fn two_shares(
    sample: &Sample<'_>,
    table: &TableShape,
    labels: &[Label],
    cells: &[Vec<Cell>],
) -> Result<(), Vec<Issue>> {
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
    Err(vec![error(sample.file, line, "two-percentages", what, Some(why), hint)])
}

/// The least and the greatest value of an interval beside its mean are no sensors.
fn extremes(labels: &[Label], ignored: &mut [Option<String>]) {
    let word = |l: &Label, words: &[&str]| l.sensor.split('_').any(|w| words.contains(&w));
    let ends = ["min", "max", "minimum", "maximum", "lowest", "highest"];
    for (i, label) in labels.iter().enumerate() {
        let plain = |l: &Label| l.meaning == label.meaning && !word(l, &ends);
        if word(label, &ends) && labels.iter().any(plain) {
            ignored[i] = Some("an extreme beside the mean".to_owned());
        }
    }
}

/// A first column that counts rows, without a name or named after them, is no time and no sensor.
fn numbers_of_rows(table: &TableShape, labels: &mut [Label]) {
    let time = labels.iter().enumerate().any(|(i, l)| {
        i > 0 && matches!(l.meaning, Meaning::Time | Meaning::Elapsed | Meaning::DateOrClock)
    });
    let Some(first) = labels.first_mut() else { return };
    let steps: Vec<f64> = numbers(&table.cells[0]).collect();
    let by_one = steps.len() > 1 && steps.windows(2).all(|w| w[1] - w[0] == 1.0);
    let named = ["", "no", "nr", "n", "#", "row", "line", "sample", "record", "id", "index", "num"]
        .contains(&table.names[0].trim().trim_end_matches('.').to_lowercase().as_str());
    if time && by_one && named {
        *first = Label { meaning: Meaning::Ignored("counts the rows"), ..first.clone() };
    }
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
        // A rising number of seconds is a time, whatever it is called.
        let seconds = in_cells.is_some_and(|u| u.seconds().is_some());
        if open && seconds && !table.names[i].is_empty() && rising(&table.cells[i]) {
            label.meaning = Meaning::Elapsed;
        }
        // `P 78.4 W` is a power: a unit says more than a letter.
        let own = label.unit.and_then(Unit::implies);
        let electric = |q: Quantity| {
            matches!(q, Quantity::Power | Quantity::Energy | Quantity::Pressure | Quantity::Mass)
        };
        if let (Meaning::Reading(q), Some(own)) = (label.meaning, own)
            && q != own
            && electric(q)
            && electric(own)
        {
            label.meaning = Meaning::Reading(own);
        }
    }
}

fn rising(cells: &[Cell]) -> bool {
    let values: Vec<f64> = numbers(cells).collect();
    let back = values.windows(2).filter(|w| w[1] <= w[0]).count();
    // A counter may start anew once in a while.
    values.len() > 2
        && (back * 50 <= values.len()
            || back < 3 && values.len() > 8 && values.iter().all(|v| v.fract() == 0.0))
}

/// `t` is a time beside another temperature, else a temperature unless it only rises.
fn lower_t(sample: &mut Sample<'_>, table: &TableShape, labels: &mut [Label]) {
    let other = labels.iter().any(|l| l.meaning == Meaning::Reading(Quantity::Temperature));
    let timed = labels
        .iter()
        .any(|l| matches!(l.meaning, Meaning::Time | Meaning::Elapsed | Meaning::DateOrClock));
    for (label, cells) in labels.iter_mut().zip(&table.cells) {
        if label.meaning != Meaning::LowerT {
            continue;
        }
        let alone = !timed && label.unit.is_none() && rising(cells);
        let time = label.sensor.is_empty() && (other || alone);
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
    let hint = advice::which_columns(sample, &plain, &places);
    error(sample.file, line, "unlabelled", what, Some(why), hint)
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

/// Names of sensors: from comments and options; none for the only one.
fn sensors(sample: &Sample<'_>, drafts: &mut [Draft]) {
    let reading = |m: Meaning| matches!(m, Meaning::Reading(_) | Meaning::Humidity(_));
    let kept = |d: &Draft| -> Vec<Label> {
        let all = d.labels.iter().zip(&d.ignored);
        all.filter(|(l, why)| why.is_none() && reading(l.meaning)).map(|(l, _)| l.clone()).collect()
    };
    let labels: Vec<Label> = drafts.iter().flat_map(kept).collect();
    let air = |l: &Label, warm: bool| match l.meaning {
        Meaning::Reading(Quantity::Temperature) => warm,
        Meaning::Reading(Quantity::RelativeHumidity) | Meaning::Humidity(_) => !warm,
        _ => false,
    };
    let of = |warm: bool| {
        let mut names: Vec<String> =
            labels.iter().filter(|l| air(l, warm)).map(|l| l.sensor.clone()).collect();
        names.sort();
        names.dedup();
        names
    };
    let (warm, humid) = (of(true), of(false));
    let mut all: Vec<String> = warm.iter().chain(&humid).cloned().collect();
    all.sort();
    all.dedup();
    // one sensor, or a temperature and a humidity that are named after different things
    let single = all.len() <= 1 || warm.len() == 1 && humid.len() == 1;
    let shared = common(sample, drafts, &all);
    let comments: Vec<(String, String)> =
        sample.bodies().take(200).flat_map(|(_, b)| comment_names(b)).collect();
    for draft in drafts.iter_mut() {
        for label in draft.labels.iter_mut().filter(|l| reading(l.meaning)) {
            let typed = label.sensor.clone();
            let stated = comments.iter().find(|(k, _)| *k == typed).map(|(_, v)| v.clone());
            let known = all.contains(&typed);
            let short = typed.strip_prefix(&shared.0).unwrap_or(&typed);
            let short = short.strip_suffix(&shared.1).unwrap_or(short).to_owned();
            let new = sample.options.renamed(&typed).or(sample.options.renamed(&short));
            label.sensor = match new {
                Some(new) => text::identifier(new),
                None if single && known => String::new(),
                None => stated.unwrap_or(short),
            };
        }
    }
}

/// What the names of all sensors begin and end with, where they are parts of a topic or a path: it names none of them.
fn common(sample: &Sample<'_>, drafts: &[Draft], all: &[String]) -> (String, String) {
    let path = |n: &String| {
        n.contains('/') || n.contains('.') && n.contains(char::is_alphabetic) && !n.contains(' ')
    };
    let tags = sample.views.iter().filter(|_| sample.tagged).filter_map(|v| v.prefix.tag);
    let words = drafts.iter().flat_map(|d| d.table.cells.iter().flatten()).take(2000);
    let written = drafts.iter().any(|d| d.names.iter().any(path))
        || tags.take(200).any(|t| t.contains('/'))
        || words.into_iter().any(|c| matches!(c, Cell::Word(w) if w.contains('/')));
    let named: Vec<&String> = all.iter().filter(|n| !n.is_empty()).collect();
    let (Some(first), true) = (named.first(), written && named.len() > 1) else {
        return (String::new(), String::new());
    };
    let parts: Vec<&str> = first.split('_').collect();
    let lengths = || (1..parts.len()).rev();
    let start = lengths().map(|n| format!("{}_", parts[..n].join("_")));
    let start = start
        .into_iter()
        .find(|s| named.iter().all(|n| n.starts_with(s.as_str())))
        .unwrap_or_default();
    let end = lengths().map(|n| format!("_{}", parts[parts.len() - n..].join("_")));
    let long = |n: &&String, e: &str| n.ends_with(e) && n.len() > e.len() + start.len();
    let end = end.into_iter().find(|e| named.iter().all(|n| long(n, e))).unwrap_or_default();
    (start, end)
}

fn comment_names(body: &str) -> Vec<(String, String)> {
    let comment = body.trim_start().starts_with(['#', ';']) || body.trim_start().starts_with("//");
    if comment { text::names(body) } else { Vec::new() }
}
