//! One simulation: drives the solver through events, records series, and closes the ledgers.

mod explain;
mod ledger;
mod merits;
mod moisture;
mod probe;
mod record;
mod sample;
mod saved;
mod snapshot;
mod spool_merits;

pub use explain::{Explanation, Line, explain};
pub use ledger::{DRIPPED, DRIPPED_HEAT, Ledger, Row};
pub use moisture::Hindrance;
pub use probe::{Group, Probe};
pub use sample::{columns, sample};
pub use snapshot::{AirState, Exchange, LoadState, OpeningState, Place, Snapshot, WallState};

use serde::{Deserialize, Deserializer, Serialize};

use crate::merit::Merit;
use crate::model::{Model, Plant};
use crate::scenario::Scenario;
use crate::solver::{Dopri5, Failure, Options, Rodas5p, Segment, Stepper, integrate};
use crate::units::{ZERO_CELSIUS_K, c_from_k};
use record::Recorder;

/// Version of the layout of a saved [`Run`].
pub const SCHEMA_VERSION: u32 = 1;

/// Air temperatures between which the equations are trusted \[K\]: the transport properties are
/// fitted to 0..100 °C and stay sane to 150 °C; a hotter box is a fault, not a dryer.
const AIR_RANGE_K: (f64, f64) = (ZERO_CELSIUS_K - 25.0, ZERO_CELSIUS_K + 150.0);

/// Which method integrates.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Our stiff stepper, the normal choice.
    Rodas5p,
    /// An explicit method behind the same seam, as an independent check.
    Dopri5,
}

/// A column of a run's table.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Column {
    /// Header with the unit at its end, such as `supply_temperature_C`.
    pub name: String,
    /// Words for a figure, such as `supply air`.
    pub label: String,
    /// Unit for people.
    pub unit: String,
    /// What it shows.
    pub group: Group,
    /// One value per time; not a number (null in JSON) where there is none.
    #[serde(deserialize_with = "nulls_as_nan")]
    pub values: Vec<f64>,
    /// Largest value between the samples too, for temperatures and humidities.
    pub peak: Option<Peak>,
}

/// JSON has no NaN: it is written as null and read back here.
fn nulls_as_nan<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<f64>, D::Error> {
    let values = Vec::<Option<f64>>::deserialize(from)?;
    Ok(values.into_iter().map(|v| v.unwrap_or(f64::NAN)).collect())
}

/// A largest value with its time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Peak {
    /// When \[s\].
    pub time_s: f64,
    /// How much.
    pub value: f64,
}

/// Something that happened at one instant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Happening {
    /// When \[s\].
    pub time_s: f64,
    /// What.
    pub what: String,
}

/// How hard the solver worked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Effort {
    /// Steps accepted.
    pub steps: u64,
    /// Steps rejected.
    pub rejected: u64,
    /// Times the heater switched.
    pub switchings: usize,
}

/// A finished simulation: plain numbers, complete for every report.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Run {
    /// Version of this layout.
    pub schema_version: u32,
    /// Version of the program.
    pub program_version: String,
    /// Title of the scenario.
    pub title: String,
    /// Times of the samples \[s\].
    pub time_s: Vec<f64>,
    /// Everything recorded.
    pub columns: Vec<Column>,
    /// Figures of merit.
    pub merits: Vec<Merit>,
    /// Where the water went \[g\].
    pub water: Ledger,
    /// Where the energy went \[Wh\].
    pub energy: Ledger,
    /// Lid openings and switchings.
    pub happenings: Vec<Happening>,
    /// How hard the solver worked.
    pub effort: Effort,
    /// Things a reader should know.
    pub warnings: Vec<String>,
}

/// Why a simulation could not be finished.
#[derive(Clone, Debug, thiserror::Error)]
pub enum RunError {
    /// The solver gave up.
    #[error("the solver stopped: {failure}\n     look at {key}")]
    Solver {
        /// What happened.
        failure: Failure,
        /// The key of the scenario that most likely causes it.
        key: String,
    },
    /// The air left the range in which the equations hold.
    #[error(
        "at {time_s:.1} s the air in zone {zone} reaches {temp_c:.0} °C, outside the range of the \
         model (-25 to 150 °C)\n     look at {key}"
    )]
    OutOfRange {
        /// When \[s\].
        time_s: f64,
        /// Where.
        zone: String,
        /// How hot \[°C\].
        temp_c: f64,
        /// The key of the scenario that most likely causes it.
        key: String,
    },
}

impl Run {
    /// The column of this header.
    pub fn column(&self, name: &str) -> Option<&Column> {
        self.columns.iter().find(|c| c.name == name)
    }

