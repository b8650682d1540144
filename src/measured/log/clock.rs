//! From what a line says about the time to seconds on one axis that does not jump.

use super::complaint::Tally;
use super::decide::time::TimePlan;
use super::ledger::Class;
use super::lex::Unit;
use super::stamp_parts::StampParts;
use crate::measured::Start;

const DAY_S: f64 = 86_400.0;
const HOUR_S: f64 = 3600.0;
/// Lines of one logger come out of order by seconds, not by more than this.
const DISORDER_S: f64 = 600.0;
/// A counter of 32 bits starts anew after this many counts.
const COUNTS_32: f64 = 4_294_967_296.0;
/// A counter that is below this after a long way back has started anew \[s\].
const LONGEST_BOOT_S: f64 = 30.0;
/// A clock that goes on by more than this is set on the way [s]: five years.
const LONGEST_GAP_S: f64 = 5.0 * 365.25 * DAY_S;
/// Steps kept to know the usual one.
const STEPS: usize = 9;

/// A time of a log: seconds on an axis, and the segment that the axis belongs to.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct At {
    /// Counts up where a counter starts anew, from 0.
    pub segment: u32,
    /// Seconds on the axis of that segment.
    pub second: f64,
}

/// Places readings on one axis; on a new one where a counter starts anew after a pause that nobody stated.
#[derive(Clone, Debug)]
pub struct Clock {
    plan: TimePlan,
    pause_s: Option<f64>,
    segment: u32,
    /// Latest time so far.
    last: Option<f64>,
    first: Option<f64>,
    /// Added to a counter for the wraps and stated pauses so far, to a clock for its changes by hours.
    shift_s: f64,
    /// The last value that was far back.
    suspect: Option<f64>,
    steps: Vec<f64>,
    slots: u64,
    offset_s: Option<f64>,
}

impl Clock {
    /// A clock of this plan at the start of a log, with the pause at a restart if that is stated.
    #[must_use]
    pub fn new(plan: TimePlan, pause_s: Option<f64>) -> Self {
        Self {
            plan,
            pause_s,
            segment: 0,
            last: None,
            first: None,
            shift_s: 0.0,
            suspect: None,
            steps: Vec::new(),
            slots: 0,
            offset_s: None,
        }
    }

    /// The clock of another sensor or table of the same log, at its first reading: it begins beside the first one, or
    /// anew where that reading stands far back.
    #[must_use]
    pub fn beside(&self, plan: TimePlan, parts: &StampParts) -> Self {
        let mut other = self.clone();
        (other.plan, other.slots) = (plan, 0);
        (other.suspect, other.first, other.last) = (None, None, None);
        let Some(last) = self.last else { return other };
        match plan {
            TimePlan::OfDay => {
                // The day that puts the reading next to the others.
                let second = parts.second.unwrap_or(0.0) + self.shift_s;
                let day = ((last - second) / DAY_S).round() * DAY_S;
                other.last = Some(day);
                other.first = Some(day);
            }
            TimePlan::Counter(_) | TimePlan::Elapsed => {
                let seconds = match plan {
                    TimePlan::Counter(unit) => unit.seconds().unwrap_or(1.0),
                    _ => 1.0,
                };
                let value_s = parts.number.map_or(parts.second.unwrap_or(0.0), |v| v * seconds);
                let near =
                    (value_s + self.shift_s - last).abs() <= DISORDER_S.max(20.0 * self.step());
                if !near {
                    (other.shift_s, other.segment) = (0.0, 0);
                }
            }
            _ => {}
        }
        other
    }

    /// Seconds on the axis.
    ///
    /// # Errors
    /// The class of a reading that does not say its time, or says one that cannot be placed.
    pub fn place(&mut self, parts: &StampParts, line: u64, tally: &mut Tally) -> Result<At, Class> {
        let second = self.find(parts, line, tally).ok_or(Class::NoTime)?;
        if !second.is_finite() {
            return Err(Class::OutOfOrder);
        }
        self.remember(second);
        Ok(At { segment: self.segment, second })
    }

    /// The place of a reading, infinite when it is far too late.
    fn find(&mut self, parts: &StampParts, line: u64, tally: &mut Tally) -> Option<f64> {
        match self.plan {
            TimePlan::None => None,
            TimePlan::Interval(step) => {
                self.slots += 1;
                Some((self.slots - 1) as f64 * step)
            }
            TimePlan::Dated { month_first } => self.dated(parts, month_first, line, tally),
            TimePlan::OfDay => parts.of_day().map(|s| self.of_day(s, line, tally)),
            TimePlan::Elapsed => parts.second.map(|s| self.counted(s, None, line, tally)),
            TimePlan::MinuteSecond => {
                parts.second.map(|s| self.counted(s / 60.0, None, line, tally))
            }
            TimePlan::Unix(unit) => parts.number.and_then(|v| Some(v * unit.seconds()?)),
            TimePlan::Serial => {
                // Days from 1899-12-30 to 1970-01-01; a fraction of a day is written to about a millisecond.
                parts.number.map(|v| (((v - 25_569.0) * DAY_S) * 1e3).round() / 1e3)
            }
            TimePlan::Counter(unit) => {
                let wide = matches!(unit, Unit::Millisecond | Unit::Microsecond);
                let second = unit.seconds()?;
                let wrap = wide.then_some(COUNTS_32 * second);
                parts.number.map(|v| self.counted(v * second, wrap, line, tally))
            }
        }
    }

