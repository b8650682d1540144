//! What the values that nobody stated leave open: the run again with each guess at both ends of what
//! is likely.

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

/// How far a default may be off.
#[derive(Clone, Copy, Debug)]
enum Likely {
    /// From a value to a value, in SI.
    Between(f64, f64),
    /// Divided or multiplied by so much.
    Within(f64),
}

/// Keys whose defaults are guesses that a result hangs on, as their tables give them.
const KEYS: [(&str, Where, Likely); 6] = [
    ("film_factor", Where::Wet, Likely::Between(0.8, 1.5)),
    ("critical_moisture", Where::Wet, Likely::Between(0.25, 0.6)),
    ("vapour_resistance", Where::Wet, Likely::Between(1.5, 5.0)),
    ("uptake_time", Where::Wet, Likely::Within(3.0)),
    ("zone_opening", Where::Still, Likely::Within(4.0)),
    ("surface", Where::Still, Likely::Within(2.0)),
];

/// Results that get a band.
const FIGURES: [(&str, Where); 5] = [
    ("t90_min", Where::Wet),
    ("t95_min", Where::Wet),
    ("box_t90_min", Where::Wet),
    ("peak_air_C", Where::Still),
    ("peak_element_C", Where::Still),
];

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
pub struct Band {
    /// Key of the figure of merit.
    pub key: String,
    /// Its words.
    pub label: String,
    /// Its unit.
    pub unit: String,
    /// With the defaults.
    pub value: f64,
    /// Lower end; absent where a guess leaves it open.
    pub low: Option<f64>,
    /// Upper end; absent where with a guess the figure is not reached or the model ends.
    pub high: Option<f64>,
}

/// All guesses of a run and what they leave open.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Spread {
    /// The guesses.
    pub guesses: Vec<Guess>,
    /// The results.
    pub bands: Vec<Band>,
    /// The heater is taken to be beside the load, since nobody said where it is.
    pub place_guessed: bool,
}

/// Runs `source`, whose run with the defaults is `run`, once with each guess at each of its ends. The
/// differences of one direction are taken together by their squares, since guesses are independent.
#[must_use]
pub fn spread(source: &Source, scenario: &Scenario, report: &Report, run: &Run) -> Spread {
    let (wet, still) = (is_wet(scenario), stands_still(scenario, run));
    let counts = |place: Where| if place == Where::Wet { wet } else { still };
    let keys: Vec<_> = KEYS.into_iter().filter(|k| counts(k.1)).collect();
    let guesses: Vec<Guess> =
        keys.iter().filter_map(|(key, _, likely)| guess(report, key, *likely)).collect();
    let ends: Vec<(usize, bool)> =
        (0..guesses.len()).flat_map(|i| [(i, false), (i, true)]).collect();
    // An end that the reader refuses is no end of what is likely.
    let runs: Vec<Option<Result<Run, ()>>> = ends
        .par_iter()
        .map(|(i, high)| {
            let scenario = moved(source, &guesses[*i], *high)?;
            Some(simulate(&scenario, Method::Rodas5p).map_err(|_| ()))
        })
        .collect();
    let band = |(key, _): &(&str, Where)| {
        let merit = run.merits.iter().find(|m| m.key == *key)?;
        let value = merit.value?;
        let (mut up, mut down) = (Some(0.0), Some(0.0));
        for pair in runs.chunks(2) {
            let at = |end: &Option<Result<Run, ()>>| match end {
                None => Some(0.0),
                Some(Err(())) => None,
                Some(Ok(run)) => run.merit(key).map(|v| v - value),
            };
            let moves = [at(&pair[0]), at(&pair[1])];
            // What is not reached or leaves the model is beyond the upper end.
            let all: Option<Vec<f64>> = moves.into_iter().collect();
            let most = all.map(|m| m.into_iter().fold(0.0, f64::max));
            up = up.zip(most).map(|(sum, m): (f64, f64)| sum + m * m);
            let least = moves.into_iter().flatten().fold(0.0, f64::min);
            down = down.map(|sum: f64| sum + least * least);
        }
        Some(Band {
            key: merit.key.clone(),
            label: merit.label.clone(),
            unit: merit.unit.clone(),
            value,
            low: down.map(|sum| value - sum.sqrt()),
            high: up.map(|sum| value + sum.sqrt()),
        })
    };
    let bands = match guesses.len() {
        0 => Vec::new(),
        _ => FIGURES.iter().filter(|f| counts(f.1)).filter_map(band).collect(),
    };
    let place =
        report.value("heater.place").filter(|_| still && scenario.enclosure.zones.len() > 1);
    let place_guessed = place.is_some_and(is_default);
    Spread { guesses, bands, place_guessed }
}

fn is_wet(scenario: &Scenario) -> bool {
    scenario.loads.iter().any(|load| load.added_kg() > 0.0)
}

/// Whether the fan stands still at some time of a run with heat.
fn stands_still(scenario: &Scenario, run: &Run) -> bool {
    let fails = scenario.events.list.iter().any(|e| e.action == Action::Fan(0.0));
    let still = scenario.fan.circulation_m3_s == 0.0 || fails;
    still && run.energy.amount("heater").is_some_and(|wh| wh > 0.0)
}

fn is_default(value: &ValueRecord) -> bool {
    matches!(value.origin, Origin::Default(_))
}

/// The guess of this key, if it is one in this scenario.
fn guess(report: &Report, key: &str, likely: Likely) -> Option<Guess> {
    let own = |v: &&ValueRecord| v.path.rsplit('.').next() == Some(key) && is_default(v);
    let values: Vec<&ValueRecord> = report.values.iter().filter(own).collect();
    let first = values.first()?;
    let (kind, si) = (first.kind()?, first.si()?);
    let (low, high) = match likely {
        Likely::Between(low, high) => (low, high),
        Likely::Within(factor) => (si / factor, si * factor),
    };
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
