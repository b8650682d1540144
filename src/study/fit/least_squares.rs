//! The bounded search: Levenberg and Marquardt's damped steps, projected onto the bounds.
//!
//! A step solves `min |J d + r|^2 + lambda |D d|^2` by an orthogonal factorisation (never the normal
//! equations, which would square the condition), with D the lengths of the columns of J. A component that would
//! leave its bounds is put on the bound and the others are solved again. Damping follows the ratio of
//! the real to the foreseen gain. Sources: \[More1978\], \[Nielsen1999\].

use nalgebra::{DMatrix, DVector};

use super::differences::jacobian;
use super::linear::Linear;
use super::{FitError, Parameter, Problem, SlopeDoubt, sum_of_squares};

/// How the search goes about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SearchOptions {
    /// Relative noise of the model's answers: machine precision for a formula, the tolerance of the
    /// solver for a simulation.
    pub noise: f64,
    /// Most steps.
    pub most_steps: usize,
    /// The search ends when the residuals lie at right angles to all directions in which the model
    /// can move, to this ratio of lengths: the parameters are then wrong by about this part of
    /// their standard errors.
    pub offset: f64,
    /// The search ends too when three steps in a row gain less than this part of chi-square per degree
    /// of freedom: along a valley without a floor, where parameters cannot be told apart.
    pub gain: f64,
    /// A place where no step helps counts as the optimum up to this ratio of lengths, as in `offset`:
    /// what is left to gain is noise of the model.
    pub near: f64,
}

impl SearchOptions {
    /// For a formula known to machine precision.
    #[must_use]
    pub fn exact() -> Self {
        let noise = f64::EPSILON;
        Self { noise, most_steps: 2_000, offset: 1e-9, gain: 0.0, near: noise.powf(0.25) }
    }

    /// For simulations run to this relative tolerance.
    #[must_use]
    pub fn simulated(tolerance: f64) -> Self {
        let near = tolerance.powf(0.25);
        Self { noise: tolerance, most_steps: 100, offset: 1e-3, gain: 1e-3, near }
    }

    /// For simulations of a box that switches by itself: its answers jump a little as the moments of
    /// switching pass those of the readings, so slopes need wide steps, and an optimum can be found
    /// to a part of the standard errors only.
    #[must_use]
    pub fn self_switching(tolerance: f64) -> Self {
        Self { near: NEAR_RAGGED, ..Self::simulated(tolerance) }
    }
}

/// Part of their standard errors to which parameters of a ragged misfit are found. Our choice: in
/// quadrature it adds an eighth.
const NEAR_RAGGED: f64 = 0.5;

/// Why a search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// An optimum: no direction is left in which the fit gets better.
    Optimum,
    /// No step makes it better, though the slopes say that one should: the model is ragged there.
    Ragged,
    /// The steps ran out.
    StepsRanOut,
}

/// The end of a search.
#[derive(Clone, Debug)]
pub struct Fit {
    /// The parameters.
    pub values: Vec<f64>,
    /// Weighted residuals there.
    pub residuals: Vec<f64>,
    /// Sum of their squares.
    pub chi2: f64,
    /// Checked derivatives there.
    pub jacobian: DMatrix<f64>,
    /// Columns of them that did not settle.
    pub doubts: Vec<SlopeDoubt>,
    /// Width of the range that each parameter was allowed, infinite where a bound is missing.
    pub ranges: Vec<f64>,
    /// Which parameters stand at a bound and press against it: -1 the lower, 1 the upper, 0 none.
    pub at_bound: Vec<i8>,
    /// Steps taken.
    pub steps: usize,
    /// Why it ended.
    pub end: End,
}

/// Smallest and largest damping; beyond, a step is shorter than rounding.
const LAMBDA: (f64, f64) = (1e-15, 1e18);

/// Damping of the first step, relative to the lengths of the columns.
const FIRST_LAMBDA: f64 = 1e-3;

/// A step that changes no parameter by more than this part is none.
const NO_STEP: f64 = 1e-14;

/// Least share of the foreseen gain that makes a step worth taking \[More1978\].
const LEAST_GAIN: f64 = 1e-4;

/// Idle steps in a row that end a search.
const IDLE_STEPS: usize = 3;

