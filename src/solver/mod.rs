//! Integration of ordinary differential equations with modes, guards and dense output.
//!
//! A [`System`] is a right-hand side `y' = f(y)` with exact derivatives. Its state vector has two
//! parts: the first [`System::core`] entries are read by the right-hand side; the rest are running
//! totals ("sinks") that it only writes. The sinks stay out of the linear system and out of the
//! error norm, so a ledger with many columns costs next to nothing.
//!
//! Time, where the right-hand side needs it, is one of the core states (`t' = 1`, absolute tolerance
//! infinite): every method here is autonomous. That state follows the time of the stepper to
//! round-off, not to the last bit, so whatever depends on it must be continuous at a stop.
//!
//! Two steppers share the seam [`Stepper`]: [`Rodas5p`], a stiffly accurate Rosenbrock method of
//! order 5, for everything; and [`Dopri5`], an explicit method from the crate `ode_solvers`, as an
//! independent check and for chattering, non-stiff systems. [`integrate`] drives either through the
//! discrete events of a system.
//!
//! Both keep linear invariants to round-off, because no state is ever clamped and every step is a
//! linear combination of right-hand sides (for Rodas5P if the columns of the Jacobian sum to zero
//! over the invariant, as exact derivatives of a conservative right-hand side do).
//!
//! ```
//! use drybench::solver::{Rodas5p, SolverOptions, System, integrate};
//!
//! /// `y' = -y`.
//! struct Decay;
//! impl System for Decay {
//!     fn core(&self) -> usize { 1 }
//!     fn len(&self) -> usize { 1 }
//!     fn rhs(&mut self, y: &[f64], dy: &mut [f64]) { dy[0] = -y[0]; }
//!     fn jacobian(&mut self, _: &[f64], jac: &mut [f64]) { jac[0] = -1.0; }
//!     fn abs_tol(&self) -> &[f64] { &[1e-9] }
//!     fn state_name(&self, _: usize) -> String { "y".into() }
//! }
//!
//! let (mut y, mut stepper) = ([1.0], Rodas5p::new(SolverOptions::default()));
//! integrate(&mut stepper, &mut Decay, 0.0, &mut y, 1.0, &mut |_, _, _| ()).expect("a solution");
//! assert!((y[0] - (-1.0f64).exp()).abs() < 1e-5);
//! ```

mod bracket;
mod difference;
mod dopri5;
mod events;
mod failure;
mod lu;
mod rodas5p;
mod scaled;
mod segment;
mod step_size;
mod tableau;
mod work;

pub use bracket::Bracket;
pub use difference::difference_jacobian;
pub use dopri5::Dopri5;
pub use events::{integrate, integrate_until};
pub use failure::Failure;
pub use rodas5p::Rodas5p;
pub use segment::Segment;

/// An autonomous system of differential equations with discrete modes.
///
/// Between two events the modes are constant and [`System::rhs`] must be a pure function of `y`;
/// a warm start carried from one call to the next would change the result of a rerun. `&mut self`
/// is there for work space only.
pub trait System {
    /// Number of leading states that the right-hand side reads.
    fn core(&self) -> usize;

    /// Number of all states, sinks included.
    fn len(&self) -> usize;

    /// Whether there is no state at all.
    fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Writes the derivative of every state. The sinks of `y` must not be read: a stepper leaves
    /// them at an arbitrary earlier value. Bad arguments give NaN, never a panic.
    fn rhs(&mut self, y: &[f64], dy: &mut [f64]);

    /// Writes the derivative of every right-hand side with respect to the core states: row-major,
    /// [`System::len`] rows of [`System::core`] columns, each entry overwritten.
    fn jacobian(&mut self, y: &[f64], jac: &mut [f64]);

    /// Absolute tolerance of each core state, > 0; infinity takes a state out of the error norm.
    fn abs_tol(&self) -> &[f64];

    /// Number of guard functions.
    fn guards(&self) -> usize {
        0
    }

    /// Writes the guard functions. Guard `i` fires when its value goes from < 0 to >= 0; one that
    /// is >= 0 already at the start, or right after any guard has fired, must be < 0 first.
    fn guard_values(&mut self, _y: &[f64], _out: &mut [f64]) {}

