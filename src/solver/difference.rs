//! A Jacobian by central differences, for checking an exact one.

use super::System;

/// Writes the Jacobian of `system` at `y` by central differences, laid out as in
/// [`System::jacobian`]; core state `i` is moved by `steps[i]` to both sides.
///
/// For tests: it costs two evaluations for each core state and does not conserve to round-off.
pub fn difference_jacobian<S: System>(system: &mut S, y: &[f64], steps: &[f64], jac: &mut [f64]) {
    let (n, len) = (system.core(), system.len());
    let mut at = y.to_vec();
    let (mut above, mut below) = (vec![0.0; len], vec![0.0; len]);
    for (column, &step) in steps.iter().enumerate().take(n) {
        at[column] = y[column] + step;
        system.rhs(&at, &mut above);
        at[column] = y[column] - step;
        system.rhs(&at, &mut below);
        at[column] = y[column];
        for (row, (a, b)) in jac.chunks_exact_mut(n).zip(above.iter().zip(&below)) {
            row[column] = (a - b) / (2.0 * step);
        }
    }
}
