//! Rows of an imported log as CSV or JSON, written one by one.

use std::io::{self, Write};

use serde_json::{Map, Value, json};

use super::decimal::{number, push};
use super::written::{From, Written};
use crate::measured::Quantity;
use crate::measured::log::lex::calendar::iso;
use crate::measured::log::{Column, Head, Moist, Row, Sink, Summary, moist};
use crate::physics::psychrometrics::DewPoint;
use crate::text::{csv_line, visible_json};
use crate::units::c_from_k;

/// How rows are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableStyle {
    /// Comma-separated values.
    Csv,
    /// One JSON document.
    Json,
    /// A JSON document for each row.
    JsonLines,
    /// Comma-separated values, one value a line with its sensor, quantity and unit.
    Long,
}

impl TableStyle {
    /// By its word; comma-separated values for any other.
    #[must_use]
    pub fn of(word: &str) -> Self {
        match word {
            "json" => Self::Json,
            "jsonl" => Self::JsonLines,
            "long" => Self::Long,
            _ => Self::Csv,
        }
    }
}

/// Writes rows in user units.
pub struct Writer<W: Write> {
    out: W,
    table: TableStyle,
    pressure_pa: f64,
    head: Option<Head>,
    columns: Vec<Written>,
    pairs: Vec<(String, usize, usize)>,
    pressure: Option<usize>,
    dew_point: DewPoint,
    rows: u64,
    /// The line that is being written.
    line: Vec<u8>,
}

/// Decimals of what sensors and counters give; trailing zeros are not written.
const DECIMALS: usize = 6;
/// Decimals of what is worked out: finer than any sensor.
const DERIVED: usize = 4;

impl<W: Write> Writer<W> {
    /// A table to `out`, with this pressure where the log has none.
    pub fn new(out: W, table: TableStyle, pressure_pa: f64) -> Self {
        let (columns, pairs) = (Vec::new(), Vec::new());
        let dew_point = DewPoint::new(pressure_pa);
        let line = Vec::new();
        Self {
            out,
            table,
            pressure_pa,
            head: None,
            columns,
            pairs,
            pressure: None,
            dew_point,
            rows: 0,
            line,
        }
    }

    /// Whether moist air was worked out with a pressure that the log does not give.
    pub fn lacks_pressure(&self) -> bool {
        self.pressure.is_none() && !self.pairs.is_empty()
    }

    /// The end of the output.
    pub fn end(mut self, summary: &Summary) -> io::Result<()> {
        if matches!(self.table, TableStyle::Json | TableStyle::JsonLines) {
            let classes: Map<String, Value> =
                summary.ledger.entries().map(|(c, n)| (c.key(), n.into())).collect();
            let tail = json!({
                "rows_written": summary.rows,
                "detected": summary.detected,
                "guesses": summary.guesses,
                "warnings": summary.warnings,
                "ledger": { "lines": summary.ledger.lines(), "classes": classes },
            });
            let text = visible_json(&tail.to_string()).into_owned();
            match self.table {
                TableStyle::Json => writeln!(self.out, "\n],\n{}", &text[1..])?,
                _ => writeln!(self.out, "{text}")?,
            }
        }
        self.out.flush()
    }

