//! Certified nonlinear regression: the 27 problems of the Statistical Reference Datasets of the
//! National Institute of Standards and Technology (`tests/fit/certified/data/`, works of the United
//! States government, public domain), with certified parameters and standard deviations of 11
//! digits. From the second start all must match to six digits; the first start is only counted.

mod problems;

use drybench::study::fit::{End, ErrorScale, Known, Parameter, SearchOptions, fit};
use problems::{Certified, NAMES};

/// Digits in which two numbers agree, at most the 11 that are certified.
fn digits(ours: f64, certified: f64) -> f64 {
    let gap = (ours - certified).abs() / certified.abs();
    if gap == 0.0 { 11.0 } else { (-gap.log10()).clamp(0.0, 11.0) }
}

/// Worst digits of values and standard errors from one start, and the steps taken.
fn solve(problem: &Certified, start: usize) -> Result<(f64, f64, usize, End), String> {
    let options = SearchOptions::exact();
    let values = problem.starts.iter().enumerate();
    let parameters: Vec<Parameter> =
        values.map(|(i, s)| Parameter::free(&format!("b{}", i + 1), s[start])).collect();
    let fit = fit(problem, &parameters, &options).map_err(|e| e.to_string())?;
    let known = Known::new(&fit, problem.y.len() as f64, ErrorScale::Estimated, &options);
    let pairs = fit.values.iter().zip(&problem.values);
    let values = pairs.map(|(a, b)| digits(*a, *b)).fold(11.0, f64::min);
    let pairs = known.standard_error.iter().zip(&problem.errors);
    let errors = pairs.map(|(a, b)| a.map_or(0.0, |a| digits(a, *b))).fold(11.0, f64::min);
    Ok((values, errors, fit.steps, fit.end))
}

#[test]
fn all_problems_match_to_six_digits_from_the_second_start() {
    let mut wrong = Vec::new();
    println!("{:10} {:>8} {:>8} {:>6}", "problem", "values", "errors", "steps");
    for name in NAMES {
        let problem = Certified::load(name);
        let (values, errors, steps, end) = solve(&problem, 1).expect(name);
        println!("{name:10} {values:8.1} {errors:8.1} {steps:6} {end:?}");
        // The data of Lanczos1 are given to the last digit of its model, so that its residuals, and
        // with them the standard errors, are what rounding leaves.
        let needed = if name == "Lanczos1" { 2.0 } else { 6.0 };
        if values < 6.0 || errors < needed || end != End::Optimum {
            wrong.push(format!("{name}: {values:.1} and {errors:.1} digits, {end:?}"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn most_problems_are_solved_from_the_first_start_too() {
    let mut solved = Vec::new();
    for name in NAMES {
        match solve(&Certified::load(name), 0) {
            Ok((values, ..)) if values >= 6.0 => solved.push(name),
            other => println!("{name}: {other:?}"),
        }
    }
    println!("from the first start: {} of {}", solved.len(), NAMES.len());
    // Counted, not asked for: the first starts are meant to be too far away.
    assert!(solved.len() >= 20, "only {solved:?}");
}
