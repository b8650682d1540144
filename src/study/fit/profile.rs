//! Profile likelihood: how far one parameter can go while all others make up for it.

use rayon::prelude::*;

use super::least_squares::lowest;
use super::{Fit, Known, Parameter, Problem, SearchOptions};

/// One end of an interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Side {
    /// The data end it here.
    At(f64),
    /// The data allow everything up to the bound, which is here.
    Bound(f64),
    /// It could not be found.
    Unknown,
}

/// A 95 % interval of one parameter.
#[derive(Clone, Debug, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: Side,
    /// Upper end.
    pub high: Side,
    /// Places visited from the lowest to the highest, each with the rise of chi-square there in
    /// units of the enlarged uncertainties.
    pub trace: Vec<(f64, f64)>,
    /// A better optimum met on the way: the fit it belongs to was not the best.
    pub better: Option<Vec<f64>>,
}

/// Rise of the misfit's root, in coverage factors, that is close enough to the end.
const CLOSE: f64 = 0.01;

/// Most fits on the way to one end.
const MOST_FITS: usize = 25;

/// Longest single stride and farthest place, in first strides.
const STRIDES: (f64, f64) = (4.0, 1e4);

/// Fall of chi-square that counts as a better optimum, in units of the enlarged uncertainties.
const BETTER: f64 = 0.05;

/// Profile-likelihood interval of each parameter, in parallel.
///
/// The end lies where chi-square, minimised over the others, has risen by the square of the
/// coverage factor (3.84 for stated uncertainties).
///
/// # Errors
/// None by itself; a side that cannot be found is [`Side::Unknown`].
pub fn profile<P: Problem + ?Sized>(
    problem: &P,
    parameters: &[Parameter],
    found: &Fit,
    known: &Known,
    options: &SearchOptions,
) -> Vec<Interval> {
    let one = |i: usize| {
        let path = Path { problem, parameters, found, known, options, i };
        let mut trace = vec![(found.values[i], 0.0)];
        let (low, better_low) = path.end(-1.0, &mut trace);
        let (high, better_high) = path.end(1.0, &mut trace);
        trace.sort_by(|a, b| a.0.total_cmp(&b.0));
        Interval { low, high, trace, better: better_low.or(better_high) }
    };
    (0..parameters.len()).into_par_iter().map(one).collect()
}

struct Path<'a, P: ?Sized> {
    problem: &'a P,
    parameters: &'a [Parameter],
    found: &'a Fit,
    known: &'a Known,
    options: &'a SearchOptions,
    i: usize,
}

/// The fit with one parameter held: its root of the rise, in standard units, and its parameters.
type Held = (f64, Vec<f64>);

