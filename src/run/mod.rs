//! One simulation: drives the solver through events, records series, and closes the ledgers.
//!
//! ```
//! use drybench::run::{Method, simulate};
//! # let text = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/sealed.toml"));
//! # let mut source = drybench::reader::Source::from_bytes("sealed.toml", text.as_bytes()).expect("TOML");
//! # source.set("run.duration=5 min").expect("a value");
//! # let (scenario, _) = drybench::scenario::Scenario::read(&source).expect("a sound scenario");
//! let run = simulate(&scenario, Method::Rodas5p).expect("a solution");
//! assert!(run.water.closure_error.abs() < 1e-9 && run.energy.closure_error.abs() < 1e-9);
//! ```

mod columns;
mod drive;
mod ended;
mod explain;
mod ledger;
mod metrics;
mod moisture;
mod probe;
mod record;
mod sample;
mod saved;
mod snapshot;
mod warnings;
mod watch;

pub use ended::Ended;
pub use explain::{Explanation, Line, explain};
pub use ledger::{Ledger, Row};
pub use probe::Probe;
pub use sample::{addresses, columns, sample};
pub use snapshot::{AirState, Exchange, LoadState, OpeningState, Snapshot, WallState};

use serde::{Deserialize, Deserializer, Serialize};

use crate::address::{Address, Event, Names, Place, Quantity};
pub use crate::metric::Peak;
use crate::metric::{Metric, steady_from_s};
use crate::model::Plant;
use crate::scenario::Scenario;
use crate::solver::Failure;
use drive::integrate;
pub use record::Record;
use record::{Due, Recorder};
use watch::Watch;

/// Version of the layout of a saved [`Run`].
pub const SCHEMA_VERSION: u32 = 2;

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
    /// What it shows.
    #[serde(flatten)]
    pub address: Address,
    /// Header with the unit at its end, such as `supply_temperature_C`.
    pub name: String,
    /// Words for a figure, such as `supply air`.
    pub label: String,
    /// Unit for people.
    pub unit: String,
    /// One value per time; not a number (null in JSON) where there is none.
    #[serde(deserialize_with = "nulls_as_nan")]
    pub values: Vec<f64>,
    /// Largest value of the whole run, between the samples too, for temperatures and humidities.
    pub peak: Option<Peak>,
}

/// JSON has no NaN: it is written as null and read back here.
fn nulls_as_nan<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<f64>, D::Error> {
    let values = Vec::<Option<f64>>::deserialize(from)?;
    Ok(values.into_iter().map(|v| v.unwrap_or(f64::NAN)).collect())
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
    /// Names of zones, loads, sensors and openings.
    pub names: Names,
    /// Times of the samples \[s\].
    pub time_s: Vec<f64>,
    /// Everything recorded.
    pub columns: Vec<Column>,
    /// Metrics.
    pub metrics: Vec<Metric>,
    /// Where the water went \[g\].
    pub water: Ledger,
    /// Where the energy went \[Wh\].
    pub energy: Ledger,
    /// Lid openings and switchings.
    pub events: Vec<Event>,
    /// How hard the solver worked.
    pub effort: Effort,
    /// Things a reader should know.
    pub warnings: Vec<String>,
    /// Where and why it ended before its time: it left the range of the model.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ended: Option<Ended>,
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
    /// The box left the range in which the equations hold.
    #[error("{0}\n     look at {key}", key = .0.look_at)]
    OutOfRange(Ended),
}

impl Run {
    /// The column of this header.
    pub fn column(&self, name: &str) -> Option<&Column> {
        self.columns.iter().find(|c| c.name == name)
    }

    /// The column of this address.
    pub fn at(&self, place: Place, quantity: Quantity) -> Option<&Column> {
        self.columns.iter().find(|c| c.address == Address::new(place, quantity))
    }

    /// The columns of a quantity, in their order.
    pub fn of(&self, quantity: Quantity) -> impl DoubleEndedIterator<Item = &Column> {
        self.columns.iter().filter(move |c| c.address.quantity == quantity)
    }

