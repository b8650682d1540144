//! Parameter sets drawn where the misfit is no parabola: proposals by the profiles, weighted by the
//! misfit itself, and drawn again by these weights (sampling and importance resampling).
//!
//! The distribution is that of parameters that are equally likely all over their bounds before
//! the data are seen. Proposals are drawn from Student's distribution, whose tails are wider, in the
//! logarithm of a parameter where its interval is more even there. A round that fits badly tells the
//! next one its mean and covariance.

use nalgebra::{DMatrix, DVector};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use serde::Serialize;
use statrs::distribution::{ContinuousCDF, Normal};

use super::{Fit, Interval, Known, Parameter, Problem, Side, sum_of_squares};

/// Parameter sets that are equally likely.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sampled {
    /// The sets; some are there more than once.
    pub sets: Vec<Vec<f64>>,
    /// Independent sets that they are worth.
    pub effective: f64,
    /// Sets of which the misfit was asked.
    pub tried: usize,
}

/// Departure of an end of an interval from that by the standard error, from which on normal draws
/// will not do. Our choice: bands are then right to about a tenth.
const CURVED: f64 = 0.1;

/// Sets in a round, and most rounds. Our choice.
const ROUND: (usize, usize) = (256, 3);

/// Sets handed back.
const KEPT: usize = 200;

/// Share of a round that must be effective for it to be the last one.
const GOOD: f64 = 0.3;

/// Degrees of freedom and widening of the proposals. Our choice.
const PROPOSAL: (f64, f64) = (5.0, 1.15);

/// Draws tried for each one that lies within the bounds.
const MOST_TRIES: usize = 200;

/// Draws sets of parameters if any interval says that a normal distribution would not do; none if it
/// would, or if nothing can be drawn. A parameter without a standard error keeps its value. Same seed,
/// same sets.
pub fn sample<P: Problem + ?Sized>(
    problem: &P,
    parameters: &[Parameter],
    found: &Fit,
    known: &Known,
    intervals: &[Interval],
    seed: u64,
) -> Option<Sampled> {
    let axes: Vec<Axis> = (0..parameters.len())
        .filter(|i| known.standard_error[*i].is_some())
        .map(|i| Axis::new(i, &parameters[i], found, known, intervals.get(i)))
        .collect();
    if !axes.iter().any(|a| a.curved) {
        return None;
    }
    let asked = Asked { problem, parameters, found, known, axes };
    let mut proposal = asked.first()?;
    let mut best: Option<(f64, Round)> = None;
    let mut tried = 0;
    for number in 0..ROUND.1 {
        let round = asked.round(&proposal, seed.wrapping_add(number as u64))?;
        tried += round.points.len();
        let effective = round.effective();
        let enough = effective >= GOOD * ROUND.0 as f64;
        let next = round.proposal();
        if best.as_ref().is_none_or(|b| effective > b.0) {
            best = Some((effective, round));
        }
        match next {
            Some(next) if !enough => proposal = next,
            _ => break,
        }
    }
    let (effective, round) = best?;
    Some(Sampled { sets: asked.drawn_again(&round, seed), effective, tried })
}

/// The coordinate of one parameter.
struct Axis {
    parameter: usize,
    /// Whether it is the logarithm.
    log: bool,
    centre: f64,
    sd: f64,
    curved: bool,
}

impl Axis {
    fn new(
        i: usize,
        q: &Parameter,
        found: &Fit,
        known: &Known,
        interval: Option<&Interval>,
    ) -> Self {
        let (value, k) = (found.values[i], known.coverage_factor);
        let sd = known.standard_error[i].unwrap_or(0.0);
        let straight = (value - k * sd, value + k * sd);
        // A bound cuts the distribution; what it would be beyond it the standard error says.
        let (low, high) = interval.map_or(straight, |x| {
            let at = |side, else_at| if let Side::At(v) = side { v } else { else_at };
            (at(x.low, straight.0), at(x.high, straight.1))
        });
        let off = |end: f64| ((end - value).abs() / (k * sd) - 1.0).abs() > CURVED;
        let cut = interval.is_some_and(|x| !matches!((x.low, x.high), (Side::At(_), Side::At(_))));
        let curved = cut || off(low) || off(high);
        let uneven = |a: f64, v: f64, b: f64| ((b - v) / (v - a)).ln().abs();
        let log = q.low > 0.0
            && low > 0.0
            && uneven(low.ln(), value.ln(), high.ln()) < uneven(low, value, high);
        let x = |v: f64| if log { v.ln() } else { v };
        let sd = ((x(high) - x(low)) / (2.0 * k)).abs();
        Axis { parameter: i, log, centre: x(value), sd, curved }
    }
}

/// Where sets are drawn from.
struct Proposal {
    centre: DVector<f64>,
    /// Lower root of the covariance, widened.
    root: DMatrix<f64>,
}

impl Proposal {
    fn new(centre: DVector<f64>, covariance: DMatrix<f64>) -> Option<Self> {
        let root = covariance.cholesky()?.l() * PROPOSAL.1;
        Some(Proposal { centre, root })
    }

