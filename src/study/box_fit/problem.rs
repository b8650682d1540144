//! From parameters to weighted residuals: simulate each run, read the columns off at the data.

use rayon::prelude::*;

use super::data::{FreePath, Observed, RunData, Weight};
use super::prepare::{Prepared, prepare};
use super::shared::Shared;
use crate::reader::{Issue, Origin, Source, render};
use crate::run::{self, Column};
use crate::scenario::Scenario;
use crate::study::fit::{Parameter, Problem, SearchOptions};
use crate::units::{self, Kind};

/// Relative tolerance of the simulations of a fit: their noise limits the derivatives.
pub(super) const TOLERANCE: f64 = 1e-8;

/// The same for boxes that switch by themselves: their own jumps exceed it by far.
const TOLERANCE_SWITCHING: f64 = 1e-6;

/// What counts as a change of a temperature reading's size \[K\]: kelvins count, not its distance
/// from absolute zero. Our choice.
const READING_K: f64 = 5.0;

/// Digits with which a parameter is handed to the scenario: all of them.
const ALL_DIGITS: usize = 17;

/// A scenario with free paths and measured runs.
#[derive(Clone, Debug)]
pub struct BoxFit {
    free: Vec<FreePath>,
    parameters: Vec<Parameter>,
    pub(super) runs: Vec<Prepared>,
    /// What the readings of each series of each run count.
    pub(super) weights: Vec<Vec<Weight>>,
    /// The factors on the misfits that these make.
    pub(super) factors: Vec<f64>,
    /// Errors that the readings share.
    pub(super) shared: Shared,
    /// Span of the means that are compared, if the boxes switch by themselves \[s\].
    means_s: Option<f64>,
}

impl BoxFit {
    /// Puts the pieces together.
    ///
    /// # Errors
    /// Every mistake in the scenario, the runs' assignments and the names of columns.
    pub fn new(source: &Source, free: Vec<FreePath>, runs: &[RunData]) -> Result<Self, Vec<Issue>> {
        let parameters = expand(&free, runs);
        let mut issues = Vec::new();
        let mut prepared = Vec::new();
        for (k, run) in runs.iter().enumerate() {
            match prepare(source, &free, run) {
                Ok(p) => prepared.push(Prepared { places: places(&free, runs.len(), k), ..p }),
                Err(more) => issues.extend(more),
            }
        }
        if !issues.is_empty() {
            return Err(issues);
        }
        let of = |r: &Prepared| r.observed.iter().map(Weight::of).collect();
        let weights = prepared.iter().map(of).collect();
        let (factors, shared, means_s) = (Vec::new(), Shared::default(), None);
        let mut fit =
            BoxFit { free, parameters, runs: prepared, weights, factors, shared, means_s };
        fit.weigh_readings();
        Ok(fit)
    }

    /// The same for boxes whose own thermostat switches, compared by means over this span \[s\]: with
    /// wide steps for the slopes, and an optimum that need not be sharp.
    #[must_use]
    pub fn self_switching(self, span_s: f64) -> Self {
        BoxFit { means_s: Some(span_s), ..self }
    }

    /// Span of the means that are compared, if there is one \[s\].
    pub(super) fn means_s(&self) -> Option<f64> {
        self.means_s
    }

    /// How the search goes about it.
    pub(super) fn options(&self) -> SearchOptions {
        if self.means_s.is_some() {
            SearchOptions::self_switching(self.tolerance())
        } else {
            SearchOptions::simulated(self.tolerance())
        }
    }

    pub(super) fn tolerance(&self) -> f64 {
        if self.means_s.is_some() { TOLERANCE_SWITCHING } else { TOLERANCE }
    }

    /// The parameters: shared ones once, the others once for each run.
    #[must_use]
    pub fn parameters(&self) -> &[Parameter] {
        &self.parameters
    }

    /// Free paths with one value for all runs, and the places of their parameters.
    pub(super) fn shared(&self) -> (Vec<FreePath>, Vec<usize>) {
        let several = self.runs.len() > 1;
        let all = self.free.iter().cloned().zip(self.runs[0].places.iter().copied());
        all.filter(|(f, _)| !(f.per_run && several)).unzip()
    }

    /// The free path that stands behind a parameter.
    #[must_use]
    pub fn path_of(&self, parameter: usize) -> &FreePath {
        let of = |r: &Prepared| r.places.iter().position(|p| *p == parameter);
        let place = self.runs.iter().find_map(of).unwrap_or(0);
        &self.free[place]
    }

    /// Paths that are free.
    pub(super) fn free_paths(&self) -> impl Iterator<Item = &str> + Clone {
        self.free.iter().map(|f| f.path.as_str())
    }

    /// Parameters that are known beforehand, each with its value and standard uncertainty.
    pub(super) fn priors(&self) -> impl Iterator<Item = (usize, f64, f64)> {
        let known = |i| self.path_of(i).prior.map(|sd| (i, self.path_of(i).start, sd));
        (0..self.parameters.len()).filter_map(known)
    }

    /// All series with their run's name, in the order of the residuals.
    pub(super) fn series(&self) -> impl Iterator<Item = (&str, &Observed)> {
        self.runs.iter().flat_map(|r| r.observed.iter().map(|o| (r.name.as_str(), o)))
    }

    /// The runs by name.
    pub(super) fn names(&self) -> String {
        self.runs.iter().map(|r| r.name.as_str()).collect::<Vec<_>>().join(", ")
    }

