//! The time series of a run as CSV.

use std::fmt::Write;

use crate::run::Run;

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
            let _ =
                if value.is_finite() { write!(out, ",{}", plain(value)) } else { write!(out, ",") };
        }
        out.push('\n');
    }
    out
}

/// Seven significant digits: below the solver's own error, above any sensor.
fn plain(value: f64) -> String {
    let rounded: f64 = format!("{value:.6e}").parse().unwrap_or(value);
    if rounded == 0.0 { "0".into() } else { rounded.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_keep_seven_digits_and_no_negative_zero() {
        assert_eq!(plain(12.345_678_91), "12.34568");
        assert_eq!(plain(-0.0), "0");
        assert_eq!(plain(1.0 / 3.0), "0.3333333");
    }
}
