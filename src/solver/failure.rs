//! Why an integration ended early.

use super::System;

/// Why an integration ended early. Every message names the time and, where one is to blame, the state.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Failure {
    /// The step budget is spent.
    #[error("gave up at t = {t} s after {steps} steps (the step budget)")]
    StepBudget {
        /// Time reached (s).
        t: f64,
        /// Attempted steps.
        steps: u64,
    },
    /// No step is short enough to meet the tolerance.
    #[error(
        "the step size became too small at t = {t} s; the worst state is {worst_name}{}",
        if *.not_finite { " (not a finite number)" } else { "" }
    )]
    StepTooSmall {
        /// Time reached (s).
        t: f64,
        /// Index of the state with the largest error.
        worst_state: usize,
        /// Its name.
        worst_name: String,
        /// Whether the last attempt gave NaN or infinity.
        not_finite: bool,
    },
    /// The state or its derivative is NaN or infinite where a step starts.
    #[error("{what} of {name} is not a finite number at t = {t} s")]
    NotFinite {
        /// Time reached (s).
        t: f64,
        /// Index of the state.
        state: usize,
        /// Its name.
        name: String,
        /// Which quantity of that state.
        what: &'static str,
    },
    /// Events follow each other without time going on.
    #[error(
        "{events} events at t = {t} s without time going on; the last was guard {guard} (no hysteresis?)"
    )]
    EventLoop {
        /// Time reached (s).
        t: f64,
        /// The guard that fired last.
        guard: usize,
        /// Events in the burst.
        events: u32,
    },
    /// The call itself makes no sense.
    #[error("{what}")]
    Misuse {
        /// What is wrong.
        what: &'static str,
    },
}

impl Failure {
    /// When (s); a wrong call has no time.
    #[must_use]
    pub fn time_s(&self) -> Option<f64> {
        match self {
            Failure::StepBudget { t, .. }
            | Failure::StepTooSmall { t, .. }
            | Failure::NotFinite { t, .. }
            | Failure::EventLoop { t, .. } => Some(*t),
            Failure::Misuse { .. } => None,
        }
    }

    /// Index of the state to blame, where there is one.
    #[must_use]
    pub fn state(&self) -> Option<usize> {
        match self {
            Failure::StepTooSmall { worst_state: state, .. } | Failure::NotFinite { state, .. } => {
                Some(*state)
            }
            _ => None,
        }
    }

    /// A [`Failure::StepTooSmall`] that blames `state`.
    pub(super) fn too_small<S: System>(system: &S, t: f64, state: usize, not_finite: bool) -> Self {
        Failure::StepTooSmall {
            t,
            worst_state: state,
            worst_name: system.state_name(state),
            not_finite,
        }
    }

    /// A [`Failure::NotFinite`] for the first bad number among the state, the right-hand side and
    /// the Jacobian (`columns` entries for each state), if there is one.
    pub(super) fn not_finite<S: System>(
        system: &S,
        t: f64,
        y: &[f64],
        dy: &[f64],
        jac: &[f64],
        columns: usize,
    ) -> Option<Self> {
        let bad = |v: &[f64]| v.iter().position(|x| !x.is_finite());
        let (state, what) = bad(y)
            .map(|i| (i, "the value"))
            .or_else(|| bad(dy).map(|i| (i, "the rate of change")))
            .or_else(|| {
                bad(jac).map(|i| (i / columns.max(1), "a derivative of the rate of change"))
            })?;
        let name = system.state_name(state);
        Some(Failure::NotFinite { t, state, name, what })
    }
}
