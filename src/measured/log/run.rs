//! The stream after the decision: line by line into readings, times, and out.

use std::io;

use super::bytes::Line;
use super::clock::{Clock, StampParts};
use super::complaint::Tally;
use super::decide::ReadingPlan;
use super::decide::shape::is_piece;
use super::decide::time::TimePlan;
use super::decide::uses::Role;
use super::ledger::{Class, Ledger};
use super::lex::{Stamp, stamp};
use super::options::ImportOptions;
use super::resort::{Gate, Out, Pending};
use super::shapes::labelled::skeleton;
use super::shapes::{Cell, Parsed, Shape};
use super::sink::Sink;
use super::swap::SwapCheck;
use super::text;
use super::values::Values;
use crate::measured::Start;

/// One reading as it stands in the text.
#[derive(Clone, Debug)]
struct Draft {
    line: u64,
    stamp: Option<Stamp>,
    cells: Vec<(usize, Cell)>,
    owner: bool,
}

/// Where the stream is.
#[derive(Debug)]
pub struct Run {
    /// How lines are read.
    pub plan: ReadingPlan,
    /// The count of lines.
    pub ledger: Ledger,
    /// Things to tell.
    pub tally: Tally,
    /// Rows on their way.
    pub gate: Gate,
    /// Readings seen, for messages about logs without times.
    pub readings: [u64; 3],
    /// Whether temperature and humidity look swapped.
    pub swap: SwapCheck,
    clock: Clock,
    values: Values,
    start: Option<Start>,
    block: Option<Draft>,
    /// Whether a line had a stamp before it.
    pub stamped: bool,
    /// Whether a reading has come since the start of the log or its last restart.
    reading: bool,
    any_reading: bool,
    least_decimals: Option<usize>,
}

impl Run {
    /// At the first line.
    pub fn new(plan: ReadingPlan, options: &ImportOptions) -> Self {
        let pinned = options.start.as_deref().and_then(stamp::exact);
        let start = pinned.and_then(|s| {
            let days = s.date.and_then(|d| d.days(false));
            let clock_s = days.unwrap_or(0) as f64 * 86_400.0 + s.second?;
            Some(Start { clock_s, dated: days.is_some(), utc_offset_s: s.offset_s })
        });
        Self {
            clock: Clock::new(plan.time),
            values: Values::new(&plan.columns),
            swap: SwapCheck::new(&plan.columns),
            plan,
            ledger: Ledger::default(),
            tally: Tally::default(),
            gate: Gate::new(),
            readings: [0; 3],
            start,
            block: None,
            stamped: false,
            reading: false,
            any_reading: false,
            least_decimals: None,
        }
    }

    /// Takes one line.
    pub fn line<S: Sink>(&mut self, line: &Line, sink: &mut S) -> io::Result<()> {
        self.ledger.line();
        if line.damaged {
            self.tally.note(
                "damaged",
                line.number,
                "a line with bytes that are no text is left out",
            );
            self.ledger.put(Class::Damaged);
            return Ok(());
        }
        let (stamp, body) = stamp::prefix(&line.text);
        self.stamped |= stamp.is_some();
        if body.trim().is_empty() {
            self.ledger.put(Class::Blank);
            return if self.plan.blocks.is_some_and(|b| b.blank) {
                self.close(sink)
            } else {
                Ok(())
            };
        }
        // A piece of a line may hold what looks like a reading: it is rejected whole.
        if (!self.any_reading || !line.ended) && self.is_piece(body) {
            return self.cut(line.number);
        }
        match self.plan.shape.parse(body) {
            Parsed::Records(records) => {
                if self.ends_short(line, body) {
                    return self.cut(line.number);
                }
                self.records(line.number, stamp, records, sink)
            }
            Parsed::Header => self.put(Class::Header),
            Parsed::Short => self.cut(line.number),
            Parsed::Contradiction(what) => {
                self.tally.note("contradiction", line.number, &format!("left out: {what}"));
                self.put(Class::Contradiction)
            }
            // A line of an open block, such as an altitude.
            Parsed::LeftOut if self.block.is_some() => self.put(Class::InBlock),
            Parsed::LeftOut | Parsed::Text => self.text(line, stamp, body, sink),
        }
    }

    /// The end of the text.
    pub fn finish<S: Sink>(&mut self, sink: &mut S) -> io::Result<()> {
        self.close(sink)?;
        self.with_out(sink, |gate, out| gate.flush(out))
    }

