//! Proportional-integral control that commands watts, or the duty of the element.

use crate::address::{Place, Quantity};
use crate::model::flows::Flows;
use crate::model::part::{At, Modes};
use crate::model::reading::{Reading, See};
use crate::model::site::Site;
use crate::model::store::Lag;
use crate::reader::{Key, Section, key};
use crate::real::Real;
use crate::units::Kind;

pub(super) const GAIN: Key = key::quantity("gain", Kind::Conductance, 1e-3..=1e4)
    .or(5.6, "tuning rule for a lag of 60 s and a wall of 12 min [Skogestad2003]")
    .help("watts per kelvin below the set point");
pub(super) const INTEGRAL_TIME: Key = key::quantity("integral_time", Kind::Time, 1.0..=1e5)
    .or(480.0, "four times lag and dead time [Skogestad2003]")
    .help("integral time of the controller");
pub(super) const OUTPUT: Key = key::word("output", &["watts", "duty"])
    .or_word("watts", "what the element draws is measured or known")
    .help("what the controller commands: watts, or a share of whatever the element draws");
pub(super) const WINDOW: Key = key::quantity("window", Kind::Time, 1.0..=600.0)
    .optional()
    .help("the output is switched once in so long; without it, it is averaged");

/// Half-widths of the rounded corners where the command meets its limits, as shares of the nominal power. Our
/// choice: small against what a person would notice; the upper corner, through which a box passes in
/// full heat, is wide enough for the solver to see it coming.
const ROUNDING_LOW: f64 = 2e-3;
const ROUNDING_HIGH: f64 = 4e-2;

/// `[control]` with `kind = "pi"`.
#[derive(Clone, Debug)]
pub struct PiSpec {
    /// Gain \[W/K\].
    pub gain_w_k: f64,
    /// Integral time \[s\].
    pub integral_time_s: f64,
    /// The command is a duty of the element's momentary full power, not watts.
    pub commands_duty: bool,
    /// Switched output, if exact switching is asked for.
    pub window: Option<WindowSpec>,
}

impl PiSpec {
    /// Reads its keys.
    pub fn read(s: &Section) -> Self {
        PiSpec {
            gain_w_k: s.quantity(&GAIN),
            integral_time_s: s.quantity(&INTEGRAL_TIME),
            commands_duty: s.choice(&OUTPUT) == "duty",
            window: WindowSpec::read(s),
        }
    }

    /// Makes the controller of a heater of `nominal_w`.
    pub fn build(&self, reading: Reading, nominal_w: f64, site: &mut Site) -> Pi {
        let watts = nominal_w.max(1.0);
        Pi {
            reading,
            gain_w_k: self.gain_w_k,
            per_integral_s: 1.0 / self.integral_time_s,
            integral: site.layout.lag(Place::Controller, Quantity::Integral, 0.0, watts),
            nominal_w: watts,
            commands_duty: self.commands_duty,
        }
    }
}

/// `window` of a PI controller. Without it the output is averaged, which costs no switching.
#[derive(Clone, Debug)]
pub struct WindowSpec {
    pub(super) length_s: f64,
}

impl WindowSpec {
    /// Reads `window`.
    pub fn read(s: &Section) -> Option<Self> {
        s.quantity_opt(&WINDOW).map(|length_s| WindowSpec { length_s })
    }
}

/// `u = K_c e + I`, limited to what the element can take; while limited the integral is pulled back
/// (back-calculation with the integral time). Source: \[AstromHagglund2006\].
#[derive(Clone, Debug)]
pub struct Pi {
    reading: Reading,
    gain_w_k: f64,
    per_integral_s: f64,
    integral: Lag,
    nominal_w: f64,
    commands_duty: bool,
}

impl Pi {
    /// Mean power \[W\] of an element that takes `full` when it is on, at most `limit` of the time;
    /// posts the pace of the integral.
    ///
    /// Commanding a duty means that the element's momentary power is not known: `u` over the nominal
    /// watts is the share of whatever the element draws.
    #[inline]
    pub(super) fn power<R: Real>(
        &self,
        at: &At<'_, R>,
        full: R,
        limit: f64,
        flows: &mut Flows<'_, R>,
    ) -> R {
        let error =
            at.modes.target.at(at.time_s()) - at.lag(self.reading.lag) - self.reading.offset;
        let wanted = error * self.gain_w_k + at.lag(self.integral);
        let whole = if self.commands_duty { R::c(self.nominal_w) } else { full };
        let most = whole * limit;
        let positive = wanted.rounded_positive(ROUNDING_LOW * self.nominal_w);
        let given = most - (most - positive).rounded_positive(ROUNDING_HIGH * self.nominal_w);
        let pace = (error * self.gain_w_k + given - wanted) * self.per_integral_s;
        flows.pace(self.integral, pace);
        if self.commands_duty { given * full / self.nominal_w } else { given }
    }

    /// The share of the time, 0 to `limit`, for which an element that takes `full_w` is to be on.
    pub(super) fn duty(&self, see: &See<'_>, modes: &Modes, full_w: f64, limit: f64) -> f64 {
        let error = modes.target.at(see.time_s) - self.reading.value(see);
        let wanted = error * self.gain_w_k + see.lag(self.integral);
        let whole = if self.commands_duty { self.nominal_w } else { full_w };
        // `max` turns the 0/0 of an element without power into 0.
        (wanted / whole).max(0.0).min(limit)
    }
}