    /// Seconds since 1970 on the clock of the log, its first offset taken for all.
    fn dated(
        &mut self,
        parts: &StampParts,
        month_first: bool,
        line: u64,
        tally: &mut Tally,
    ) -> Option<f64> {
        let (days, second) = match (parts.date, parts.parts) {
            (Some(date), _) => (date.days(month_first)?, parts.of_day()?),
            (None, [Some(year), Some(month), Some(day), ..]) => {
                let days = super::lex::calendar::days(
                    year as i64,
                    month.max(0.0) as u32,
                    day.max(0.0) as u32,
                )?;
                (days, parts.of_day().unwrap_or(0.0))
            }
            _ => return None,
        };
        let local = days as f64 * DAY_S + second;
        // A change to summer time is no jump: the axis runs with the offset of the first row.
        let offset = parts.offset_s.or(self.offset_s);
        self.offset_s = self.offset_s.or(offset);
        let at = local + self.offset_s.unwrap_or(0.0) - offset.unwrap_or(0.0);
        // A clock that was never set begins at 1970 or 2000; set on the way, it says nothing of the time between.
        if let Some(last) = self.last.filter(|last| at - last > LONGEST_GAP_S) {
            let what = format!(
                "the clock is set: it goes on by {:.0} days (a new segment)",
                (at - last) / DAY_S
            );
            tally.note("clock-set", line, &what);
            self.segment += 1;
            (self.shift_s, self.first, self.last) = (0.0, None, None);
            self.steps.clear();
        }
        if parts.offset_s.is_some() {
            return Some(at);
        }
        // 1970-01-01 was a Thursday; clocks are changed in the night to a Sunday (common practice).
        let sunday = (days + 4).rem_euclid(7) == 0 && second < 4.0 * HOUR_S;
        Some(self.changed(at, sunday, line, tally))
    }

    /// A clock that is changed by an hour while readings go on.
    fn changed(&mut self, at: f64, may_go_on: bool, line: u64, tally: &mut Tally) -> f64 {
        let at = at + self.shift_s;
        let Some(last) = self.last else { return at };
        let step = self.step();
        // A reading that comes one usual step later, but for the hour.
        let close =
            |t: f64| self.steps.len() > 2 && (t - last).abs() <= 2.5 * step && step < 0.3 * HOUR_S;
        let by = if at < last && close(at + HOUR_S) && at + HOUR_S > last {
            HOUR_S
        } else if may_go_on && at > last && close(at - HOUR_S) && at - HOUR_S > last {
            -HOUR_S
        } else {
            return at;
        };
        let way = if by > 0.0 { "back" } else { "on" };
        tally.note(
            "clock-change",
            line,
            &format!("the clock is put {way} by an hour; the time goes on"),
        );
        self.shift_s += by;
        at + by
    }

    /// A clock without date: far back is the next day, a little back is disorder.
    fn of_day(&mut self, second: f64, line: u64, tally: &mut Tally) -> f64 {
        let Some(last) = self.last else { return second };
        let second = second + self.shift_s;
        let mut at = ((last - self.shift_s) / DAY_S).floor() * DAY_S + second;
        if at < last {
            at = self.changed(at - self.shift_s, false, line, tally);
        }
        let back = last - at;
        if back > DISORDER_S {
            if back < DAY_S / 2.0 {
                let what = "the clock goes back; taken as the next day";
                tally.note("next-day", line, what);
            } else {
                tally.note("midnight", line, "midnight: the clock starts anew, the time goes on");
            }
            return at + DAY_S;
        }
        let late = at - DAY_S >= self.first.unwrap_or(at) && DAY_S + back < DISORDER_S;
        if late { at - DAY_S } else { at }
    }

