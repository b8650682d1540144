//! The time series of a run as CSV.

use std::fmt::Write;

use super::text::plain;
use crate::run::Run;

/// Significant digits of a value: below the solver's own error, above any sensor.
const DIGITS: usize = 7;

/// One row per sample: `time_s` and all columns, units in the header, empty where there is no value.
pub fn csv(run: &Run) -> String {
    let mut out = String::from("time_s");
    for column in &run.columns {
        out.push(',');
        out.push_str(&column.name);
    }
    out.push('\n');
    for (i, t) in run.time_s.iter().enumerate() {
        let _ = write!(out, "{t}");
        for column in &run.columns {
            let value = column.values[i];
            let _ = if value.is_finite() {
                write!(out, ",{}", plain(value, DIGITS))
            } else {
                write!(out, ",")
            };
        }
        out.push('\n');
    }
    out
}