    /// Changes the modes because `guard` has fired at state `y`. Called only between steps.
    fn fire(&mut self, _guard: usize, _y: &[f64]) {}

    /// What a message calls state `i`.
    fn state_name(&self, i: usize) -> String;
}

/// A method that integrates a [`System`] step by step.
pub trait Stepper {
    /// Integrates from `t` until `t_stop`, or until `on_segment` returns a time to cut at.
    ///
    /// `on_segment` sees each accepted step once, in order. When it returns `Some(t_cut)`, with
    /// `t_cut` within that step, `y` becomes the dense output at `t_cut` and the call returns
    /// `t_cut`. The step size is kept from call to call.
    ///
    /// # Errors
    ///
    /// A [`Failure`] that names the time and the state to blame; `y` is then the last good state.
    fn advance<S: System>(
        &mut self,
        system: &mut S,
        t: f64,
        y: &mut [f64],
        t_stop: f64,
        on_segment: &mut dyn FnMut(&mut S, &Segment) -> Option<f64>,
    ) -> Result<f64, Failure>;

    /// Forgets the step size, because the system is about to change its ways: the size that suited
    /// it before says nothing, and a step far too large may fool its own error estimate.
    fn disturb(&mut self);

    /// What has been done since this stepper was made.
    fn statistics(&self) -> Statistics;
}

/// How finely and how long to integrate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SolverOptions {
    /// Relative tolerance of each step.
    pub rtol: f64,
    /// Size of the very first step (s); `None` takes it from the first derivative.
    pub h_start: Option<f64>,
    /// Largest step (s), infinite for no bound. Guards are looked at four times in a step.
    pub h_max: f64,
    /// Largest number of attempted steps, rejected ones included, in the life of a stepper.
    pub step_budget: u64,
    /// Takes every step with this size (s) and without error control: for measuring orders.
    pub fixed_step: Option<f64>,
}

impl Default for SolverOptions {
    fn default() -> Self {
        SolverOptions {
            rtol: 1e-6,
            h_start: None,
            h_max: f64::INFINITY,
            step_budget: 10_000_000,
            fixed_step: None,
        }
    }
}

impl SolverOptions {
    /// The first mistake in these options, if there is one.
    fn mistake(&self) -> Option<&'static str> {
        let not_positive = |h: f64| h.is_nan() || h <= 0.0;
        if not_positive(self.rtol) || self.rtol.is_infinite() {
            Some("the relative tolerance must be > 0 and finite")
        } else if not_positive(self.h_max) {
            Some("the largest step must be > 0")
        } else if self.h_start.is_some_and(not_positive)
            || self.fixed_step.is_some_and(not_positive)
        {
            Some("a given step size must be > 0")
        } else {
            None
        }
    }
}

/// Counts of the work done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Statistics {
    /// Accepted steps.
    pub accepted: u64,
    /// Rejected attempts.
    pub rejected: u64,
    /// Evaluations of the right-hand side.
    pub rhs: u64,
    /// Evaluations of the Jacobian.
    pub jacobians: u64,
}

/// Refuses a call that no stepper can serve, so that nothing later can index out of bounds.
fn check_call<S: System>(
    system: &S,
    options: &SolverOptions,
    t: f64,
    y: &[f64],
    t_stop: f64,
) -> Result<(), Failure> {
    let (n, len) = (system.core(), system.len());
    let what = if n == 0 || n > len {
        "a system needs at least one core state and no more of them than states"
    } else if y.len() != len {
        "the state vector has not the length of the system"
    } else if system.abs_tol().len() != n {
        "the absolute tolerances are not one for each core state"
    } else if !system.abs_tol().iter().all(|&tolerance| tolerance > 0.0) {
        "an absolute tolerance is not > 0"
    } else if !t.is_finite() || !t_stop.is_finite() {
        "a time is not finite"
    } else if let Some(mistake) = options.mistake() {
        mistake
    } else {
        return Ok(());
    };
    Err(Failure::Misuse { what })
}
