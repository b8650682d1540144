//! What deciders see: the state at one time, and what sensors make of it.

use super::store::{Heat, Lag, Thermal, temperature};

/// What deciders see: the state, and the time.
#[derive(Clone, Copy, Debug)]
pub struct See<'a> {
    y: &'a [f64],
    /// Time since the start \[s\].
    pub time_s: f64,
}

impl<'a> See<'a> {
    /// The state `y` at `time_s`.
    pub fn new(y: &'a [f64], time_s: f64) -> Self {
        See { y, time_s }
    }

    /// Value of a lag.
    pub fn lag(&self, lag: Lag) -> f64 {
        self.y[lag.0.index(0)]
    }

    /// Temperature of a solid of this heat capacity \[K\].
    pub fn solid_k(&self, heat: Heat, capacity: f64) -> f64 {
        temperature(heat.0.index(0), &Thermal::Solid { capacity }, self.y)
    }

    /// Whether the time `due_s` has come; a guard finds it to a billionth only.
    pub fn is_due(&self, due_s: f64) -> bool {
        self.time_s >= due_s - 1e-8 * due_s.abs().max(1.0)
    }
}

/// What a sensor gives to a decider.
#[derive(Clone, Copy, Debug)]
pub struct Reading {
    /// Its lag \[K, or relative humidity 0..1\].
    pub lag: Lag,
    /// What it reads too much.
    pub offset: f64,
}

impl Reading {
    /// The number it shows.
    pub fn value(&self, see: &See<'_>) -> f64 {
        see.lag(self.lag) + self.offset
    }
}
