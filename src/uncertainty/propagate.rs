//! The law of propagation of uncertainty.

use super::Estimate;

/// A propagated value with the share of each input.
#[derive(Clone, Debug, PartialEq)]
pub struct Propagated {
    /// Value, standard uncertainty and effective degrees of freedom.
    pub estimate: Estimate,
    /// Slope of the function along each input.
    pub slopes: Vec<f64>,
    /// What each input alone adds, slope times standard uncertainty.
    pub contributions: Vec<f64>,
}

/// As a share of an input's standard uncertainty: the half step of the differences. \[JCGM100\]
/// suggests the whole of it; a tenth stays closer to the slope at the value.
const STEP: f64 = 0.1;

/// Propagates independent inputs.
#[must_use]
pub fn propagate(inputs: &[Estimate], function: impl Fn(&[f64]) -> f64) -> Propagated {
    propagate_correlated(inputs, |i, j| if i == j { 1.0 } else { 0.0 }, function)
}

/// Propagates inputs with correlation coefficients:
///
/// ```text
/// u²(y) = sum_i sum_j c_i c_j u_i u_j r_ij        c_i = df/dx_i by central differences
/// ν_eff = u⁴ / sum_i (c_i u_i)⁴ / ν_i             for independent inputs
/// ```
///
/// Source: \[JCGM100\]. Checked in: `tests/gum.rs`.
#[must_use]
pub fn propagate_correlated(
    inputs: &[Estimate],
    correlation: impl Fn(usize, usize) -> f64,
    function: impl Fn(&[f64]) -> f64,
) -> Propagated {
    let mut x: Vec<f64> = inputs.iter().map(|e| e.value).collect();
    let value = function(&x);
    let mut slopes = Vec::with_capacity(inputs.len());
    for (i, input) in inputs.iter().enumerate() {
        let half = STEP * input.standard;
        if half == 0.0 {
            slopes.push(0.0);
            continue;
        }
        x[i] = input.value + half;
        let above = function(&x);
        x[i] = input.value - half;
        let below = function(&x);
        x[i] = input.value;
        slopes.push((above - below) / (2.0 * half));
    }
    let contributions: Vec<f64> = slopes.iter().zip(inputs).map(|(c, e)| c * e.standard).collect();
    let pairs = (0..inputs.len()).flat_map(|i| (0..inputs.len()).map(move |j| (i, j)));
    let variance: f64 =
        pairs.map(|(i, j)| contributions[i] * contributions[j] * correlation(i, j)).sum();
    let fourth: f64 =
        contributions.iter().zip(inputs).map(|(c, e)| c.powi(4) / e.degrees_of_freedom).sum();
    let degrees_of_freedom =
        if fourth > 0.0 { variance * variance / fourth } else { f64::INFINITY };
    let standard = variance.max(0.0).sqrt();
    Propagated { estimate: Estimate { value, standard, degrees_of_freedom }, slopes, contributions }
}
