//! The log as it was read: temperatures, relative humidities, doubtful readings crossed.

use super::{figure as framed, line, set_point, time_unit};
use crate::assess::{Evidence, Probe};
use crate::report::figure::{Figure, Panel, Series, Symbol};
use crate::report::pictures::course::colour;
use crate::units::c_from_k;

/// Most doubtful readings that are crossed one by one in a stretch: more would be a blot.
const MOST_CROSSES: usize = 40;

pub(super) fn figure(run: &Evidence) -> Option<Figure> {
    let (_, per_s) = time_unit(run);
    let celsius = |p: &Probe, i: usize| c_from_k(p.temp_k[i]);
    let percent = |p: &Probe, i: usize| 100.0 * p.relative_humidity[i];
    let mut temperatures: Vec<Series> =
        run.probes.iter().map(|p| line(run, p, per_s, |i| celsius(p, i))).collect();
    temperatures.extend(crosses(run, per_s, celsius));
    temperatures.extend(set_point(run, per_s));
    let damp = || run.probes.iter().filter(|p| !p.relative_humidity.is_empty());
    let humidities: Vec<Series> = damp().map(|p| line(run, p, per_s, |i| percent(p, i))).collect();
    let mut panels = vec![Panel::new("Temperature", "°C", temperatures)];
    if !humidities.is_empty() {
        panels.push(Panel::from_zero("Relative humidity", "%", humidities));
    }
    framed(run, "Readings", clauses(run), panels)
}

fn clauses(run: &Evidence) -> Vec<String> {
    let count = run.probes.iter().map(|p| p.time_s.len()).max().unwrap_or(0);
    let found = run.lids.iter().filter(|l| l.seen).count();
    let mut out = vec![format!("{count} rows of readings")];
    if !run.lids.is_empty() {
        out.push(format!("{} lid openings, {found} of them seen in the log", run.lids.len()));
    }
    out.push(match run.flags.len() {
        0 => "no doubtful stretch".into(),
        1 => format!("1 doubtful stretch: {}", run.flags[0].what),
        n => format!("{n} doubtful stretches, crossed"),
    });
    out
}

/// Crosses on doubtful readings.
fn crosses(run: &Evidence, per_s: f64, value: impl Fn(&Probe, usize) -> f64) -> Option<Series> {
    let mut points = Vec::new();
    for flag in &run.flags {
        let Some(probe) = run.probes.iter().find(|p| p.name == flag.probe) else { continue };
        let inside = |t: &f64| (flag.from_s..=flag.to_s).contains(t);
        let rows: Vec<usize> =
            (0..probe.time_s.len()).filter(|i| inside(&probe.time_s[*i])).collect();
        let every = rows.len().div_ceil(MOST_CROSSES).max(1);
        let some = rows.into_iter().step_by(every);
        points.extend(some.map(|i| (probe.time_s[i] * per_s, value(probe, i))));
    }
    (!points.is_empty()).then(|| Series {
        name: "in doubt".into(),
        points,
        colour: colour::INK,
        symbol: Some(Symbol::Cross),
        ..Series::default()
    })
}