    /// A counter: a wrap goes on, a restart begins a segment, a little back is disorder.
    fn counted(&mut self, value_s: f64, wrap_s: Option<f64>, line: u64, tally: &mut Tally) -> f64 {
        let at = value_s + self.shift_s;
        let (Some(last), Some(first)) = (self.last, self.first) else { return at };
        let back = last - at;
        if back <= 0.0 && self.shift_s == 0.0 {
            self.suspect = None;
            return at;
        }
        let before = last - self.shift_s;
        let step = self.step();
        if let Some(wrap) = wrap_s {
            if back > 0.0 && before > 0.95 * wrap && value_s < 0.05 * wrap {
                tally.note("wrap", line, "the 32-bit counter wraps; the time goes on");
                self.shift_s += wrap;
                return at + wrap;
            }
            if self.shift_s >= wrap && -back > 0.9 * wrap {
                return at - wrap;
            }
        }
        let near = back <= 20.0 * step && at >= first;
        let anew = value_s <= 0.5 * step && back >= 2.0 * step
            || value_s <= 1.5 * step && back > 4.0 * step
            || value_s <= LONGEST_BOOT_S && back > LONGEST_BOOT_S;
        if back <= 0.0 || near && !anew {
            self.suspect = None;
            return at;
        }
        // One line from far back is a late one; a second that goes on from it shows a restart.
        let goes_on = self.suspect.is_some_and(|s| value_s > s && value_s <= s + 20.0 * step);
        if !anew && !goes_on {
            self.suspect = Some(value_s);
            return f64::INFINITY;
        }
        self.suspect = None;
        self.restart(value_s, last, line, tally)
    }

    /// The first reading after a counter started anew.
    fn restart(&mut self, value_s: f64, last: f64, line: u64, tally: &mut Tally) -> f64 {
        if let Some(pause) = self.pause_s {
            let what =
                format!("the counter starts anew; the time goes on {pause} s later, as stated");
            tally.note("restart", line, &what);
            self.shift_s = last + pause - value_s;
            return last + pause;
        }
        tally.note(
            "restart",
            line,
            "the counter starts anew: a new segment (the pause is not known)",
        );
        self.segment += 1;
        (self.shift_s, self.first, self.last) = (0.0, None, None);
        value_s
    }

    fn remember(&mut self, at: f64) {
        if let Some(last) = self.last.filter(|last| at > *last) {
            if self.steps.len() == STEPS {
                self.steps.remove(0);
            }
            self.steps.push(at - last);
        }
        self.first = Some(self.first.map_or(at, |f| f.min(at)));
        self.last = Some(self.last.map_or(at, |l| l.max(at)));
    }

    /// The usual step so far \[s\].
    #[must_use]
    pub fn step(&self) -> f64 {
        let mut steps = self.steps.clone();
        steps.sort_by(f64::total_cmp);
        steps.get(steps.len() / 2).copied().unwrap_or(1.0)
    }

    /// The clock of a time on the axis, when the log has one.
    #[must_use]
    pub fn start(&self, at: f64) -> Option<Start> {
        let (dated, utc_offset_s) = match self.plan {
            TimePlan::Dated { .. } => (true, self.offset_s),
            TimePlan::Unix(_) => (true, Some(0.0)),
            TimePlan::Serial => (true, None),
            TimePlan::OfDay => (false, None),
            _ => return None,
        };
        Some(Start { clock_s: at, dated, utc_offset_s })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(plan: TimePlan, values: &[f64]) -> Vec<f64> {
        let mut clock = Clock::new(plan, None);
        let mut tally = Tally::default();
        let clocked = matches!(plan, TimePlan::OfDay | TimePlan::Elapsed);
        let one = |v: &f64| {
            let parts = if clocked {
                StampParts { second: Some(*v), ..StampParts::default() }
            } else {
                StampParts { number: Some(*v), ..StampParts::default() }
            };
            clock
                .place(&parts, 1, &mut tally)
                .map_or(f64::NAN, |at| at.second + 1e6 * f64::from(at.segment))
        };
        values.iter().map(one).collect()
    }

    #[test]
    fn midnight_and_disorder() {
        let got = place(TimePlan::OfDay, &[86_370.0, 86_399.0, 30.0, 86_398.0, 60.0]);
        assert_eq!(got, [86_370.0, 86_399.0, 86_430.0, 86_398.0, 86_460.0]);
        assert_eq!(
            place(TimePlan::OfDay, &[500.0, 530.0, 515.0, 560.0]),
            [500.0, 530.0, 515.0, 560.0]
        );
    }

    #[test]
    fn wraps_and_restarts() {
        let ms = TimePlan::Counter(Unit::Millisecond);
        let wrap = place(ms, &[4_294_907_433.0, 137.0, 60_137.0]);
        assert!((wrap[1] - wrap[0] - 60.0).abs() < 1e-6 && (wrap[2] - wrap[1] - 60.0).abs() < 1e-6);
        let restart = place(ms, &[100_000.0, 130_000.0, 160_000.0, 2_000.0, 32_000.0]);
        assert_eq!(restart, [100.0, 130.0, 160.0, 1_000_002.0, 1_000_032.0]);
        let disorder = place(ms, &[0.0, 30_000.0, 90_000.0, 60_000.0, 120_000.0]);
        assert_eq!(disorder, [0.0, 30.0, 90.0, 60.0, 120.0]);
    }
}
