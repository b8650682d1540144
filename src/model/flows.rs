//! Double entry: the only writer of derivatives. What leaves one store arrives in another.

use super::air::{Air, Net};
use super::store::{Gas, Heat, Lag, Slot, Water};
use crate::physics::moist_air::vapour_enthalpy_j_kg;
use crate::real::Real;

/// One posted flow, kept only when somebody asks for an explanation of an instant.
#[derive(Clone, Debug, PartialEq)]
pub struct Posting {
    /// Number of the part that posted it.
    pub part: usize,
    /// What moved.
    pub holds: super::store::Holds,
    /// Index of the store it left.
    pub from: usize,
    /// Index of the store it reached.
    pub to: usize,
    /// Rate \[W or kg/s\].
    pub rate: f64,
}

/// Collects the flows of one evaluation of the right-hand side.
pub struct Flows<'a, R> {
    rates: &'a mut [R],
    totals_at: usize,
    journal: Option<&'a mut Vec<Posting>>,
    part: usize,
}

impl<'a, R: Real> Flows<'a, R> {
    /// Starts a sheet over `rates`, which must be zero; totals begin at `totals_at`.
    pub fn new(
        rates: &'a mut [R],
        totals_at: usize,
        journal: Option<&'a mut Vec<Posting>>,
    ) -> Self {
        Flows { rates, totals_at, journal, part: 0 }
    }

    /// Names the part that posts from now on.
    #[inline]
    pub fn set_part(&mut self, part: usize) {
        self.part = part;
    }

    #[inline(always)]
    fn post(&mut self, holds: super::store::Holds, from: Slot, to: Slot, rate: R) {
        let (f, t) = (from.index(self.totals_at), to.index(self.totals_at));
        self.rates[f] -= rate;
        self.rates[t] += rate;
        if let Some(journal) = self.journal.as_deref_mut() {
            journal.push(Posting { part: self.part, holds, from: f, to: t, rate: rate.val() });
        }
    }

    /// Moves heat \[W\]; negative flows the other way.
    #[inline(always)]
    pub fn heat(&mut self, from: Heat, to: Heat, watts: R) {
        self.post(super::store::Holds::Heat, from.0, to.0, watts);
    }

    /// Moves vapour \[kg/s\] together with the enthalpy it has at `temp_k`.
    #[inline(always)]
    pub fn vapour(&mut self, from: (Heat, Water), to: (Heat, Water), kg_s: R, temp_k: R) {
        self.post(super::store::Holds::Water, from.1.0, to.1.0, kg_s);
        self.heat(from.0, to.0, kg_s * vapour_enthalpy_j_kg(temp_k));
    }

    /// Moves water between two stores that share one store of heat, whose rule of temperature knows
    /// what binds the water in each: no enthalpy moves \[kg/s\].
    #[inline(always)]
    pub fn within(&mut self, from: Water, to: Water, kg_s: R) {
        self.post(super::store::Holds::Water, from.0, to.0, kg_s);
    }

    /// Moves liquid water \[kg/s\] with its enthalpy at `temp_k`.
    #[inline(always)]
    pub fn liquid(&mut self, from: (Heat, Water), to: (Heat, Water), kg_s: R, temp_k: R) {
        self.post(super::store::Holds::Water, from.1.0, to.1.0, kg_s);
        let h = crate::physics::moist_air::liquid_enthalpy_j_kg(temp_k);
        self.heat(from.0, to.0, kg_s * h);
    }

    /// Moves moist air of the state `air` by its dry-air rate \[kg/s\], with its vapour and fog.
    #[inline(always)]
    pub fn gas(&mut self, from: Gas, to: Gas, dry_kg_s: R, air: &Air<R>) {
        self.post(super::store::Holds::DryAir, from.dry.0, to.dry.0, dry_kg_s);
        self.post(super::store::Holds::Water, from.water.0, to.water.0, dry_kg_s * air.ratio);
        if from.fog != from.water {
            self.post(super::store::Holds::Water, from.fog.0, to.fog.0, dry_kg_s * air.fog);
        }
        self.heat(from.heat, to.heat, dry_kg_s * air.enthalpy);
    }

    /// Sets the pace of a lag \[its unit per s\].
    #[inline(always)]
    pub fn pace(&mut self, lag: Lag, per_s: R) {
        self.rates[lag.0.index(self.totals_at)] += per_s;
    }

    /// Net rates posted so far to a body of air.
    #[inline]
    pub fn net(&self, gas: Gas) -> Net<R> {
        let at = |s: Slot| self.rates[s.index(self.totals_at)];
        Net {
            heat_w: at(gas.heat.0),
            vapour: at(gas.water.0),
            dry: at(gas.dry.0),
            fog: at(gas.fog.0),
        }
    }
}
