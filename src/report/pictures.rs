//! Figures of a run as data: what goes into which panel, and the words around it.

use super::figure::{Dash, Figure, Mark, Panel, RightAxis, Series};
use super::text::{digits, duration};
use crate::run::{Column, Group, Run};

/// Palette places, so that a thing has the same colour in every figure.
mod colour {
    pub const BLUE: usize = 0;
    pub const VERMILLION: usize = 1;
    pub const GREEN: usize = 2;
    pub const ORANGE: usize = 3;
    pub const SKY: usize = 4;
    pub const PURPLE: usize = 5;
    pub const INK: usize = 7;
}

/// Longest run shown in minutes \[s\]; a longer one is shown in hours.
const MINUTES_UP_TO_S: f64 = 3.0 * 3600.0;

/// The first figure of a run: temperatures, relative humidity beside vapour density, water left.
pub fn overview(run: &Run) -> Figure {
    let end = run.time_s.last().copied().unwrap_or(0.0);
    let (x_unit, per_s) =
        if end <= MINUTES_UP_TO_S { ("min", 1.0 / 60.0) } else { ("h", 1.0 / 3600.0) };
    let mut panels = vec![temperatures(run, per_s), humidity(run, per_s)];
    panels.extend(water(run, per_s));
    let lid = run.happenings.iter().filter(|h| h.what.contains("lid opened"));
    let marks = lid.map(|h| Mark { x: h.time_s * per_s, label: "lid".into() });
    Figure {
        title: run.title.clone(),
        subtitle: subtitle(run),
        x_label: "Time".into(),
        x_unit: x_unit.into(),
        panels,
        marks: marks.collect(),
        source_line: format!("drybench {} · simulated", run.program_version),
        alt_text: alt_text(run, end),
    }
}

fn points(run: &Run, column: &Column, per_s: f64) -> Vec<(f64, f64)> {
    run.time_s.iter().zip(&column.values).map(|(t, v)| (t * per_s, *v)).collect()
}

fn line(run: &Run, column: &Column, per_s: f64, colour: usize, dash: Dash) -> Series {
    Series {
        name: column.label.clone(),
        points: points(run, column, per_s),
        colour,
        dash,
        ..Series::default()
    }
}

fn group(run: &Run, group: Group) -> impl Iterator<Item = &Column> {
    run.columns.iter().filter(move |c| c.group == group)
}

/// Columns of the zones' air, in airflow order.
fn zone_air<'a>(run: &'a Run, suffix: &'a str) -> impl Iterator<Item = &'a Column> {
    run.columns.iter().filter(move |c| {
        c.name.ends_with(suffix)
            && matches!(
                c.group,
                Group::Temperature | Group::RelativeHumidity | Group::VapourDensity
            )
            && (c.label.ends_with("air"))
    })
}

fn temperatures(run: &Run, per_s: f64) -> Panel {
    let colours = [colour::VERMILLION, colour::ORANGE, colour::PURPLE];
    let mut series: Vec<Series> = zone_air(run, "_temperature_C")
        .enumerate()
        .map(|(i, c)| line(run, c, per_s, colours[i % colours.len()], Dash::Solid))
        .collect();
    if let Some(first) = series.first_mut() {
        first.emphasis = true;
    }
    let coldest = run.columns.iter().filter(|c| c.name.starts_with("wall_"));
    let inside = coldest.filter(|c| c.name.ends_with("_inside_C"));
    let lowest = inside.min_by(|a, b| last(a).total_cmp(&last(b)));
    series.extend(lowest.map(|c| line(run, c, per_s, colour::PURPLE, Dash::Dash)));
    let loads = group(run, Group::WaterLeft).filter_map(|c| {
        let name = c.name.strip_suffix("_water_left_g")?;
        run.column(&format!("{name}_temperature_C"))
    });
    series.extend(loads.map(|c| line(run, c, per_s, colour::SKY, Dash::Solid)));
    series.extend(
        group(run, Group::SetPoint).map(|c| line(run, c, per_s, colour::INK, Dash::DashDot)),
    );
    Panel {
        label: "Temperature".into(),
        unit: "°C".into(),
        series,
        weight: 1.3,
        ..Panel::default()
    }
}

