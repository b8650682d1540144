//! What the guesses of a run leave open, as a section of its summary.

use std::fmt::Write;

use super::text::{left, plain};
use crate::study::guesses::{GuessBands, MetricBand};

/// The section; empty where nothing was guessed.
#[must_use]
pub fn section(spread: &GuessBands) -> String {
    if spread.bands.is_empty() {
        return String::new();
    }
    let mut out = String::from("\nWhat guessed values leave open\n");
    for band in &spread.bands {
        let _ = writeln!(out, "  {} {}", left(&band.label, 50), range(band));
    }
    out.push_str(
        "  guessed, and tried at both ends of what is likely, each alone, squares added:\n",
    );
    for guess in &spread.guesses {
        let paths = guess.paths.join(", ");
        let _ = writeln!(out, "    {paths} = {} ({} to {})", guess.value, guess.low, guess.high);
    }
    if spread.place_guessed {
        out.push_str(
            "  heater.place is not stated: with the heater above the load the air at it gets far hotter\n",
        );
    }
    out
}

/// `65 (58 to 83) min`.
fn range(band: &MetricBand) -> String {
    let MetricBand { value, low, high, unit, .. } = band;
    let round = |x: f64| plain(x, if x.abs() >= 100.0 { 3 } else { 2 });
    let high = high.map_or("not reached".to_owned(), round);
    format!("{} ({} to {high}) {unit}", round(*value), round(*low))
}
