//! Worked examples of the Guide to the expression of uncertainty in measurement (JCGM 100:2008,
//! annex H) and of its first supplement (JCGM 101:2008, clause 9). Inputs and results are quoted from
//! memory; they agree with each other to the digits given, which a wrong memory would not.

use drybench::uncertainty::{
    Distribution, Estimate, Input, evaluate, propagate, propagate_correlated, sample,
};

fn close(ours: f64, theirs: f64, tolerance: f64, what: &str) {
    println!("{what}: {ours:.6} against {theirs}");
    assert!((ours - theirs).abs() <= tolerance, "{what}: {ours} against {theirs}");
}

fn known(value: f64, standard: f64, degrees_of_freedom: f64) -> Estimate {
    Estimate { value, standard, degrees_of_freedom }
}

/// H.1, an end gauge against a standard of the same nominal length; in nanometres.
#[test]
fn end_gauge() {
    let flat = |half: f64| half / 3.0_f64.sqrt();
    let inputs = [
        known(50_000_623.0, 25.0, 18.0),           // the standard
        known(215.0, 9.7, 25.6),                   // the difference
        known(0.0, flat(1e-6), 50.0),              // difference of expansions
        known(-0.1, 0.41, f64::INFINITY),          // temperature less 20 °C
        known(11.5e-6, flat(2e-6), f64::INFINITY), // expansion of the standard
        known(0.0, flat(0.05), 2.0),               // difference of temperatures
    ];
    let length = |x: &[f64]| x[0] + x[1] - x[0] * (x[2] * x[3] + x[4] * x[5]);
    let found = propagate(&inputs, length).estimate;
    close(found.value, 50_000_838.0, 0.5, "length, nm");
    close(found.standard, 32.0, 0.5, "standard uncertainty, nm");
    // The Guide truncates 16.7 to 16 before it looks the factor up.
    close(found.degrees_of_freedom.floor(), 16.0, 0.0, "degrees of freedom");
    let cut = Estimate { degrees_of_freedom: 16.0, ..found };
    close(cut.coverage_factor(0.99), 2.92, 0.005, "t for 99 %");
    close(cut.coverage_factor(0.99) * found.standard, 93.0, 1.0, "expanded uncertainty, nm");
    // The Guide adds second-order terms: 34 nm. Sampling sees them too.
    let drawn: Vec<Input> = inputs.iter().map(|e| Input::normal(*e)).collect();
    let sampled = sample(&drawn, length, 40_000, 1).expect("finite draws");
    close(sampled.standard, 34.0, 0.7, "standard uncertainty with second order, nm");
}

/// H.2, resistance and reactance from means that are correlated.
#[test]
fn resistance_and_reactance() {
    let inputs = [
        Estimate::new(4.9990, 0.0032),
        Estimate::new(19.6610e-3, 0.0095e-3),
        Estimate::new(1.04446, 0.00075),
    ];
    let correlation = |i: usize, j: usize| match (i.min(j), i.max(j)) {
        (0, 1) => -0.36,
        (0, 2) => 0.86,
        (1, 2) => -0.65,
        _ => 1.0,
    };
    type Function = fn(&[f64]) -> f64;
    let rows: [(&str, Function, f64, f64); 3] = [
        ("R", |x| x[0] / x[1] * x[2].cos(), 127.732, 0.071),
        ("X", |x| x[0] / x[1] * x[2].sin(), 219.847, 0.295),
        ("Z", |x| x[0] / x[1], 254.260, 0.236),
    ];
    for (name, function, value, standard) in rows {
        let found = propagate_correlated(&inputs, correlation, function).estimate;
        close(found.value, value, 0.0015, name);
        // the correlations are printed to two digits
        close(found.standard, standard, 0.003, &format!("u({name})"));
    }
}

/// Supplement 1, 9.2: a sum of four inputs, normal or rectangular, all with u = 1.
#[test]
fn additive_model() {
    let sum = |x: &[f64]| x.iter().sum::<f64>();
    let of = |distribution, spread| [Input { value: 0.0, spread, distribution }; 4];
    let normal = sample(&of(Distribution::Normal, 1.0), sum, 200_000, 2).expect("finite draws");
    close(normal.standard, 2.0, 0.01, "u of normal inputs");
    close(normal.interval.1 - normal.interval.0, 7.84, 0.06, "interval of normal inputs");
    let flat = sample(&of(Distribution::Rectangular, 3.0_f64.sqrt()), sum, 200_000, 3);
    let flat = flat.expect("finite draws");
    close(flat.standard, 2.0, 0.01, "u of rectangular inputs");
    close(flat.interval.1 - flat.interval.0, 7.76, 0.06, "interval of rectangular inputs");
}

/// Supplement 1, 9.3: calibration of a weight in air, where propagation is 40 % too small.
#[test]
fn weight_in_air() {
    let flat = |low: f64, high: f64| Input {
        value: 0.5 * (low + high),
        spread: 0.5 * (high - low),
        distribution: Distribution::Rectangular,
    };
    let inputs = [
        Input::normal(Estimate::new(100_000.0, 0.050)),
        Input::normal(Estimate::new(1.234, 0.020)),
        flat(1.10, 1.30),
        flat(7_000.0, 9_000.0),
        flat(7_950.0, 8_050.0),
    ];
    let model =
        |x: &[f64]| (x[0] + x[1]) * (1.0 + (x[2] - 1.2) * (1.0 / x[3] - 1.0 / x[4])) - 100_000.0;
    let found = sample(&inputs, model, 200_000, 4).expect("finite draws");
    close(found.mean, 1.2341, 0.001, "mean, mg");
    close(found.standard, 0.0754, 0.0008, "u by sampling, mg");
    close(found.interval.0, 1.0834, 0.006, "low end, mg");
    close(found.interval.1, 1.3825, 0.006, "high end, mg");
    let plain: Vec<Estimate> = inputs
        .iter()
        .map(|i| match i.distribution {
            Distribution::Rectangular => Estimate::within(i.value, i.spread),
            _ => Estimate::new(i.value, i.spread),
        })
        .collect();
    close(propagate(&plain, model).estimate.standard, 0.0539, 0.0001, "u by propagation, mg");
}

/// Supplement 1, 9.4: a squared magnitude near zero, where propagation fails.
#[test]
fn comparison_loss() {
    let loss = |x: &[f64]| 1e6 * (x[0] * x[0] + x[1] * x[1]);
    let at = |x1: f64| [Estimate::new(x1, 0.005), Estimate::new(0.0, 0.005)];
    let none = evaluate(&at(0.0), loss).expect("a value");
    close(none.estimate.value, 50.0, 1.5, "mean at 0");
    close(none.estimate.standard, 50.0, 1.5, "u at 0");
    close(none.interval.1, 150.0, 5.0, "high end at 0");
    let some = evaluate(&at(0.010), loss).expect("a value");
    close(some.estimate.value, 150.0, 2.5, "mean at 0.010");
    close(some.estimate.standard, 112.0, 2.5, "u at 0.010");
    // The mode is flat there, so the shortest interval is known less well.
    close(some.interval.1, 367.0, 9.0, "high end at 0.010");
    assert_eq!(none.method, drybench::uncertainty::Method::Sampling);
    assert_eq!(some.method, drybench::uncertainty::Method::Sampling);
}
