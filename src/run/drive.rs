//! Drives the solver from event to event.

use super::ended::{self, Ended};
use super::record::Recorder;
use super::watch::Watch;
use super::{Effort, Last, Method, RunError};
use crate::address::Place;
use crate::model::{Model, Plant};
use crate::scenario::Scenario;
use crate::solver::{Dopri5, Failure, Rodas5p, Segment, SolverOptions, Stepper, integrate_until};

/// Follows a scenario from its start.
pub(super) fn integrate<'m>(
    scenario: &Scenario,
    model: &'m Model,
    method: Method,
    end_s: f64,
    followers: (&mut Recorder, &mut Watch),
) -> Result<Last<'m>, RunError> {
    let mut plant = Plant::new(model, scenario.run.tolerance);
    let mut y = model.start();
    followers.0.start(&mut plant, &y);
    let options = SolverOptions { rtol: scenario.run.tolerance, ..SolverOptions::default() };
    let (effort, ended) = match method {
        Method::Rodas5p => {
            let mut stepper = Rodas5p::new(options);
            let ended = drive(&mut stepper, &mut plant, &mut y, end_s, followers)?;
            let s = stepper.statistics();
            (Effort { steps: s.accepted, rejected: s.rejected, switchings: 0 }, ended)
        }
        Method::Dopri5 => {
            let mut stepper = Dopri5::new(options);
            (Effort::default(), drive(&mut stepper, &mut plant, &mut y, end_s, followers)?)
        }
    };
    Ok(Last { plant, y, effort, ended })
}

/// Integrates from stop to stop: events, knots of the room's table, the end. Ends early where the box
/// leaves the range of the model, with the state of that instant in `y`.
fn drive<S: Stepper>(
    stepper: &mut S,
    plant: &mut Plant<'_>,
    y: &mut [f64],
    end_s: f64,
    (recorder, watch): (&mut Recorder, &mut Watch),
) -> Result<Option<Ended>, RunError> {
    let model = plant.model();
    let mut t = 0.0;
    for stop in stops(model, end_s) {
        let mut follow = |plant: &mut Plant<'_>, segment: &Segment<'_>, until: f64| {
            let left = watch.follow(plant, segment, until);
            recorder.follow(plant, segment, left.unwrap_or(until));
            left
        };
        if stop > t {
            let solved = integrate_until(stepper, plant, t, y, stop, &mut follow);
            if let Err(failure) = solved {
                return solver_error(failure, plant, y);
            }
        }
        if let Some((time_s, edge)) = watch.left() {
            return Ok(Some(edge.ended(time_s)));
        }
        t = stop;
        for event in model.events().iter().filter(|e| e.at_s == t) {
            plant.act(event.action, t, y);
            stepper.disturb();
        }
    }
    Ok(None)
}

fn stops(model: &Model, end_s: f64) -> Vec<f64> {
    let events = model.events().iter().map(|e| e.at_s);
    let mut stops: Vec<f64> = events.chain(model.room_knots()).filter(|t| *t < end_s).collect();
    stops.push(end_s);
    stops.sort_by(f64::total_cmp);
    stops.dedup();
    stops
}

/// A load that boils explains a failure better than the solver can.
fn solver_error(
    failure: Failure,
    plant: &mut Plant<'_>,
    y: &[f64],
) -> Result<Option<Ended>, RunError> {
    let model = plant.model();
    let temps_k = plant.intensive(y).temps_k;
    let boils = failure.time_s().and_then(|time_s| ended::boils(model, y, temps_k, time_s));
    if boils.is_some() {
        return Ok(boils);
    }
    let place = failure.state().map(|i| model.entries()[i].address.place);
    let key = likely_key(place).to_owned();
    Err(RunError::Solver { failure, key })
}

/// The key that most often causes trouble in the store where the solver failed.
fn likely_key(place: Option<Place>) -> &'static str {
    match place {
        Some(Place::Element) => "heater.power and heater.coupling",
        Some(Place::Wall(_) | Place::Face(..) | Place::Joint(..) | Place::Floor(_)) => {
            "enclosure.wall"
        }
        Some(Place::Controller) => "control.gain and control.integral_time",
        Some(Place::Sensor(_)) => "the sensor's time constants",
        Some(Place::Zone(_)) => "heater.power and fan.circulation",
        Some(place) if place.load().is_some() => "the load's size and air_speed, and heater.power",
        _ => "run.tolerance",
    }
}
