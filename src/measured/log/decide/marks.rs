//! Which sensor, or which quantity, a line says in its fields that it is of.

use std::collections::HashMap;

use super::said::{MOST_SENSORS, STATES, alternates, distinct, is_words, said};
use super::table::TableShape;
use super::uses::{ColumnUse, Role, numbers};
use crate::measured::Quantity;
use crate::measured::log::lex::{Label, Meaning, Unit, label, unit};
use crate::measured::log::shapes::columns::Use;
use crate::measured::log::shapes::{Cell, Record};
use crate::measured::log::text;

/// From the fields of a line to their uses, by what the line says of itself.
#[derive(Clone, Debug)]
pub struct Pivot {
    /// Fields that name the sensor.
    marks: Vec<usize>,
    /// The field that names the quantity.
    quantity: Option<usize>,
    /// The field with the unit.
    unit: Option<usize>,
    /// Uses of the fields that mean the same on every line.
    fixed: Vec<Option<usize>>,
    /// Uses of the others, by what the line says.
    by_mark: HashMap<String, Vec<Option<usize>>>,
    /// What lines said that came later.
    pub strangers: Vec<String>,
    /// The last record of which a line said so.
    pub missed: Option<Record>,
}

/// A field that means the same on every line of one mark.
#[derive(Clone, Debug)]
pub(super) struct Field {
    pub name: String,
    pub label: Label,
    pub cells: Vec<Cell>,
}

/// Names of the field that has the value, where another names the quantity.
const VALUES: [&str; 8] = ["value", "val", "reading", "state", "wert", "valor", "valeur", "result"];

fn air(meaning: Meaning) -> bool {
    matches!(
        meaning,
        Meaning::Reading(Quantity::Temperature | Quantity::RelativeHumidity)
            | Meaning::LowerT
            | Meaning::Humidity(_)
    )
}

/// Splits fields by what their lines say; without such a field each is one by itself.
pub(super) fn split(table: &TableShape, labels: &[Label]) -> (Option<Pivot>, Vec<Field>) {
    let plain = || {
        let one = |i: usize| Field {
            name: table.names[i].clone(),
            label: labels[i].clone(),
            cells: table.cells[i].clone(),
        };
        (0..labels.len()).map(one).collect()
    };
    let quantity = quantity(table, labels);
    let marks = marks(table, labels, quantity);
    if quantity.is_none() && marks.is_empty() {
        return (None, plain());
    }
    let unit = (0..labels.len()).find(|i| {
        let said = distinct(&table.cells[*i]);
        Some(*i) != quantity
            && is_words(&table.cells[*i])
            && said.iter().all(|u| unit::exact(u).is_some())
    });
    let mut pivot = Pivot {
        marks,
        quantity,
        unit,
        fixed: vec![None; labels.len()],
        by_mark: HashMap::new(),
        strangers: Vec::new(),
        missed: None,
    };
    let value = quantity.and_then(|q| value(table, labels, q));
    let mut fields: Vec<Field> = Vec::new();
    for (i, label) in labels.iter().enumerate() {
        let stamps = table.cells[i].iter().any(|c| matches!(c, Cell::Stamp(_)));
        let same = matches!(
            label.meaning,
            Meaning::Time | Meaning::Elapsed | Meaning::DateOrClock | Meaning::Part(_)
        ) || label.meaning == Meaning::Note
            || label.meaning == Meaning::Unknown && stamps;
        if same {
            pivot.fixed[i] = Some(fields.len());
            let cells = table.cells[i].clone();
            fields.push(Field { name: table.names[i].clone(), label: label.clone(), cells });
        }
    }
    for record in &table.rows {
        pivot.learn(record, table, labels, value, &mut fields);
    }
    (Some(pivot), fields)
}

/// The field whose words name quantities, as in `time, name, value`.
fn quantity(table: &TableShape, labels: &[Label]) -> Option<usize> {
    let named = (0..labels.len()).any(|i| {
        matches!(
            labels[i].meaning,
            Meaning::Reading(Quantity::Temperature | Quantity::RelativeHumidity)
        ) && numbers(&table.cells[i]).count() > 0
            && !VALUES.contains(&table.names[i].to_lowercase().as_str())
    });
    if named {
        return None;
    }
    (0..labels.len()).find(|i| {
        let said = distinct(&table.cells[*i]);
        let known = said.iter().filter(|w| air(label(w).meaning)).count();
        let units = said.iter().all(|u| unit::exact(u).is_some());
        is_words(&table.cells[*i])
            && !units
            && known > 0
            && 3 * known >= said.len()
            && labels[*i].meaning != Meaning::Note
    })
}

