//! Which further measurement of this box would tell most about one parameter, or one figure of a run.

use super::data::{Common, Compared, FreePath, Observed, RunData};
use super::means;
use super::problem::BoxFit;
use super::solve::Outcome;
use crate::address::{Address, Place, Quantity};
use crate::metric::{Metric, instead};
use crate::reader::Source;
use crate::run::{self, Column, Method};
use crate::scenario::Scenario;
use crate::study::fit::{Candidate, Gain, Problem, jacobian, present, rank, rank_for};
use crate::units::{self, Kind};

/// Standard uncertainty of a thermometer in a plan \[K\]: a usual digital one after an offset check.
const THERMOMETER_K: f64 = 0.2;

/// Standard uncertainty of a humidity sensor in a plan \[%RH\]: a usual digital one, whose makers state
/// 2 to 3 (common practice).
const HYGROMETER_PCT: f64 = 2.0;
/// Standard uncertainty of a kitchen-to-laboratory scale in a plan \[g\].
const SCALE_G: f64 = 0.02;
/// Standard uncertainty of a plug meter in a plan \[W\].
const PLUG_W: f64 = 1.0;

/// Readings from which on a series counts as logged.
const FEWEST_LOGGED: usize = 16;

/// Readings of a new sensor in a plan, where the run has no logged series whose step it can share.
const READINGS: usize = 60;

/// Steps of a logger that are compared \[s\].
const LOG_STEPS_S: [f64; 3] = [10.0, 60.0, 300.0];

/// Times between weighings that are compared \[s\].
const WEIGH_EVERY_S: [f64; 3] = [900.0, 1800.0, 3600.0];

/// Change of each parameter, over its size, for the slope of a figure: figures are read off samples,
/// so that smaller changes would show the sampling.
const FIGURE_STEP: f64 = 0.03;

/// A figure of a run, as the fit knows it.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedMetric {
    /// Its value.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// Its standard error by that of the parameters, where there is one.
    pub standard_error: Option<f64>,
    /// Its change for each unit of the parameters.
    pub slopes: Vec<f64>,
}

/// Ranks further measurements by the standard error they would leave on parameter `target`.
///
/// Candidates: each temperature that nobody logs, the humidity of each zone where none is logged, weighings of each load at one time or regularly,
/// the element's power, a second run like the first, with other steps of its logger, and one with a
/// dry load. They are taken in `run`, one of the fitted ones, with its own values.
#[must_use]
pub fn plan(
    source: &Source,
    free: &[FreePath],
    run: &RunData,
    fit: &BoxFit,
    outcome: &Outcome,
    target: usize,
) -> Vec<Gain> {
    let candidates = candidates(source, free, run, fit, outcome);
    rank(&outcome.fit, &outcome.known, target, &candidates)
}

/// The same for a figure of that run.
#[must_use]
pub fn plan_metric(
    source: &Source,
    free: &[FreePath],
    run: &RunData,
    fit: &BoxFit,
    outcome: &Outcome,
    metric: &PlannedMetric,
) -> Vec<Gain> {
    let candidates = candidates(source, free, run, fit, outcome);
    let size = metric.value.abs();
    rank_for(&outcome.fit, &outcome.known, &metric.slopes, size, &candidates)
}

