//! What a box makes of a spool, with the spread of what is known of its polymer.

use rayon::prelude::*;
use serde::Serialize;

use crate::address::{DryingResistance, Place, Quantity};
use crate::metric::Trace;
pub use crate::model::parts::SPREAD_NAMES;
use crate::model::parts::{LoadSpec, SPREAD, SpoolSpec};
use crate::run::{Method, Run, RunError, simulate};
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
    /// Where the low end lies with 95 % confidence, as it is found from so many samples.
    pub low_between: Option<Ends>,
    /// The same of the high end.
    pub high_between: Option<Ends>,
}

impl Banded {
    /// The larger uncertainty of its two ends, over the end \[%\].
    #[must_use]
    pub fn ends_pct(&self) -> Option<f64> {
        let half = |end: Option<f64>, between: Option<Ends>| {
            between.zip(end).map(|(b, end)| 50.0 * (b.high - b.low) / end)
        };
        let (low, high) = (half(self.low, self.low_between), half(self.high, self.high_between));
        low.into_iter().chain(high).filter(|v| v.is_finite()).reduce(f64::max)
    }
}

/// The moisture of a spool after some time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct After {
    /// Time in the box \[h\].
    pub in_box_h: f64,
    /// Time in storage after that \[h\].
    pub stored_h: f64,
    /// Moisture \[wt%\].
    pub moisture_wt_pct: Banded,
}

impl After {
    /// From the start of the run \[h\].
    #[must_use]
    pub fn all_h(&self) -> f64 {
        self.in_box_h + self.stored_h
    }
}

/// From a lowest to a highest value.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Ends {
    /// The lowest.
    pub low: f64,
    /// The highest.
    pub high: f64,
}

/// What is customary for a polymer. Common practice.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Customary {
    /// Temperatures \[°C\].
    pub temperature_c: Ends,
    /// Times \[h\].
    pub time_h: Ends,
}

/// What holds water back, and how much of its vapour pressure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ResistanceShare {
    /// What.
    pub by: DryingResistance,
    /// Its share \[%\]; none for a spool that lost no water.
    pub share_pct: Option<f64>,
}

/// How many of the samples reach something.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Reached {
    /// Those that do.
    pub samples: usize,
    /// All of them.
    pub of: usize,
}

/// What one uncertain value does to the moisture, the others kept at the table's values.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cause {
    /// The value, in words.
    pub name: &'static str,
    /// Letter of its quality; `-` for one that the scenario states.
    pub quality: String,
    /// Change of the moisture \[wt%\] with it one standard deviation low, and high.
    pub change_wt_pct: Ends,
    /// Its part in the sum of squares of all of them \[%\].
    pub share_pct: f64,
}

/// One spool in one box.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answer {
    /// Name of the spool in the scenario.
    pub spool: String,
    /// Name of the polymer.
    pub polymer: String,
    /// Set point \[°C\].
    pub set_point_c: Option<f64>,
    /// What is customary for it.
    pub customary: Customary,
    /// Moisture at the start \[wt%\].
    pub start_wt_pct: f64,
    /// Moisture at some times: a few hours, when it is taken out, the end of the run.
    pub after: Vec<After>,
    /// Moisture wanted \[wt%\].
    pub target_wt_pct: f64,
    /// Time to it \[h\].
    pub target_h: Banded,
    /// Samples that reach it.
    pub reached: Reached,
    /// Equilibrium with the air at the end \[wt%\]; none for a spool that is in storage then.
    pub floor_wt_pct: Option<f64>,
    /// What holds the water back while the spool is in the box.
    pub resistance_shares: Vec<ResistanceShare>,
    /// When the causes of the band are told: where it is widest.
    pub causes_at: After,
    /// What the band comes from.
    pub causes: Vec<Cause>,
    /// Warnings of the run with the table's values.
    pub warnings: Vec<String>,
}

/// Shares of a distribution that lie one standard deviation below and above the middle of a normal one.
const ONE_SD: (f64, f64) = (0.1587, 0.8413);

/// Hours at which the moisture is told.
const HOURS: [f64; 3] = [4.0, 8.0, 24.0];

