//! The part trait and what a part may see.

use super::air::{Air, ZoneAir};
use super::events::Stored;
use super::fan::FanState;
use super::flows::Flows;
use super::store::{Heat, Lag, Water};
use crate::real::Real;

/// Everything that jumps. Changed between steps only; read by parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Modes {
    /// The mains are present.
    pub powered: bool,
    /// An on/off controller asks for heat.
    pub heater_on: bool,
    /// Share of the full power that a schedule asks for.
    pub scheduled: f64,
    /// The one-shot cut-out has opened.
    pub tripped: bool,
    /// The set point has been reached once.
    pub warm: bool,
    /// The exhaust is told to run, and since when \[s\].
    pub exhaust: Since,
    /// The stage of the programme lets the exhaust run.
    pub stage_exhaust: bool,
    /// What the fan does.
    pub fan: FanState,
    /// Share of the wanted speed that the last event leaves the fan: 0 for one that has failed.
    pub fan_share: f64,
    /// Where the set point is and where it goes.
    pub target: SetPointRamp,
    /// Stage of the programme, and since when \[s\].
    pub stage: (usize, f64),
    /// The window of a switched output: when it ends and when its on-time ends \[s\].
    pub window: (f64, f64),
    /// The lid event that is under way, by its number.
    pub lid: Option<usize>,
    /// Which room is in force, by its number.
    pub room: usize,
    /// Where spools are kept that have left the box.
    pub stored: Stored,
}

/// A switch with the time of its last change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Since {
    /// Its position.
    pub on: bool,
    /// When it took that position \[s\].
    pub since_s: f64,
}

/// A set point that moves to its goal at a constant rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetPointRamp {
    /// Where it started \[K\].
    pub from_k: f64,
    /// When \[s\].
    pub since_s: f64,
    /// Where it goes \[K\].
    pub goal_k: f64,
    /// How fast \[K/s\], infinite for at once.
    pub per_s: f64,
}

impl SetPointRamp {
    /// The set point at time `t` \[K\].
    #[inline]
    pub fn at<R: Real>(&self, t: R) -> R {
        let way = self.goal_k - self.from_k;
        if way == 0.0 || !self.per_s.is_finite() {
            return R::c(self.goal_k);
        }
        let moved = (t - self.since_s) * self.per_s;
        if moved.val() >= way.abs() {
            return R::c(self.goal_k);
        }
        moved * way.signum() + self.from_k
    }
}

/// The box at one instant, as the parts see it.
pub struct At<'a, R> {
    pub(super) y: &'a [R],
    pub(super) temps_k: &'a [R],
    /// The zones in airflow order.
    pub zones: &'a [ZoneAir<R>],
    /// The room.
    pub room: Air<R>,
    /// The pressure of the room, which is also that of the box to a few pascals \[Pa\].
    pub total_pa: f64,
    /// What jumps.
    pub modes: Modes,
    pub(super) time: Lag,
}

impl<R: Real> At<'_, R> {
    /// Temperature of a solid or wet heat store \[K\].
    #[inline(always)]
    pub fn temp_k(&self, heat: Heat) -> R {
        self.temps_k[heat.0.index(0)]
    }

    /// Amount of water in a store \[kg\].
    #[inline(always)]
    pub fn water_kg(&self, water: Water) -> R {
        self.y[water.0.index(0)]
    }

    /// Time since the start \[s\].
    #[inline(always)]
    pub fn time_s(&self) -> R {
        self.lag(self.time)
    }

    /// Value of a lag.
    #[inline(always)]
    pub fn lag(&self, lag: Lag) -> R {
        self.y[lag.0.index(0)]
    }
}

/// What one part of the box does at one instant.
///
/// A part moves amounts between stores through `flows` and nothing else, so it can neither create
/// nor destroy heat, water or air. It is called several times a step: no allocation, no input or
/// output, no panic.
pub trait Part {
    /// Posts every flow that this part causes.
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>);
}
