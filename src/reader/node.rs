//! The tree of a file: values with the place they came from.

use serde::Serialize;
use toml::de::{DeArray, DeTable, DeValue};

use super::path;

/// Where a value came from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Typed in the file.
    File {
        /// Line from 1.
        line: usize,
    },
    /// Typed on the command line with `--set`.
    Set,
    /// Set by a program that uses the library.
    Program,
    /// A point of a sweep.
    Axis,
    /// A parameter of a fit.
    Fit,
    /// Not given; the default, with its source.
    Default(String),
    /// Computed from other values, with how.
    Derived(String),
}

/// Line and column from 1, in characters; 0 for what is in no file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct SourcePlace {
    pub line: usize,
    pub column: usize,
}

#[derive(Clone, Debug)]
pub struct Node {
    pub content: Content,
    pub origin: Origin,
    pub place: SourcePlace,
}

#[derive(Clone, Debug)]
pub enum Content {
    Text(String),
    Number {
        typed: String,
        value: f64,
        whole: bool,
    },
    Boolean(bool),
    Date(String),
    Array(Vec<Node>),
    /// In file order.
    Table(Vec<(Key, Node)>),
}

#[derive(Clone, Debug)]
pub struct Key {
    pub name: String,
    pub place: SourcePlace,
}

impl Node {
    /// The direct child of a table or array.
    pub fn child(&self, segment: &str) -> Option<&Self> {
        match &self.content {
            Content::Table(entries) => {
                entries.iter().find(|(k, _)| k.name == segment).map(|(_, n)| n)
            }
            Content::Array(items) => items.get(segment.parse::<usize>().ok()?),
            _ => None,
        }
    }

    /// The value as it would be typed, for messages; shortened when long.
    pub fn shown(&self) -> String {
        /// Characters of a value quoted in a message; a line of text has about 80.
        const LONGEST: usize = 60;
        let full = self.content.typed(true);
        if full.chars().count() <= LONGEST {
            return full;
        }
        let head: String = full.chars().take(LONGEST).collect();
        format!("{head}…")
    }

    /// The value as typed on a command line, texts without quotes.
    pub fn shown_bare(&self) -> String {
        match &self.content {
            Content::Text(text)
                if text.chars().count() <= 60 && !text.contains(char::is_control) =>
            {
                text.clone()
            }
            _ => self.shown(),
        }
    }
}

impl Content {
    /// What it is, in words.
    pub fn noun(&self) -> &'static str {
        match self {
            Self::Text(_) => "a text",
            Self::Number { .. } => "a number",
            Self::Boolean(_) => "true or false",
            Self::Date(_) => "a date",
            Self::Array(_) => "a list",
            Self::Table(_) => "a table",
        }
    }

    pub fn is_branch(&self) -> bool {
        matches!(self, Self::Array(_) | Self::Table(_))
    }

    /// The value in TOML notation; texts quoted on request (always inside lists).
    pub fn typed(&self, quoted: bool) -> String {
        match self {
            Self::Text(text) if quoted => format!("{text:?}"),
            Self::Text(text) | Self::Date(text) => text.clone(),
            Self::Number { typed, .. } => typed.clone(),
            Self::Boolean(value) => value.to_string(),
            Self::Array(items) => {
                let items: Vec<String> = items.iter().map(|n| n.content.typed(true)).collect();
                format!("[{}]", items.join(", "))
            }
            Self::Table(entries) => {
                let entry = |(k, n): &(Key, Node)| {
                    format!("{} = {}", path::join("", &k.name), n.content.typed(true))
                };
                let entries: Vec<String> = entries.iter().map(entry).collect();
                format!("{{ {} }}", entries.join(", "))
            }
        }
    }
}

/// Turns the parser's tree into nodes, with places found by `locate` and one origin per place.
pub struct Grower<'a> {
    pub locate: &'a dyn Fn(usize) -> SourcePlace,
    pub origin: &'a dyn Fn(SourcePlace) -> Origin,
}

impl Grower<'_> {
    pub fn node(&self, value: &DeValue<'_>, at: usize) -> Node {
        let place = (self.locate)(at);
        Node { content: self.content(value), origin: (self.origin)(place), place }
    }

    fn content(&self, value: &DeValue<'_>) -> Content {
        match value {
            DeValue::String(text) => Content::Text(text.to_string()),
            DeValue::Integer(number) => {
                let value = integer(number.as_str(), number.radix());
                let typed =
                    if number.radix() == 10 { number.to_string() } else { value.to_string() };
                Content::Number { typed, value, whole: true }
            }
            DeValue::Float(number) => Content::Number {
                typed: number.to_string(),
                value: number.as_str().parse().unwrap_or(f64::NAN),
                whole: false,
            },
            DeValue::Boolean(value) => Content::Boolean(*value),
            DeValue::Datetime(date) => Content::Date(date.to_string()),
            DeValue::Array(items) => self.array(items),
            DeValue::Table(entries) => self.table(entries),
        }
    }

    fn array(&self, items: &DeArray<'_>) -> Content {
        Content::Array(items.iter().map(|v| self.node(v.get_ref(), v.span().start)).collect())
    }

    pub fn table(&self, entries: &DeTable<'_>) -> Content {
        let entry = |(key, value): (&toml::Spanned<_>, &toml::Spanned<DeValue<'_>>)| {
            let name: &std::borrow::Cow<'_, str> = key.get_ref();
            let place = (self.locate)(key.span().start);
            (Key { name: name.to_string(), place }, self.node(value.get_ref(), value.span().start))
        };
        let mut entries: Vec<(Key, Node)> = entries.iter().map(entry).collect();
        entries.sort_by_key(|(key, _)| key.place);
        Content::Table(entries)
    }
}

/// Whole numbers of any length become the nearest `f64`, which is all that is ever needed.
fn integer(digits: &str, radix: u32) -> f64 {
    if radix == 10 {
        return digits.parse().unwrap_or(f64::NAN);
    }
    let add =
        |sum: f64, c: char| sum * f64::from(radix) + f64::from(c.to_digit(radix).unwrap_or(0));
    digits.chars().fold(0.0, add)
}