/// The places of the spools among the loads of a scenario, with their names.
#[must_use]
pub fn spools(scenario: &Scenario) -> Vec<(usize, &str)> {
    let loads = scenario.loads.iter().enumerate();
    loads.filter_map(|(i, l)| Some((i, spool_of(l)?.name.as_str()))).collect()
}

/// Simulates the spool that is load `at` of `scenario` with the table's values and `samples` times
/// with values from their spread (Latin hypercube, triangular in the logarithm), reproducibly from
/// `seed`; other spools keep the table's values. `Ok(None)` if that load is no spool.
///
/// # Errors
/// [`RunError`] of the first run that fails.
pub fn answer(
    scenario: &Scenario,
    at: usize,
    samples: usize,
    seed: u64,
) -> Result<Option<Answer>, RunError> {
    let Some(spec) = scenario.loads.get(at).and_then(spool_of) else { return Ok(None) };
    let nominal = simulate(scenario, Method::Rodas5p)?.whole()?;
    let points = Latin::new(samples as u32, SPREAD, seed);
    let share = |point| std::array::from_fn(|axis| Some(points.share(point, axis)));
    let drawn = (0..samples).map(share).collect();
    let runs = varied(scenario, at, drawn)?;
    let alone = varied(scenario, at, one_by_one())?;
    let key = |what: &str| format!("{}_{what}", spec.name);
    let moisture = |run: &Run, hours: f64| {
        let c = run.at(Place::Load(at), Quantity::Moisture)?;
        Trace { time_s: &run.time_s, value: &c.values }.at(3600.0 * hours)
    };
    let target = |run: &Run| run.metric(&key("target_h"));
    let of = |what: &str| nominal.metric(&key(what));
    let after: Vec<After> = hours(scenario.run.duration_s / 3600.0, of("out_h"))
        .into_iter()
        .map(|(in_box_h, stored_h)| {
            let figure = |r: &Run| moisture(r, in_box_h + stored_h);
            After { in_box_h, stored_h, moisture_wt_pct: banded(&nominal, &runs, figure) }
        })
        .collect();
    let Some(causes_at) = widest(&after) else { return Ok(None) };
    let held = |by: DryingResistance| ResistanceShare {
        by,
        share_pct: of(&format!("resistance_{}_pct", by.word())),
    };
    let (t, h) = (spec.polymer.customary_k, spec.polymer.customary_s);
    Ok(Some(Answer {
        spool: spec.name.clone(),
        polymer: spec.polymer.name.clone(),
        set_point_c: scenario.control.highest_k().map(c_from_k),
        customary: Customary {
            temperature_c: Ends { low: c_from_k(t.0), high: c_from_k(t.1) },
            time_h: Ends { low: h.0 / 3600.0, high: h.1 / 3600.0 },
        },
        start_wt_pct: of("moisture_start_wt_pct").unwrap_or(f64::NAN),
        after,
        target_wt_pct: 100.0 * spec.target,
        target_h: banded(&nominal, &runs, target),
        reached: Reached {
            samples: runs.iter().filter(|r| target(r).is_some()).count(),
            of: runs.len(),
        },
        floor_wt_pct: of("floor_wt_pct"),
        resistance_shares: DryingResistance::ALL.map(held).to_vec(),
        causes_at,
        causes: causes(&nominal, &alone, spec.qualities(), |r| moisture(r, causes_at.all_h())),
        warnings: nominal.warnings.clone(),
    }))
}

fn spool_of(load: &LoadSpec) -> Option<&SpoolSpec> {
    match load {
        LoadSpec::Spool(spec) => Some(spec),
        _ => None,
    }
}

/// Hours in the box and in storage at which the moisture is told, of a run that ends at `end_h` with
/// the spool taken out at `out_h`.
fn hours(end_h: f64, out_h: Option<f64>) -> Vec<(f64, f64)> {
    let out_h = out_h.unwrap_or(end_h);
    let mut all: Vec<f64> =
        HOURS.into_iter().chain([out_h, end_h]).filter(|h| *h <= end_h).collect();
    all.sort_by(f64::total_cmp);
    all.dedup();
    all.into_iter().map(|h| (h.min(out_h), (h - out_h).max(0.0))).collect()
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
        simulate(&varied, Method::Rodas5p)?.whole()
    };
    shares.into_par_iter().map(one).collect()
}

