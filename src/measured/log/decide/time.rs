//! Where the times of a log come from.

use std::fmt;

use super::Sample;
use super::table::TableShape;
use super::uses::{Role, Roles};
use crate::measured::log::lex::{Date, Meaning, Unit, stamp};
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
    /// A number in this unit.
    Counter(Unit),
    /// Seconds since 1970 in this unit.
    Unix(Unit),
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
            Self::Counter(unit) => write!(f, "counter in {}", unit.shown()),
            Self::Unix(unit) => write!(f, "{} since 1970-01-01", unit.shown()),
            Self::Interval(s) => write!(f, "a reading every {s} s (--interval)"),
            Self::None => write!(f, "none"),
        }
    }
}

/// Finds the times; columns that lose against a better one are left out.
pub fn find(
    sample: &mut Sample<'_>,
    roles: &mut Roles,
    table: &TableShape,
) -> Result<TimePlan, Vec<crate::reader::Issue>> {
    if let Some(interval) = sample.options.interval_s {
        leave_out(roles, |_| true, "--interval gives the times");
        return Ok(TimePlan::Interval(interval));
    }
    let places: Vec<usize> =
        (0..roles.targets.len()).filter(|i| roles.targets[*i].role == Role::Time).collect();
    let stamps = |i: &usize| table.cells[*i].iter().filter_map(stamp_of);
    let dated = |i: &usize| stamps(i).any(|s| s.date.is_some());
    let clocked = |i: &usize| stamps(i).any(|s| s.second.is_some());
    let year_month_day = (0..3).all(|p| roles.targets.iter().any(|t| t.role == Role::Part(p)));
    if year_month_day {
        leave_out(roles, |t| *t == Role::Time, "year, month and day give the times");
        return Ok(TimePlan::Dated { month_first: false });
    }
    leave_out(roles, |t| matches!(t, Role::Part(_)), "no date can be made of it");
    if let Some(date) = places.iter().copied().find(dated) {
        let whole = stamps(&date).any(|s| s.second.is_some());
        let clock = places.iter().copied().find(|i| *i != date && !dated(i) && clocked(i));
        let kept = [Some(date), clock.filter(|_| !whole)];
        keep(roles, &kept);
        if whole || clock.is_some() {
            let month_first = month_first(sample, &table.cells[date]);
            return Ok(TimePlan::Dated { month_first });
        }
    }
    let numbered = |i: &usize| table.cells[*i].iter().any(|c| matches!(c, Cell::Number(..)));
    let numeric = places.iter().copied().find(numbered);
    if let Some(i) = numeric {
        let plan = counter(sample, roles, table, i);
        if matches!(plan, TimePlan::Unix(_)) || !places.iter().any(clocked) {
            keep(roles, &[Some(i)]);
            return Ok(plan);
        }
    }
    if let Some(i) = places.iter().copied().find(clocked) {
        keep(roles, &[Some(i)]);
        let long = stamps(&i).filter_map(|s| s.second).any(|s| s >= 86_400.0);
        let elapsed = roles.labels[i].meaning == Meaning::Elapsed || long;
        return Ok(if elapsed { TimePlan::Elapsed } else { TimePlan::OfDay });
    }
    keep(roles, &[]);
    Ok(prefixed(sample))
}

/// Stamps of a terminal before most lines.
fn prefixed(sample: &mut Sample<'_>) -> TimePlan {
    let of = |text: &str| stamp::prefix(text).0;
    let stamps: Vec<_> = sample.lines.iter().filter_map(|l| of(&l.text)).collect();
    let filled = sample.lines.iter().filter(|l| !l.text.trim().is_empty()).count();
    if 2 * stamps.len() < filled || stamps.is_empty() {
        return TimePlan::None;
    }
    if stamps.iter().any(|s| s.date.is_some() && s.second.is_some()) {
        let cells: Vec<Cell> = stamps.into_iter().map(Cell::Stamp).collect();
        return TimePlan::Dated { month_first: month_first(sample, &cells) };
    }
    TimePlan::OfDay
}

fn stamp_of(cell: &Cell) -> Option<stamp::Stamp> {
    match cell {
        Cell::Stamp(s) => Some(*s),
        _ => None,
    }
}

fn leave_out(roles: &mut Roles, which: impl Fn(&Role) -> bool, why: &str) {
    let times = |r: &Role| matches!(r, Role::Time | Role::Part(_)) && which(r);
    for target in roles.targets.iter_mut().filter(|t| times(&t.role)) {
        target.role = Role::Ignored(why.to_owned());
    }
}

fn keep(roles: &mut Roles, kept: &[Option<usize>]) {
    for (i, target) in roles.targets.iter_mut().enumerate() {
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
fn counter(sample: &mut Sample<'_>, roles: &Roles, table: &TableShape, i: usize) -> TimePlan {
    let values: Vec<f64> = table.cells[i]
        .iter()
        .filter_map(|c| match c {
            Cell::Number(v, _) => Some(*v),
            _ => None,
        })
        .collect();
    let mut sorted = values.clone();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.get(sorted.len() / 2).copied().unwrap_or(0.0);
    let name = roles.targets[i].name.to_lowercase();
    let millis = name.contains("milli").then_some(Unit::Millisecond);
    let unit = sample.options.time_unit.or(roles.labels[i].unit).or(millis);
    // 1990 to 2100 in s, ms and us since 1970; a 32-bit counter of ms ends at 4.29e9.
    match (unit, middle) {
        (None | Some(Unit::Second), v) if (6.3e8..4.2e9).contains(&v) => {
            return TimePlan::Unix(Unit::Second);
        }
        (None | Some(Unit::Millisecond), v) if (6.3e11..4.2e12).contains(&v) => {
            return TimePlan::Unix(Unit::Millisecond);
        }
        (None | Some(Unit::Microsecond), v) if (6.3e14..4.2e15).contains(&v) => {
            return TimePlan::Unix(Unit::Microsecond);
        }
        (Some(unit), _) => return TimePlan::Counter(unit),
        _ => {}
    }
    let mut steps: Vec<f64> = values.windows(2).map(|w| w[1] - w[0]).filter(|d| *d > 0.0).collect();
    steps.sort_by(f64::total_cmp);
    let step = steps.get(steps.len() / 2).copied().unwrap_or(0.0);
    let whole = values.iter().all(|v| v.fract() == 0.0);
    // a logger that reads every 100 s or more seldom is rarer than one that counts milliseconds
    let unit = if whole && step >= 100.0 { Unit::Millisecond } else { Unit::Second };
    let shown = if name.is_empty() { "the first column".to_owned() } else { name };
    sample.guess(
        format!("{shown} names no unit; its steps of {step} are taken as {}", unit.shown()),
        format!("--time-unit {}", unit.shown()),
    );
    TimePlan::Counter(unit)
}
