//! Shares in the variance against functions with exact ones and against a reference library.

use std::f64::consts::PI;

use drybench::study::draws::sobol;
use drybench::study::sensitivity::{Indices, indices};

type Function = dyn Fn(&[f64]) -> f64;

/// The results of `points` points of a function of `axes` numbers, in the order of the design.
fn results(
    function: &Function,
    axes: usize,
    points: usize,
    share: impl Fn(usize, usize) -> f64,
) -> Vec<f64> {
    let mut values = Vec::new();
    for point in 0..points {
        let first: Vec<f64> = (0..axes).map(|k| share(point, k)).collect();
        let second: Vec<f64> = (0..axes).map(|k| share(point, axes + k)).collect();
        values.push(function(&first));
        for k in 0..axes {
            let mut exchanged = first.clone();
            exchanged[k] = second[k];
            values.push(function(&exchanged));
        }
        values.push(function(&second));
    }
    values
}

/// T. Ishigami, T. Homma, An importance quantification technique in uncertainty analysis for
/// computer models, Proc. ISUMA 1990, 398-403, with a = 7 and b = 0.1 (*mem*), from shares in 0..1.
fn ishigami(u: &[f64]) -> f64 {
    let x: Vec<f64> = u.iter().map(|u| -PI + 2.0 * PI * u).collect();
    x[0].sin() + 7.0 * x[1].sin().powi(2) + 0.1 * x[2].powi(4) * x[0].sin()
}

/// Its first and total shares in closed form (the integrals of the same paper, redone here).
fn ishigami_shares() -> [[f64; 2]; 3] {
    let (a, b) = (7.0_f64, 0.1_f64);
    let v1 = 0.5 * (1.0 + b * PI.powi(4) / 5.0).powi(2);
    let v2 = a * a / 8.0;
    let v13 = b * b * PI.powi(8) * (1.0 / 18.0 - 1.0 / 50.0);
    let v = v1 + v2 + v13;
    [[v1 / v, (v1 + v13) / v], [v2 / v, v2 / v], [0.0, v13 / v]]
}

const G: [f64; 8] = [0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0];

/// I. M. Sobol, Sensitivity estimates for nonlinear mathematical models, Math. Model. Comput.
/// Exp. 1, 1993, 407-414 (*mem*), with the usual coefficients.
fn g(u: &[f64]) -> f64 {
    u.iter().zip(G).map(|(u, a)| ((4.0 * u - 2.0).abs() + a) / (1.0 + a)).product()
}

/// Its shares in closed form: each factor has the variance 1/3 (1 + a)^-2 about its mean 1.
fn g_shares() -> Vec<[f64; 2]> {
    let own: Vec<f64> = G.iter().map(|a| 1.0 / 3.0 / (1.0 + a).powi(2)).collect();
    let all: f64 = own.iter().map(|v| 1.0 + v).product::<f64>() - 1.0;
    let total = |v: &f64| v / (1.0 + v) * (all + 1.0) / all;
    own.iter().map(|v| [v / all, total(v)]).collect()
}

fn check(name: &str, found: &Indices, exact: &[[f64; 2]], tolerance: f64) {
    for (k, (index, exact)) in found.axes.iter().zip(exact).enumerate() {
        for (word, got, due) in [("first", index.first, exact[0]), ("total", index.total, exact[1])]
        {
            let off = (got.value - due).abs();
            assert!(off < tolerance, "{name} {k} {word}: {} for {due}", got.value);
            // The interval overstates, so that five of these are not outside by chance.
            assert!(off <= got.half + 1e-4, "{name} {k} {word}: {due} not in {got:?}");
        }
    }
}

#[test]
fn exact_functions_have_their_shares() {
    let draw = |point, axis| sobol(point, axis, 1);
    let found = indices(&results(&ishigami, 3, 4096, draw), 3, 1).unwrap();
    check("ishigami", &found, &ishigami_shares(), 0.01);
    let found = indices(&results(&g, 8, 4096, draw), 8, 1).unwrap();
    check("g", &found, &g_shares(), 0.01);
}

/// The same results in, the same shares out as SALib 1.6.0 (`SALib.analyze.sobol.analyze`, first
/// and total order), on points of an additive recurrence that both languages work out alike. Its
/// intervals come from 1000 random resamplings, so they agree within their own noise.
#[test]
fn a_reference_library_finds_the_same() {
    const PRIMES: [f64; 16] = [
        2.0, 3.0, 5.0, 7.0, 11.0, 13.0, 17.0, 19.0, 23.0, 29.0, 31.0, 37.0, 41.0, 43.0, 47.0, 53.0,
    ];
    let draw = |point: usize, axis: usize| (0.5 + (point as f64 + 1.0) * PRIMES[axis].sqrt()) % 1.0;
    // First, half interval of it, total, half interval of it.
    let of_ishigami = [
        [0.332265262318, 0.0647681918886, 0.623925927352, 0.10261884227],
        [0.441097030039, 0.05680827952, 0.445828740884, 0.0438335227153],
        [-0.00192189681277, 0.0547283487081, 0.245429689665, 0.0274591046468],
    ];
    let of_g = [
        [0.714847611617, 0.0702653203856, 0.788249348998, 0.0759467604832],
        [0.183327454557, 0.0423131185588, 0.24420261949, 0.0287536447713],
        [0.0262443536771, 0.0166518179905, 0.0357022655163, 0.0046405338232],
        [0.0081915073402, 0.00862408964868, 0.0103597240321, 0.00135935207358],
        [0.000217995015851, 0.000875436308907, 0.000103058626422, 1.23978303442e-05],
        [-3.08019774125e-05, 0.000891080764113, 0.000104335109586, 1.31225853194e-05],
        [9.29248000253e-05, 0.000916799058588, 0.000104410587533, 1.37767957527e-05],
        [-6.29138546498e-05, 0.000879363614204, 0.000102446817144, 1.29063861333e-05],
    ];
    let cases: [(&str, &Function, usize, &[[f64; 4]]); 2] =
        [("ishigami", &ishigami, 3, &of_ishigami), ("g", &g, 8, &of_g)];
    for (name, function, axes, reference) in cases {
        let found = indices(&results(function, axes, 1000, draw), axes, 1).unwrap();
        for (index, reference) in found.axes.iter().zip(reference) {
            for (got, due) in [(index.first, &reference[..2]), (index.total, &reference[2..])] {
                let off = (got.value - due[0]).abs();
                assert!(off < 1e-9, "{name}: {} for {}", got.value, due[0]);
                let ratio = got.half / due[1];
                assert!((0.85..1.15).contains(&ratio), "{name}: {} for {}", got.half, due[1]);
            }
        }
    }
}
