//! Controllers of the heater. Each sees its own sensor, never the true air.

mod pi;
mod thermostat;

pub use pi::{Pi, PiSpec};
pub use thermostat::{Thermostat, ThermostatSpec};

use super::flows::Flows;
use super::part::{At, Modes};
use super::site::{Context, Site};
use crate::reader::Section;
use crate::real::Real;

/// `[control]`.
#[derive(Clone, Debug)]
pub enum ControlSpec {
    /// On/off with hysteresis.
    Thermostat(ThermostatSpec),
    /// Proportional-integral, commanding watts.
    Pi(PiSpec),
    /// The element is always fully on.
    AlwaysOn,
    /// The element stays off.
    Off,
}

impl ControlSpec {
    /// Words that `kind` may have.
    pub const KINDS: &'static [&'static str] = &["thermostat", "pi", "always_on", "off"];

    /// Reads `[control]`.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let kind = s.choice("kind", Self::KINDS);
        let spec = match kind {
            "thermostat" => Self::Thermostat(ThermostatSpec::read(s, cx)),
            "pi" => Self::Pi(PiSpec::read(s, cx)),
            "always_on" => Self::AlwaysOn,
            _ => Self::Off,
        };
        s.spare(kind, &["set_point", "hysteresis", "sensor", "gain", "integral_time"]);
        spec
    }

    /// Set point \[K\], for controllers that have one.
    pub fn set_point_k(&self) -> Option<f64> {
        match self {
            Self::Thermostat(t) => Some(t.set_point_k),
            Self::Pi(p) => Some(p.set_point_k),
            Self::AlwaysOn | Self::Off => None,
        }
    }

    /// Number of the sensor it reads.
    pub fn sensor(&self) -> Option<usize> {
        match self {
            Self::Thermostat(t) => Some(t.sensor),
            Self::Pi(p) => Some(p.sensor),
            Self::AlwaysOn | Self::Off => None,
        }
    }

    /// Makes the controller of a heater of `nominal_w`.
    pub fn build(&self, nominal_w: f64, site: &mut Site) -> Control {
        match self {
            Self::Thermostat(spec) => Control::Thermostat(spec.build(site)),
            Self::Pi(spec) => Control::Pi(spec.build(nominal_w, site)),
            Self::AlwaysOn => Control::AlwaysOn,
            Self::Off => Control::Off,
        }
    }
}

/// Reads a set point and checks it against the room.
fn read_set_point(s: &Section, cx: &Context) -> f64 {
    use crate::units::{Kind, ZERO_CELSIUS_K, format};
    let range = ZERO_CELSIUS_K..=ZERO_CELSIUS_K + 150.0;
    let set_point = s.quantity("set_point", Kind::Temperature, range);
    if set_point <= cx.room_temp_k {
        let room = format(Kind::Temperature, cx.room_temp_k);
        s.fail(
            "set_point",
            "set-point-below-room",
            &format!("is not above the room ({room})"),
            Some("a heated box can only be warmer than its room"),
            Some("raise the set point or check room.temperature".into()),
        );
    }
    set_point
}

/// A controller at work.
#[derive(Clone, Debug)]
pub enum Control {
    /// On/off with hysteresis.
    Thermostat(Thermostat),
    /// Proportional-integral.
    Pi(Pi),
    /// Fully on.
    AlwaysOn,
    /// Off.
    Off,
}

impl Control {
    /// Electric power \[W\] out of at most `full`; posts the pace of an integral.
    #[inline]
    pub fn power<R: Real>(&self, at: &At<'_, R>, full: R, flows: &mut Flows<'_, R>) -> R {
        match self {
            Self::Thermostat(_) if at.modes.heater_on => full,
            Self::Thermostat(_) | Self::Off => R::c(0.0),
            Self::AlwaysOn => full,
            Self::Pi(pi) => pi.power(at, full, flows),
        }
    }

    /// Whether the heater starts switched on.
    pub fn starts_on(&self, y: &[f64]) -> bool {
        match self {
            Self::Thermostat(t) => t.starts_on(y),
            Self::Pi(_) | Self::AlwaysOn => true,
            Self::Off => false,
        }
    }

    /// Number of guards.
    pub fn guards(&self) -> usize {
        if matches!(self, Self::Thermostat(_)) { 2 } else { 0 }
    }

    /// Guards: each fires when it rises through zero.
    pub fn guard_values(&self, y: &[f64], out: &mut [f64]) {
        if let Self::Thermostat(t) = self {
            t.guard_values(y, out);
        }
    }

    /// Changes the modes after guard `i` fired; says whether anything changed.
    pub fn fire(&self, i: usize, modes: &mut Modes) -> bool {
        let on = i == 1;
        let changed = modes.heater_on != on;
        modes.heater_on = on;
        changed
    }
}
