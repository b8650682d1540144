//! The generic fit on small formulas whose answers are known: bounds, intervals, parameters that
//! cannot be told apart, planning, and the coverage of its intervals.

use drybench::study::fit::{
    Candidate, End, ErrorScale, Fit, FitError, Interval, Known, Parameter, Problem, SearchOptions,
    Side, Standing, bands, draw, fit, fit_from_many, jacobian, percent, profile, rank, sample,
    score, verdict,
};
use nalgebra::DMatrix;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use statrs::distribution::{ContinuousCDF, Normal};

type Formula = fn(f64, &[f64]) -> f64;

struct Curve {
    formula: Formula,
    x: Vec<f64>,
    y: Vec<f64>,
    u: f64,
}

impl Curve {
    /// Data of the formula at `truth`, with noise of standard deviation `u` if there is a seed.
    fn new(formula: Formula, x: &[f64], truth: &[f64], u: f64, seed: Option<u64>) -> Self {
        let mut dice = seed.map(ChaCha8Rng::seed_from_u64);
        let normal = Normal::standard();
        let mut noise =
            || dice.as_mut().map_or(0.0, |d| u * normal.inverse_cdf(d.random_range(1e-12..1.0)));
        let y = x.iter().map(|x| formula(*x, truth) + noise()).collect();
        Curve { formula, x: x.to_vec(), y, u }
    }

    fn solve(&self, parameters: &[Parameter]) -> (Fit, Known, Vec<Interval>) {
        let options = SearchOptions::exact();
        let found = fit(self, parameters, &options).expect("a fit");
        let known = Known::new(&found, self.y.len() as f64, ErrorScale::Stated, &options);
        let intervals = profile(self, parameters, &found, &known, &options);
        (found, known, intervals)
    }
}

impl Problem for Curve {
    fn count(&self) -> usize {
        self.y.len()
    }
    fn residuals(&self, p: &[f64]) -> Result<Vec<f64>, String> {
        let one = |(x, y): (&f64, &f64)| ((self.formula)(*x, p) - y) / self.u;
        Ok(self.x.iter().zip(&self.y).map(one).collect())
    }
}

fn grid(n: u32, end: f64) -> Vec<f64> {
    (1..=n).map(|i| end * f64::from(i) / f64::from(n)).collect()
}

fn warm_up(t: f64, p: &[f64]) -> f64 {
    p[0] * (1.0 - (-t / p[1]).exp())
}

fn pair(a: Parameter, b: Parameter) -> [Parameter; 2] {
    [a, b]
}

#[test]
fn the_interval_of_a_straight_line_is_that_of_its_standard_error() {
    let line: Formula = |x, p| p[0] + p[1] * x;
    let curve = Curve::new(line, &grid(20, 2.0), &[1.0, 3.0], 0.1, Some(1));
    let parameters = pair(Parameter::free("a", 0.0), Parameter::free("b", 0.0));
    let (found, known, intervals) = curve.solve(&parameters);
    // By hand: variance of the slope is u^2 over the sum of squares about the mean.
    let mean = curve.x.iter().sum::<f64>() / 20.0;
    let sxx: f64 = curve.x.iter().map(|x| (x - mean).powi(2)).sum();
    let se = known.standard_error[1].expect("a standard error");
    assert!((se / (0.1 / sxx.sqrt()) - 1.0).abs() < 1e-9);
    let Side::At(high) = intervals[1].high else { panic!("{intervals:?}") };
    // The search for the end stops within a hundredth of the coverage factor.
    assert!(((high - found.values[1]) / (1.96 * se) - 1.0).abs() < 0.011);
}

