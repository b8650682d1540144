//! Readings, and what of the model they are compared with.

use crate::address::Address;
use crate::physics::constants::STANDARD_PRESSURE;
use crate::physics::moist_air::saturation_in_air_pa;
use crate::reader::Source;
use crate::run::Column;
use crate::study::fit::{Check, effective_count};
use crate::units::{Kind, k_from_c};

/// What of the model a reading is compared with.
#[derive(Clone, Debug, PartialEq)]
pub enum Compared {
    /// A column of a run, in its unit.
    Column(Address),
    /// The sum of columns of one unit: a plug meter counts the heater and the fan.
    Sum(Vec<Address>),
    /// The vapour pressure \[Pa\] that a sensor's two columns stand for: relative humidity times
    /// saturation pressure at the sensor's own temperature.
    VapourPressure {
        /// Column of the temperature \[°C\].
        temperature: Address,
        /// Column of the relative humidity \[%\].
        humidity: Address,
    },
}

impl Compared {
    /// The columns it needs.
    pub fn columns(&self) -> Vec<Address> {
        match self {
            Compared::Column(at) => vec![*at],
            Compared::Sum(list) => list.clone(),
            Compared::VapourPressure { temperature, humidity } => vec![*temperature, *humidity],
        }
    }

    /// Its value at row `at` of sampled columns.
    pub(super) fn value(&self, columns: &[Column], at: usize) -> f64 {
        let read = |of: &Address| {
            columns.iter().find(|c| c.address == *of).map_or(f64::NAN, |c| c.values[at])
        };
        match self {
            Compared::Column(of) => read(of),
            Compared::Sum(list) => list.iter().map(read).sum(),
            Compared::VapourPressure { temperature, humidity } => {
                vapour_pressure(read(temperature), read(humidity))
            }
        }
    }
}

/// Vapour pressure \[Pa\] of a sensor's readings in °C and %. At the standard pressure: readings and
/// model are turned alike, so that the 0.2 % that another one makes fall out.
pub(super) fn vapour_pressure(temp_c: f64, humidity_pct: f64) -> f64 {
    0.01 * humidity_pct * saturation_in_air_pa(k_from_c(temp_c), STANDARD_PRESSURE)
}

/// An error that readings share: one unknown number for all of them, which no averaging makes
/// smaller.
#[derive(Clone, Debug, PartialEq)]
pub struct Common {
    /// What it is. Errors of one name are one and the same, in other series and other runs too.
    pub name: String,
    /// What each reading has too much of, in its unit, where the error is one standard uncertainty.
    pub by: Vec<f64>,
}

/// An input of a run that is known with an uncertainty, such as the temperature of its room.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// What it is; see [`Common::name`].
    pub name: String,
    /// Assignments that make it larger by one standard uncertainty.
    pub sets: Vec<(String, String)>,
}

/// A start of a run that is not certain among the times of its readings, as by a clock read to the
/// minute.
#[derive(Clone, Debug, PartialEq)]
pub struct Start {
    /// Standard uncertainty \[s\].
    pub u_s: f64,
    /// Assignments if it was later by that: what happened by the clock then came sooner after it.
    pub if_later: Vec<(String, String)>,
    /// Assignments if it was earlier by that.
    pub if_earlier: Vec<(String, String)>,
}

/// One observed quantity of a run: readings over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Observed {
    /// What the data call it.
    pub name: String,
    /// What it is compared with.
    pub target: Compared,
    /// Unit of the values.
    pub unit: String,
    /// Times since the start of the run \[s\], rising.
    pub times_s: Vec<f64>,
    /// Readings.
    pub values: Vec<f64>,
    /// Standard uncertainty of each.
    pub u: Vec<f64>,
    /// Standard uncertainty of the time of each \[s\], as of a clock noted to the minute.
    pub clock_s: f64,
    /// Time over which the noise forgets itself \[s\]; zero for white noise, none if the residuals
    /// shall tell.
    pub correlation_s: Option<f64>,
    /// Errors that these readings share.
    pub common: Vec<Common>,
    /// Readings that are sums of the model's values at several moments, such as a mean or a
    /// difference: times \[s\] and factors of each reading. Without, each is the value at its time.
    pub moments: Option<Vec<Vec<(f64, f64)>>>,
}

impl Observed {
    /// Usable readings: finite, with a finite uncertainty above zero, not before the start and not
    /// after `end_s`.
    #[must_use]
    pub fn usable(&self, end_s: f64) -> Observed {
        let good = |i: &usize| {
            let (t, v, u) = (self.times_s[*i], self.values[*i], self.u[*i]);
            let inside = |t: f64| t >= 0.0 && t <= end_s;
            let all = self.moments.as_ref().is_none_or(|m| m[*i].iter().all(|(t, _)| inside(*t)));
            v.is_finite() && u.is_finite() && u > 0.0 && inside(t) && all
        };
        let kept: Vec<usize> = (0..self.values.len()).filter(good).collect();
        let pick = |from: &[f64]| -> Vec<f64> { kept.iter().map(|i| from[*i]).collect() };
        Observed {
            times_s: pick(&self.times_s),
            values: pick(&self.values),
            u: pick(&self.u),
            common: self.common.iter().map(|c| Common { by: pick(&c.by), ..c.clone() }).collect(),
            moments: self.moments.as_ref().map(|m| kept.iter().map(|i| m[*i].clone()).collect()),
            ..self.clone()
        }
    }

    /// Times \[s\] of the model that reading `i` needs, with their factors.
    pub(super) fn moments_of(&self, i: usize) -> Vec<(f64, f64)> {
        self.moments.as_ref().map_or_else(|| vec![(self.times_s[i], 1.0)], |m| m[i].clone())
    }