/// The field with the values of a log that names quantities.
fn value(table: &TableShape, labels: &[Label], quantity: usize) -> Option<usize> {
    let open = |i: &usize| {
        *i != quantity
            && numbers(&table.cells[*i]).count() > 0
            && !matches!(
                labels[*i].meaning,
                Meaning::Time | Meaning::Elapsed | Meaning::Sensor | Meaning::Part(_)
            )
    };
    let named = |i: &usize| VALUES.contains(&table.names[*i].to_lowercase().as_str());
    let all: Vec<usize> = (0..labels.len()).filter(open).collect();
    all.iter().copied().find(named).or(all.last().copied())
}

/// Fields whose few values say which sensor a line is of.
fn marks(table: &TableShape, labels: &[Label], quantity: Option<usize>) -> Vec<usize> {
    let rows = table.rows.len();
    let is_mark = |i: &usize| {
        let (cells, meaning) = (&table.cells[*i], labels[*i].meaning);
        let said = distinct(cells);
        // One name for all lines names the sensor too, where other lines of the log have others.
        let single = said.len() == 1 && meaning == Meaning::Sensor && table.names[*i] != "name";
        let few = single || (2..=MOST_SENSORS).contains(&said.len()) && 2 * said.len() <= rows;
        let whole = numbers(cells).all(|v| v.fract() == 0.0);
        let open = matches!(meaning, Meaning::Sensor | Meaning::Unknown);
        // "A" is a sensor where the column says so, and the ampere elsewhere.
        let state = meaning != Meaning::Sensor
            && said
                .iter()
                .all(|w| STATES.contains(&w.to_lowercase().as_str()) || unit::exact(w).is_some());
        if Some(*i) == quantity || !few || !open || state || !whole {
            return false;
        }
        meaning == Meaning::Sensor || is_words(cells) && (alternates(cells) || quantity.is_some())
    };
    let all: Vec<usize> = (0..labels.len()).filter(is_mark).collect();
    let several = |i: &usize| distinct(&table.cells[*i]).len() > 1;
    if all.iter().any(several) { all.into_iter().filter(several).collect() } else { all }
}

impl Pivot {
    /// What a record says of itself.
    fn key(&self, record: &Record) -> String {
        let text = |i: &usize| record.iter().find(|(n, _)| n == i).and_then(|(_, c)| said(c));
        let parts = self.marks.iter().chain(&self.quantity).map(|i| text(i).unwrap_or_default());
        parts.collect::<Vec<_>>().join("\u{1f}")
    }

    fn learn(
        &mut self,
        record: &Record,
        table: &TableShape,
        labels: &[Label],
        value: Option<usize>,
        fields: &mut Vec<Field>,
    ) {
        let key = self.key(record);
        let names = self.own_names(&key);
        let unit = self.unit_of(record);
        for (i, cell) in record {
            let skip = self.marks.contains(i) || self.unit == Some(*i) || self.fixed[*i].is_some();
            let other = self.quantity.is_some() && value != Some(*i);
            if skip || other || self.quantity == Some(*i) {
                continue;
            }
            let uses = self.by_mark.entry(key.clone()).or_insert_with(|| vec![None; labels.len()]);
            let place = *uses[*i].get_or_insert_with(|| {
                let (sensor, quantity) = &names;
                let mut label = match quantity {
                    Some(text) => label(text),
                    None => labels[*i].clone(),
                };
                label.unit = label.unit.or(unit);
                // A value that only its unit names.
                if let (Meaning::Unknown, Some(quantity)) =
                    (label.meaning, label.unit.and_then(Unit::implies))
                {
                    label.meaning = Meaning::Reading(quantity);
                }
                let mut parts: Vec<&str> = vec![sensor, &label.sensor];
                parts.retain(|p| !p.is_empty());
                label.sensor = parts.join("_");
                let name = match quantity {
                    Some(text) => text.clone(),
                    None => table.names[*i].clone(),
                };
                fields.push(Field { name: name.clone(), label, cells: Vec::new() });
                fields.len() - 1
            });
            fields[place].cells.push(with_unit(cell, unit));
        }
    }

