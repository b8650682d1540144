//! Where the times of a log come from.

use std::fmt;

use super::Sample;
use super::draft::Draft;
use super::uses::Role;
use crate::measured::log::complaint::Question;
use crate::measured::log::lex::{Date, Meaning, Stamp, Unit};
use crate::measured::log::options::DateOrder;
use crate::measured::log::shapes::Cell;

/// The source of times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TimePlan {
    /// Dates with clocks; whether the month comes first where both are numbers with slashes.
    Dated {
        /// Month first.
        month_first: bool,
    },
    /// A clock without date, which starts anew at midnight.
    OfDay,
    /// `hh:mm:ss` since the start.
    Elapsed,
    /// `mm:ss` since the start.
    MinuteSecond,
    /// A number in this unit.
    Counter(Unit),
    /// Seconds since 1970 in this unit.
    Unix(Unit),
    /// Days since 1899-12-30, as spreadsheets count them.
    Serial,
    /// Readings in equal steps \[s\], by `--interval`.
    Interval(f64),
    /// No time at all.
    None,
}

impl fmt::Display for TimePlan {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Dated { .. } => write!(f, "date and clock"),
            Self::OfDay => write!(f, "clock without date"),
            Self::Elapsed => write!(f, "elapsed hh:mm:ss"),
            Self::MinuteSecond => write!(f, "elapsed mm:ss"),
            Self::Counter(unit) => write!(f, "counter in {}", unit.shown()),
            Self::Unix(unit) => write!(f, "{} since 1970-01-01", unit.shown()),
            Self::Serial => write!(f, "days of a spreadsheet"),
            Self::Interval(s) => write!(f, "a reading every {s} s (--interval)"),
            Self::None => write!(f, "none"),
        }
    }
}

/// Rows that come faster than their stamps change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// What the stamps are whole numbers of \[s\].
    pub resolution_s: f64,
    /// Rows with one stamp, usually.
    pub usual: usize,
}

/// Where times come from.
#[derive(Clone, Copy, Debug)]
pub(super) struct Found {
    pub plan: TimePlan,
    /// Whether the counter before a line is the time.
    pub counted: bool,
    pub spread: Option<Spread>,
}

/// Finds the times; columns that lose against a better one are left out.
pub(super) fn find(sample: &mut Sample<'_>, draft: &mut Draft) -> Result<Found, Vec<Question>> {
    let before = counted(sample, draft);
    let plan = plan(sample, draft)?;
    if let (TimePlan::None, Some(unit)) = (plan, before) {
        return Ok(Found { plan: TimePlan::Counter(unit), counted: true, spread: None });
    }
    Ok(Found { plan, counted: false, spread: spread(sample, draft, plan) })
}

/// The unit of the counter before the lines, when it only rises.
fn counted(sample: &mut Sample<'_>, draft: &Draft) -> Option<Unit> {
    let counts = sample.counts(&draft.table.data_lines);
    let rising = counts.windows(2).filter(|w| w[1] >= w[0]).count();
    let own = draft.targets.iter().any(|t| matches!(t.role, Role::Time | Role::Part(_)));
    let most = draft.table.data_lines.len();
    if own || sample.options.interval_s.is_some() || counts.len() < 2 || 2 * counts.len() < most {
        return None;
    }
    if 10 * rising < 8 * (counts.len() - 1) || counts.iter().all(|c| *c == counts[0]) {
        return None;
    }
    Some(unit_of_counts(sample, &counts, "the number before each line"))
}

