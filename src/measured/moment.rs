//! Points in time as people write them in notes: a clock time, with or without a date, or a time
//! since the start.

use crate::measured::log::lex::calendar::days;
use crate::reader::{Key, Section};
use crate::units::{self, Kind};

/// Seconds of a day.
pub const DAY_S: f64 = 86_400.0;

/// A point in time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Moment {
    /// Seconds since midnight, the day unknown.
    Clock(f64),
    /// Seconds since 1970-01-01 00:00 on the same clock.
    Dated(f64),
    /// Seconds since the start of the run.
    Elapsed(f64),
}

impl Moment {
    /// So much later.
    #[must_use]
    pub fn moved(self, by_s: f64) -> Self {
        match self {
            Moment::Clock(s) => Moment::Clock(s + by_s),
            Moment::Dated(s) => Moment::Dated(s + by_s),
            Moment::Elapsed(s) => Moment::Elapsed(s + by_s),
        }
    }

    /// Reads `10:30`, `10:30:15`, `2026-03-14 10:30` or `90 min`.
    pub fn parse(text: &str) -> Result<Self, String> {
        let text = text.trim();
        if let Some((date, time)) =
            text.split_once(['T', ' ']).filter(|(d, _)| d.contains('-') && !d.starts_with('-'))
        {
            let day = day_number(date).ok_or_else(|| HOW.to_owned())?;
            let clock = clock_s(time.trim_end_matches('Z')).ok_or_else(|| HOW.to_owned())?;
            return Ok(Moment::Dated(day as f64 * DAY_S + clock));
        }
        if text.contains(':') {
            return clock_s(text).map(Moment::Clock).ok_or_else(|| HOW.to_owned());
        }
        // Before the start: sensors side by side, for example.
        let (sign, span) = text.strip_prefix('-').map_or((1.0, text), |rest| (-1.0, rest));
        let seconds = units::parse(Kind::Time, span).map_err(|e| e.to_string())?;
        Ok(Moment::Elapsed(sign * seconds))
    }

    /// The clock as text, `10:30:00`; none for a time since the start.
    #[must_use]
    pub fn clock_text(self) -> Option<String> {
        let (Moment::Clock(s) | Moment::Dated(s)) = self else { return None };
        let s = s.rem_euclid(DAY_S).round() as u32;
        Some(format!("{:02}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60))
    }

    /// Reads a key of a table; notes what is wrong with it.
    pub fn read(s: &Section, key: &Key) -> Option<Self> {
        let text = s.text_opt(key)?;
        match Moment::parse(&text) {
            Ok(moment) => Some(moment),
            Err(why) => {
                s.fail(key, "bad-time", "is no point in time", Some(&why), Some(EXAMPLE.into()));
                None
            }
        }
    }

    /// As [`Moment::read`], for a key that must be there.
    pub fn required(s: &Section, key: &Key) -> Option<Self> {
        if !s.has(key) {
            // The getter notes that it is missing.
            let _ = s.text(key);
            return None;
        }
        Moment::read(s, key)
    }
}

const HOW: &str = "a clock time has hours, minutes and perhaps seconds, a date is year-month-day";
const EXAMPLE: &str = "write, for example, \"10:30\", \"2026-03-14 10:30\" or \"90 min\"";

/// `10:30` or `10:30:15.5` in seconds since midnight.
fn clock_s(text: &str) -> Option<f64> {
    let mut parts = text.trim().split(':');
    let whole = |part: Option<&str>, most: u32| {
        part.and_then(|p| p.trim().parse::<u32>().ok()).filter(|v| *v < most)
    };
    let (hour, minute) = (whole(parts.next(), 24)?, whole(parts.next(), 60)?);
    let second = match parts.next() {
        None => 0.0,
        Some(s) => s.trim().parse::<f64>().ok().filter(|s| (0.0..60.0).contains(s))?,
    };
    let done = parts.next().is_none();
    done.then_some(f64::from(hour) * 3600.0 + f64::from(minute) * 60.0 + second)
}

/// Days from 1970-01-01 to `year-month-day` of the Gregorian calendar.
#[must_use]
pub fn day_number(text: &str) -> Option<i64> {
    let mut parts = text.split('-').map(str::trim);
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    let done = parts.next().is_none();
    days(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?).filter(|_| done)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clocks_dates_and_spans() {
        assert_eq!(Moment::parse("10:30"), Ok(Moment::Clock(37_800.0)));
        assert_eq!(Moment::parse("9:05:07.5"), Ok(Moment::Clock(32_707.5)));
        assert_eq!(Moment::parse("90 min"), Ok(Moment::Elapsed(5_400.0)));
        assert_eq!(Moment::parse("-20 min"), Ok(Moment::Elapsed(-1_200.0)));
        // 2000-03-01 is day 11 017 after 1970-01-01 (30 years with 7 leap days, then 31 + 29).
        let day = f64::from(30 * 365 + 7 + 31 + 29);
        assert_eq!(Moment::parse("2000-03-01 00:00"), Ok(Moment::Dated(day * DAY_S)));
        assert_eq!(Moment::parse("2000-03-01T00:00:00Z"), Ok(Moment::Dated(day * DAY_S)));
    }

    #[test]
    fn what_is_no_time_is_refused() {
        for text in ["25:00", "10:61", "10:30:99", "2026-02-29 10:00", "ten", "", "10:30:1:1", "90"]
        {
            assert!(Moment::parse(text).is_err(), "{text}");
        }
    }
}
