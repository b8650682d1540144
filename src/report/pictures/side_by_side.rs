//! Runs of a sweep beside each other, and one of their series in one figure.

use super::course::{Course, capital, clock, colour, joined};
use super::together::{differ, mean};
use super::vapour_paths;
use crate::address::{Place, Quantity};
use crate::report::figure::{Columns, Dash, Figure, Panel, Series};
use crate::run::{Column, Run};

/// Units at the ends of the names of series, which a figure writes at its axis.
const UNIT_ENDS: [&str; 10] =
    ["_wt_pct", "_g_m3", "_L_min", "_pct", "_Wh", "_Pa", "_C", "_g", "_W", "_L"];

/// Humidity, drying and the ways of the vapour of some named runs, one column each, all to the
/// same scale; `words` say in what else their scenarios differ.
#[must_use]
pub fn side_by_side(runs: &[(String, Run)], words: &str) -> Columns {
    let mut figures: Vec<Figure> =
        runs.iter().filter_map(|(name, run)| column(name, run)).collect();
    let panels = figures.iter().map(|f| f.panels.len()).max().unwrap_or(0);
    for k in 0..panels {
        let reach = figures.iter().filter_map(|f| f.panels.get(k)).filter_map(reach);
        let common = reach.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
        let own = figures.iter_mut().filter_map(|f| f.panels.get_mut(k));
        own.for_each(|panel| panel.reach = common);
    }
    let names: Vec<&str> = runs.iter().map(|(n, _)| n.as_str()).collect();
    let title = "How humid, how dry, and where the water goes".to_owned();
    let subtitle = joined(vec![ends(runs), differ(words)]);
    Columns {
        alt_text: format!("{title}, for {}. {subtitle}.", names.join("; ")),
        title,
        subtitle,
        figures,
        source_line: format!(
            "drybench {} · simulated; all columns to the same scale; humidity as the mean of a \
             switching cycle with its swing",
            env!("CARGO_PKG_VERSION")
        ),
    }
}

/// The panels of one run.
fn column(name: &str, run: &Run) -> Option<Figure> {
    let course = Course::new(run)?;
    // The last zone is where loads usually are.
    let air = run.in_zones(Quantity::RelativeHumidity).last()?;
    let left = run.of_loads(Quantity::WaterRemaining).next();
    let whole = run.at(Place::Box, Quantity::WaterRemaining);
    let named = |series: Series, name: &str| Series { name: name.into(), ..series };
    let water = [
        (left, colour::SKY, Dash::Solid, "in load"),
        (whole, colour::ORANGE, Dash::Dash, "in box"),
    ];
    let water = water.into_iter().filter_map(|(column, colour, dash, name)| {
        column.map(|c| named(course.line(c, colour, dash), name))
    });
    let mut panels = vec![
        Panel::from_zero(
            "Humidity",
            "%RH",
            vec![named(course.swinging(air, colour::VERMILLION, Dash::Solid), "air")],
        ),
        Panel::from_zero("Added water", "g", water.collect()),
    ];
    let paths = vapour_paths::figure(run).map(|f| f.panels).unwrap_or_default();
    panels.extend(paths.into_iter().map(|p| Panel { label: "All water".into(), weight: 1.6, ..p }));
    Some(Figure {
        title: name.to_owned(),
        x_label: "Time".into(),
        x_unit: course.unit.into(),
        panels,
        ..Figure::default()
    })
}

/// What a panel shows from its lowest to its highest value; layers are added up.
fn reach(panel: &Panel) -> Option<(f64, f64)> {
    let mut found: Option<(f64, f64)> = None;
    let mut take = |low: f64, high: f64| {
        if low.is_finite() && high.is_finite() {
            found = Some(found.map_or((low, high), |f| (f.0.min(low), f.1.max(high))));
        }
    };
    if panel.stacked {
        let samples = panel.series.iter().map(|s| s.points.len()).min().unwrap_or(0);
        for i in 0..samples {
            let values = panel.series.iter().map(|s| s.points[i].1).filter(|v| v.is_finite());
            let (up, down): (Vec<f64>, Vec<f64>) = values.partition(|v| *v >= 0.0);
            take(down.iter().sum(), up.iter().sum());
        }
    } else {
        for series in &panel.series {
            series.points.iter().for_each(|p| take(p.1, p.1));
            series.reach.iter().for_each(|r| take(r.0, r.1));
        }
    }
    found
}

/// When each box was dry.
fn ends(runs: &[(String, Run)]) -> String {
    let clause = |(name, run): &(String, Run)| match (run.metric("box_t90_min"), &run.ended) {
        (Some(t), _) => format!("{name}: 90 % out of the box after {t:.0} min"),
        (None, Some(ended)) => {
            format!("{name}: left the range of the model after {}", clock(ended.time_s))
        }
        (None, None) => format!("{name}: 90 % did not leave the box"),
    };
    runs.iter().map(clause).collect::<Vec<_>>().join(" · ")
}

/// One series of some named runs; `words` say in what else their scenarios differ.
#[must_use]
pub fn sweep_curves(runs: &[(String, Run)], column: &str, words: &str) -> Figure {
    let mut found: Vec<(&str, &Run, &Column)> = Vec::new();
    for (name, run) in runs {
        found.extend(run.column(column).map(|c| (name.as_str(), run, c)));
    }
    let courses: Vec<Course> = found.iter().filter_map(|f| Course::new(f.1)).collect();
    let longest = courses.iter().max_by(|a, b| a.end_s().total_cmp(&b.end_s()));
    let (unit, per_s) = longest.map_or(("min", 1.0 / 60.0), |c| (c.unit, c.per_s));
    let mut smoothed = false;
    let mut line = |(k, (name, run, column)): (usize, &(&str, &Run, &Column))| {
        let window_s = Course::new(run).and_then(|c| c.band_s());
        smoothed |= window_s.is_some();
        let values = match window_s {
            Some(window_s) => mean(run, column, window_s),
            None => column.values.clone(),
        };
        Series {
            name: (*name).to_owned(),
            points: run.time_s.iter().zip(values).map(|(t, v)| (t * per_s, v)).collect(),
            colour: k,
            dash: Dash::in_turn(k),
            ..Series::default()
        }
    };
    let series: Vec<Series> = found.iter().enumerate().map(&mut line).collect();
    let plain = UNIT_ENDS.iter().find_map(|end| column.strip_suffix(end)).unwrap_or(column);
    let label = plain.replace('_', " ");
    let own_unit = found.first().map_or("", |f| f.2.unit.as_str());
    let title = format!("{} in {} cases", capital(&label), found.len());
    let names: Vec<&str> = found.iter().map(|f| f.0).collect();
    let means = if smoothed { "where the heater switches, mean over its cycles" } else { "" };
    Figure {
        alt_text: format!("{title}: {}.", names.join("; ")),
        title,
        subtitle: capital(&joined(vec![means.into(), differ(words)])),
        x_label: "Time".into(),
        x_unit: unit.into(),
        panels: vec![Panel { ordered: true, ..Panel::new(&label, own_unit, series) }],
        source_line: format!("drybench {} · simulated", env!("CARGO_PKG_VERSION")),
        ..Figure::default()
    }
}