/// A figure of the first run, such as `t90_min`, with its slopes along the parameters.
///
/// # Errors
/// What is wrong with the name, as words after it: no figure of this run, or one that it hardly reaches.
pub fn metric(fit: &BoxFit, outcome: &Outcome, key: &str) -> Result<PlannedMetric, String> {
    let best = &outcome.fit.values;
    let metrics = |p: &[f64]| -> Result<Vec<Metric>, String> {
        let scenario = fit.scenario(0, p)?;
        let run = run::simulate(&scenario, Method::Rodas5p).and_then(run::Run::whole);
        run.map(|r| r.metrics).map_err(|e| format!("cannot be worked out: {e}"))
    };
    let all = metrics(best)?;
    let Some((value, unit)) =
        all.iter().find(|m| m.key == key).and_then(|m| Some((m.value?, m.unit.clone())))
    else {
        let there = all.iter().filter(|m| m.value.is_some()).map(|m| m.key.as_str());
        let free = fit.parameters().iter().map(|p| p.name.as_str());
        let known: Vec<&str> = free.chain(there).collect();
        let hint = instead(key, &known).map_or(String::new(), |hint| format!(": {hint}"));
        let names = known.join(", ");
        return Err(format!("is not free, nor a figure here{hint}\n     name one of {names}"));
    };
    let at = |i: usize, by: f64| -> Result<(f64, f64), String> {
        let q = &fit.parameters()[i];
        let mut p = best.clone();
        p[i] = (p[i] + by * q.typical(p[i])).clamp(q.low, q.high);
        let found = metrics(&p)?.into_iter().find(|m| m.key == key).and_then(|m| m.value);
        found.map(|v| (p[i], v)).ok_or_else(|| {
            format!(
                "is not reached within the run where {} is a little different\n     raise run.duration, or \
                 name another figure",
                q.name
            )
        })
    };
    let slope = |i: usize| -> Result<f64, String> {
        let ((a, low), (b, high)) = (at(i, -FIGURE_STEP)?, at(i, FIGURE_STEP)?);
        Ok((high - low) / (b - a))
    };
    let slopes: Vec<f64> = (0..best.len()).map(slope).collect::<Result<_, _>>()?;
    let standard_error = present(&outcome.fit, &outcome.known, &slopes);
    Ok(PlannedMetric { value, unit, standard_error, slopes })
}

fn candidates(
    source: &Source,
    free: &[FreePath],
    run: &RunData,
    fit: &BoxFit,
    outcome: &Outcome,
) -> Vec<Candidate> {
    let one = |(name, data): (String, RunData)| {
        let rows = slopes(source, free, &data, fit, outcome)?;
        Some(Candidate { name, rows })
    };
    ideas(source, run, fit, outcome).into_iter().filter_map(one).collect()
}

/// Derivatives of the readings of an imagined run, in the columns of the fit's parameters.
fn slopes(
    source: &Source,
    free: &[FreePath],
    data: &RunData,
    fit: &BoxFit,
    outcome: &Outcome,
) -> Option<nalgebra::DMatrix<f64>> {
    // What is known beforehand is not told again.
    let free = free.iter().map(|f| FreePath { prior: None, ..f.clone() }).collect();
    let mut imagined = BoxFit::new(source, free, std::slice::from_ref(data)).ok()?;
    if let Some(span_s) = fit.means_s() {
        imagined = imagined.self_switching(span_s);
    }
    let values = fit.assignments(fit.place_of(&data.name), &outcome.fit.values);
    let values: Vec<(usize, f64)> = values.map(|(_, place, v)| (place, v)).collect();
    let p: Vec<f64> = values.iter().map(|(_, v)| *v).collect();
    imagined.take_errors(&p).ok()?;
    let r = imagined.residuals(&p).ok()?;
    let own =
        jacobian(&imagined, imagined.parameters(), &p, &r, fit.tolerance(), false).ok()?.matrix;
    let mut rows = nalgebra::DMatrix::zeros(own.nrows(), outcome.fit.values.len());
    for (k, (place, _)) in values.iter().enumerate() {
        rows.column_mut(*place).copy_from(&own.column(k));
    }
    Some(rows)
}