    /// Errors of the instrument behind these readings, each with its standard uncertainty `u`: one
    /// that stays as it is, unless `calibrated`, and one that drifts, linearly over the run.
    #[must_use]
    pub fn by_instrument(self, instrument: &str, calibrated: bool) -> Observed {
        let stays = self.u.clone();
        let drifts = drift(&self.times_s).iter().zip(&self.u).map(|(d, u)| d * u).collect();
        let mut common = vec![Common { name: format!("{instrument}: drift"), by: drifts }];
        if !calibrated {
            common.push(Common { name: Self::offset_of(instrument), by: stays });
        }
        Observed { common, ..self }
    }

    /// What the offset of an instrument is called.
    pub(super) fn offset_of(instrument: &str) -> String {
        format!("{instrument}: offset")
    }

    /// The same quantity as if it were read at the times of `grid`. Means over moments of their own
    /// cannot be: they are asked where they were read.
    pub(super) fn along(&self, grid: &[f64]) -> Observed {
        let blank = |times_s: Vec<f64>, moments| Observed {
            values: vec![0.0; times_s.len()],
            u: vec![1.0; times_s.len()],
            times_s,
            moments,
            common: Vec::new(),
            ..self.clone()
        };
        let Some(all) = &self.moments else { return blank(grid.to_vec(), None) };
        // A difference: the value at its time less what it was at moments common to all.
        let split = all.iter().zip(&self.times_s).map(|(m, t)| match m.split_first() {
            Some((own, rest)) if *own == (*t, 1.0) => Some(rest),
            _ => None,
        });
        let rests: Option<Vec<&[(f64, f64)]>> = split.collect();
        match rests.as_deref() {
            Some([first, others @ ..]) if others.iter().all(|o| o == first) => {
                let from = first.iter().map(|(t, _)| *t).fold(0.0, f64::max);
                let times: Vec<f64> = grid.iter().copied().filter(|t| *t >= from).collect();
                let moments = times.iter().map(|t| [&[(*t, 1.0)], *first].concat()).collect();
                blank(times, Some(moments))
            }
            _ => {
                let good = self.usable(f64::INFINITY);
                Observed { values: vec![0.0; good.values.len()], ..good }
            }
        }
    }

    /// Independent data among them by the stated correlation time: a first-order process forgets
    /// itself by `exp(-dt/tau)` from reading to reading.
    #[must_use]
    pub fn effective(&self) -> f64 {
        let n = self.values.len();
        let span = self.times_s.last().zip(self.times_s.first()).map_or(0.0, |(b, a)| b - a);
        match self.correlation_s {
            Some(tau) if tau > 0.0 && n > 1 => {
                effective_count(n, (-span / (n - 1) as f64 / tau).exp())
            }
            _ => n as f64,
        }
    }

    /// The same, by the residuals where nobody said how slow the noise is.
    pub(super) fn independent(&self, check: &Check) -> f64 {
        if self.correlation_s.is_some() { self.effective() } else { check.effective }
    }
}

/// One measured run.
#[derive(Clone, Debug, Default)]
pub struct RunData {
    /// What messages call it.
    pub name: String,
    /// The box of this run, if it has one of its own.
    pub scenario: Option<Source>,
    /// What to type if temperatures turn out to be in Fahrenheit.
    pub fahrenheit_hint: String,
    /// Assignments that make the scenario this run's: room, logged heater, start.
    pub sets: Vec<(String, String)>,
    /// Readings.
    pub observed: Vec<Observed>,
    /// Its start, if that is not certain.
    pub start: Option<Start>,
    /// Inputs with an uncertainty. A value that its scenario states with a ± is one without being
    /// here.
    pub inputs: Vec<Input>,
}

/// Drift of an instrument over a run, either way, in its standard uncertainty. Our choice: a data
/// sheet does not tell drift from offset; so the error at the end correlates by 0.6 with that at the
/// start.
const DRIFT: f64 = 0.5;

/// Drift at each time, from minus to plus: none in the middle of the run.
pub(super) fn drift(times_s: &[f64]) -> Vec<f64> {
    let (first, last) = (times_s.first().copied(), times_s.last().copied());
    let (Some(first), Some(last)) = (first, last) else { return Vec::new() };
    let span = if last > first { last - first } else { 1.0 };
    times_s.iter().map(|t| DRIFT * (2.0 * (t - first) / span - 1.0)).collect()
}

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
    /// Standard uncertainty of the start, where that is a value known beforehand: it then counts as
    /// one more reading of the path itself.
    pub prior: Option<f64>,
    /// Whether nobody typed the bounds, so that what the box accepts may narrow them.
    pub open: bool,
}

impl Default for FreePath {
    fn default() -> Self {
        let (path, kind, start) = (String::new(), Kind::Number, 0.0);
        let (low, high) = (f64::NEG_INFINITY, f64::INFINITY);
        FreePath { path, kind, start, low, high, per_run: false, prior: None, open: false }
    }
}

/// What one reading of a series counts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weight {
    /// Effective over real number of readings.
    pub(super) independent: f64,
}

impl Weight {
    pub(super) fn of(o: &Observed) -> Self {
        Weight { independent: o.effective() / o.values.len().max(1) as f64 }
    }

    /// Factor on the misfit in its stated uncertainty, of a reading whose time makes it uncertain by
    /// `clock` times that.
    pub(super) fn factor(&self, clock: f64) -> f64 {
        self.independent.sqrt() / clock.hypot(1.0)
    }
}
