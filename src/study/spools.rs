//! What a box makes of a spool, with the spread of what is known of its polymer.

use rayon::prelude::*;
use serde::Serialize;

use crate::merit::Trace;
pub use crate::model::parts::SPREAD_NAMES;
use crate::model::parts::{LoadSpec, SPREAD};
use crate::run::{Hindrance, Method, Run, RunError, simulate};
use crate::scenario::Scenario;
use crate::study::draws::Latin;
use crate::units::c_from_k;

/// Shares of the samples between which a band lies.
const BAND: (f64, f64) = (0.05, 0.95);

/// A figure with its band. Absent: not reached within the run.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Banded {
    /// With the table's values.
    pub value: Option<f64>,
    /// 5 % of the samples are below.
    pub low: Option<f64>,
    /// 5 % of the samples are above; absent where those do not reach it.
    pub high: Option<f64>,
}

/// What one uncertain value does to the moisture, the others kept at the table's values.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cause {
    /// The value, in words.
    pub name: &'static str,
    /// Letter of its quality; `-` for one that the scenario states.
    pub quality: String,
    /// Change of the moisture \[wt%\] with it one standard deviation low, and high.
    pub change_wt_pct: (f64, f64),
    /// Its part in the sum of squares of all of them \[%\].
    pub share_pct: f64,
}

/// One spool in one box.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answer {
    /// Name of the polymer.
    pub polymer: String,
    /// Set point \[°C\].
    pub set_point_c: Option<f64>,
    /// Customary temperatures \[°C\] and times \[h\]. Common practice.
    pub customary: [(f64, f64); 2],
    /// Moisture at the start \[wt%\].
    pub start_wt_pct: f64,
    /// Moisture at some hours \[h, wt%\].
    pub after: Vec<(f64, Banded)>,
    /// Moisture wanted \[wt%\].
    pub target_wt_pct: f64,
    /// Time to it \[h\].
    pub target_h: Banded,
    /// Samples that reach it, over all.
    pub reached: (usize, usize),
    /// Equilibrium with the air at the end \[wt%\].
    pub floor_wt_pct: f64,
    /// What holds the water back, with its share \[%\].
    pub held_back: Vec<(Hindrance, f64)>,
    /// Hours at which the causes of the band are told: where it is widest.
    pub causes_h: f64,
    /// What the band comes from.
    pub causes: Vec<Cause>,
    /// Warnings of the run with the table's values.
    pub warnings: Vec<String>,
}

/// Shares of a distribution that lie one standard deviation below and above the middle of a normal one.
const ONE_SD: (f64, f64) = (0.1587, 0.8413);

/// Hours at which the moisture is told.
const HOURS: [f64; 3] = [4.0, 8.0, 24.0];

/// Simulates the first spool of `scenario` with the table's values and `samples` times with values
/// from their spread (Latin hypercube, triangular in the logarithm), reproducibly from `seed`.
/// `Ok(None)` for a scenario without a spool.
///
/// # Errors
/// [`RunError`] of the first run that fails.
pub fn answer(scenario: &Scenario, samples: usize, seed: u64) -> Result<Option<Answer>, RunError> {
    let spool = |l: &LoadSpec| matches!(l, LoadSpec::Spool(_));
    let Some(at) = scenario.loads.iter().position(spool) else { return Ok(None) };
    let LoadSpec::Spool(spec) = &scenario.loads[at] else { return Ok(None) };
    let nominal = simulate(scenario, Method::Rodas5p)?;
    let points = Latin::new(samples as u32, SPREAD, seed);
    let share = |point| std::array::from_fn(|axis| Some(points.share(point, axis)));
    let drawn = (0..samples).map(share).collect();
    let runs = varied(scenario, at, drawn)?;
    let alone = varied(scenario, at, one_by_one())?;
    let key = |what: &str| format!("{}_{what}", spec.name);
    let column = key("moisture_wt_pct");
    let moisture = |run: &Run, hours: f64| {
        let c = run.column(&column)?;
        Trace { time_s: &run.time_s, value: &c.values }.at(3600.0 * hours)
    };
    let target = |run: &Run| run.merit(&key("target_h"));
    let end_h = scenario.run.duration_s / 3600.0;
    let hours = HOURS.into_iter().filter(|h| *h < end_h).chain([end_h]);
    let after: Vec<(f64, Banded)> =
        hours.map(|h| (h, banded(&nominal, &runs, |r| moisture(r, h)))).collect();
    let causes_h = widest(&after).unwrap_or(end_h);
    let of = |what: &str| nominal.merit(&key(what)).unwrap_or(f64::NAN);
    let (t, h) = (spec.polymer.customary_k, spec.polymer.customary_s);
    Ok(Some(Answer {
        polymer: spec.polymer.name.clone(),
        set_point_c: scenario.control.highest_k().map(c_from_k),
        customary: [(c_from_k(t.0), c_from_k(t.1)), (h.0 / 3600.0, h.1 / 3600.0)],
        start_wt_pct: of("moisture_start_wt_pct"),
        after,
        target_wt_pct: 100.0 * spec.target,
        target_h: banded(&nominal, &runs, target),
        reached: (runs.iter().filter(|r| target(r).is_some()).count(), runs.len()),
        floor_wt_pct: of("floor_wt_pct"),
        held_back: Hindrance::ALL.map(|w| (w, of(&format!("limit_{}_pct", w.word())))).to_vec(),
        causes_h,
        causes: causes(&nominal, &alone, spec.qualities(), |r| moisture(r, causes_h)),
        warnings: nominal.warnings.clone(),
    }))
}