/// Finds the parameters with the least sum of squares within their bounds.
///
/// # Errors
/// [`FitError`] when the question itself cannot be answered. A search that merely ends badly is
/// reported in [`Fit::end`].
pub fn fit<P: Problem + ?Sized>(
    problem: &P,
    parameters: &[Parameter],
    options: &SearchOptions,
) -> Result<Fit, FitError> {
    check(problem, parameters)?;
    let start: Vec<f64> = parameters.iter().map(|p| p.start).collect();
    let mut search = Search::new(problem, parameters, options, start)?;
    // The cheap derivatives lead there, the checked ones settle it.
    search.walk(false)?;
    search.walk(true)?;
    search.finish()
}

/// The least sum of squares and its place, without derivatives that are worth a standard error.
pub(super) fn lowest<P: Problem + ?Sized>(
    problem: &P,
    parameters: &[Parameter],
    options: &SearchOptions,
) -> Result<(Vec<f64>, f64), FitError> {
    check(problem, parameters)?;
    let start: Vec<f64> = parameters.iter().map(|p| p.start).collect();
    let mut search = Search::new(problem, parameters, options, start)?;
    search.walk(false)?;
    Ok((search.p, search.chi2))
}

/// What must hold before a search makes sense.
pub(super) fn check<P: Problem + ?Sized>(
    problem: &P,
    parameters: &[Parameter],
) -> Result<(), FitError> {
    if parameters.is_empty() {
        return Err(FitError::NothingFree);
    }
    if problem.count() < parameters.len() {
        return Err(FitError::TooFewData { data: problem.count(), free: parameters.len() });
    }
    for p in parameters {
        let inside = p.low < p.high && p.start >= p.low && p.start <= p.high;
        if !inside || !p.start.is_finite() {
            let (name, start, low, high) = (p.name.clone(), p.start, p.low, p.high);
            return Err(FitError::StartOutside { name, start, low, high });
        }
    }
    Ok(())
}

struct Search<'a, P: ?Sized> {
    problem: &'a P,
    parameters: &'a [Parameter],
    options: &'a SearchOptions,
    p: Vec<f64>,
    r: Vec<f64>,
    chi2: f64,
    lambda: f64,
    steps: usize,
    end: End,
    /// Longest columns of the derivatives so far.
    lengths: Vec<f64>,
}

impl<'a, P: Problem + ?Sized> Search<'a, P> {
    fn new(
        problem: &'a P,
        parameters: &'a [Parameter],
        options: &'a SearchOptions,
        p: Vec<f64>,
    ) -> Result<Self, FitError> {
        let r = problem.residuals(&p).map_err(FitError::NoAnswer)?;
        let chi2 = sum_of_squares(&r);
        if !chi2.is_finite() {
            return Err(FitError::NoAnswer("a residual is not a number".into()));
        }
        let lengths = vec![0.0; p.len()];
        let lambda = FIRST_LAMBDA;
        let (steps, end) = (0, End::StepsRanOut);
        Ok(Search { problem, parameters, options, p, r, chi2, lambda, steps, end, lengths })
    }

    /// Steps until there is no better place.
    fn walk(&mut self, checked: bool) -> Result<(), FitError> {
        self.end = End::StepsRanOut;
        let freedom = self.r.len().saturating_sub(self.p.len()).max(1) as f64;
        let mut idle = 0;
        while self.steps < self.options.most_steps {
            let j = self.slopes(checked)?.matrix;
            let bound = pressed(self.parameters, &self.p, &self.r, &j);
            let free: Vec<usize> = (0..self.p.len()).filter(|i| bound[*i] == 0).collect();
            let linear = Linear::new(&j, &self.r, &free);
            if linear.offset(self.r.len()) <= self.options.offset {
                self.end = End::Optimum;
                return Ok(());
            }
            for (length, column) in self.lengths.iter_mut().zip(j.column_iter()) {
                *length = column.norm().max(*length);
            }
            let before = self.chi2;
            if !self.step(&j, &free) {
                // Nothing gets better any more. That is an optimum if rounding is to blame: the
                // slopes foresee next to no gain, or next to no move.
                let near = linear.offset(self.r.len()) <= self.options.near;
                self.end =
                    if near || self.is_there(&linear, &free) { End::Optimum } else { End::Ragged };
                return Ok(());
            }
            self.steps += 1;
            let worthwhile = before - self.chi2 >= self.options.gain * self.chi2 / freedom;
            idle = if worthwhile { 0 } else { idle + 1 };
            if idle == IDLE_STEPS {
                self.end = End::Optimum;
                return Ok(());
            }
        }
        Ok(())
    }

    fn slopes(&self, checked: bool) -> Result<super::Jacobian, FitError> {
        let noise = self.options.noise;
        jacobian(self.problem, self.parameters, &self.p, &self.r, noise, checked)
    }

