//! The rule at work: what it sees, and when it switches.

use crate::address::Change;
use crate::model::control::decider::Decider;
use crate::model::part::Modes;
use crate::model::reading::{Reading, See};
use crate::model::site::SensorLags;
use crate::physics::moist_air::{humidity_ratio, saturation_in_air_pa};
use crate::physics::psychrometrics::dew_point_k;

#[derive(Clone, Debug)]
pub(super) enum Rule {
    Always,
    Timer { off_s: f64, on_s: f64, waits_for: Option<(Measure, f64)> },
    Level { measure: Measure, above: f64, below: f64 },
}

#[derive(Clone, Debug)]
pub(super) enum Measure {
    Humidity(Reading),
    DewPoint(SensorLags, SensorLags, f64),
    Ratio(SensorLags, SensorLags, f64),
}

impl Measure {
    fn value(&self, see: &See<'_>) -> f64 {
        let vapour_pa = |s: &SensorLags, total_pa: f64| {
            let full_pa = saturation_in_air_pa(s.temperature.value(see), total_pa);
            s.humidity.value(see).max(0.0) * full_pa
        };
        match self {
            Self::Humidity(reading) => reading.value(see),
            Self::DewPoint(inside, room, total_pa) => {
                let dew = |s| {
                    dew_point_k(vapour_pa(s, *total_pa), *total_pa).unwrap_or(LOWEST_DEW_POINT_K)
                };
                dew(inside) - dew(room)
            }
            Self::Ratio(inside, room, total_pa) => {
                let ratio =
                    |s| humidity_ratio(vapour_pa(s, *total_pa).min(0.9 * total_pa), *total_pa);
                ratio(inside) - ratio(room)
            }
        }
    }
}

/// Dew point of air without any vapour, as far as a rule is concerned \[K\].
const LOWEST_DEW_POINT_K: f64 = 173.15;

/// Switches the exhaust.
#[derive(Clone, Debug)]
pub struct ExhaustRule {
    pub(super) rule: Rule,
    pub(super) lock_out: bool,
    pub(super) shortest_on_s: f64,
    pub(super) shortest_off_s: f64,
}

impl ExhaustRule {
    fn allowed(&self, modes: &Modes) -> bool {
        modes.powered && modes.stage_exhaust && (modes.warm || !self.lock_out)
    }

    /// How far the wish to switch on, and off, is past its point; negative before.
    fn wishes(&self, see: &See<'_>, modes: &Modes) -> (f64, f64) {
        let since = see.time_s - modes.exhaust.since_s;
        match &self.rule {
            Rule::Always => (1.0, -1.0),
            Rule::Timer { off_s, on_s, waits_for } => {
                // Once on, it finishes its time.
                let damp =
                    waits_for.as_ref().map_or(f64::INFINITY, |(m, above)| m.value(see) - above);
                ((since - off_s).min(damp), since - on_s)
            }
            Rule::Level { measure, above, below } => {
                let value = measure.value(see);
                (
                    (value - above).min(since - self.shortest_off_s),
                    (below - value).min(since - self.shortest_on_s),
                )
            }
        }
    }
}

impl Decider for ExhaustRule {
    fn guards(&self) -> usize {
        2
    }

    fn values(&self, see: &See<'_>, modes: &Modes, out: &mut [f64]) {
        let (on, off) = self.wishes(see, modes);
        let idle = !self.allowed(modes);
        // Only the wish that can change something counts.
        out[0] = if modes.exhaust.on || idle { -1.0 } else { on };
        out[1] = if modes.exhaust.on { off } else { -1.0 };
    }

    fn decide(&self, see: &See<'_>, modes: &mut Modes) -> Option<Change> {
        let (on, off) = self.wishes(see, modes);
        // A timer's guard is found to a billionth of a second; do not wait for the next one.
        let slack = 1e-8 * see.time_s.max(1.0);
        let slack = if matches!(self.rule, Rule::Timer { .. }) { slack } else { 0.0 };
        let allowed = self.allowed(modes);
        let wanted = match modes.exhaust.on {
            true => allowed && off < -slack,
            false => allowed && on >= -slack,
        };
        if wanted == modes.exhaust.on {
            return None;
        }
        modes.exhaust.on = wanted;
        modes.exhaust.since_s = see.time_s;
        Some(if wanted { Change::ExhaustOn } else { Change::ExhaustOff })
    }
}
