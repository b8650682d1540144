//! The explicit method of Dormand and Prince behind the common seam.

use ode_solvers::continuous_output_model::ContinuousOutputModel;
use ode_solvers::dop_shared::IntegrationError;
use ode_solvers::{DVector, OutputType};

use super::scaled::Scaled;
use super::{Failure, Segment, SolverOptions, Statistics, Stepper, System, check_call};

/// Longest stretch integrated ahead of the guards (s), and the steps expected in one: what lies
/// behind an event is thrown away.
const CHUNK_S: f64 = 60.0;
const CHUNK_STEPS: f64 = 12.0;
/// First step where none is given (s); the method finds its own size within a few steps.
const FIRST_STEP_S: f64 = 1e-3;
/// Safety factor, beta of the step size control and bounds of one change: the method's own defaults.
const SAFETY: f64 = 0.9;
const BETA: f64 = 0.04;
const SMALLEST_FACTOR: f64 = 0.2;
const LARGEST_FACTOR: f64 = 10.0;
const STAGES: u64 = 6;

/// The explicit Runge-Kutta method of Dormand and Prince, order 5, from the crate `ode_solvers`.
///
/// It has no single step, so it integrates a short chunk ahead, shows it segment by segment, and
/// restarts where it is cut. For tests, benches and systems that are not stiff: it never looks at the
/// Jacobian, and it allocates.
#[derive(Clone, Debug, Default)]
pub struct Dopri5 {
    options: SolverOptions,
    statistics: Statistics,
    h: Option<f64>,
}

impl Dopri5 {
    /// A stepper that has not started yet.
    pub fn new(options: SolverOptions) -> Self {
        Dopri5 { options, statistics: Statistics::default(), h: None }
    }

    /// The length of the next chunk and the first step to try in it.
    fn plan(&self, remaining: f64) -> (f64, f64, f64) {
        let options = &self.options;
        let free = self.h.or(options.h_start).unwrap_or(FIRST_STEP_S);
        let wanted = options.fixed_step.unwrap_or(free).min(options.h_max);
        let mut chunk = CHUNK_S.min(CHUNK_STEPS * wanted).max(wanted);
        // Round-off must not leave a sliver behind the last whole step.
        if remaining <= chunk * (1.0 + 1e-9) {
            chunk = remaining;
        }
        let h_max = options.fixed_step.unwrap_or(options.h_max);
        (chunk, wanted.min(chunk), h_max)
    }

    /// Integrates one chunk ahead, in the time since its start and in scaled states.
    fn chunk<S: System>(&mut self, scaled: &Scaled<S>, z: DVector<f64>, remaining: f64) -> Chunk {
        let (length, h, h_max) = self.plan(remaining);
        let (rtol, atol) = self.tolerances(scaled);
        let mut method = ode_solvers::Dopri5::from_param(
            scaled,
            0.0,
            length,
            length,
            z,
            rtol,
            atol,
            SAFETY,
            BETA,
            SMALLEST_FACTOR,
            LARGEST_FACTOR,
            h_max,
            h,
            self.steps_left(),
            u32::MAX,
            OutputType::Continuous,
        );
        let mut model = ContinuousOutputModel::default();
        let outcome = method.integrate_with_continuous_output_model(&mut model).err();
        let breaks = method.x_out().clone();
        let ends = method.y_out().clone();
        self.count(scaled, breaks.len() as u64);
        Chunk { length, breaks, ends, model, outcome }
    }

    /// Relative and absolute tolerance for the library.
    fn tolerances<S: System>(&self, scaled: &Scaled<S>) -> (f64, f64) {
        // A fixed step is one that every tolerance accepts and that cannot grow.
        let loose = if self.options.fixed_step.is_some() { 1e30 } else { 1.0 };
        let weight = loose * scaled.norm_correction;
        (self.options.rtol * weight, weight)
    }

    fn steps_left(&self) -> u32 {
        let spent = self.statistics.accepted + self.statistics.rejected;
        let left = self.options.step_budget.saturating_sub(spent);
        // The library counts to one more than it is told.
        u32::try_from(left).unwrap_or(u32::MAX - 1)
    }

    fn count<S: System>(&mut self, scaled: &Scaled<S>, accepted: u64) {
        let calls = std::mem::take(&mut scaled.inner.borrow_mut().calls);
        self.statistics.rhs += calls;
        self.statistics.accepted += accepted;
        self.statistics.rejected += (calls.saturating_sub(1) / STAGES).saturating_sub(accepted);
    }

