//! What readings count: how many of them are independent, the errors that they share.

use rayon::prelude::*;

use super::data::{Observed, Weight};
use super::prepare::Prepared;
use super::problem::BoxFit;
use super::shared::Shared;
use crate::study::fit::{Check, Fit, Problem};

/// Root mean square of the square of a standard normal number: by so much what a straight line misses at
/// one standard uncertainty stands for all it may miss.
const CURVATURE: f64 = 1.732;

/// Change of a weight that is none: they are known to a fifth at best.
const SETTLED: f64 = 0.05;

impl BoxFit {
    /// Whether there are errors to take.
    pub(super) fn has_errors(&self) -> bool {
        let clocks = |r: &Prepared| r.start.is_some() || r.observed.iter().any(|o| o.clock_s > 0.0);
        self.runs.iter().any(|r| clocks(r) || r.errors().next().is_some())
    }

    /// Takes what the errors that readings share, those of inputs and those of clocks do to the misfits
    /// at `p`.
    ///
    /// # Errors
    /// What the scenario says against an input that is off by its uncertainty.
    pub(super) fn take_errors(&mut self, p: &[f64]) -> Result<(), String> {
        let runs = 0..self.runs.len();
        let base = runs.map(|k| self.modelled(k, p)).collect::<Result<Vec<_>, _>>()?;
        self.take_clocks(p, &base)?;
        let mut errors: Vec<(Option<usize>, &str)> = Vec::new();
        for (k, run) in self.runs.iter().enumerate() {
            errors.extend(run.errors().map(|name| (None, name)));
            errors.extend(run.start.iter().map(|_| (Some(k), run.name.as_str())));
        }
        errors.sort_unstable();
        errors.dedup();
        let one = |(start, name): &(Option<usize>, &str)| -> Result<(String, Vec<f64>), String> {
            let part = |k: usize| match start {
                None => self.moved(k, p, &base[k], name),
                Some(of) => self.started_later(k, p, &base[k], *of == k),
            };
            let parts = (0..self.runs.len()).map(part).collect::<Result<Vec<_>, _>>()?;
            let name = if start.is_some() { format!("{name}: start") } else { (*name).into() };
            Ok((name, parts.concat()))
        };
        let all = errors.par_iter().map(one).collect::<Result<_, String>>()?;
        self.shared = Shared::new(all);
        self.weigh_readings();
        Ok(())
    }

    /// Puts what uncertain times do to readings beside their own uncertainties: of a clock of notes all of
    /// it, of the start what a straight line misses.
    fn take_clocks(&mut self, p: &[f64], base: &[Vec<Vec<f64>>]) -> Result<(), String> {
        for (k, base) in base.iter().enumerate() {
            let run = &self.runs[k];
            if run.start.is_none() && run.observed.iter().all(|o| o.clock_s == 0.0) {
                continue;
            }
            let late = self.modelled_of(&run.asked_later(|o| o.clock_s), p, &[])?;
            let (sooner, later) = match &run.start {
                Some(s) => (
                    self.modelled_of(&run.asked_later(|_| -s.u_s), p, &s.if_later)?,
                    self.modelled_of(&run.asked_later(|_| s.u_s), p, &s.if_earlier)?,
                ),
                None => (base.clone(), base.clone()),
            };
            let run = &mut self.runs[k];
            for (at, o) in run.observed.iter().enumerate() {
                let u = |(i, u): (usize, &f64)| {
                    let here = base[at][i];
                    let missed = CURVATURE * 0.5 * (sooner[at][i] + later[at][i] - 2.0 * here);
                    (late[at][i] - here).hypot(missed) / u
                };
                run.clocks[at] = o.u.iter().enumerate().map(u).collect();
            }
        }
        Ok(())
    }

    /// What a later start does to the misfits of run `k`, if it is `its` start.
    fn started_later(
        &self,
        k: usize,
        p: &[f64],
        base: &[Vec<f64>],
        its: bool,
    ) -> Result<Vec<f64>, String> {
        let run = &self.runs[k];
        let Some(start) = run.start.as_ref().filter(|_| its) else {
            return Ok(vec![0.0; run.observed.iter().map(|o| o.values.len()).sum()]);
        };
        let sooner = self.modelled_of(&run.asked_later(|_| -start.u_s), p, &start.if_later)?;
        let one = |((o, sooner), base): ((&Observed, &Vec<f64>), &Vec<f64>)| {
            let of = |i: usize| (sooner[i] - base[i]) / o.u[i];
            (0..o.values.len()).map(of).collect::<Vec<f64>>()
        };
        Ok(run.observed.iter().zip(&sooner).zip(base).flat_map(one).collect())
    }

