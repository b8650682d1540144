//! Metrics: series in, numbers with their definitions out. Knows nothing of the model, so
//! that measured and simulated runs are judged alike.

mod curve;
mod table;
mod tracker;

pub use curve::{Course, NODES, Point, Points, Turn, points};
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

/// A series of values over time, times rising.
#[derive(Clone, Copy, Debug)]
pub struct Trace<'a> {
    /// Times \[s\].
    pub time_s: &'a [f64],
    /// Values.
    pub value: &'a [f64],
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

impl Trace<'_> {
    /// First time at which the value reaches `level` from below, by straight lines between samples.
    pub fn first_reaching(&self, level: f64) -> Option<f64> {
        self.first_crossing(|v| v - level)
    }

    /// First time at which the value has fallen to `level`.
    pub fn first_falling_to(&self, level: f64) -> Option<f64> {
        self.first_crossing(|v| level - v)
    }

    /// First time at which `f` of the value is zero or more.
    fn first_crossing(&self, f: impl Fn(f64) -> f64) -> Option<f64> {
        let first = f(*self.value.first()?);
        if first >= 0.0 {
            return self.time_s.first().copied();
        }
        let pairs = self.time_s.windows(2).zip(self.value.windows(2));
        for (t, v) in pairs {
            let (a, b) = (f(v[0]), f(v[1]));
            if b >= 0.0 && a < 0.0 {
                return Some(t[0] + (t[1] - t[0]) * a / (a - b));
            }
        }
        None
    }

    /// First time from which the value stays within `band` of `target` for `hold_s`; absent if the
    /// run ends before that is known.
    pub fn settled(&self, target: f64, band: f64, hold_s: f64) -> Option<f64> {
        let mut since: Option<f64> = None;
        for (&t, &v) in self.time_s.iter().zip(self.value) {
            if (v - target).abs() <= band {
                let start = *since.get_or_insert(t);
                if t - start >= hold_s {
                    return Some(start);
                }
            } else {
                since = None;
            }
        }
        None
    }

    /// The value at `time_s`, by straight lines between samples; absent outside the run.
    pub fn at(&self, time_s: f64) -> Option<f64> {
        let i = self.time_s.partition_point(|t| *t < time_s);
        let (t1, v1) = (*self.time_s.get(i)?, *self.value.get(i)?);
        let Some(before) = i.checked_sub(1) else { return (t1 == time_s).then_some(v1) };
        let (t0, v0) = (self.time_s[before], self.value[before]);
        Some(v0 + (v1 - v0) * (time_s - t0) / (t1 - t0))
    }

    /// The part from `from_s` on.
    pub fn since(&self, from_s: f64) -> Self {
        let at = self.time_s.partition_point(|t| *t < from_s);
        Trace { time_s: &self.time_s[at..], value: &self.value[at..] }
    }

    /// Mean over time (trapezia); the single value of a single sample.
    pub fn mean(&self) -> Option<f64> {
        let (first, last) = (self.time_s.first()?, self.time_s.last()?);
        if last <= first {
            return self.value.first().copied();
        }
        Some(self.integral() / (last - first))
    }

    /// Integral over time (trapezia).
    pub fn integral(&self) -> f64 {
        let pairs = self.time_s.windows(2).zip(self.value.windows(2));
        pairs.map(|(t, v)| 0.5 * (v[0] + v[1]) * (t[1] - t[0])).sum()
    }

    /// Largest and smallest value.
    pub fn range(&self) -> Option<(f64, f64)> {
        let finite = self.value.iter().copied().filter(|v| v.is_finite());
        finite.fold(None, |range, v| match range {
            None => Some((v, v)),
            Some((low, high)) => Some((v.min(low), v.max(high))),
        })
    }

    /// Time during which the value exceeds `level`, by straight lines between samples \[s\].
    pub fn time_above(&self, level: f64) -> f64 {
        let pairs = self.time_s.windows(2).zip(self.value.windows(2));
        pairs
            .map(|(t, v)| {
                let (a, b) = (v[0] - level, v[1] - level);
                let share = match (a > 0.0, b > 0.0) {
                    (true, true) => 1.0,
                    (false, false) => 0.0,
                    (true, false) => a / (a - b),
                    (false, true) => b / (b - a),
                };
                share * (t[1] - t[0])
            })
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const T: [f64; 5] = [0.0, 10.0, 20.0, 30.0, 40.0];

    fn trace(value: &[f64]) -> Trace<'_> {
        Trace { time_s: &T, value }
    }

    #[test]
    fn crossings_are_interpolated() {
        let rise = trace(&[0.0, 1.0, 2.0, 3.0, 4.0]);
        assert_eq!(rise.first_reaching(2.5), Some(25.0));
        assert_eq!(rise.first_reaching(9.0), None);
        assert_eq!(trace(&[4.0, 3.0, 2.0, 1.0, 0.0]).first_falling_to(0.5), Some(35.0));
    }

    #[test]
    fn values_between_samples_are_on_straight_lines() {
        let v = trace(&[0.0, 1.0, 2.0, 3.0, 4.0]);
        assert_eq!(
            [v.at(0.0), v.at(25.0), v.at(40.0), v.at(41.0)],
            [Some(0.0), Some(2.5), Some(4.0), None]
        );
    }

    #[test]
    fn settling_needs_the_whole_hold_time() {
        let v = trace(&[0.0, 10.0, 5.0, 10.2, 9.9]);
        assert_eq!(v.settled(10.0, 1.0, 10.0), Some(30.0));
        assert_eq!(v.settled(10.0, 1.0, 20.0), None);
    }

    #[test]
    fn time_above_splits_the_interval() {
        assert_eq!(trace(&[0.0, 2.0, 2.0, 0.0, 0.0]).time_above(1.0), 20.0);
    }

    #[test]
    fn a_value_known_from_one_side_keeps_a_limit_only_where_that_is_sure() {
        let most = Some(Bound::AtLeast);
        assert!(keeps(3.0, None, 4.0, false) && !keeps(5.0, None, 4.0, false));
        assert!(!keeps(3.0, most, 4.0, false) && !keeps(5.0, most, 4.0, false));
        assert!(!keeps(3.0, most, 4.0, true) && keeps(5.0, most, 4.0, true));
        assert!(keeps(3.0, Some(Bound::AtMost), 4.0, false));
        assert!(!keeps(5.0, Some(Bound::AtMost), 4.0, true));
    }

    #[test]
    fn mean_is_over_time_and_empty_has_none() {
        assert_eq!(trace(&[1.0, 1.0, 3.0, 3.0, 3.0]).mean(), Some(2.25));
        assert_eq!(Trace { time_s: &[], value: &[] }.mean(), None);
    }
}