#[test]
fn a_bound_in_the_way_is_reported_and_its_interval_is_one_sided() {
    let curve = Curve::new(warm_up, &grid(30, 3.0), &[30.0, 1.0], 0.1, Some(2));
    let parameters = pair(
        Parameter::between("rise", 25.0, 20.0, 28.0),
        Parameter::between("lag", 1.0, 0.1, 9.0),
    );
    let (found, known, intervals) = curve.solve(&parameters);
    assert_eq!((found.values[0], found.at_bound[0], found.end), (28.0, 1, End::Optimum));
    assert!(known.standard_error[0].is_none() && known.standard_error[1].is_some());
    assert_eq!(intervals[0].high, Side::Bound(28.0));
    assert!(matches!(intervals[0].low, Side::At(x) if x < 28.0 && x > 27.0), "{intervals:?}");
    let said =
        verdict(&parameters, &found, &known, &intervals, &|i, w| percent(found.values[i], w));
    assert_eq!(said[0].standing, Standing::AtBound);
    assert!(said[0].words.contains("upper bound"), "{said:?}");
}

#[test]
fn a_product_is_known_but_not_its_factors() {
    let product: Formula = |x, p| p[0] * p[1] * x;
    let curve = Curve::new(product, &grid(10, 1.0), &[2.0, 3.0], 0.01, None);
    let parameters =
        pair(Parameter::between("a", 1.0, 0.1, 10.0), Parameter::between("b", 1.0, 0.1, 10.0));
    let (found, known, intervals) = curve.solve(&parameters);
    assert!((found.values[0] * found.values[1] - 6.0).abs() < 1e-6);
    assert_eq!(known.standard_error, [None, None]);
    let said =
        verdict(&parameters, &found, &known, &intervals, &|i, w| percent(found.values[i], w));
    assert_eq!(said[0].standing, Standing::Combined(vec![1]));
    assert!(said[0].words.contains("only one combination"), "{said:?}");
}

#[test]
fn a_parameter_without_effect_is_flat_and_does_not_spoil_the_others() {
    let one: Formula = |x, p| p[0] * x;
    let curve = Curve::new(one, &grid(10, 1.0), &[2.0, 0.0], 0.01, None);
    let parameters = pair(Parameter::free("a", 1.0), Parameter::between("idle", 1.0, 0.0, 5.0));
    let (found, known, intervals) = curve.solve(&parameters);
    assert!(known.standard_error[0].is_some() && known.standard_error[1].is_none());
    let said =
        verdict(&parameters, &found, &known, &intervals, &|i, w| percent(found.values[i], w));
    assert_eq!(said[1].standing, Standing::Flat);
    assert_eq!((intervals[1].low, intervals[1].high), (Side::Bound(0.0), Side::Bound(5.0)));
}

#[test]
fn early_data_cannot_part_rise_and_lag_and_a_late_one_would() {
    // A twentieth of the lag: only the slope rise/lag is seen.
    let curve = Curve::new(warm_up, &grid(20, 0.05), &[30.0, 1.0], 0.02, None);
    let parameters = pair(
        Parameter::between("rise", 25.0, 1.0, 500.0),
        Parameter::between("lag", 1.0, 0.01, 50.0),
    );
    let (found, known, intervals) = curve.solve(&parameters);
    let said =
        verdict(&parameters, &found, &known, &intervals, &|i, w| percent(found.values[i], w));
    assert_eq!(said[0].standing, Standing::Combined(vec![1]), "{said:?}");
    let slopes = |t: f64| {
        let (a, b) = (found.values[0], found.values[1]);
        let e = (-t / b).exp();
        DMatrix::from_row_slice(1, 2, &[(1.0 - e) / 0.02, -a * t / (b * b) * e / 0.02])
    };
    let candidate = |name: &str, t| Candidate { name: name.into(), rows: slopes(t) };
    let gains =
        rank(&found, &known, 0, &[candidate("one more early", 0.05), candidate("one late", 5.0)]);
    assert_eq!(gains[0].name, "one late");
    assert!(gains[0].ratio.expect("a ratio") < 0.1 && gains[1].ratio.expect("a ratio") > 0.7);
}

