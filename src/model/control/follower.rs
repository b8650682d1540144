//! A lag that follows the air of a zone, or the element: what a cut-out feels.

use crate::model::flows::Flows;
use crate::model::part::{At, Part};
use crate::model::store::{Heat, Lag};
use crate::real::Real;

/// Follows one temperature with a time constant.
#[derive(Clone, Debug)]
pub struct Follower {
    lag: Lag,
    zone: Option<usize>,
    element: Heat,
    per_s: f64,
}

impl Follower {
    /// Follows the air of `zone`, or `element` without one.
    pub fn new(lag: Lag, zone: Option<usize>, element: Heat, per_s: f64) -> Self {
        Follower { lag, zone, element, per_s }
    }
}

impl Part for Follower {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let seen_k = match self.zone {
            Some(zone) => at.zones[zone].air.temp_k,
            None => at.temp_k(self.element),
        };
        flows.pace(self.lag, (seen_k - at.lag(self.lag)) * self.per_s);
    }
}
