//! Every flow of one instant, by part.

use serde::{Deserialize, Serialize};

use super::drive::integrate;
use super::record::{Due, Recorder};
use super::watch::Watch;
use super::{Last, Method, RunError, Snapshot, ended};
use crate::address::Place;
use crate::model::Model;
use crate::model::flows::Posting;
use crate::model::store::Holds;
use crate::scenario::Scenario;
use crate::units::c_from_k;

/// One flow.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// The part that causes it.
    pub part: String,
    /// Store it leaves.
    pub from: String,
    /// Store it reaches.
    pub to: String,
    /// Rate in `unit`.
    pub rate: f64,
    /// `W`, `g/h of water` or `g/h of dry air`.
    pub unit: String,
}

/// All flows and temperatures of one instant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Explanation {
    /// Version of the program.
    pub program_version: String,
    /// Title of the scenario.
    pub title: String,
    /// When \[s\].
    pub time_s: f64,
    /// Temperatures \[°C\] by store.
    pub temperatures_c: Vec<(String, f64)>,
    /// Flows, each with a positive rate.
    pub flows: Vec<Line>,
    /// The same instant by place.
    pub snapshot: Snapshot,
}

/// Simulates up to `time_s` and lists every flow there.
///
/// # Errors
/// As [`super::simulate`].
pub fn explain(scenario: &Scenario, time_s: f64) -> Result<Explanation, RunError> {
    let model = scenario.build();
    let mut recorder = Recorder::new(scenario, &model, Due::At(Vec::new()), |_| false);
    let mut watch = Watch::new(&model, ended::edges(&model), time_s);
    let followers = (&mut recorder, &mut watch);
    let last = integrate(scenario, &model, Method::Rodas5p, time_s, followers)?;
    let Last { mut plant, y, .. } = last.whole()?;
    let mut postings = Vec::new();
    let instant = plant.explain(&y, &mut postings);
    let snapshot = Snapshot::new(&model, &instant, &y, &postings);
    let zones = instant.zones.iter().enumerate();
    let mut temperatures_c: Vec<(String, f64)> =
        zones.map(|(z, a)| (model.names().part(Place::Zone(z)), c_from_k(a.air.temp_k))).collect();
    let heats = model.entries().iter().enumerate();
    let solids = heats.filter(|(i, e)| {
        let of_air = matches!(e.address.place, Place::Zone(_));
        e.holds == Holds::Heat && *i < model.core_len() && !of_air
    });
    temperatures_c.extend(solids.map(|(i, _)| (model.entry_name(i), c_from_k(instant.temps_k[i]))));
    Ok(Explanation {
        program_version: env!("CARGO_PKG_VERSION").into(),
        title: scenario.title.clone(),
        time_s,
        temperatures_c,
        flows: lines(&model, postings),
        snapshot,
    })
}

/// Sums postings of one part between the same two stores, turns them to positive rates, and keeps
/// the postings of each part together.
fn lines(model: &Model, postings: Vec<Posting>) -> Vec<Line> {
    let mut sums: Vec<Posting> = Vec::new();
    for mut p in postings {
        if p.from > p.to {
            (p.from, p.to, p.rate) = (p.to, p.from, -p.rate);
        }
        let key = |q: &Posting| (q.part, q.holds, q.from, q.to);
        match sums.iter_mut().find(|q| key(q) == key(&p)) {
            Some(q) => q.rate += p.rate,
            None => sums.push(p),
        }
    }
    sums.sort_by_key(|p| p.part);
    let used = sums.into_iter().filter(|p| p.rate != 0.0);
    used.map(|p| {
        let (from, to) = if p.rate > 0.0 { (p.from, p.to) } else { (p.to, p.from) };
        let (unit, factor) = match p.holds {
            Holds::Heat => ("W", 1.0),
            Holds::Water => ("g/h of water", 3.6e6),
            Holds::DryAir => ("g/h of dry air", 3.6e6),
            Holds::Other => ("per s", 1.0),
        };
        Line {
            part: model.part_name(p.part),
            from: model.entry_name(from),
            to: model.entry_name(to),
            rate: p.rate.abs() * factor,
            unit: unit.into(),
        }
    })
    .collect()
}