    fn plan(&mut self, head: &Head) {
        self.pairs = moist::pairs(&head.columns);
        self.pressure = head.columns.iter().position(|c| c.quantity == Quantity::Pressure);
        for (i, c) in head.columns.iter().enumerate() {
            let (word, from) = match c.quantity {
                Quantity::Temperature => ("temperature_C", From::Temperature(i)),
                Quantity::RelativeHumidity => ("relative_humidity_pct", From::Column(i, 100.0)),
                Quantity::Pressure => ("pressure_hPa", From::Column(i, 1e-2)),
                Quantity::SetPoint => ("set_point_C", From::Temperature(i)),
                Quantity::Heater if c.share => ("heater_pct", From::Column(i, 100.0)),
                Quantity::Heater => ("heater_on", From::Column(i, 1.0)),
                Quantity::Fan if c.share => ("fan_pct", From::Column(i, 100.0)),
                Quantity::Fan => ("fan_on", From::Column(i, 1.0)),
                Quantity::Power => ("power_W", From::Column(i, 1.0)),
                Quantity::Energy => ("energy_Wh", From::Column(i, 1.0 / 3.6e3)),
                Quantity::Mass => ("mass_g", From::Column(i, 1e3)),
                Quantity::Other => ("", From::Column(i, 1.0)),
            };
            self.columns.push(Written::new(&c.sensor, word, DECIMALS, from));
            let pair = self.pairs.iter().position(|(_, temp, rh)| {
                c.quantity == Quantity::RelativeHumidity && *rh == i
                    || c.quantity == Quantity::Temperature && *temp == i && *rh < i
            });
            let last = pair.filter(|p| i == self.pairs[*p].1.max(self.pairs[*p].2));
            for (k, word) in MOIST.iter().enumerate() {
                if let Some(pair) = last {
                    let from = From::Moist(pair, k);
                    self.columns.push(Written::new(&c.sensor, word, DERIVED, from));
                }
            }
        }
    }

    fn values(&mut self, row: &Row) -> Vec<f64> {
        let own = self.pressure.map_or(f64::NAN, |p| row.values[p]);
        let total = if own.is_finite() { own } else { self.pressure_pa };
        if total != self.dew_point.total_pa() {
            self.dew_point = DewPoint::new(total);
        }
        let dew_point = &mut self.dew_point;
        let mut moist = Moist::NONE;
        let mut last = usize::MAX;
        let mut value = |w: &Written| match w.from {
            From::Column(i, factor) => row.values[i] * factor,
            From::Temperature(i) => c_from_k(row.values[i]),
            From::Moist(pair, k) => {
                if pair != last {
                    let (_, t, rh) = self.pairs[pair];
                    moist = Moist::with(dew_point, row.values[t], row.values[rh]);
                    last = pair;
                }
                match k {
                    0 => c_from_k(moist.dew_point_k),
                    1 => moist.humidity_ratio * 1e3,
                    _ => moist.vapour_density_kg_m3 * 1e3,
                }
            }
        };
        self.columns.iter().map(&mut value).collect()
    }

    fn clock(&self, time_s: f64) -> Option<String> {
        let start = self.head.as_ref()?.start?;
        Some(iso(start.clock_s + time_s, start.dated, start.utc_offset_s))
    }

    fn has_segments(&self) -> bool {
        self.head.as_ref().is_some_and(|h| h.segments)
    }

    /// When a row was taken, and where it stands in the log.
    fn place(&self, row: &Row) -> Vec<String> {
        let mut cells = vec![number(row.time_s, DECIMALS)];
        cells.extend(self.has_segments().then(|| (row.segment + 1).to_string()));
        cells.extend(self.clock(row.time_s));
        cells.push(row.line.to_string());
        cells
    }

    fn long_rows(&mut self, row: &Row) -> io::Result<()> {
        let place = self.place(row);
        let values = self.values(row);
        for (value, written) in values.into_iter().zip(&self.columns) {
            if value.is_finite() {
                let (quantity, unit) = written.quantity();
                let sensor = if written.word.is_empty() { "" } else { &written.sensor };
                let own = [sensor, quantity, unit].map(str::to_owned);
                let value = number(value, written.decimals);
                let cells = place.iter().cloned().chain(own).chain([value]);
                self.out.write_all(csv_line(cells).as_bytes())?;
            }
        }
        if let Some(note) = &row.note {
            let own = ["".to_owned(), "note".to_owned(), "".to_owned(), note.clone()];
            self.out.write_all(csv_line(place.into_iter().chain(own)).as_bytes())?;
        }
        Ok(())
    }

