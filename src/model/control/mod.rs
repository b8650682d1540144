//! Control: what the heater is told to do, and everything else that decides.
//!
//! A controller sees its own sensor, never the true air. Whatever switches is a [`Decider`]: it has
//! guards that the solver watches, and it brings the modes in line with what it sees whenever one of
//! them fires, a scheduled event changes something, or a run begins.

mod cut_out;
mod decider;
mod exhaust_rule;
mod follower;
mod pi;
mod programme;
mod schedule;
mod thermostat;
mod warm;
mod window;

pub use cut_out::{CutOut, CutOutSpec};
pub use decider::Decider;
pub use exhaust_rule::{ExhaustRule, RuleSpec};
pub use follower::Follower;
pub use pi::{Pi, PiSpec, WindowSpec};
pub use programme::{Programme, ProgrammeSpec};
pub use schedule::{Replay, ScheduleSpec};
pub use thermostat::{Thermostat, ThermostatSpec};
pub use warm::Warm;
pub use window::Window;

use super::element::Element;
use super::events::ScheduledEvent;
use super::flows::Flows;
use super::part::{At, Modes, SetPointRamp};
use super::reading::See;
use super::site::{Context, SENSOR, Site};
use crate::address::Change;
use crate::reader::{Key, Keys, Section, key};
use crate::real::Real;
use crate::units::Kind;
use programme::{SET_POINT, STAGE, read_set_point};

const KIND: Key = key::word("kind", ControlSpec::KINDS).help("how the heater is controlled");
const POWER_LIMIT: Key = key::quantity("power_limit", Kind::Share, 0.01..=1.0)
    .or(1.0, "the whole element")
    .help("largest share of the full power");
const RAMP: Key =
    key::table("ramp").help("how fast the set point moves: `change` per `per`; at once without it");
const RAMP_CHANGE: Key = key::quantity("change", Kind::TemperatureDifference, 0.01..=100.0)
    .help("by how much the set point moves");
const RAMP_PER: Key = key::quantity("per", Kind::Time, 1.0..=86_400.0).help("in which time");

