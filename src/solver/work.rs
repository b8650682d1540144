//! The arithmetic of one Rodas5P step, in work vectors that are made once.

use super::lu::{Lu, dot};
use super::tableau::{A, C, GAMMA, H, SINK, STAGES};
use super::{Statistics, System};

/// Work vectors; nothing in here outlives a step except their memory.
#[derive(Clone, Debug, Default)]
pub(super) struct Work {
    n: usize,
    len: usize,
    /// Derivatives of all states with respect to the core states, at the start of the step.
    pub jac: Vec<f64>,
    /// The right-hand side at the start of the step.
    pub f0: Vec<f64>,
    /// Absolute tolerances.
    abs_tol: Vec<f64>,
    /// States within a stage; its sinks stay as they were.
    pub stage: Vec<f64>,
    dy: Vec<f64>,
    /// Stage values of the core states, one stage behind the other.
    k: Vec<f64>,
    /// Right-hand sides of the sinks at the later stages, likewise.
    sink_rhs: Vec<f64>,
    /// Stage values in the four combinations that move a sink.
    mixed: Vec<f64>,
    /// State at the end of the step.
    pub y1: Vec<f64>,
    /// Coefficients of the dense output: d1, d2 and d3 of all states.
    pub dense: Vec<f64>,
    lu: Lu,
}

impl Work {
    /// Fits the vectors to a system; allocates only when its size has changed.
    pub(super) fn fit<S: System>(&mut self, system: &S) {
        let (n, len) = (system.core(), system.len());
        if (n, len) != (self.n, self.len) {
            (self.n, self.len) = (n, len);
            self.jac = vec![0.0; n * len];
            self.k = vec![0.0; n * STAGES];
            self.sink_rhs = vec![0.0; (len - n) * (STAGES - 1)];
            self.mixed = vec![0.0; n * SINK.len()];
            self.dense = vec![0.0; 3 * len];
            for v in [&mut self.f0, &mut self.stage, &mut self.dy, &mut self.y1] {
                *v = vec![0.0; len];
            }
        }
        self.abs_tol.clear();
        self.abs_tol.extend_from_slice(system.abs_tol());
        let weight = |&tol: &f64| if tol.is_finite() { 1.0 / tol } else { 1.0 };
        self.lu.resize(self.abs_tol.iter().map(weight));
    }

    /// Evaluates what all attempts from `y` share.
    pub(super) fn start<S: System>(
        &mut self,
        system: &mut S,
        y: &[f64],
        statistics: &mut Statistics,
    ) {
        system.rhs(y, &mut self.f0);
        system.jacobian(y, &mut self.jac);
        statistics.rhs += 1;
        statistics.jacobians += 1;
    }

    /// All stages of the core states with step `h`; false if one is not finite.
    pub(super) fn attempt<S: System>(
        &mut self,
        system: &mut S,
        y: &[f64],
        h: f64,
        statistics: &mut Statistics,
    ) -> bool {
        let n = self.n;
        if !self.lu.factorise(1.0 / (GAMMA * h), &self.jac[..n * n]) {
            return false;
        }
        self.stage.copy_from_slice(y);
        for i in 0..STAGES {
            if i > 0 {
                self.move_stage(y, i);
                system.rhs(&self.stage, &mut self.dy);
                statistics.rhs += 1;
                let sinks = self.len - n;
                self.sink_rhs[(i - 1) * sinks..i * sinks].copy_from_slice(&self.dy[n..]);
            }
            if !self.solve_stage(i, h) {
                return false;
            }
        }
        let last = &self.k[(STAGES - 1) * n..];
        for ((y1, s), k) in self.y1.iter_mut().zip(&self.stage[..n]).zip(last) {
            *y1 = s + k;
        }
        true
    }

    /// The state at which stage `i` (from 1) evaluates the right-hand side.
    fn move_stage(&mut self, y: &[f64], i: usize) {
        let n = self.n;
        let stage = &mut self.stage[..n];
        match A.get(i - 1) {
            Some(row) => {
                stage.copy_from_slice(&y[..n]);
                for (a, k) in row.iter().zip(self.k.chunks_exact(n)).take(i) {
                    add_scaled(stage, *a, k);
                }
            }
            None => add_scaled(stage, 1.0, &self.k[(i - 1) * n..i * n]),
        }
    }

    /// Solves for stage `i`; false if it is not finite.
    fn solve_stage(&mut self, i: usize, h: f64) -> bool {
        let n = self.n;
        let (before, rest) = self.k.split_at_mut(i * n);
        let k = &mut rest[..n];
        if i == 0 {
            k.copy_from_slice(&self.f0[..n]);
        } else {
            k.copy_from_slice(&self.dy[..n]);
            for (c, earlier) in C[i - 1].iter().zip(before.chunks_exact(n)) {
                add_scaled(k, c / h, earlier);
            }
        }
        self.lu.solve(k);
        all_finite(k)
    }