    fn csv_row(&mut self, row: &Row) -> io::Result<()> {
        let mut line = std::mem::take(&mut self.line);
        line.clear();
        push(&mut line, row.time_s, DECIMALS);
        if self.has_segments() {
            line.push(b',');
            push(&mut line, f64::from(row.segment + 1), 0);
        }
        if let Some(clock) = self.clock(row.time_s) {
            line.push(b',');
            line.extend_from_slice(clock.as_bytes());
        }
        line.push(b',');
        push(&mut line, row.line as f64, 0);
        let values = self.values(row);
        for (value, written) in values.into_iter().zip(&self.columns) {
            line.push(b',');
            push(&mut line, value, written.decimals);
        }
        if self.head.as_ref().is_some_and(|h| h.notes) {
            line.push(b',');
            // The only cell that others wrote: one row of one cell, with its line end.
            match &row.note {
                Some(note) => line.extend_from_slice(csv_line([note]).as_bytes()),
                None => line.push(b'\n'),
            }
        } else {
            line.push(b'\n');
        }
        let written = self.out.write_all(&line);
        self.line = line;
        written
    }

    fn json_row(&mut self, row: &Row) -> io::Result<()> {
        let mut object = Map::new();
        object.insert("time_s".into(), row.time_s.into());
        if self.has_segments() {
            object.insert("segment".into(), (row.segment + 1).into());
        }
        if let Some(clock) = self.clock(row.time_s) {
            object.insert("clock".into(), clock.into());
        }
        object.insert("line".into(), row.line.into());
        let values = self.values(row);
        for (value, written) in values.into_iter().zip(&self.columns) {
            let shown = number(value, written.decimals).parse::<f64>();
            object.insert(written.header.clone(), shown.map_or(Value::Null, Value::from));
        }
        if let Some(note) = &row.note {
            object.insert("note".into(), note.clone().into());
        }
        let glue = if self.table == TableStyle::Json && self.rows > 0 { ",\n" } else { "" };
        let end = if self.table == TableStyle::Json { "" } else { "\n" };
        let object = Value::Object(object).to_string();
        write!(self.out, "{glue}{}{end}", visible_json(&object))
    }
}

const MOIST: [&str; 3] = ["dew_point_C", "humidity_ratio_g_kg", "vapour_density_g_m3"];

impl<W: Write> Sink for Writer<W> {
    const ONE_AXIS: bool = false;

    fn begin(&mut self, head: &Head) -> io::Result<()> {
        self.plan(head);
        self.head = Some(head.clone());
        let schema_version = crate::run::SCHEMA_VERSION;
        let units = "in the names: s, C, pct, g_kg, g_m3, hPa, W, Wh, g; on is 0 or 1";
        let opening = json!({ "schema_version": schema_version, "units": units }).to_string();
        match self.table {
            TableStyle::Json => {
                write!(self.out, "{},\n\"rows\":[\n", opening.trim_end_matches('}'))
            }
            TableStyle::JsonLines => writeln!(self.out, "{opening}"),
            TableStyle::Csv | TableStyle::Long => {
                let mut names = vec!["time_s"];
                names.extend(head.segments.then_some("segment"));
                names.extend(head.start.is_some().then_some("clock"));
                names.push("line");
                if self.table == TableStyle::Long {
                    names.extend(["sensor", "quantity", "unit", "value"]);
                    return self.out.write_all(csv_line(names).as_bytes());
                }
                names.extend(self.columns.iter().map(|c| c.header.as_str()));
                names.extend(head.notes.then_some("note"));
                self.out.write_all(csv_line(names).as_bytes())
            }
        }
    }

    fn row(&mut self, row: Row) -> io::Result<()> {
        match self.table {
            TableStyle::Csv => self.csv_row(&row)?,
            TableStyle::Long => self.long_rows(&row)?,
            _ => self.json_row(&row)?,
        }
        self.rows += 1;
        Ok(())
    }

    /// Lines of one value and objects with names have a place for any column; a table with a head has none.
    fn widen(&mut self, columns: &[Column]) -> bool {
        let Some(mut head) = self.head.take() else { return false };
        let wide = self.table == TableStyle::Csv;
        if !wide {
            head.columns.extend_from_slice(columns);
            self.columns.clear();
            self.plan(&head);
        }
        self.head = Some(head);
        !wide
    }

    fn rest(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}