    fn put(&mut self, class: Class) -> io::Result<()> {
        self.ledger.put(class);
        Ok(())
    }

    fn cut(&mut self, number: u64) -> io::Result<()> {
        self.tally.note("cut", number, "a cut line is left out whole");
        self.put(Class::Cut)
    }

    /// Whether a last line without line end stops in the middle of its last number.
    fn ends_short(&mut self, line: &Line, body: &str) -> bool {
        let decimals = tail_decimals(body);
        if !line.ended {
            return matches!((decimals, self.least_decimals), (Some(now), Some(least)) if now < least);
        }
        self.least_decimals = match (decimals, self.least_decimals) {
            (Some(now), Some(least)) => Some(now.min(least)),
            (now, least) => now.or(least),
        };
        false
    }

    /// Whether the form of a text is a part of the usual form and not that form itself.
    fn is_piece(&self, body: &str) -> bool {
        is_piece(&skeleton(body, self.decimal()), &self.plan.usual)
    }

    fn decimal(&self) -> super::lex::Decimal {
        match &self.plan.shape {
            Shape::Columns(c) => c.decimal,
            Shape::Labelled(l) => l.decimal,
            Shape::Json(_) => super::lex::Decimal::Point,
        }
    }

    fn records<S: Sink>(
        &mut self,
        line: u64,
        stamp: Option<Stamp>,
        records: Vec<Vec<(usize, Cell)>>,
        sink: &mut S,
    ) -> io::Result<()> {
        if self.plan.blocks.is_some() {
            return self.add_to_block(line, stamp, records, sink);
        }
        let vital = |cells: &Vec<(usize, Cell)>| self.values.is_vital(&self.plan.targets, cells);
        if !records.iter().any(vital) {
            self.tally.note("no-air", line, "a line without temperature or humidity is left out");
            return self.put(Class::Text);
        }
        let mut owner = true;
        for cells in records {
            self.draft(Draft { line, stamp, cells, owner }, sink)?;
            owner = false;
        }
        Ok(())
    }

    /// Adds a line to the open block, or closes it and opens the next: a label that has come
    /// already, or one that stands before it in the usual order, starts a new block.
    fn add_to_block<S: Sink>(
        &mut self,
        line: u64,
        stamp: Option<Stamp>,
        records: Vec<Vec<(usize, Cell)>>,
        sink: &mut S,
    ) -> io::Result<()> {
        let mut own_line = true;
        for cells in records {
            let first = cells.first().map_or(0, |c| c.0);
            let next = |d: &Draft| {
                let repeated = d.cells.iter().any(|(t, _)| cells.iter().any(|(n, _)| n == t));
                let back = d.cells.last().is_some_and(|(t, _)| first < *t);
                repeated || back && !self.plan.blocks.is_some_and(|b| b.blank)
            };
            if self.block.as_ref().is_some_and(next) {
                self.close(sink)?;
            }
            match &mut self.block {
                Some(block) => {
                    block.cells.extend(cells);
                    if own_line {
                        self.ledger.put(Class::InBlock);
                    }
                }
                None => self.block = Some(Draft { line, stamp, cells, owner: own_line }),
            }
            own_line = false;
        }
        Ok(())
    }

    fn close<S: Sink>(&mut self, sink: &mut S) -> io::Result<()> {
        match self.block.take() {
            Some(draft) => self.draft(draft, sink),
            None => Ok(()),
        }
    }

    /// A line without a reading.
    fn text<S: Sink>(
        &mut self,
        line: &Line,
        stamp: Option<Stamp>,
        body: &str,
        sink: &mut S,
    ) -> io::Result<()> {
        if self.plan.header_line == Some(line.number) {
            return self.put(Class::Header);
        }
        let digits = body.contains(|c: char| c.is_ascii_digit());
        let said = text::class(body);
        if !line.ended && digits && said == Class::Text {
            return self.cut(line.number);
        }
        match said {
            Class::Failed => self.failed(line.number, stamp, sink),
            Class::Restart if self.any_reading => {
                self.close(sink)?;
                self.reading = false;
                let shown: String = body.trim().chars().take(60).collect();
                self.tally.note(
                    "restart",
                    line.number,
                    &format!("the logger restarts: \"{shown}\""),
                );
                self.put(Class::Restart)
            }
            Class::Comment => self.put(Class::Comment),
            _ if !text::units(body).is_empty() => self.put(Class::Units),
            _ if !self.reading => self.put(Class::Banner),
            _ => {
                let shown: String = body.trim().chars().take(60).collect();
                self.tally.note_like(
                    "text",
                    line.number,
                    &format!("other text is left out: \"{shown}\""),
                );
                self.put(Class::Text)
            }
        }
    }

