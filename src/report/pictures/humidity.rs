//! Humidity in three measures, and whether water condenses.

use super::course::{Course, ZONES, clock, colour, highest, joined};
use crate::address::{Quantity, Side};
use crate::report::figure::{Dash, Figure, Panel, Series};
use crate::run::{Column, Run};

/// A dew point this far above a face or less is the rounding of a film that dries \[K\].
const TOUCHING_K: f64 = 0.05;

pub(super) fn figure(run: &Run) -> Option<Figure> {
    let course = Course::new(run)?;
    let relative = course.zone_air(Quantity::RelativeHumidity);
    if relative.is_empty() {
        return None;
    }
    let zones = |quantity: Quantity, swings: bool| -> Vec<Series> {
        let columns = course.zone_air(quantity).into_iter().zip(ZONES.iter().cycle());
        let line = |(c, &colour): (&Column, &usize)| {
            if swings {
                course.swinging(c, colour, Dash::Solid)
            } else {
                course.line(c, colour, Dash::Solid)
            }
        };
        columns.map(line).collect()
    };
    let mut humidity = zones(Quantity::RelativeHumidity, true);
    let sensors = course
        .run
        .of_sensors(Quantity::RelativeHumidity)
        .zip([colour::SKY, colour::GREEN].iter().cycle());
    humidity.extend(sensors.map(|(c, &colour)| course.swinging(c, colour, Dash::Dash)));
    let panels = [
        panel("Relative humidity", "%", true, humidity),
        panel("Vapour density", "g/m³", true, zones(Quantity::VapourDensity, false)),
        panel("Dew point and wall", "°C", false, dew(&course)),
    ];
    let panels = panels.into_iter().filter(|p| !p.series.is_empty()).collect();
    course.figure("Humidity", subtitle(&course, &relative), panels)
}

fn panel(label: &str, unit: &str, zero_based: bool, series: Vec<Series>) -> Panel {
    Panel { zero_based, ..Panel::new(label, unit, series) }
}

/// Dew point and inner wall face of the zone in which they come closest.
fn closest<'a>(course: &Course<'a>) -> Option<(&'a Column, &'a Column)> {
    let pairs = course.zone_air(Quantity::DewPoint).into_iter().zip(course.walls(Side::Inside));
    pairs.min_by(|a, b| least_gap(*a).total_cmp(&least_gap(*b)))
}

/// Smallest distance of the face above the dew point \[K\].
fn least_gap((dew, face): (&Column, &Column)) -> f64 {
    let gaps = dew.values.iter().zip(&face.values).map(|(d, f)| f - d);
    gaps.filter(|g| g.is_finite()).fold(f64::INFINITY, f64::min)
}

fn dew(course: &Course<'_>) -> Vec<Series> {
    let Some((dew, face)) = closest(course) else { return Vec::new() };
    let face = Series { emphasis: true, ..course.line(face, colour::PURPLE, Dash::Solid) };
    vec![course.line(dew, colour::BLUE, Dash::Dash), face]
}

fn subtitle(course: &Course<'_>, relative: &[&Column]) -> String {
    let mut clauses = Vec::new();
    let peak = course.run.metric("peak_rh_pct");
    if let Some(rh) = peak.or_else(|| relative.iter().filter_map(|c| highest(c)).reduce(f64::max)) {
        clauses.push(format!("the warm air peaks at {rh:.0} %RH"));
    }
    let density = course.zone_air(Quantity::VapourDensity);
    if let Some(most) = density.iter().filter_map(|c| highest(c)).reduce(f64::max) {
        clauses.push(format!("{most:.0} g/m³"));
    }
    clauses.extend(condensation(course));
    joined(clauses)
}

/// Where the dew point lies above the face, water condenses: from when, and for how long.
fn condensation(course: &Course<'_>) -> Option<String> {
    let pair = closest(course)?;
    let gap = least_gap(pair);
    if !gap.is_finite() {
        return None;
    }
    if gap > -TOUCHING_K {
        return Some(if gap < 0.1 {
            "hardly any water condenses: the coldest wall just touches the dew point".into()
        } else {
            format!("no water condenses: the coldest wall stays {gap:.1} K above the dew point")
        });
    }
    let wet = |i: &usize| pair.1.values[*i] - pair.0.values[*i] <= -TOUCHING_K;
    let rows: Vec<usize> = (0..course.run.time_s.len()).filter(wet).collect();
    let (first, end) = (course.run.time_s[*rows.first()?], course.run.time_s[*rows.last()?]);
    let span = format!("from {} to {}", clock(first), clock(end));
    Some(format!("where the dew point is above the wall, water condenses: {span}"))
}
