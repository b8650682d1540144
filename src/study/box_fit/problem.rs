//! From parameters to weighted residuals: simulate each run, read the columns off at the data.

use rayon::prelude::*;

use super::data::{Observed, RunData};
use super::prepare::{Prepared, prepare};
use crate::reader::{Issue, Origin, Source, render};
use crate::run::{self, Column};
use crate::scenario::Scenario;
use crate::study::fit::{Options, Parameter, Problem};
use crate::units::{self, Kind};

/// A path of the scenario that is free, in SI.
#[derive(Clone, Debug, PartialEq)]
pub struct FreePath {
    /// Dotted path.
    pub path: String,
    /// What it measures.
    pub kind: Kind,
    /// Where the search begins.
    pub start: f64,
    /// Smallest value.
    pub low: f64,
    /// Largest value.
    pub high: f64,
    /// Whether each run has a value of its own.
    pub per_run: bool,
}

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
    runs: Vec<Prepared>,
    /// Root of effective over real number of readings, for each series of each run.
    weights: Vec<Vec<f64>>,
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
            match prepare(source, run) {
                Ok(p) => prepared.push(Prepared { places: places(&free, runs.len(), k), ..p }),
                Err(more) => issues.extend(more),
            }
        }
        if !issues.is_empty() {
            return Err(issues);
        }
        let mut fit =
            BoxFit { free, parameters, runs: prepared, weights: Vec::new(), means_s: None };
        fit.weights = fit.runs.iter().map(|r| r.observed.iter().map(weight).collect()).collect();
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
    pub(super) fn options(&self) -> Options {
        if self.means_s.is_some() {
            Options::self_switching(self.tolerance())
        } else {
            Options::simulated(self.tolerance())
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

    /// All series with their run's name, in the order of the residuals.
    pub(super) fn series(&self) -> impl Iterator<Item = (&str, &Observed)> {
        self.runs.iter().flat_map(|r| r.observed.iter().map(|o| (r.name.as_str(), o)))
    }

    /// The same runs in rooms warmer by the uncertainty of their temperatures, and the largest of
    /// these \[K\]; none if no run states one.
    pub(super) fn in_warmer_rooms(&self) -> Option<(f64, BoxFit)> {
        let mut warm = self.clone();
        let mut most_k = 0.0_f64;
        for run in &mut warm.runs {
            if let Some((u_k, text)) = &run.warmer_room {
                run.source.set_value("room", text, Origin::Set).ok()?;
                most_k = most_k.max(*u_k);
            }
        }
        (most_k > 0.0).then_some((most_k, warm))
    }

    /// The runs by name.
    pub(super) fn names(&self) -> String {
        self.runs.iter().map(|r| r.name.as_str()).collect::<Vec<_>>().join(", ")
    }

    /// What to type for a run whose temperatures turn out to be in Fahrenheit.
    pub(super) fn fahrenheit_hint(&self, run: &str) -> &str {
        self.runs.iter().find(|r| r.name == run).map_or("", |r| &r.fahrenheit_hint)
    }

    /// Independent data that the weights leave.
    #[must_use]
    pub fn effective(&self) -> f64 {
        let count = |(o, w): (&Observed, &f64)| o.values.len() as f64 * w * w;
        let of = |(r, w): (&Prepared, &Vec<f64>)| r.observed.iter().zip(w).map(count).sum::<f64>();
        self.runs.iter().zip(&self.weights).map(of).sum()
    }

    /// Misfits by series, in stated uncertainties, common offsets of the readings in them.
    pub(super) fn misfits(&self, residuals: &[f64]) -> Vec<Vec<f64>> {
        let mut parts = self.split(residuals);
        let weights = self.weights.iter().flatten();
        for ((part, (_, o)), w) in parts.iter_mut().zip(self.series()).zip(weights) {
            let share = o.taken_up(part.len() as f64 * w * w);
            let taken = share / (1.0 - share) * mean(part);
            part.iter_mut().for_each(|r| *r += taken);
        }
        parts
    }

    /// What is left of the misfits once an offset common to a series is off: what its checks look at.
    pub(super) fn scatter(&self, residuals: &[f64]) -> Vec<Vec<f64>> {
        let mut parts = self.split(residuals);
        for (part, (_, o)) in parts.iter_mut().zip(self.series()) {
            let off = if o.common > 0.0 { mean(part) } else { 0.0 };
            part.iter_mut().for_each(|r| *r -= off);
        }
        parts
    }

    /// Splits residuals by series, in stated uncertainties: the weights taken off again, offsets
    /// within their uncertainty left out.
    pub(super) fn split(&self, residuals: &[f64]) -> Vec<Vec<f64>> {
        let mut rest = residuals;
        let weights = self.weights.iter().flatten();
        let counts = self.series().map(|(_, o)| o.values.len());
        let one = |(n, w): (usize, &f64)| {
            let (own, others) = rest.split_at(n);
            rest = others;
            own.iter().map(|r| r / w).collect()
        };
        counts.zip(weights).map(one).collect()
    }

    /// Takes the effective number of readings of those series that state no correlation time.
    /// Returns whether any weight moved much.
    pub(super) fn reweigh(&mut self, effective: &[f64]) -> bool {
        let mut moved = false;
        let all = self.runs.iter().flat_map(|r| &r.observed).zip(effective);
        for ((o, n), w) in all.zip(self.weights.iter_mut().flatten()) {
            if o.correlation_s.is_none() {
                let new = (n / o.values.len() as f64).sqrt();
                moved |= (new / *w - 1.0).abs() > 0.02;
                *w = new;
            }
        }
        moved
    }

    /// The scenario of run `k` at parameters `p`, at the fit's tolerance and no longer than its data.
    ///
    /// # Errors
    /// What the scenario says against these values.
    pub(super) fn scenario(&self, k: usize, p: &[f64]) -> Result<Scenario, String> {
        let run = &self.runs[k];
        let mut source = run.source.clone();
        for (free, place) in self.free.iter().zip(&run.places) {
            let text = units::format_digits(free.kind, p[*place], ALL_DIGITS);
            source.set_value(&free.path, &text, Origin::Fit).map_err(|i| i.to_string())?;
        }
        let (mut scenario, _) = Scenario::read(&source).map_err(|i| render(&i))?;
        scenario.run.tolerance = scenario.run.tolerance.min(self.tolerance());
        if let Some(last) = run.times_s.last() {
            scenario.run.duration_s = last.max(1.0);
        }
        Ok(scenario)
    }

    /// What the model says to each reading of run `k`, series by series.
    pub(super) fn modelled(&self, k: usize, p: &[f64]) -> Result<Vec<Vec<f64>>, String> {
        let run = &self.runs[k];
        if run.times_s.is_empty() {
            return Ok(run.observed.iter().map(|_| Vec::new()).collect());
        }
        let scenario = self.scenario(k, p)?;
        let columns: Vec<Column> =
            run::sample(&scenario, &run.times_s, &run.columns).map_err(|e| e.to_string())?;
        let of = |(o, rows): (&Observed, &Vec<Vec<(usize, f64)>>)| {
            let value = |(at, factor): &(usize, f64)| factor * o.target.value(&columns, *at);
            rows.iter().map(|moments| moments.iter().map(value).sum()).collect()
        };
        Ok(run.observed.iter().zip(&run.rows).map(of).collect())
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
        self.series().map(|(_, o)| o.values.len()).sum()
    }

    fn residuals(&self, p: &[f64]) -> Result<Vec<f64>, String> {
        let one = |k: usize| -> Result<Vec<f64>, String> {
            let modelled = self.modelled(k, p)?;
            let mut out = Vec::new();
            for ((o, model), w) in self.runs[k].observed.iter().zip(modelled).zip(&self.weights[k])
            {
                let data = o.values.iter().zip(&o.u);
                let misfits: Vec<f64> =
                    model.iter().zip(data).map(|(m, (v, u))| (m - v) / u).collect();
                let taken = o.taken_up(misfits.len() as f64 * w * w) * mean(&misfits);
                out.extend(misfits.iter().map(|r| w * (r - taken)));
            }
            Ok(out)
        };
        let parts: Vec<Vec<f64>> =
            (0..self.runs.len()).into_par_iter().map(one).collect::<Result<_, _>>()?;
        Ok(parts.concat())
    }
}

fn mean(v: &[f64]) -> f64 {
    v.iter().sum::<f64>() / v.len().max(1) as f64
}

fn weight(o: &Observed) -> f64 {
    (o.effective() / (o.values.len().max(1)) as f64).sqrt()
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