fn ideas(
    source: &Source,
    run: &RunData,
    fit: &BoxFit,
    outcome: &Outcome,
) -> Vec<(String, RunData)> {
    let mut own = run.scenario.as_ref().unwrap_or(source).clone();
    for (path, text) in &run.sets {
        if own.set_value(path, text, crate::reader::Origin::Set).is_err() {
            return Vec::new();
        }
    }
    let Ok((scenario, _)) = Scenario::read(&own) else { return Vec::new() };
    let end = run.observed.iter().filter_map(|o| o.times_s.last()).fold(0.0_f64, |a, b| a.max(*b));
    let end_s = end.min(scenario.run.duration_s);
    let seen: Vec<Address> = run.observed.iter().flat_map(|o| o.target.columns()).collect();
    let damp = seen.iter().any(|at| at.quantity == Quantity::RelativeHumidity);
    let with = |observed| RunData { observed, ..run.clone() };
    // Where means are compared, an imagined log is averaged as well.
    let as_compared = |o: Observed| fit.means_s().map_or(o.clone(), |s| means::over(&o, s).0);
    let (times, slow_s) = logged(run, outcome, end_s);
    let mut ideas = Vec::new();
    for column in &run::columns(&scenario) {
        let place = column.address.place;
        let in_box = !matches!(place, Place::Sensor(_) | Place::Room);
        let logged_now = seen.contains(&column.address);
        let series = |u: f64| {
            let new = blank(column, times.clone(), u);
            vec![as_compared(Observed { correlation_s: Some(slow_s), ..new })]
        };
        match column.address.quantity {
            Quantity::Temperature if in_box && !logged_now => {
                let name = format!("log {} ({THERMOMETER_K} K)", column.name);
                ideas.push((name, with(series(THERMOMETER_K))));
            }
            Quantity::RelativeHumidity if in_box && !damp => {
                let name = format!("log {} ({HYGROMETER_PCT} %RH)", column.name);
                ideas.push((name, with(series(HYGROMETER_PCT))));
            }
            Quantity::WaterRemaining | Quantity::MassChange if place.load().is_some() => ideas
                .extend(
                    weighings(run, column, end_s)
                        .into_iter()
                        .map(|(name, o)| (name, with(vec![o]))),
                ),
            Quantity::Power if place == Place::Heater && !logged_now => {
                let name = format!("log the heater's power ({PLUG_W} W)");
                ideas.push((name, with(series(PLUG_W))));
            }
            _ => {}
        }
    }
    let which = if fit.runs() > 1 { run.name.as_str() } else { "the first run" };
    ideas.push((format!("repeat {which}"), run.clone()));
    if fit.means_s().is_none() {
        // A mean over heating cycles is the same whatever the step.
        ideas.extend(LOG_STEPS_S.iter().filter_map(|step_s| {
            let changed = |o: &Observed| at_step(o, run, outcome, *step_s);
            let any = run.observed.iter().any(|o| changed(o).is_some());
            let observed = run.observed.iter().map(|o| changed(o).unwrap_or_else(|| o.clone()));
            let step = units::format(Kind::Time, *step_s);
            any.then(|| (format!("repeat it, log every {step}"), with(observed.collect())))
        }));
    }
    ideas.extend(dry(&own, run, &scenario));
    ideas
}

/// Weighings of one load, once or regularly, by the scale of the run or a usual one.
fn weighings(run: &RunData, column: &Column, end_s: f64) -> Vec<(String, Observed)> {
    let own = run.observed.iter().find(|o| o.target == Compared::Column(column.address));
    let u = own.and_then(|o| o.u.first().copied()).unwrap_or(SCALE_G);
    let shown = units::format_digits(Kind::Mass, 1e-3 * u, 2);
    let once = [("early", 0.25), ("halfway", 0.5), ("at the end", 1.0)];
    let once = once.map(|(when, share)| (format!("weigh {when}"), vec![share * end_s]));
    let often = WEIGH_EVERY_S.iter().filter(|step| 2.0 * **step <= end_s).map(|step| {
        let count = (end_s / step) as usize;
        let times = (1..=count).map(|i| i as f64 * step).collect();
        (format!("weigh every {}", units::format(Kind::Time, *step)), times)
    });
    let named = |(words, times): (String, Vec<f64>)| {
        (format!("{words}: {} ({shown})", column.name), blank(column, times, u))
    };
    once.into_iter().chain(often).map(named).collect()
}