    /// What to type for a run whose temperatures turn out to be in Fahrenheit.
    pub(super) fn fahrenheit_hint(&self, run: &str) -> &str {
        self.runs.iter().find(|r| r.name == run).map_or("", |r| &r.fahrenheit_hint)
    }

    /// The scenario of run `k` at parameters `p`, at the fit's tolerance and no longer than its data.
    ///
    /// # Errors
    /// What the scenario says against these values.
    pub(super) fn scenario(&self, k: usize, p: &[f64]) -> Result<Scenario, String> {
        self.scenario_of(&self.runs[k], p, &[])
    }

    fn scenario_of(
        &self,
        run: &Prepared,
        p: &[f64],
        sets: &[(String, String)],
    ) -> Result<Scenario, String> {
        let mut source = run.source.clone();
        for (path, text) in sets {
            source.set_value(path, text, Origin::Set).map_err(|i| i.to_string())?;
        }
        for (free, place) in self.free.iter().zip(&run.places) {
            let text = units::format_digits(free.kind, p[*place], ALL_DIGITS);
            source.set_value(&free.path, &text, Origin::Fit).map_err(|i| i.to_string())?;
        }
        let (mut scenario, _) = Scenario::read_case(&source).map_err(|i| render(&i))?;
        scenario.run.tolerance = scenario.run.tolerance.min(self.tolerance());
        if let Some(last) = run.times_s.last() {
            scenario.run.duration_s = last.max(1.0);
        }
        Ok(scenario)
    }

    /// What the model says to each reading of run `k`, series by series.
    pub(super) fn modelled(&self, k: usize, p: &[f64]) -> Result<Vec<Vec<f64>>, String> {
        self.modelled_of(&self.runs[k], p, &[])
    }

    /// The same of a run with inputs set otherwise.
    pub(super) fn modelled_of(
        &self,
        run: &Prepared,
        p: &[f64],
        sets: &[(String, String)],
    ) -> Result<Vec<Vec<f64>>, String> {
        if run.times_s.is_empty() {
            return Ok(run.observed.iter().map(|_| Vec::new()).collect());
        }
        let scenario = self.scenario_of(run, p, sets)?;
        let columns: Vec<Column> =
            run::sample(&scenario, &run.times_s, &run.columns).map_err(|e| e.to_string())?;
        let of = |(o, rows): (&Observed, &Vec<Vec<(usize, f64)>>)| {
            let value = |(at, factor): &(usize, f64)| factor * o.target.value(&columns, *at);
            rows.iter().map(|moments| moments.iter().map(value).sum()).collect()
        };
        Ok(run.observed.iter().zip(&run.rows).map(of).collect())
    }

    /// Place of the run of this name; the first if there is none.
    pub(super) fn place_of(&self, run: &str) -> usize {
        self.runs.iter().position(|r| r.name == run).unwrap_or(0)
    }

    /// Number of runs.
    pub(super) fn runs(&self) -> usize {
        self.runs.len()
    }

    /// Paths and values of run `k` at parameters `p`.
    pub(super) fn assignments<'a>(
        &'a self,
        k: usize,
        p: &'a [f64],
    ) -> impl Iterator<Item = (&'a FreePath, usize, f64)> {
        self.free.iter().zip(&self.runs[k].places).map(|(f, place)| (f, *place, p[*place]))
    }
}

impl Problem for BoxFit {
    fn count(&self) -> usize {
        self.series().map(|(_, o)| o.values.len()).sum::<usize>() + self.priors().count()
    }

    fn residuals(&self, p: &[f64]) -> Result<Vec<f64>, String> {
        let one = |k: usize| -> Result<Vec<f64>, String> {
            let modelled = self.modelled(k, p)?;
            let of = |(o, model): (&Observed, Vec<f64>)| -> Vec<f64> {
                let data = o.values.iter().zip(&o.u);
                model.iter().zip(data).map(|(m, (v, u))| (m - v) / u).collect()
            };
            Ok(self.runs[k].observed.iter().zip(modelled).flat_map(of).collect())
        };
        let parts: Vec<Vec<f64>> =
            (0..self.runs.len()).into_par_iter().map(one).collect::<Result<_, _>>()?;
        let all = parts.concat();
        let weighted = all.iter().zip(&self.factors).map(|(r, f)| r * f).collect();
        let mut residuals = self.shared.taken_off(weighted);
        residuals.extend(self.priors().map(|(i, value, sd)| (p[i] - value) / sd));
        Ok(residuals)
    }
}

fn expand(free: &[FreePath], runs: &[RunData]) -> Vec<Parameter> {
    let mut all = Vec::new();
    for f in free {
        let size = (f.kind == Kind::Temperature).then_some(READING_K);
        let named =
            |name: String| Parameter { size, ..Parameter::between(&name, f.start, f.low, f.high) };
        if f.per_run && runs.len() > 1 {
            all.extend(runs.iter().map(|r| named(format!("{} in {}", f.path, r.name))));
        } else {
            all.push(named(f.path.clone()));
        }
    }
    all
}

/// Position of each free path among the parameters of run `k`; see `expand`.
fn places(free: &[FreePath], runs: usize, k: usize) -> Vec<usize> {
    let mut next = 0;
    let mut place = |f: &FreePath| {
        let (own, count) = if f.per_run && runs > 1 { (k, runs) } else { (0, 1) };
        next += count;
        next - count + own
    };
    free.iter().map(&mut place).collect()
}
