//! The fan as the scenario states it, and what follows from its speed.

use crate::reader::{Key, Keys, Section, key};
use crate::units::Kind;

const CIRCULATION: Key = key::quantity("circulation", Kind::VolumeFlow, 0.0..=0.5).help(
    "volume that the fan moves round the box, at the density of the return air; 0 without a fan",
);
const PRESSURE: Key = key::quantity("pressure", Kind::Pressure, 0.0..=500.0)
    .or(1.0, "a free stirrer makes 0.3 to 1 Pa, a ducted heater 3 to 15 Pa (common practice)")
    .likely(0.3, 3.0, 'C')
    .help("pressure between the two sides of the fan, as the openings see it");
const MOTOR_POWER: Key = key::quantity("motor_power", Kind::Power, 0.0..=200.0)
    .or(0.0, "motor outside the box, or its heat left out")
    .likely(0.0, 5.0, 'D')
    .help("power of a motor whose heat stays in the box");
const AIR_SPEED: Key = key::quantity("air_speed", Kind::Speed, 0.0..=20.0)
    .or(0.5, "small stirred boxes have 0.2 to 2 m/s at the load (common practice)")
    .likely(0.2, 2.0, 'C')
    .help("speed of the air at the loads");
const SPEED_AFTER_WARM_UP: Key = key::quantity("speed_after_warm_up", Kind::Share, 0.05..=1.0)
    .or(1.0, "full speed all the time")
    .help("share of its speed once the set point was reached");

/// Where a default comes from without a fan.
const STILL: &str = "the fan stands still";

/// `[fan]`.
#[derive(Clone, Debug)]
pub struct FanSpec {
    /// Volume it moves, at the density of the last zone \[m3/s\].
    pub circulation_m3_s: f64,
    /// Pressure between its two sides, as the openings see it \[Pa\].
    pub pressure_pa: f64,
    /// Electric power, all of which ends as heat in the box \[W\].
    pub motor_w: f64,
    /// Speed of the air at loads \[m/s\].
    pub air_speed_m_s: f64,
    /// Share of its speed once the set point has been reached.
    pub reduced: f64,
}

impl FanSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[Keys::always(
        "fan",
        "the stirring fan",
        &[&CIRCULATION, &PRESSURE, &MOTOR_POWER, &AIR_SPEED, &SPEED_AFTER_WARM_UP],
    )];

    /// Reads its keys.
    pub fn read(s: &Section) -> Self {
        let circulation_m3_s = s.quantity(&CIRCULATION);
        let still = circulation_m3_s == 0.0;
        let of_its_stream = |key: &Key| {
            if still { s.quantity_by(&key.certain(), 0.0, STILL) } else { s.quantity(key) }
        };
        FanSpec {
            circulation_m3_s,
            pressure_pa: of_its_stream(&PRESSURE),
            motor_w: s.quantity(&MOTOR_POWER),
            air_speed_m_s: of_its_stream(&AIR_SPEED),
            reduced: s.quantity(&SPEED_AFTER_WARM_UP),
        }
    }

    /// Warns of a fan that slows down once the box is warm, where nothing knows when: `steered` is whether a
    /// controller has a set point.
    pub fn check_reduced(&self, s: &Section, steered: bool) {
        if self.reduced < 1.0 && !steered {
            let what = "has no effect with this kind of control";
            let hint = "only a thermostat or PI controller has a set point to be reached";
            s.warn(&SPEED_AFTER_WARM_UP, "never-warm", what, Some(hint.to_owned()));
        }
    }

    /// What the fan does at a `wanted` share of its speed, of which an event leaves the share `left`,
    /// with the mains on or off.
    ///
    /// Fan laws at a fixed system: flow with the speed, pressure with its square, power with its
    /// cube (common practice). Coefficients follow the root of the flow (laminar plate).
    pub fn state(&self, wanted: f64, left: f64, powered: bool, coupling_exponent: f64) -> FanState {
        let share = if powered { wanted * left } else { 0.0 };
        FanState {
            wanted,
            circulation_m3_s: self.circulation_m3_s * share,
            pressure_pa: self.pressure_pa * share * share,
            motor_w: self.motor_w * share.powi(3),
            speed: share,
            coefficient: share.sqrt(),
            coupling: share.powf(coupling_exponent),
        }
    }
}

/// What the fan does, and what follows for the parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FanState {
    /// Share of its full speed that the controller wants.
    pub wanted: f64,
    /// Volume it moves \[m3/s\].
    pub circulation_m3_s: f64,
    /// Pressure between its two sides \[Pa\].
    pub pressure_pa: f64,
    /// Electric power of its motor \[W\].
    pub motor_w: f64,
    /// Speed of the air over its speed at full circulation.
    pub speed: f64,
    /// Heat transfer coefficients over those at full circulation.
    pub coefficient: f64,
    /// Coupling of the element over that at full circulation.
    pub coupling: f64,
}
