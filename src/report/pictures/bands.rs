//! A run at the best values of a fit with its bands over drawn runs.

use super::course::{Course, colour};
use crate::address::Quantity;
use crate::report::bands::at;
use crate::report::figure::{Dash, Figure, Panel, Series};
use crate::run::{Column, Run};

/// Width of the lines at the edges of a band.
const EDGE: f64 = 0.4;
/// Share of the height of a panel that its line takes: about 3 of 250 pixels.
const LINE: f64 = 0.013;

/// Air, humidity and the water that is left, each as a line between the edges of its 95 % band;
/// `None` for a run without samples.
#[must_use]
pub fn bands(best: &Run, drawn: &[Run]) -> Option<Figure> {
    let course = Course::new(best)?;
    let air = course.run.in_zones(Quantity::RelativeHumidity).last();
    let warm = course.zone_air(Quantity::Temperature).last().copied();
    let left = course.run.of_loads(Quantity::WaterRemaining).next();
    let moist = course.run.of_loads(Quantity::Moisture).next();
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
        Some(Panel::new(
            label,
            &column.unit,
            vec![edge(false), edge(true), course.line(column, colour, Dash::Solid)],
        ))
    };
    let title = format!("{}, with what the fit leaves open", best.title);
    let mut subtitle =
        format!("95 % bands over {} runs with values drawn from the fit", drawn.len());
    let panels: Vec<Panel> = rows.into_iter().filter_map(panel).collect();
    let thin: Vec<String> =
        panels.iter().filter(|p| is_thin(p)).map(|p| p.label.to_lowercase()).collect();
    if !thin.is_empty() {
        subtitle.push_str(&format!("; nowhere wider than its line: {}", thin.join(", ")));
    }
    Some(Figure {
        alt_text: format!("{title}. {subtitle}."),
        title,
        subtitle,
        x_label: "Time".into(),
        x_unit: course.unit.into(),
        panels,
        source_line: format!("drybench {} · simulated", env!("CARGO_PKG_VERSION")),
        ..Figure::default()
    })
}

/// Whether the first two series of a panel, the edges of its band, are nowhere further apart than a
/// line is wide.
fn is_thin(panel: &Panel) -> bool {
    let all = panel.series.iter().flat_map(|s| &s.points).map(|p| p.1).filter(|v| v.is_finite());
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |r, v| (r.0.min(v), r.1.max(v)));
    let [lower, upper, ..] = &panel.series[..] else { return false };
    let apart = lower.points.iter().zip(&upper.points).map(|(a, b)| b.1 - a.1);
    apart.filter(|d| d.is_finite()).fold(0.0, f64::max) < LINE * (high - low)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_band_within_its_line_is_called_thin() {
        let panel = |half: f64| {
            let line = |off: f64| Series {
                points: (0..50).map(|i| (f64::from(i), f64::from(i) + off)).collect(),
                ..Series::default()
            };
            Panel { series: vec![line(-half), line(half), line(0.0)], ..Panel::default() }
        };
        assert!(is_thin(&panel(0.2)) && !is_thin(&panel(2.0)));
        assert!(!is_thin(&Panel::default()));
    }
}
