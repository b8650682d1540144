//! What cannot be integrated ends in a failure that says so, never in a panic.

use drybench::solver::{Dopri5, Failure, Rodas5p, SolverOptions, Stepper, System};

use crate::systems::{Exact, PENDULUM_START, Pendulum, run};

/// y' = y, but NaN past `limit`; the sink's derivative turns NaN past `sink_limit`.
struct Broken {
    limit: f64,
    sink_limit: f64,
}

impl System for Broken {
    fn core(&self) -> usize {
        2
    }
    fn len(&self) -> usize {
        3
    }
    fn rhs(&mut self, y: &[f64], dy: &mut [f64]) {
        dy[0] = 1.0;
        dy[1] = if y[1] > self.limit { f64::NAN } else { y[1] };
        dy[2] = if y[1] > self.sink_limit { f64::INFINITY } else { y[0] };
    }
    fn jacobian(&mut self, _y: &[f64], jac: &mut [f64]) {
        jac.copy_from_slice(&[0.0, 0.0, 0.0, 1.0, 1.0, 0.0]);
    }
    fn abs_tol(&self) -> &[f64] {
        &[f64::INFINITY, 1e-6]
    }
    fn state_name(&self, i: usize) -> String {
        ["time", "water of the pad", "ledger"][i].to_owned()
    }
}

fn outcome<St: Stepper>(mut stepper: St, mut system: Broken) -> (Failure, f64) {
    let mut y = [0.0, 1.0, 0.0];
    let result = run(&mut stepper, &mut system, (0.0, 10.0), &mut y);
    assert!(y.iter().all(|y| y.is_finite()), "the state must be the last good one: {y:?}");
    (result.expect_err("no solution up to 10 s"), y[1])
}

#[test]
fn nan_at_the_start_is_named() {
    let system = || Broken { limit: 0.5, sink_limit: 9.0 };
    for failure in [
        outcome(Rodas5p::new(SolverOptions::default()), system()).0,
        outcome(Dopri5::new(SolverOptions::default()), system()).0,
    ] {
        let text = failure.to_string();
        assert!(matches!(failure, Failure::NotFinite { state: 1, .. }), "{text}");
        assert!(text.contains("water of the pad") && text.contains("t = 0 s"), "{text}");
    }
}

/// Both steppers creep up to the wall at y = 2 and blame the right state.
#[test]
fn nan_on_the_way_ends_at_the_wall() {
    for (limit, sink_limit, name) in [(2.0, 9.0, "water of the pad"), (9.0, 2.0, "ledger")] {
        let system = || Broken { limit, sink_limit };
        for (failure, reached) in [
            outcome(Rodas5p::new(SolverOptions::default()), system()),
            outcome(Dopri5::new(SolverOptions::default()), system()),
        ] {
            let text = failure.to_string();
            println!("{text}");
            assert!((reached - 2.0).abs() < 1e-6, "{reached}: {text}");
            assert!(text.contains(name) && text.contains("t = 0.69"), "{text}");
            let named = match failure {
                Failure::StepTooSmall { not_finite, .. } => not_finite,
                Failure::NotFinite { .. } => true,
                _ => false,
            };
            assert!(named, "{text}");
        }
    }
}

/// y' = y^2 from 1 reaches infinity at t = 1.
struct Blowup;

impl System for Blowup {
    fn core(&self) -> usize {
        1
    }
    fn len(&self) -> usize {
        1
    }
    fn rhs(&mut self, y: &[f64], dy: &mut [f64]) {
        dy[0] = y[0] * y[0];
    }
    fn jacobian(&mut self, y: &[f64], jac: &mut [f64]) {
        jac[0] = 2.0 * y[0];
    }
    fn abs_tol(&self) -> &[f64] {
        &[1e-6]
    }
    fn state_name(&self, _i: usize) -> String {
        "pole".to_owned()
    }
}

#[test]
fn a_pole_is_no_endless_loop() {
    fn ends<St: Stepper>(mut stepper: St) {
        let mut y = [1.0];
        let result = run(&mut stepper, &mut Blowup, (0.0, 2.0), &mut y);
        let failure = result.expect_err("no solution past 1 s");
        println!("{failure}");
        assert!(matches!(failure, Failure::StepTooSmall { .. }), "{failure}");
        assert!(failure.to_string().contains("pole"), "{failure}");
    }
    ends(Rodas5p::new(SolverOptions::default()));
    ends(Dopri5::new(SolverOptions::default()));
}

#[test]
fn the_step_budget_is_kept() {
    fn spend<St: Stepper>(mut stepper: St) {
        let mut y = PENDULUM_START;
        let mut system = Exact::new(Pendulum { all_core: false });
        let result = run(&mut stepper, &mut system, (0.0, 1e4), &mut y);
        match result.expect_err("100 steps cannot do") {
            Failure::StepBudget { t, steps } => {
                assert!(t > 0.0 && (100..=101).contains(&steps), "{t} {steps}");
            }
            other => panic!("{other}"),
        }
    }
    let options = SolverOptions { step_budget: 100, ..SolverOptions::default() };
    spend(Rodas5p::new(options));
    spend(Dopri5::new(options));
}

#[test]
fn senseless_calls_are_refused() {
    let mut system = Exact::new(Pendulum { all_core: false });
    let mut call = |options: SolverOptions, t: f64, t_stop: f64, len: usize| {
        let mut y = vec![0.0; len];
        let mut stepper = Rodas5p::new(options);
        let result = run(&mut stepper, &mut system, (t, t_stop), &mut y);
        matches!(result, Err(Failure::Misuse { .. }))
    };
    let good = SolverOptions::default();
    assert!(!call(good, 0.0, 1.0, 4));
    assert!(call(good, 0.0, 1.0, 3));
    assert!(call(good, 0.0, f64::NAN, 4));
    assert!(call(good, f64::INFINITY, 1.0, 4));
    assert!(call(SolverOptions { rtol: 0.0, ..good }, 0.0, 1.0, 4));
    assert!(call(SolverOptions { h_max: f64::NAN, ..good }, 0.0, 1.0, 4));
    assert!(call(SolverOptions { h_start: Some(-1.0), ..good }, 0.0, 1.0, 4));
}

#[test]
fn a_stop_in_the_past_does_nothing() {
    let mut y = PENDULUM_START;
    let mut system = Exact::new(Pendulum { all_core: false });
    let mut stepper = Rodas5p::new(SolverOptions::default());
    let fired = run(&mut stepper, &mut system, (5.0, 5.0), &mut y);
    assert_eq!(fired, Ok(0));
    assert_eq!(y, PENDULUM_START);
    assert_eq!(stepper.statistics().rhs, 0);
}
