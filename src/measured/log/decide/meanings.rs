//! What names alone do not tell of a field: its cells, the fields beside it and lines of units do.

use super::Sample;
use super::table::TableShape;
use super::uses::numbers;
use crate::measured::Quantity;
use crate::measured::log::lex::{Label, Meaning, Unit, unit};
use crate::measured::log::shapes::{Cell, Shape};
use crate::measured::log::text;

/// A humidity that only a percent sign tells is one where its sensor has a temperature; else it may be the charge of a
/// battery or the opening of a valve, and keeps its name.
pub(super) fn shares(labels: &mut [Label]) {
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
pub(super) fn units_beside(table: &TableShape, labels: &mut [Label]) {
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
pub(super) fn parts_of_clock(table: &TableShape, labels: &mut [Label]) {
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

/// The least and the greatest value of an interval beside its mean are no sensors.
pub(super) fn extremes(labels: &[Label], ignored: &mut [Option<String>]) {
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
pub(super) fn numbers_of_rows(table: &TableShape, labels: &mut [Label]) {
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

/// Units from the cells and from lines such as `t=s`; times by their look.
pub(super) fn complete(sample: &Sample<'_>, table: &TableShape, labels: &mut [Label]) {
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

pub(super) fn rising(cells: &[Cell]) -> bool {
    let values: Vec<f64> = numbers(cells).collect();
    let back = values.windows(2).filter(|w| w[1] <= w[0]).count();
    // A counter may start anew once in a while.
    values.len() > 2
        && (back * 50 <= values.len()
            || back < 3 && values.len() > 8 && values.iter().all(|v| v.fract() == 0.0))
}

/// `t` is a time beside another temperature, else a temperature unless it only rises.
pub(super) fn lower_t(sample: &mut Sample<'_>, table: &TableShape, labels: &mut [Label]) {
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
