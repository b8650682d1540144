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
    let free: Vec<usize> = (0..fit.values.len()).filter(|i| fit.at_bound[*i] == 0).collect();
    let Some(place) = free.iter().position(|i| *i == target) else { return Vec::new() };
    let own = fit.jacobian.select_columns(&free);
    let now = standard_error(&own, place);
    let mut gains: Vec<Gain> = candidates
        .iter()
        .map(|c| {
            let added = c.rows.select_columns(&free);
            let mut all = DMatrix::zeros(own.nrows() + added.nrows(), free.len());
            all.rows_mut(0, own.nrows()).copy_from(&own);
            all.rows_mut(own.nrows(), added.nrows()).copy_from(&added);
            // What is unknown now and then has an error larger than itself is unknown still.
            let size = fit.values[target].abs();
            let vague = |s: &f64| now.is_none() && size > 0.0 && *s > size;
            let then = standard_error(&all, place).filter(|s| !vague(s));
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

/// Condition from which on a direction counts as unseen.
const UNSEEN: f64 = 1e-8;

/// Standard error of one parameter from derivatives of weighted residuals.
fn standard_error(j: &DMatrix<f64>, place: usize) -> Option<f64> {
    let lengths: Vec<f64> = j.column_iter().map(|c| c.norm()).collect();
    if lengths[place] == 0.0 {
        return None;
    }
    let mut scaled = j.clone();
    for (k, length) in lengths.iter().enumerate().filter(|(_, l)| **l > 0.0) {
        scaled.column_mut(k).scale_mut(1.0 / length);
    }
    let svd = scaled.svd(false, true);
    let v_t = svd.v_t?;
    let least = svd.singular_values.max() * UNSEEN;
    let mut variance = 0.0;
    for (s, row) in svd.singular_values.iter().zip(v_t.row_iter()) {
        if *s > least {
            variance += (row[place] / s).powi(2);
        } else if row[place].abs() > 0.01 {
            return None;
        }
    }
    Some(variance.sqrt() / lengths[place])
}
