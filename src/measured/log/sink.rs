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
    /// Whether the time starts anew with each segment, as a counter did that started anew.
    pub segments: bool,
}

/// One reading of all sensors.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Time since the first row of the segment \[s\], strictly rising within it.
    pub time_s: f64,
    /// Counts up where a counter starts anew, from 0.
    pub segment: u32,
    /// Line of the raw text, from 1; the first of a reading that takes several.
    pub line: u64,
    /// Values in SI, one per column; NaN where there is none.
    pub values: Vec<f64>,
    /// A remark.
    pub note: Option<String>,
}

/// Takes the rows of a log one by one.
pub trait Sink {
    /// Whether it needs one axis of time: a counter that starts anew is an error then, unless the pause is stated.
    const ONE_AXIS: bool;

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

    /// Called when a sensor comes whose columns no line before had; whether there is a place for them behind the others.
    fn widen(&mut self, _columns: &[Column]) -> bool {
        false
    }

    /// Called when no line has come for a while: what was taken is to be seen.
    ///
    /// # Errors
    /// What went wrong with the output.
    fn rest(&mut self) -> io::Result<()> {
        Ok(())
    }
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
    const ONE_AXIS: bool = true;

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

    fn widen(&mut self, columns: &[Column]) -> bool {
        let missing = vec![f64::NAN; self.series.time_s.len()];
        let empty = |c: &Column| Channel {
            sensor: c.sensor.clone(),
            quantity: c.quantity,
            values: missing.clone(),
        };
        self.series.channels.extend(columns.iter().map(empty));
        true
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

/// Sends a series to a sink as if it came from a log: rows, raw lines and remarks as they are.
///
/// # Errors
/// What went wrong with the output.
pub fn replay<S: Sink>(series: &Series, sink: &mut S) -> io::Result<()> {
    let between = |v: &f64| *v > 0.0 && *v < 1.0;
    let column = |c: &Channel| Column {
        sensor: c.sensor.clone(),
        quantity: c.quantity,
        share: c.values.iter().any(between),
    };
    // The clock belongs to the first row, wherever the axis of times begins.
    let first_s = series.time_s.first().copied().unwrap_or(0.0);
    let start = series.start.map(|s| Start { clock_s: s.clock_s - first_s, ..s });
    let columns = series.channels.iter().map(column).collect();
    sink.begin(&Head { columns, start, notes: !series.notes.is_empty(), segments: false })?;
    let mut notes = series.notes.iter().peekable();
    for (i, &time_s) in series.time_s.iter().enumerate() {
        let mut words = Vec::new();
        while let Some((_, note)) = notes.next_if(|(at, _)| *at <= time_s) {
            words.push(note.as_str());
        }
        let note = (!words.is_empty()).then(|| words.join("; "));
        let value = |c: &Channel| c.values.get(i).copied().unwrap_or(f64::NAN);
        let values = series.channels.iter().map(value).collect();
        let line = series.line.get(i).copied().unwrap_or(0);
        sink.row(Row { time_s, segment: 0, line, values, note })?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_series_survives_its_replay() {
        let channel = |sensor: &str, quantity, values: &[f64]| Channel {
            sensor: sensor.into(),
            quantity,
            values: values.to_vec(),
        };
        let series = Series {
            time_s: vec![0.0, 30.0],
            line: vec![3, 5],
            start: Some(Start { clock_s: 36_000.0, dated: false, utc_offset_s: None }),
            channels: vec![
                channel("hot", Quantity::Temperature, &[300.0, 310.0]),
                channel("", Quantity::Heater, &[1.0, 0.5]),
            ],
            notes: vec![(30.0, "lid".into())],
        };
        let mut sink = SeriesSink::default();
        replay(&series, &mut sink).expect("memory");
        assert_eq!(sink.into_series(), series);
        // Moved on the clock of a run, the first row keeps its clock.
        let mut moved = series.clone();
        moved.time_s = vec![-60.0, -30.0];
        let mut sink = SeriesSink::default();
        replay(&moved, &mut sink).expect("memory");
        assert_eq!(sink.into_series().start.map(|s| s.clock_s - 60.0), Some(36_000.0));
    }
}