fn last(column: &Column) -> f64 {
    column.values.last().copied().unwrap_or(f64::NAN)
}

/// Humidity of the last zone, where loads usually are, in both measures.
fn humidity(run: &Run, per_s: f64) -> Panel {
    let relative = zone_air(run, "_relative_humidity_pct").last();
    let density = zone_air(run, "_vapour_density_g_m3").last();
    let name = |c: &Column, words: &str| format!("{words}, {}", c.label);
    let series = relative.map(|c| Series {
        name: c.label.clone(),
        emphasis: true,
        ..line(run, c, per_s, colour::BLUE, Dash::Solid)
    });
    let right = density.map(|c| RightAxis {
        label: "Vapour density".into(),
        unit: "g/m³".into(),
        series: vec![Series {
            name: name(c, "vapour density"),
            ..line(run, c, per_s, colour::ORANGE, Dash::Dash)
        }],
    });
    Panel {
        label: "Relative humidity".into(),
        unit: "%".into(),
        series: series.into_iter().collect(),
        right,
        zero_based: true,
        weight: 1.0,
        ..Panel::default()
    }
}

/// Where the added water is: in the loads, on the walls, and in the whole box.
fn water(run: &Run, per_s: f64) -> Option<Panel> {
    let left = group(run, Group::WaterLeft)
        .map(|c| Series { emphasis: true, ..line(run, c, per_s, colour::SKY, Dash::Solid) });
    let mut series: Vec<Series> = left.collect();
    if series.is_empty() {
        return None;
    }
    let films: Vec<&Column> = group(run, Group::Film).collect();
    let total = |i: usize| films.iter().map(|c| c.values[i]).sum::<f64>();
    let wet = (0..run.time_s.len()).map(|i| (run.time_s[i] * per_s, total(i)));
    let in_box = group(run, Group::WaterInBox);
    series.extend(in_box.map(|c| line(run, c, per_s, colour::INK, Dash::DashDot)));
    series.push(Series {
        name: "on the walls".into(),
        points: wet.collect(),
        colour: colour::GREEN,
        dash: Dash::Dash,
        ..Series::default()
    });
    Some(Panel {
        label: "Added water".into(),
        unit: "g".into(),
        series,
        zero_based: true,
        weight: 1.2,
        ..Panel::default()
    })
}

/// What the figure shows, in one sentence of numbers.
fn subtitle(run: &Run) -> String {
    let mut clauses = Vec::new();
    let merit = |key: &str| run.merit(key);
    if merit("removed_g").is_some() {
        clauses.push(match merit("t90_min") {
            Some(t) => format!("90 % of the added water has left the load after {t:.0} min"),
            None => {
                let left = merit("water_left_g").map_or_else(String::new, digits);
                format!("{left} g of the added water is still in the load at the end")
            }
        });
        clauses.push(match (merit("box_t90_min"), merit("water_in_box_g")) {
            (Some(t), _) => format!("the box after {t:.0} min"),
            (None, Some(still)) => format!("{still:.1} g is still in the box at the end"),
            (None, None) => String::new(),
        });
    }
    if let Some(rh) = merit("peak_rh_pct") {
        clauses.push(format!("the warm air peaks at {rh:.0} %RH"));
    }
    clauses.retain(|c| !c.is_empty());
    clauses.join("; ")
}

fn alt_text(run: &Run, end_s: f64) -> String {
    let mut text = format!("{}. Simulated over {}.", run.title, duration(end_s));
    let subtitle = subtitle(run);
    if !subtitle.is_empty() {
        text.push_str(&format!(" {subtitle}."));
    }
    text.push_str(
        " Panels from top to bottom: temperatures; relative humidity with vapour density; water \
         left in the load and water on the walls.",
    );
    text
}