/// Each value alone, low and then high.
fn one_by_one() -> Vec<[Option<f64>; SPREAD]> {
    let one = |i: usize, u: f64| std::array::from_fn(|k| (k == i).then_some(u));
    (0..SPREAD).flat_map(|i| [one(i, ONE_SD.0), one(i, ONE_SD.1)]).collect()
}

/// When the band is widest.
fn widest(after: &[After]) -> Option<After> {
    let width = |a: &After| {
        let band = a.moisture_wt_pct;
        band.high.zip(band.low).map_or(0.0, |(high, low)| high - low)
    };
    after.iter().max_by(|a, b| width(a).total_cmp(&width(b))).copied()
}

/// What each value alone does to `figure`, largest first.
fn causes(
    nominal: &Run,
    alone: &[Run],
    qualities: [String; SPREAD],
    figure: impl Fn(&Run) -> Option<f64>,
) -> Vec<Cause> {
    let change = |run: &Run| figure(run).zip(figure(nominal)).map_or(0.0, |(a, b)| a - b);
    let pairs = alone.chunks_exact(2).map(|p| Ends { low: change(&p[0]), high: change(&p[1]) });
    let named = SPREAD_NAMES.iter().zip(qualities).zip(pairs);
    let mut list: Vec<Cause> = named
        .map(|((name, quality), change_wt_pct)| Cause {
            name,
            quality,
            change_wt_pct,
            share_pct: (change_wt_pct.high - change_wt_pct.low).powi(2),
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
    Banded {
        value: figure(nominal),
        low: at(BAND.0),
        high: at(BAND.1),
        low_between: between(&all, BAND.0),
        high_between: between(&all, BAND.1),
    }
}

/// Two-sided normal quantile of 95 %.
const TWO_SIDED: f64 = 1.96;

/// Between which of the sorted values the value at this share of all possible ones lies, with 95 %
/// confidence: how many of n lie below it is binomial, close to normal from some ten on each side.
/// Wider than need be, since a Latin hypercube is more even than chance. Source: \[Conover1999\].
fn between(sorted: &[f64], share: f64) -> Option<Ends> {
    let n = sorted.len() as f64;
    let off = TWO_SIDED * (n * share * (1.0 - share)).sqrt();
    let at = |rank: f64| {
        let i = rank.round().clamp(0.0, (n - 1.0).max(0.0)) as usize;
        sorted.get(i).copied().filter(|v| v.is_finite())
    };
    Some(Ends { low: at(n * share - 0.5 - off)?, high: at(n * share - 0.5 + off)? })
}

#[cfg(test)]
mod tests {
    use super::{between, hours};

    /// Of 1 to 400 the lowest twentieth ends at 20: 20 ± 1.96 √(400 · 0.05 · 0.95) = 20 ± 8.5 of a
    /// binomial count (closed form); ever more samples make that less, as one over their root.
    #[test]
    fn the_ends_of_a_band_have_an_uncertainty_of_their_own() {
        let sorted = |n: u32| (1..=n).map(f64::from).collect::<Vec<_>>();
        let found = between(&sorted(400), 0.05).unwrap();
        assert!((found.low - 12.0).abs() <= 1.0 && (found.high - 29.0).abs() <= 1.0, "{found:?}");
        let more = between(&sorted(6400), 0.05).unwrap();
        let wide = (found.high - found.low) / 400.0;
        assert!(((more.high - more.low) / 6400.0 * 4.0 / wide - 1.0).abs() < 0.1, "{more:?}");
        // An end beyond what is reached has no bounds.
        let mut some = sorted(40);
        some[36..].fill(f64::INFINITY);
        assert!(between(&some, 0.95).is_none() && between(&[], 0.05).is_none());
    }

    #[test]
    fn time_in_storage_is_told_apart() {
        let whole = [(4.0, 0.0), (8.0, 0.0), (24.0, 0.0), (48.0, 0.0)];
        assert_eq!(hours(48.0, None), whole);
        assert_eq!(hours(8.0, None), whole[..2]);
        let stored = [(4.0, 0.0), (6.0, 0.0), (6.0, 2.0), (6.0, 18.0), (6.0, 102.0)];
        assert_eq!(hours(108.0, Some(6.0)), stored);
    }
}
