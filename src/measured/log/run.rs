//! The stream after the decision: line by line into readings, times, and out.

use std::io;

use super::bytes::Line;
use super::complaint::Tally;
use super::decide::shape::is_piece;
use super::decide::time::TimePlan;
use super::decide::uses::Role;
use super::decide::{Layout, ReadingPlan};
use super::late;
use super::ledger::{Class, Ledger};
use super::lex::prefix::{Inner, Prefix, prefix};
use super::lex::{Stamp, stamp};
use super::options::ImportOptions;
use super::resort::{Gate, Out, Pending, Vital, bit};
use super::shapes::labelled::skeleton;
use super::shapes::{Cell, Parsed, Record, Shape, columns};
use super::sink::Sink;
use super::stamp_parts::StampParts;
use super::streams::Streams;
use super::swap::SwapCheck;
use super::text;
use super::values::Values;
use crate::measured::Start;
use crate::physics::constants::STANDARD_PRESSURE;

/// One reading as it stands in the text.
#[derive(Clone, Debug)]
struct Draft {
    line: u64,
    stamp: Option<Stamp>,
    count: Option<f64>,
    cells: Vec<(usize, Cell)>,
    /// Which form of lines it has.
    layout: usize,
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
    /// All values in the order of the lines, where they are asked for, with their times \[s\] as far as they have any.
    pub seen: Option<Vec<(Option<f64>, Vec<f64>)>>,
    streams: Streams,
    vital: Vital,
    values: Values,
    start: Option<Start>,
    block: Option<Draft>,
    /// The form of the line before.
    now: usize,
    /// The sensor that the last heading names.
    heading: Option<String>,
    /// A stamp on a line of its own, which holds for the lines after it.
    carried: Option<Stamp>,
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
            streams: Streams::new(options.pause_s),
            vital: Vital::of(&plan),
            values: Values::new(&plan.columns, options.pressure_pa.unwrap_or(STANDARD_PRESSURE)),
            swap: SwapCheck::new(&plan.columns),
            plan,
            ledger: Ledger::default(),
            tally: Tally::default(),
            gate: Gate::new(),
            readings: [0; 3],
            seen: None,
            start,
            block: None,
            now: 0,
            heading: None,
            carried: None,
            stamped: false,
            reading: false,
            any_reading: false,
            least_decimals: None,
        }
    }

    /// Takes one line.
    pub fn line<S: Sink>(&mut self, line: &Line, sink: &mut S) -> io::Result<()> {
        self.ledger.line();
        for _ in 0..line.more {
            self.ledger.line();
            self.ledger.put(Class::InBlock);
        }
        if line.damaged {
            self.tally.note(
                "damaged",
                line.number,
                "a line with bytes that are no text is left out",
            );
            self.ledger.put(Class::Damaged);
            return Ok(());
        }
        let mut prefix = prefix(&line.text);
        if let Some((_, name)) = self.plan.headings.iter().find(|(l, _)| *l == prefix.body.trim()) {
            self.heading = Some(name.clone());
            self.close(sink)?;
            return self.put(Class::Header);
        }
        let heading = self.heading.clone();
        if let (None, Some(name)) = (prefix.tag, heading.as_deref()) {
            (prefix.tag, prefix.rest) = (Some(name), prefix.body);
        }
        self.stamped |= prefix.stamp.is_some();
        if prefix.alone {
            self.close(sink)?;
            self.carried = prefix.stamp;
            self.ledger.put(Class::Header);
            return Ok(());
        }
        if prefix.body.trim().is_empty() {
            self.ledger.put(Class::Blank);
            let blank = self.plan.layouts[self.now].blocks.is_some_and(|b| b.blank);
            return if blank { self.close(sink) } else { Ok(()) };
        }
        let layout = &self.plan.layouts[self.now];
        if layout.header_lines.contains(&line.number) {
            return self.header(line.number, prefix.body);
        }
        // A piece of a line may hold what looks like a reading: it is rejected whole.
        if (!self.any_reading || !line.ended) && self.is_piece(prefix.body) {
            return self.cut(line.number);
        }
        let (mut form, mut parsed) = self.parse(&prefix);
        let open = self.gate.head.is_none();
        if self.has_missed(form)
            && late::adopt(&mut self.plan, &mut self.tally, open, (form, line.number), sink)
        {
            self.widen();
            (form, parsed) = self.parse(&prefix);
        }
        match parsed {
            Parsed::Records(records) => {
                if self.ends_short(line, prefix.body) {
                    return self.cut(line.number);
                }
                if form != self.now {
                    self.close(sink)?;
                    self.now = form;
                }
                self.records(line.number, &prefix, records, sink)
            }
            Parsed::Header => self.put(Class::Header),
            Parsed::Short if self.before(line.number) => self.put(Class::Banner),
            Parsed::Short => self.cut(line.number),
            Parsed::Contradiction(_) if self.before(line.number) => self.put(Class::Banner),
            Parsed::Contradiction(what) => {
                self.tally.note("contradiction", line.number, &format!("left out: {what}"));
                self.put(Class::Contradiction)
            }
            // A line of an open block, such as an altitude.
            Parsed::LeftOut if self.block.is_some() => self.put(Class::InBlock),
            Parsed::LeftOut | Parsed::Text => self.text(line, &prefix, sink),
        }
    }

    /// Whether the last line of a form named what no line before it did.
    fn has_missed(&self, form: usize) -> bool {
        let layout = &self.plan.layouts[form];
        let names = match &layout.shape {
            Shape::Labelled(l) => !l.missed.is_empty(),
            Shape::Pairs(p) => !p.missed.is_empty(),
            Shape::Columns(_) => false,
        };
        names || layout.pivot.as_ref().is_some_and(|p| p.missed.is_some())
    }

    /// All that is kept gets the columns of the plan.
    fn widen(&mut self) {
        self.vital = Vital::of(&self.plan);
        let count = self.plan.columns.len();
        self.values.widen(&self.plan.columns);
        self.gate.widen(count);
        self.streams.widen(count);
    }

    /// Whether a line stands before the first reading of the log.
    fn before(&self, number: u64) -> bool {
        !self.any_reading && self.plan.layouts.iter().all(|l| number < l.first_line)
    }

    /// What a line is: by the form of the line before, else by the others.
    fn parse(&mut self, prefix: &Prefix<'_>) -> (usize, Parsed) {
        let count = self.plan.layouts.len();
        let mut first = None;
        for n in 0..count {
            let i = (self.now + n) % count;
            let layout = &mut self.plan.layouts[i];
            let (body, tag) = match prefix.tag {
                Some(tag) if layout.tagged => (prefix.rest, Some(tag)),
                _ => (prefix.body, None),
            };
            let mut parsed = layout.shape.parse(body, tag);
            if let (Parsed::Records(records), Some(pivot)) = (&mut parsed, &mut layout.pivot) {
                let known = std::mem::take(records).into_iter().filter_map(|r| pivot.record(r));
                *records = known.collect();
                if records.is_empty() {
                    parsed = Parsed::Text;
                }
            }
            match parsed {
                Parsed::Records(_) => return (i, parsed),
                // The columns after a header are those that it names, whatever the fields look like.
                Parsed::Header => {
                    self.now = i;
                    return (i, parsed);
                }
                _ => {}
            }
            first = first.or(Some(parsed));
        }
        (self.now, first.unwrap_or(Parsed::Text))
    }

    /// A line that names columns: the form that it belongs to holds from here on.
    fn header(&mut self, number: u64, body: &str) -> io::Result<()> {
        let own = |l: &Layout| l.header_lines.contains(&number);
        let same = |l: &Layout| matches!(&l.shape, Shape::Columns(c) if c.header.as_deref() == Some(body.trim()));
        let layouts = &self.plan.layouts;
        if let Some(i) = layouts.iter().position(same).or(layouts.iter().position(own)) {
            self.now = i;
        }
        let units = text::units(body).is_empty();
        self.put(if units { Class::Header } else { Class::Units })
    }

    /// The end of the text.
    pub fn finish<S: Sink>(&mut self, sink: &mut S) -> io::Result<()> {
        self.flush(sink)
    }

    /// Lets out all that is known, as when no line has come for a while.
    pub fn flush<S: Sink>(&mut self, sink: &mut S) -> io::Result<()> {
        self.close(sink)?;
        for i in 0..self.streams.len() {
            self.release(i, true, sink)?;
        }
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
        let mark = char::from(self.plan.layouts[self.now].shape.decimal().mark());
        let decimals = tail_decimals(body, mark);
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
        let layout = &self.plan.layouts[self.now];
        // A row with all its fields is whole, however short its numbers are.
        if let Shape::Columns(c) = &layout.shape
            && columns::split(body, c.separator).len() + usize::from(c.tagged) >= c.uses.len()
        {
            return false;
        }
        !layout.usual.is_empty() && is_piece(&skeleton(body, layout.shape.decimal()), &layout.usual)
    }

    fn records<S: Sink>(
        &mut self,
        line: u64,
        prefix: &Prefix<'_>,
        records: Vec<Record>,
        sink: &mut S,
    ) -> io::Result<()> {
        let (stamp, count) = self.own_time(prefix);
        if self.plan.layouts[self.now].blocks.is_some() {
            return self.add_to_block(line, stamp, count, records, sink);
        }
        let targets = &self.plan.layouts[self.now].targets;
        let all = self.vital.all();
        let is_vital = |t: &usize| match targets[*t].role {
            Role::Value { column, .. } | Role::Humidity { column, .. } => bit(column) & all != 0,
            _ => false,
        };
        if !records.iter().flatten().any(|(t, _)| is_vital(t)) {
            self.tally.note("no-air", line, "a line without temperature or humidity is left out");
            return self.put(Class::Text);
        }
        let mut owner = true;
        for cells in records {
            self.draft(Draft { line, stamp, count, cells, layout: self.now, owner }, sink)?;
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
        count: Option<f64>,
        records: Vec<Record>,
        sink: &mut S,
    ) -> io::Result<()> {
        let blank = self.plan.layouts[self.now].blocks.is_some_and(|b| b.blank);
        let mut own_line = true;
        for cells in records {
            let first = cells.first().map_or(0, |c| c.0);
            let next = |d: &Draft| {
                let repeated = d.cells.iter().any(|(t, _)| cells.iter().any(|(n, _)| n == t));
                let back = d.cells.last().is_some_and(|(t, _)| first < *t);
                repeated || back && !blank
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
                None => {
                    let layout = self.now;
                    self.block = Some(Draft { line, stamp, count, cells, layout, owner: own_line });
                }
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
    fn text<S: Sink>(&mut self, line: &Line, prefix: &Prefix<'_>, sink: &mut S) -> io::Result<()> {
        let body = prefix.body;
        if self.plan.layouts.iter().any(|l| l.header_lines.contains(&line.number)) {
            return self.header(line.number, body);
        }
        let place = (line.number, body);
        if let Some(form) = late::header(&mut self.plan, &mut self.tally, self.now, place) {
            self.now = form;
            return self.put(Class::Header);
        }
        if body.chars().all(|c| matches!(c, '[' | ']' | '{' | '}' | ',' | ' ')) {
            return self.put(Class::InBlock);
        }
        // The ruler of a drawn table.
        if body.len() > 2
            && body.chars().all(|c| matches!(c, '+' | '-' | '|' | '=' | ':' | ' ' | '_'))
        {
            return self.put(if self.block.is_some() { Class::InBlock } else { Class::Header });
        }
        let digits = body.contains(|c: char| c.is_ascii_digit());
        let said = text::class(body);
        if !line.ended && digits && said == Class::Text {
            return self.cut(line.number);
        }
        match said {
            Class::Failed if !self.before(line.number) || self.reading => {
                self.failed(line.number, prefix, sink)
            }
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
    fn failed<S: Sink>(&mut self, line: u64, prefix: &Prefix<'_>, sink: &mut S) -> io::Result<()> {
        let (stamp, count) = self.own_time(prefix);
        let draft = Draft { line, stamp, count, cells: Vec::new(), layout: self.now, owner: true };
        if self.plan.layouts[self.now].blocks.is_some() {
            match &mut self.block {
                Some(_) => self.ledger.put(Class::InBlock),
                None => self.block = Some(draft),
            }
            return Ok(());
        }
        self.draft(draft, sink)
    }

    /// Gives a reading its values and its time, and sends it on.
    fn draft<S: Sink>(&mut self, draft: Draft, sink: &mut S) -> io::Result<()> {
        let Draft { line, stamp, count, cells, layout, owner } = draft;
        let targets = &self.plan.layouts[layout].targets;
        let (values, touched) = self.values.row(targets, &cells, line, &mut self.tally);
        let class = self.vital.class(touched, &values);
        let (parts, note) = self.parts(layout, stamp, count, cells);
        self.reading |= class != Class::Failed;
        self.any_reading |= class != Class::Failed;
        let place =
            [Class::Reading, Class::Partial, Class::Failed].iter().position(|c| *c == class);
        self.readings[place.unwrap_or(2)] += 1;
        if let Some(seen) = &mut self.seen {
            seen.push((None, values.clone()));
        }
        let form = &self.plan.layouts[layout];
        let plan = form.time;
        let apart = form.pivot.is_some() || form.tagged;
        let stream = self.streams.of(plan, apart, touched & self.vital.all(), &parts);
        let at = match self.streams.place(stream, &parts, line, &mut self.tally) {
            Ok(at) => {
                if let Some((time, _)) = self.seen.as_mut().and_then(|s| s.last_mut()) {
                    *time = Some(at.second);
                }
                at
            }
            Err(unplaced) => {
                if owner {
                    self.unplaced(line, plan, class, unplaced);
                }
                return Ok(());
            }
        };
        self.swap.row(&values);
        let pending = Pending { at, line, values, touched, note, class, owner };
        if self.plan.layouts[layout].spread.is_none() {
            return self.with_out(sink, |gate, out| gate.push(pending, out));
        }
        if self.streams.is_next(stream, at) {
            self.release(stream, false, sink)?;
        }
        self.streams.wait(stream, pending);
        Ok(())
    }

    /// Lets out the rows of a stream that waited for the next stamp.
    fn release<S: Sink>(&mut self, stream: usize, end: bool, sink: &mut S) -> io::Result<()> {
        let Some(spread) = self.plan.layouts.iter().find_map(|l| l.spread) else { return Ok(()) };
        for row in self.streams.spread(stream, spread, end, &mut self.tally) {
            self.with_out(sink, |gate, out| gate.push(row, out))?;
        }
        Ok(())
    }

    /// The stamp and the counter that stand before a line, or held before it.
    fn own_time(&self, prefix: &Prefix<'_>) -> (Option<Stamp>, Option<f64>) {
        let inner = if self.plan.layouts[self.now].tagged { prefix.inner } else { Inner::None };
        match inner {
            Inner::Stamp(s) => (prefix.stamp.or(Some(s)), prefix.count),
            Inner::Count(c) => (prefix.stamp.or(self.carried), prefix.count.or(Some(c))),
            Inner::None => (prefix.stamp.or(self.carried), prefix.count),
        }
    }

    /// Counts a reading that has no place in time.
    fn unplaced(&mut self, line: u64, plan: TimePlan, class: Class, why: Class) {
        if plan == TimePlan::None || class == Class::Failed && why == Class::NoTime {
            return self.ledger.put(class);
        }
        let what = match why {
            Class::OutOfOrder => "a line comes too late to be sorted in",
            _ => "a reading without its time is left out",
        };
        self.tally.note("order", line, what);
        self.ledger.put(why);
    }

    fn parts(
        &self,
        layout: usize,
        stamp: Option<Stamp>,
        count: Option<f64>,
        cells: Vec<(usize, Cell)>,
    ) -> (StampParts, Option<String>) {
        let layout = &self.plan.layouts[layout];
        let mut parts = StampParts::default();
        let mut note = None;
        let mut own = false;
        for (target, cell) in cells {
            match (&layout.targets[target].role, cell) {
                (Role::Time, Cell::Stamp(s)) => {
                    own = true;
                    parts.stamp(s);
                }
                (Role::Time, Cell::Number(v, _)) => {
                    own = true;
                    parts.number = Some(v);
                }
                (Role::Part(part), Cell::Number(v, _)) => {
                    own = true;
                    parts.parts[*part] = Some(v);
                }
                (Role::Note, Cell::Word(text)) => note = Some(text),
                _ => {}
            }
        }
        let has_own =
            || layout.targets.iter().any(|t| matches!(t.role, Role::Time | Role::Part(_)));
        if let Some(stamp) = stamp.filter(|_| !own && !has_own()) {
            parts.stamp(stamp);
        }
        if layout.counted {
            parts.number = count;
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
            vital: &self.vital,
            notes: self.plan.notes,
            segments: self.plan.segments,
            clock: self.streams.first(),
            start: self.start,
        };
        act(&mut self.gate, &mut out)
    }
}

/// Decimals of the number a text ends with; none when it does not end with one.
fn tail_decimals(body: &str, mark: char) -> Option<usize> {
    let body = body.trim_end();
    let digits = body.bytes().rev().take_while(u8::is_ascii_digit).count();
    if digits == 0 {
        return body.ends_with(mark).then_some(0);
    }
    let before = body[..body.len() - digits].chars().next_back();
    Some(if before == Some(mark) { digits } else { 0 })
}
