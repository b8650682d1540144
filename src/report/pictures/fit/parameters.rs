//! How well the parameters of a fit are known: profiles and correlations.

use super::super::course::colour;
use super::spaced;
use crate::report::figure::{Dash, Figure, Map, Panel, Series, Steps};
use crate::study::box_fit::{Outcome, ParameterRow};

/// Most profiles in one figure.
const MOST_PROFILES: usize = 6;

/// How far the line for straight models goes \[standard errors\].
const DIAGONAL: f64 = 2.0;

/// Dash styles, so that no line is told by its colour alone.
const DASHES: [Dash; 4] = [Dash::Solid, Dash::Dash, Dash::DashDot, Dash::Dot];

/// Colours of series in turn.
const COLOURS: [usize; 5] =
    [colour::VERMILLION, colour::SKY, colour::GREEN, colour::PURPLE, colour::YELLOW];

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
    let mut series: Vec<Series> = outcome.parameters.iter().enumerate().filter_map(line).collect();
    let more = series.len().saturating_sub(MOST_PROFILES);
    series.truncate(MOST_PROFILES);
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
    let mut subtitle =
        "A 95 % interval ends about 2 below and above zero; where a line leaves the thin one, value ± \
         standard error is not enough"
            .to_owned();
    if more > 0 {
        subtitle += &format!("; the first {MOST_PROFILES} parameters, {more} more are in fit.json");
    }
    Some(Figure {
        alt_text: format!("{title}. {subtitle}."),
        title,
        subtitle,
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

/// The correlations of the parameters as a map; `None` for fewer than two.
#[must_use]
pub fn fit_correlation(title: &str, outcome: &Outcome) -> Option<Map> {
    let count = outcome.parameters.len();
    if count < 2 {
        return None;
    }
    let number = |r: &Option<f64>| r.unwrap_or(f64::NAN);
    let axis = |names: Vec<String>| Steps { label: "parameter".into(), names, ..Steps::default() };
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