/// Whether rows share stamps: several with one stamp of whole minutes or seconds, as a rule.
fn spread(sample: &Sample<'_>, draft: &Draft, plan: TimePlan) -> Option<Spread> {
    if !matches!(plan, TimePlan::Dated { .. } | TimePlan::OfDay)
        || draft.pivot.is_some()
        || sample.tagged
        || draft.table.blocks.is_some()
    {
        return None;
    }
    let clock = draft.targets.iter().enumerate().find(|(i, t)| {
        t.role == Role::Time
            && draft.cells[*i].iter().filter_map(stamp_of).any(|s| s.second.is_some())
    });
    let stamps: Vec<Stamp> = match clock {
        Some((i, _)) => draft.cells[i].iter().filter_map(stamp_of).collect(),
        None if draft.targets.iter().any(|t| t.role == Role::Time) => return None,
        None => sample.stamps().0,
    };
    let seconds: Vec<f64> = stamps.iter().filter_map(|s| s.second).collect();
    let rows = seconds.len();
    let resolution_s = [60.0, 1.0].into_iter().find(|r| seconds.iter().all(|s| s % r == 0.0))?;
    let groups: Vec<usize> = seconds.chunk_by(|a, b| a == b).map(<[f64]>::len).collect();
    // The first and the last stamp may be cut.
    let mut inner: Vec<usize> =
        if groups.len() > 2 { groups[1..groups.len() - 1].to_vec() } else { groups.clone() };
    inner.sort_unstable();
    let usual = inner.get(inner.len() / 2).copied().unwrap_or(1);
    let alike = draft.table.rows.windows(2).filter(|w| w[0] == w[1]).count();
    (usual > 1 && groups.len() > 1 && 2 * alike < rows).then_some(Spread { resolution_s, usual })
}

fn plan(sample: &mut Sample<'_>, draft: &mut Draft) -> Result<TimePlan, Vec<Question>> {
    if let Some(interval) = sample.options.interval_s {
        leave_out(draft, |_| true, "--interval gives the times");
        return Ok(TimePlan::Interval(interval));
    }
    let places: Vec<usize> =
        (0..draft.targets.len()).filter(|i| draft.targets[*i].role == Role::Time).collect();
    let cells = draft.cells.clone();
    let stamps = |i: &usize| cells[*i].iter().filter_map(stamp_of);
    // A stamp that is the same on all lines is when something began.
    let same = |i: &usize| {
        stamps(i).count() > 2
            && stamps(i).zip(stamps(i).skip(1)).all(|(a, b)| a == b && a.second.is_some())
    };
    let places: Vec<usize> = places.into_iter().filter(|i| !same(i)).collect();
    let dated = |i: &usize| stamps(i).any(|s| s.date.is_some());
    let clocked = |i: &usize| stamps(i).any(|s| s.second.is_some());
    let year_month_day = (0..3).all(|p| draft.targets.iter().any(|t| t.role == Role::Part(p)));
    if year_month_day {
        leave_out(draft, |t| *t == Role::Time, "year, month and day give the times");
        return Ok(TimePlan::Dated { month_first: false });
    }
    let clock_parts = [3, 4].iter().all(|p| draft.targets.iter().any(|t| t.role == Role::Part(*p)));
    if clock_parts && !places.iter().any(clocked) {
        let date = places.iter().copied().find(dated);
        keep(draft, &[date]);
        return Ok(match date {
            Some(i) => TimePlan::Dated { month_first: month_first(sample, &cells[i]) },
            None => TimePlan::OfDay,
        });
    }
    leave_out(draft, |t| matches!(t, Role::Part(_)), "no date can be made of it");
    if let Some(date) = places.iter().copied().find(dated) {
        let whole = stamps(&date).any(|s| s.second.is_some());
        let clock = places.iter().copied().find(|i| *i != date && !dated(i) && clocked(i));
        let kept = [Some(date), clock.filter(|_| !whole)];
        keep(draft, &kept);
        if whole || clock.is_some() {
            let month_first = month_first(sample, &cells[date]);
            return Ok(TimePlan::Dated { month_first });
        }
    }
    let numbered = |i: &usize| cells[*i].iter().any(|c| matches!(c, Cell::Number(..)));
    let numeric = places.iter().copied().find(numbered);
    if let Some(i) = numeric {
        let plan = counter(sample, draft, i);
        if matches!(plan, TimePlan::Unix(_) | TimePlan::Serial) || !places.iter().any(clocked) {
            keep(draft, &[Some(i)]);
            return Ok(plan);
        }
    }
    if let Some(i) = places.iter().copied().find(clocked) {
        keep(draft, &[Some(i)]);
        let days = stamps(&i).filter_map(|s| s.second).any(|s| s >= 86_400.0);
        let short: Vec<f64> = stamps(&i).filter(|s| s.short).filter_map(|s| s.second).collect();
        let all = stamps(&i).count();
        // Hours do not go beyond 23 on a clock: these are minutes and seconds.
        if short.len() == all && short.iter().any(|s| *s >= 86_400.0) {
            return Ok(TimePlan::MinuteSecond);
        }
        let spans = stamps(&i).any(|s| s.elapsed);
        let elapsed = draft.labels[i].meaning == Meaning::Elapsed || days || spans;
        return Ok(if elapsed { TimePlan::Elapsed } else { TimePlan::OfDay });
    }
    keep(draft, &[]);
    Ok(prefixed(sample))
}

