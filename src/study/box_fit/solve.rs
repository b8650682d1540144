//! From the question to the complete answer: search, weights, intervals, checks, words.

use serde::Serialize;

use super::exact::{ExactRow, exact_rows};
use super::problem::BoxFit;
use super::rows::{
    Course, ErrorRow, ParameterRow, PriorRow, SeriesRow, courses, error_rows, parameter_row,
    prior_rows, series_rows,
};
use super::{doubts, misread};
use crate::reader::Issue;
use crate::study::fit::{
    Check, End, ErrorScale, Fit, Interval, Known, Parameter, Sampled, SearchOptions, Standing,
    Starts, chi2_probability, fit_from_many, percent, profile, sample, verdict,
};
use crate::units;

/// Version of the layout of a saved [`Outcome`].
pub(super) const SCHEMA_VERSION: u32 = 3;

/// How a fit is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Searches besides the one from the stated start.
    pub more_starts: usize,
    /// Seed of their starts.
    pub seed: u64,
    /// What is believed of the stated uncertainties.
    pub spread: ErrorScale,
    /// Whether profile intervals are wanted; they take most of the time.
    pub intervals: bool,
    /// Whether parameter sets for bands are wanted where these intervals are uneven.
    pub sets: bool,
}

impl Default for Settings {
    fn default() -> Self {
        let spread = ErrorScale::AtLeastStated;
        Settings { more_starts: 4, seed: 1, spread, intervals: true, sets: false }
    }
}

/// The complete answer.
#[derive(Clone, Debug, Serialize)]
pub struct Outcome {
    /// Version of this layout.
    pub schema_version: u32,
    /// Version of the program.
    pub program_version: &'static str,
    /// Whether an optimum was found.
    pub optimum: bool,
    /// The parameters.
    pub parameters: Vec<ParameterRow>,
    /// Correlations, row by row; none where there is no standard error.
    pub correlation: Vec<Vec<Option<f64>>>,
    /// The series.
    pub series: Vec<SeriesRow>,
    /// Sum of squared weighted residuals, correlated readings counted by their effective number.
    pub chi2: f64,
    /// Effective data less parameters.
    pub freedom: f64,
    /// Probability that noise of the stated size gives this chi-square or more.
    pub chi2_probability: Option<f64>,
    /// Factor on the stated uncertainties that the residuals called for.
    pub enlarged: f64,
    /// Searches that ended at this optimum, and searches made.
    pub starts: (usize, usize),
    /// Seed of their starts.
    pub seed: u64,
    /// Steps of the best search.
    pub steps: usize,
    /// What was found out, a sentence for each parameter.
    pub verdict: Vec<String>,
    /// Equally likely parameter sets where a normal distribution would not do, if they were wanted.
    pub draws: Option<Sampled>,
    /// Things a reader should know.
    pub warnings: Vec<String>,
    /// Errors that readings share and that inputs have; they are in the intervals.
    pub errors: Vec<ErrorRow>,
    /// What was known of parameters beforehand, each counted as one more reading.
    pub priors: Vec<PriorRow>,
    /// What the answer rests on: values taken for exact of which a small change moves a parameter by
    /// a standard error or more.
    pub exact: Vec<ExactRow>,
    /// The fitted readings beside the model.
    pub courses: Vec<Course>,
    /// The fit itself.
    #[serde(skip)]
    pub fit: Fit,
    /// How well it is known.
    #[serde(skip)]
    pub known: Known,
}

/// Most times that a better optimum met on a profile sends the search back.
const MOST_RETURNS: usize = 3;

/// Rounds of weighing: the correlation of the residuals settles after one or two.
const MOST_WEIGHINGS: usize = 3;

/// Fits the free paths of a box to its runs.
///
/// # Errors
/// What is wrong with the question, as issues.
pub fn solve(problem: &mut BoxFit, settings: &Settings) -> Result<Outcome, Vec<Issue>> {
    let start: Vec<f64> = problem.parameters().iter().map(|p| p.start).collect();
    let doubts = misread::suspicious(problem, &start);
    if !doubts.is_empty() {
        return Err(doubts);
    }
    let options = problem.options();
    let names = problem.names();
    let refused = |e: crate::study::fit::FitError| {
        let text = e.to_string();
        let (what, hint) = text.split_once('\n').unwrap_or((&text, ""));
        vec![Issue::of_file("no-fit", &names, what.to_owned(), hint.trim())]
    };
    let (more, seed) = (settings.more_starts, settings.seed);
    let beyond = |why: String| {
        let hint = "state a smaller uncertainty, or free that value";
        vec![Issue::of_file("bad-input", &names, why, hint)]
    };
    let mut starts =
        fit_from_many(problem, problem.parameters(), &options, more, seed).map_err(refused)?;
    weigh(problem, &mut starts, &options).map_err(beyond)?;
    let mut known = judged(problem, &starts.best, settings, &options);
    let mut intervals = Vec::new();
    for round in 0..=MOST_RETURNS {
        intervals.clear();
        if !settings.intervals || !settled(&starts.best, &known) {
            break;
        }
        // Whatever came before, the intervals are those of the fit that is reported.
        intervals = profile(problem, problem.parameters(), &starts.best, &known, &options);
        if round == MOST_RETURNS {
            break;
        }
        let Some(better) = intervals.iter().find_map(|i| i.better.clone()) else { break };
        let Some(fit) = again(problem, &better, &options) else { break };
        starts = Starts { best: fit, agreed: 1, ..starts };
        weigh(problem, &mut starts, &options).map_err(beyond)?;
        known = judged(problem, &starts.best, settings, &options);
    }
    Ok(outcome(problem, settings, starts, known, &intervals))
}

