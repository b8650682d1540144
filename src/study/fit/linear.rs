//! One straightened step of the search, by orthogonal factorisation.

use nalgebra::{DMatrix, DVector};

/// The straightened problem of some columns, in triangular form.
pub(super) struct Linear {
    upper: DMatrix<f64>,
    /// Residuals turned into the directions of the columns.
    turned: DVector<f64>,
    /// Squared length of what no column can change.
    rest2: f64,
}

impl Linear {
    /// The problem of these columns of `j` with residuals `r`.
    pub(super) fn new(j: &DMatrix<f64>, r: &[f64], columns: &[usize]) -> Self {
        let part = j.select_columns(columns);
        let qr = part.qr();
        let mut turned = DVector::from_column_slice(r);
        qr.q_tr_mul(&mut turned);
        let n = columns.len();
        let rest2 = turned.rows(n, r.len() - n).norm_squared();
        Linear { upper: qr.r(), turned: turned.rows(0, n).into_owned(), rest2 }
    }

    /// Length of the part of the residuals that the columns can take away, over that of the rest,
    /// each per degree of freedom.
    pub(super) fn offset(&self, data: usize) -> f64 {
        let n = self.turned.len();
        if n == 0 || self.turned.norm() == 0.0 {
            return 0.0;
        }
        let freedom = (data - n).max(1) as f64;
        (self.turned.norm_squared() / n as f64 / (self.rest2 / freedom)).sqrt()
    }

    /// `min |R d + q|^2 + lambda |D d|^2`.
    pub(super) fn damped(&self, lambda: f64, lengths: &[f64]) -> DVector<f64> {
        let n = lengths.len();
        let mut stacked = DMatrix::zeros(2 * n, n);
        stacked.rows_mut(0, n).copy_from(&self.upper);
        for (i, length) in lengths.iter().enumerate() {
            // A column of zeros has no length: damp it anyhow, and it will not move.
            stacked[(n + i, i)] = lambda.sqrt() * if *length > 0.0 { *length } else { 1.0 };
        }
        let mut right = DVector::zeros(2 * n);
        right.rows_mut(0, n).copy_from(&(-&self.turned));
        let qr = stacked.qr();
        qr.q_tr_mul(&mut right);
        let solved = qr.r().solve_upper_triangular(&right.rows(0, n).into_owned());
        solved.unwrap_or_else(|| DVector::zeros(n))
    }
}
