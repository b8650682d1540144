//! Where rows go: a trait, and the sink that builds a [`Series`].

use std::io;

use crate::measured::{Channel, Quantity, Series, Start};

/// One column of the rows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Sensor; empty for the only one.
    pub sensor: String,
    /// What it holds.
    pub quantity: Quantity,
    /// For a heater or fan: whether the log gives shares and not only on and off.
    pub share: bool,
}

/// What is known before the first row.
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// Columns of the values of every row.
    pub columns: Vec<Column>,
    /// The clock at time 0, when the log has one.
    pub start: Option<Start>,
    /// Whether the log has a column of remarks.
    pub notes: bool,
}

/// One reading of all sensors.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Time since the first row \[s\], strictly rising.
    pub time_s: f64,
    /// Line of the raw text, from 1; the first of a reading that takes several.
    pub line: u64,
    /// Values in SI, one per column; NaN where there is none.
    pub values: Vec<f64>,
    /// A remark.
    pub note: Option<String>,
}

/// Takes the rows of a log one by one.
pub trait Sink {
    /// Called once, before the first row.
    ///
    /// # Errors
    /// What went wrong with the output.
    fn begin(&mut self, head: &Head) -> io::Result<()>;

    /// Called for every row, in rising time.
    ///
    /// # Errors
    /// What went wrong with the output.
    fn row(&mut self, row: Row) -> io::Result<()>;
}

/// Builds a [`Series`] in memory.
#[derive(Clone, Debug, Default)]
pub struct SeriesSink {
    series: Series,
}

impl SeriesSink {
    /// The series so far.
    #[must_use]
    pub fn into_series(self) -> Series {
        self.series
    }
}

impl Sink for SeriesSink {
    fn begin(&mut self, head: &Head) -> io::Result<()> {
        self.series.start = head.start;
        let empty = |c: &Column| Channel {
            sensor: c.sensor.clone(),
            quantity: c.quantity,
            values: Vec::new(),
        };
        self.series.channels = head.columns.iter().map(empty).collect();
        Ok(())
    }

    fn row(&mut self, row: Row) -> io::Result<()> {
        self.series.time_s.push(row.time_s);
        self.series.line.push(row.line);
        for (channel, value) in self.series.channels.iter_mut().zip(row.values) {
            channel.values.push(value);
        }
        self.series.notes.extend(row.note.map(|text| (row.time_s, text)));
        Ok(())
    }
}
