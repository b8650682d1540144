//! What speaks against an answer.

use super::misread;
use super::problem::BoxFit;
use super::rows::{error_rows, prior_rows};
use crate::study::fit::{Check, End, Fit, Known, chi2_probability};

/// Word for a parameter that a wrong or unchecked model gives.
pub(super) const IN_DOUBT: &str = "in doubt";

/// Chi-square per freedom from which on no enlarged error makes up for a model that is wrong. Our
/// choice: readings are then more than three times as far off as they may be.
const WRONG_MODEL: f64 = 10.0;

/// Misfit of one series, over its uncertainty, that is told by itself: among many good readings it
/// would not show in chi-square. Our choice.
const FAR_OFF: f64 = 3.0;

/// Why no value of this fit can be believed, if so.
pub(super) fn doubt(known: &Known) -> Option<String> {
    match known.reduced_chi2 {
        None => Some("no reading is left over to check it".into()),
        Some(x) if x > WRONG_MODEL => {
            Some(format!("the readings miss it by {:.1} times their uncertainty", x.sqrt()))
        }
        Some(_) => None,
    }
}

/// Part in what is known of a parameter that was known beforehand, from which on the readings add
/// nothing. Our choice.
const ONLY_PRIOR: f64 = 0.98;

/// Chi-square per freedom from which on the stated uncertainties are called too small, and below
/// which too large. Our choice.
const ODD_CHI2: (f64, f64) = (2.0, 0.3);

/// Probability of chi-square below which it is told, as for the runs of one sign. Our choice.
const UNLIKELY: f64 = 0.005;

/// Independent readings of a series below which slow noise is told: their number is then a guess. Our choice.
const FEW_INDEPENDENT: f64 = 10.0;

/// What is wrong with a fit, or may be.
pub(super) fn warnings(
    problem: &BoxFit,
    fit: &Fit,
    known: &Known,
    checks: &[Check],
) -> Vec<String> {
    let mut all = Vec::new();
    match fit.end {
        End::Optimum => {}
        End::Ragged if !known.unseen.is_empty() => all.push(
            "some parameters cannot be told apart: where the search stopped among them means nothing; fix one"
                .to_owned(),
        ),
        End::Ragged => all.push(
            "no step improves the fit though its slopes say one should: the misfit is ragged, as under \
             an on/off controller that switches by itself; replay the logged heater (control.heater), or compare \
             means: --cycle-means \"10 min\""
                .to_owned(),
        ),
        End::StepsRanOut => all.push("the search ran out of steps before an optimum".to_owned()),
    }
    for doubt in &fit.doubts {
        all.push(format!(
            "the slope along {} changes by {:.0} % when its step is halved: its standard error is a guess",
            problem.parameters()[doubt.parameter].name,
            100.0 * doubt.change
        ));
    }
    for ((run, o), check) in problem.series().zip(checks) {
        if let Some(complaint) = check.complaint() {
            all.push(format!("{run}, {}: {complaint}", o.name));
        }
    }
    let slow = problem.series().zip(checks).filter(|((_, o), check)| {
        let effective = o.independent(check);
        o.correlation_s.is_none()
            && effective < FEW_INDEPENDENT
            && 3.0 * effective < check.count as f64
    });
    let slow: Vec<String> = slow.map(|((run, o), _)| format!("{run}, {}", o.name)).collect();
    if !slow.is_empty() {
        all.push(format!(
            "{}: noise so slow cannot be told from a model that is wrong, and how few readings it leaves \
             is a guess: the intervals are rough; log for longer, or state its time with --correlation",
            slow.join("; ")
        ));
    }
    all.extend(misread::warnings(problem, &fit.values));
    // Shared errors are told by themselves.
    for ((run, o), check) in problem.series().zip(checks).filter(|(_, c)| c.rms > FAR_OFF) {
        let times = check.rms;
        all.push(format!(
            "{run}, {}: misses the model by {times:.1} times its uncertainty",
            o.name
        ));
    }
    for row in error_rows(problem, fit, known).iter().filter(|r| r.found.abs() > FAR_OFF) {
        all.push(format!(
            "{} would have to be {:+.1} times its uncertainty: it is stated too small, or the model is wrong",
            row.name, row.found
        ));
    }
    for row in prior_rows(problem, fit, known) {
        if row.found.abs() > FAR_OFF {
            all.push(format!(
                "{} is {:+.1} times its uncertainty off what was known of it, {}: that is stated too narrow, or the \
                 model is wrong",
                row.name, row.found, row.text
            ));
        }
        if row.share.is_some_and(|s| s > ONLY_PRIOR) {
            let (name, text) = (row.name, row.text);
            all.push(format!(
                "these readings say nothing of {name}: it stays what was known of it, {text}"
            ));
        }
    }
    let chance = chi2_probability(fit.chi2, known.freedom);
    match known.reduced_chi2 {
        Some(x) if x > ODD_CHI2.0 => all.push(format!(
            "chi-square is {x:.1} times what the stated uncertainties allow: they are too small, or the \
             model is wrong; the standard errors are enlarged by {:.1}",
            known.enlarged
        )),
        Some(_) if chance.is_some_and(|p| p < UNLIKELY) => all.push(format!(
            "noise of the stated size would give so large a chi-square with a probability of {} only: \
             the model misses something, or the uncertainties are too small",
            odds(chance.unwrap_or(0.0))
        )),
        Some(x) if x < ODD_CHI2.1 => all.push(format!(
            "chi-square is only {x:.2} of what the stated uncertainties allow: they may be too large"
        )),
        Some(_) => {}
        None => all.push("there are no more data than parameters: nothing checks the model".to_owned()),
    }
    all
}

fn odds(probability: f64) -> String {
    if probability < 1e-4 { "less than 0.0001".into() } else { format!("{probability:.4}") }
}
