//! Derivatives of the residuals by central differences that are checked against their own halves.

use nalgebra::DMatrix;
use rayon::prelude::*;

use super::{FitError, Parameter, Problem};

/// Disagreement between a difference and the one of half its step that calls for a warning. Our
/// choice: standard errors are then still right to about a percent.
const DOUBTFUL: f64 = 0.02;

/// Margin over the noise of a difference below which a column counts as zero: the noise grows with
/// the model's answers, which may exceed the residuals by so much.
const QUIET: f64 = 100.0;

/// Steps tried against the first one when that disagrees with its half.
const OTHER_STEPS: [f64; 2] = [1.0 / 16.0, 16.0];

/// A column of the derivatives that did not settle.
#[derive(Clone, Debug, PartialEq)]
pub struct SlopeDoubt {
    /// Number of the parameter.
    pub parameter: usize,
    /// Relative change of the column when the step was halved.
    pub change: f64,
}

/// Derivatives of all residuals: one row per residual, one column per parameter.
#[derive(Clone, Debug)]
pub struct Jacobian {
    /// The derivatives.
    pub matrix: DMatrix<f64>,
    /// Columns whose difference did not settle.
    pub doubts: Vec<SlopeDoubt>,
}

/// Step of the differences, relative to the size of a parameter: truncation falls with its fourth
/// power once halves are compared, noise grows with its inverse.
fn relative_step(noise: f64) -> f64 {
    noise.powf(0.25)
}

/// Derivatives at `p`, where the residuals are `r`, for a model known to a relative `noise`.
///
/// Each column is a central difference (one-sided of second order where a bound is in the way).
/// If `checked`, the step is halved, both are compared and extrapolated; where they disagree other
/// steps are tried and the best is kept. A parameter whose whole size moves the residuals by no more
/// than the noise of a difference, with a margin, has a column of zeros.
///
/// # Errors
/// [`FitError::NoSlope`] where the model has no answer on either side.
pub fn jacobian<P: Problem + ?Sized>(
    problem: &P,
    parameters: &[Parameter],
    p: &[f64],
    r: &[f64],
    noise: f64,
    checked: bool,
) -> Result<Jacobian, FitError> {
    let column = |i: usize| {
        let at = Point { problem, parameter: &parameters[i], i, p, r };
        let step = relative_step(noise) * parameters[i].typical(p[i]);
        if checked { at.settled(step) } else { at.difference(step).map(|c| (c, 0.0)) }
    };
    let columns: Result<Vec<_>, _> = (0..p.len()).into_par_iter().map(column).collect();
    let columns = columns?;
    let mut matrix = DMatrix::zeros(r.len(), p.len());
    let mut doubts = Vec::new();
    let quiet = QUIET * noise / relative_step(noise) * norm(r);
    for (i, (values, change)) in columns.iter().enumerate() {
        if norm(values) * parameters[i].typical(p[i]) <= quiet {
            continue;
        }
        matrix.column_mut(i).copy_from_slice(values);
        if *change > DOUBTFUL {
            doubts.push(SlopeDoubt { parameter: i, change: *change });
        }
    }
    Ok(Jacobian { matrix, doubts })
}

/// One parameter at one point.
struct Point<'a, P: ?Sized> {
    problem: &'a P,
    parameter: &'a Parameter,
    i: usize,
    p: &'a [f64],
    r: &'a [f64],
}

