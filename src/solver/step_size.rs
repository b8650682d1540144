//! Choice of the step size.

use super::SolverOptions;

/// The embedded error of a method of order 5(4) goes as the fifth power of the step.
const ERROR_EXPONENT: f64 = 0.2;
/// Safety factor and bounds of one change of step size: common practice, as in the codes of
/// Hairer and Wanner (from memory).
const SAFETY: f64 = 0.9;
const SMALLEST_FACTOR: f64 = 0.2;
const LARGEST_FACTOR: f64 = 6.0;
/// Factor after an attempt that was not finite: its error says nothing, so be bold.
const NOT_FINITE_FACTOR: f64 = 0.25;
/// A remainder of the span longer than the step by less than this fraction is round-off.
const SPAN_ROUND_OFF: f64 = 1e-9;
/// Errors below this say little about the trend of the error (common practice).
const SMALLEST_TREND_ERROR: f64 = 1e-2;
/// Smallest step relative to the time, or to one second.
const FLOOR: f64 = 1e-12;

/// A step to attempt.
#[derive(Clone, Copy, Debug)]
pub(super) struct StepPlan {
    /// Its size (s).
    pub h: f64,
    /// Whether it ends at the stop.
    pub last: bool,
    /// The size it would have had without the stop (s).
    wanted: f64,
}

/// Predictive step size control (Gustafsson's, from memory): the next step takes the trend of the
/// error over the last two into account. The size outlives stops and cuts.
#[derive(Clone, Debug, Default)]
pub(super) struct StepSize {
    next: Option<f64>,
    /// Size and error of the last accepted step.
    accepted: Option<(f64, f64)>,
    after_rejection: bool,
    /// Whether the next step is the first after a cut.
    after_cut: bool,
    /// The size that would have been right for the first step after the last cut.
    restart: Option<f64>,
}

impl StepSize {
    /// Whether a size is still to be chosen.
    pub(super) fn is_unset(&self) -> bool {
        self.next.is_none()
    }

    /// Forgets the size; what served after the last cut stays known.
    pub(super) fn forget(&mut self) {
        self.next = None;
        self.accepted = None;
    }

    /// Sets the size to try next.
    pub(super) fn set(&mut self, h: f64) {
        self.next = Some(h);
    }

    /// The next step towards a stop that is `remaining` away. The last two steps before a stop are
    /// made equal, so that none is needlessly small.
    pub(super) fn plan(&self, remaining: f64, options: &SolverOptions) -> StepPlan {
        let fixed = options.fixed_step;
        let wanted = fixed.unwrap_or(self.next.unwrap_or(remaining)).min(options.h_max);
        let last = remaining <= wanted * (1.0 + SPAN_ROUND_OFF);
        let h = if last {
            remaining
        } else if fixed.is_none() && remaining < 2.0 * wanted {
            0.5 * remaining
        } else {
            wanted
        };
        StepPlan { h, last, wanted }
    }

    /// Whether the next step would be too small to go on from time `t`.
    pub(super) fn is_too_small(&self, t: f64) -> bool {
        self.next.is_some_and(|h| h < FLOOR * t.abs().max(1.0))
    }

    /// Learns from an accepted step.
    pub(super) fn accept(&mut self, plan: StepPlan, error: f64) {
        let mut factor = SAFETY * error.powf(-ERROR_EXPONENT);
        if let Some((h, e)) = self.accepted {
            let trend = plan.h / h * (e / (error * error)).powf(ERROR_EXPONENT);
            factor = factor.min(SAFETY * trend);
        }
        let largest = if self.after_rejection { 1.0 } else { LARGEST_FACTOR };
        let proposed = plan.h * factor.clamp(SMALLEST_FACTOR, largest);
        let shortened = plan.h < plan.wanted;
        self.next = Some(if shortened { proposed.max(plan.wanted) } else { proposed });
        self.accepted = Some((plan.h, error.max(SMALLEST_TREND_ERROR)));
        if std::mem::take(&mut self.after_cut) {
            self.restart = self.next;
        }
        self.after_rejection = false;
    }

    /// Learns from a rejected step; `None` if its error is not finite.
    pub(super) fn reject(&mut self, plan: StepPlan, error: Option<f64>) {
        let factor = error.map_or(NOT_FINITE_FACTOR, |error| {
            (SAFETY * error.powf(-ERROR_EXPONENT)).clamp(SMALLEST_FACTOR, 1.0)
        });
        self.next = Some(plan.h * factor);
        self.after_rejection = true;
    }

    /// A step was cut short by an event: go on with the size that it was tried with, or with what
    /// was right after the event before if that is less, and expect nothing of the trend of the
    /// error. (A thermostat repeats itself: this saves the one or two rejections at each switching.)
    pub(super) fn cut(&mut self, plan: StepPlan) {
        let learned = self.restart.unwrap_or(f64::INFINITY);
        self.next = self.next.map(|h| h.min(plan.wanted).min(learned));
        self.after_cut = true;
        self.accepted = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stop_shortens_a_step_but_not_the_memory() {
        let options = SolverOptions::default();
        let mut size = StepSize::default();
        size.set(10.0);
        let plan = size.plan(0.5, &options);
        assert!(plan.last && plan.h == 0.5);
        size.accept(plan, 1e-9);
        assert_eq!(size.plan(1000.0, &options).h, 10.0);
    }

    #[test]
    fn the_last_two_steps_are_equal() {
        let mut size = StepSize::default();
        size.set(10.0);
        let plan = size.plan(12.0, &SolverOptions::default());
        assert!(!plan.last && plan.h == 6.0);
    }

    #[test]
    fn a_restart_remembers_the_one_before() {
        let options = SolverOptions::default();
        let mut size = StepSize::default();
        size.set(10.0);
        let plan = size.plan(1000.0, &options);
        size.accept(plan, 1e-9);
        size.cut(plan);
        let plan = size.plan(1000.0, &options);
        assert_eq!(plan.h, 10.0, "the first restart keeps the size");
        size.reject(plan, Some(1e2));
        let plan = size.plan(1000.0, &options);
        size.accept(plan, 0.5);
        size.set(10.0);
        size.cut(size.plan(1000.0, &options));
        let h = size.plan(1000.0, &options).h;
        assert!(h <= plan.h && h > 0.5 * plan.h, "{h} after {}", plan.h);
    }

    #[test]
    fn factors_are_bounded() {
        let options = SolverOptions::default();
        let mut size = StepSize::default();
        size.set(1.0);
        let plan = size.plan(100.0, &options);
        size.accept(plan, 0.0);
        assert_eq!(size.plan(100.0, &options).h, LARGEST_FACTOR);
        size.reject(size.plan(100.0, &options), Some(1e30));
        assert!((size.plan(100.0, &options).h - LARGEST_FACTOR * SMALLEST_FACTOR).abs() < 1e-15);
        size.reject(size.plan(100.0, &options), None);
        assert!((size.plan(100.0, &options).h - 0.3).abs() < 1e-15);
        let plan = size.plan(100.0, &options);
        size.accept(plan, 1e-9);
        assert!(size.plan(100.0, &options).h <= plan.h, "no growth right after a rejection");
    }
}