#[test]
fn questions_without_an_answer_are_refused() {
    let curve = Curve::new(warm_up, &[1.0], &[30.0, 1.0], 0.1, None);
    let free = pair(Parameter::free("rise", 1.0), Parameter::free("lag", 1.0));
    let options = SearchOptions::exact();
    let refused = fit(&curve, &free, &options).expect_err("too few");
    assert_eq!(refused, FitError::TooFewData { data: 1, free: 2 });
    assert_eq!(fit(&curve, &[], &options).expect_err("none"), FitError::NothingFree);
    let outside = [Parameter::between("rise", 9.0, 1.0, 5.0)];
    assert!(matches!(fit(&curve, &outside, &options), Err(FitError::StartOutside { .. })));
    let nan = [Parameter::free("rise", f64::NAN)];
    assert!(matches!(fit(&curve, &nan, &options), Err(FitError::StartOutside { .. })));
}

#[test]
fn many_starts_find_the_deeper_valley_whatever_the_number_of_threads() {
    let wave: Formula = |x, p| (p[0] * x).sin();
    let curve = Curve::new(wave, &grid(40, 3.0), &[5.0], 0.1, Some(4));
    let parameters = [Parameter::between("turn", 1.0, 0.5, 9.0)];
    let options = SearchOptions::exact();
    assert!((fit(&curve, &parameters, &options).expect("a fit").values[0] - 5.0).abs() > 1.0);
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| fit_from_many(&curve, &parameters, &options, 12, 7)).expect("a fit")
    };
    let (one, two) = (with(1), with(2));
    assert!((one.best.values[0] - 5.0).abs() < 0.1);
    assert!(one.agreed > 1 && one.agreed < one.tried);
    assert_eq!((one.best.values, one.agreed), (two.best.values, two.agreed));
}

#[test]
fn intervals_and_bands_cover_what_they_claim() {
    // 400 fits of a rise and a lag; each 95 % interval must hold the truth in 92.5 to 97.5 % of them
    // (2.3 standard deviations of such a count). Seeds 1000 to 1399.
    let truth = [30.0, 1.0];
    let parameters = pair(
        Parameter::between("rise", 25.0, 1.0, 100.0),
        Parameter::between("lag", 0.7, 0.05, 20.0),
    );
    let mut held = [0; 4];
    for seed in 1000..1400 {
        let curve = Curve::new(warm_up, &grid(25, 2.0), &truth, 0.5, Some(seed));
        let (found, known, intervals) = curve.solve(&parameters);
        for i in 0..2 {
            let half = 1.96 * known.standard_error[i].expect("a standard error");
            held[i] += u32::from((found.values[i] - truth[i]).abs() <= half);
            let (Side::At(low), Side::At(high)) = (intervals[i].low, intervals[i].high) else {
                panic!("seed {seed}: {:?}", intervals[i])
            };
            held[2 + i] += u32::from(low <= truth[i] && truth[i] <= high);
        }
    }
    println!("of 400: standard errors {:?}, profiles {:?}", &held[..2], &held[2..]);
    assert!(held.iter().all(|n| (370..=390).contains(n)), "{held:?}");
}

#[test]
fn a_held_out_part_is_predicted_within_its_band() {
    let curve = Curve::new(warm_up, &grid(40, 2.0), &[30.0, 1.0], 0.3, Some(5));
    let parameters = pair(
        Parameter::between("rise", 25.0, 1.0, 100.0),
        Parameter::between("lag", 0.7, 0.05, 20.0),
    );
    let (found, known, _) = curve.solve(&parameters);
    let later = Curve::new(warm_up, &grid(40, 6.0), &[30.0, 1.0], 0.3, Some(6));
    let bounds: Vec<(f64, f64)> = parameters.iter().map(|p| (p.low, p.high)).collect();
    let drawn = draw(&found.values, &bounds, &known.covariance, 1000, 8);
    let (band, lost) = bands(&drawn, |p| Some(later.x.iter().map(|t| warm_up(*t, p)).collect()));
    assert_eq!((drawn.len(), lost), (1000, 0));
    let data: Vec<(f64, f64)> = later.y.iter().map(|y| (*y, 0.3)).collect();
    let score = score(&data, &band).expect("a score");
    assert!(score.coverage > 0.85 && score.rmse < 0.6, "{score:?}");
    // The spread of the draws is the standard error.
    let mean = drawn.iter().map(|p| p[0]).sum::<f64>() / 1000.0;
    let sd = (drawn.iter().map(|p| (p[0] - mean).powi(2)).sum::<f64>() / 999.0).sqrt();
    // A standard deviation of 1000 draws is itself known to 2.2 %; four of those.
    assert!((sd / known.standard_error[0].expect("one") - 1.0).abs() < 0.09);
}

