//! What readings say about the sensors themselves: offsets, time constants, lag, openings of the
//! lid, and readings in doubt.

mod flags;
mod lag;
mod lids;
mod offsets;
mod step;

pub use flags::{Flag, FlagKind, flags};
pub use lag::{Corrected, correct_lag};
pub use lids::{FoundOpening, Verdict, compare, openings};
pub use offsets::{Offset, side_by_side, swapped};
pub use step::{StepError, time_constant};

use crate::physics::moist_air::sensed_vapour_density_kg_m3;

/// Readings of one sensor, failed ones left out, in SI.
#[derive(Clone, Copy, Debug)]
pub struct Readings<'a> {
    /// Times \[s\], rising.
    pub time_s: &'a [f64],
    /// Temperatures \[K\].
    pub temp_k: &'a [f64],
    /// Relative humidities, 0..1; empty without any.
    pub relative_humidity: &'a [f64],
}

impl Readings<'_> {
    /// Vapour density of each reading \[kg/m³\]; NaN where there is none.
    fn vapour_density(&self) -> Vec<f64> {
        let pairs = self.temp_k.iter().zip(self.relative_humidity);
        pairs.map(|(t, rh)| sensed_vapour_density_kg_m3(*t, *rh)).collect()
    }
}

/// Median of finite values; `None` without any.
fn median(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut finite: Vec<f64> = values.filter(|v| v.is_finite()).collect();
    finite.sort_by(f64::total_cmp);
    let n = finite.len();
    (n > 0).then(|| 0.5 * (finite[(n - 1) / 2] + finite[n / 2]))
}

/// Median distance of readings \[s\].
fn usual_step_s(time_s: &[f64]) -> f64 {
    median(time_s.windows(2).map(|w| w[1] - w[0])).unwrap_or(f64::INFINITY)
}
