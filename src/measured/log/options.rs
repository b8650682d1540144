//! What a person may pin about a log, on the command line or in a run folder.

use super::lex::Decimal;
use super::lex::unit::{self, Unit};
use crate::reader::{Key, Section, key};
use crate::units::Kind;

/// How the bytes are to be read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Encoding {
    /// By their look.
    #[default]
    Auto,
    /// UTF-8; lines that are not are read as Latin-1.
    Utf8,
    /// UTF-16, either byte order.
    Utf16,
    /// Latin-1.
    Latin1,
}

/// Order of day and month in `03/04/2026`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DateOrder {
    /// Day first.
    Dmy,
    /// Month first.
    Mdy,
}

/// What splits a row into fields.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Separator {
    /// One character.
    Char(char),
    /// One or more blanks or tabs.
    Blanks,
}

impl Separator {
    /// How it is called in what the program says, and typed.
    #[must_use]
    pub fn shown(self) -> String {
        match self {
            Self::Char('\t') => "tab".into(),
            Self::Blanks => "space".into(),
            Self::Char(c) => c.to_string(),
        }
    }
}

/// Everything that can be pinned; what is `None` is found out and told.
///
/// In a run folder the same names are keys of the table of the log: see [`ImportOptions::read`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ImportOptions {
    /// Names of the columns from the left, instead of a header; `-` for one to leave out.
    pub columns: Option<Vec<String>>,
    /// What splits fields.
    pub separator: Option<Separator>,
    /// Decimal mark.
    pub decimal: Option<Decimal>,
    /// Time between readings \[s\] of a log without times.
    pub interval_s: Option<f64>,
    /// Order of day and month.
    pub date_order: Option<DateOrder>,
    /// Unit of a counter.
    pub time_unit: Option<Unit>,
    /// Unit of temperatures that name none.
    pub temperature_unit: Option<Unit>,
    /// Unit of relative humidities that name none: percent or fraction.
    pub humidity_unit: Option<Unit>,
    /// Part of the unit that a whole number of temperature counts: 0.1 or 0.01.
    pub temperature_parts: Option<f64>,
    /// The same for relative humidities.
    pub humidity_parts: Option<f64>,
    /// How the bytes are read.
    pub encoding: Encoding,
    /// Clock of the first row, as a date with a clock.
    pub start: Option<String>,
    /// New names of sensors: as in the log, and as wanted.
    pub sensor: Vec<(String, String)>,
    /// Whether temperature and humidity change places.
    pub swap: bool,
    /// Pressure of the air \[Pa\] where the log has none.
    pub pressure_pa: Option<f64>,
    /// Whether readings that take turns between levels are those of one sensor all the same.
    pub one_sensor: bool,
    /// Time from the last reading before a restart of the counter to the first one after it \[s\].
    pub pause_s: Option<f64>,
    /// Whether a guess is an error.
    pub strict: bool,
}

/// Words of `--separator`.
pub const SEPARATORS: [&str; 6] = ["comma", "semicolon", "tab", "space", "bar", "slash"];
/// Words of `--decimal`.
pub const DECIMALS: [&str; 2] = ["point", "comma"];
/// Words of `--date-order`.
pub const DATE_ORDERS: [&str; 2] = ["dmy", "mdy"];
/// Words of `--time-unit`.
pub const TIME_UNITS: [&str; 6] = ["s", "ms", "us", "ns", "min", "h"];
/// Words of `--temperature-unit`.
pub const TEMPERATURE_UNITS: [&str; 9] =
    ["C", "F", "K", "0.1 C", "0.01 C", "0.001 C", "0.1 F", "0.01 F", "0.1 K"];
/// Words of `--humidity-unit`.
pub const HUMIDITY_UNITS: [&str; 5] =
    ["percent", "fraction", "0.1 percent", "0.01 percent", "0.001 percent"];
/// Words of `--encoding`.
pub const ENCODINGS: [&str; 4] = ["auto", "utf8", "utf16", "latin1"];

/// Allowed times between readings \[s\]: a fast logger to one reading a day.
pub const INTERVALS: std::ops::RangeInclusive<f64> = 1e-3..=86_400.0;
/// Allowed pauses at a restart of a counter \[s\].
pub const PAUSES: std::ops::RangeInclusive<f64> = 1e-3..=3.2e7;
/// Allowed pressures \[Pa\], from high mountains to the lowest valleys.
pub const PRESSURES: std::ops::RangeInclusive<f64> = 50e3..=110e3;

const COLUMNS: Key = key::texts("columns")
    .help("names of the columns from the left, in place of a header; - leaves one out");
const SEPARATOR: Key =
    key::word("separator", &SEPARATORS).optional().help("what stands between the columns");
const DECIMAL: Key = key::word("decimal", &DECIMALS).optional().help("sign before the decimals");
const INTERVAL: Key = key::quantity("interval", Kind::Time, INTERVALS)
    .optional()
    .help("time from row to row, for a log without times");
const DATE_ORDER: Key =
    key::word("date_order", &DATE_ORDERS).optional().help("order of day and month");
const TIME_UNIT: Key =
    key::word("time_unit", &TIME_UNITS).optional().help("unit of a counter of time");
const TEMPERATURE_UNIT: Key = key::word("temperature_unit", &TEMPERATURE_UNITS)
    .optional()
    .help("unit of temperatures that name none");
const HUMIDITY_UNIT: Key = key::word("humidity_unit", &HUMIDITY_UNITS)
    .optional()
    .help("unit of relative humidities that name none");