/// A logged series of the run with another step, its noise as slow as the residuals let it be: none
/// for a handful of readings.
fn at_step(o: &Observed, run: &RunData, outcome: &Outcome, step_s: f64) -> Option<Observed> {
    let noise = noise_of(o, run, outcome)?;
    let (first, last) = (o.times_s.first()?, o.times_s.last()?);
    // Of noise that looks white at the present step nobody knows that at a finer one.
    let white = noise.white && step_s >= noise.own_step_s;
    let tau_s = o.correlation_s.unwrap_or(if white { 0.0 } else { noise.slow_s });
    // Over the same span: what an earlier or longer log would tell is another question.
    let count = ((last - first) / step_s) as usize;
    let times: Vec<f64> = (0..=count).map(|i| first + i as f64 * step_s).collect();
    let good: Vec<f64> = o.u.iter().copied().filter(|u| u.is_finite()).collect();
    let u = good.iter().sum::<f64>() / good.len().max(1) as f64;
    // Shared errors are slow: those of the nearest reading.
    let near = |t: &f64| o.times_s.partition_point(|x| x < t).min(o.times_s.len() - 1);
    let by = |c: &Common| times.iter().map(|t| c.by[near(t)]).collect();
    let common = o.common.iter().map(|c| Common { by: by(c), ..c.clone() }).collect();
    Some(Observed {
        common,
        u: vec![u; times.len()],
        values: vec![0.0; times.len()],
        times_s: times,
        clock_s: 0.0,
        correlation_s: Some(tau_s),
        ..o.clone()
    })
}

/// The same run with nothing to dry.
fn dry(source: &Source, run: &RunData, scenario: &Scenario) -> Option<(String, RunData)> {
    let mut sets = run.sets.clone();
    let before = sets.len();
    let waters = scenario.loads.iter().map(|l| format!("load.{}.water", l.name()));
    let wet = waters.filter(|path| source.get_text(path).is_some());
    sets.extend(wet.map(|path| (path, "0 g".to_owned())));
    let changed = sets.len() > before;
    changed.then(|| ("repeat it with a dry load".into(), RunData { sets, ..run.clone() }))
}

/// How slow the noise of a logged series is, by its residuals.
struct Noise {
    own_step_s: f64,
    /// Whether it looks white at that step.
    white: bool,
    /// Correlation time that the residuals allow at most.
    slow_s: f64,
}

/// None for a handful of readings and for means.
fn noise_of(o: &Observed, run: &RunData, outcome: &Outcome) -> Option<Noise> {
    let row = outcome.series.iter().find(|s| s.run == run.name && s.name == o.name)?;
    if row.count < FEWEST_LOGGED || o.moments.is_some() {
        return None;
    }
    let (first, last) = (o.times_s.first()?, o.times_s.last()?);
    let own_step_s = (last - first) / (o.times_s.len() - 1) as f64;
    let hidden = 2.0 / (row.count as f64).sqrt();
    let slow_s = -own_step_s / row.lag_1.clamp(hidden, 0.999).ln();
    Some(Noise { own_step_s, white: row.lag_1 <= hidden, slow_s })
}

/// When a new sensor would be read, and the correlation time of its noise: as the longest logged series of
/// the run, so that it can be compared with a repetition.
fn logged(run: &RunData, outcome: &Outcome, end_s: f64) -> (Vec<f64>, f64) {
    let own = run.observed.iter().filter_map(|o| Some((o, noise_of(o, run, outcome)?)));
    match own.max_by_key(|(o, _)| o.times_s.len()) {
        Some((o, noise)) => {
            let slow_s = if noise.white { 0.0 } else { noise.slow_s };
            (o.times_s.clone(), o.correlation_s.unwrap_or(slow_s))
        }
        None => ((1..=READINGS).map(|i| end_s * i as f64 / READINGS as f64).collect(), 0.0),
    }
}

/// A series that nobody has read yet.
fn blank(column: &Column, times_s: Vec<f64>, u: f64) -> Observed {
    let n = times_s.len();
    Observed {
        name: column.name.clone(),
        target: Compared::Column(column.address),
        unit: column.unit.clone(),
        times_s,
        values: vec![0.0; n],
        u: vec![u; n],
        clock_s: 0.0,
        correlation_s: Some(0.0),
        common: Vec::new(),
        moments: None,
    }
}