/// The list of deciders: it makes the enum and its dispatch.
macro_rules! deciders {
    ($($name:ident),* $(,)?) => {
        /// Any decider of a model.
        #[derive(Clone, Debug)]
        pub enum AnyDecider { $(#[doc = stringify!($name)] $name($name)),* }
        impl Decider for AnyDecider {
            fn guards(&self) -> usize {
                match self { $(Self::$name(d) => d.guards()),* }
            }
            fn values(&self, see: &See<'_>, modes: &Modes, out: &mut [f64]) {
                match self { $(Self::$name(d) => d.values(see, modes, out)),* }
            }
            fn decide(&self, see: &See<'_>, modes: &mut Modes) -> Option<Change> {
                match self { $(Self::$name(d) => d.decide(see, modes)),* }
            }
        }
    };
}
// In this order they decide: what protects comes first.
deciders!(CutOut, Programme, Warm, Thermostat, Window, ExhaustRule);

/// `[control]`.
#[derive(Clone, Debug)]
pub struct ControlSpec {
    /// How it commands.
    pub kind: KindSpec,
    /// Number of the sensor it reads.
    pub sensor: Option<usize>,
    /// First set point \[K\].
    pub set_point_k: Option<f64>,
    /// How fast the set point moves \[K/s\], infinite for at once.
    pub ramp_k_s: f64,
    /// Largest share of the element's full power.
    pub power_limit: f64,
    /// Stages, if there is a programme.
    pub programme: ProgrammeSpec,
}

/// How a controller commands.
#[derive(Clone, Debug)]
pub enum KindSpec {
    /// On/off with hysteresis.
    Thermostat(ThermostatSpec),
    /// Proportional-integral.
    Pi(PiSpec),
    /// The element is always fully on.
    AlwaysOn,
    /// The element stays off.
    Off,
    /// A table of times and shares.
    Schedule(ScheduleSpec),
}

impl ControlSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[
        Keys::always("control", "what the heater is told to do", &[&KIND, &POWER_LIMIT]),
        Keys::when(
            "control",
            ("kind", "thermostat"),
            "on and off",
            &[&SET_POINT, &SENSOR, &thermostat::HYSTERESIS, &RAMP, &STAGE],
        ),
        Keys::when(
            "control",
            ("kind", "pi"),
            "proportional and integral",
            &[
                &SET_POINT,
                &SENSOR,
                &pi::GAIN,
                &pi::INTEGRAL_TIME,
                &pi::OUTPUT,
                &pi::WINDOW,
                &RAMP,
                &STAGE,
            ],
        ),
        Keys::when(
            "control",
            ("kind", "schedule"),
            "a table of times and shares",
            &[&schedule::TIMES, &schedule::SHARES, &schedule::REPLAY_OF, &schedule::REPLAY_MARK],
        ),
        Keys::always("control.ramp", "how fast the set point moves", &[&RAMP_CHANGE, &RAMP_PER]),
        Keys::always(
            "control.stage",
            "one stage of a programme",
            &[
                &SET_POINT,
                &programme::FAN,
                &programme::EXHAUST,
                &programme::DURATION,
                &programme::UNTIL_BELOW,
                &SENSOR,
            ],
        ),
    ];

    /// Words that `kind` may have.
    pub const KINDS: &'static [&'static str] =
        &["thermostat", "pi", "always_on", "off", "schedule"];

    /// Reads `[control]`.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let word = s.choice(&KIND);
        let kind = match word {
            "thermostat" => KindSpec::Thermostat(ThermostatSpec::read(s)),
            "pi" => KindSpec::Pi(PiSpec::read(s)),
            "always_on" => KindSpec::AlwaysOn,
            "schedule" => KindSpec::Schedule(ScheduleSpec::read(s)),
            _ => KindSpec::Off,
        };
        let steers = matches!(kind, KindSpec::Thermostat(_) | KindSpec::Pi(_));
        let at_once = f64::INFINITY;
        let programme = if steers && s.has(&STAGE) {
            ProgrammeSpec::read(s, cx)
        } else {
            ProgrammeSpec::default()
        };
        let set_point_k = match programme.first_k() {
            Some(first) => Some(first),
            None => steers.then(|| read_set_point(s, cx)),
        };
        let spec = ControlSpec {
            sensor: steers.then(|| cx.sensor(s, &SENSOR)),
            set_point_k,
            programme,
            ramp_k_s: if steers && s.has(&RAMP) { read_ramp(s) } else { at_once },
            power_limit: s.quantity(&POWER_LIMIT),
            kind,
        };
        s.spare(word, Self::KEYS);
        spec
    }

    /// Highest set point of the whole run \[K\].
    pub fn highest_k(&self) -> Option<f64> {
        self.programme.highest_k().or(self.set_point_k)
    }

    /// Lowest set point of the whole run \[K\].
    pub fn lowest_k(&self) -> Option<f64> {
        self.programme.lowest_k().or(self.set_point_k)
    }

    /// What a schedule does, and when.
    pub fn events(&self) -> Vec<ScheduledEvent> {
        match &self.kind {
            KindSpec::Schedule(schedule) => schedule.events().collect(),
            _ => Vec::new(),
        }
    }

    /// Whose heater it replays, if it does.
    pub fn replay(&self) -> Option<&Replay> {
        match &self.kind {
            KindSpec::Schedule(schedule) => schedule.replay.as_ref(),
            _ => None,
        }
    }

    /// The set point at the start: a ramp begins at the temperature of the box.
    pub fn first_target(&self, start_k: f64) -> SetPointRamp {
        // Without a set point nothing reads the target.
        let goal_k = self.set_point_k.unwrap_or(start_k);
        let from_k = if self.ramp_k_s.is_finite() { start_k.min(goal_k) } else { goal_k };
        SetPointRamp { from_k, since_s: 0.0, goal_k, per_s: self.ramp_k_s }
    }

    /// Makes the controller of an element rated at `nominal_w`, and what decides for it.
    pub fn build(
        &self,
        nominal_w: f64,
        element: &Element,
        site: &mut Site,
    ) -> (Control, Vec<AnyDecider>) {
        let reading = self.sensor.map(|i| site.sensors[i].temperature);
        let (command, deciders) = match (&self.kind, reading) {
            (KindSpec::Thermostat(spec), Some(reading)) => {
                let thermostat = spec.build(reading);
                (Command::Switched, vec![AnyDecider::Thermostat(thermostat)])
            }
            (KindSpec::Pi(spec), Some(reading)) => {
                let pi = spec.build(reading, nominal_w, site);
                let window = spec.window.as_ref().map(|w| w.build(&pi, element, self.power_limit));
                let command =
                    if window.is_some() { Command::SwitchedPi(pi) } else { Command::Pi(pi) };
                (command, window.map(AnyDecider::Window).into_iter().collect())
            }
            (KindSpec::AlwaysOn, _) => (Command::AlwaysOn, vec![]),
            (KindSpec::Schedule(_), _) => (Command::Scheduled, vec![]),
            _ => (Command::Off, vec![]),
        };
        (Control { command, limit: self.power_limit }, deciders)
    }
}

/// Reads `ramp = { change = "5 K", per = "1 min" }` \[K/s\].
fn read_ramp(s: &Section) -> f64 {
    let ramp = s.section(&RAMP);
    let change = ramp.quantity(&RAMP_CHANGE);
    change / ramp.quantity(&RAMP_PER)
}

/// A controller at work.
#[derive(Clone, Debug)]
pub struct Control {
    command: Command,
    limit: f64,
}

#[derive(Clone, Debug)]
enum Command {
    Switched,
    Pi(Pi),
    SwitchedPi(Pi),
    AlwaysOn,
    Off,
    Scheduled,
}

impl Control {
    /// Electric power \[W\] out of at most `full`; posts the pace of an integral.
    #[inline]
    pub fn power<R: Real>(&self, at: &At<'_, R>, full: R, flows: &mut Flows<'_, R>) -> R {
        let wanted = match &self.command {
            Command::Pi(pi) => pi.power(at, full, self.limit, flows),
            Command::SwitchedPi(pi) => {
                // The integral follows the mean of the window; the element gets all or nothing, and
                // the limit caps its share of the window.
                let _mean = pi.power(at, full, self.limit, flows);
                if at.modes.heater_on { full } else { R::c(0.0) }
            }
            Command::Switched if at.modes.heater_on => full * self.limit,
            Command::AlwaysOn => full * self.limit,
            Command::Scheduled => full * (self.limit * at.modes.scheduled),
            Command::Switched | Command::Off => R::c(0.0),
        };
        let live = at.modes.powered && !at.modes.tripped;
        if live { wanted } else { R::c(0.0) }
    }
}
