//! All temperatures: air, walls, loads, sensors against the set point; the element by itself.

use super::course::{Course, ZONES, colour, highest, joined, last};
use crate::address::{Place, Quantity, Side};
use crate::report::figure::{Dash, Figure, Panel, Series};
use crate::run::{Column, Run};

/// Walls of each zone; the colour of the zone's air would be lost among the bands of the air.
const WALLS: [usize; 3] = [colour::PURPLE, colour::GREEN, colour::BLUE];
/// Loads, apart from the walls beside them.
const LOADS: [usize; 4] = [colour::SKY, colour::ORANGE, colour::VERMILLION, colour::YELLOW];

pub(super) fn figure(run: &Run) -> Option<Figure> {
    let course = Course::new(run)?;
    let air = course.zone_air(Quantity::Temperature);
    if air.is_empty() {
        return None;
    }
    let panels = [
        panel("Air", 1.2, air_and_sensors(&course, &air)),
        panel("Walls and loads", 1.3, walls_and_loads(&course)),
        panel("Heating element", 0.8, element(&course)),
    ];
    let panels = panels.into_iter().filter(|p| !p.series.is_empty()).collect();
    course.figure("Temperatures", subtitle(&course, &air), panels)
}

fn panel(label: &str, weight: f64, series: Vec<Series>) -> Panel {
    Panel { weight, ..Panel::new(label, "°C", series) }
}

fn air_and_sensors(course: &Course<'_>, air: &[&Column]) -> Vec<Series> {
    let zones = air.iter().zip(ZONES.iter().cycle());
    let mut series: Vec<Series> =
        zones.map(|(c, &colour)| course.swinging(c, colour, Dash::Solid)).collect();
    if let Some(first) = series.first_mut() {
        first.emphasis = true;
    }
    let sensors = course.run.of_sensors(Quantity::Temperature);
    let colours = [colour::SKY, colour::GREEN, colour::PURPLE];
    let sensors = sensors.zip(colours.into_iter().cycle());
    series.extend(sensors.map(|(c, colour)| course.swinging(c, colour, Dash::Dash)));
    series.extend(course.set_point());
    series
}

fn walls_and_loads(course: &Course<'_>) -> Vec<Series> {
    let mut series = Vec::new();
    for (face, dash) in [(Side::Inside, Dash::Solid), (Side::Outside, Dash::Dot)] {
        let walls = course.walls(face).into_iter().zip(WALLS.iter().cycle());
        series.extend(walls.map(|(c, &colour)| course.line(c, colour, dash)));
    }
    let loads = course.loads().into_iter().zip(LOADS.iter().cycle());
    let thick = |s: Series| Series { emphasis: true, ..s };
    series.extend(loads.map(|(c, &colour)| thick(course.line(c, colour, Dash::Solid))));
    series
}

fn element(course: &Course<'_>) -> Vec<Series> {
    let column = course.element();
    column.map(|c| course.swinging(c, colour::VERMILLION, Dash::Solid)).into_iter().collect()
}

fn subtitle(course: &Course<'_>, air: &[&Column]) -> String {
    let peak = |columns: &[&Column]| columns.iter().filter_map(|c| highest(c)).reduce(f64::max);
    let mut clauses = Vec::new();
    if let Some(hottest) = peak(air) {
        let set = course.run.at(Place::Controller, Quantity::SetPoint).map(last);
        let over =
            set.map_or_else(String::new, |s| format!(" ({:+.1} K to the set point)", hottest - s));
        clauses.push(format!("the air peaks at {hottest:.1} °C{over}"));
    }
    if let Some(t) = course.run.metric("warm_up_min") {
        clauses.push(format!("warm after {t:.1} min"));
    }
    if let Some(t) = course.element().and_then(highest) {
        clauses.push(format!("the element reaches {t:.0} °C"));
    }
    joined(clauses)
}