fn judged(problem: &BoxFit, fit: &Fit, settings: &Settings, options: &SearchOptions) -> Known {
    let known = Known::new(fit, problem.effective(), settings.spread, options);
    if problem.is_slow() { known.of_guessed_number() } else { known }
}

/// Whether the search found what there is to find: in a valley without a floor, where parameters
/// cannot be told apart, every place is as good as the next.
fn settled(fit: &Fit, known: &Known) -> bool {
    fit.end == End::Optimum || (fit.end == End::Ragged && !known.unseen.is_empty())
}

/// Fits once more from `values`.
fn again(problem: &BoxFit, values: &[f64], options: &SearchOptions) -> Option<Fit> {
    let moved =
        |(p, v): (&Parameter, &f64)| Parameter { start: v.clamp(p.low, p.high), ..p.clone() };
    let parameters: Vec<Parameter> = problem.parameters().iter().zip(values).map(moved).collect();
    crate::study::fit::fit(problem, &parameters, options).ok()
}

/// Lets the residuals say how many readings of each series are independent, and takes shared errors anew where the search has led.
fn weigh(problem: &mut BoxFit, starts: &mut Starts, options: &SearchOptions) -> Result<(), String> {
    let refit = |problem: &BoxFit, starts: &mut Starts| {
        let fit = again(problem, &starts.best.values, options);
        fit.map(|fit| starts.best = fit).is_some()
    };
    if problem.has_errors() {
        // Where the first search ends is near enough for them.
        problem.take_errors(&starts.best.values)?;
        if !refit(problem, starts) {
            return Ok(());
        }
    }
    for _ in 0..MOST_WEIGHINGS {
        if !problem.reweigh(&starts.best) || !refit(problem, starts) {
            break;
        }
    }
    Ok(())
}

/// Fewest independent sets that make a band: its ends then still rest on a few of them. Our choice.
const FEW_SETS: f64 = 40.0;

fn outcome(
    problem: &BoxFit,
    settings: &Settings,
    starts: Starts,
    known: Known,
    intervals: &[Interval],
) -> Outcome {
    let fit = starts.best;
    let shown = |i: usize, width: f64| {
        let kind = problem.path_of(i).kind;
        // Of a reading or an offset a percentage would say nothing.
        if problem.parameters()[i].typical(fit.values[i]) == fit.values[i].abs() {
            percent(fit.values[i], width)
        } else {
            format!("± {}", units::format_digits(kind.difference(), width, 2))
        }
    };
    let findings = verdict(problem.parameters(), &fit, &known, intervals, &shown);
    let mut warnings = Vec::new();
    for flat in findings.iter().filter(|f| f.standing == Standing::Flat) {
        let name = &problem.parameters()[flat.parameter].name;
        warnings
            .push(format!("{name} has no effect on these readings: leave it out of what is free"));
    }
    let n = fit.values.len();
    let doubt = doubts::doubt(&known);
    let held = |i: usize| matches!(findings[i].standing, Standing::Known | Standing::Loose);
    let row = |i: usize| {
        let in_doubt = doubt.is_some() && held(i);
        let standing = if in_doubt { doubts::IN_DOUBT } else { findings[i].standing.word() };
        parameter_row(problem, &fit, &known, intervals.get(i), i, standing)
    };
    let draw = || sample(problem, problem.parameters(), &fit, &known, intervals, settings.seed);
    let draws = settings.sets.then(draw).flatten();
    if let Some(few) = draws.as_ref().filter(|d| d.effective < FEW_SETS) {
        warnings.push(format!(
            "the sets of parameters for bands have an effective sample size of only {:.0}: bands from them are rough",
            few.effective
        ));
    }
    let checks: Vec<Check> = problem.scatter(&fit.residuals).iter().map(|r| Check::of(r)).collect();
    warnings.extend(doubts::warnings(problem, &fit, &known, &checks));
    let correlation = |i: usize| (0..n).map(|k| known.correlation(i, k)).collect();
    Outcome {
        schema_version: SCHEMA_VERSION,
        program_version: env!("CARGO_PKG_VERSION"),
        optimum: settled(&fit, &known),
        parameters: (0..n).map(row).collect(),
        correlation: (0..n).map(correlation).collect(),
        series: series_rows(problem, &fit, &checks),
        chi2: fit.chi2,
        freedom: known.freedom,
        chi2_probability: chi2_probability(fit.chi2, known.freedom),
        enlarged: known.enlarged,
        starts: (starts.agreed, starts.tried),
        seed: settings.seed,
        steps: fit.steps,
        verdict: findings
            .iter()
            .enumerate()
            .map(|(i, f)| match &doubt {
                Some(why) if held(i) => format!("{}, if the model were right; but {why}", f.words),
                _ => f.words.clone(),
            })
            .collect(),
        draws,
        warnings,
        errors: error_rows(problem, &fit, &known),
        priors: prior_rows(problem, &fit, &known),
        exact: if settings.intervals { exact_rows(problem, &fit, &known) } else { Vec::new() },
        courses: courses(problem, &fit),
        fit,
        known,
    }
}