    fn draw(&self, dice: &mut ChaCha8Rng) -> DVector<f64> {
        let normal = Normal::standard();
        let mut one = || normal.inverse_cdf(dice.random_range(1e-12..1.0));
        let z = DVector::from_fn(self.centre.len(), |_, _| one());
        // A sum of squares of as many normal numbers as there are degrees of freedom.
        let spread: f64 = (0..PROPOSAL.0 as usize).map(|_| one().powi(2)).sum::<f64>() / PROPOSAL.0;
        &self.centre + &self.root * z / spread.sqrt()
    }

    /// Logarithm of its density, less a constant.
    fn density(&self, x: &DVector<f64>) -> f64 {
        let d = self.centre.len() as f64;
        let Some(z) = self.root.solve_lower_triangular(&(x - &self.centre)) else {
            return f64::INFINITY;
        };
        -0.5 * (PROPOSAL.0 + d) * (z.norm_squared() / PROPOSAL.0).ln_1p()
    }
}

/// Drawn coordinates with their weights.
struct Round {
    points: Vec<DVector<f64>>,
    weights: Vec<f64>,
}

impl Round {
    fn effective(&self) -> f64 {
        1.0 / sum_of_squares(&self.weights)
    }

    /// A proposal with the mean and the covariance of this round.
    fn proposal(&self) -> Option<Proposal> {
        let n = self.points.first()?.len();
        let all = || self.points.iter().zip(&self.weights);
        let mean = all().fold(DVector::zeros(n), |sum, (x, w)| sum + x * *w);
        let mut covariance = DMatrix::zeros(n, n);
        for (x, w) in all() {
            let off = x - &mean;
            covariance += &off * off.transpose() * *w;
        }
        Proposal::new(mean, covariance)
    }
}

struct Asked<'a, P: ?Sized> {
    problem: &'a P,
    parameters: &'a [Parameter],
    found: &'a Fit,
    known: &'a Known,
    axes: Vec<Axis>,
}

impl<P: Problem + ?Sized> Asked<'_, P> {
    /// The proposal by the intervals, with the correlations of the fit.
    fn first(&self) -> Option<Proposal> {
        let n = self.axes.len();
        let r =
            |a: &Axis, b: &Axis| self.known.correlation(a.parameter, b.parameter).unwrap_or(0.0);
        let of = |i: usize, k: usize| {
            let (a, b) = (&self.axes[i], &self.axes[k]);
            // A hair below one keeps the root real.
            let r = if i == k { 1.0 } else { 0.999 * r(a, b) };
            r * a.sd * b.sd
        };
        let centre = DVector::from_fn(n, |i, _| self.axes[i].centre);
        Proposal::new(centre, DMatrix::from_fn(n, n, of))
    }

    /// All parameters at these coordinates, if within their bounds.
    fn values(&self, x: &DVector<f64>) -> Option<Vec<f64>> {
        let mut p = self.found.values.clone();
        for (axis, x) in self.axes.iter().zip(x.iter()) {
            let q = &self.parameters[axis.parameter];
            let value = if axis.log { x.exp() } else { *x };
            if !(q.low..=q.high).contains(&value) {
                return None;
            }
            p[axis.parameter] = value;
        }
        Some(p)
    }

    fn round(&self, proposal: &Proposal, seed: u64) -> Option<Round> {
        let mut dice = ChaCha8Rng::seed_from_u64(seed);
        let mut one = || {
            (0..MOST_TRIES).find_map(|_| {
                let x = proposal.draw(&mut dice);
                self.values(&x).map(|p| (x, p))
            })
        };
        let drawn: Vec<_> = (0..ROUND.0).map_while(|_| one()).collect();
        let of = |(x, p): &(DVector<f64>, Vec<f64>)| {
            let Ok(r) = self.problem.residuals(p) else { return f64::NEG_INFINITY };
            let rise = (sum_of_squares(&r) - self.found.chi2) / self.known.enlarged.powi(2);
            // Even in the parameter itself, not in its logarithm.
            let logs: f64 =
                self.axes.iter().zip(x.iter()).filter(|(a, _)| a.log).map(|(_, x)| x).sum();
            -0.5 * rise + logs - proposal.density(x)
        };
        let logs: Vec<f64> = drawn.par_iter().map(of).collect();
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = logs.iter().map(|l| (l - most).exp()).collect();
        let sum: f64 = weights.iter().sum();
        if !sum.is_finite() || sum == 0.0 {
            return None;
        }
        let weights = weights.iter().map(|w| w / sum).collect();
        Some(Round { points: drawn.into_iter().map(|d| d.0).collect(), weights })
    }

    /// Sets drawn by their weights, evenly, in an order that says nothing.
    fn drawn_again(&self, round: &Round, seed: u64) -> Vec<Vec<f64>> {
        let mut dice = ChaCha8Rng::seed_from_u64(seed);
        let first: f64 = dice.random();
        let (mut sets, mut sum) = (Vec::with_capacity(KEPT), 0.0);
        for (x, w) in round.points.iter().zip(&round.weights) {
            sum += w;
            while sets.len() < KEPT && (sets.len() as f64 + first) / KEPT as f64 <= sum {
                sets.extend(self.values(x));
            }
        }
        for i in (1..sets.len()).rev() {
            sets.swap(i, dice.random_range(0..=i));
        }
        sets
    }
}
