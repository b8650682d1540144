//! How far a result moves when one value alone is changed.

use crate::study::sweep::{Line, SweepPlan, SweepTable};
use crate::units::Kind;

/// One axis of a one-at-a-time sweep and what it does to one result.
#[derive(Clone, Debug, PartialEq)]
pub struct Swing {
    /// The first path of the axis.
    pub path: String,
    /// Lowest and highest setting, as typed; first and last where they are no numbers.
    pub settings: [String; 2],
    /// The result there; absent where it has none.
    pub results: [Option<f64>; 2],
    /// Share by which the result grows over the share by which the setting grows, between the two
    /// and relative to the scenario as it is. Absent for temperatures, whose zero is arbitrary,
    /// for words, and where a value is missing or zero.
    pub elasticity: Option<f64>,
}

impl Swing {
    /// Largest distance of a result from that of the scenario as it is; zero without results.
    #[must_use]
    pub fn reach(&self, base: f64) -> f64 {
        self.results.iter().flatten().map(|v| (v - base).abs()).fold(0.0, f64::max)
    }
}

/// The result of a scenario as it is and the swings of all axes, widest first, from the table of a
/// one-at-a-time sweep. `None` if the scenario as it is has no result.
#[must_use]
pub fn swings(
    plan: &SweepPlan,
    table: &SweepTable,
    scenario: &str,
    metric: usize,
) -> Option<(f64, Vec<Swing>)> {
    let rows: Vec<&Line> = table.rows.iter().filter(|r| r.scenario == scenario).collect();
    let (base, mut rest) = rows.split_first()?;
    let result = base.values.get(metric).copied().flatten()?;
    let mut path = 0;
    let mut found = Vec::new();
    for axis in &plan.axes {
        let (own, after) = rest.split_at_checked(axis.steps())?;
        rest = after;
        found.push(swing(plan, (&axis.paths[0], path), (base, own), (metric, result)));
        path += axis.paths.len();
    }
    // An end without a result is farther away than any.
    let lost = |s: &Swing| s.results.iter().any(Option::is_none);
    found.sort_by(|a, b| lost(b).cmp(&lost(a)).then(b.reach(result).total_cmp(&a.reach(result))));
    Some((result, found))
}

fn swing(
    plan: &SweepPlan,
    (name, path): (&str, usize),
    (base, own): (&Line, &[&Line]),
    (metric, result): (usize, f64),
) -> Swing {
    let si = |line: &Line| line.settings[path].si;
    let mut ends = [own[0], own[own.len() - 1]];
    if own.iter().all(|l| si(l).is_some()) {
        let order =
            |a: &&&Line, b: &&&Line| si(a).partial_cmp(&si(b)).unwrap_or(std::cmp::Ordering::Equal);
        let low = own.iter().min_by(order).copied();
        let high = own.iter().max_by(order).copied();
        ends = [low.unwrap_or(ends[0]), high.unwrap_or(ends[1])];
    }
    let results = ends.map(|l| l.values[metric]);
    let has_zero = plan.kind(name) != Some(Kind::Temperature);
    let share = |low: Option<f64>, high: Option<f64>, base: Option<f64>| {
        let share = (high? - low?) / base?;
        share.is_finite().then_some(share)
    };
    let elasticity = share(results[0], results[1], Some(result))
        .zip(share(si(ends[0]), si(ends[1]), si(base)))
        .map(|(y, x)| y / x)
        .filter(|e| e.is_finite() && has_zero);
    Swing {
        path: name.to_owned(),
        settings: ends.map(|l| l.settings[path].text.clone()),
        results,
        elasticity,
    }
}
