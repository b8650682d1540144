//! How well the parameters are known, from the derivatives at the optimum.

use nalgebra::DMatrix;
use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

use super::{Fit, SearchOptions};

/// What is believed of the stated uncertainties of the data.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ErrorScale {
    /// They are right: chi-square judges the model.
    Stated,
    /// Only their ratios are: their size follows from the scatter of the residuals.
    Estimated,
    /// At least the stated size: enlarged where the residuals scatter more. The safe choice.
    AtLeastStated,
}

/// How well the parameters of a fit are known.
///
/// A parameter at its bound is held there: it has no standard error, and those of the others are
/// conditional on it.
#[derive(Clone, Debug)]
pub struct Known {
    /// Standard errors; none where the data do not give one.
    pub standard_error: Vec<Option<f64>>,
    /// Covariance; rows and columns without a standard error are zero.
    pub covariance: DMatrix<f64>,
    /// Inverse of the information along the directions that the data see, for stated uncertainties:
    /// times the gradient of a change of the residuals it gives what the parameters move by.
    pub seen: DMatrix<f64>,
    /// Standard error if all other parameters were known.
    pub alone: Vec<Option<f64>>,
    /// Factor on the stated uncertainties that the residuals call for, 1 if none.
    pub enlarged: f64,
    /// Data (effective) less fitted parameters.
    pub freedom: f64,
    /// Chi-square per degree of freedom, where there is a freedom.
    pub reduced_chi2: Option<f64>,
    /// Half width of a 95 % interval in standard errors.
    pub coverage_factor: f64,
    /// Directions that the data do not see, or not within the bounds: a standard error along one
    /// takes a parameter farther than its whole range. Each a unit vector over the parameters, scaled by
    /// the lengths of their columns.
    pub unseen: Vec<Vec<f64>>,
}

/// Share of a blind direction from which on a parameter counts as part of it.
const PART_OF: f64 = 0.01;

impl Known {
    /// From a fit with `effective` independent data.
    #[must_use]
    pub fn new(fit: &Fit, effective: f64, spread: ErrorScale, options: &SearchOptions) -> Self {
        let n = fit.values.len();
        let free: Vec<usize> = (0..n).filter(|i| fit.at_bound[*i] == 0).collect();
        let freedom = effective - free.len() as f64;
        let reduced_chi2 = (freedom >= 1.0).then(|| fit.chi2 / freedom);
        let (enlarged, by_residuals) = enlargement(reduced_chi2, spread);
        let lengths: Vec<f64> = free.iter().map(|i| fit.jacobian.column(*i).norm()).collect();
        let mut known = Known {
            standard_error: vec![None; n],
            covariance: DMatrix::zeros(n, n),
            seen: DMatrix::zeros(n, n),
            alone: vec![None; n],
            enlarged,
            freedom,
            reduced_chi2,
            coverage_factor: coverage_factor(freedom, by_residuals),
            unseen: Vec::new(),
        };
        let longest = lengths.iter().copied().fold(0.0, f64::max);
        if free.is_empty() || longest == 0.0 || !enlarged.is_finite() {
            known.unseen = free.iter().map(|i| unit(n, *i)).collect();
            return known;
        }
        known.fill(fit, &free, &lengths, options);
        known
    }

    /// Takes Student's factor, for data of which even the number is taken from the residuals.
    #[must_use]
    pub fn of_guessed_number(mut self) -> Self {
        self.coverage_factor = coverage_factor(self.freedom, true);
        self
    }

    fn fill(&mut self, fit: &Fit, free: &[usize], lengths: &[f64], options: &SearchOptions) {
        let n = fit.values.len();
        let mut scaled = fit.jacobian.select_columns(free);
        for (k, length) in lengths.iter().enumerate() {
            // A column of zeros stays one: its direction is unseen.
            scaled.column_mut(k).scale_mut(if *length > 0.0 { 1.0 / length } else { 0.0 });
        }
        let svd = scaled.svd(false, true);
        let Some(v_t) = svd.v_t else { return };
        let largest = svd.singular_values.max();
        // Below the noise of the derivatives a direction is as good as unseen.
        let least = largest * (options.noise.powf(0.75)).max(1e-13);
        let mut blind = vec![false; free.len()];
        let mut inverse = DMatrix::zeros(free.len(), free.len());
        for (s, row) in svd.singular_values.iter().zip(v_t.row_iter()) {
            if *s > least {
                let own = row.transpose() * row / (s * s);
                inverse += &own;
                let far = |(k, i): (usize, &usize)| {
                    lengths[k] > 0.0
                        && self.enlarged * row[k].abs() > fit.ranges[*i] * s * lengths[k]
                };
                if !free.iter().enumerate().any(far) {
                    for (a, &i) in free.iter().enumerate() {
                        for (b, &k) in free.iter().enumerate() {
                            if own[(a, b)] != 0.0 {
                                self.seen[(i, k)] += own[(a, b)] / (lengths[a] * lengths[b]);
                            }
                        }
                    }
                    continue;
                }
            }
            let mut direction = vec![0.0; n];
            for (k, i) in free.iter().enumerate() {
                direction[*i] = row[k];
                blind[k] |= row[k].abs() > PART_OF;
            }
            self.unseen.push(direction);
        }
        for (a, &i) in free.iter().enumerate() {
            if lengths[a] > 0.0 {
                self.alone[i] = Some(self.enlarged / lengths[a]);
            }
            if blind[a] {
                continue;
            }
            self.standard_error[i] = Some(self.enlarged * inverse[(a, a)].sqrt() / lengths[a]);
            for (b, &k) in free.iter().enumerate().filter(|(b, _)| !blind[*b]) {
                let c = inverse[(a, b)] / (lengths[a] * lengths[b]);
                self.covariance[(i, k)] = self.enlarged.powi(2) * c;
            }
        }
    }

    /// Correlation of two parameters, where both have a standard error.
    #[must_use]
    pub fn correlation(&self, i: usize, k: usize) -> Option<f64> {
        let (a, b) = (self.standard_error[i]?, self.standard_error[k]?);
        let r = self.covariance[(i, k)] / (a * b);
        r.is_finite().then(|| r.clamp(-1.0, 1.0))
    }
}

fn unit(n: usize, i: usize) -> Vec<f64> {
    let mut v = vec![0.0; n];
    v[i] = 1.0;
    v
}

/// Factor on the stated uncertainties, and whether it came from the residuals; infinite where they
/// would have to be estimated from nothing.
fn enlargement(reduced_chi2: Option<f64>, spread: ErrorScale) -> (f64, bool) {
    match (spread, reduced_chi2) {
        (ErrorScale::Stated, _) | (ErrorScale::AtLeastStated, None) => (1.0, false),
        (ErrorScale::Estimated, None) => (f64::INFINITY, false),
        (ErrorScale::Estimated, Some(x)) => (x.sqrt(), true),
        (ErrorScale::AtLeastStated, Some(x)) => (x.sqrt().max(1.0), x > 1.0),
    }
}

/// Two-sided 95 % factor: of the normal distribution for stated uncertainties, of Student's for
/// those taken from the residuals.
fn coverage_factor(freedom: f64, by_residuals: bool) -> f64 {
    const UPPER: f64 = 0.975;
    let student = || StudentsT::new(0.0, 1.0, freedom).ok().map(|t| t.inverse_cdf(UPPER));
    let normal = || Normal::standard().inverse_cdf(UPPER);
    by_residuals.then(student).flatten().unwrap_or_else(normal)
}