    /// What one standard uncertainty of an error does to the misfits of run `k`, whose model says
    /// `base`.
    fn moved(
        &self,
        k: usize,
        p: &[f64],
        base: &[Vec<f64>],
        name: &str,
    ) -> Result<Vec<f64>, String> {
        let run = &self.runs[k];
        let model = match run.inputs.iter().find(|i| i.name == name) {
            Some(input) => self
                .modelled_of(run, p, &input.sets)
                .map_err(|why| format!("{}: {name}, larger by its uncertainty: {why}", run.name))?,
            None => base.to_vec(),
        };
        let one = |((o, model), base): ((&Observed, &Vec<f64>), &Vec<f64>)| {
            let by = o.common.iter().find(|c| c.name == name);
            let of = |i: usize| {
                // What the model would read has the error of the readings as well.
                let read = by.map_or(0.0, |c| c.by[i]);
                (model[i] - base[i] + read) / o.u[i]
            };
            (0..o.values.len()).map(of).collect::<Vec<f64>>()
        };
        Ok(run.observed.iter().zip(&model).zip(base).flat_map(one).collect())
    }

    /// Takes the weights of all readings.
    pub(super) fn weigh_readings(&mut self) {
        let clocks = self.runs.iter().flat_map(|r| &r.clocks);
        let of = |(w, clocks): (&Weight, &Vec<f64>)| -> Vec<f64> {
            clocks.iter().map(|c| w.factor(*c)).collect()
        };
        self.factors = self.weights.iter().flatten().zip(clocks).flat_map(of).collect();
        self.shared.weigh(&self.factors);
    }

    /// A change of misfits in stated uncertainties as one of residuals: weighted, shared errors taken
    /// off. What is known beforehand is not changed by it.
    pub(super) fn weighted(&self, misfits: Vec<f64>) -> Vec<f64> {
        let weighted = misfits.iter().zip(&self.factors).map(|(m, f)| m * f).collect();
        self.beside_priors(self.shared.taken_off(weighted))
    }

    /// What each shared error alone does to the residuals.
    pub(super) fn alone(&self) -> impl Iterator<Item = Vec<f64>> {
        self.shared.alone().into_iter().map(|r| self.beside_priors(r))
    }

    fn beside_priors(&self, mut change: Vec<f64>) -> Vec<f64> {
        change.extend(self.priors().map(|_| 0.0));
        change
    }

    /// The errors that were taken.
    pub(super) fn errors(&self) -> &Shared {
        &self.shared
    }

    /// Independent data that the weights leave.
    #[must_use]
    pub fn effective(&self) -> f64 {
        let weights = self.series().zip(self.weights.iter().flatten());
        let own: f64 = weights.map(|((_, o), w)| o.values.len() as f64 * w.independent).sum();
        (own + self.priors().count() as f64).max(self.spare())
    }

    /// Least number of independent readings: where there are more readings than parameters, one is left
    /// over however slow their noise, so that the misfit still counts and the interval is as wide as one
    /// spare reading makes it.
    fn spare(&self) -> f64 {
        self.count().min(self.parameters().len() + 1) as f64
    }

    /// Whether the noise is slow: the readings then count for fewer, and how many is a guess.
    #[must_use]
    pub fn is_slow(&self) -> bool {
        self.weights.iter().flatten().any(|w| w.independent < 1.0)
    }

    /// Misfits by series, in stated uncertainties, shared errors in them.
    pub(super) fn misfits(&self, residuals: &[f64]) -> Vec<Vec<f64>> {
        let effect = self.shared.effect(residuals);
        let all = residuals.iter().zip(&effect).zip(&self.factors);
        self.by_series(all.map(|((r, e), f)| (r - e) / f).collect())
    }

    /// What is left of the misfits, by series and in stated uncertainties, once shared errors are
    /// taken off: what their checks look at. A reading with an uncertain time has less of it.
    pub(super) fn scatter(&self, residuals: &[f64]) -> Vec<Vec<f64>> {
        let counts = self.series().map(|(_, o)| o.values.len());
        let plain =
            counts.zip(self.weights.iter().flatten()).flat_map(|(n, w)| vec![w.factor(0.0); n]);
        self.by_series(residuals.iter().zip(plain).map(|(r, f)| r / f).collect())
    }

    fn by_series(&self, all: Vec<f64>) -> Vec<Vec<f64>> {
        let mut rest = all.into_iter();
        self.series().map(|(_, o)| rest.by_ref().take(o.values.len()).collect()).collect()
    }

    /// Lets what is left of the misfits say how many readings of a series are independent, where it
    /// states no correlation time. Returns whether any weight moved much.
    ///
    /// Readings that scatter less than their instrument allows are not taken for better than stated:
    /// what is left of a sensor's errors beside offset and drift, and of the model's, need not show.
    pub(super) fn reweigh(&mut self, fit: &Fit) -> bool {
        let found = self.scatter(&fit.residuals);
        let mut moved = false;
        let all = self.runs.iter().flat_map(|r| &r.observed).zip(&found);
        for ((o, rest), w) in all.zip(self.weights.iter_mut().flatten()) {
            let (check, before, n) = (Check::of(rest), w.factor(0.0), rest.len() as f64);
            if o.correlation_s.is_none() {
                w.independent = check.effective / n.max(1.0);
            }
            moved |= (w.factor(0.0) / before - 1.0).abs() > SETTLED;
        }
        self.weigh_readings();
        moved
    }
}
