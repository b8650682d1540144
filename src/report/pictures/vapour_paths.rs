//! Where all water is or went, as layers that add up to all of it.
//!
//! Water that came in by a path lies below zero, so the top of the layers is all water that was
//! there plus all that came in, and top and bottom together stay constant. Of the water bound in walls
//! only what moves is shown: wood holds many times what a load brings, and most of it stays.

use super::course::{Course, LOADS, colour, joined};
use crate::address::{Address, Place, Quantity};
use crate::report::figure::{Figure, Panel, Series};
use crate::run::{Column, Row, Run};

/// Layers that never hold this share of all water are too thin to be seen.
const LEAST_SHARE: f64 = 2e-3;
/// Ways out shown one by one; the rest is summed up.
const MOST_WAYS: usize = 3;
const WAYS: [usize; MOST_WAYS + 1] =
    [colour::BLUE, colour::VERMILLION, colour::ORANGE, colour::YELLOW];

pub(super) fn figure(run: &Run) -> Option<Figure> {
    let course = Course::new(run)?;
    let (walls, stays) = moving(run);
    let is_walls = |c: &Column| walls.as_ref().is_some_and(|w| w.address == c.address);
    let others = run.water_paths().filter(|c| !is_walls(c));
    let all: Vec<&Column> = others.chain(&walls).collect();
    let start: f64 = all.iter().filter_map(|c| c.values.first()).sum();
    if all.is_empty() || start <= 0.0 {
        return None;
    }
    let seen = |c: &Column| most(&c.values) > LEAST_SHARE * start;
    let (ways, inside): (Vec<&Column>, Vec<&Column>) = all
        .into_iter()
        .filter(|c| seen(c))
        .partition(|c| c.address.quantity == Quantity::NetWaterOut);
    let mut series = outside(&course, ways.clone());
    series.extend(within(&course, &inside));
    let panel = Panel { stacked: true, ..Panel::from_zero("All water", "g", series) };
    let subtitle = subtitle(run, (start, stays), &ways, &inside);
    course.figure("Where the water goes", subtitle, vec![panel])
}

/// Water bound in the walls less the least that they ever hold, and that least.
fn moving(run: &Run) -> (Option<Column>, f64) {
    let Some(bound) = run.at(Place::AllWalls, Quantity::BoundWater) else { return (None, 0.0) };
    let stays = bound.values.iter().copied().fold(f64::INFINITY, f64::min);
    let values = bound.values.iter().map(|v| v - stays).collect();
    let label = format!("{}, over {stays:.1} g", bound.label);
    (Some(Column { values, label, ..bound.clone() }), stays)
}

/// Largest amount in either direction.
fn most(values: &[f64]) -> f64 {
    values.iter().map(|v| v.abs()).filter(|v| v.is_finite()).fold(0.0, f64::max)
}

/// The ways out, the widest first: they grow from the bottom.
fn outside(course: &Course<'_>, mut ways: Vec<&Column>) -> Vec<Series> {
    ways.sort_by(|a, b| most(&b.values).total_cmp(&most(&a.values)));
    let rest = ways.split_off(ways.len().min(MOST_WAYS));
    let layer = |name: String, values: Vec<f64>, colour| Series {
        name,
        points: course.points(values.into_iter()),
        colour,
        ..Series::default()
    };
    let mut series: Vec<Series> = ways
        .iter()
        .zip(WAYS)
        .map(|(c, colour)| {
            let way = course.run.names.words(c.address.place);
            layer(named(&way, &c.values), c.values.clone(), colour)
        })
        .collect();
    if !rest.is_empty() {
        let values = super::course::sum(&rest, course.run.time_s.len());
        series.push(layer(named("other ways", &values), values, WAYS[MOST_WAYS]));
    }
    series
}

/// The name of a way follows the sign at the end of the run, where it stands.
fn named(way: &str, values: &[f64]) -> String {
    match values.iter().rev().find(|v| v.is_finite()) {
        Some(end) if *end < 0.0 => format!("net in by {way} (below zero)"),
        _ => format!("net out by {way}"),
    }
}

/// What is still in the box: on walls and floor, in the air, and on top the loads.
fn within(course: &Course<'_>, inside: &[&Column]) -> Vec<Series> {
    let is_load = |c: &&&Column| c.address.place.load().is_some();
    let mut loads = LOADS.iter().cycle();
    let mut series = Vec::new();
    for (place, quantity, colour) in [
        (Place::AllFloors, Quantity::Puddle, colour::INK),
        (Place::AllWalls, Quantity::Condensate, colour::PURPLE),
        (Place::AllWalls, Quantity::BoundWater, colour::GREEN),
        (Place::AllZones, Quantity::Water, colour::INK),
    ] {
        let found = inside.iter().find(|c| c.address == Address::new(place, quantity));
        series.extend(found.map(|c| course.line(c, colour, Default::default())));
    }
    for (c, &colour) in inside.iter().filter(is_load).zip(&mut loads) {
        series.push(Series { emphasis: true, ..course.line(c, colour, Default::default()) });
    }
    series
}

fn subtitle(run: &Run, (start, stays): (f64, f64), ways: &[&Column], inside: &[&Column]) -> String {
    let end = |c: &&Column| c.values.last().copied().unwrap_or(0.0);
    let still: f64 = inside.iter().map(end).sum();
    let mut clauses = vec![format!("{start:.2} g at the start, bound water and vapour included")];
    if stays > 0.0 {
        clauses[0] += &format!(", beside {stays:.1} g that stays in the walls");
    }
    clauses.push(match gross(run) {
        Some((came, out)) => format!(
            "{came:.2} g came in with room air and {out:.2} g went out, {:.2} g net",
            out - came
        ),
        None => format!("{:.2} g went out net", ways.iter().map(end).sum::<f64>()),
    });
    clauses.push(format!("{still:.2} g is in the box at the end"));
    joined(clauses)
}

/// All that came in and all that went out, by the account of the run.
fn gross(run: &Run) -> Option<(f64, f64)> {
    let total = |rows: &[Row], quantity: Quantity| {
        let own = rows.iter().filter(|r| r.address.quantity == quantity);
        own.map(|r| r.amount).reduce(|a, b| a + b)
    };
    Some((
        total(&run.water.sources, Quantity::WaterIn)?,
        total(&run.water.uses, Quantity::WaterOut)?,
    ))
}
