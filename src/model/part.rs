//! The part trait and what a part may see.

use super::air::{Air, ZoneAir};
use super::flows::Flows;
use super::store::{Heat, Lag, Water};
use crate::real::Real;

/// Everything that jumps. Changed between steps only; read by parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Modes {
    /// An on/off controller asks for heat.
    pub heater_on: bool,
    /// The lid event that is under way, by its number.
    pub lid: Option<usize>,
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