    /// Shows a chunk segment by segment; returns the time reached and whether it was cut there.
    fn show<S: System>(
        &mut self,
        scaled: &Scaled<S>,
        chunk: &Chunk,
        span: (f64, f64),
        y: &mut [f64],
        on_segment: &mut dyn FnMut(&mut S, &Segment) -> Option<f64>,
    ) -> (f64, bool) {
        let (t0, t_stop) = span;
        let (mut y1, mut d) = (vec![0.0; y.len()], vec![0.0; 3 * y.len()]);
        let (mut x, mut t) = (0.0, t0);
        for (&end, z1) in chunk.breaks.iter().zip(&chunk.ends) {
            let at_stop = end >= chunk.length && chunk.length >= t_stop - t0;
            let t1 = if at_stop { t_stop } else { t0 + end };
            scaled.unscale(z1, &mut y1);
            scaled.dense(&chunk.model, (x, end), y, &y1, &mut d);
            let segment = Segment::new(t, t1, y, &y1, &d);
            // The last step of a chunk is short by chance.
            let h = if end < chunk.length { end - x } else { (end - x).max(self.h.unwrap_or(0.0)) };
            self.h = Some(h);
            if let Some(cut) = on_segment(scaled.inner.borrow_mut().system, &segment) {
                let mut at_cut = vec![0.0; y.len()];
                segment.eval(cut, &mut at_cut);
                y.copy_from_slice(&at_cut);
                return (cut.clamp(t, t1), true);
            }
            y.copy_from_slice(&y1);
            (x, t) = (end, t1);
        }
        (t, false)
    }

    fn failure<S: System>(&self, scaled: &Scaled<S>, t: f64, y: &[f64], short: bool) -> Failure {
        let mut inner = scaled.inner.borrow_mut();
        let steps = self.statistics.accepted + self.statistics.rejected;
        if !short {
            return Failure::StepBudget { t, steps };
        }
        let mut dy = vec![0.0; y.len()];
        inner.system.rhs(y, &mut dy);
        if let Some(failure) = Failure::not_finite(&*inner.system, t, y, &dy, &[], 1) {
            return failure;
        }
        // The library does not tell the worst state: blame the fastest in units of its tolerance.
        let bad = inner.bad;
        let speed = |i: usize| dy[i].abs() / scaled.scale[i];
        let fastest = (0..y.len()).max_by(|&a, &b| speed(a).total_cmp(&speed(b)));
        let worst = bad.or(fastest).unwrap_or(0);
        Failure::too_small(&*inner.system, t, worst, bad.is_some())
    }
}

impl Stepper for Dopri5 {
    fn advance<S: System>(
        &mut self,
        system: &mut S,
        t: f64,
        y: &mut [f64],
        t_stop: f64,
        on_segment: &mut dyn FnMut(&mut S, &Segment) -> Option<f64>,
    ) -> Result<f64, Failure> {
        check_call(system, &self.options, t, y, t_stop)?;
        let scaled = Scaled::new(system);
        let mut t = t;
        while t < t_stop {
            if self.statistics.accepted + self.statistics.rejected >= self.options.step_budget {
                return Err(self.failure(&scaled, t, y, false));
            }
            let z =
                DVector::from_iterator(y.len(), y.iter().zip(&scaled.scale).map(|(y, s)| y / s));
            let chunk = self.chunk(&scaled, z, t_stop - t);
            let (reached, cut) = self.show(&scaled, &chunk, (t, t_stop), y, on_segment);
            t = reached;
            if cut {
                break;
            }
            if let Some(error) = &chunk.outcome {
                let short = !matches!(error, IntegrationError::MaxNumStepReached { .. });
                return Err(self.failure(&scaled, t, y, short));
            }
        }
        Ok(t)
    }

    fn disturb(&mut self) {
        self.h = None;
    }

    fn statistics(&self) -> Statistics {
        self.statistics
    }
}

/// What one call of the library gave: the time is counted from the start of the chunk.
struct Chunk {
    length: f64,
    breaks: Vec<f64>,
    ends: Vec<DVector<f64>>,
    model: ContinuousOutputModel<f64, DVector<f64>>,
    outcome: Option<IntegrationError>,
}
