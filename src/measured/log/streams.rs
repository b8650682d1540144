//! The clocks of a log: one for the readings that have some columns in common, which are those of a sensor or of a table.

use super::clock::{At, Clock};
use super::complaint::Tally;
use super::decide::time::{Spread, TimePlan};
use super::ledger::Class;
use super::resort::{ColumnSet, Pending};
use super::stamp_parts::StampParts;

#[derive(Debug)]
struct Stream {
    columns: ColumnSet,
    clock: Clock,
    /// Rows that wait for the next stamp, to be spread over theirs.
    waiting: Vec<Pending>,
    /// Whether a whole stamp has gone out.
    spread_before: bool,
}

/// All of them.
#[derive(Debug)]
pub struct Streams {
    all: Vec<Stream>,
    pause_s: Option<f64>,
}

impl Streams {
    /// None yet; with the pause at a restart of a counter, if that is stated.
    #[must_use]
    pub fn new(pause_s: Option<f64>) -> Self {
        Self { all: Vec::new(), pause_s }
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// The clock of the first reading.
    #[must_use]
    pub fn first(&self) -> Option<&Clock> {
        self.all.first().map(|s| &s.clock)
    }

    /// The stream of readings of these columns; a failed read, which has none, belongs to the first. Without a time of their
    /// own readings take turns: those of one sensor each (`apart`) have turns of their own.
    pub fn of(
        &mut self,
        plan: TimePlan,
        apart: bool,
        columns: ColumnSet,
        parts: &StampParts,
    ) -> usize {
        let turns = matches!(plan, TimePlan::Interval(_)) && !apart;
        let mine = |s: &Stream| s.columns & columns != 0 || columns == 0 || turns;
        if let Some(i) = self.all.iter().position(mine) {
            self.all[i].columns |= columns;
            return i;
        }
        let clock = match self.all.last() {
            Some(other) => other.clock.beside(plan, parts),
            None => Clock::new(plan, self.pause_s),
        };
        self.all.push(Stream { columns, clock, waiting: Vec::new(), spread_before: false });
        self.all.len() - 1
    }

    /// The time of a reading.
    ///
    /// # Errors
    /// As [`Clock::place`].
    pub fn place(
        &mut self,
        stream: usize,
        parts: &StampParts,
        line: u64,
        tally: &mut Tally,
    ) -> Result<At, Class> {
        self.all[stream].clock.place(parts, line, tally)
    }

    /// Whether rows wait whose stamp is another.
    #[must_use]
    pub fn is_next(&self, stream: usize, at: At) -> bool {
        self.all[stream].waiting.first().is_some_and(|w| w.at != at)
    }

    /// Keeps a row until the next stamp.
    pub fn wait(&mut self, stream: usize, row: Pending) {
        self.all[stream].waiting.push(row);
    }

    /// The rows of one stamp, spread over the time until the next: a first stamp that is cut has its rows at its end, a last
    /// one (`end`) at its start.
    pub fn spread(
        &mut self,
        stream: usize,
        spread: Spread,
        end: bool,
        tally: &mut Tally,
    ) -> Vec<Pending> {
        let stream = &mut self.all[stream];
        let mut rows = std::mem::take(&mut stream.waiting);
        if rows.is_empty() {
            return rows;
        }
        let first = !std::mem::replace(&mut stream.spread_before, true);
        let count = rows.len();
        let usual = spread.usual.max(count);
        let skipped = if first && !end { usual - count } else { 0 };
        let parts = if first || end { usual } else { count };
        for (k, row) in rows.iter_mut().enumerate() {
            row.at.second += spread.resolution_s * (skipped + k) as f64 / parts as f64;
            if k > 0 {
                let what = "rows with the same stamp are spread over the time until the next";
                tally.note("spread", row.line, what);
            }
        }
        rows
    }

    /// Gives the rows that wait this many columns.
    pub fn widen(&mut self, count: usize) {
        for row in self.all.iter_mut().flat_map(|s| &mut s.waiting) {
            row.values.resize(count, f64::NAN);
        }
    }
}
