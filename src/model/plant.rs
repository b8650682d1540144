//! The model at work: right-hand side, exact Jacobian, guards. One per thread.

use super::air::{Air, ZoneAir};
use super::assembly::Model;
use super::control::Decider;
use super::events::{Action, MOST_STORED, Stored};
use super::flows::{Flows, Posting};
use super::network::Solved;
use super::part::{At, Modes, Part, SetPointRamp};
use super::reading::See;
use super::store;
use crate::address::Change;
use crate::real::{Dual, Real};
use crate::solver::System;

/// Directions that one pass of dual numbers carries. 16 fill whole vector registers and still fit
/// the first-level cache with the work arrays; measured in `benches/`.
const WIDTH: usize = 16;

/// Work arrays of one number type.
#[derive(Debug)]
struct Scratch<R> {
    y: Vec<R>,
    temps_k: Vec<R>,
    zones: Vec<ZoneAir<R>>,
    rates: Vec<R>,
    solved: Solved<R>,
}

impl<R: Real> Scratch<R> {
    fn new(model: &Model) -> Self {
        let air = Air::derive(R::c(300.0), R::c(0.01), R::c(model.total_pa));
        let zone = ZoneAir { air, moles: R::c(1.0), capacity: R::c(2.0), capacity_v: R::c(1.0) };
        Scratch {
            y: vec![R::c(0.0); model.core],
            temps_k: vec![R::c(0.0); model.core],
            zones: vec![zone; model.network.zones.len()],
            rates: vec![R::c(0.0); model.entries.len()],
            solved: Solved::new(model.network.openings.len(), model.network.zones.len()),
        }
    }

    /// Derives temperatures and air states from `self.y`; returns the room.
    #[inline]
    fn derive(&mut self, model: &Model, modes: &Modes) -> Air<R> {
        for (slot, rule) in &model.rules {
            self.temps_k[*slot] = store::temperature(*slot, rule, &self.y);
        }
        for (air, zone) in self.zones.iter_mut().zip(&model.network.zones) {
            *air = zone.air(&self.y, model.total_pa);
        }
        model.rooms[modes.room].air(self.y[model.time.0.index(0)])
    }

    /// Evaluates all flows at `self.y`, or only those of the parts that the mains feed.
    fn evaluate(
        &mut self,
        model: &Model,
        mut modes: Modes,
        journal: Option<&mut Vec<Posting>>,
        only_fed: bool,
    ) {
        if modes.lid.is_some() {
            // The stream of the fan leaves through the open lid: element, walls, loads and zones have still
            // air. Its motor runs on.
            let fan = &mut modes.fan;
            (fan.circulation_m3_s, fan.pressure_pa) = (0.0, 0.0);
            (fan.speed, fan.coefficient, fan.coupling) = (0.0, 0.0, 0.0);
        }
        let room = self.derive(model, &modes);
        self.rates.fill(R::c(0.0));
        let at = At {
            y: &self.y,
            temps_k: &self.temps_k,
            zones: &self.zones,
            room,
            total_pa: model.total_pa,
            modes,
            time: model.time,
        };
        let mut flows = Flows::new(&mut self.rates, model.core, journal);
        for (i, part) in model.parts.iter().enumerate() {
            if only_fed && !model.fed[i] {
                continue;
            }
            flows.set_part(i);
            part.flows(&at, &mut flows);
        }
        if only_fed {
            return;
        }
        let first = model.parts.len();
        model.network.diffusion(&at, &mut flows, first);
        model.network.flows(&at, &mut flows, &mut self.solved, first);
        flows.pace(model.time, R::c(1.0));
    }
}

/// A model with its modes and work arrays: what the solver integrates.
#[derive(Debug)]
pub struct Plant<'m> {
    model: &'m Model,
    /// What jumps.
    pub modes: Modes,
    abs_tol: Vec<f64>,
    events: Vec<(f64, Change)>,
    plain: Scratch<f64>,
    dual: Scratch<Dual<WIDTH>>,
}

/// Quantities of one instant that are not in the state vector.
#[derive(Debug)]
pub struct Instant<'a> {
    /// Temperatures of solid and wet heat stores by index \[K\].
    pub temps_k: &'a [f64],
    /// The zones.
    pub zones: &'a [ZoneAir<f64>],
    /// The room.
    pub room: Air<f64>,
    /// The loads that have left the box.
    pub stored: Stored,
    /// The set point, for models that have one \[K\].
    pub set_point_k: f64,
    /// Rates of all entries of the state vector.
    pub rates: &'a [f64],
    /// Gauge pressure at the floor of the box \[Pa\].
    pub p0_pa: f64,
    /// Dry air out through each opening \[kg/s\].
    pub out_kg_s: &'a [f64],
}

impl<'m> Plant<'m> {
    /// A plant at the start of a run, to be solved with relative tolerance `rtol`.
    pub fn new(model: &'m Model, rtol: f64) -> Self {
        let core = &model.entries[..model.core];
        let mut plant = Plant {
            model,
            modes: model.first_modes(),
            abs_tol: core.iter().map(|e| e.abs_tol * rtol).collect(),
            events: Vec::new(),
            plain: Scratch::new(model),
            dual: Scratch::new(model),
        };
        plant.settle(0.0, &model.start());
        plant
    }

