//! A run at the best values of a fit with its bands over drawn runs.

use super::course::{Course, colour};
use crate::report::bands::at;
use crate::report::figure::{Dash, Figure, Panel, Series};
use crate::run::{Column, Group, Run};

/// Width of the lines at the edges of a band.
const EDGE: f64 = 0.4;

/// Air, humidity and the water that is left, each as a line between the edges of its 95 % band;
/// `None` for a run without samples.
#[must_use]
pub fn bands(best: &Run, drawn: &[Run]) -> Option<Figure> {
    let course = Course::new(best)?;
    let air = course.group(Group::RelativeHumidity).last();
    let warm = course.zone_air("temperature_C").last().copied();
    let left = course.group(Group::WaterLeft).next();
    let moist = course.group(Group::Moisture).next();
    let rows = [
        ("Temperature", warm, colour::VERMILLION),
        ("Relative humidity", air, colour::GREEN),
        ("Added water", left.filter(|_| moist.is_none()), colour::SKY),
        ("Moisture", moist, colour::SKY),
    ];
    let panel = |(label, column, colour): (&str, Option<&Column>, usize)| {
        let column = column?;
        let edge = |high: bool| {
            let value =
                |i: usize| at(drawn, &column.name, i).map(|b| if high { b.high } else { b.low });
            let values = (0..best.time_s.len()).map(|i| value(i).unwrap_or(f64::NAN));
            Series { points: course.points(values), colour, width: EDGE, ..Series::default() }
        };
        Some(Panel {
            label: label.into(),
            unit: column.unit.clone(),
            series: vec![edge(false), edge(true), course.line(column, colour, Dash::Solid)],
            ..Panel::default()
        })
    };
    let title = format!("{}, with what the fit leaves open", best.title);
    let subtitle = format!("95 % bands over {} runs with values drawn from the fit", drawn.len());
    Some(Figure {
        alt_text: format!("{title}. {subtitle}."),
        title,
        subtitle,
        x_label: "Time".into(),
        x_unit: course.unit.into(),
        panels: rows.into_iter().filter_map(panel).collect(),
        source_line: format!("drybench {} · simulated", env!("CARGO_PKG_VERSION")),
        ..Figure::default()
    })
}
