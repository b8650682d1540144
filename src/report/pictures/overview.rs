//! The first figure of a run: temperatures, relative humidity beside vapour density, water left.

use super::course::{Course, LOADS, ZONES, colour, joined, sum};
use crate::address::{Place, Quantity};
use crate::report::figure::{Dash, Figure, Panel, RightAxis, Series};
use crate::report::text::digits;
use crate::run::Run;

pub(super) fn figure(run: &Run) -> Option<Figure> {
    let course = Course::new(run)?;
    let mut panels = vec![temperatures(&course), humidity(&course)];
    panels.extend(water(&course));
    panels.extend(moisture(&course));
    panels.retain(|p| !p.series.is_empty());
    course.figure("", subtitle(run), panels)
}

fn temperatures(course: &Course<'_>) -> Panel {
    let air = course.zone_air(Quantity::Temperature);
    let mut series: Vec<Series> = air
        .iter()
        .zip(ZONES.iter().cycle())
        .map(|(c, &colour)| course.swinging(c, colour, Dash::Solid))
        .collect();
    if let Some(first) = series.first_mut() {
        first.emphasis = true;
    }
    let wall = course.coldest_wall();
    series.extend(wall.map(|c| course.line(c, colour::PURPLE, Dash::Dash)));
    let moist = course.loads().into_iter().filter(|c| {
        let whole = c.address.place.load().map(Place::Load);
        let shown = [Quantity::WaterRemaining, Quantity::Moisture];
        whole.is_some_and(|load| shown.iter().any(|q| course.run.at(load, *q).is_some()))
    });
    let loads = moist.zip(LOADS.iter().cycle());
    series.extend(loads.map(|(c, &colour)| course.line(c, colour, Dash::Solid)));
    series.extend(course.set_point());
    Panel { weight: 1.3, ..Panel::new("Temperature", "°C", series) }
}

/// Humidity of the last zone, where loads usually are, in both measures.
fn humidity(course: &Course<'_>) -> Panel {
    let relative = course.zone_air(Quantity::RelativeHumidity).pop();
    let density = course.zone_air(Quantity::VapourDensity).pop();
    let series = relative
        .map(|c| Series { emphasis: true, ..course.swinging(c, colour::BLUE, Dash::Solid) });
    let right = density.map(|c| RightAxis {
        label: "Vapour density".into(),
        unit: "g/m³".into(),
        series: vec![Series {
            name: format!("vapour density, {}", c.label),
            ..course.line(c, colour::ORANGE, Dash::Dash)
        }],
    });
    Panel { right, ..Panel::from_zero("Relative humidity", "%", series.into_iter().collect()) }
}

/// Where the added water is: in the loads, on the walls, and in the whole box.
fn water(course: &Course<'_>) -> Option<Panel> {
    let left = course
        .run
        .of_loads(Quantity::WaterRemaining)
        .zip(LOADS.iter().cycle())
        .map(|(c, &colour)| Series { emphasis: true, ..course.line(c, colour, Dash::Solid) });
    let mut series: Vec<Series> = left.collect();
    if series.is_empty() {
        return None;
    }
    let in_box = course.run.at(Place::Box, Quantity::WaterRemaining);
    series.extend(in_box.map(|c| course.line(c, colour::INK, Dash::DashDot)));
    series.extend(on_walls(course));
    Some(Panel { weight: 1.2, ..Panel::from_zero("Added water", "g", series) })
}

/// Mean moisture of loads with bound water.
fn moisture(course: &Course<'_>) -> Option<Panel> {
    let columns = course.run.of_loads(Quantity::Moisture).zip(LOADS.iter().cycle());
    let series: Vec<Series> = columns
        .map(|(c, &colour)| Series { emphasis: true, ..course.line(c, colour, Dash::Solid) })
        .collect();
    (!series.is_empty()).then(|| Panel::from_zero("Moisture", "wt%", series))
}

/// Condensate on all walls together.
pub(super) fn on_walls(course: &Course<'_>) -> Option<Series> {
    let films: Vec<_> = course
        .run
        .of(Quantity::Condensate)
        .filter(|c| c.address.place != Place::AllWalls)
        .collect();
    let total = sum(&films, course.run.time_s.len());
    (!films.is_empty()).then(|| Series {
        name: "on the walls".into(),
        points: course.points(total.into_iter()),
        colour: colour::PURPLE,
        dash: Dash::Dash,
        ..Series::default()
    })
}

/// What the figure shows, in one sentence of numbers.
fn subtitle(run: &Run) -> String {
    let mut clauses = vec![dried(run)];
    if let Some(rh) = run.metric("peak_rh_pct") {
        clauses.push(format!("the warm air peaks at {rh:.0} %RH"));
    }
    joined(clauses)
}

/// When the water has left the loads, and the box; nothing for a run without water.
pub(super) fn dried(run: &Run) -> String {
    let mut clauses = Vec::new();
    let metric = |key: &str| run.metric(key);
    if run.metrics.iter().any(|m| m.key == "removed_g") {
        clauses.push(match (metric("t90_min"), metric("water_remaining_g").map(digits)) {
            (Some(t), _) => format!("90 % of the added water has left the load after {t:.0} min"),
            (None, Some(left)) => {
                format!("{left} g of the added water is still in the load at the end")
            }
            (None, None) => String::new(),
        });
        clauses.push(match (metric("box_t90_min"), metric("water_in_box_g")) {
            (Some(t), _) => format!("the box after {t:.0} min"),
            (None, Some(still)) => format!("{still:.1} g is still in the box at the end"),
            (None, None) => String::new(),
        });
    }
    joined(clauses)
}