    /// A message that a read failed keeps its time, as far as the time is known.
    fn failed<S: Sink>(&mut self, line: u64, stamp: Option<Stamp>, sink: &mut S) -> io::Result<()> {
        if self.plan.blocks.is_some() {
            match &mut self.block {
                Some(_) => self.ledger.put(Class::InBlock),
                None => self.block = Some(Draft { line, stamp, cells: Vec::new(), owner: true }),
            }
            return Ok(());
        }
        self.draft(Draft { line, stamp, cells: Vec::new(), owner: true }, sink)
    }

    /// Gives a reading its values and its time, and sends it on.
    fn draft<S: Sink>(&mut self, draft: Draft, sink: &mut S) -> io::Result<()> {
        let Draft { line, stamp, cells, owner } = draft;
        let (values, class) = self.values.row(&self.plan.targets, &cells, line, &mut self.tally);
        let (parts, note) = self.parts(stamp, &cells);
        self.reading |= class != Class::Failed;
        self.any_reading |= class != Class::Failed;
        let place =
            [Class::Reading, Class::Partial, Class::Failed].iter().position(|c| *c == class);
        self.readings[place.unwrap_or(2)] += 1;
        let at = match self.clock.place(&parts, line, &mut self.tally) {
            Ok(at) => at,
            Err(unplaced) => {
                if owner {
                    self.unplaced(line, class, unplaced);
                }
                return Ok(());
            }
        };
        self.swap.row(&values);
        let pending = Pending { at, line, values, note, class, owner };
        self.with_out(sink, |gate, out| gate.push(pending, out))
    }

    /// Counts a reading that has no place in time.
    fn unplaced(&mut self, line: u64, class: Class, why: Class) {
        if self.plan.time == TimePlan::None || class == Class::Failed && why == Class::NoTime {
            return self.ledger.put(class);
        }
        let what = match why {
            Class::OutOfOrder => "a line comes too late to be sorted in",
            _ => "a reading without its time is left out",
        };
        self.tally.note("order", line, what);
        self.ledger.put(why);
    }

    fn parts(&self, stamp: Option<Stamp>, cells: &[(usize, Cell)]) -> (StampParts, Option<String>) {
        let mut parts = StampParts::default();
        let mut note = None;
        let mut own = false;
        for (target, cell) in cells {
            match (&self.plan.targets[*target].role, cell) {
                (Role::Time, Cell::Stamp(s)) => {
                    own = true;
                    parts.stamp(*s);
                }
                (Role::Time, Cell::Number(v, _)) => {
                    own = true;
                    parts.number = Some(*v);
                }
                (Role::Part(part), Cell::Number(v, _)) => {
                    own = true;
                    parts.parts[*part] = Some(*v);
                }
                (Role::Note, Cell::Word(text)) => note = Some(text.clone()),
                _ => {}
            }
        }
        let has_own =
            self.plan.targets.iter().any(|t| matches!(t.role, Role::Time | Role::Part(_)));
        if let Some(stamp) = stamp.filter(|_| !own && !has_own) {
            parts.stamp(stamp);
        }
        (parts, note)
    }

    fn with_out<S: Sink, T>(
        &mut self,
        sink: &mut S,
        act: impl FnOnce(&mut Gate, &mut Out<'_, S>) -> T,
    ) -> T {
        let mut out = Out {
            sink,
            ledger: &mut self.ledger,
            tally: &mut self.tally,
            columns: &self.plan.columns,
            notes: self.plan.notes,
            clock: &self.clock,
            start: self.start,
        };
        act(&mut self.gate, &mut out)
    }
}

/// Decimals of the number a text ends with; none when it does not end with one.
fn tail_decimals(body: &str) -> Option<usize> {
    let body = body.trim_end();
    let digits = body.bytes().rev().take_while(u8::is_ascii_digit).count();
    if digits == 0 {
        return body.ends_with(['.', ',']).then_some(0);
    }
    let before = body[..body.len() - digits].chars().next_back();
    Some(if matches!(before, Some('.' | ',')) { digits } else { 0 })
}
