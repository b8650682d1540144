//! The steppers: measured orders, stiff problems, invariants, events, failures.

#[path = "solver/events.rs"]
mod events;
#[path = "solver/failures.rs"]
mod failures;
#[path = "solver/invariants.rs"]
mod invariants;
#[path = "solver/systems.rs"]
mod systems;

use drybench::solver::{
    Dopri5, Rodas5p, SolverOptions, Stepper, System, difference_jacobian, integrate,
};
use systems::{Exact, Law, PENDULUM_START, Pendulum, ProtheroRobinson, Robertson, run};

/// Errors of the last point and of the worst of the points within steps, over a run with a fixed step.
fn errors<L: Law, St: Stepper>(
    law: L,
    mut stepper: St,
    start: &[f64],
    t_end: f64,
    exact: &dyn Fn(f64, &mut [f64]),
) -> (f64, f64) {
    let mut y = start.to_vec();
    let mut system = Exact::new(law);
    let (mut found, mut truth) = (y.clone(), y.clone());
    let distance =
        |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    let mut worst = 0.0_f64;
    integrate(&mut stepper, &mut system, 0.0, &mut y, t_end, &mut |_, segment, _| {
        for th in [0.2, 0.45, 0.8] {
            let t = segment.t0() + th * (segment.t1() - segment.t0());
            segment.eval(t, &mut found);
            exact(t, &mut truth);
            worst = worst.max(distance(&found, &truth));
        }
    })
    .expect("a smooth problem");
    exact(t_end, &mut truth);
    (distance(&y, &truth), worst)
}

fn fixed(h: f64) -> SolverOptions {
    SolverOptions { fixed_step: Some(h), ..SolverOptions::default() }
}

/// Least-squares slope of log error against log step.
fn slope(points: &[(f64, f64)]) -> f64 {
    let n = points.len() as f64;
    let logs = || points.iter().map(|(h, e)| (h.ln(), e.ln()));
    let (mx, my) = logs().fold((0.0, 0.0), |m, (x, y)| (m.0 + x / n, m.1 + y / n));
    let (sxy, sxx) =
        logs().fold((0.0, 0.0), |s, (x, y)| (s.0 + (x - mx) * (y - my), s.1 + (x - mx) * (x - mx)));
    sxy / sxx
}

/// The pendulum, sinks included, on a fine grid of a very tight run by the other method.
fn pendulum_reference(t_end: f64) -> impl Fn(f64, &mut [f64]) {
    let fine = 1e-3;
    let mut grid = vec![PENDULUM_START.to_vec()];
    let mut y = PENDULUM_START.to_vec();
    let mut system = Exact::new(Pendulum { all_core: true });
    let mut stepper = Dopri5::new(fixed(fine));
    integrate(&mut stepper, &mut system, 0.0, &mut y, t_end, &mut |_, segment, _| {
        grid.push(segment.y1().to_vec());
    })
    .expect("a smooth problem");
    // Between grid points: one more step of the classical method of order 4, local error 1e-17.
    move |t, out| {
        let i = ((t / fine).floor() as usize).min(grid.len() - 1);
        runge_kutta(&grid[i], t - i as f64 * fine, out);
    }
}

fn runge_kutta(y: &[f64], h: f64, out: &mut [f64]) {
    let law = Pendulum { all_core: true };
    let mut k = [[0.0; 4]; 4];
    for (i, c) in [0.0, 0.5, 0.5, 1.0].into_iter().enumerate() {
        let before = if i > 0 { k[i - 1] } else { [0.0; 4] };
        let stage: Vec<f64> = y.iter().zip(before).map(|(y, k)| y + c * h * k).collect();
        law.rates(&stage, &mut k[i]);
    }
    for (i, o) in out.iter_mut().enumerate() {
        *o = y[i] + h / 6.0 * (k[0][i] + 2.0 * k[1][i] + 2.0 * k[2][i] + k[3][i]);
    }
}

fn measure(steps: &[f64], run: impl Fn(f64) -> (f64, f64)) -> (f64, f64) {
    let results: Vec<(f64, (f64, f64))> = steps.iter().map(|&h| (h, run(h))).collect();
    for (h, (end, within)) in &results {
        println!("h {h:8.5}: error at the end {end:9.2e}, within steps {within:9.2e}");
    }
    let ends: Vec<_> = results.iter().map(|(h, e)| (*h, e.0)).collect();
    let within: Vec<_> = results.iter().map(|(h, e)| (*h, e.1)).collect();
    let orders = (slope(&ends), slope(&within));
    println!("orders: step {:.3}, dense output {:.3}", orders.0, orders.1);
    orders
}

#[test]
fn rodas5p_has_order_5_on_a_pendulum_with_sinks() {
    let exact = pendulum_reference(6.0);
    let steps = [0.1, 0.05, 0.025, 0.0125];
    let (step, dense) = measure(&steps, |h| {
        let law = Pendulum { all_core: false };
        errors(law, Rodas5p::new(fixed(h)), &PENDULUM_START, 6.0, &exact)
    });
    assert!((step - 5.0).abs() < 0.3, "{step}");
    assert!(dense > 3.7, "{dense}");
}

