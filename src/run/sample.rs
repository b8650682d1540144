//! A few columns at given times: what a fit compares with data.

use super::drive::integrate;
use super::record::{Due, Recorder};
use super::watch::Watch;
use super::{Column, Method, RunError, ended};
use crate::address::Address;
use crate::scenario::Scenario;

/// All columns that a run of this scenario has, without values.
#[must_use]
pub fn columns(scenario: &Scenario) -> Vec<Column> {
    Recorder::new(scenario, &scenario.build(), Due::At(Vec::new()), |_| true).columns().collect()
}

/// Simulates a scenario and records the columns of these addresses at exactly these times, which rise from 0 or
/// later to the end of the run at most. The columns come in the order of [`columns`].
///
/// # Errors
/// [`RunError`] if the solver fails or the box leaves the model's range.
pub fn sample(
    scenario: &Scenario,
    times_s: &[f64],
    wanted: &[Address],
) -> Result<Vec<Column>, RunError> {
    let model = scenario.build();
    let due = Due::At(times_s.to_vec());
    let mut recorder = Recorder::new(scenario, &model, due, |c| wanted.contains(&c.address));
    let end_s = scenario.run.duration_s;
    let mut watch = Watch::new(&model, ended::edges(&model), end_s);
    let followers = (&mut recorder, &mut watch);
    integrate(scenario, &model, Method::Rodas5p, end_s, followers)?.whole()?;
    Ok(recorder.columns().collect())
}

/// The addresses of columns, by their heads.
///
/// # Errors
/// The first head that no column of this scenario has.
pub fn addresses<'a>(scenario: &Scenario, heads: &[&'a str]) -> Result<Vec<Address>, &'a str> {
    let known = columns(scenario);
    let find = |head: &&'a str| known.iter().find(|c| c.name == *head).ok_or(*head);
    heads.iter().map(|head| find(head).map(|c| c.address)).collect()
}
