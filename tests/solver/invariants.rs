//! Linear invariants, sinks, and reruns.

use drybench::solver::{Dopri5, Rodas5p, SolverOptions, Stepper, integrate};

use crate::systems::{EXCHANGE_START, Exact, Exchange, PENDULUM_START, Pendulum, run};

/// Heat and water in all stores and sinks.
fn totals(y: &[f64]) -> [f64; 2] {
    [y[0] + y[1] + y[2] + y[6] + y[7] + y[9], y[3] + y[4] + y[8]]
}

/// The largest drift of a total over an hour, relative to what is in the stores, looked at within
/// steps too.
fn drift<St: Stepper>(mut stepper: St) -> f64 {
    let mut system = Exact::new(Exchange);
    let mut y = EXCHANGE_START;
    let start = totals(&y);
    let mut inner = y;
    let mut worst = 0.0_f64;
    integrate(&mut stepper, &mut system, 0.0, &mut y, 3600.0, &mut |_, segment, _| {
        for th in [0.3, 0.7, 1.0] {
            segment.eval(segment.t0() + th * (segment.t1() - segment.t0()), &mut inner);
            let now = totals(&inner);
            let gap = [now[0] - start[0], now[1] - start[1]];
            worst = worst.max((gap[0] / start[0]).abs()).max((gap[1] / start[1]).abs());
        }
    })
    .expect("a solvable problem");
    assert!(y[3] < 0.19 && y[7] > 1e4, "the exchange must have moved something: {y:?}");
    println!("drift {worst:.1e}, {:?}", stepper.statistics());
    worst
}

#[test]
fn invariants_hold_to_round_off_at_any_tolerance() {
    for rtol in [1e-3, 1e-8] {
        let options = SolverOptions { rtol, ..SolverOptions::default() };
        let rosenbrock = drift(Rodas5p::new(options));
        let explicit = drift(Dopri5::new(options));
        assert!(rosenbrock < 1e-14, "Rodas5P at {rtol}: {rosenbrock}");
        // One rounding for each of its many more steps: a random walk, no loss.
        assert!(explicit < 1e-12, "Dopri5 at {rtol}: {explicit}");
    }
}

#[test]
fn steppers_agree() {
    let options = SolverOptions { rtol: 1e-9, ..SolverOptions::default() };
    let mut y = [EXCHANGE_START; 2];
    let mut system = Exact::new(Exchange);
    let mut rodas = Rodas5p::new(options);
    run(&mut rodas, &mut system, (0.0, 3600.0), &mut y[0]).expect("solvable");
    let mut dopri = Dopri5::new(options);
    run(&mut dopri, &mut system, (0.0, 3600.0), &mut y[1]).expect("solvable");
    for (i, (a, b)) in y[0].iter().zip(&y[1]).enumerate() {
        // Tolerances: 1 J or 1 mg a step, a few hundred steps, most of it forgotten.
        assert!((a - b).abs() < 1e-4 * b.abs() + 1e-5, "state {i}: {a} {b}");
    }
}

/// A sink must get what it would get as an ordinary state, at the end and within steps.
#[test]
fn sinks_are_integrated_like_states() {
    let mut seen = [Vec::new(), Vec::new()];
    for (all_core, seen) in [true, false].into_iter().zip(&mut seen) {
        let mut stepper =
            Rodas5p::new(SolverOptions { fixed_step: Some(0.1), ..SolverOptions::default() });
        let mut system = Exact::new(Pendulum { all_core });
        let mut y = PENDULUM_START;
        integrate(&mut stepper, &mut system, 0.0, &mut y, 5.0, &mut |_, segment, _| {
            let mut inner = [0.0; 4];
            segment.eval(segment.t0() + 0.3 * (segment.t1() - segment.t0()), &mut inner);
            seen.extend(inner);
        })
        .expect("solvable");
        seen.extend(y);
    }
    assert_eq!(seen[0].len(), seen[1].len());
    for (a, b) in seen[0].iter().zip(&seen[1]) {
        assert!((a - b).abs() < 1e-13, "{a} {b}");
    }
}

#[test]
fn a_rerun_gives_the_same_bits() {
    let mut stepper = Rodas5p::new(SolverOptions::default());
    let mut ends = Vec::new();
    for _ in 0..2 {
        stepper.reset();
        let mut y = EXCHANGE_START;
        let mut system = Exact::new(Exchange);
        run(&mut stepper, &mut system, (0.0, 3600.0), &mut y).expect("solvable");
        ends.push(y);
    }
    assert_eq!(ends[0], ends[1]);
}

#[test]
fn a_step_size_outlives_a_stop() {
    let mut stepper = Rodas5p::new(SolverOptions::default());
    let mut system = Exact::new(Exchange);
    let mut y = EXCHANGE_START;
    run(&mut stepper, &mut system, (0.0, 1800.0), &mut y).expect("solvable");
    let before = stepper.statistics().accepted;
    run(&mut stepper, &mut system, (1800.0, 1800.001), &mut y).expect("solvable");
    run(&mut stepper, &mut system, (1800.001, 1900.0), &mut y).expect("solvable");
    let more = stepper.statistics().accepted - before;
    assert!(more <= 5, "{more} steps after a stop");
}
