//! Moisture of a spool in its layers, what holds its water back, and its temperatures; and the map of
//! moisture over radius and time.

use super::course::{Course, capital, clock, colour, joined};
use crate::address::{DryingResistance, Place, Quantity};
use crate::report::figure::{Dash, Figure, Map, Panel, Series, Steps};
use crate::report::text::digits;
use crate::run::{Column, Run};

/// What holds the water back, from the inside out: its word, colour and dash style. No two blues:
/// on dark ground they are nearly equal.
const RESISTANCES: [(&str, usize, Dash); 4] = [
    ("cold spool", colour::VERMILLION, Dash::Solid),
    ("filament", colour::PURPLE, Dash::Dash),
    ("gaps", colour::GREEN, Dash::DashDot),
    ("box air", colour::SKY, Dash::Solid),
];
/// Most steps of time on the map.
const MOST_STEPS: usize = 50;

pub(super) fn figure(run: &Run) -> Option<Figure> {
    let course = Course::new(run)?;
    let mean = run.of_loads(Quantity::Moisture).next()?;
    let load = mean.address.place.load()?;
    let mut series = vec![Series { emphasis: true, ..course.line(mean, colour::INK, Dash::Solid) }];
    series[0].name = format!("{}, mean", mean.label);
    let layers = layers(run, load);
    let of_half = |c: &&Column| matches!(c.address.place, Place::Half(i, _) if i == load);
    let halves: Vec<&Column> = run.of(Quantity::Moisture).filter(of_half).collect();
    if let (Some(core), Some(rim)) = (layers.first(), layers.last()) {
        series.push(course.line(core, colour::VERMILLION, Dash::Dash));
        if halves.is_empty() {
            series.push(course.line(layers[layers.len() / 2], colour::ORANGE, Dash::DashDot));
        }
        series.push(course.line(rim, colour::SKY, Dash::Dash));
    }
    let pairs = halves.into_iter().zip([colour::GREEN, colour::PURPLE]);
    series.extend(pairs.map(|(c, colour)| course.line(c, colour, Dash::Dot)));
    let panels = vec![
        Panel { weight: 1.4, ..Panel::from_zero("Moisture", "wt%", series) },
        temperatures(&course, load),
        drying_resistances(&course, load),
    ];
    course.figure("Moisture", subtitle(run, mean), panels)
}

/// The layers of one load, innermost first.
fn layers(run: &Run, load: usize) -> Vec<&Column> {
    let of = |c: &&Column| matches!(c.address.place, Place::Layer(i, _) if i == load);
    run.of(Quantity::Moisture).filter(of).collect()
}

fn temperatures(course: &Course<'_>, load: usize) -> Panel {
    let mut series: Vec<Series> = course
        .zone_air(Quantity::Temperature)
        .into_iter()
        .next_back()
        .map(|c| course.swinging(c, colour::ORANGE, Dash::Solid))
        .into_iter()
        .collect();
    let all = course.loads();
    let halves = all.iter().any(|c| matches!(c.address.place, Place::Rim(i, 1) if i == load));
    // Of the halves of a still spool only the rims: four lines lie too close to be told apart.
    let shown = |c: &&Column| match c.address.place {
        Place::Rim(i, _) => i == load,
        Place::Core(i, _) => i == load && !halves,
        _ => false,
    };
    let spool = all.into_iter().filter(shown);
    let colours = [colour::SKY, colour::VERMILLION, colour::GREEN, colour::PURPLE];
    series.extend(spool.zip(colours).map(|(c, colour)| course.line(c, colour, Dash::Dash)));
    Panel::new("Temperature", "°C", series)
}

/// What holds the water back, while the spool is in the box.
fn drying_resistances(course: &Course<'_>, load: usize) -> Panel {
    let column = |what| course.run.at(Place::Load(load), Quantity::Resistance(what));
    let columns: Vec<&Column> = DryingResistance::ALL.into_iter().filter_map(column).collect();
    // In storage all are zero, else they add up to 100.
    let in_box = |i: usize| columns.iter().any(|c| c.values[i] != 0.0);
    let series = columns.iter().zip(RESISTANCES).map(|(column, (word, colour, dash))| {
        let value = |(i, v): (usize, &f64)| if in_box(i) { *v } else { f64::NAN };
        let points = course.points(column.values.iter().enumerate().map(value));
        Series { name: word.into(), points, colour, dash, ..Series::default() }
    });
    Panel { weight: 1.4, ..Panel::new("Share of the drying resistance", "%", series.collect()) }
}

fn subtitle(run: &Run, mean: &Column) -> String {
    let ends = mean.values.first().zip(mean.values.last());
    let mut clauses = Vec::new();
    let end_s = run.time_s.last().copied().unwrap_or(0.0);
    clauses.extend(which(run, mean));
    let taken = |what: &str| run.metric(&format!("{}_{what}", mean.label));
    match (ends, taken("out_h"), taken("moisture_out_wt_pct")) {
        (Some((a, b)), Some(out_h), Some(out)) => {
            let (dried, stored) = (clock(3600.0 * out_h), clock(end_s - 3600.0 * out_h));
            clauses.push(format!("mean from {a:.2} to {out:.2} wt% in {dried} in the box"));
            clauses.push(format!("to {b:.2} wt% in {stored} of storage"));
        }
        (Some((a, b)), ..) => {
            clauses.push(format!("mean from {a:.2} to {b:.2} wt% in {}", clock(end_s)));
        }
        _ => {}
    }
    if let Some(h) = run.metric(&format!("{}_t90_h", mean.label)) {
        clauses.push(format!("90 % of the water is gone at {}", clock(3600.0 * h)));
    }
    joined(clauses)
}

/// Which of several loads is shown.
fn which(run: &Run, mean: &Column) -> Option<String> {
    let loads = run.of_loads(Quantity::Moisture).count();
    (loads > 1).then(|| format!("{} alone, the first of {loads} loads", mean.label))
}

/// Moisture over radius and time of the first load with layers.
pub fn moisture_map(run: &Run) -> Option<Map> {
    let mean = run.of_loads(Quantity::Moisture).next()?;
    let load = mean.address.place.load()?;
    let (layers, radii_mm) = (layers(run, load), &run.names.loads.get(load)?.radii_mm);
    if layers.is_empty() {
        return None;
    }
    let every = run.time_s.len().div_ceil(MOST_STEPS).max(1);
    let at: Vec<usize> = (0..run.time_s.len()).step_by(every).collect();
    let hours = |i: &usize| format!("{:.1}", run.time_s[*i] / 3600.0);
    let row = |c: &&Column| at.iter().map(|i| c.values[*i]).collect();
    Some(Map {
        title: format!("{}: moisture over radius and time", run.title),
        subtitle: which(run, mean).map_or_else(String::new, |words| capital(&words)),
        x: Steps {
            label: "time".into(),
            unit: "h".into(),
            names: at.iter().map(hours).collect(),
            values: at.iter().map(|i| run.time_s[*i] / 3600.0).collect(),
            log: false,
        },
        y: Steps {
            label: "radius in the winding".into(),
            unit: "mm".into(),
            names: radii_mm.iter().map(|r| format!("{r:.0}")).collect(),
            ..Steps::default()
        },
        label: "moisture".into(),
        unit: "wt%".into(),
        cells: layers.iter().map(row).collect(),
        source_line: format!("simulated with drybench {}", run.program_version),
        alt_text: format!(
            "Moisture of {} in its layers from the core to the rim over {} hours.",
            mean.label,
            digits(run.time_s.last().copied().unwrap_or(0.0) / 3600.0)
        ),
        ..Map::default()
    })
}
