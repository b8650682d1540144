//! What one reading says about its time.

use super::lex::{Date, Stamp};

/// What one reading says about its time.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct StampParts {
    /// Date.
    pub date: Option<Date>,
    /// Seconds of the day, or elapsed.
    pub second: Option<f64>,
    /// Offset from UTC.
    pub offset_s: Option<f64>,
    /// A counter.
    pub number: Option<f64>,
    /// Year, month, day, hour, minute, second.
    pub parts: [Option<f64>; 6],
}

impl StampParts {
    /// Seconds of the day, from a clock or its parts.
    #[must_use]
    pub fn of_day(&self) -> Option<f64> {
        let parts = [3_600.0, 60.0, 1.0].iter().zip(&self.parts[3..]);
        let sum = || parts.map(|(s, v)| v.unwrap_or(0.0) * s).sum();
        self.second.or_else(|| self.parts[3].map(|_| sum()))
    }

    /// Adds a date or a clock.
    pub fn stamp(&mut self, stamp: Stamp) {
        self.date = self.date.or(stamp.date);
        self.second = self.second.or(stamp.second);
        self.offset_s = self.offset_s.or(stamp.offset_s);
    }
}
