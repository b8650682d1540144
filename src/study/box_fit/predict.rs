//! Prediction of what was not fitted, with its band, and how it held.

use serde::Serialize;

use super::curves::{Ahead, Curve, Drawn, along, curves};
use super::data::{FreePath, RunData};
use super::problem::BoxFit;
use super::solve::Outcome;
use crate::reader::{Issue, Source};
use crate::study::fit::{Band, Parameter, bands, draw, score};

/// How one series of held-out readings was predicted.
#[derive(Clone, Debug, Serialize)]
pub struct HeldOut {
    /// The run.
    pub run: String,
    /// What the data call it.
    pub name: String,
    /// Unit of the readings.
    pub unit: String,
    /// Readings compared.
    pub count: usize,
    /// Root mean square of the misses, in `unit`.
    pub rmse: f64,
    /// Mean of prediction less reading.
    pub bias: f64,
    /// Share of readings within the 95 % band, their own uncertainty included.
    pub coverage: f64,
    /// Times of the readings \[s\].
    pub time_s: Vec<f64>,
    /// The readings.
    pub reading: Vec<f64>,
    /// Their standard uncertainties as stated.
    pub u: Vec<f64>,
    /// The prediction: middle of its band.
    pub predicted: Vec<f64>,
    /// Lower edge of the 95 % band of the prediction, without the uncertainty of the readings.
    pub low: Vec<f64>,
    /// Upper edge.
    pub high: Vec<f64>,
}

/// What a fit predicts, and by how many parameter sets.
#[derive(Clone, Copy, Debug)]
pub struct Prediction<'a> {
    /// Scenario of runs without one of their own.
    pub source: &'a Source,
    /// What was free.
    pub free: &'a [FreePath],
    /// The problem that was solved.
    pub fit: &'a BoxFit,
    /// Its answer.
    pub outcome: &'a Outcome,
    /// Parameter sets drawn from the joint distribution of the fit.
    pub draws: usize,
    /// Seed of the draws.
    pub seed: u64,
}

impl Prediction<'_> {
    /// Predicts readings of the fitted runs that were not fitted themselves; `later` lists the same
    /// runs in the same order.
    ///
    /// # Errors
    /// Mistakes in `later`.
    pub fn hold_out(&self, later: &[RunData]) -> Result<Vec<HeldOut>, Vec<Issue>> {
        let (mut ahead, drawn) = self.same(later)?;
        ahead.take_errors(&drawn.best)?;
        held(&ahead, drawn, self.outcome.known.enlarged)
    }

    /// Predicts runs that had no part in the fit. What each run has a value of its own of is left as
    /// the scenario of the predicted run states it.
    ///
    /// # Errors
    /// Mistakes in `others`.
    pub fn hold_out_runs(&self, others: &[RunData]) -> Result<Vec<HeldOut>, Vec<Issue>> {
        let (mut ahead, drawn) = self.other(others)?;
        ahead.take_errors(&drawn.best)?;
        held(&ahead, drawn, self.outcome.known.enlarged)
    }

    /// The model along the fitted runs, from their starts to their last readings; `runs` with all of
    /// their readings, in the order of the fit.
    ///
    /// # Errors
    /// Mistakes in `runs`.
    pub fn curves(&self, runs: &[RunData]) -> Result<Vec<Curve>, Vec<Issue>> {
        let runs: Vec<RunData> = runs.iter().map(along).collect();
        let (ahead, drawn) = self.same(&runs)?;
        Ok(curves(&ahead, &drawn))
    }

    /// The same along runs that had no part in the fit.
    ///
    /// # Errors
    /// Mistakes in `others`.
    pub fn curves_of_others(&self, others: &[RunData]) -> Result<Vec<Curve>, Vec<Issue>> {
        let others: Vec<RunData> = others.iter().map(along).collect();
        let (ahead, drawn) = self.other(&others)?;
        Ok(curves(&ahead, &drawn))
    }

    /// The fitted runs.
    fn same(&self, runs: &[RunData]) -> Result<(Ahead, Drawn), Vec<Issue>> {
        let fit = BoxFit::new(self.source, self.free.to_vec(), runs)?;
        Ok((Ahead { fit }, self.values()))
    }

    /// Runs that were not fitted: with the parameters that all runs share.
    fn other(&self, runs: &[RunData]) -> Result<(Ahead, Drawn), Vec<Issue>> {
        let (free, places) = self.fit.shared();
        let fit = BoxFit::new(self.source, free, runs)?;
        let own = |p: &Vec<f64>| -> Vec<f64> { places.iter().map(|i| p[*i]).collect() };
        let all = self.values();
        let drawn = Drawn { best: own(&all.best), sets: all.sets.iter().map(own).collect() };
        Ok((Ahead { fit }, drawn))
    }

    fn values(&self) -> Drawn {
        let known = self.outcome.known.standard_error.iter().any(Option::is_some);
        let sets = match known {
            true => drawn(self.fit.parameters(), self.outcome, self.draws, self.seed),
            false => Vec::new(),
        };
        Drawn { best: self.outcome.fit.values.clone(), sets }
    }
}

/// Parameter sets from the joint distribution of a fit.
fn drawn(parameters: &[Parameter], outcome: &Outcome, count: usize, seed: u64) -> Vec<Vec<f64>> {
    if let Some(draws) = &outcome.draws {
        return draws.sets.iter().take(count).cloned().collect();
    }
    let bounds: Vec<(f64, f64)> = parameters.iter().map(|p| (p.low, p.high)).collect();
    draw(&outcome.fit.values, &bounds, &outcome.known.covariance, count, seed)
}

/// How the readings of `ahead` lie in the bands of these parameter sets. Without any the fitted
/// values predict, without a band.
fn held(ahead: &Ahead, drawn: Drawn, enlarged: f64) -> Result<Vec<HeldOut>, Vec<Issue>> {
    let sets = if drawn.sets.is_empty() { vec![drawn.best] } else { drawn.sets };
    let (predicted, lost) = bands(&sets, |p| ahead.answer(p));
    if lost == sets.len() {
        let what = "cannot be predicted: the model has no answer there for any drawn parameters";
        let hint = "narrow the bounds of what is free";
        return Err(vec![Issue::of_file("no-prediction", &ahead.fit.names(), what.into(), hint)]);
    }
    let (mut rest, mut count) = (predicted.as_slice(), 0);
    let mut held = Vec::new();
    for (run, o) in ahead.fit.series() {
        let (own, others) = rest.split_at(o.values.len().min(rest.len()));
        rest = others;
        // Uncertainties that the residuals called too small are too small here as well.
        let first = count;
        count += o.values.len();
        let common = |i: usize| ahead.fit.errors().variance(first + i);
        let u = o.u.iter().enumerate().map(|(i, u)| u * enlarged * (1.0 + common(i)).sqrt());
        let data: Vec<(f64, f64)> = o.values.iter().copied().zip(u).collect();
        let column = |pick: fn(&Band) -> f64| own.iter().map(pick).collect();
        held.extend(score(&data, own).map(|s| HeldOut {
            run: run.into(),
            name: o.name.clone(),
            unit: o.unit.clone(),
            count: s.count,
            rmse: s.rmse,
            bias: s.bias,
            coverage: s.coverage,
            time_s: o.times_s.clone(),
            reading: o.values.clone(),
            u: o.u.clone(),
            predicted: column(|b| b.middle),
            low: column(|b| b.low),
            high: column(|b| b.high),
        }));
    }
    Ok(held)
}
