//! Errors that many residuals share: of an instrument, a tare, an input of the run.
//!
//! Each is one unknown number with a standard uncertainty. To first order residuals `r` become
//! `r + S e`, the columns of S being what one standard uncertainty of each error does to them. What is
//! minimised is `|r + S e|² + |e|²` with the errors `e` at their best, `-(1 + SᵀS)⁻¹ Sᵀ r`: that is
//! least squares with the covariance `1 + S Sᵀ`, in which common errors do not average out.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

/// The errors of a problem.
#[derive(Clone, Debug, Default)]
pub(super) struct Shared {
    /// What they are.
    pub(super) names: Vec<String>,
    /// What each does to the misfits, in their stated uncertainties.
    moved: Vec<Vec<f64>>,
    solved: Option<Solved>,
}

/// The columns over the weights of the data, and the factors of `1 + SᵀS`.
#[derive(Clone, Debug)]
struct Solved {
    columns: DMatrix<f64>,
    factors: Cholesky<f64, Dyn>,
}

impl Shared {
    /// Errors by name, with what each does to every misfit. Those that do nothing are left out.
    pub(super) fn new(all: Vec<(String, Vec<f64>)>) -> Self {
        let (names, moved) = all.into_iter().filter(|(_, m)| m.iter().any(|x| *x != 0.0)).unzip();
        Shared { names, moved, solved: None }
    }

    /// Takes the weights of the misfits.
    pub(super) fn weigh(&mut self, weights: &[f64]) {
        self.solved = None;
        if self.moved.is_empty() {
            return;
        }
        let columns =
            DMatrix::from_fn(weights.len(), self.moved.len(), |i, k| weights[i] * self.moved[k][i]);
        let mut square = columns.tr_mul(&columns);
        (0..self.moved.len()).for_each(|k| square[(k, k)] += 1.0);
        self.solved = Cholesky::new(square).map(|factors| Solved { columns, factors });
    }

    /// Weighted misfits with the errors at their best taken off, and behind them those errors, in
    /// their standard uncertainties.
    pub(super) fn taken_off(&self, weighted: Vec<f64>) -> Vec<f64> {
        let Some(Solved { columns, factors }) = &self.solved else { return weighted };
        let r = DVector::from_vec(weighted);
        let errors = -factors.solve(&columns.tr_mul(&r));
        let rest = r + columns * &errors;
        rest.iter().chain(errors.iter()).copied().collect()
    }

    /// What the errors at their best do to the weighted misfits, from the residuals of a problem.
    pub(super) fn effect(&self, residuals: &[f64]) -> Vec<f64> {
        let Some(Solved { columns, .. }) = &self.solved else { return vec![0.0; residuals.len()] };
        let errors = &residuals[columns.nrows()..][..columns.ncols()];
        let errors = DVector::from_column_slice(errors);
        (columns * errors).iter().copied().collect()
    }

    /// The residuals of a problem if each error alone were one standard uncertainty larger.
    pub(super) fn alone(&self) -> Vec<Vec<f64>> {
        let Some(Solved { columns, .. }) = &self.solved else { return Vec::new() };
        columns.column_iter().map(|c| self.taken_off(c.iter().copied().collect())).collect()
    }

    /// Square of what all errors together do to each misfit, in its stated uncertainty.
    pub(super) fn variance(&self, misfit: usize) -> f64 {
        self.moved.iter().map(|m| m[misfit].powi(2)).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sum_of_squares_is_that_of_the_full_covariance() {
        let moved = [vec![1.0, 1.0, 1.0, 1.0], vec![-0.5, 0.0, 0.5, 2.0]];
        let all = moved.iter().enumerate().map(|(k, m)| (k.to_string(), m.clone())).collect();
        let mut shared = Shared::new(all);
        let weights = [1.0, 0.5, 2.0, 1.0];
        shared.weigh(&weights);
        let r = vec![0.3, -1.0, 2.0, 0.7];
        let covariance = DMatrix::from_fn(4, 4, |i, k| {
            let own = if i == k { 1.0 } else { 0.0 };
            let s = |m: &Vec<f64>| weights[i] * m[i] * weights[k] * m[k];
            own + moved.iter().map(s).sum::<f64>()
        });
        let wanted = {
            let v = DVector::from_vec(r.clone());
            let solved = covariance.lu().solve(&v).expect("a regular matrix");
            v.dot(&solved)
        };
        let found = shared.taken_off(r.clone());
        assert_eq!(found.len(), 6);
        let sum: f64 = found.iter().map(|x| x * x).sum();
        assert!((sum - wanted).abs() < 1e-12, "{sum} {wanted}");
        let effect = shared.effect(&found);
        (0..4).for_each(|i| assert!((found[i] - effect[i] - r[i]).abs() < 1e-12));
    }
}
