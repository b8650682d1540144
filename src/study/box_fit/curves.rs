//! The model between the readings, with its band: what a picture of a fit draws.

use serde::Serialize;

use super::data::{Observed, RunData};
use super::problem::BoxFit;
use crate::reader::Issue;
use crate::study::fit::{Band, bands};

/// Places along a run at which the model is drawn: one for about two pixels of a picture.
const PLACES: usize = 480;

/// What the model says along a run to one series of readings, where it was read and between.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Curve {
    /// The run.
    pub run: String,
    /// What the data call it.
    pub name: String,
    /// Unit of the values.
    pub unit: String,
    /// Times \[s\].
    pub time_s: Vec<f64>,
    /// The model with the fitted values.
    pub model: Vec<f64>,
    /// Lower and upper edge of the 95 % band of the model by what the fit leaves open in its
    /// parameters; empty where it knows no standard error.
    pub band: Vec<(f64, f64)>,
}

/// Runs to be predicted.
pub(super) struct Ahead {
    pub(super) fit: BoxFit,
}

impl Ahead {
    /// What the model says to everything asked, one after the other.
    pub(super) fn answer(&self, p: &[f64]) -> Option<Vec<f64>> {
        let runs: Result<Vec<Vec<Vec<f64>>>, String> =
            (0..self.fit.runs()).map(|k| self.fit.modelled(k, p)).collect();
        runs.ok().map(|r| r.concat().concat())
    }

    /// Takes the errors of the predicted readings and of their runs' inputs.
    pub(super) fn take_errors(&mut self, p: &[f64]) -> Result<(), Vec<Issue>> {
        let names = self.fit.names();
        let hint = "state a smaller uncertainty";
        self.fit.take_errors(p).map_err(|why| vec![Issue::of_file("bad-input", &names, why, hint)])
    }
}

/// Values of the parameters of what is predicted.
pub(super) struct Drawn {
    /// The fitted ones.
    pub(super) best: Vec<f64>,
    /// Sets drawn from the joint distribution; none where the fit knows no standard error.
    pub(super) sets: Vec<Vec<f64>>,
}

/// The curves of runs under these parameter sets: one for each series.
///
/// The band comes from sets that are simulated each, not from derivatives: it keeps the bend of the
/// model and the bounds of the parameters, and is that by which held-out readings are judged.
pub(super) fn curves(ahead: &Ahead, drawn: &Drawn) -> Vec<Curve> {
    let Some(best) = ahead.answer(&drawn.best) else { return Vec::new() };
    let (bands, _) = match drawn.sets.is_empty() {
        true => (Vec::new(), 0),
        false => bands(&drawn.sets, |p| ahead.answer(p)),
    };
    let (mut best, mut bands) = (best.as_slice(), bands.as_slice());
    let mut out = Vec::new();
    for (run, o) in ahead.fit.series() {
        let n = o.values.len();
        let edges = |b: &Band| (b.low, b.high);
        out.push(Curve {
            run: run.into(),
            name: o.name.clone(),
            unit: o.unit.clone(),
            time_s: o.times_s.clone(),
            model: best[..n].to_vec(),
            band: bands.iter().take(n).map(edges).collect(),
        });
        (best, bands) = (&best[n..], bands.get(n..).unwrap_or_default());
    }
    out
}

/// The same run, asked from its start to its last reading.
pub(super) fn along(run: &RunData) -> RunData {
    let read = |o: &Observed| -> Option<f64> {
        let good = o.times_s.iter().zip(&o.values).rev().find(|(_, v)| v.is_finite());
        good.map(|(t, _)| *t)
    };
    let end_s = run.observed.iter().filter_map(read).fold(0.0, f64::max);
    let grid: Vec<f64> = (0..=PLACES).map(|k| end_s * k as f64 / PLACES as f64).collect();
    let observed = run.observed.iter().filter(|o| read(o).is_some()).map(|o| o.along(&grid));
    RunData { observed: observed.collect(), ..run.clone() }
}
