//! The time series of a run as CSV.

use super::text::plain;
use crate::run::Run;
use crate::text::Csv;

/// Significant digits of a value: below the solver's own error, above any sensor.
const DIGITS: usize = 7;

/// One row per sample: `time_s` and all columns, units in the header, empty where there is no value.
pub fn csv(run: &Run) -> String {
    let heads = run.columns.iter().map(|c| c.name.as_str());
    let mut out = Csv::with_head(std::iter::once("time_s").chain(heads));
    let value = |v: f64| if v.is_finite() { plain(v, DIGITS) } else { String::new() };
    for (i, t) in run.time_s.iter().enumerate() {
        let values = run.columns.iter().map(|c| value(c.values[i]));
        out.row(std::iter::once(t.to_string()).chain(values));
    }
    out.text()
}