const ENCODING: Key = key::word("encoding", &ENCODINGS)
    .optional()
    .help("how the text is stored; found out without it");
const START: Key =
    key::text("start").optional().help("clock of the first row, as a date with a clock");
const SENSOR: Key =
    key::table("sensor").help("new names of sensors: name in the log = name in results");
const SWAP: Key = key::switch("swap")
    .or_switch(false, "columns as labelled")
    .help("whether temperature and humidity are labelled the wrong way round");
const PRESSURE: Key = key::quantity("pressure", Kind::Pressure, PRESSURES)
    .optional()
    .help("pressure of the air, where the log has none");
const ONE_SENSOR: Key = key::switch("one_sensor")
    .or_switch(false, "levels that take turns are asked about")
    .help("whether readings that take turns between levels are those of one sensor");
const PAUSE: Key = key::quantity("pause", Kind::Time, PAUSES)
    .optional()
    .help("time from the last reading before a restart of the counter to the first one after it");
const STRICT: Key =
    key::switch("strict").or_switch(false, "guesses are told").help("whether guesses are errors");

impl ImportOptions {
    /// Its keys.
    pub const KEYS: &'static [&'static Key] = &[
        &COLUMNS,
        &SEPARATOR,
        &DECIMAL,
        &INTERVAL,
        &DATE_ORDER,
        &TIME_UNIT,
        &TEMPERATURE_UNIT,
        &HUMIDITY_UNIT,
        &ENCODING,
        &START,
        &SENSOR,
        &SWAP,
        &PRESSURE,
        &ONE_SENSOR,
        &PAUSE,
        &STRICT,
    ];

    /// The separator of a word of [`SEPARATORS`].
    #[must_use]
    pub fn separator_of(word: &str) -> Option<Separator> {
        Some(match word {
            "comma" | "," => Separator::Char(','),
            "semicolon" | ";" => Separator::Char(';'),
            "tab" => Separator::Char('\t'),
            "bar" | "|" => Separator::Char('|'),
            "slash" | "/" => Separator::Char('/'),
            "space" => Separator::Blanks,
            _ => return None,
        })
    }

    /// The decimal mark of a word of [`DECIMALS`].
    #[must_use]
    pub fn decimal_of(word: &str) -> Option<Decimal> {
        match word {
            "point" => Some(Decimal::Point),
            "comma" => Some(Decimal::Comma),
            _ => None,
        }
    }

    /// The order of a word of [`DATE_ORDERS`].
    #[must_use]
    pub fn date_order_of(word: &str) -> Option<DateOrder> {
        match word {
            "dmy" => Some(DateOrder::Dmy),
            "mdy" => Some(DateOrder::Mdy),
            _ => None,
        }
    }

    /// The encoding of a word of [`ENCODINGS`].
    #[must_use]
    pub fn encoding_of(word: &str) -> Encoding {
        match word {
            "utf8" => Encoding::Utf8,
            "utf16" => Encoding::Utf16,
            "latin1" => Encoding::Latin1,
            _ => Encoding::Auto,
        }
    }

    /// The unit of a word of [`TIME_UNITS`], [`TEMPERATURE_UNITS`] or [`HUMIDITY_UNITS`].
    #[must_use]
    pub fn unit_of(word: &str) -> Option<Unit> {
        let name = word.rsplit(' ').next().unwrap_or(word);
        unit::word(&name.to_lowercase())
    }

    /// The part of the unit that such a word says a whole number counts, `0.01 C`.
    #[must_use]
    pub fn parts_of(word: &str) -> Option<f64> {
        word.split_once(' ').and_then(|(parts, _)| parts.parse().ok())
    }

    /// Reads the same keys from a table of a file: the names of the options with underscores.
    #[must_use]
    pub fn read(table: &Section<'_>) -> Self {
        let word = |key: &Key| table.has(key).then(|| table.choice(key));
        let sensor = table.section_opt(&SENSOR).map(|names| names.texts_by_name());
        Self {
            columns: table.texts_opt(&COLUMNS),
            separator: word(&SEPARATOR).and_then(Self::separator_of),
            decimal: word(&DECIMAL).and_then(Self::decimal_of),
            interval_s: table.quantity_opt(&INTERVAL),
            date_order: word(&DATE_ORDER).and_then(Self::date_order_of),
            time_unit: word(&TIME_UNIT).and_then(Self::unit_of),
            temperature_unit: word(&TEMPERATURE_UNIT).and_then(Self::unit_of),
            humidity_unit: word(&HUMIDITY_UNIT).and_then(Self::unit_of),
            temperature_parts: word(&TEMPERATURE_UNIT).and_then(Self::parts_of),
            humidity_parts: word(&HUMIDITY_UNIT).and_then(Self::parts_of),
            encoding: word(&ENCODING).map_or(Encoding::Auto, Self::encoding_of),
            start: table.text_opt(&START),
            sensor: sensor.unwrap_or_default(),
            swap: table.switch(&SWAP),
            pressure_pa: table.quantity_opt(&PRESSURE),
            one_sensor: table.switch(&ONE_SENSOR),
            pause_s: table.quantity_opt(&PAUSE),
            strict: table.switch(&STRICT),
        }
    }

    /// The wanted name of a sensor, if it has a new one.
    #[must_use]
    pub fn renamed(&self, name: &str) -> Option<&str> {
        let same = |old: &str| old.eq_ignore_ascii_case(name);
        self.sensor.iter().find(|(old, _)| same(old)).map(|(_, new)| new.as_str())
    }
}
