//! What changes once the set point has been reached: the fan slows down, a lock-out ends.

use super::decider::Decider;
use crate::address::Change;
use crate::model::fan::FanSpec;
use crate::model::part::Modes;
use crate::model::reading::{Reading, See};

/// Band below the set point that counts as reached \[K\]. Common practice.
const BAND_K: f64 = 1.0;

/// Notices that the control sensor has come within 1 K of the goal.
#[derive(Clone, Debug)]
pub struct Warm {
    pub(crate) reading: Reading,
    pub(crate) fan: FanSpec,
    pub(crate) coupling_exponent: f64,
    /// The exhaust waits for this.
    pub(crate) unlocks_exhaust: bool,
}

impl Decider for Warm {
    fn guards(&self) -> usize {
        1
    }

    fn values(&self, see: &See<'_>, modes: &Modes, out: &mut [f64]) {
        out[0] = self.reading.value(see) - modes.target.goal_k + BAND_K;
    }

    fn decide(&self, see: &See<'_>, modes: &mut Modes) -> Option<Change> {
        if modes.warm || self.reading.value(see) < modes.target.goal_k - BAND_K {
            return None;
        }
        modes.warm = true;
        if self.unlocks_exhaust {
            // It begins to count its times now.
            modes.exhaust.since_s = see.time_s;
        }
        if self.fan.reduced < 1.0 {
            let (left, on) = (modes.fan_share, modes.powered);
            modes.fan = self.fan.state(self.fan.reduced, left, on, self.coupling_exponent);
            return Some(Change::FanSlowed);
        }
        None
    }
}
