//! Which further measurement of this box would tell most about one parameter.

use super::data::{Observed, RunData, Target};
use super::problem::{BoxFit, FreePath, TOLERANCE};
use super::solve::Outcome;
use crate::reader::Source;
use crate::run::{self, Group};
use crate::scenario::Scenario;
use crate::study::fit::{Candidate, Gain, Problem, jacobian, rank};

/// Standard uncertainty of a thermometer in a plan \[K\]: a usual digital one after an offset check.
const THERMOMETER_K: f64 = 0.2;

/// Standard uncertainty of a kitchen-to-laboratory scale in a plan \[g\].
const SCALE_G: f64 = 0.02;

/// Standard uncertainty of a plug meter in a plan \[W\].
const PLUG_W: f64 = 1.0;

/// Readings of a logged series in a plan: more would be correlated anyhow.
const READINGS: usize = 60;

/// Ranks further measurements by the standard error they would leave on parameter `target`.
///
/// Candidates: each temperature that nobody logs, weighings of each load early and late, the
/// element's power, a second run like the first, and one with a dry load. They are taken in the
/// first run, with its own values.
#[must_use]
pub fn plan(
    source: &Source,
    free: &[FreePath],
    run: &RunData,
    fit: &BoxFit,
    outcome: &Outcome,
    target: usize,
) -> Vec<Gain> {
    let ideas = ideas(source, run);
    let candidates: Vec<Candidate> = ideas
        .into_iter()
        .filter_map(|(name, data)| {
            let rows = slopes(source, free, &data, fit, outcome)?;
            Some(Candidate { name, rows })
        })
        .collect();
    rank(&outcome.fit, &outcome.known, target, &candidates)
}

/// Derivatives of the readings of an imagined run, in the columns of the fit's parameters.
fn slopes(
    source: &Source,
    free: &[FreePath],
    data: &RunData,
    fit: &BoxFit,
    outcome: &Outcome,
) -> Option<nalgebra::DMatrix<f64>> {
    let imagined = BoxFit::new(source, free.to_vec(), std::slice::from_ref(data)).ok()?;
    let values: Vec<(usize, f64)> =
        fit.assignments(0, &outcome.fit.values).map(|(_, place, v)| (place, v)).collect();
    let p: Vec<f64> = values.iter().map(|(_, v)| *v).collect();
    let r = imagined.residuals(&p).ok()?;
    let own = jacobian(&imagined, imagined.parameters(), &p, &r, TOLERANCE, false).ok()?.matrix;
    let mut rows = nalgebra::DMatrix::zeros(own.nrows(), outcome.fit.values.len());
    for (k, (place, _)) in values.iter().enumerate() {
        rows.column_mut(*place).copy_from(&own.column(k));
    }
    Some(rows)
}

fn ideas(source: &Source, run: &RunData) -> Vec<(String, RunData)> {
    let mut own = run.scenario.as_ref().unwrap_or(source).clone();
    for (path, text) in &run.sets {
        if own.set_value(path, text, crate::reader::Origin::Set).is_err() {
            return Vec::new();
        }
    }
    let Ok((scenario, _)) = Scenario::read(&own) else { return Vec::new() };
    let end = run.observed.iter().filter_map(|o| o.times_s.last()).fold(0.0_f64, |a, b| a.max(*b));
    let end_s = end.min(scenario.run.duration_s);
    let seen: Vec<&str> = run.observed.iter().flat_map(|o| o.target.columns()).collect();
    let with = |observed| RunData { observed, ..run.clone() };
    let mut ideas = Vec::new();
    for column in run::columns(&scenario).iter().filter(|c| !seen.contains(&c.name.as_str())) {
        let series = |times: Vec<f64>, u: f64| vec![blank(&column.name, &column.unit, times, u)];
        match column.group {
            Group::Temperature => {
                let name = format!("log {} ({THERMOMETER_K} K)", column.name);
                ideas.push((name, with(series(logged(end_s), THERMOMETER_K))));
            }
            Group::WaterLeft => {
                for (when, share) in [("early", 0.25), ("halfway", 0.5), ("at the end", 1.0)] {
                    let name = format!("weigh {when}: {} ({SCALE_G} g)", column.name);
                    ideas.push((name, with(series(vec![share * end_s], SCALE_G))));
                }
            }
            Group::Power if column.name == "heater_power_W" => {
                let name = format!("log the heater's power ({PLUG_W} W)");
                ideas.push((name, with(series(logged(end_s), PLUG_W))));
            }
            _ => {}
        }
    }
    ideas.push(("repeat the first run".into(), run.clone()));
    ideas.extend(dry(&own, run, &scenario));
    ideas
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

fn logged(end_s: f64) -> Vec<f64> {
    (1..=READINGS).map(|i| end_s * i as f64 / READINGS as f64).collect()
}

/// A series that nobody has read yet.
fn blank(column: &str, unit: &str, times_s: Vec<f64>, u: f64) -> Observed {
    let n = times_s.len();
    Observed {
        name: column.into(),
        target: Target::Column(column.into()),
        unit: unit.into(),
        times_s,
        values: vec![0.0; n],
        u: vec![u; n],
        correlation_s: Some(0.0),
        common: 0.0,
        moments: None,
    }
}
