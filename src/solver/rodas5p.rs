//! Rodas5P: a stiffly accurate Rosenbrock method of order 5.

use super::step_size::{StepPlan, StepSize};
use super::work::Work;
use super::{Failure, Segment, SolverOptions, Statistics, Stepper, System, check_call};

/// Fraction of the time in which the fastest state changes by its own size, for the first step
/// (common practice).
const FIRST_STEP_FRACTION: f64 = 0.01;

/// A stiffly accurate Rosenbrock method of order 5 with dense output of order 4.
///
/// It needs one Jacobian and eight right-hand sides a step and no iteration, so a restart after an
/// event costs nothing and a step that meets NaN is simply rejected.
///
/// One value serves one run: its statistics, step budget and step size go on from call to call.
#[derive(Clone, Debug, Default)]
pub struct Rodas5p {
    options: SolverOptions,
    work: Work,
    size: StepSize,
    statistics: Statistics,
}

impl Rodas5p {
    /// A stepper that has not started yet.
    pub fn new(options: SolverOptions) -> Self {
        Rodas5p { options, ..Rodas5p::default() }
    }

    /// Forgets the step size and the counts for a new run, but keeps the work vectors.
    pub fn reset(&mut self) {
        self.size = StepSize::default();
        self.statistics = Statistics::default();
    }

    /// Attempts steps from `y` until one is accepted; the result is in the work vectors.
    fn step<S: System>(
        &mut self,
        system: &mut S,
        t: f64,
        y: &[f64],
        t_stop: f64,
    ) -> Result<StepPlan, Failure> {
        self.work.start(system, y, &mut self.statistics);
        if self.size.is_unset() {
            let first = self.options.h_start.unwrap_or_else(|| self.first_step(system, y));
            self.size.set(first);
        }
        loop {
            self.check_budget(t)?;
            let plan = self.size.plan(t_stop - t, &self.options);
            let fixed = self.options.fixed_step.is_some();
            let error = match self.work.attempt(system, y, plan.h, &mut self.statistics) {
                true => self.work.error_norm(y, self.options.rtol),
                false => f64::NAN,
            };
            let small = error <= 1.0 || (fixed && error.is_finite());
            if small && self.work.finish(y, plan.h) {
                self.statistics.accepted += 1;
                self.size.accept(plan, error);
                return Ok(plan);
            }
            self.statistics.rejected += 1;
            // A small error with a bad sink is no better than no error at all.
            let finite = error > 1.0;
            self.size.reject(plan, finite.then_some(error));
            if self.size.is_too_small(t) || fixed {
                return Err(self.blame(system, t, y, finite));
            }
        }
    }

    fn check_budget(&self, t: f64) -> Result<(), Failure> {
        let steps = self.statistics.accepted + self.statistics.rejected;
        if steps < self.options.step_budget {
            return Ok(());
        }
        Err(Failure::StepBudget { t, steps })
    }

    /// Why no step from `y` succeeds.
    fn blame<S: System>(&self, system: &S, t: f64, y: &[f64], finite: bool) -> Failure {
        let work = &self.work;
        Failure::not_finite(system, t, y, &work.f0, &work.jac, system.core()).unwrap_or_else(|| {
            let worst = work.worst(y, self.options.rtol, finite);
            Failure::too_small(system, t, worst, !finite)
        })
    }

    /// A first step from the state and its derivative at the start.
    fn first_step<S: System>(&self, system: &S, y: &[f64]) -> f64 {
        let (mut size, mut rate) = (0.0_f64, 0.0_f64);
        for ((y, dy), tol) in y.iter().zip(&self.work.f0).zip(system.abs_tol()) {
            if tol.is_finite() {
                let scale = tol + self.options.rtol * y.abs();
                size = size.max(y.abs() / scale);
                rate = rate.max(dy.abs() / scale);
            }
        }
        let h = (FIRST_STEP_FRACTION * size).max(1.0) / rate;
        // At rest, or with a derivative that is not finite, any size will do: control takes over.
        if h.is_finite() && h > 0.0 { h } else { 1.0 }
    }
}

impl Stepper for Rodas5p {
    fn advance<S: System>(
        &mut self,
        system: &mut S,
        t: f64,
        y: &mut [f64],
        t_stop: f64,
        on_segment: &mut dyn FnMut(&mut S, &Segment) -> Option<f64>,
    ) -> Result<f64, Failure> {
        check_call(system, &self.options, t, y, t_stop)?;
        self.work.fit(system);
        let mut t = t;
        while t < t_stop {
            let plan = self.step(system, t, y, t_stop)?;
            let t1 = if plan.last { t_stop } else { t + plan.h };
            let segment = Segment::new(t, t1, y, &self.work.y1, &self.work.dense);
            if let Some(cut) = on_segment(system, &segment) {
                segment.eval(cut, &mut self.work.stage);
                y.copy_from_slice(&self.work.stage);
                self.size.cut(plan);
                return Ok(cut.clamp(t, t1));
            }
            y.copy_from_slice(&self.work.y1);
            t = t1;
        }
        Ok(t)
    }

    fn disturb(&mut self) {
        self.size.forget();
    }

    fn statistics(&self) -> Statistics {
        self.statistics
    }
}