    /// Raises the damping until a step helps; false if none does.
    fn step(&mut self, j: &DMatrix<f64>, free: &[usize]) -> bool {
        let mut growth = 2.0;
        while self.lambda < LAMBDA.1 {
            let d = self.bounded_step(j, free);
            let moved = d.iter().zip(&self.p).any(|(d, p)| d.abs() > NO_STEP * p.abs());
            if !moved {
                self.lambda = FIRST_LAMBDA;
                return false;
            }
            let foreseen =
                self.chi2 - (j * &d + DVector::from_column_slice(&self.r)).norm_squared();
            let next: Vec<f64> = self.p.iter().zip(d.iter()).map(|(p, d)| p + d).collect();
            let next: Vec<f64> =
                next.iter().zip(self.parameters).map(|(v, q)| v.clamp(q.low, q.high)).collect();
            if let Some((r, chi2)) = self.better(&next) {
                let ratio = (self.chi2 - chi2) / foreseen;
                if ratio > LEAST_GAIN {
                    (self.p, self.r, self.chi2) = (next, r, chi2);
                    let factor = (1.0 - (2.0 * ratio - 1.0).powi(3)).max(1.0 / 3.0);
                    self.lambda = (self.lambda * factor).max(LAMBDA.0);
                    return true;
                }
            }
            self.lambda *= growth;
            growth *= 2.0;
        }
        self.lambda = FIRST_LAMBDA;
        false
    }

    /// Whether an undamped step would move the free parameters by noise only.
    fn is_there(&self, linear: &Linear, free: &[usize]) -> bool {
        let lengths: Vec<f64> = free.iter().map(|i| self.lengths[*i]).collect();
        let step = linear.damped(0.0, &lengths);
        let part = |(d, i): (&f64, &usize)| d.abs() / self.parameters[*i].typical(self.p[*i]);
        step.iter().zip(free).all(|pair| part(pair) <= self.options.noise.sqrt())
    }

    fn better(&self, p: &[f64]) -> Option<(Vec<f64>, f64)> {
        let r = self.problem.residuals(p).ok()?;
        let chi2 = sum_of_squares(&r);
        (chi2 < self.chi2).then_some((r, chi2))
    }

    /// The damped step; what would leave its bounds stops there, and the rest is solved again.
    fn bounded_step(&self, j: &DMatrix<f64>, free: &[usize]) -> DVector<f64> {
        let mut d = DVector::zeros(self.p.len());
        let mut left = free.to_vec();
        let mut r = self.r.clone();
        while !left.is_empty() {
            let lengths: Vec<f64> = left.iter().map(|i| self.lengths[*i]).collect();
            let part = Linear::new(j, &r, &left).damped(self.lambda, &lengths);
            let mut outside = Vec::new();
            for (k, &i) in left.iter().enumerate() {
                let q = &self.parameters[i];
                d[i] = part[k].clamp(q.low - self.p[i], q.high - self.p[i]);
                if d[i] != part[k] {
                    outside.push(i);
                }
            }
            if outside.is_empty() {
                break;
            }
            for i in &outside {
                let column = j.column(*i);
                r.iter_mut().zip(column.iter()).for_each(|(r, c)| *r += c * d[*i]);
            }
            left.retain(|i| !outside.contains(i));
        }
        d
    }

    fn finish(self) -> Result<Fit, FitError> {
        let slopes = self.slopes(true)?;
        let at_bound = pressed(self.parameters, &self.p, &self.r, &slopes.matrix);
        let ranges = self.parameters.iter().map(|q| q.high - q.low).collect();
        Ok(Fit {
            ranges,
            values: self.p,
            residuals: self.r,
            chi2: self.chi2,
            jacobian: slopes.matrix,
            doubts: slopes.doubts,
            at_bound,
            steps: self.steps,
            end: self.end,
        })
    }
}

/// Which parameters stand at a bound that the data would have them cross.
fn pressed(parameters: &[Parameter], p: &[f64], r: &[f64], j: &DMatrix<f64>) -> Vec<i8> {
    let slope = j.tr_mul(&DVector::from_column_slice(r));
    let one = |(i, q): (usize, &Parameter)| {
        if p[i] <= q.low && slope[i] > 0.0 {
            -1
        } else if p[i] >= q.high && slope[i] < 0.0 {
            1
        } else {
            0
        }
    };
    parameters.iter().enumerate().map(one).collect()
}
