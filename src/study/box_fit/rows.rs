//! The rows of the answer, with words for people.

use nalgebra::DVector;
use serde::Serialize;

use super::data::Observed;
use super::problem::BoxFit;
use crate::study::fit::{COMBINED, Check, Fit, Interval, Known, Side};
use crate::units::{self, Kind, Measured};

/// One parameter of the answer.
#[derive(Clone, Debug, Serialize)]
pub struct ParameterRow {
    /// Its name: the path, and the run if it has one of its own.
    pub name: String,
    /// Path in the scenario.
    pub path: String,
    /// What kind of quantity it is.
    pub kind: Kind,
    /// SI unit of the numbers here; empty for fractions.
    pub si_unit: &'static str,
    /// Value.
    pub value: f64,
    /// Standard error, where there is one.
    pub standard_error: Option<f64>,
    /// Lower end of the 95 % interval, where the data give one.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
    /// Places on the way to the ends of the interval, each with the rise of chi-square there, in
    /// units of the enlarged uncertainties.
    pub profile: Vec<(f64, f64)>,
    /// Where the search began.
    pub start: f64,
    /// The bounds it was given.
    pub bounds: (f64, f64),
    /// Value with its standard error, for people.
    pub text: String,
    /// Interval for people.
    pub interval: String,
    /// Known, loose, flat, at bound, combined.
    pub standing: String,
}

/// One series of the answer.
#[derive(Clone, Debug, Serialize)]
pub struct SeriesRow {
    /// The run.
    pub run: String,
    /// What the data call it.
    pub name: String,
    /// Readings used.
    pub count: usize,
    /// Independent ones among them.
    pub effective: f64,
    /// Root mean square of the residuals, in `unit`.
    pub rms: f64,
    /// Unit of the readings.
    pub unit: String,
    /// The same over the stated uncertainty.
    pub rms_over_u: f64,
    /// Correlation of each residual with the next.
    pub lag_1: f64,
    /// Probability that noise has so few runs of one sign.
    pub runs_probability: Option<f64>,
}

/// One series beside what the fitted model says to it.
#[derive(Clone, Debug, Serialize)]
pub struct Course {
    /// The run.
    pub run: String,
    /// What the data call it.
    pub name: String,
    /// Unit of the readings.
    pub unit: String,
    /// Times \[s\].
    pub time_s: Vec<f64>,
    /// Readings.
    pub reading: Vec<f64>,
    /// Their standard uncertainties as stated.
    pub u: Vec<f64>,
    /// The fitted model.
    pub model: Vec<f64>,
}

/// An error that readings share, or of an input of a run.
#[derive(Clone, Debug, Serialize)]
pub struct ErrorRow {
    /// What it is.
    pub name: String,
    /// What it has to be for the best fit, in its standard uncertainty.
    pub found: f64,
    /// Its part in the variance of each parameter; none where a parameter has no standard error.
    pub shares: Vec<Option<f64>>,
}

/// What was known of a parameter beforehand.
#[derive(Clone, Debug, Serialize)]
pub struct PriorRow {
    /// The parameter.
    pub name: String,
    /// Value and uncertainty as stated, for people.
    pub text: String,
    /// How far the fit is from it, in that uncertainty.
    pub found: f64,
    /// Its part in what is now known of the parameter: of the inverse of its variance.
    pub share: Option<f64>,
}

/// The rows of all that was known beforehand.
pub(super) fn prior_rows(problem: &BoxFit, fit: &Fit, known: &Known) -> Vec<PriorRow> {
    let row = |(i, value, sd): (usize, f64, f64)| PriorRow {
        name: problem.parameters()[i].name.clone(),
        text: units::format_measured(problem.path_of(i).kind, Measured { value, sd: Some(sd) }),
        found: (fit.values[i] - value) / sd,
        share: known.standard_error[i].map(|se| (se / known.enlarged / sd).powi(2)),
    };
    problem.priors().map(row).collect()
}

/// The row of one parameter.
pub(super) fn parameter_row(
    problem: &BoxFit,
    fit: &Fit,
    known: &Known,
    interval: Option<&Interval>,
    i: usize,
    standing: &'static str,
) -> ParameterRow {
    let (path, parameter) = (problem.path_of(i), &problem.parameters()[i]);
    let (value, sd) = (fit.values[i], known.standard_error[i]);
    let shown = match sd {
        // Rounded to its error it would be zero.
        Some(sd) if sd > value.abs() && value != 0.0 => {
            let sd = units::format_digits(path.kind.difference(), sd, 2);
            format!("{} ± {sd}", units::format_digits(path.kind, value, 2))
        }
        _ => units::format_measured(path.kind, Measured { value, sd }),
    };
    // Along a valley without a floor the ends would be those of the other parameters' bounds.
    let alone = standing != COMBINED || known.standard_error[i].is_some();
    let words = |x: &Interval| match alone {
        true => interval_text(path.kind, value, sd, x),
        false => "none by itself".into(),
    };
    let text = interval.map_or_else(String::new, words);
    let interval = interval.filter(|_| alone);
    let at = |side: Option<Side>| match side {
        Some(Side::At(x)) => Some(x),
        _ => None,
    };
    ParameterRow {
        name: parameter.name.clone(),
        path: path.path.clone(),
        kind: path.kind,
        si_unit: path.kind.si_unit(),
        value: fit.values[i],
        standard_error: known.standard_error[i],
        low: at(interval.map(|x| x.low)),
        high: at(interval.map(|x| x.high)),
        profile: interval.map_or_else(Vec::new, |x| x.trace.clone()),
        start: parameter.start,
        bounds: (parameter.low, parameter.high),
        text: shown,
        interval: text,
        standing: standing.into(),
    }
}

