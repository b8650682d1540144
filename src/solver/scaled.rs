//! A system as the crate `ode_solvers` wants it: scaled, behind a shared reference.

use std::cell::RefCell;

use ode_solvers::DVector;
use ode_solvers::continuous_output_model::ContinuousOutputModel;

use super::System;

/// Binary exponent of the scale of a state outside the error norm: large enough that its error
/// vanishes beside any other, far from overflow.
const UNWEIGHTED_EXPONENT: i32 = 200;

/// A system in units of its tolerances, because the library knows only one tolerance for all.
///
/// The scales are powers of two, at most the tolerance and more than half of it, so that scaling
/// never rounds and invariants stay exact.
pub(super) struct Scaled<'a, S> {
    pub inner: RefCell<Inner<'a, S>>,
    pub scale: Vec<f64>,
    /// The library averages the error over all states; this makes it the mean over the weighted.
    pub norm_correction: f64,
}

/// What an evaluation changes.
pub(super) struct Inner<'a, S> {
    pub system: &'a mut S,
    y: Vec<f64>,
    dy: Vec<f64>,
    /// Evaluations since this was last set to zero.
    pub calls: u64,
    /// First state with a bad derivative at the last evaluation that had one.
    pub bad: Option<usize>,
}

impl<'a, S: System> Scaled<'a, S> {
    pub(super) fn new(system: &'a mut S) -> Self {
        let len = system.len();
        let mut scale = vec![2.0_f64.powi(UNWEIGHTED_EXPONENT); len];
        let mut weighted = 0.0;
        for (scale, tol) in scale.iter_mut().zip(system.abs_tol()) {
            if tol.is_finite() {
                *scale = tol.log2().floor().clamp(-1000.0, 1000.0).exp2();
                weighted += 1.0;
            }
        }
        let norm_correction = if weighted > 0.0 { f64::sqrt(weighted / len as f64) } else { 1.0 };
        let (y, dy) = (vec![0.0; len], vec![0.0; len]);
        let inner = RefCell::new(Inner { system, y, dy, calls: 0, bad: None });
        Scaled { inner, scale, norm_correction }
    }

    /// States from their scaled values.
    pub(super) fn unscale(&self, z: &DVector<f64>, y: &mut [f64]) {
        for ((y, z), s) in y.iter_mut().zip(z.iter()).zip(&self.scale) {
            *y = z * s;
        }
    }

    /// The coefficients of [`super::Segment`] from three values inside a step. The method's own dense
    /// output is a polynomial of degree 4, so five values give it back exactly.
    pub(super) fn dense(
        &self,
        model: &ContinuousOutputModel<f64, DVector<f64>>,
        step: (f64, f64),
        y0: &[f64],
        y1: &[f64],
        d: &mut [f64],
    ) {
        let n = y0.len();
        for (m, th) in [0.25, 0.5, 0.75].into_iter().enumerate() {
            let (x0, x1) = step;
            let part = &mut d[m * n..(m + 1) * n];
            if let Some(z) = model.evaluate(x0 + th * (x1 - x0)) {
                self.unscale(&z, part);
            }
            for (q, (a, b)) in part.iter_mut().zip(y0.iter().zip(y1)) {
                *q = (*q - (1.0 - th) * a - th * b) / (th * (1.0 - th));
            }
        }
        let (d1, rest) = d.split_at_mut(n);
        let (d2, d3) = rest.split_at_mut(n);
        for ((d1, d2), d3) in d1.iter_mut().zip(d2).zip(d3) {
            // The parabola through (1/4, p), (1/2, q) and (3/4, r).
            let (p, q, r) = (*d1, *d2, *d3);
            *d3 = 8.0 * (p - 2.0 * q + r);
            *d2 = 2.0 * (r - p) - *d3;
            *d1 = q - 0.5 * *d2 - 0.25 * *d3;
        }
    }
}

impl<S: System> ode_solvers::System<f64, DVector<f64>> for &Scaled<'_, S> {
    fn system(&self, _x: f64, z: &DVector<f64>, dz: &mut DVector<f64>) {
        let mut inner = self.inner.borrow_mut();
        let Inner { system, y, dy, calls, bad } = &mut *inner;
        self.unscale(z, y);
        system.rhs(y, dy);
        *calls += 1;
        if let Some(i) = dy.iter().position(|x| !x.is_finite()) {
            *bad = Some(i);
        }
        for ((dz, dy), s) in dz.iter_mut().zip(dy.iter()).zip(&self.scale) {
            *dz = dy / s;
        }
    }
}
