//! Scenarios, noise and readings for the fits of these tests.

use drybench::address::Address;
use drybench::reader::Source;
use drybench::run::sample;
use drybench::scenario::Scenario;
use drybench::study::box_fit::{Compared, FreePath, Observed, RunData, free_path};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use statrs::distribution::{ContinuousCDF, Normal};

/// Random numbers of one seed.
pub struct Dice(ChaCha8Rng);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Dice(ChaCha8Rng::seed_from_u64(seed))
    }

    pub fn even(&mut self, low: f64, high: f64) -> f64 {
        self.0.random_range(low..high)
    }

    pub fn normal(&mut self, sd: f64) -> f64 {
        sd * Normal::standard().inverse_cdf(self.0.random_range(1e-12..1.0))
    }
}

pub fn source(text: &str) -> Source {
    Source::from_bytes("box.toml", text.as_bytes()).expect("a scenario")
}

/// Free parameters as they are typed.
pub fn free(texts: &[&str], text: &str) -> Vec<FreePath> {
    let (_, report) = Scenario::read(&source(text)).expect("a scenario");
    texts.iter().map(|t| free_path(t, false, &report).expect(t)).collect()
}

/// The addresses of columns.
pub fn addresses(scenario: &Scenario, heads: &[impl AsRef<str>]) -> Vec<Address> {
    let heads: Vec<&str> = heads.iter().map(AsRef::as_ref).collect();
    drybench::run::addresses(scenario, &heads).expect("columns of the scenario")
}

/// Readings of a column, each with the standard uncertainty `u`.
pub fn observed(
    column: &str,
    at: Address,
    unit: &str,
    times_s: &[f64],
    values: Vec<f64>,
    u: f64,
) -> Observed {
    Observed {
        name: column.into(),
        target: Compared::Column(at),
        unit: unit.into(),
        times_s: times_s.to_vec(),
        u: vec![u; values.len()],
        values,
        clock_s: 0.0,
        correlation_s: None,
        common: Vec::new(),
        moments: None,
    }
}

/// Simulated values of a column with noise of standard deviation `u`.
pub fn noisy(
    scenario: &Scenario,
    column: &str,
    times_s: &[f64],
    u: f64,
    dice: &mut Dice,
) -> Observed {
    let at = addresses(scenario, &[column]);
    let columns = sample(scenario, times_s, &at).expect("a run");
    let values = columns[0].values.iter().map(|v| v + dice.normal(u)).collect();
    observed(column, at[0], &columns[0].unit, times_s, values, u)
}

pub fn one_run(observed: Vec<Observed>) -> RunData {
    RunData { name: "run".into(), observed, ..RunData::default() }
}
