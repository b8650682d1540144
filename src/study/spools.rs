//! What a box makes of a spool, with the spread of what is known of its polymer.

use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use serde::Serialize;

use crate::merit::Trace;
use crate::model::parts::{LoadSpec, SPREAD};
use crate::run::{Hindrance, Method, Run, RunError, simulate};
use crate::scenario::Scenario;
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
    /// Letters of quality: diffusivity, content.
    pub quality: (String, String),
    /// Warnings of the run with the table's values.
    pub warnings: Vec<String>,
}

/// Hours at which the moisture is told.
const HOURS: [f64; 3] = [4.0, 8.0, 24.0];

/// Simulates the first spool of `scenario` with the table's values and `samples` times with values
/// from their spread (Latin hypercube, triangular in the logarithm), reproducibly from `seed`.
/// `Ok(None)` for a scenario without a spool.
///
/// # Errors
/// [`RunError`] of the first run that fails.
pub fn answer(scenario: &Scenario, samples: usize, seed: u64) -> Result<Option<Answer>, RunError> {
    let spool = |s: &Scenario| s.loads.iter().position(|l| matches!(l, LoadSpec::Spool(_)));
    let Some(at) = spool(scenario) else { return Ok(None) };
    let nominal = simulate(scenario, Method::Rodas5p)?;
    let runs: Vec<Run> = hypercube(samples, seed)
        .into_par_iter()
        .map(|u| {
            let mut varied = scenario.clone();
            if let LoadSpec::Spool(spec) = &mut varied.loads[at] {
                spec.vary(u);
            }
            simulate(&varied, Method::Rodas5p)
        })
        .collect::<Result<_, _>>()?;
    let LoadSpec::Spool(spec) = &scenario.loads[at] else { return Ok(None) };
    let key = |what: &str| format!("{}_{what}", spec.name);
    let column = key("moisture_wt_pct");
    let moisture = |run: &Run, hours: f64| {
        let c = run.column(&column)?;
        Trace { time_s: &run.time_s, value: &c.values }.at(3600.0 * hours)
    };
    let target = |run: &Run| run.merit(&key("target_h"));
    let end_h = scenario.run.duration_s / 3600.0;
    let hours = HOURS.into_iter().filter(|h| *h < end_h).chain([end_h]);
    let of = |what: &str| nominal.merit(&key(what)).unwrap_or(f64::NAN);
    let (t, h) = (spec.polymer.customary_k, spec.polymer.customary_s);
    Ok(Some(Answer {
        polymer: spec.polymer.name.clone(),
        set_point_c: scenario.control.highest_k().map(c_from_k),
        customary: [(c_from_k(t.0), c_from_k(t.1)), (h.0 / 3600.0, h.1 / 3600.0)],
        start_wt_pct: of("moisture_start_wt_pct"),
        after: hours.map(|h| (h, banded(&nominal, &runs, |r| moisture(r, h)))).collect(),
        target_wt_pct: 100.0 * spec.target,
        target_h: banded(&nominal, &runs, target),
        reached: (runs.iter().filter(|r| target(r).is_some()).count(), runs.len()),
        floor_wt_pct: of("floor_wt_pct"),
        held_back: Hindrance::ALL.map(|w| (w, of(&format!("limit_{}_pct", w.word())))).to_vec(),
        quality: (
            spec.polymer.diffusivity.quality.clone(),
            spec.polymer.content_50.quality.clone(),
        ),
        warnings: nominal.warnings.clone(),
    }))
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

/// Points that cover each of the values evenly (Latin hypercube).
fn hypercube(samples: usize, seed: u64) -> Vec<[f64; SPREAD]> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let mut points = vec![[0.0; SPREAD]; samples];
    for dimension in 0..SPREAD {
        let mut order: Vec<usize> = (0..samples).collect();
        order.shuffle(&mut rng);
        for (point, stratum) in points.iter_mut().zip(order) {
            point[dimension] = (stratum as f64 + rng.random::<f64>()) / samples as f64;
        }
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_stratum_is_drawn_once_and_the_seed_decides() {
        let points = hypercube(20, 7);
        for dimension in 0..SPREAD {
            let mut strata: Vec<usize> =
                points.iter().map(|p| (20.0 * p[dimension]) as usize).collect();
            strata.sort_unstable();
            assert_eq!(strata, (0..20).collect::<Vec<_>>());
        }
        assert_eq!(points, hypercube(20, 7));
        assert_ne!(points, hypercube(20, 8));
    }
}