/// The runs with load `at` varied by each of `shares`.
fn varied(
    scenario: &Scenario,
    at: usize,
    shares: Vec<[Option<f64>; SPREAD]>,
) -> Result<Vec<Run>, RunError> {
    let one = |u| {
        let mut varied = scenario.clone();
        if let LoadSpec::Spool(spec) = &mut varied.loads[at] {
            spec.vary(u);
        }
        simulate(&varied, Method::Rodas5p)
    };
    shares.into_par_iter().map(one).collect()
}

/// Each value alone, low and then high.
fn one_by_one() -> Vec<[Option<f64>; SPREAD]> {
    let one = |i: usize, u: f64| std::array::from_fn(|k| (k == i).then_some(u));
    (0..SPREAD).flat_map(|i| [one(i, ONE_SD.0), one(i, ONE_SD.1)]).collect()
}

/// Hours at which the band is widest.
fn widest(after: &[(f64, Banded)]) -> Option<f64> {
    let width = |b: &Banded| b.high.zip(b.low).map_or(0.0, |(high, low)| high - low);
    after.iter().max_by(|a, b| width(&a.1).total_cmp(&width(&b.1))).map(|(h, _)| *h)
}

/// What each value alone does to `figure`, largest first.
fn causes(
    nominal: &Run,
    alone: &[Run],
    qualities: [String; SPREAD],
    figure: impl Fn(&Run) -> Option<f64>,
) -> Vec<Cause> {
    let change = |run: &Run| figure(run).zip(figure(nominal)).map_or(0.0, |(a, b)| a - b);
    let pairs = alone.chunks_exact(2).map(|p| (change(&p[0]), change(&p[1])));
    let named = SPREAD_NAMES.iter().zip(qualities).zip(pairs);
    let mut list: Vec<Cause> = named
        .map(|((name, quality), change_wt_pct)| Cause {
            name: name.0,
            quality,
            change_wt_pct,
            share_pct: (change_wt_pct.1 - change_wt_pct.0).powi(2),
        })
        .collect();
    let all: f64 = list.iter().map(|c| c.share_pct).sum();
    list.iter_mut().for_each(|c| c.share_pct *= if all > 0.0 { 100.0 / all } else { 0.0 });
    list.sort_by(|a, b| b.share_pct.total_cmp(&a.share_pct));
    list
}

fn banded(nominal: &Run, runs: &[Run], figure: impl Fn(&Run) -> Option<f64>) -> Banded {
    let mut all: Vec<f64> = runs.iter().map(|r| figure(r).unwrap_or(f64::INFINITY)).collect();
    all.sort_by(f64::total_cmp);
    let at = |share: f64| {
        let i = (share * all.len() as f64 - 0.5).round().max(0.0) as usize;
        all.get(i.min(all.len().saturating_sub(1))).copied().filter(|v| v.is_finite())
    };
    Banded { value: figure(nominal), low: at(BAND.0), high: at(BAND.1) }
}
