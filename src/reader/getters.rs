//! Getters for quantities and numbers.

use std::borrow::Cow;
use std::ops::RangeInclusive;

use super::node::{Content, Node, Origin};
use super::record::{Value, ValueRecord};
use super::section::{Fault, Found, Section};
use crate::units::{self, Kind, Measured};

/// A bound typed in another unit may differ from the one in the code by round-off.
const ROUND_OFF: f64 = 1e-9;

impl Section<'_> {
    /// A required quantity in SI. Like every quantity it may be typed with its standard uncertainty,
    /// which the record keeps.
    #[must_use]
    pub fn quantity(&self, key: &str, kind: Kind, range: RangeInclusive<f64>) -> f64 {
        let found = self.required(key, &example(kind));
        found
            .and_then(|f| self.read_quantity(&f, kind, &range))
            .unwrap_or_else(|| placeholder(&range))
    }

    /// A quantity with a default in SI; `source` says where the default comes from.
    #[must_use]
    pub fn quantity_or(
        &self,
        key: &str,
        kind: Kind,
        range: RangeInclusive<f64>,
        default: f64,
        source: &str,
    ) -> f64 {
        let value = |value: &f64| Value::Quantity(kind, Measured { value: *value, sd: None });
        self.or_default(key, default, value, source, |f| self.read_quantity(f, kind, &range))
    }

    /// An optional quantity in SI. One that is given but wrong is noted and left out.
    #[must_use]
    pub fn quantity_opt(&self, key: &str, kind: Kind, range: RangeInclusive<f64>) -> Option<f64> {
        let found = self.find(key)?;
        Some(self.read_quantity(&found, kind, &range).unwrap_or_else(|| placeholder(&range)))
    }

    /// A required quantity with its standard uncertainty, where it carries one.
    #[must_use]
    pub fn measured(&self, key: &str, kind: Kind, range: RangeInclusive<f64>) -> Measured {
        let found = self.required(key, &example(kind));
        found
            .and_then(|f| self.read_measured(&f, kind, &range))
            .unwrap_or_else(|| Measured { value: placeholder(&range), sd: None })
    }

    /// An optional quantity with its standard uncertainty, where it carries one.
    #[must_use]
    pub fn measured_opt(
        &self,
        key: &str,
        kind: Kind,
        range: RangeInclusive<f64>,
    ) -> Option<Measured> {
        let found = self.find(key)?;
        let stand_in = || Measured { value: placeholder(&range), sd: None };
        Some(self.read_measured(&found, kind, &range).unwrap_or_else(stand_in))
    }

    /// A required plain number.
    #[must_use]
    pub fn number(&self, key: &str, range: RangeInclusive<f64>) -> f64 {
        self.quantity(key, Kind::Number, range)
    }

    /// A plain number with a default.
    #[must_use]
    pub fn number_or(
        &self,
        key: &str,
        range: RangeInclusive<f64>,
        default: f64,
        source: &str,
    ) -> f64 {
        self.quantity_or(key, Kind::Number, range, default, source)
    }

    /// A count with a default.
    #[must_use]
    pub fn count_or(
        &self,
        key: &str,
        range: RangeInclusive<usize>,
        default: usize,
        source: &str,
    ) -> usize {
        let value = |count: &usize| Value::Count(*count);
        self.or_default(key, default, value, source, |f| self.read_count(f, &range))
    }

    /// What is read under a key, or else the default, which is recorded where there is no such key.
    pub(super) fn or_default<T>(
        &self,
        key: &str,
        default: T,
        value: impl Fn(&T) -> Value,
        source: &str,
        read: impl FnOnce(&Found<'_>) -> Option<T>,
    ) -> T {
        match self.find(key) {
            Some(found) => read(&found).unwrap_or(default),
            None => {
                self.record_default(key, || value(&default), source);
                default
            }
        }
    }

    pub(super) fn read_quantity(
        &self,
        found: &Found<'_>,
        kind: Kind,
        range: &RangeInclusive<f64>,
    ) -> Option<f64> {
        self.read_measured(found, kind, range).map(|measured| measured.value)
    }

    fn read_measured(
        &self,
        found: &Found<'_>,
        kind: Kind,
        range: &RangeInclusive<f64>,
    ) -> Option<Measured> {
        self.reader.read_whole(found.node, &found.path);
        let measured = self.typed(found, kind)?;
        self.check_range(found, kind, measured.value, range)?;
        self.record_found(found, Value::Quantity(kind, measured));
        Some(measured)
    }

    fn read_count(&self, found: &Found<'_>, range: &RangeInclusive<usize>) -> Option<usize> {
        self.reader.read_whole(found.node, &found.path);
        let Content::Number { value, whole, .. } = found.node.content else {
            self.wrong_type(found, "a whole number", &range.start().to_string());
            return None;
        };
        let (low, high) = (*range.start() as f64, *range.end() as f64);
        let clause = if !whole {
            "is not a whole number"
        } else if !(low..=high).contains(&value) {
            "is out of range"
        } else {
            self.record_found(found, Value::Count(value as usize));
            return Some(value as usize);
        };
        let hint = if *range.end() == usize::MAX {
            format!("write a whole number from {low} up.")
        } else {
            format!("write a whole number from {low} to {high}.")
        };
        let code = if whole { "out-of-range" } else { "wrong-type" };
        self.fault(found, Fault { code, clause: clause.to_owned(), why: None, hint: Some(hint) });
        None
    }

    /// Reads a text, or a bare number as if it had been typed as text.
    fn typed(&self, found: &Found<'_>, kind: Kind) -> Option<Measured> {
        let text = match &found.node.content {
            Content::Text(text) => Cow::from(text),
            // TOML's own digit separators are fine in a number that is not quoted
            Content::Number { typed, .. } if typed.contains('_') => typed.replace('_', "").into(),
            Content::Number { typed, .. } => Cow::from(typed),
            _ => {
                self.wrong_type(found, kind.name(), &example(kind));
                return None;
            }
        };
        match units::parse_measured(kind, &text) {
            Ok(value) => Some(value),
            Err(error) => {
                let (code, clause) = (error.code(), error.to_string());
                self.fault(found, Fault { code, clause, why: None, hint: Some(error.hint()) });
                None
            }
        }
    }

    fn check_range(
        &self,
        found: &Found<'_>,
        kind: Kind,
        value: f64,
        range: &RangeInclusive<f64>,
    ) -> Option<()> {
        let (low, high) = (*range.start(), *range.end());
        if value >= low - ROUND_OFF * low.abs() && value <= high + ROUND_OFF * high.abs() {
            return Some(());
        }
        self.fault(
            found,
            Fault {
                code: "out-of-range",
                clause: "is out of range".to_owned(),
                why: Some(allowed(kind, low, high)),
                hint: percentage(kind, value, found.node),
            },
        );
        None
    }

    pub(super) fn record_found(&self, found: &Found<'_>, value: Value) {
        let (path, origin) = (found.path.clone(), found.node.origin.clone());
        self.reader.record(ValueRecord { path, value, origin });
    }

    pub(super) fn record_default(&self, key: &str, value: impl Fn() -> Value, source: &str) {
        if self.is_present() {
            let (path, origin) = (self.path_of(key), Origin::Default(source.to_owned()));
            self.reader.record(ValueRecord { path, value: value(), origin });
        }
    }
}

