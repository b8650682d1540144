//! The keys of a file as rows: what each takes, what holds without it, how far that may be off.

use serde::Serialize;

use crate::reader::key::{Key, KeyDefault, Keys, Takes};
use crate::text::{Csv, number};
use crate::units::{self, Kind};

/// One key of one table.
#[derive(Clone, Debug, Serialize)]
pub struct Row {
    /// Its table; empty for the top of the file.
    pub table: &'static str,
    /// What another key of the table must be for it to be read, such as `kind = "hole"`.
    pub when: Option<String>,
    /// Its name.
    pub key: &'static str,
    /// The form of its value.
    pub takes: Takes,
    /// What it takes, in words, with its range.
    pub wanted: String,
    /// Lowest value allowed, in the SI unit.
    pub low: Option<f64>,
    /// Highest value allowed, in the SI unit.
    pub high: Option<f64>,
    /// What holds without it.
    #[serde(skip)]
    pub default: KeyDefault,
    /// The same in words, with how far that may be off.
    pub usual: String,
    /// The same in the SI unit, where it is a number of its own.
    pub default_si: Option<f64>,
    /// Where that comes from.
    pub source: &'static str,
    /// The ends of what is likely in the SI unit, where the default is a guess and a number of its own.
    pub likely: Option<(f64, f64)>,
    /// The factor within which a guess is likely that follows from other values.
    pub likely_factor: Option<f64>,
    /// Quality of the default, B to D.
    pub quality: Option<char>,
    /// The SI unit of quantities.
    pub si_unit: Option<&'static str>,
    /// What it is.
    pub help: &'static str,
}

/// A row for each key, in their order.
#[must_use]
pub fn rows(tables: &[Keys]) -> Vec<Row> {
    tables.iter().flat_map(|t| t.keys.iter().map(|key| row(t, key))).collect()
}

fn row(table: &Keys, key: &Key) -> Row {
    let quantity = matches!(key.takes, Takes::Quantity | Takes::Quantities | Takes::Count);
    let bound = |si: f64| Some(si).filter(|_| quantity && si.is_finite());
    Row {
        table: table.table,
        when: table.when.map(|(name, word)| format!("{name} = {word:?}")),
        key: key.name,
        takes: key.takes,
        wanted: wanted(key),
        low: bound(key.low),
        high: bound(key.high),
        default: key.default,
        usual: usual(key),
        default_si: key.value().filter(|_| quantity),
        source: key.source,
        likely: key.doubt.zip(key.value()).map(|(doubt, value)| doubt.ends(value)),
        likely_factor: key.factor().filter(|_| key.value().is_none()),
        quality: key.doubt.map(|d| d.quality),
        si_unit: quantity.then(|| key.kind.si_unit()),
        help: key.help,
    }
}

/// What it takes, in words.
fn wanted(key: &Key) -> String {
    let words = || key.words.iter().map(|w| format!("{w:?}")).collect::<Vec<_>>().join(", ");
    match key.takes {
        Takes::Quantity => format!("{}{}", key.kind.name(), range(key)),
        Takes::Count => format!("a whole number{}", range(key)),
        Takes::Word => words(),
        Takes::Text => "a text".into(),
        Takes::Switch => "true or false".into(),
        Takes::Quantities => format!("a list, each {}{}", key.kind.name(), range(key)),
        Takes::Texts => "a list of texts".into(),
        Takes::Table => "a table".into(),
        Takes::Tables => "a list of tables".into(),
    }
}

fn range(key: &Key) -> String {
    match (key.low.is_finite(), key.high.is_finite()) {
        (true, true) => format!(", {} to {}", amount(key, key.low), amount(key, key.high)),
        (true, false) => format!(", {} or more", amount(key, key.low)),
        (false, true) => format!(", {} or less", amount(key, key.high)),
        (false, false) => String::new(),
    }
}

fn amount(key: &Key, si: f64) -> String {
    let kind = if key.takes == Takes::Count { Kind::Number } else { key.kind };
    units::format_digits(kind, si, 4)
}

/// What holds without it, in words, with how far that may be off and where it comes from.
fn usual(key: &Key) -> String {
    let value = match key.default {
        KeyDefault::Required => return "required".into(),
        KeyDefault::Nothing => return "none".into(),
        KeyDefault::Word(word) => Some(format!("{word:?}")),
        KeyDefault::Value(value) if key.takes == Takes::Switch => Some((value == 1.0).to_string()),
        KeyDefault::Value(value) => Some(amount(key, value)),
        KeyDefault::Follows => None,
    };
    let likely = key.doubt.map_or_else(String::new, |doubt| {
        let range = match (key.value(), key.factor()) {
            (Some(value), _) => {
                let (low, high) = doubt.ends(value);
                format!("{} to {}", amount(key, low), amount(key, high))
            }
            (None, Some(factor)) => format!("within a factor of {factor}"),
            (None, None) => String::new(),
        };
        format!(" ({range}, quality {})", doubt.quality)
    });
    match value {
        Some(value) => format!("{value}{likely}: {}", key.source),
        None => format!("{}{likely}", key.source),
    }
}

/// One row per key as CSV.
#[must_use]
pub fn csv(rows: &[Row]) -> String {
    let mut out = Csv::with_head([
        "table",
        "when",
        "key",
        "takes",
        "default",
        "source",
        "si_unit",
        "low",
        "high",
        "default_si",
        "likely_low",
        "likely_high",
        "likely_factor",
        "quality",
        "help",
    ]);
    for row in rows {
        out.row([
            row.table,
            row.when.as_deref().unwrap_or_default(),
            row.key,
            &row.wanted,
            &row.usual,
            row.source,
            row.si_unit.unwrap_or_default(),
            &number(row.low),
            &number(row.high),
            &number(row.default_si),
            &number(row.likely.map(|l| l.0)),
            &number(row.likely.map(|l| l.1)),
            &number(row.likely_factor),
            &row.quality.map(String::from).unwrap_or_default(),
            row.help,
        ]);
    }
    out.text()
}