    /// The name of the sensor and that of the quantity.
    fn own_names(&self, key: &str) -> (String, Option<String>) {
        let mut parts: Vec<&str> = key.split('\u{1f}').collect();
        let quantity = self.quantity.and_then(|_| parts.pop()).map(str::to_owned);
        let sensor: Vec<String> =
            parts.iter().map(|p| name_of(p)).filter(|p| !p.is_empty()).collect();
        (sensor.join("_"), quantity)
    }

    fn unit_of(&self, record: &Record) -> Option<Unit> {
        let cell = record.iter().find(|(i, _)| Some(*i) == self.unit).map(|(_, c)| c)?;
        match cell {
            Cell::Word(w) => unit::exact(w),
            _ => None,
        }
    }

    /// The record with the use of each cell; none when the line says what no line of the sample said.
    pub fn record(&mut self, record: Record) -> Option<Record> {
        /// Most of them remembered.
        const MOST: usize = 20;
        self.missed = None;
        let key = self.key(&record);
        let unit = self.unit_of(&record);
        let Some(uses) = self.by_mark.get(&key) else {
            let shown = key.replace('\u{1f}', " ").trim().to_owned();
            if self.strangers.len() < MOST && !self.strangers.contains(&shown) {
                self.strangers.push(shown);
            }
            self.missed = Some(record);
            return None;
        };
        let one = |(i, cell): (usize, Cell)| {
            let place = self.fixed.get(i).copied().flatten();
            let by_mark = || uses.get(i).copied().flatten();
            place.or_else(by_mark).map(|place| (place, with_unit(&cell, unit)))
        };
        Some(record.into_iter().filter_map(one).collect())
    }

    /// For a record of which no line before said what it says: each field with the use that shows what it holds, the name
    /// of its sensor and, in a log that names quantities, the label of that.
    pub fn late(&self, record: &Record) -> Vec<(usize, Option<usize>, String, Option<Label>)> {
        let (sensor, quantity) = self.own_names(&self.key(record));
        let shown = quantity.map(|q| label(&q));
        let skip = |i: usize| {
            self.fixed[i].is_some()
                || self.marks.contains(&i)
                || self.unit == Some(i)
                || self.quantity == Some(i)
        };
        let like = |i: usize| self.by_mark.values().find_map(|u| u[i]);
        let all = record.iter().map(|(i, _)| *i).filter(|i| !skip(*i));
        all.map(|i| (i, like(i), sensor.clone(), shown.clone())).collect()
    }

    /// Takes the uses of the fields of such a record.
    pub fn adopt(&mut self, record: &Record, uses: &[(usize, usize)]) {
        let mut all = vec![None; self.fixed.len()];
        for (field, target) in uses {
            all[*field] = Some(*target);
        }
        let key = self.key(record);
        let shown = key.replace('\u{1f}', " ").trim().to_owned();
        self.strangers.retain(|s| *s != shown);
        self.by_mark.insert(key, all);
    }

    /// What the fields are for, as far as their places in a row matter.
    pub(super) fn uses(&self, targets: &[ColumnUse]) -> Vec<Use> {
        let values = |i: usize| {
            self.by_mark.values().any(|u| {
                u[i].is_some_and(|t| {
                    matches!(targets[t].role, Role::Value { .. } | Role::Humidity { .. })
                })
            })
        };
        let one = |i: usize| match self.fixed[i] {
            Some(t) => super::use_of(&targets[t]),
            None if self.marks.contains(&i) || self.quantity == Some(i) || self.unit == Some(i) => {
                Use::Name
            }
            None if values(i) => Use::Value,
            None => Use::Unused,
        };
        (0..self.fixed.len()).map(one).collect()
    }
}

/// The name of a sensor without the word for one: `Sensor A` is `a`.
fn name_of(text: &str) -> String {
    let whole = text::identifier(text);
    let words = ["sensor", "probe", "fühler", "channel", "kanal", "node"];
    let short = words.iter().find_map(|w| whole.strip_prefix(w)?.strip_prefix('_'));
    short.unwrap_or(&whole).to_owned()
}

/// A number with the unit that stands in a field of its own.
fn with_unit(cell: &Cell, unit: Option<Unit>) -> Cell {
    match cell {
        Cell::Number(v, None) => Cell::Number(*v, unit),
        other => other.clone(),
    }
}