/// Stamps of a terminal before most lines.
fn prefixed(sample: &mut Sample<'_>) -> TimePlan {
    let (stamps, filled) = sample.stamps();
    // A stamp on a line of its own holds for the lines after it.
    if 2 * stamps.len() < filled && sample.heads() < 2 || stamps.is_empty() {
        return TimePlan::None;
    }
    let days = |s: &Stamp| s.date.is_none() && s.second.is_some_and(|s| s >= 86_400.0);
    let days = stamps.iter().any(|s| days(s) || s.elapsed);
    if stamps.iter().any(|s| s.date.is_some() && s.second.is_some()) {
        let cells: Vec<Cell> = stamps.into_iter().map(Cell::Stamp).collect();
        return TimePlan::Dated { month_first: month_first(sample, &cells) };
    }
    if days { TimePlan::Elapsed } else { TimePlan::OfDay }
}

fn stamp_of(cell: &Cell) -> Option<Stamp> {
    match cell {
        Cell::Stamp(s) => Some(*s),
        _ => None,
    }
}

fn leave_out(draft: &mut Draft, which: impl Fn(&Role) -> bool, why: &str) {
    let times = |r: &Role| matches!(r, Role::Time | Role::Part(_)) && which(r);
    for target in draft.targets.iter_mut().filter(|t| times(&t.role)) {
        target.role = Role::Ignored(why.to_owned());
    }
}

fn keep(draft: &mut Draft, kept: &[Option<usize>]) {
    // A name that changed on the way is the same time.
    let is_stamp = |i: usize| draft.cells[i].iter().any(|c| matches!(c, Cell::Stamp(_)));
    let both = |i: usize, j: usize| {
        draft
            .table
            .rows
            .iter()
            .any(|r| r.iter().any(|(f, _)| *f == i) && r.iter().any(|(f, _)| *f == j))
    };
    let mut kept = kept.to_vec();
    if let (None, Some(first)) = (&draft.pivot, kept.iter().flatten().next().copied()) {
        for i in 0..draft.targets.len() {
            let time = draft.targets[i].role == Role::Time && i != first;
            if time && is_stamp(i) == is_stamp(first) && !both(i, first) {
                kept.push(Some(i));
            }
        }
    }
    for (i, target) in draft.targets.iter_mut().enumerate() {
        if target.role == Role::Time && !kept.contains(&Some(i)) {
            target.role = Role::Ignored("another column gives the times".to_owned());
        }
    }
}

