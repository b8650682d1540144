//! Prediction of what was not fitted, with its band, and how it held.

use serde::Serialize;

use super::data::RunData;
use super::problem::{BoxFit, FreePath};
use super::solve::Outcome;
use crate::reader::{Issue, Source};
use crate::study::fit::{Parameter, bands, draw, score};

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
}

/// Predicts the readings of `later`, which were not fitted, from `draws` parameter sets drawn from
/// the joint distribution of the fit. `later` lists the same runs as the fit, in the same order.
///
/// # Errors
/// Mistakes in `later`.
pub fn hold_out(
    source: &Source,
    free: &[FreePath],
    later: &[RunData],
    outcome: &Outcome,
    draws: usize,
    seed: u64,
) -> Result<Vec<HeldOut>, Vec<Issue>> {
    let mut ahead = BoxFit::new(source, free.to_vec(), later)?;
    take_errors(&mut ahead, &outcome.fit.values)?;
    let drawn = drawn(ahead.parameters(), outcome, draws, seed);
    Ok(held(&ahead, &drawn, outcome.known.enlarged))
}

/// Predicts runs that had no part in `fit`. What each run has a value of its own of is left as the
/// scenario of the predicted run states it.
///
/// # Errors
/// Mistakes in `others`.
pub fn hold_out_runs(
    source: &Source,
    fit: &BoxFit,
    others: &[RunData],
    outcome: &Outcome,
    draws: usize,
    seed: u64,
) -> Result<Vec<HeldOut>, Vec<Issue>> {
    let (free, places) = fit.shared();
    let mut ahead = BoxFit::new(source, free, others)?;
    let best: Vec<f64> = places.iter().map(|i| outcome.fit.values[*i]).collect();
    take_errors(&mut ahead, &best)?;
    let drawn = drawn(fit.parameters(), outcome, draws, seed);
    let own = |p: &Vec<f64>| places.iter().map(|i| p[*i]).collect();
    let drawn: Vec<Vec<f64>> = drawn.iter().map(own).collect();
    Ok(held(&ahead, &drawn, outcome.known.enlarged))
}

/// Errors of the predicted readings and of their runs' inputs.
fn take_errors(ahead: &mut BoxFit, p: &[f64]) -> Result<(), Vec<Issue>> {
    let names = ahead.names();
    let hint = "state a smaller uncertainty";
    ahead.take_errors(p).map_err(|why| vec![Issue::of_file("bad-input", &names, why, hint)])
}

/// Parameter sets from the joint distribution of a fit.
fn drawn(parameters: &[Parameter], outcome: &Outcome, count: usize, seed: u64) -> Vec<Vec<f64>> {
    if let Some(draws) = &outcome.draws {
        return draws.sets.iter().take(count).cloned().collect();
    }
    let bounds: Vec<(f64, f64)> = parameters.iter().map(|p| (p.low, p.high)).collect();
    draw(&outcome.fit.values, &bounds, &outcome.known.covariance, count, seed)
}

/// How the readings of `ahead` lie in the bands of these parameter sets.
fn held(ahead: &BoxFit, drawn: &[Vec<f64>], enlarged: f64) -> Vec<HeldOut> {
    let all = |p: &[f64]| {
        let runs: Result<Vec<Vec<Vec<f64>>>, String> =
            (0..ahead.runs()).map(|k| ahead.modelled(k, p)).collect();
        runs.ok().map(|r| r.concat().concat())
    };
    let (predicted, _) = bands(drawn, all);
    let (mut rest, mut count) = (predicted.as_slice(), 0);
    let mut held = Vec::new();
    for (run, o) in ahead.series() {
        let (own, others) = rest.split_at(o.values.len().min(rest.len()));
        rest = others;
        // Uncertainties that the residuals called too small are too small here as well.
        let first = count;
        count += o.values.len();
        let common = |i: usize| ahead.errors().variance(first + i);
        let u = o.u.iter().enumerate().map(|(i, u)| u * enlarged * (1.0 + common(i)).sqrt());
        let data: Vec<(f64, f64)> = o.values.iter().copied().zip(u).collect();
        held.extend(score(&data, own).map(|s| HeldOut {
            run: run.into(),
            name: o.name.clone(),
            unit: o.unit.clone(),
            count: s.count,
            rmse: s.rmse,
            bias: s.bias,
            coverage: s.coverage,
        }));
    }
    held
}
