//! Which further measurement would tell most, by the information it adds.

use nalgebra::DMatrix;

use super::{Fit, Known};

/// A measurement that could be made.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// What a person would do.
    pub name: String,
    /// Derivatives of its readings over their standard uncertainties: a row each.
    pub rows: DMatrix<f64>,
}

/// What a candidate would bring.
#[derive(Clone, Debug, PartialEq)]
pub struct Gain {
    /// What a person would do.
    pub name: String,
    /// Standard error of the wanted quantity with it; none if even then unknown.
    pub standard_error: Option<f64>,
    /// That over the present one; none if there is none at present.
    pub ratio: Option<f64>,
}

/// Ranks candidates by the standard error that each would leave on the parameter `target`; the best
/// first. The information of a fit and of a measurement add up.
#[must_use]
pub fn rank(fit: &Fit, known: &Known, target: usize, candidates: &[Candidate]) -> Vec<Gain> {
    if fit.at_bound[target] != 0 {
        return Vec::new();
    }
    let mut slopes = vec![0.0; fit.values.len()];
    slopes[target] = 1.0;
    let now = known.standard_error[target].map(|se| se / known.enlarged);
    ranked(fit, known, &slopes, (fit.values[target].abs(), now), candidates)
}

/// The same for any quantity of this `size` that moves by `slopes` for each unit of the parameters.
#[must_use]
pub fn rank_for(
    fit: &Fit,
    known: &Known,
    slopes: &[f64],
    size: f64,
    candidates: &[Candidate],
) -> Vec<Gain> {
    let (own, inner) = inside(fit, slopes);
    let now = standard_error(&own, &inner);
    ranked(fit, known, slopes, (size, now), candidates)
}

/// Ranks for a quantity of a size and with a present standard error, if it has one.
fn ranked(
    fit: &Fit,
    known: &Known,
    slopes: &[f64],
    (size, now): (f64, Option<f64>),
    candidates: &[Candidate],
) -> Vec<Gain> {
    let (own, slopes) = inside(fit, slopes);
    let free: Vec<usize> = (0..fit.values.len()).filter(|i| fit.at_bound[*i] == 0).collect();
    let mut gains: Vec<Gain> = candidates
        .iter()
        .map(|c| {
            let added = c.rows.select_columns(&free);
            let mut all = DMatrix::zeros(own.nrows() + added.nrows(), free.len());
            all.rows_mut(0, own.nrows()).copy_from(&own);
            all.rows_mut(own.nrows(), added.nrows()).copy_from(&added);
            // What is unknown now and then has an error larger than itself is unknown still.
            let vague = |s: &f64| now.is_none() && size > 0.0 && *s > size;
            let then = standard_error(&all, &slopes).filter(|s| !vague(s));
            let ratio = then.zip(now).map(|(then, now)| then / now);
            let standard_error = then.map(|s| s * known.enlarged);
            Gain { name: c.name.clone(), standard_error, ratio }
        })
        .collect();
    let last = f64::INFINITY;
    gains.sort_by(|a, b| {
        a.standard_error.unwrap_or(last).total_cmp(&b.standard_error.unwrap_or(last))
    });
    gains
}

/// Standard error at present of a quantity that moves by `slopes` for each unit of the parameters.
#[must_use]
pub fn present(fit: &Fit, known: &Known, slopes: &[f64]) -> Option<f64> {
    let (own, slopes) = inside(fit, slopes);
    standard_error(&own, &slopes).map(|s| s * known.enlarged)
}

/// Derivatives of residuals and quantity by the parameters that are not held at a bound.
fn inside(fit: &Fit, slopes: &[f64]) -> (DMatrix<f64>, Vec<f64>) {
    let free: Vec<usize> = (0..fit.values.len()).filter(|i| fit.at_bound[*i] == 0).collect();
    (fit.jacobian.select_columns(&free), free.iter().map(|i| slopes[*i]).collect())
}

/// Condition from which on a direction counts as unseen.
const UNSEEN: f64 = 1e-8;

/// Share of a quantity in an unseen direction from which on it is unknown.
const PART_OF: f64 = 0.01;

/// Standard error of a quantity from derivatives of weighted residuals.
fn standard_error(j: &DMatrix<f64>, slopes: &[f64]) -> Option<f64> {
    let lengths: Vec<f64> = j.column_iter().map(|c| c.norm()).collect();
    if slopes.iter().zip(&lengths).any(|(s, l)| *s != 0.0 && *l == 0.0) {
        return None;
    }
    let mut scaled = j.clone();
    for (k, length) in lengths.iter().enumerate().filter(|(_, l)| **l > 0.0) {
        scaled.column_mut(k).scale_mut(1.0 / length);
    }
    let scaled_slope = |(s, l): (&f64, &f64)| if *l > 0.0 { s / l } else { 0.0 };
    let wanted: Vec<f64> = slopes.iter().zip(&lengths).map(scaled_slope).collect();
    let size = super::sum_of_squares(&wanted).sqrt();
    let svd = scaled.svd(false, true);
    let v_t = svd.v_t?;
    let least = svd.singular_values.max() * UNSEEN;
    let mut variance = 0.0;
    for (s, row) in svd.singular_values.iter().zip(v_t.row_iter()) {
        let along: f64 = row.iter().zip(&wanted).map(|(r, w)| r * w).sum();
        if *s > least {
            variance += (along / s).powi(2);
        } else if along.abs() > PART_OF * size {
            return None;
        }
    }
    Some(variance.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::fit::{ErrorScale, Parameter, Problem, SearchOptions, fit};

    /// Two parameters read directly, with uncertainties 1 and 2.
    struct Direct;
    impl Problem for Direct {
        fn count(&self) -> usize {
            2
        }
        fn residuals(&self, p: &[f64]) -> Result<Vec<f64>, String> {
            Ok(vec![p[0] - 3.0, (p[1] - 5.0) / 2.0])
        }
    }

    #[test]
    fn a_sum_has_the_root_of_the_squares_and_a_second_reading_of_one_helps_it() {
        let parameters = [Parameter::free("a", 1.0), Parameter::free("b", 1.0)];
        let found = fit(&Direct, &parameters, &SearchOptions::exact()).expect("a fit");
        let known = Known::new(&found, 2.0, ErrorScale::Stated, &SearchOptions::exact());
        let sum = present(&found, &known, &[1.0, 1.0]).expect("a standard error");
        assert!((sum - 5.0_f64.sqrt()).abs() < 1e-6, "{sum}");
        let again = |name: &str, row: [f64; 2]| Candidate {
            name: name.into(),
            rows: DMatrix::from_row_slice(1, 2, &row),
        };
        let ideas = [again("a again", [1.0, 0.0]), again("b again", [0.0, 0.5])];
        let gains = rank_for(&found, &known, &[1.0, 1.0], 8.0, &ideas);
        // 1 + 4/2 against 1/2 + 4.
        assert_eq!(gains[0].name, "b again");
        assert!((gains[0].standard_error.expect("one") - 3.0_f64.sqrt()).abs() < 1e-6);
        assert!((gains[1].standard_error.expect("one") - 4.5_f64.sqrt()).abs() < 1e-6);
    }
}