impl<P: Problem + ?Sized> Point<'_, P> {
    /// Residuals with the parameter moved.
    fn moved(&self, by: f64) -> Result<Vec<f64>, String> {
        let mut p = self.p.to_vec();
        p[self.i] += by;
        let r = self.problem.residuals(&p)?;
        if r.iter().all(|x| x.is_finite()) { Ok(r) } else { Err("not a number".into()) }
    }

    /// A difference of second order with this step.
    fn difference(&self, step: f64) -> Result<Vec<f64>, FitError> {
        let value = self.p[self.i];
        // What is really added to the number, not what was meant.
        let step = (value + step) - value;
        let room = (value - self.parameter.low, self.parameter.high - value);
        if room.0 >= step
            && room.1 >= step
            && let (Ok(up), Ok(down)) = (self.moved(step), self.moved(-step))
        {
            return Ok(combine(&up, &down, |u, d| (u - d) / (2.0 * step)));
        }
        // Towards the side with more room first.
        let first = if room.1 >= room.0 { step } else { -step };
        let one = self.one_sided(first);
        let either =
            one.or_else(|e| if room.0.min(room.1) > 0.0 { self.one_sided(-first) } else { Err(e) });
        either.map_err(|why| FitError::NoSlope { name: self.parameter.name.clone(), value, why })
    }

    fn one_sided(&self, step: f64) -> Result<Vec<f64>, String> {
        let value = self.p[self.i];
        let room =
            if step > 0.0 { self.parameter.high - value } else { value - self.parameter.low };
        let step = if room < 2.0 * step.abs() { step.signum() * 0.5 * room } else { step };
        if step == 0.0 {
            return Err("its bounds leave no room".into());
        }
        let (near, far) = (self.moved(step)?, self.moved(2.0 * step)?);
        let ends = combine(&near, &far, |n, f| 4.0 * n - f);
        Ok(combine(&ends, self.r, |e, r| (e - 3.0 * r) / (2.0 * step)))
    }

    /// The extrapolated difference that changes least when its step is halved, with that change.
    fn settled(&self, step: f64) -> Result<(Vec<f64>, f64), FitError> {
        let mut best = self.halved(step)?;
        if best.1 > DOUBTFUL {
            for factor in OTHER_STEPS {
                match self.halved(step * factor) {
                    Ok(other) if other.1 < best.1 => best = other,
                    _ => {}
                }
            }
        }
        Ok(best)
    }

    fn halved(&self, step: f64) -> Result<(Vec<f64>, f64), FitError> {
        let (whole, half) = (self.difference(step)?, self.difference(0.5 * step)?);
        let gap = combine(&whole, &half, |w, h| w - h);
        let size = norm(&half);
        let change = if size > 0.0 { norm(&gap) / size } else { 0.0 };
        // The error of second order cancels.
        Ok((combine(&half, &gap, |h, g| h - g / 3.0), change))
    }
}

fn norm(v: &[f64]) -> f64 {
    super::sum_of_squares(v).sqrt()
}

fn combine(a: &[f64], b: &[f64], f: impl Fn(f64, f64) -> f64) -> Vec<f64> {
    a.iter().zip(b).map(|(a, b)| f(*a, *b)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Curve;
    impl Problem for Curve {
        fn count(&self) -> usize {
            3
        }
        fn residuals(&self, p: &[f64]) -> Result<Vec<f64>, String> {
            if p[0] < 0.0 {
                return Err("negative".into());
            }
            Ok((1..=3).map(|k| (f64::from(k) * p[0]).exp() * p[1]).collect())
        }
    }

    fn slopes(p: &[f64], parameters: &[Parameter]) -> Jacobian {
        let r = Curve.residuals(p).expect("an answer");
        jacobian(&Curve, parameters, p, &r, f64::EPSILON, true).expect("slopes")
    }

    #[test]
    fn differences_are_right_to_ten_digits_inside_and_at_a_bound() {
        for low in [0.0, 0.5] {
            let parameters = [Parameter::between("a", 0.5, low, 3.0), Parameter::free("b", 2.0)];
            let j = slopes(&[0.5, 2.0], &parameters);
            for k in 1..=3 {
                let (kf, row) = (f64::from(k), k as usize - 1);
                let want = kf * (0.5 * kf).exp() * 2.0;
                assert!((j.matrix[(row, 0)] / want - 1.0).abs() < 1e-10, "low {low}, {k}");
                assert!((j.matrix[(row, 1)] / (0.5 * kf).exp() - 1.0).abs() < 1e-10);
            }
            assert!(j.doubts.is_empty());
        }
    }

    #[test]
    fn a_model_that_fails_on_one_side_still_has_a_slope() {
        let j = slopes(&[0.0, 2.0], &[Parameter::free("a", 0.0), Parameter::free("b", 2.0)]);
        assert!((j.matrix[(0, 0)] - 2.0).abs() < 1e-6);
    }

    #[test]
    fn a_kink_is_noticed() {
        struct Kink;
        impl Problem for Kink {
            fn count(&self) -> usize {
                1
            }
            fn residuals(&self, p: &[f64]) -> Result<Vec<f64>, String> {
                Ok(vec![if p[0] > 1.0001 { 5.0 * p[0] - 4.0 } else { p[0] }])
            }
        }
        let j = jacobian(&Kink, &[Parameter::free("a", 1.0)], &[1.0], &[1.0], 1e-16, false);
        assert!(j.expect("slopes").doubts.is_empty());
        let j = jacobian(&Kink, &[Parameter::free("a", 1.0)], &[1.0], &[1.0], 1e-15, true);
        // A smaller step settles on the near side of the kink.
        assert!((j.expect("slopes").matrix[(0, 0)] - 1.0).abs() < 1e-3);
    }
}
