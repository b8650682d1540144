//! What readings count: their scatter, how many of them are independent, the errors that they share.

use rayon::prelude::*;

use super::data::Observed;
use super::prepare::Prepared;
use super::problem::BoxFit;
use super::shared::Shared;
use crate::study::fit::{Check, Fit};

/// Least scatter of readings, over what their instrument allows: also the share of freedom that is
/// always left. Our choice: a residual that happens to be small is no proof of a better instrument.
const LEAST_SCATTER: f64 = 0.05;

/// Fewest readings that tell their own scatter. Our choice: to a fifth, with sixteen of them.
const FEWEST_FOR_SCATTER: usize = 16;

/// Change of a weight that is none: they are known to a fifth at best.
const SETTLED: f64 = 0.05;

/// What one reading of a series counts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weight {
    /// Effective over real number of readings.
    independent: f64,
    /// Scatter over the stated uncertainty.
    scatter: f64,
}

impl Weight {
    pub(super) fn of(o: &Observed) -> Self {
        Weight { independent: o.effective() / o.values.len().max(1) as f64, scatter: 1.0 }
    }

    /// Factor on the misfit in its stated uncertainty.
    pub(super) fn factor(&self) -> f64 {
        self.independent.sqrt() / self.scatter
    }
}

impl BoxFit {
    /// Whether there are errors to take.
    pub(super) fn has_errors(&self) -> bool {
        let clocks = |r: &Prepared| r.start_s > 0.0 || r.observed.iter().any(|o| o.clock_s > 0.0);
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
            errors.extend((run.start_s > 0.0).then_some((Some(k), run.name.as_str())));
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
        self.weigh_errors();
        Ok(())
    }

    /// Puts what uncertain times do to readings beside their own uncertainties.
    fn take_clocks(&mut self, p: &[f64], base: &[Vec<Vec<f64>>]) -> Result<(), String> {
        for (k, base) in base.iter().enumerate() {
            if self.runs[k].observed.iter().all(|o| o.clock_s == 0.0) {
                continue;
            }
            let late = self.modelled_of(&self.runs[k].asked_later(|o| o.clock_s), p, &[])?;
            let run = &mut self.runs[k];
            let stated = run.observed.iter_mut().zip(&run.stated_u);
            for ((o, stated), (late, base)) in stated.zip(late.iter().zip(base)) {
                o.u = (0..stated.len()).map(|i| stated[i].hypot(late[i] - base[i])).collect();
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
        if !its {
            return Ok(vec![0.0; run.observed.iter().map(|o| o.values.len()).sum()]);
        }
        let early = self.modelled_of(&run.asked_later(|_| -run.start_s), p, &[])?;
        let one = |((o, early), base): ((&Observed, &Vec<f64>), &Vec<f64>)| {
            let of = |i: usize| (early[i] - base[i]) / o.u[i];
            (0..o.values.len()).map(of).collect::<Vec<f64>>()
        };
        Ok(run.observed.iter().zip(&early).zip(base).flat_map(one).collect())
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

    fn weigh_errors(&mut self) {
        let weights = self.series().zip(self.weights.iter().flatten());
        let all: Vec<f64> =
            weights.flat_map(|((_, o), w)| vec![w.factor(); o.values.len()]).collect();
        self.shared.weigh(&all);
    }

    /// Misfits in stated uncertainties as residuals: weighted, shared errors taken off. Linear.
    pub(super) fn weighted(&self, misfits: Vec<f64>) -> Vec<f64> {
        let weights = self.series().zip(self.weights.iter().flatten());
        let factors = weights.flat_map(|((_, o), w)| vec![w.factor(); o.values.len()]);
        self.shared.taken_off(misfits.into_iter().zip(factors).map(|(m, f)| m * f).collect())
    }

    /// The errors that were taken.
    pub(super) fn errors(&self) -> &Shared {
        &self.shared
    }

    /// Independent data that the weights leave.
    #[must_use]
    pub fn effective(&self) -> f64 {
        let weights = self.series().zip(self.weights.iter().flatten());
        weights.map(|((_, o), w)| o.values.len() as f64 * w.independent).sum()
    }

    /// Misfits by series, in stated uncertainties, shared errors in them.
    pub(super) fn misfits(&self, residuals: &[f64]) -> Vec<Vec<f64>> {
        let effect = self.shared.effect(residuals);
        let all: Vec<f64> = residuals.iter().zip(&effect).map(|(r, e)| r - e).collect();
        self.scatter(&all)
    }

    /// What is left of the misfits, by series and in stated uncertainties, once shared errors are
    /// taken off: what their checks look at.
    pub(super) fn scatter(&self, residuals: &[f64]) -> Vec<Vec<f64>> {
        let mut rest = residuals;
        let weights = self.weights.iter().flatten();
        let counts = self.series().map(|(_, o)| o.values.len());
        let one = |(n, w): (usize, &Weight)| {
            let (own, others) = rest.split_at(n);
            rest = others;
            own.iter().map(|r| r / w.factor()).collect()
        };
        counts.zip(weights).map(one).collect()
    }

    /// Lets what is left of the misfits say how many readings of a series are independent, where it
    /// states no correlation time, and how much they scatter, where `u` is only the most. Returns
    /// whether any weight moved much.
    pub(super) fn reweigh(&mut self, fit: &Fit) -> bool {
        let found = self.scatter(&fit.residuals);
        let mut followed = self.shared.leverage(&fit.jacobian).unwrap_or_default().into_iter();
        let mut moved = false;
        let all = self.runs.iter().flat_map(|r| &r.observed).zip(&found);
        for ((o, rest), w) in all.zip(self.weights.iter_mut().flatten()) {
            let (check, before, n) = (Check::of(rest), w.factor(), rest.len() as f64);
            // What the fit follows by itself is no scatter.
            let left = 1.0 - followed.by_ref().take(rest.len()).sum::<f64>() / n.max(1.0);
            if o.correlation_s.is_none() {
                w.independent = check.effective / n.max(1.0);
            }
            if o.at_most && rest.len() >= FEWEST_FOR_SCATTER {
                let scatter = check.rms / left.max(LEAST_SCATTER).sqrt();
                w.scatter = scatter.clamp(LEAST_SCATTER, 1.0);
            }
            moved |= (w.factor() / before - 1.0).abs() > SETTLED;
        }
        self.weigh_errors();
        moved
    }
}
