//! A key of a file as data: what it takes, what holds without it, how far that may be off, what it is for.

use std::ops::RangeInclusive;

use serde::Serialize;

use crate::units::Kind;

/// One key of a table.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// Its name.
    pub name: &'static str,
    /// What it takes.
    pub takes: Takes,
    /// What a quantity measures; a plain number for counts.
    pub kind: Kind,
    /// Lowest value allowed, in SI.
    pub low: f64,
    /// Highest value allowed, in SI.
    pub high: f64,
    /// The words it may be, if it is one of some.
    pub words: &'static [&'static str],
    /// What holds without it.
    pub default: KeyDefault,
    /// Where that value comes from, or how it is found.
    pub source: &'static str,
    /// How far that value may be off, where it is a guess.
    pub doubt: Option<Doubt>,
    /// What it is, in one line.
    pub help: &'static str,
}

/// The form of a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Takes {
    /// A number with its unit.
    Quantity,
    /// A whole number.
    Count,
    /// One of some words.
    Word,
    /// A text or a name.
    Text,
    /// `true` or `false`.
    Switch,
    /// A list of numbers with their units.
    Quantities,
    /// A list of texts.
    Texts,
    /// A table of its own.
    Table,
    /// A list of tables.
    Tables,
}

/// What holds without a key.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum KeyDefault {
    /// It has to be given.
    Required,
    /// Nothing: the key may be left out.
    Nothing,
    /// This value, in SI; of a switch 0 or 1.
    Value(f64),
    /// This word.
    Word(&'static str),
    /// A value that follows from others, as the source says.
    Follows,
}

/// How far a default may be off, and how well that is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// Where the value lies for most boxes.
    pub likely: Likely,
    /// Its quality, as in the tables of materials: B handbook, C common practice or an order, D our estimate.
    pub quality: char,
}

/// Where a value is likely to lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Likely {
    /// From a value to a value, in SI.
    Between(f64, f64),
    /// The default divided or multiplied by so much.
    Within(f64),
}

impl Doubt {
    /// The ends of what is likely around `value`, in SI.
    #[must_use]
    pub fn ends(&self, value: f64) -> (f64, f64) {
        match self.likely {
            Likely::Between(low, high) => (low, high),
            Likely::Within(factor) => (value / factor, value * factor),
        }
    }
}

impl AsRef<str> for Key {
    fn as_ref(&self) -> &str {
        self.name
    }
}

const fn of(name: &'static str, takes: Takes) -> Key {
    Key {
        name,
        takes,
        kind: Kind::Number,
        low: f64::NEG_INFINITY,
        high: f64::INFINITY,
        words: &[],
        default: KeyDefault::Required,
        source: "",
        doubt: None,
        help: "",
    }
}

/// A quantity, in SI within `range`.
#[must_use]
pub const fn quantity(name: &'static str, kind: Kind, range: RangeInclusive<f64>) -> Key {
    Key { kind, low: *range.start(), high: *range.end(), ..of(name, Takes::Quantity) }
}

/// A plain number.
#[must_use]
pub const fn number(name: &'static str, range: RangeInclusive<f64>) -> Key {
    quantity(name, Kind::Number, range)
}

/// A whole number.
#[must_use]
pub const fn count(name: &'static str, range: RangeInclusive<usize>) -> Key {
    Key { low: *range.start() as f64, high: *range.end() as f64, ..of(name, Takes::Count) }
}