/// A value of the kind as it stands in a file: texts in quotes, plain numbers without.
pub(super) fn example(kind: Kind) -> String {
    if kind.is_bare() { kind.example().to_owned() } else { format!("{:?}", kind.example()) }
}

/// A value inside the range, away from its ends where things may divide by zero.
pub(super) fn placeholder(range: &RangeInclusive<f64>) -> f64 {
    let (low, high) = (*range.start(), *range.end());
    match (low.is_finite(), high.is_finite()) {
        (true, true) => low + 0.5 * (high - low),
        (true, false) => low + low.abs().max(1.0),
        (false, true) => high - high.abs().max(1.0),
        (false, false) => 1.0,
    }
}

fn allowed(kind: Kind, low: f64, high: f64) -> String {
    let text = |si| units::format(kind, si);
    match (low.is_finite(), high.is_finite()) {
        (true, true) => format!("it must be from {} to {}.", text(low), text(high)),
        (true, false) => format!("it must be {} or more.", text(low)),
        (false, true) => format!("it must be {} or less.", text(high)),
        (false, false) => "it must be a finite number.".to_owned(),
    }
}

/// A share typed as a bare percentage.
fn percentage(kind: Kind, value: f64, node: &Node) -> Option<String> {
    let bare = matches!(node.content, Content::Number { .. });
    let likely = kind == Kind::Share && bare && value > 1.0 && value <= 100.0;
    likely.then(|| format!("did you mean \"{value} %\"?"))
}
