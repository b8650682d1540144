//! A fit: the readings of one run beside the fitted model, and what is left between them.

use super::course::colour;
use crate::report::figure::{Figure, Panel, Series, Symbol};
use crate::study::box_fit::{Course, Outcome};

/// Most readings of a series that are drawn as dots: more would be a blot.
const MOST_DOTS: usize = 60;

/// Panels of readings that find room above the residuals; readings in further units show there only.
const MOST_UNITS: usize = 2;

/// Colours of series in turn.
const COLOURS: [usize; 5] =
    [colour::VERMILLION, colour::SKY, colour::GREEN, colour::PURPLE, colour::YELLOW];

/// The figure of the run of this name: a panel for each of the first units, and one of residuals over their
/// stated uncertainties.
#[must_use]
pub fn fit(title: &str, run: &str, outcome: &Outcome) -> Figure {
    let own: Vec<(usize, &Course)> =
        outcome.courses.iter().filter(|c| c.run == run).enumerate().collect();
    let mut units: Vec<&str> = Vec::new();
    for (_, c) in own.iter().filter(|(_, c)| !c.time_s.is_empty()) {
        if !units.contains(&c.unit.as_str()) {
            units.push(&c.unit);
        }
    }
    let mut panels: Vec<Panel> = units
        .iter()
        .take(MOST_UNITS)
        .map(|unit| {
            let of = own.iter().filter(|(_, c)| c.unit == *unit);
            let series = of.flat_map(|(i, c)| [dots(*i, c), line(c)]).collect();
            Panel { label: label(unit).into(), unit: (*unit).into(), series, ..Panel::default() }
        })
        .collect();
    panels.push(Panel {
        label: "Model less reading, over u".into(),
        series: own.iter().map(|(i, c)| residuals(*i, c)).collect(),
        zero_based: true,
        weight: 0.6,
        ..Panel::default()
    });
    let found: Vec<String> =
        outcome.parameters.iter().map(|p| format!("{} {}", p.name, p.text)).collect();
    let title = format!("Fit: {title}");
    let subtitle = found.join("; ");
    let alt_text =
        format!("{title}. Dots are readings of {run}, lines the fitted model. {subtitle}.");
    Figure {
        title,
        subtitle,
        x_label: "Time".into(),
        x_unit: "min".into(),
        panels,
        source_line: format!(
            "drybench {} · dots measured, lines fitted",
            env!("CARGO_PKG_VERSION")
        ),
        alt_text,
        ..Figure::default()
    }
}

fn label(unit: &str) -> &'static str {
    match unit {
        "°C" => "Temperature",
        "Pa" => "Vapour pressure",
        "%RH" => "Relative humidity",
        "g" => "Mass",
        "W" => "Power",
        "Wh" => "Energy",
        _ => "Reading",
    }
}

/// Some of the rows, evenly.
fn some(c: &Course) -> impl Iterator<Item = usize> {
    let n = c.time_s.len();
    (0..n).step_by(n.div_ceil(MOST_DOTS).max(1))
}

fn dots(i: usize, c: &Course) -> Series {
    Series {
        points: some(c).map(|k| (c.time_s[k] / 60.0, c.reading[k])).collect(),
        colour: COLOURS[i % COLOURS.len()],
        symbol: Some(Symbol::Dot),
        ..Series::default()
    }
}

fn line(c: &Course) -> Series {
    Series {
        name: c.name.clone(),
        points: c.time_s.iter().zip(&c.model).map(|(t, m)| (t / 60.0, *m)).collect(),
        colour: colour::INK,
        ..Series::default()
    }
}

fn residuals(i: usize, c: &Course) -> Series {
    let over_u = |k: usize| (c.time_s[k] / 60.0, (c.model[k] - c.reading[k]) / c.u[k]);
    Series {
        points: some(c).map(over_u).collect(),
        colour: COLOURS[i % COLOURS.len()],
        symbol: Some(Symbol::Dot),
        ..Series::default()
    }
}
