//! Metrics: series in, numbers with their definitions out. Knows nothing of the model, so
//! that measured and simulated runs are judged alike.
//!
//! ```
//! let t90 = drybench::metric::definition("t90_min");
//! assert_eq!(t90.unit, "min");
//! assert!(drybench::metric::find("no_such_metric").is_none());
//! ```

mod curve;
mod readings;
mod table;
mod tracker;

pub use curve::{Course, NODES, Point, Points, Turn, points};
pub use readings::{FromReadings, SIGMAS, Trace, passed};
pub use table::{Chapter, Definition, all, definition, find, instead};
pub use tracker::{Peak, Settling, Span, Stage, Tracker, first_past};

use serde::{Deserialize, Serialize};

/// Band around the set point that counts as reached \[K\]. Common practice.
pub const BAND_K: f64 = 1.0;
/// Time a reading must stay in the band to count as settled \[s\]. Common practice.
pub const HOLD_S: f64 = 600.0;
/// Longest window at the end of a run that stands for its steady state \[s\]; at most half the run.
/// Common practice.
pub const WINDOW_S: f64 = 1800.0;
/// Least water removed for an energy per gram to mean anything \[g\].
pub const LEAST_REMOVED_G: f64 = 0.05;

/// When the steady window of a run of this length begins \[s\].
#[must_use]
pub fn steady_from_s(end_s: f64) -> f64 {
    end_s - WINDOW_S.min(0.5 * end_s)
}

/// On which side of a stated value the true one lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Bound {
    /// It is this or more.
    AtLeast,
    /// It is this or less.
    AtMost,
}

impl Bound {
    fn typed(self) -> &'static str {
        match self {
            Self::AtLeast => ">=",
            Self::AtMost => "<=",
        }
    }

    /// The sign before the value.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Self::AtLeast => "≥",
            Self::AtMost => "≤",
        }
    }
}

/// The figures that are known from one side only, as one cell of a table: `peak_air_C >=; energy_Wh >=`.
#[must_use]
pub fn bounds(metrics: &[Metric]) -> String {
    let one = |m: &Metric| m.bound.map(|b| format!("{} {}", m.key, b.typed()));
    metrics.iter().filter_map(one).collect::<Vec<_>>().join(SEPARATOR)
}

/// What [`bounds`] says of a figure.
#[must_use]
pub fn bound_of(cell: &str, key: &str) -> Option<Bound> {
    let found = |part: &str| part.strip_prefix(key)?.strip_prefix(' ').map(str::to_owned);
    let typed = cell.split(SEPARATOR).find_map(found)?;
    [Bound::AtLeast, Bound::AtMost].into_iter().find(|b| b.typed() == typed)
}

/// Why figures have no value, as one cell of a table.
#[must_use]
pub fn reasons(metrics: &[Metric]) -> String {
    let one = |m: &Metric| m.why.as_ref().map(|why| format!("{}: {why}", m.key));
    metrics.iter().filter_map(one).collect::<Vec<_>>().join(SEPARATOR)
}

/// Between figures in one cell.
const SEPARATOR: &str = "; ";

/// Whether a value, or one that is known from one side only, is sure to be on the wanted side of `level`.
#[must_use]
pub fn keeps(value: f64, bound: Option<Bound>, level: f64, above: bool) -> bool {
    let sure = match bound {
        None => true,
        Some(Bound::AtLeast) => above,
        Some(Bound::AtMost) => !above,
    };
    sure && if above { value >= level } else { value <= level }
}

/// One metric.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Metric {
    /// Short key, such as `t90_min`.
    pub key: String,
    /// Words for a table.
    pub label: String,
    /// The value; absent where the run does not show it.
    pub value: Option<f64>,
    /// Where the true value lies, if the run ended before that was known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bound: Option<Bound>,
    /// Unit.
    pub unit: String,
    /// What exactly it is.
    pub definition: String,
    /// Why there is no value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_known_from_one_side_keeps_a_limit_only_where_that_is_sure() {
        let most = Some(Bound::AtLeast);
        assert!(keeps(3.0, None, 4.0, false) && !keeps(5.0, None, 4.0, false));
        assert!(!keeps(3.0, most, 4.0, false) && !keeps(5.0, most, 4.0, false));
        assert!(!keeps(3.0, most, 4.0, true) && keeps(5.0, most, 4.0, true));
        assert!(keeps(3.0, Some(Bound::AtMost), 4.0, false));
        assert!(!keeps(5.0, Some(Bound::AtMost), 4.0, true));
    }
}
