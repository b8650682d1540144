//! Several clocks on one: where each source's own time 0 lies on the clock of the run.

use crate::measured::Start;
use crate::measured::moment::{DAY_S, Moment};

/// The clock of a run: its zero, as far as it is known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Timeline {
    /// Clock of the start: seconds of the day, or since 1970, with whether the date is known.
    zero: Option<(f64, bool)>,
}

impl Timeline {
    /// A run that starts at this moment.
    #[must_use]
    pub fn at(moment: Moment) -> Self {
        Timeline {
            zero: match moment {
                Moment::Clock(s) => Some((s, false)),
                Moment::Dated(s) => Some((s, true)),
                Moment::Elapsed(_) => None,
            },
        }
    }

    /// A run that starts when this log does.
    #[must_use]
    pub fn of(start: Start) -> Self {
        Timeline { zero: Some((start.clock_s, start.dated)) }
    }

    /// Seconds since the start of the run; `None` for a clock time when the run has no clock.
    ///
    /// Without a date on either side a clock time is taken to be less than twelve hours away.
    #[must_use]
    pub fn elapsed_s(&self, moment: Moment) -> Option<f64> {
        let (clock_s, dated) = match moment {
            Moment::Elapsed(s) => return Some(s),
            Moment::Clock(s) => (s, false),
            Moment::Dated(s) => (s, true),
        };
        let (zero_s, zero_dated) = self.zero?;
        let plain = clock_s - zero_s;
        if dated && zero_dated {
            return Some(plain);
        }
        let near = plain.rem_euclid(DAY_S);
        Some(if near > 0.5 * DAY_S { near - DAY_S } else { near })
    }

    /// Where the first row of a log lies.
    #[must_use]
    pub fn start_s(&self, start: Start) -> Option<f64> {
        let moment =
            if start.dated { Moment::Dated(start.clock_s) } else { Moment::Clock(start.clock_s) };
        self.elapsed_s(moment)
    }

    /// Seconds since midnight at the start, for tables that show the clock.
    #[must_use]
    pub fn clock_s(&self) -> Option<f64> {
        self.zero.map(|(s, _)| s.rem_euclid(DAY_S))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clock_times_are_placed_on_the_near_side() {
        let run = Timeline::at(Moment::Clock(23.0 * 3600.0));
        assert_eq!(run.elapsed_s(Moment::Clock(1800.0)), Some(5400.0));
        assert_eq!(run.elapsed_s(Moment::Clock(22.0 * 3600.0)), Some(-3600.0));
        assert_eq!(run.elapsed_s(Moment::Elapsed(60.0)), Some(60.0));
        assert_eq!(Timeline::default().elapsed_s(Moment::Clock(0.0)), None);
    }

    #[test]
    fn dates_are_exact_and_one_missing_date_is_forgiven() {
        let day = 20_000.0 * DAY_S;
        let run = Timeline::at(Moment::Dated(day + 3600.0));
        assert_eq!(run.elapsed_s(Moment::Dated(day + 3.0 * DAY_S)), Some(3.0 * DAY_S - 3600.0));
        assert_eq!(run.elapsed_s(Moment::Clock(7200.0)), Some(3600.0));
        let start = Start { clock_s: day, dated: true, utc_offset_s: None };
        assert_eq!(run.start_s(start), Some(-3600.0));
        assert_eq!(Timeline::of(start).clock_s(), Some(0.0));
    }
}
