//! Proportional-integral control that commands watts.

use super::read_set_point;
use crate::model::flows::Flows;
use crate::model::part::At;
use crate::model::site::{Context, Site};
use crate::model::store::Lag;
use crate::reader::Section;
use crate::real::Real;
use crate::units::Kind;

/// Rounding of the limits of the command, as a share of the nominal power. Our choice: small
/// against any real resolution, wide enough for the solver to step through.
const ROUNDING: f64 = 1e-3;

/// `[control]` with `kind = "pi"`.
#[derive(Clone, Debug)]
pub struct PiSpec {
    /// Set point \[K\].
    pub set_point_k: f64,
    /// Gain \[W/K\].
    pub gain_w_k: f64,
    /// Integral time \[s\].
    pub integral_time_s: f64,
    /// Number of the sensor it reads.
    pub sensor: usize,
}

impl PiSpec {
    /// Reads `set_point`, `gain`, `integral_time` and `sensor`.
    pub fn read(s: &Section, cx: &Context) -> Self {
        PiSpec {
            set_point_k: read_set_point(s, cx),
            gain_w_k: s.quantity_or(
                "gain",
                Kind::Conductance,
                1e-3..=1e4,
                5.6,
                "tuning rule for a lag of 60 s and a wall of 12 min [Skogestad2003]",
            ),
            integral_time_s: s.quantity_or(
                "integral_time",
                Kind::Time,
                1.0..=1e5,
                480.0,
                "four times lag and dead time [Skogestad2003]",
            ),
            sensor: cx.sensor(s, "sensor"),
        }
    }

    /// Makes the controller of a heater of `nominal_w`.
    pub fn build(&self, nominal_w: f64, site: &mut Site) -> Pi {
        let (sensor, offset) = site.sensors[self.sensor];
        let watts = nominal_w.max(1.0);
        Pi {
            sensor,
            target_k: self.set_point_k - offset,
            gain_w_k: self.gain_w_k,
            per_integral_s: 1.0 / self.integral_time_s,
            integral: site.layout.lag("control integral", 0.0, watts),
            rounding_w: ROUNDING * watts,
        }
    }
}

/// `u = K_c e + I`, limited to what the element can take; while limited the integral is pulled back
/// (back-calculation with the integral time). Source: \[AstromHagglund2006\].
#[derive(Clone, Debug)]
pub struct Pi {
    sensor: Lag,
    target_k: f64,
    gain_w_k: f64,
    per_integral_s: f64,
    integral: Lag,
    rounding_w: f64,
}

impl Pi {
    #[inline]
    pub(super) fn power<R: Real>(&self, at: &At<'_, R>, full: R, flows: &mut Flows<'_, R>) -> R {
        let error = R::from_sub(self.target_k, at.lag(self.sensor));
        let wanted = error * self.gain_w_k + at.lag(self.integral);
        let positive = wanted.soft_positive(self.rounding_w);
        let given = full - (full - positive).soft_positive(self.rounding_w);
        let pace = (error * self.gain_w_k + given - wanted) * self.per_integral_s;
        flows.pace(self.integral, pace);
        given
    }
}
