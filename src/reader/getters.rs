//! Getters for quantities and numbers.

use std::borrow::Cow;

use super::key::Key;
use super::node::{Content, Node, Origin};
use super::record::{Value, ValueRecord};
use super::section::{Fault, Found, Section};
use crate::units::{self, Kind, Measured};

/// A bound typed in another unit may differ from the one in the code by round-off.
const ROUND_OFF: f64 = 1e-9;

impl Section<'_> {
    /// A quantity in SI: required, or with the default of its key. Like every quantity it may be typed with its
    /// standard uncertainty, which the record keeps.
    #[must_use]
    pub fn quantity(&self, key: &Key) -> f64 {
        match key.value() {
            Some(default) => self.quantity_from(key, default),
            None => self.measured(key).value,
        }
    }

    /// A quantity in SI whose default follows from other values.
    #[must_use]
    pub fn quantity_from(&self, key: &Key, default: f64) -> f64 {
        self.quantity_by(key, default, key.source)
    }

    /// A quantity in SI whose default follows from other values; `how` says from which.
    #[must_use]
    pub fn quantity_by(&self, key: &Key, default: f64, how: &str) -> f64 {
        let value = |value: &f64| Value::Quantity(key.kind, Measured { value: *value, sd: None });
        self.or_default(key, default, value, how, |f| self.read_measured(f, key).map(|m| m.value))
    }

    /// An optional quantity in SI. One that is given but wrong is noted and stood in for.
    #[must_use]
    pub fn quantity_opt(&self, key: &Key) -> Option<f64> {
        self.measured_opt(key).map(|measured| measured.value)
    }

    /// A required quantity with its standard uncertainty, where it carries one.
    #[must_use]
    pub fn measured(&self, key: &Key) -> Measured {
        let found = self.required(key.name, &example(key.kind));
        found.and_then(|f| self.read_measured(&f, key)).unwrap_or_else(|| stand_in(key))
    }

    /// An optional quantity with its standard uncertainty, where it carries one.
    #[must_use]
    pub fn measured_opt(&self, key: &Key) -> Option<Measured> {
        let found = self.find(key.name)?;
        Some(self.read_measured(&found, key).unwrap_or_else(|| stand_in(key)))
    }

    /// A count with the default of its key.
    #[must_use]
    pub fn count(&self, key: &Key) -> usize {
        self.count_by(key, key.value().unwrap_or(key.low) as usize, key.source)
    }

    /// A count whose default follows from other values; `how` says from which.
    #[must_use]
    pub fn count_by(&self, key: &Key, default: usize, how: &str) -> usize {
        let value = |count: &usize| Value::Count(*count);
        self.or_default(key, default, value, how, |f| self.read_count(f, key))
    }

    /// What is read under a key, or else the default, which is recorded where there is no such key.
    pub(super) fn or_default<T>(
        &self,
        key: &Key,
        default: T,
        value: impl Fn(&T) -> Value,
        how: &str,
        read: impl FnOnce(&Found<'_>) -> Option<T>,
    ) -> T {
        match self.find(key.name) {
            Some(found) => read(&found).unwrap_or(default),
            None => {
                self.record_default(key, || value(&default), how);
                default
            }
        }
    }

    pub(super) fn read_measured(&self, found: &Found<'_>, key: &Key) -> Option<Measured> {
        self.reader.read_whole(found.node, &found.path);
        let measured = self.typed(found, key.kind)?;
        self.check_range(found, key, measured.value)?;
        self.record_found(found, Value::Quantity(key.kind, measured));
        Some(measured)
    }

    fn read_count(&self, found: &Found<'_>, key: &Key) -> Option<usize> {
        self.reader.read_whole(found.node, &found.path);
        let Content::Number { value, whole, .. } = found.node.content else {
            self.wrong_type(found, "a whole number", &key.low.to_string());
            return None;
        };
        let (low, high) = (key.low, key.high);
        let clause = if !whole {
            "is not a whole number"
        } else if !(low..=high).contains(&value) {
            "is out of range"
        } else {
            self.record_found(found, Value::Count(value as usize));
            return Some(value as usize);
        };
        let hint = if high >= usize::MAX as f64 {
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

    fn check_range(&self, found: &Found<'_>, key: &Key, value: f64) -> Option<()> {
        let Key { kind, low, high, .. } = *key;
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
        self.reader.record(ValueRecord { path, value, origin, doubt: None });
    }

    pub(super) fn record_default(&self, key: &Key, value: impl Fn() -> Value, how: &str) {
        if self.is_present() {
            let (path, origin) = (self.path_of(key.name), Origin::Default(how.to_owned()));
            self.reader.record(ValueRecord { path, value: value(), origin, doubt: key.doubt });
        }
    }
}

/// A value of the kind as it stands in a file: texts in quotes, plain numbers without.
pub(super) fn example(kind: Kind) -> String {
    if kind.is_bare() { kind.example().to_owned() } else { format!("{:?}", kind.example()) }
}

fn stand_in(key: &Key) -> Measured {
    Measured { value: placeholder(key), sd: None }
}

/// A value inside the range, away from its ends where things may divide by zero.
pub(super) fn placeholder(key: &Key) -> f64 {
    let Key { low, high, .. } = *key;
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