/// An interval in the unit of the best value, its ends to as many digits as two of the standard error call
/// for, or of the way to them where that is shorter.
fn interval_text(kind: Kind, best: f64, sd: Option<f64>, x: &Interval) -> String {
    let end = |side: Side| match side {
        Side::At(v) => Some(v),
        _ => None,
    };
    let (low, high) = (end(x.low), end(x.high));
    let ways = low.iter().chain(&high).map(|v| (v - best).abs()).filter(|way| *way > 0.0);
    let step = ways.chain(sd).fold(f64::INFINITY, f64::min);
    let text = |ends: &[f64]| units::format_together(kind, best, ends, step);
    match (x.low, x.high) {
        (Side::At(a), Side::At(b)) => text(&[a, b]),
        (Side::At(a), Side::Bound(_)) => format!("above {}", text(&[a])),
        (Side::Bound(_), Side::At(b)) => format!("below {}", text(&[b])),
        (Side::Bound(_), Side::Bound(_)) => "anything between its bounds".into(),
        _ => "could not be had".into(),
    }
}

/// The rows of all series.
pub(super) fn series_rows(problem: &BoxFit, fit: &Fit, checks: &[Check]) -> Vec<SeriesRow> {
    let parts = problem.misfits(&fit.residuals);
    let all = problem.series().zip(checks).zip(parts);
    let one = |(((run, o), check), r): (((&str, &Observed), &Check), Vec<f64>)| {
        let squares = r.iter().zip(&o.u).map(|(r, u)| (r * u).powi(2)).sum::<f64>();
        let over_u = r.iter().map(|r| r * r).sum::<f64>();
        SeriesRow {
            run: run.into(),
            name: o.name.clone(),
            count: check.count,
            effective: o.independent(check),
            rms: (squares / check.count.max(1) as f64).sqrt(),
            unit: o.unit.clone(),
            rms_over_u: (over_u / check.count.max(1) as f64).sqrt(),
            lag_1: check.lag_1,
            runs_probability: check.runs_p,
        }
    };
    all.map(one).collect()
}

/// Readings beside the model: a weighted residual is model less reading over the uncertainty.
pub(super) fn courses(problem: &BoxFit, fit: &Fit) -> Vec<Course> {
    let parts = problem.misfits(&fit.residuals);
    let one = |((run, o), r): ((&str, &Observed), Vec<f64>)| Course {
        run: run.into(),
        name: o.name.clone(),
        unit: o.unit.clone(),
        time_s: o.times_s.clone(),
        reading: o.values.clone(),
        u: o.u.clone(),
        model: r.iter().zip(&o.u).zip(&o.values).map(|((r, u), v)| v + r * u).collect(),
    };
    problem.series().zip(parts).map(one).collect()
}

/// The rows of all shared errors, the weightiest first: one that is larger by its standard uncertainty moves
/// the parameters by `-(JᵀJ)⁻¹ Jᵀ` times what it does to the residuals.
pub(super) fn error_rows(problem: &BoxFit, fit: &Fit, known: &Known) -> Vec<ErrorRow> {
    let shared = problem.errors();
    let behind = fit.residuals.len() - shared.names.len() - problem.priors().count();
    let all = shared.names.iter().zip(problem.alone()).zip(&fit.residuals[behind..]);
    let one = |((name, alone), found): ((&String, Vec<f64>), &f64)| {
        let moved = &known.seen * fit.jacobian.tr_mul(&DVector::from_vec(alone));
        let share =
            |(i, se): (usize, &Option<f64>)| se.map(|se| (moved[i] * known.enlarged / se).powi(2));
        let shares = known.standard_error.iter().enumerate().map(share).collect();
        ErrorRow { name: name.clone(), found: *found, shares }
    };
    let mut rows: Vec<ErrorRow> = all.map(one).collect();
    let most = |r: &ErrorRow| r.shares.iter().flatten().fold(0.0, |a: f64, b| a.max(*b));
    rows.sort_by(|a, b| most(b).total_cmp(&most(a)));
    rows
}