/// Whether the month comes first in `3/4/2026`.
fn month_first(sample: &mut Sample<'_>, cells: &[Cell]) -> bool {
    if let Some(order) = sample.options.date_order {
        return order == DateOrder::Mdy;
    }
    let open: Vec<(u32, u32)> = cells
        .iter()
        .filter_map(stamp_of)
        .filter_map(|s| match s.date {
            Some(Date::Open { a, b, .. }) => Some((a, b)),
            _ => None,
        })
        .collect();
    let Some((a, b)) = open.first().copied() else { return false };
    if open.iter().any(|(a, _)| *a > 12) {
        return false;
    }
    if open.iter().any(|(_, b)| *b > 12) {
        return true;
    }
    if open.iter().any(|(x, y)| (*x, *y) != (a, b) && *y == b) && !open.iter().any(|(_, y)| *y != b)
    {
        // only the first number moves on from day to day
        return false;
    }
    sample.guess(
        format!("{a}/{b} could be day/month or month/day; the day is taken to come first"),
        "--date-order dmy (or mdy)",
    );
    false
}

/// What the numbers of a time column count.
fn counter(sample: &mut Sample<'_>, draft: &Draft, i: usize) -> TimePlan {
    let values: Vec<f64> = super::uses::numbers(&draft.cells[i]).collect();
    let mut sorted = values.clone();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.get(sorted.len() / 2).copied().unwrap_or(0.0);
    let name = draft.targets[i].name.to_lowercase();
    let millis = name.contains("milli").then_some(Unit::Millisecond);
    let unit = sample.options.time_unit.or(draft.labels[i].unit).or(millis);
    // 1990 to 2100 in s, ms, us and ns since 1970; a 32-bit counter of ms ends at 4.29e9.
    let epochs = [
        (Unit::Second, 1.0),
        (Unit::Millisecond, 1e3),
        (Unit::Microsecond, 1e6),
        (Unit::Nanosecond, 1e9),
    ];
    for (epoch, counts) in epochs {
        let plausible = (6.3e8 * counts..4.2e9 * counts).contains(&middle);
        if plausible
            && unit.is_none_or(|u| u == epoch || u == Unit::Second && epoch != Unit::Second)
        {
            return TimePlan::Unix(epoch);
        }
    }
    // Days since 1899-12-30 from 2000 to 2100, with the clock as a fraction of a day: common practice of spreadsheets.
    let fractions = values.iter().any(|v| v.fract() != 0.0);
    let span = sorted.last().unwrap_or(&0.0) - sorted.first().unwrap_or(&0.0);
    if unit.is_none() && (36_526.0..73_051.0).contains(&middle) && fractions && span < 1000.0 {
        return TimePlan::Serial;
    }
    if let Some(unit) = unit.filter(|u| u.seconds().is_some()) {
        return TimePlan::Counter(unit);
    }
    let shown = if name.is_empty() { "the first column".to_owned() } else { name };
    TimePlan::Counter(unit_of_counts(sample, &values, &shown))
}

/// The unit of a counter that names none, by its steps.
fn unit_of_counts(sample: &mut Sample<'_>, values: &[f64], name: &str) -> Unit {
    if let Some(unit) = sample.options.time_unit {
        return unit;
    }
    let mut steps: Vec<f64> = values.windows(2).map(|w| w[1] - w[0]).filter(|d| *d > 0.0).collect();
    steps.sort_by(f64::total_cmp);
    let step = steps.get(steps.len() / 2).copied().unwrap_or(0.0);
    let whole = values.iter().all(|v| v.fract() == 0.0);
    // a logger that reads every 100 s or more seldom is rarer than one that counts milliseconds
    let unit = match step {
        s if whole && s >= 100_000.0 => Unit::Microsecond,
        s if whole && s >= 100.0 => Unit::Millisecond,
        _ => Unit::Second,
    };
    // 100 s in milliseconds are as likely as 0.1 s in microseconds: the slower logger is the usual one.
    let unit = if unit == Unit::Microsecond && step < 2e6 { Unit::Millisecond } else { unit };
    sample.guess(
        format!("{name} names no unit; its steps of {step} are taken as {}", unit.shown()),
        format!("--time-unit {}", unit.shown()),
    );
    unit
}
