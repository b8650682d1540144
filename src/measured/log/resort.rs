//! A small buffer that puts late lines back in order and joins what belongs to one time, and the gate before the sink.

use std::collections::VecDeque;
use std::io;

use super::clock::{At, Clock};
use super::complaint::Tally;
use super::decide::ReadingPlan;
use super::ledger::{Class, Ledger};
use super::sink::{Column, Head, Row, Sink};
use crate::measured::Quantity;

/// Rows held back to be sorted: as many as the lines that are looked at before the form is decided, so that two tables
/// of such a log find to each other.
pub const MOST_ROWS: usize = super::SAMPLE_LINES;
/// Steps of time finer than this \[s\] are round-off of large counters.
const FINEST_S: f64 = 1e-6;
/// A step is a gap when it is this many times the usual one.
const GAP: f64 = 2.5;

/// A set of columns; those beyond the last bit share it.
pub type ColumnSet = u128;

/// The set of one column.
#[must_use]
pub fn bit(column: usize) -> ColumnSet {
    1 << column.min(127)
}

/// A reading on its way.
#[derive(Clone, Debug)]
pub struct Pending {
    /// Its time.
    pub at: At,
    /// Line it came from.
    pub line: u64,
    /// Values in SI.
    pub values: Vec<f64>,
    /// Columns that its line speaks of.
    pub touched: ColumnSet,
    /// A remark.
    pub note: Option<String>,
    /// What its line is if it goes out.
    pub class: Class,
    /// Whether it decides about the class of its line.
    pub owner: bool,
}

/// The row that went out last.
#[derive(Debug)]
struct Last {
    segment: u32,
    time_s: f64,
    values: Vec<f64>,
}

/// Rows out, in order.
#[derive(Debug)]
pub struct Gate {
    held: VecDeque<Pending>,
    most_held: usize,
    last: Option<Last>,
    first: f64,
    /// The head, once the first row is out.
    pub head: Option<Head>,
    /// Rows out.
    pub rows: u64,
    steps: Vec<f64>,
    usual: f64,
    gaps: (u64, f64, u64),
    /// The line where the first segment after the first begins.
    pub restarted: Option<u64>,
}

impl Gate {
    /// An empty one.
    #[must_use]
    #[allow(clippy::new_without_default)] // made in one place, never by default
    pub fn new() -> Self {
        Self {
            held: VecDeque::new(),
            most_held: 0,
            last: None,
            first: 0.0,
            head: None,
            rows: 0,
            steps: Vec::new(),
            usual: f64::INFINITY,
            gaps: (0, 0.0, 0),
            restarted: None,
        }
    }

    /// Most rows held at any time.
    #[must_use]
    pub fn most_held(&self) -> usize {
        self.most_held
    }

    /// Segments so far.
    #[must_use]
    pub fn segments(&self) -> u32 {
        self.last.as_ref().map_or(0, |l| l.segment + 1)
    }

    /// Takes a row; the earliest goes out when the buffer is full.
    pub fn push<S: Sink>(&mut self, row: Pending, out: &mut Out<'_, S>) -> io::Result<()> {
        let mut place = self.held.len();
        while place > 0 && self.held[place - 1].at > row.at {
            place -= 1;
        }
        // What other sensors read at the same time belongs to the same row.
        let mut same = place;
        while same > 0 && near(self.held[same - 1].at, row.at) {
            same -= 1;
            if self.held[same].touched & row.touched == 0 && row.touched != 0 {
                return self.join(same, row, out);
            }
        }
        if place < self.held.len() && self.held[place].touched & row.touched != 0 {
            out.tally.note("disorder", row.line, "a line comes late and is sorted in");
        }
        if place == self.held.len() {
            self.held.push_back(row);
        } else {
            self.held.insert(place, row);
        }
        self.most_held = self.most_held.max(self.held.len());
        if self.held.len() > MOST_ROWS
            && let Some(first) = self.held.pop_front()
        {
            self.emit(first, out)?;
        }
        Ok(())
    }

    /// Adds a reading to the row of its time.
    fn join<S: Sink>(
        &mut self,
        place: usize,
        row: Pending,
        out: &mut Out<'_, S>,
    ) -> io::Result<()> {
        let to = &mut self.held[place];
        for (value, new) in to.values.iter_mut().zip(&row.values) {
            if new.is_finite() {
                *value = *new;
            }
        }
        to.touched |= row.touched;
        to.class = out.vital.class(to.touched, &to.values);
        to.note = match (to.note.take(), row.note) {
            (Some(a), Some(b)) => Some(format!("{a}; {b}")),
            (a, b) => a.or(b),
        };
        if row.owner {
            out.ledger.put(Class::InBlock);
        }
        Ok(())
    }

