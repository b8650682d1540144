//! Values with standard uncertainties: the law of propagation of uncertainty, and sampling where
//! that fails. Knows nothing of air or boxes.
//!
//! Words and formulas are those of the Guide to the expression of uncertainty in measurement
//! (\[JCGM100\]) and of its supplement on sampling (\[JCGM101\]); both from memory, their worked
//! examples checked in `tests/gum.rs`.
//!
//! ```
//! use drybench::uncertainty::{Estimate, propagate};
//!
//! let (a, b) = (Estimate::new(3.0, 0.3), Estimate::new(4.0, 0.4));
//! let sum = propagate(&[a, b], |x| x[0] + x[1]).estimate;
//! assert!((sum.value - 7.0).abs() < 1e-12 && (sum.standard - 0.5).abs() < 1e-9);
//! ```

mod estimate;
mod propagate;
mod sample;
mod series;

pub use estimate::{COVERAGE_FACTOR, Estimate};
pub use propagate::{Propagated, propagate, propagate_correlated};
pub use sample::{Distribution, Input, Sampled, sample};
pub use series::{mean_of_repeats, mean_of_series};

use serde::Serialize;

/// How an uncertainty was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// No uncertainty: a value of a model, or by definition.
    Exact,
    /// The law of propagation of uncertainty.
    Propagation,
    /// Sampling of the inputs.
    Sampling,
    /// An interval between two observations, of which nothing inside was seen.
    Censoring,
    /// The scatter of repeated readings.
    Scatter,
}

/// Seed of every sampling: same inputs, same numbers.
const SEED: u64 = 0x6472_7962_656e_6368;
/// Draws of a sampling: the ends of a 95 % interval are then known to about 1 % of its width.
const DRAWS: usize = 20_000;
/// Largest difference of the two methods' standard uncertainties, as a share, at which the law of
/// propagation is believed. \[JCGM101\] compares ends of intervals to one or two digits of u.
const AGREE: f64 = 0.05;

/// A value of a function of uncertain inputs, with whichever method is right for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Evaluated {
    /// Value and standard uncertainty.
    pub estimate: Estimate,
    /// Interval that holds 95 % of what the inputs allow.
    pub interval: (f64, f64),
    /// How it was found.
    pub method: Method,
}

/// Propagates, checks by sampling that the function is straight enough for that, and keeps the
/// sampled result if it is not. Inputs are normal and independent. `None` where the function has
/// no finite value.
#[must_use]
pub fn evaluate(inputs: &[Estimate], function: impl Fn(&[f64]) -> f64) -> Option<Evaluated> {
    let propagated = propagate(inputs, &function);
    let drawn: Vec<Input> = inputs.iter().map(|e| Input::normal(*e)).collect();
    let estimate = propagated.estimate;
    let half = COVERAGE_FACTOR * estimate.standard;
    let plain = Evaluated {
        estimate,
        interval: (estimate.value - half, estimate.value + half),
        method: if estimate.standard == 0.0 { Method::Exact } else { Method::Propagation },
    };
    if estimate.value.is_finite() && inputs.iter().all(|e| e.standard == 0.0) {
        return Some(plain);
    }
    let sampled = sample(&drawn, &function, DRAWS, SEED);
    let Some(sampled) = sampled else { return estimate.value.is_finite().then_some(plain) };
    let off = (sampled.standard - estimate.standard).abs();
    let shifted = (sampled.mean - estimate.value).abs();
    let straight = estimate.value.is_finite()
        && off <= AGREE * sampled.standard
        && shifted <= AGREE * sampled.standard + f64::EPSILON * estimate.value.abs();
    if straight {
        return Some(plain);
    }
    Some(Evaluated {
        estimate: Estimate { value: sampled.mean, standard: sampled.standard, ..estimate },
        interval: sampled.interval,
        method: Method::Sampling,
    })
}

/// As [`evaluate`], for inputs whose errors may have one cause (sensors of one kind, in one box): how far they
/// go together is not known, so that their contributions are added, which is the most that any correlation
/// makes of them (\[JCGM100\], 5.2.2). The inputs are moved together by twice their uncertainties, each to the
/// side that moves the value more; where that leads out of the function's domain, they are sampled.
#[must_use]
pub fn evaluate_together(
    inputs: &[Estimate],
    function: impl Fn(&[f64]) -> f64,
) -> Option<Evaluated> {
    let plain = propagate(inputs, &function);
    let ends = [-COVERAGE_FACTOR, COVERAGE_FACTOR].map(|k| {
        let moved = inputs.iter().zip(&plain.slopes);
        let moved: Vec<f64> = moved.map(|(e, c)| e.value + k * c.signum() * e.standard).collect();
        function(&moved)
    });
    let value = plain.estimate.value;
    let half = ends.iter().map(|end| (end - value).abs()).fold(0.0, f64::max);
    if !(value.is_finite() && ends.iter().all(|end| end.is_finite())) {
        return evaluate(inputs, function);
    }
    let estimate = Estimate::new(value, half / COVERAGE_FACTOR);
    let method = if half == 0.0 { Method::Exact } else { Method::Propagation };
    Some(Evaluated { estimate, interval: (value - half, value + half), method })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_function_is_propagated_and_a_bent_one_is_sampled() {
        let inputs = [Estimate::new(10.0, 0.1), Estimate::new(2.0, 0.05)];
        let straight = evaluate(&inputs, |x| 3.0 * x[0] - x[1]).unwrap();
        assert_eq!(straight.method, Method::Propagation);
        assert!((straight.estimate.standard - (0.09_f64 + 0.0025).sqrt()).abs() < 1e-9);
        // x² about zero has no slope there: propagation would say u = 0.
        let bent = evaluate(&[Estimate::new(0.0, 1.0)], |x| x[0] * x[0]).unwrap();
        assert_eq!(bent.method, Method::Sampling);
        // mean 1, standard deviation sqrt(2) of a chi-squared variable with one degree of freedom
        assert!((bent.estimate.value - 1.0).abs() < 0.05, "{bent:?}");
        assert!((bent.estimate.standard - 2.0_f64.sqrt()).abs() < 0.1, "{bent:?}");
        assert!(bent.interval.0 >= 0.0);
    }

    #[test]
    fn errors_of_one_cause_add_up() {
        let inputs = [Estimate::new(10.0, 0.1), Estimate::new(2.0, 0.05)];
        let sum = evaluate_together(&inputs, |x| 3.0 * x[0] - x[1]).unwrap();
        assert!((sum.estimate.standard - 0.35).abs() < 1e-12, "{sum:?}");
        assert_eq!(
            evaluate_together(&[Estimate::exact(4.0)], |x| x[0].sqrt()).unwrap().method,
            Method::Exact
        );
    }

    #[test]
    fn exact_inputs_give_an_exact_value_and_nonsense_gives_none() {
        let exact = evaluate(&[Estimate::exact(4.0)], |x| x[0].sqrt()).unwrap();
        assert_eq!((exact.estimate.value, exact.method), (2.0, Method::Exact));
        assert_eq!(evaluate(&[Estimate::new(-4.0, 0.1)], |x| x[0].sqrt()), None);
    }
}
