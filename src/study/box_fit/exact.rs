//! What an answer rests on: values that are neither free nor stated with an uncertainty. A fit takes
//! them for exact, and its intervals do not know of their doubt.

use nalgebra::DVector;
use rayon::prelude::*;
use serde::Serialize;

use super::data::Observed;
use super::prepare::touches;
use super::problem::BoxFit;
use crate::reader::{Origin, Value, ValueRecord};
use crate::scenario::Scenario;
use crate::study::fit::{Fit, Known};
use crate::units::{self, Kind};

/// How much larger each value is made, as a share. Our choice: round, and what a dimension read off a
/// ruler or a rating plate may well be wrong by; a heat transfer coefficient is off by more.
const LARGER: f64 = 0.1;

/// The same of a temperature reading, which has no zero of its own \[K\].
const WARMER_K: f64 = 1.0;

/// Shift of a parameter from which on a value is told, in standard errors.
const WORTH_TELLING: f64 = 1.0;

/// Most values told.
const MOST: usize = 8;

/// Tables that say what was done and how it is computed, not what the box is.
const NOT_THE_BOX: [&str; 3] = ["control", "event", "run"];

/// A value taken for exact that moves the answer.
#[derive(Clone, Debug, Serialize)]
pub struct ExactRow {
    /// Its path.
    pub path: String,
    /// The value, with its unit.
    pub text: String,
    /// Whether nobody typed it.
    pub default: bool,
    /// By how much it was made larger.
    pub by: String,
    /// What that would do to each parameter, in its standard errors; none where it has none.
    pub moved: Vec<Option<f64>>,
    /// The same as a share of the parameter, or as a difference of a reading, for people.
    pub words: Vec<String>,
}

/// The values that move a parameter by a standard error or more, the weightiest first: to first order
/// a change `d` of the residuals moves the parameters by `-(JᵀJ)⁻¹ Jᵀ d`.
pub(super) fn exact_rows(problem: &BoxFit, fit: &Fit, known: &Known) -> Vec<ExactRow> {
    let p = &fit.values;
    let runs = 0..problem.runs();
    let Ok(base) = runs.map(|k| problem.modelled(k, p)).collect::<Result<Vec<_>, _>>() else {
        return Vec::new();
    };
    let one = |value: &ValueRecord| -> Option<ExactRow> {
        let (by, _) = changed(value, 1.0)?;
        let change = |text: &str| problem.misfits_moved(p, &base, &value.path, text).ok();
        // At the end of its range a value can only be made smaller.
        let tried = |sign| Some((change(&changed(value, sign)?.1)?, sign));
        let (d, sign) = tried(1.0).or_else(|| tried(-1.0))?;
        let moved = &known.seen * fit.jacobian.tr_mul(&DVector::from_vec(d));
        let in_errors = |(i, se): (usize, &Option<f64>)| se.map(|se| -sign * moved[i] / se);
        let moved: Vec<Option<f64>> =
            known.standard_error.iter().enumerate().map(in_errors).collect();
        let shown = moved.iter().zip(&known.standard_error).enumerate();
        let words = shown.map(|(i, (m, se))| in_words(problem, p, i, m.zip(*se))).collect();
        let default = matches!(value.origin, Origin::Default(_));
        Some(ExactRow { path: value.path.clone(), text: value.text(), default, by, moved, words })
    };
    let most = |r: &ExactRow| r.moved.iter().flatten().fold(0.0, |a: f64, b| a.max(b.abs()));
    let mut rows: Vec<ExactRow> = problem.taken_for_exact().par_iter().filter_map(one).collect();
    rows.retain(|r| most(r) >= WORTH_TELLING);
    rows.sort_by(|a, b| most(b).total_cmp(&most(a)));
    rows.truncate(MOST);
    rows
}

/// A move of parameter `i`, in its standard errors, and these.
fn in_words(problem: &BoxFit, p: &[f64], i: usize, move_and_error: Option<(f64, f64)>) -> String {
    let Some((m, se)) = move_and_error else { return "-".into() };
    let parameter = &problem.parameters()[i];
    let (by, size) = (m * se, parameter.typical(p[i]));
    if !(parameter.low..=parameter.high).contains(&(p[i] + by)) {
        // So far the slopes do not reach.
        return if by > 0.0 { "past its upper bound" } else { "past its lower bound" }.into();
    }
    if size == p[i].abs() {
        let text = format!("{:+.1} %", 100.0 * by / size);
        if text == "-0.0 %" { "+0.0 %".into() } else { text }
    } else {
        let sign = if by > 0.0 { "+" } else { "" };
        sign.to_owned() + &units::format_digits(problem.path_of(i).kind.difference(), by, 2)
    }
}

/// By how much a value is changed, in words, and the value as typed.
fn changed(value: &ValueRecord, sign: f64) -> Option<(String, String)> {
    let Value::Quantity(kind, now) = value.value else { return None };
    let (by, step) = match kind {
        Kind::Temperature => (format!("{WARMER_K} K"), WARMER_K),
        _ => (format!("{:.0} %", 100.0 * LARGER), LARGER * now.value),
    };
    let text = units::format_digits(kind, now.value + sign * step, 12);
    (step != 0.0).then_some((by, text))
}

impl BoxFit {
    /// All values of the runs' scenarios that count as exact, each path once.
    fn taken_for_exact(&self) -> Vec<ValueRecord> {
        let mut all: Vec<ValueRecord> = Vec::new();
        for run in &self.runs {
            let Ok((_, report)) = Scenario::read(&run.source) else { continue };
            let free = self.free_paths();
            let inputs = || run.inputs.iter().flat_map(|i| &i.sets).map(|(path, _)| path.as_str());
            let doubted = |path: &str| inputs().chain(free.clone()).any(|p| touches(p, path));
            for value in report.values {
                let derived = matches!(value.origin, Origin::Derived(_));
                let of_box = !NOT_THE_BOX.iter().any(|part| touches(part, &value.path));
                let known = all.iter().any(|v| v.path == value.path);
                if !derived && of_box && !known && !doubted(&value.path) {
                    all.push(value);
                }
            }
        }
        all
    }

    /// What another value at `path` does to the residuals at `p`, whose models say `base`.
    fn misfits_moved(
        &self,
        p: &[f64],
        base: &[Vec<Vec<f64>>],
        path: &str,
        text: &str,
    ) -> Result<Vec<f64>, String> {
        let sets = [(path.to_owned(), text.to_owned())];
        let mut all = Vec::new();
        for (run, base) in self.runs.iter().zip(base) {
            let model = self.modelled_of(run, p, &sets)?;
            let one = |((o, model), base): ((&Observed, &Vec<f64>), &Vec<f64>)| {
                let of = |i: usize| (model[i] - base[i]) / o.u[i];
                (0..o.values.len()).map(of).collect::<Vec<f64>>()
            };
            all.extend(run.observed.iter().zip(&model).zip(base).flat_map(one));
        }
        Ok(self.weighted(all))
    }
}
