//! A fit: the readings of one run beside the fitted model, and what is left between them.

use super::course::colour;
use crate::report::figure::{Dash, Figure, Map, Panel, Series, Steps, Symbol};
use crate::study::box_fit::{Course, Outcome, ParameterRow};

/// Most readings of a series that are drawn as dots: more would be a blot.
const MOST_DOTS: usize = 60;

/// Panels of readings that find room above the residuals; readings in further units show there only.
const MOST_UNITS: usize = 2;

/// Most profiles in one figure.
const MOST_PROFILES: usize = 6;

/// How far the line for straight models goes \[standard errors\].
const DIAGONAL: f64 = 2.0;

/// Dash styles, so that no line is told by its colour alone.
const DASHES: [Dash; 4] = [Dash::Solid, Dash::Dash, Dash::DashDot, Dash::Dot];

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

/// How chi-square rises as each parameter leaves its best value while the others make up for it, as
/// its root with the sign of the way, which is a straight line where the model is; `None` without
/// profiles.
#[must_use]
pub fn fit_profiles(title: &str, outcome: &Outcome) -> Option<Figure> {
    let line = |(k, p): (usize, &ParameterRow)| {
        let se = p.standard_error.filter(|s| *s > 0.0)?;
        let point =
            |(at, rise): &(f64, f64)| ((at - p.value) / se, (at - p.value).signum() * rise.sqrt());
        let points: Vec<(f64, f64)> = p.profile.iter().map(point).collect();
        (points.len() > 1).then(|| Series {
            name: spaced(&p.name),
            points,
            colour: COLOURS[k % COLOURS.len()],
            dash: DASHES[k % DASHES.len()],
            ..Series::default()
        })
    };
    let mut series: Vec<Series> =
        outcome.parameters.iter().enumerate().filter_map(line).take(MOST_PROFILES).collect();
    if series.is_empty() {
        return None;
    }
    let ends = [-DIAGONAL, DIAGONAL].map(|x| (x, x));
    series.push(Series {
        name: "straight lines".into(),
        points: ends.into(),
        colour: colour::INK,
        width: 0.5,
        ..Series::default()
    });
    let title = format!("Profiles: {title}");
    let subtitle = "A 95 % interval ends about 2 below and above zero; where a line leaves the thin one, value ± \
                    standard error is not enough";
    Some(Figure {
        alt_text: format!("{title}. {subtitle}."),
        title,
        subtitle: subtitle.into(),
        x_label: "Distance from the best value, in standard errors".into(),
        panels: vec![Panel {
            label: "Root of the rise of chi-square, the others fitted anew".into(),
            series,
            ..Panel::default()
        }],
        source_line: format!("drybench {} · fitted", env!("CARGO_PKG_VERSION")),
        ..Figure::default()
    })
}

fn spaced(name: &str) -> String {
    name.replace(['.', '_'], " ")
}

/// The correlations of the parameters as a map; `None` for fewer than two.
#[must_use]
pub fn fit_correlation(title: &str, outcome: &Outcome) -> Option<Map> {
    let count = outcome.parameters.len();
    if count < 2 {
        return None;
    }
    let number = |r: &Option<f64>| r.unwrap_or(f64::NAN);
    let axis = |names: Vec<String>| Steps { label: "parameter".into(), unit: String::new(), names };
    let named = outcome.parameters.iter().enumerate();
    let named = named.map(|(k, p)| format!("{} {}", spaced(&p.name), k + 1)).collect();
    let title = format!("Correlations: {title}");
    let subtitle =
        "Near 1 or -1, two parameters are known only together; empty where nothing is known";
    Some(Map {
        alt_text: format!("{title}. {subtitle}."),
        title,
        subtitle: subtitle.into(),
        x: axis((1..=count).map(|k| k.to_string()).collect()),
        y: axis(named),
        label: "correlation".into(),
        cells: outcome.correlation.iter().map(|row| row.iter().map(number).collect()).collect(),
        range: Some((-1.0, 1.0)),
        scattered: true,
        source_line: format!("drybench {} · fitted", env!("CARGO_PKG_VERSION")),
        ..Map::default()
    })
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
