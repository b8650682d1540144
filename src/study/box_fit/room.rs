//! What the uncertainty of the room's temperature does to the parameters: one sensor, one error for
//! the whole run, which no scatter of residuals shows.

use nalgebra::DVector;

use super::problem::BoxFit;
use crate::study::fit::{Fit, Known, Problem};
use crate::units;

/// Shift over standard error from which on it is worth a line. Our choice.
const WORTH_SAYING: f64 = 0.5;

/// A warning where rooms warmer by their uncertainty would move a parameter by much of its standard
/// error: to first order by `-(JᵀJ)⁻¹ Jᵀ` times the change of the residuals.
pub(super) fn warning(problem: &BoxFit, fit: &Fit, known: &Known) -> Option<String> {
    let (u_k, warm) = problem.in_warmer_rooms()?;
    let moved = warm.residuals(&fit.values).ok()?;
    let change = moved.iter().zip(&fit.residuals).map(|(a, b)| a - b);
    let change = DVector::from_iterator(moved.len(), change);
    let covariance = &known.covariance / known.enlarged.powi(2);
    let shift = -(covariance * fit.jacobian.tr_mul(&change));
    let worth =
        |i: &usize| known.standard_error[*i].is_some_and(|se| shift[*i].abs() > WORTH_SAYING * se);
    let words = |i: usize| {
        let kind = problem.path_of(i).kind.difference();
        let sign = if shift[i] < 0.0 { "less" } else { "more" };
        let much = units::format_digits(kind, shift[i].abs(), 2);
        format!("{much} {sign} of {}", problem.parameters()[i].name)
    };
    let all: Vec<String> = (0..fit.values.len()).filter(worth).map(words).collect();
    (!all.is_empty()).then(|| {
        format!(
            "the intervals do not hold the uncertainty of the room's temperature: a room warmer by {} means {}",
            units::format_digits(units::Kind::TemperatureDifference, u_k, 2),
            all.join(", ")
        )
    })
}
