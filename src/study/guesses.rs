//! What the values that nobody stated leave open: the run again with each guess at both ends of what
//! is likely.

use crate::address::{Place, Quantity};
use rayon::prelude::*;
use serde::Serialize;

use crate::model::events::Action;
use crate::reader::{Origin, Report, Source, ValueRecord};
use crate::run::{Method, Run, simulate};
use crate::scenario::Scenario;
use crate::units;

/// When a guess matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Where {
    /// In a box with added water.
    Wet,
    /// While the fan stands still.
    Still,
}

/// Keys whose defaults are guesses that a result hangs on; how far they may be off, the keys say themselves.
const KEYS: [(&str, Where); 6] = [
    ("coefficient_factor", Where::Wet),
    ("critical_moisture", Where::Wet),
    ("vapour_resistance", Where::Wet),
    ("uptake_time", Where::Wet),
    ("zone_opening", Where::Still),
    ("surface", Where::Still),
];

/// Metrics of a wet box that get a band.
const DRYING: [&str; 3] = ["t90_min", "t95_min", "box_t90_min"];

/// A value that nobody stated.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Guess {
    /// Its paths: the same key of several loads is one guess.
    pub paths: Vec<String>,
    /// The default, with its unit.
    pub value: String,
    /// The ends of what is likely.
    pub low: String,
    /// See [`Guess::low`].
    pub high: String,
}

/// A result with what the guesses leave open.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MetricBand {
    /// Key of the metric, or of what a still fan brings.
    pub key: String,
    /// Its words.
    pub label: String,
    /// Its unit.
    pub unit: String,
    /// With the defaults.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end; absent where with a guess the figure is not reached or the model ends.
    pub high: Option<f64>,
}

/// All guesses of a run and what they leave open.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct GuessBands {
    /// The guesses.
    pub guesses: Vec<Guess>,
    /// The results.
    pub bands: Vec<MetricBand>,
    /// The heater is taken to be beside the load, since nobody said where it is.
    pub place_guessed: bool,
}

/// Runs `source`, whose run with the defaults is `run`, once with each guess at each of its ends. The
/// differences of one direction are taken together by their squares, since guesses are independent.
#[must_use]
pub fn spread(source: &Source, scenario: &Scenario, report: &Report, run: &Run) -> GuessBands {
    let (wet, still) = (is_wet(scenario), stands_from(scenario, run));
    let counts = |place: Where| if place == Where::Wet { wet } else { still.is_some() };
    let keys = KEYS.iter().filter(|k| counts(k.1));
    let guesses: Vec<Guess> = keys.filter_map(|(key, _)| guess(report, key)).collect();
    if guesses.is_empty() {
        return GuessBands::default();
    }
    let ends: Vec<(usize, bool)> =
        (0..guesses.len()).flat_map(|i| [(i, false), (i, true)]).collect();
    // Of an end that the reader refuses, nothing is known; what cannot be simulated is open.
    let figures_at = |(i, high): &(usize, bool)| {
        let scenario = moved(source, &guesses[*i], *high)?;
        let run = simulate(&scenario, Method::Rodas5p).ok();
        Some(run.map_or_else(Vec::new, |run| figures(&run, wet, still)))
    };
    let moved: Vec<Option<Vec<Figure>>> = ends.par_iter().map(figures_at).collect();
    let bands = figures(run, wet, still).into_iter().filter_map(|f| band(f, &moved)).collect();
    let place = report.value("heater.place").filter(|_| scenario.enclosure.zones.len() > 1);
    let place_guessed = still.is_some() && place.is_some_and(is_default);
    GuessBands { guesses, bands, place_guessed }
}

/// A result: key, words, unit and value.
type Figure = (String, String, String, Option<f64>);

