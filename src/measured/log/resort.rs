//! A small buffer that puts late lines back in order, and the gate before the sink.

use std::io;

use super::clock::Clock;
use super::complaint::Tally;
use super::ledger::{Class, Ledger};
use super::sink::{Column, Head, Row, Sink};

/// Rows held back to be sorted.
pub const MOST_ROWS: usize = 64;
/// Steps of time finer than this \[s\] are round-off of large counters.
const FINEST_S: f64 = 1e-6;
/// A step is a gap when it is this many times the usual one.
const GAP: f64 = 2.5;

/// A reading on its way.
#[derive(Clone, Debug)]
pub struct Pending {
    /// Seconds on the axis of the clock.
    pub at: f64,
    /// Line it came from.
    pub line: u64,
    /// Values in SI.
    pub values: Vec<f64>,
    /// A remark.
    pub note: Option<String>,
    /// What its line is if it goes out.
    pub class: Class,
    /// Whether it decides about the class of its line.
    pub owner: bool,
}

/// Rows out, in order.
#[derive(Debug)]
pub struct Gate {
    held: Vec<Pending>,
    most_held: usize,
    last: Option<(f64, Vec<f64>)>,
    first: f64,
    /// The head, once the first row is out.
    pub head: Option<Head>,
    /// Rows out.
    pub rows: u64,
    steps: Vec<f64>,
    gaps: (u64, f64, u64),
}

impl Gate {
    /// An empty one.
    #[must_use]
    #[allow(clippy::new_without_default)] // made in one place, never by default
    pub fn new() -> Self {
        Self {
            held: Vec::with_capacity(MOST_ROWS + 1),
            most_held: 0,
            last: None,
            first: 0.0,
            head: None,
            rows: 0,
            steps: Vec::new(),
            gaps: (0, 0.0, 0),
        }
    }

    /// Most rows held at any time.
    #[must_use]
    pub fn most_held(&self) -> usize {
        self.most_held
    }

    /// Takes a row; the earliest goes out when the buffer is full.
    pub fn push<S: Sink>(&mut self, row: Pending, out: &mut Out<'_, S>) -> io::Result<()> {
        let place = self.held.partition_point(|h| h.at <= row.at);
        if place < self.held.len() {
            out.tally.note("disorder", row.line, "a line comes late and is sorted in");
        }
        self.held.insert(place, row);
        self.most_held = self.most_held.max(self.held.len());
        if self.held.len() > MOST_ROWS {
            let first = self.held.remove(0);
            self.emit(first, out)?;
        }
        Ok(())
    }

    /// Lets all rows out.
    pub fn flush<S: Sink>(&mut self, out: &mut Out<'_, S>) -> io::Result<()> {
        for row in std::mem::take(&mut self.held) {
            self.emit(row, out)?;
        }
        Ok(())
    }

    fn emit<S: Sink>(&mut self, row: Pending, out: &mut Out<'_, S>) -> io::Result<()> {
        if self.last.is_none() {
            self.begin(row.at, out)?;
        }
        let time_s = ((row.at - self.first) / FINEST_S).round() / (1.0 / FINEST_S);
        if let Some((last, values)) = &self.last {
            let same =
                values.iter().zip(&row.values).all(|(a, b)| a == b || a.is_nan() && b.is_nan());
            let rejected = match time_s - last {
                d if d > FINEST_S / 2.0 => None,
                d if d < -FINEST_S / 2.0 => {
                    Some((Class::OutOfOrder, "a line comes too late to be sorted in"))
                }
                _ if same => Some((Class::Duplicate, "the same reading at the same time again")),
                _ => Some((Class::SameTime, "another reading at the same time; the first is kept")),
            };
            if let Some((class, what)) = rejected {
                out.tally.note("order", row.line, what);
                if row.owner {
                    out.ledger.put(class);
                }
                return Ok(());
            }
            self.step(time_s - last, row.line);
        }
        if row.owner {
            out.ledger.put(row.class);
        }
        self.rows += 1;
        self.last = Some((time_s, row.values.clone()));
        let Pending { line, values, note, .. } = row;
        out.sink.row(Row { time_s, line, values, note })
    }

    fn begin<S: Sink>(&mut self, at: f64, out: &mut Out<'_, S>) -> io::Result<()> {
        self.first = at;
        let start = out.start.or(out.clock.start(at));
        let head = Head { columns: out.columns.to_vec(), start, notes: out.notes };
        out.sink.begin(&head)?;
        self.head = Some(head);
        Ok(())
    }

    fn step(&mut self, step: f64, line: u64) {
        let mut sorted = self.steps.clone();
        sorted.sort_by(f64::total_cmp);
        let usual = sorted.get(sorted.len() / 2).copied();
        if let Some(usual) = usual.filter(|u| self.steps.len() >= 3 && step > GAP * u) {
            let _ = usual;
            self.gaps.0 += 1;
            if step > self.gaps.1 {
                (self.gaps.1, self.gaps.2) = (step, line);
            }
            return;
        }
        if self.steps.len() == 15 {
            self.steps.remove(0);
        }
        self.steps.push(step);
    }

    /// Number of gaps, the longest \[s\] and the line after it.
    #[must_use]
    pub fn gaps(&self) -> (u64, f64, u64) {
        self.gaps
    }
}

/// What a row needs on its way out.
pub struct Out<'a, S> {
    /// Where rows go.
    pub sink: &'a mut S,
    /// The count of lines.
    pub ledger: &'a mut Ledger,
    /// Things to tell.
    pub tally: &'a mut Tally,
    /// Columns of the rows.
    pub columns: &'a [Column],
    /// Whether rows may have remarks.
    pub notes: bool,
    /// The clock of the log.
    pub clock: &'a Clock,
    /// A pinned clock of the first row.
    pub start: Option<crate::measured::Start>,
}