    /// The model.
    pub fn model(&self) -> &'m Model {
        self.model
    }

    /// Everything about the instant whose state is `y`, flows included.
    pub fn instant(&mut self, y: &[f64]) -> Instant<'_> {
        self.explain_into(y, None)
    }

    /// As [`Plant::instant`], with every posting written to `journal`.
    pub fn explain(&mut self, y: &[f64], journal: &mut Vec<Posting>) -> Instant<'_> {
        self.explain_into(y, Some(journal))
    }

    fn explain_into(&mut self, y: &[f64], journal: Option<&mut Vec<Posting>>) -> Instant<'_> {
        self.plain.y.copy_from_slice(&y[..self.model.core]);
        self.plain.evaluate(self.model, self.modes, journal, false);
        self.view(y)
    }

    /// Temperatures and air only, without flows (rates and openings are those of an earlier call).
    pub fn intensive(&mut self, y: &[f64]) -> Instant<'_> {
        self.plain.y.copy_from_slice(&y[..self.model.core]);
        self.plain.derive(self.model, &self.modes);
        self.view(y)
    }

    /// As [`Plant::intensive`], with the rates of the mains beside: those of other entries mean nothing.
    pub fn metered(&mut self, y: &[f64]) -> Instant<'_> {
        self.plain.y.copy_from_slice(&y[..self.model.core]);
        self.plain.evaluate(self.model, self.modes, None, true);
        self.view(y)
    }

    fn view(&self, y: &[f64]) -> Instant<'_> {
        Instant {
            temps_k: &self.plain.temps_k,
            zones: &self.plain.zones,
            room: self.model.rooms[self.modes.room].air(y[self.model.time.0.index(0)]),
            stored: self.modes.stored,
            set_point_k: self.modes.target.at(y[self.model.time.0.index(0)]),
            rates: &self.plain.rates,
            p0_pa: self.plain.solved.p0_pa,
            out_kg_s: &self.plain.solved.out_kg_s,
        }
    }

    /// What was decided, and when.
    pub fn events(&self) -> &[(f64, Change)] {
        &self.events
    }

    /// Applies a scheduled event at time `t` and state `y`.
    pub fn act(&mut self, action: Action, t: f64, y: &[f64]) {
        let steering = &self.model.steering;
        let modes = &mut self.modes;
        match action {
            Action::OpenLid(i) => modes.lid = Some(i),
            Action::CloseLid => modes.lid = None,
            Action::Power(on) => {
                modes.powered = on;
            }
            Action::SetPoint(goal_k) => {
                let from_k = modes.target.at(t);
                let per_s = modes.target.per_s;
                modes.target = SetPointRamp { from_k, since_s: t, goal_k, per_s };
            }
            Action::Room(i) => modes.room = i,
            Action::Store(None, place) => modes.stored = [Some(place); MOST_STORED],
            Action::Store(Some(load), place) => modes.stored[load] = Some(place),
            Action::Fan(share) => modes.fan_share = share,
            Action::Heater(share) => {
                match (modes.scheduled > 0.0, share > 0.0) {
                    (false, true) => self.events.push((t, Change::HeaterOn)),
                    (true, false) => self.events.push((t, Change::HeaterOff)),
                    _ => {}
                }
                modes.scheduled = share;
            }
        }
        let (wanted, left, on) = (modes.fan.wanted, modes.fan_share, modes.powered);
        modes.fan = steering.fan.state(wanted, left, on, steering.coupling_exponent);
        self.settle(t, y);
    }

    /// Lets everything that switches decide, until nothing changes any more.
    fn settle(&mut self, t: f64, y: &[f64]) {
        let see = See::new(y, t);
        for _ in 0..MOST_ROUNDS {
            let mut quiet = true;
            for decider in &self.model.deciders {
                let before = self.modes;
                if let Some(what) = decider.decide(&see, &mut self.modes) {
                    self.events.push((t, what));
                }
                quiet &= before == self.modes;
            }
            if quiet {
                return;
            }
        }
    }
}

/// Rounds of decisions at one instant: one decision may call for another, such as a stage that
/// allows the exhaust, or several stages that are over at once; more would be a loop.
const MOST_ROUNDS: usize = 64;

impl System for Plant<'_> {
    fn core(&self) -> usize {
        self.model.core
    }

    fn len(&self) -> usize {
        self.model.entries.len()
    }

    fn rhs(&mut self, y: &[f64], dy: &mut [f64]) {
        self.plain.y.copy_from_slice(&y[..self.model.core]);
        self.plain.evaluate(self.model, self.modes, None, false);
        dy.copy_from_slice(&self.plain.rates);
    }

    fn jacobian(&mut self, y: &[f64], jac: &mut [f64]) {
        let core = self.model.core;
        for first in (0..core).step_by(WIDTH) {
            let width = WIDTH.min(core - first);
            for (i, (to, from)) in self.dual.y.iter_mut().zip(y).enumerate() {
                *to = if i >= first && i < first + width {
                    Dual::seeded(*from, i - first)
                } else {
                    Dual::c(*from)
                };
            }
            self.dual.evaluate(self.model, self.modes, None, false);
            for (row, rate) in jac.chunks_exact_mut(core).zip(&self.dual.rates) {
                row[first..first + width].copy_from_slice(&rate.d[..width]);
            }
        }
    }

    fn abs_tol(&self) -> &[f64] {
        &self.abs_tol
    }

    fn guards(&self) -> usize {
        self.model.guard_count()
    }

    fn guard_values(&mut self, y: &[f64], out: &mut [f64]) {
        let see = See::new(y, y[self.model.time.0.index(0)]);
        let mut rest = out;
        for decider in &self.model.deciders {
            let (own, others) = rest.split_at_mut(decider.guards());
            decider.values(&see, &self.modes, own);
            rest = others;
        }
    }

    fn fire(&mut self, _guard: usize, y: &[f64]) {
        self.settle(y[self.model.time.0.index(0)], y);
    }

    fn state_name(&self, i: usize) -> String {
        self.model.entry_name(i)
    }
}
