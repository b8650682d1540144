//! Bounded least squares, and how well its answer is known.
//!
//! The generic half knows no box: a [`Problem`] turns parameters into weighted residuals, each the
//! misfit of one datum over its standard uncertainty. [`fit`] finds the optimum, [`Known`] says how
//! well each parameter is known, [`profile()`] gives intervals that need no straight lines,
//! [`verdict()`] puts it into words, [`Check`] asks whether the model itself is right, [`rank`] says
//! which further measurement would tell most, and [`draw`] carries the uncertainty into predictions.
//!
//! Levenberg and Marquardt's method is written out here (`least_squares`), because the usual crate
//! knows no bounds, and a transform that hides them makes every derivative vanish where a bound is
//! met: a parameter at its bound could then not be told from one that the data do not see.

mod covariance;
mod differences;
mod importance;
mod least_squares;
mod linear;
mod many_starts;
mod planning;
mod prediction;
mod profile;
mod residual_checks;
mod verdict;

pub use covariance::{ErrorScale, Known};
pub use differences::{Jacobian, SlopeDoubt, jacobian};
pub use importance::{Sampled, sample};
pub use least_squares::{End, Fit, SearchOptions, fit};
pub use many_starts::{Starts, fit_from_many};
pub use planning::{Candidate, Gain, present, rank, rank_for};
pub use prediction::{Band, Score, bands, draw, score};
pub use profile::{Interval, Side, profile};
pub use residual_checks::{Check, chi2_probability, effective_count};
pub use verdict::{COMBINED, Finding, Standing, percent, verdict};

/// A parameter to be found.
#[derive(Clone, Debug, PartialEq)]
pub struct Parameter {
    /// What messages call it.
    pub name: String,
    /// Where the search begins.
    pub start: f64,
    /// Smallest value allowed; may be minus infinity.
    pub low: f64,
    /// Largest value allowed; may be infinite.
    pub high: f64,
    /// What counts as a change of its size where the value is no measure of that, as for a
    /// temperature reading.
    pub size: Option<f64>,
}

impl Parameter {
    /// A parameter without bounds.
    #[must_use]
    pub fn free(name: &str, start: f64) -> Self {
        Self { name: name.into(), start, low: f64::NEG_INFINITY, high: f64::INFINITY, size: None }
    }

    /// A parameter between bounds.
    #[must_use]
    pub fn between(name: &str, start: f64, low: f64, high: f64) -> Self {
        Self { name: name.into(), start, low, high, size: None }
    }

    /// A size against which changes of this parameter are judged when it stands at `value`.
    ///
    /// A parameter whose range holds zero, such as an offset, is judged by a share of its range,
    /// because its value says nothing about its size.
    #[must_use]
    pub fn typical(&self, value: f64) -> f64 {
        if let Some(size) = self.size {
            return size;
        }
        let range = self.high - self.low;
        let by_range = if self.low <= 0.0 && self.high >= 0.0 && range.is_finite() {
            TYPICAL_SHARE * range
        } else {
            0.0
        };
        let size = value.abs().max(by_range);
        if size > 0.0 { size } else { 1.0 }
    }
}

/// Share of the range that counts as the size of a parameter that may be zero. Our choice.
const TYPICAL_SHARE: f64 = 0.05;

/// What is fitted: parameters in, weighted residuals out.
pub trait Problem: Sync {
    /// Number of residuals.
    fn count(&self) -> usize;

    /// Weighted residuals, (model - datum) over its standard uncertainty, at parameters `p`.
    ///
    /// # Errors
    /// Words, where the model has no answer there. The search then turns back.
    fn residuals(&self, p: &[f64]) -> Result<Vec<f64>, String>;
}

/// Why there is no fit.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FitError {
    /// The parameters cannot be found from so few data.
    #[error(
        "{data} {} cannot give {free} parameter{}\n     free fewer parameters, or add data",
        if *data == 1 { "reading" } else { "data" },
        if *free == 1 { "" } else { "s" }
    )]
    TooFewData {
        /// Usable data.
        data: usize,
        /// Free parameters.
        free: usize,
    },
    /// Nothing to find.
    #[error("no parameter is free\n     name at least one")]
    NothingFree,
    /// The search would begin outside.
    #[error(
        "{name} starts at {start}, outside its bounds {low} to {high}\n     move the start or the bounds"
    )]
    StartOutside {
        /// Which.
        name: String,
        /// Its start.
        start: f64,
        /// Its lower bound.
        low: f64,
        /// Its upper bound.
        high: f64,
    },
    /// The model has no answer at the start.
    #[error("the model has no answer at the start values: {0}\n     choose other start values")]
    NoAnswer(String),
    /// The slopes of the model cannot be had.
    #[error(
        "the model has no answer on either side of {name} = {value}: {why}\n     narrow its bounds"
    )]
    NoSlope {
        /// Which parameter.
        name: String,
        /// Where.
        value: f64,
        /// Why.
        why: String,
    },
}

pub(crate) fn sum_of_squares(r: &[f64]) -> f64 {
    r.iter().map(|x| x * x).sum()
}