    /// Weighted root mean square of the error estimate over the states that have a tolerance.
    pub(super) fn error_norm(&self, y: &[f64], rtol: f64) -> f64 {
        let (mut sum, mut count) = (0.0, 0.0);
        for (error, tolerance) in self.errors(y, rtol) {
            if tolerance.is_finite() {
                let ratio = error / tolerance;
                sum += ratio * ratio;
                count += 1.0;
            }
        }
        if count > 0.0 { f64::sqrt(sum / count) } else { 0.0 }
    }

    /// The state to blame for the last attempt: the one with the largest error or, if that attempt
    /// was not finite, the first with a bad right-hand side.
    pub(super) fn worst(&self, y: &[f64], rtol: f64, finite: bool) -> usize {
        if !finite {
            let bad = self.dy.iter().position(|x| !x.is_finite());
            return bad.or_else(|| self.y1.iter().position(|x| !x.is_finite())).unwrap_or(0);
        }
        let ratios = self.errors(y, rtol).map(|(error, tolerance)| (error / tolerance).abs());
        let worst = ratios.enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
        worst.map_or(0, |(i, _)| i)
    }

    /// Error estimate and tolerance of each core state.
    fn errors(&self, y: &[f64], rtol: f64) -> impl Iterator<Item = (f64, f64)> {
        let estimate = &self.k[(STAGES - 1) * self.n..];
        let sizes = y.iter().zip(&self.y1).map(|(a, b)| a.abs().max(b.abs()));
        let tolerances = self.abs_tol.iter().zip(sizes).map(move |(tol, size)| tol + rtol * size);
        estimate.iter().copied().zip(tolerances)
    }

    /// Completes an accepted step: dense output, and the sinks, which nothing needs before. False
    /// if one of them is not finite.
    pub(super) fn finish(&mut self, y: &[f64], h: f64) -> bool {
        let (n, len) = (self.n, self.len);
        for (d, row) in self.dense.chunks_exact_mut(len).zip(&H) {
            let d = &mut d[..n];
            d.fill(0.0);
            for (weight, k) in row.iter().zip(self.k.chunks_exact(n)) {
                add_scaled(d, *weight, k);
            }
        }
        if len > n {
            self.finish_sinks(y, h);
        }
        all_finite(&self.y1)
    }

    fn finish_sinks(&mut self, y: &[f64], h: f64) {
        let (n, len) = (self.n, self.len);
        for (mixed, row) in self.mixed.chunks_exact_mut(n).zip(&SINK) {
            mixed.fill(0.0);
            for (weight, k) in row.iter().zip(self.k.chunks_exact(n)) {
                add_scaled(mixed, *weight, k);
            }
        }
        let (d1, rest) = self.dense.split_at_mut(len);
        let (d2, d3) = rest.split_at_mut(len);
        let targets = [&mut self.y1[n..], &mut d1[n..], &mut d2[n..], &mut d3[n..]];
        let later = self.sink_rhs.chunks_exact(len - n);
        for (m, (target, weights)) in targets.into_iter().zip(&SINK).enumerate() {
            target.fill(0.0);
            add_scaled(target, weights[0], &self.f0[n..]);
            for (weight, f) in weights[1..].iter().zip(later.clone()) {
                add_scaled(target, *weight, f);
            }
            let mixed = &self.mixed[m * n..(m + 1) * n];
            for (sum, row) in target.iter_mut().zip(self.jac[n * n..].chunks_exact(n)) {
                *sum = h * (*sum + dot(row, mixed));
            }
        }
        for (y1, y0) in self.y1[n..].iter_mut().zip(&y[n..]) {
            *y1 += y0;
        }
    }
}

/// `target += factor * v`.
#[inline]
fn add_scaled(target: &mut [f64], factor: f64, v: &[f64]) {
    for (t, x) in target.iter_mut().zip(v) {
        *t += factor * x;
    }
}

/// Whether all are finite (0 times infinity or NaN is NaN, and a sum keeps it).
#[inline]
fn all_finite(v: &[f64]) -> bool {
    let v4 = v.chunks_exact(4);
    let tail: f64 = v4.remainder().iter().map(|x| x * 0.0).sum();
    let mut s = [tail; 4];
    for chunk in v4 {
        for (s, x) in s.iter_mut().zip(chunk) {
            *s += x * 0.0;
        }
    }
    s.iter().sum::<f64>() == 0.0
}