#[test]
fn dopri5_has_order_5_on_a_pendulum_with_sinks() {
    let exact = pendulum_reference(6.0);
    let steps = [0.2, 0.1, 0.05, 0.025];
    let (step, dense) = measure(&steps, |h| {
        let law = Pendulum { all_core: false };
        errors(law, Dopri5::new(fixed(h)), &PENDULUM_START, 6.0, &exact)
    });
    assert!((step - 5.0).abs() < 0.3, "{step}");
    assert!(dense > 3.7, "{dense}");
}

fn prothero_robinson(stiffness: f64) -> (f64, f64) {
    measure(&[0.4, 0.2, 0.1, 0.05], |h| {
        let law = ProtheroRobinson { stiffness };
        errors(law, Rodas5p::new(fixed(h)), &[0.0, 0.0], 8.0, &|t, y| {
            (y[0], y[1]) = (t.sin(), t);
        })
    })
}

/// The limit of infinite stiffness, h times stiffness 5e4 to 4e5. The state hangs on a slow solution
/// and the classical order does not show at the ends of steps: what is left of the error falls as
/// h^3 / stiffness (the known order reduction of Rosenbrock methods), far below the dense output,
/// which keeps its order 4.
#[test]
fn rodas5p_on_a_very_stiff_problem_hugs_the_slow_solution() {
    let (step, dense) = prothero_robinson(1e6);
    assert!((step - 3.0).abs() < 0.3, "{step}");
    assert!(dense > 3.7, "{dense}");
    let (end, within) = errors(
        ProtheroRobinson { stiffness: 1e6 },
        Rodas5p::new(fixed(0.4)),
        &[0.0, 0.0],
        8.0,
        &|t, y| (y[0], y[1]) = (t.sin(), t),
    );
    assert!(end < 1e-9 && within < 1e-5, "{end} {within}");
}

#[test]
fn rodas5p_has_order_5_on_prothero_robinson_without_stiffness() {
    let (step, dense) = prothero_robinson(1.0);
    assert!((step - 5.0).abs() < 0.3, "{step}");
    assert!(dense > 3.7, "{dense}");
}

fn robertson() -> Exact<Robertson> {
    Exact::new(Robertson { abs_tol: [1e-14, 1e-18, 1e-14] })
}

fn end_of<St: Stepper>(mut stepper: St, start: &[f64], span: (f64, f64)) -> Vec<f64> {
    let mut y = start.to_vec();
    run(&mut stepper, &mut robertson(), span, &mut y).expect("a solvable problem");
    y
}

fn relative_distance(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| ((a - b) / b).abs()).fold(0.0, f64::max)
}

/// From 8 s to 40 s the fast mode has a rate of about 2e3 per second, so that h times stiffness is
/// 1e3 to 2e4 here. (Below h = 0.5 s the h^3 / stiffness of the problem above takes over, at 1e-11.)
#[test]
fn rodas5p_has_order_5_on_stiff_kinetics() {
    let tight = SolverOptions { rtol: 1e-13, ..SolverOptions::default() };
    let start = end_of(Rodas5p::new(tight), &[1.0, 0.0, 0.0], (0.0, 8.0));
    let exact = end_of(Rodas5p::new(tight), &start, (8.0, 40.0));
    let explicit = SolverOptions { rtol: 1e-12, ..SolverOptions::default() };
    let other = end_of(Dopri5::new(explicit), &start, (8.0, 40.0));
    let gap = relative_distance(&exact, &other);
    println!("reference: the two methods differ by {gap:.1e}");
    assert!(gap < 1e-11, "{gap}");
    let points: Vec<(f64, f64)> = [8.0, 4.0, 2.0, 1.0, 0.5]
        .into_iter()
        .map(|h| {
            let found = end_of(Rodas5p::new(fixed(h)), &start, (8.0, 40.0));
            (h, relative_distance(&found, &exact))
        })
        .collect();
    for (h, error) in &points {
        println!("h {h:5.2}: error {error:.2e}");
    }
    let order = slope(&points);
    println!("order {order:.3}");
    assert!((order - 5.0).abs() < 0.3, "{order}");
}

#[test]
fn error_control_keeps_what_it_promises() {
    let exact = [0.7158270687194, 9.18553476456e-6, 0.2841637457458];
    for rtol in [1e-3, 1e-5, 1e-7, 1e-9] {
        let mut stepper = Rodas5p::new(SolverOptions { rtol, ..SolverOptions::default() });
        let mut y = [1.0, 0.0, 0.0];
        run(&mut stepper, &mut robertson(), (0.0, 40.0), &mut y).expect("a solvable problem");
        let error = relative_distance(&y, &exact);
        println!("rtol {rtol:.0e}: error {error:.1e}, {:?}", stepper.statistics());
        assert!(error < rtol, "{error} at {rtol}");
    }
}

#[test]
fn exact_jacobians_match_differences() {
    let mut system = Exact::new(systems::Exchange);
    let (n, len) = (system.core(), system.len());
    let y = systems::EXCHANGE_START;
    let (mut exact, mut found) = (vec![0.0; n * len], vec![0.0; n * len]);
    system.jacobian(&y, &mut exact);
    let steps = [1.0, 1.0, 1.0, 1e-5, 1e-6, 1e-2];
    difference_jacobian(&mut system, &y, &steps, &mut found);
    for (i, (a, b)) in found.iter().zip(&exact).enumerate() {
        assert!((a - b).abs() < 1e-6 * (1.0 + b.abs()), "{i}: {a} {b}");
    }
}