    /// A quantity of the air of each zone, in airflow order.
    pub fn in_zones(&self, quantity: Quantity) -> impl DoubleEndedIterator<Item = &Column> {
        self.of(quantity).filter(|c| matches!(c.address.place, Place::Zone(_)))
    }

    /// A quantity of each sensor.
    pub fn of_sensors(&self, quantity: Quantity) -> impl Iterator<Item = &Column> {
        self.of(quantity).filter(|c| matches!(c.address.place, Place::Sensor(_)))
    }

    /// A quantity of each load.
    pub fn of_loads(&self, quantity: Quantity) -> impl Iterator<Item = &Column> {
        self.of(quantity).filter(|c| matches!(c.address.place, Place::Load(_)))
    }

    /// Where all water is or went: together these columns hold all of it at any time.
    pub fn water_paths(&self) -> impl Iterator<Item = &Column> {
        self.columns.iter().filter(|c| c.address.is_water_path())
    }

    /// The run, if it lasted to its end: for whom half a run is none.
    ///
    /// # Errors
    /// [`RunError::OutOfRange`].
    pub fn whole(self) -> Result<Run, RunError> {
        match self.ended {
            Some(ended) => Err(RunError::OutOfRange(ended)),
            None => Ok(self),
        }
    }

    /// The metric of this key, known from one side only in a run that ended early.
    pub fn metric(&self, key: &str) -> Option<f64> {
        self.metrics.iter().find(|m| m.key == key).and_then(|m| m.value)
    }
}

/// What a run of a scenario will say, before it is simulated.
#[derive(Clone, Debug)]
pub struct Outline {
    /// Its metrics, without values.
    pub metrics: Vec<Metric>,
    /// Its columns, without values.
    pub columns: Vec<Column>,
    /// The accounts of water and energy of the start.
    pub accounts: [Ledger; 2],
}

/// What a run of this scenario will say.
#[must_use]
pub fn outline(scenario: &Scenario) -> Outline {
    let model = scenario.build();
    let watch = Watch::new(&model, Vec::new(), 0.0);
    let (_, table) = metrics::MetricTable::new(scenario, &model, std::iter::empty(), watch);
    let start = model.start();
    Outline {
        metrics: table.titles(),
        columns: columns(scenario),
        accounts: [ledger::water(&model, &start), ledger::energy(&model, &start)],
    }
}

/// Simulates a scenario. A box that leaves the range of the model ends the run there.
///
/// # Errors
/// [`RunError`] if the solver fails.
pub fn simulate(scenario: &Scenario, method: Method) -> Result<Run, RunError> {
    simulate_recording(scenario, method, Record::Usual)
}

/// As [`simulate`], with other columns.
///
/// # Errors
/// [`RunError`] if the solver fails.
pub fn simulate_recording(
    scenario: &Scenario,
    method: Method,
    what: Record<'_>,
) -> Result<Run, RunError> {
    let model = &scenario.build();
    let end_s = scenario.run.duration_s;
    let due = Due::Every(scenario.run.output_every_s, end_s);
    let mut recorder = Recorder::new(scenario, model, due, |c| what.wants(c));
    let watch = Watch::new(model, ended::edges(model), steady_from_s(end_s));
    let (mut watch, table) = metrics::MetricTable::new(scenario, model, recorder.probes(), watch);
    let last = integrate(scenario, model, method, end_s, (&mut recorder, &mut watch))?;
    Ok(recorder.finish(scenario, last, &watch, &table))
}

/// Where a simulation ended.
struct Last<'m> {
    plant: Plant<'m>,
    y: Vec<f64>,
    effort: Effort,
    ended: Option<Ended>,
}

impl Last<'_> {
    /// The same, for whom half a run is none.
    fn whole(self) -> Result<Self, RunError> {
        match self.ended {
            Some(ended) => Err(RunError::OutOfRange(ended)),
            None => Ok(self),
        }
    }
}