impl<P: Problem + ?Sized> Path<'_, P> {
    fn end(&self, sign: f64, trace: &mut Vec<(f64, f64)>) -> (Side, Option<Vec<f64>>) {
        let parameter = &self.parameters[self.i];
        let bound = if sign < 0.0 { parameter.low } else { parameter.high };
        let here = self.found.values[self.i];
        if here == bound {
            return (Side::Bound(bound), None);
        }
        let goal = self.known.coverage_factor;
        // Two points that the end lies between, each with its root; the root is nearly straight.
        let (mut near, mut far): ((f64, Held), Option<(f64, Held)>) =
            ((here, (0.0, self.found.values.clone())), None);
        let stride = goal * self.first_sigma();
        let mut ahead = stride;
        for _ in 0..MOST_FITS {
            let at = match &far {
                Some((x, (z, _))) => between(near.0, near.1.0, *x, *z, goal),
                None => near.0 + sign * ahead,
            };
            let at = if sign < 0.0 { at.max(bound) } else { at.min(bound) };
            let Some(held) = self.held(at, &self.along(at - near.0, &near.1.1)) else {
                // The model has no answer there: come nearer.
                ahead *= 0.25;
                if ahead < 1e-3 * stride || far.is_some() {
                    return (Side::Unknown, None);
                }
                continue;
            };
            if held.0.is_nan() {
                return (Side::Unknown, Some(held.1));
            }
            trace.push((at, held.0.powi(2)));
            if (held.0 - goal).abs() <= CLOSE * goal {
                return (Side::At(at), None);
            }
            if held.0 > goal {
                far = Some((at, held));
                continue;
            }
            if at == bound {
                return (Side::Bound(bound), None);
            }
            // Onwards by what is missing, at most a few times as far as so far.
            let gone = (at - here).abs();
            let wanted = gone * (goal / held.0.max(1e-9) - 1.0);
            ahead = wanted.clamp(0.1 * gone, STRIDES.0 * gone);
            near = (at, held);
            if gone > STRIDES.1 * stride {
                return (Side::Unknown, None);
            }
        }
        (far.map_or(Side::Unknown, |(x, _)| Side::At(0.5 * (x + near.0))), None)
    }

    /// A first guess of the standard error: as known, or as if all others were known, or a share of
    /// the range.
    fn first_sigma(&self) -> f64 {
        let parameter = &self.parameters[self.i];
        let size = parameter.typical(self.found.values[self.i]);
        let guess = self.known.standard_error[self.i].or(self.known.alone[self.i]);
        let column = self.found.jacobian.column(self.i).norm();
        let guess = guess.or((column > 0.0).then(|| self.known.enlarged / column));
        let range = parameter.high - parameter.low;
        let most = if range.is_finite() { range } else { 100.0 * size };
        guess.unwrap_or(most).min(most)
    }

    /// Where the others stand if they follow this one by the covariance.
    fn along(&self, by: f64, from: &[f64]) -> Vec<f64> {
        let own = self.known.covariance[(self.i, self.i)];
        let follow = |(k, v): (usize, &f64)| {
            let q = &self.parameters[k];
            let slope = if own > 0.0 { self.known.covariance[(k, self.i)] / own } else { 0.0 };
            (v + slope * by).clamp(q.low, q.high)
        };
        from.iter().enumerate().map(follow).collect()
    }

    /// Fits the others with this one held at `value`; the root is not a number if that beats the
    /// optimum itself.
    fn held(&self, value: f64, from: &[f64]) -> Option<Held> {
        let rest: Vec<usize> = (0..self.parameters.len()).filter(|k| *k != self.i).collect();
        let all = |part: &[f64]| {
            let mut p = from.to_vec();
            p[self.i] = value;
            rest.iter().zip(part).for_each(|(k, v)| p[*k] = *v);
            p
        };
        let (chi2, p) = if rest.is_empty() {
            let p = all(&[]);
            (super::sum_of_squares(&self.problem.residuals(&p).ok()?), p)
        } else {
            let held = HeldProblem { problem: self.problem, all: &all };
            let start = |k: &usize| Parameter { start: from[*k], ..self.parameters[*k].clone() };
            let parameters: Vec<Parameter> = rest.iter().map(start).collect();
            let options = SearchOptions { offset: self.options.offset.max(1e-2), ..*self.options };
            let (part, chi2) = lowest(&held, &parameters, &options).ok()?;
            (chi2, all(&part))
        };
        let rise = (chi2 - self.found.chi2) / self.known.enlarged.powi(2);
        if rise < -BETTER {
            return Some((f64::NAN, p));
        }
        rise.is_finite().then(|| (rise.max(0.0).sqrt(), p))
    }
}

/// Where a straight line between two roots meets the goal, kept off both ends.
fn between(x0: f64, z0: f64, x1: f64, z1: f64, goal: f64) -> f64 {
    let share = ((goal - z0) / (z1 - z0)).clamp(0.05, 0.95);
    x0 + share * (x1 - x0)
}

struct HeldProblem<'a, P: ?Sized, F> {
    problem: &'a P,
    all: &'a F,
}

impl<P: Problem + ?Sized, F: Fn(&[f64]) -> Vec<f64> + Sync> Problem for HeldProblem<'_, P, F> {
    fn count(&self) -> usize {
        self.problem.count()
    }

    fn residuals(&self, p: &[f64]) -> Result<Vec<f64>, String> {
        self.problem.residuals(&(self.all)(p))
    }
}
