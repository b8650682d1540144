//! Several runs in one figure: humidity of the air, and the added water still in the box.

use super::course::{joined, time_unit};
use crate::address::{Change, Place, Quantity};
use crate::reader::Difference;
use crate::report::differing;
use crate::report::figure::{Dash, Figure, Panel, Series};
use crate::run::{Column, Run};

/// Window over which the sawtooth of an on/off thermostat is averaged \[s\].
const SMOOTH_S: f64 = 600.0;
/// Palette places in an order that keeps neighbours apart.
const COLOURS: [usize; 8] = [0, 1, 2, 3, 5, 7, 4, 6];

/// Picks the column of a panel.
type Pick = fn(&Run) -> Option<&Column>;

/// The figure of some named runs, which says in what their scenarios differ.
pub fn together(runs: &[(String, Run)], differences: &[Difference]) -> Figure {
    let end = runs.iter().filter_map(|(_, r)| r.time_s.last()).fold(0.0, |a: f64, t| a.max(*t));
    let (x_unit, per_s) = time_unit(end);
    let panel = |label: &str, unit: &str, pick: Pick, smooth| {
        Panel::from_zero(label, unit, series(runs, per_s, pick, smooth))
    };
    let mut panels = vec![
        panel("Relative humidity of the air, mean of 10 min once warm", "%", last_air, true),
        panel(
            "Added water remaining in the load",
            "g",
            |r| r.of_loads(Quantity::WaterRemaining).next(),
            false,
        ),
        panel(
            "Added water still in the whole box",
            "g",
            |r| r.at(Place::Box, Quantity::WaterRemaining),
            false,
        ),
    ];
    panels.retain(|p| !p.series.is_empty());
    let title = format!("{} boxes, one load each: dry load or dry box?", runs.len());
    let subtitle = joined(vec![subtitle(runs), differ(&differing::words(differences))]);
    let names: Vec<&str> = runs.iter().map(|(n, _)| n.as_str()).collect();
    Figure {
        alt_text: format!("{title} {subtitle}. Lines: {}.", names.join(", ")),
        title,
        subtitle,
        x_label: "Time".into(),
        x_unit: x_unit.into(),
        panels,
        source_line: format!("drybench {} · simulated", env!("CARGO_PKG_VERSION")),
        ..Figure::default()
    }
}

/// Words for what else is unlike in runs that are compared.
pub(super) fn differ(words: &str) -> String {
    if words.is_empty() { String::new() } else { format!("the boxes differ in {words}") }
}

fn series(runs: &[(String, Run)], per_s: f64, pick: Pick, smooth: bool) -> Vec<Series> {
    let line = |(i, (name, run)): (usize, &(String, Run))| {
        let column = pick(run)?;
        let values = if smooth { mean(run, column, SMOOTH_S) } else { column.values.clone() };
        let points = run.time_s.iter().zip(values).map(|(t, v)| (t * per_s, v));
        Some(Series {
            name: name.clone(),
            points: points.collect(),
            colour: COLOURS[i % COLOURS.len()],
            dash: Dash::in_turn(i),
            ..Series::default()
        })
    };
    runs.iter().enumerate().filter_map(line).collect()
}

/// Humidity of the last zone, where loads usually are.
fn last_air(run: &Run) -> Option<&Column> {
    run.in_zones(Quantity::RelativeHumidity).next_back()
}

/// Mean over a window \[s\] that is centred, so narrower near the end of heating up, which is no cycle and
/// stays as it is. At the end it is the last whole window.
pub(super) fn mean(run: &Run, column: &Column, window_s: f64) -> Vec<f64> {
    let t = &run.time_s;
    let from = heated_s(run);
    let end = t.last().copied().unwrap_or(0.0);
    let around = |i: usize| {
        let centre = t[i].min(end - 0.5 * window_s);
        let half = (0.5 * window_s).min(centre - from);
        if half <= 0.0 {
            return column.values[i];
        }
        let first = t.partition_point(|s| *s < centre - half);
        let last = t.partition_point(|s| *s <= centre + half);
        let window = &column.values[first..last];
        window.iter().sum::<f64>() / window.len() as f64
    };
    (0..t.len()).map(around).collect()
}

/// When heating up ends \[s\]: the heater switches off, or the set point is reached by one that does not
/// switch; the start where neither happens.
fn heated_s(run: &Run) -> f64 {
    let off = run.events.iter().find(|h| h.change == Change::HeaterOff).map(|h| h.time_s);
    off.or_else(|| run.metric("warm_up_min").map(|min| 60.0 * min)).unwrap_or(0.0)
}

/// The first and the last to dry out.
fn subtitle(runs: &[(String, Run)]) -> String {
    let dried = runs.iter().filter_map(|(n, r)| r.metric("box_t90_min").map(|t| (n, t)));
    let first = dried.min_by(|a, b| a.1.total_cmp(&b.1));
    let kept = runs.iter().filter_map(|(n, r)| r.metric("water_in_box_g").map(|g| (n, g)));
    let wettest = kept.max_by(|a, b| a.1.total_cmp(&b.1));
    let mut clauses = Vec::new();
    if let Some((name, t)) = first {
        clauses.push(format!("{name}: 90 % of the water is out of the box after {t:.0} min"));
    }
    if let Some((name, grams)) = wettest {
        clauses.push(format!("{name}: {grams:.1} g is still in it at the end"));
    }
    clauses.join("; ")
}