#[test]
fn noise_of_the_model_does_not_spoil_the_slopes() {
    // An answer rounded to 1e-8, as a simulation's.
    let rough: Formula = |t, p| (warm_up(t, p) / 3e-7).round() * 3e-7;
    let curve = Curve { formula: rough, x: grid(10, 2.0), y: vec![0.0; 10], u: 1.0 };
    let parameters = pair(Parameter::free("rise", 30.0), Parameter::free("lag", 1.0));
    let p = [30.0, 1.0];
    let r = curve.residuals(&p).expect("an answer");
    let j = jacobian(&curve, &parameters, &p, &r, 1e-8, true).expect("slopes");
    assert!(j.doubts.is_empty());
    for (k, t) in curve.x.iter().enumerate() {
        let want = -30.0 * t * (-t).exp();
        assert!((j.matrix[(k, 1)] / want - 1.0).abs() < 1e-4, "{}", j.matrix[(k, 1)] / want);
    }
}

/// A product known to 5 %, and the logarithm of one of its factors to 0.5.
struct Valley;

impl Problem for Valley {
    fn count(&self) -> usize {
        2
    }
    fn residuals(&self, p: &[f64]) -> Result<Vec<f64>, String> {
        Ok(vec![(p[0] * p[1] - 1.0) / 0.05, p[0].ln() / 0.5])
    }
}

#[test]
fn sets_for_bands_follow_a_curved_valley_and_normal_draws_do_not() {
    let parameters =
        pair(Parameter::between("a", 1.3, 0.01, 100.0), Parameter::between("b", 0.8, 0.01, 100.0));
    let options = SearchOptions::exact();
    let found = fit(&Valley, &parameters, &options).expect("a fit");
    let known = Known::new(&found, 2.0, ErrorScale::Stated, &options);
    let intervals = profile(&Valley, &parameters, &found, &known, &options);
    let drawn = sample(&Valley, &parameters, &found, &known, &intervals, 1).expect("sets");
    println!("{} sets, worth {:.0}, {} tried", drawn.sets.len(), drawn.effective, drawn.tried);
    assert!(drawn.effective > 60.0, "{}", drawn.effective);
    // With u = ln a and w = a b an area da db is du dw: u is normal with 0.5, and ln b = ln w - u has
    // the root of 0.5² + 0.05².
    let sd = [0.5, 0.5_f64.hypot(0.05)];
    let bands = |sets: &[Vec<f64>]| bands(sets, |p| Some(p.to_vec())).0;
    let far = |sets: &[Vec<f64>]| -> f64 {
        let ends = |(b, sd): (&drybench::study::fit::Band, f64)| {
            [(b.low, -1.96), (b.middle, 0.0), (b.high, 1.96)]
                .map(|(found, z)| ((found.max(1e-3)).ln() / sd - z).abs())
        };
        bands(sets).iter().zip(sd).flat_map(ends).fold(0.0, f64::max)
    };
    // The 2.5 % quantile of 100 independent draws has a standard error of 0.27 standard deviations: three of
    // them.
    assert!(far(&drawn.sets) < 0.8, "{:?}", bands(&drawn.sets));
    let bounds = [(0.01, 100.0); 2];
    let normal = draw(&found.values, &bounds, &known.covariance, 200, 1);
    assert!(far(&normal) > 1.0, "{:?}", bands(&normal));
}

#[test]
fn a_straight_problem_needs_no_sets() {
    let line: Formula = |x, p| p[0] + p[1] * x;
    let curve = Curve::new(line, &grid(20, 2.0), &[1.0, 3.0], 0.1, Some(1));
    let parameters = pair(Parameter::free("a", 0.0), Parameter::free("b", 0.0));
    let (found, known, intervals) = curve.solve(&parameters);
    assert_eq!(sample(&curve, &parameters, &found, &known, &intervals, 1), None);
}