/// One of some words.
#[must_use]
pub const fn word(name: &'static str, words: &'static [&'static str]) -> Key {
    Key { words, ..of(name, Takes::Word) }
}

/// A text, such as the name of a zone.
#[must_use]
pub const fn text(name: &'static str) -> Key {
    of(name, Takes::Text)
}

/// `true` or `false`.
#[must_use]
pub const fn switch(name: &'static str) -> Key {
    of(name, Takes::Switch)
}

/// A list of quantities.
#[must_use]
pub const fn quantities(name: &'static str, kind: Kind, range: RangeInclusive<f64>) -> Key {
    Key { takes: Takes::Quantities, ..quantity(name, kind, range) }
}

/// A list of texts.
#[must_use]
pub const fn texts(name: &'static str) -> Key {
    Key { default: KeyDefault::Nothing, ..of(name, Takes::Texts) }
}

/// A table of its own, which may be left out.
#[must_use]
pub const fn table(name: &'static str) -> Key {
    Key { default: KeyDefault::Nothing, ..of(name, Takes::Table) }
}

/// A list of tables, which may be left out.
#[must_use]
pub const fn tables(name: &'static str) -> Key {
    Key { default: KeyDefault::Nothing, ..of(name, Takes::Tables) }
}

impl Key {
    /// With a value that holds without it (SI; a count as it is), and where that comes from.
    #[must_use]
    pub const fn or(self, value: f64, source: &'static str) -> Key {
        Key { default: KeyDefault::Value(value), source, ..self }
    }

    /// With a word that holds without it, and why.
    #[must_use]
    pub const fn or_word(self, word: &'static str, source: &'static str) -> Key {
        Key { default: KeyDefault::Word(word), source, ..self }
    }

    /// With a switch that holds without it, and why.
    #[must_use]
    pub const fn or_switch(self, on: bool, source: &'static str) -> Key {
        self.or(if on { 1.0 } else { 0.0 }, source)
    }

    /// With a default that follows from other values: how.
    #[must_use]
    pub const fn follows(self, source: &'static str) -> Key {
        Key { default: KeyDefault::Follows, source, ..self }
    }

    /// May be left out.
    #[must_use]
    pub const fn optional(self) -> Key {
        Key { default: KeyDefault::Nothing, ..self }
    }

    /// The default is a guess: where the value is likely to lie (SI), and the quality of that.
    #[must_use]
    pub const fn likely(self, low: f64, high: f64, quality: char) -> Key {
        Key { doubt: Some(Doubt { likely: Likely::Between(low, high), quality }), ..self }
    }

    /// The default is a guess: right within this factor, and the quality of that.
    #[must_use]
    pub const fn within(self, factor: f64, quality: char) -> Key {
        Key { doubt: Some(Doubt { likely: Likely::Within(factor), quality }), ..self }
    }

    /// Without a doubt: of a default that is none here.
    #[must_use]
    pub const fn certain(self) -> Key {
        Key { doubt: None, ..self }
    }

    /// With what it is, in one line.
    #[must_use]
    pub const fn help(self, help: &'static str) -> Key {
        Key { help, ..self }
    }

    /// With a range that other values narrow down, in SI.
    #[must_use]
    pub const fn in_range(self, range: RangeInclusive<f64>) -> Key {
        Key { low: *range.start(), high: *range.end(), ..self }
    }

    /// The factor within which whatever the default is lies for most boxes, where its doubt is one.
    #[must_use]
    pub const fn factor(&self) -> Option<f64> {
        match self.doubt {
            Some(Doubt { likely: Likely::Within(factor), .. }) => Some(factor),
            _ => None,
        }
    }

    /// Its default, in SI, where that is a number of its own.
    #[must_use]
    pub const fn value(&self) -> Option<f64> {
        match self.default {
            KeyDefault::Value(value) => Some(value),
            _ => None,
        }
    }
}

/// The keys of one table, as a part reads them.
#[derive(Clone, Copy, Debug)]
pub struct Keys {
    /// The table, such as `load.NAME`; empty for the top of the file.
    pub table: &'static str,
    /// Another key that decides whether these are read, and the word it has then.
    pub when: Option<(&'static str, &'static str)>,
    /// What the table is, in one line.
    pub help: &'static str,
    /// The keys, in the order in which a person would write them.
    pub keys: &'static [&'static Key],
}

impl Keys {
    /// Keys that are read whatever the others say.
    #[must_use]
    pub const fn always(
        table: &'static str,
        help: &'static str,
        keys: &'static [&'static Key],
    ) -> Self {
        Keys { table, when: None, help, keys }
    }

    /// Keys that are read where `key` is `word`.
    #[must_use]
    pub const fn when(
        table: &'static str,
        (key, word): (&'static str, &'static str),
        help: &'static str,
        keys: &'static [&'static Key],
    ) -> Self {
        Keys { table, when: Some((key, word)), help, keys }
    }
}