/// The results of a run that get a band.
fn figures(run: &Run, wet: bool, still_from_s: Option<f64>) -> Vec<Figure> {
    let drying = run.metrics.iter().filter(|m| wet && DRYING.contains(&m.key.as_str()));
    let mut all: Vec<Figure> =
        drying.map(|m| (m.key.clone(), m.label.clone(), m.unit.clone(), m.value)).collect();
    let Some(from_s) = still_from_s else { return all };
    let hottest = |label: &str, is: &dyn Fn(Place) -> bool| {
        let columns = run.of(Quantity::Temperature).filter(|c| is(c.address.place));
        let values = columns.flat_map(|c| run.time_s.iter().zip(&c.values));
        values.filter(|(t, _)| **t >= from_s).map(|(_, v)| *v).reduce(f64::max).map(|value| {
            let label = format!("hottest {label} from when the fan stands still");
            (label, Some(value))
        })
    };
    let air = hottest("air", &|at| matches!(at, Place::Zone(_)));
    let element = hottest("element", &|at| at == Place::Element);
    for (key, found) in [("still_air_C", air), ("still_element_C", element)] {
        all.extend(found.map(|(label, value)| (key.into(), label, "°C".into(), value)));
    }
    all
}

/// What the guesses leave of a result, from the results with each at its low and its high end.
fn band((key, label, unit, value): Figure, moved: &[Option<Vec<Figure>>]) -> Option<MetricBand> {
    let value = value?;
    let (mut up, mut down) = (Some(0.0), 0.0);
    for ends in moved.chunks(2) {
        let change = |figures: &Option<Vec<Figure>>| match figures {
            None => Some(0.0),
            Some(list) => list.iter().find(|f| f.0 == key)?.3.map(|v| v - value),
        };
        let changes = [change(&ends[0]), change(&ends[1])];
        // What is not reached or leaves the model is beyond the upper end.
        let all: Option<Vec<f64>> = changes.into_iter().collect();
        let most = all.map(|c| c.into_iter().fold(0.0, f64::max));
        up = up.zip(most).map(|(sum, most): (f64, f64)| sum + most * most);
        let least = changes.into_iter().flatten().fold(0.0, f64::min);
        down += least * least;
    }
    let (low, high) = (value - f64::sqrt(down), up.map(|sum: f64| value + sum.sqrt()));
    Some(MetricBand { key, label, unit, value, low, high })
}

fn is_wet(scenario: &Scenario) -> bool {
    scenario.loads.iter().any(|load| load.added_kg() > 0.0)
}

/// When the fan first stands still in a run with heat \[s\].
fn stands_from(scenario: &Scenario, run: &Run) -> Option<f64> {
    let heats = run.energy.amount("heater").is_some_and(|wh| wh > 0.0);
    let fails = scenario.events.list.iter().filter(|e| e.action == Action::Fan(0.0));
    let first = fails.map(|e| e.at_s).reduce(f64::min);
    let from = if scenario.fan.circulation_m3_s == 0.0 { Some(0.0) } else { first };
    from.filter(|_| heats)
}

fn is_default(value: &ValueRecord) -> bool {
    matches!(value.origin, Origin::Default(_))
}

/// The guess of this key, if it is one in this scenario.
fn guess(report: &Report, key: &str) -> Option<Guess> {
    let own = |v: &&ValueRecord| v.path.rsplit('.').next() == Some(key) && is_default(v);
    let values: Vec<&ValueRecord> = report.values.iter().filter(own).collect();
    let first = values.first()?;
    let kind = first.kind()?;
    let (low, high) = first.likely()?;
    let text = |si: f64| units::format_digits(kind, si, 3);
    let paths = values.iter().map(|v| v.path.clone()).collect();
    Some(Guess { paths, value: first.text(), low: text(low), high: text(high) })
}

/// The scenario with a guess at one of its ends.
fn moved(source: &Source, guess: &Guess, high: bool) -> Option<Scenario> {
    let mut source = source.clone();
    let text = if high { &guess.high } else { &guess.low };
    for path in &guess.paths {
        source.set_value(path, text, Origin::Axis).ok()?;
    }
    Scenario::read_case(&source).ok().map(|(scenario, _)| scenario)
}
