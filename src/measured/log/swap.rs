//! Whether the columns of temperature and humidity look the wrong way round.

use super::moist::pairs;
use super::sink::Column;
use crate::physics::constants::STANDARD_PRESSURE;
use crate::physics::moist_air::saturation_any_in_air_pa;
use crate::units::{c_from_k, k_from_c};

/// The spread of the logarithm of the vapour pressure, as labelled and swapped.
#[derive(Clone, Copy, Debug)]
struct ValueSpread {
    low: [f64; 2],
    high: [f64; 2],
}

/// Watches each pair of temperature and humidity.
///
/// The water in the air of a box changes far less than its temperature and humidity do. Where the
/// vapour pressure as labelled swings widely, and with the columns swapped hardly, the
/// labels are the wrong way round.
#[derive(Clone, Debug)]
pub struct SwapCheck {
    pairs: Vec<(String, usize, usize)>,
    spreads: Vec<ValueSpread>,
    rows: u64,
}

/// Least swing as labelled that is suspicious (of the logarithm: a factor of 3.3). A wet load alone
/// can do more than that, but then the swapped columns swing as much.
const LEAST_SWING: f64 = 1.2;
/// The swapped swing must be smaller than this share of it.
const SHARE: f64 = 0.33;

impl SwapCheck {
    /// For rows of these columns.
    pub fn new(columns: &[Column]) -> Self {
        let pairs = pairs(columns);
        let none = ValueSpread { low: [f64::INFINITY; 2], high: [f64::NEG_INFINITY; 2] };
        Self { spreads: vec![none; pairs.len()], pairs, rows: 0 }
    }

    /// Takes a row.
    pub fn row(&mut self, values: &[f64]) {
        /// Rows that are all looked at; of those after them one in so many, which see the same swing.
        const ALL: u64 = 4096;
        const ONE_IN: u64 = 16;
        self.rows += 1;
        if self.rows > ALL && !self.rows.is_multiple_of(ONE_IN) {
            return;
        }
        for ((_, temp, rh), spread) in self.pairs.iter().zip(&mut self.spreads) {
            let (t, h) = (values[*temp], values[*rh]);
            if !(t.is_finite() && h > 0.0 && t > k_from_c(1.0)) {
                continue;
            }
            let vapour = |temp_k: f64, share: f64| {
                (share * saturation_any_in_air_pa(temp_k, STANDARD_PRESSURE)).ln()
            };
            let swapped = vapour(k_from_c(100.0 * h), c_from_k(t) / 100.0);
            for (i, ln_p) in [vapour(t, h), swapped].into_iter().enumerate() {
                spread.low[i] = spread.low[i].min(ln_p);
                spread.high[i] = spread.high[i].max(ln_p);
            }
        }
    }

    /// Names of the sensors that look swapped.
    pub fn suspects(&self) -> Vec<&str> {
        let swing = |s: &ValueSpread, i: usize| s.high[i] - s.low[i];
        let odd = |s: &ValueSpread| swing(s, 0) > LEAST_SWING && swing(s, 1) < SHARE * swing(s, 0);
        let all = self.pairs.iter().zip(&self.spreads);
        all.filter(|(_, s)| odd(s)).map(|((name, ..), _)| name.as_str()).collect()
    }
}