    /// The figure of merit of this key.
    pub fn merit(&self, key: &str) -> Option<f64> {
        self.merits.iter().find(|m| m.key == key).and_then(|m| m.value)
    }
}

/// Simulates a scenario.
///
/// # Errors
/// [`RunError`] if the solver fails or the box leaves the model's range.
pub fn simulate(scenario: &Scenario, method: Method) -> Result<Run, RunError> {
    let model = scenario.build();
    simulate_model(scenario, &model, method)
}

/// As [`simulate`], for a model that exists already.
///
/// # Errors
/// [`RunError`] if the solver fails or the box leaves the model's range.
pub fn simulate_model(scenario: &Scenario, model: &Model, method: Method) -> Result<Run, RunError> {
    let mut recorder = Recorder::new(scenario, model);
    let mut plant = Plant::new(model, scenario.run.tolerance);
    let mut y = model.start();
    recorder.start(&mut plant, &y);
    let end = scenario.run.duration_s;
    let mut effort = match method {
        Method::Rodas5p => {
            let mut stepper = Rodas5p::new(options(scenario));
            drive(&mut stepper, &mut plant, &mut y, end, &mut recorder)?;
            let s = stepper.statistics();
            Effort { steps: s.accepted, rejected: s.rejected, switchings: 0 }
        }
        Method::Dopri5 => {
            let mut stepper = Dopri5::new(options(scenario));
            drive(&mut stepper, &mut plant, &mut y, end, &mut recorder)?;
            Effort::default()
        }
    };
    let switched =
        plant.happenings().iter().filter(|(t, what)| *t > 0.0 && what.starts_with("heater "));
    effort.switchings = switched.count();
    Ok(recorder.finish(scenario, &plant, &y, effort))
}

fn options(scenario: &Scenario) -> Options {
    Options { rtol: scenario.run.tolerance, ..Options::default() }
}

/// Integrates from stop to stop: events, knots of the room's table, the end.
fn drive<S: Stepper>(
    stepper: &mut S,
    plant: &mut Plant<'_>,
    y: &mut [f64],
    end_s: f64,
    recorder: &mut Recorder,
) -> Result<(), RunError> {
    let model = plant.model();
    let mut t = 0.0;
    for stop in stops(model, end_s) {
        let mut watch = |plant: &mut Plant<'_>, segment: &Segment<'_>, until: f64| {
            recorder.watch(plant, segment, until);
        };
        if stop > t {
            integrate(stepper, plant, t, y, stop, &mut watch)
                .map_err(|f| solver_error(f, recorder))?;
        }
        if let Some(error) = recorder.out_of_range() {
            return Err(error);
        }
        t = stop;
        for event in model.events().iter().filter(|e| e.at_s == t) {
            plant.act(event.action, t, y);
            stepper.disturb();
        }
    }
    Ok(())
}

fn stops(model: &Model, end_s: f64) -> Vec<f64> {
    let events = model.events().iter().map(|e| e.at_s);
    let mut stops: Vec<f64> = events.chain(model.room_knots()).filter(|t| *t < end_s).collect();
    stops.push(end_s);
    stops.sort_by(f64::total_cmp);
    stops.dedup();
    stops
}

/// An air temperature out of range explains a later failure better than the solver can.
fn solver_error(failure: Failure, recorder: &Recorder) -> RunError {
    recorder.out_of_range().unwrap_or_else(|| {
        let key = likely_key(&failure.to_string());
        RunError::Solver { failure, key }
    })
}

/// The key that most often causes trouble in the store that a message names.
fn likely_key(message: &str) -> String {
    let keys = [
        ("heater element", "heater.power and heater.coupling"),
        ("load.", "the load's size and air_speed, and heater.power (does the load boil?)"),
        ("wall.", "enclosure.wall"),
        ("control", "control.gain and control.integral_time"),
        ("sensor.", "the sensor's time constants"),
        ("air.", "heater.power and fan.circulation"),
    ];
    let found = keys.iter().find(|(store, _)| message.contains(store));
    found.map_or("run.tolerance", |(_, key)| key).to_owned()
}

/// An error if zone air at `time_s` is outside the range of the model.
fn range_error(zone: &str, temp_k: f64, time_s: f64) -> Option<RunError> {
    let inside = temp_k >= AIR_RANGE_K.0 && temp_k <= AIR_RANGE_K.1;
    (!inside).then(|| RunError::OutOfRange {
        time_s,
        zone: zone.into(),
        temp_c: c_from_k(temp_k),
        key: "heater.power, fan.circulation and control".into(),
    })
}