    /// Gives the rows so far this many columns.
    pub fn widen(&mut self, count: usize) {
        self.held.iter_mut().for_each(|r| r.values.resize(count, f64::NAN));
        if let Some(last) = &mut self.last {
            last.values.resize(count, f64::NAN);
        }
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
            self.begin(row.at.second, out)?;
        }
        let segment = row.at.segment;
        if self.last.as_ref().is_some_and(|l| segment > l.segment) {
            self.restarted = self.restarted.or(Some(row.line));
            self.first = row.at.second;
            self.last = None;
        }
        let time_s = ((row.at.second - self.first) / FINEST_S).round() / (1.0 / FINEST_S);
        if let Some(last) = &self.last {
            let all = last.values.iter().zip(&row.values);
            let same = all.clone().all(|(a, b)| a == b || a.is_nan() && b.is_nan());
            let rejected = match time_s - last.time_s {
                _ if segment < last.segment => {
                    Some((Class::OutOfOrder, "a line comes too late to be sorted in"))
                }
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
            self.step(time_s - last.time_s, row.line);
        }
        if row.owner {
            out.ledger.put(row.class);
        }
        self.rows += 1;
        let Pending { line, values, note, .. } = row;
        match &mut self.last {
            Some(last) => {
                last.time_s = time_s;
                last.values.clone_from(&values);
            }
            None => self.last = Some(Last { segment, time_s, values: values.clone() }),
        }
        out.sink.row(Row { time_s, segment, line, values, note })
    }

    fn begin<S: Sink>(&mut self, at: f64, out: &mut Out<'_, S>) -> io::Result<()> {
        self.first = at;
        let start = out.start.or(out.clock.and_then(|c| c.start(at)));
        let columns = out.columns.to_vec();
        let head = Head { columns, start, notes: out.notes, segments: out.segments };
        out.sink.begin(&head)?;
        self.head = Some(head);
        Ok(())
    }

    fn step(&mut self, step: f64, line: u64) {
        if self.steps.len() >= 3 && step > GAP * self.usual {
            self.gaps.0 += 1;
            if step > self.gaps.1 {
                (self.gaps.1, self.gaps.2) = (step, line);
            }
            return;
        }
        // Steps that are all the same, as most are, need no new middle.
        if self.steps.len() == 15 && self.steps.iter().all(|s| *s == step) {
            return;
        }
        if self.steps.len() == 15 {
            self.steps.remove(0);
        }
        self.steps.push(step);
        let mut sorted = self.steps.clone();
        sorted.sort_by(f64::total_cmp);
        self.usual = sorted[sorted.len() / 2];
    }

    /// Number of gaps, the longest \[s\] and the line after it.
    #[must_use]
    pub fn gaps(&self) -> (u64, f64, u64) {
        self.gaps
    }
}

fn near(a: At, b: At) -> bool {
    a.segment == b.segment && (a.second - b.second).abs() < FINEST_S / 2.0
}

/// Columns of the air, in groups that a reading has together: what makes a reading complete.
#[derive(Clone, Debug, Default)]
pub struct Vital {
    /// The groups: one for each sensor where lines are of one sensor each, else one of all.
    pub groups: Vec<ColumnSet>,
}

impl Vital {
    /// What makes a reading complete: all columns of the air, or those of one sensor where a line is of one.
    #[must_use]
    pub fn of(plan: &ReadingPlan) -> Self {
        let air = |q: Quantity| matches!(q, Quantity::Temperature | Quantity::RelativeHumidity);
        let place = |test: &dyn Fn(usize) -> bool| {
            (0..plan.columns.len()).filter(|i| test(*i)).fold(0, |all, i| all | bit(i))
        };
        let mut all = place(&|i| air(plan.columns[i].quantity));
        if all == 0 {
            all = place(&|_| true);
        }
        let apart =
            plan.layouts.len() > 1 || plan.layouts.iter().any(|l| l.pivot.is_some() || l.tagged);
        if !apart {
            return Self { groups: vec![all] };
        }
        let mut sensors: Vec<&str> = plan.columns.iter().map(|c| c.sensor.as_str()).collect();
        sensors.sort_unstable();
        sensors.dedup();
        let of = |sensor: &str| all & place(&|i| plan.columns[i].sensor == sensor);
        Self { groups: sensors.into_iter().map(of).filter(|g| *g != 0).collect() }
    }

    /// All columns of all groups.
    #[must_use]
    pub fn all(&self) -> ColumnSet {
        self.groups.iter().fold(0, |all, g| all | g)
    }

    /// How complete the values are that belong to these columns.
    #[must_use]
    pub fn class(&self, touched: ColumnSet, values: &[f64]) -> Class {
        let needed = self.groups.iter().filter(|g| **g & touched != 0).fold(0, |all, g| all | g);
        let (mut there, mut all) = (false, true);
        for (i, value) in values.iter().enumerate() {
            if needed & bit(i) != 0 {
                there |= value.is_finite();
                all &= value.is_finite();
            }
        }
        match (there, all) {
            (false, _) => Class::Failed,
            (true, true) => Class::Reading,
            (true, false) => Class::Partial,
        }
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
    /// What makes a reading complete.
    pub vital: &'a Vital,
    /// Whether rows may have remarks.
    pub notes: bool,
    /// Whether rows say their segment.
    pub segments: bool,
    /// The clock of the log.
    pub clock: Option<&'a Clock>,
    /// A pinned clock of the first row.
    pub start: Option<crate::measured::Start>,
}
