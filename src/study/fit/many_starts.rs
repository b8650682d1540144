//! The same search from many starts, so that a local optimum does not pass for the best.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

use super::{Fit, FitError, Parameter, Problem, SearchOptions, fit};

/// Ratio of the bounds from which on starts are spread evenly in the logarithm.
const WIDE: f64 = 20.0;

/// Two optima are the same if their sums of squares differ by less than this part, or by less than
/// a hundredth in chi-square, which no interval can feel.
const SAME: (f64, f64) = (1e-6, 1e-2);

/// What many starts found.
#[derive(Clone, Debug)]
pub struct Starts {
    /// The best fit.
    pub best: Fit,
    /// Searches that ended at the best one.
    pub agreed: usize,
    /// Searches made.
    pub tried: usize,
}

/// Fits from the given start and from `more` others, drawn between the bounds with `seed`. A
/// parameter without two finite bounds keeps its start. The result does not depend on the number of
/// threads.
///
/// # Errors
/// That of the given start, if no search succeeds.
pub fn fit_from_many<P: Problem + ?Sized>(
    problem: &P,
    parameters: &[Parameter],
    options: &SearchOptions,
    more: usize,
    seed: u64,
) -> Result<Starts, FitError> {
    super::least_squares::check(problem, parameters)?;
    let search = |k: usize| {
        let mut moved = parameters.to_vec();
        if k > 0 {
            let mut dice = ChaCha8Rng::seed_from_u64(seed.wrapping_add(k as u64));
            moved.iter_mut().for_each(|p| p.start = somewhere(p, &mut dice));
        }
        fit(problem, &moved, options)
    };
    let found: Vec<Result<Fit, FitError>> = (0..=more).into_par_iter().map(search).collect();
    let good: Vec<&Fit> = found.iter().filter_map(|f| f.as_ref().ok()).collect();
    let best = good.iter().min_by(|a, b| a.chi2.total_cmp(&b.chi2)).map(|f| (*f).clone());
    let Some(best) = best else {
        // The given start is the first.
        return Err(found.into_iter().find_map(Result::err).unwrap_or(FitError::NothingFree));
    };
    let alike = (SAME.0 * best.chi2).max(SAME.1).max(options.near * options.near);
    let same = |f: &&&Fit| f.chi2 - best.chi2 <= alike;
    Ok(Starts { agreed: good.iter().filter(same).count(), tried: found.len(), best })
}

fn somewhere(p: &Parameter, dice: &mut ChaCha8Rng) -> f64 {
    if !p.low.is_finite() || !p.high.is_finite() {
        return p.start;
    }
    let share: f64 = dice.random();
    let value = if p.low > 0.0 && p.high / p.low > WIDE {
        p.low * (p.high / p.low).powf(share)
    } else {
        p.low + share * (p.high - p.low)
    };
    value.clamp(p.low, p.high)
}
