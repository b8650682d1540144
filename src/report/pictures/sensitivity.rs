//! What decides a metric, as bars.

use super::course::{capital, colour};
use super::naming::words;
use crate::metric::Metric;
use crate::report::figure::{Bar, BarRow, Bars};
use crate::report::text::{digits, fixed};
use crate::study::sensitivity::{Indices, Swing};

/// How far a metric moves with each axis alone, the widest on top.
#[must_use]
pub fn sweep_swings(scenario: &str, metric: &Metric, result: f64, swings: &[Swing]) -> Bars {
    let row = |s: &Swing| {
        let bars = [0, 1].map(|end| Bar {
            from: result,
            to: s.results[end].unwrap_or(f64::NAN),
            colour: [colour::SKY, colour::VERMILLION][end],
            words: s.settings[end].clone(),
            whisker: None,
        });
        let missing = [0, 1].into_iter().filter(|end| s.results[*end].is_none());
        let missing = missing.map(|end| format!("; {}: not reached", s.settings[end]));
        let name = words(&s.path) + &missing.collect::<String>();
        BarRow { name, bars: bars.into() }
    };
    let title = format!("What moves the {}", metric.label);
    let subtitle = format!(
        "{}: {} {} as it is; one value changed at a time",
        scenario.replace('_', " "),
        digits(result),
        metric.unit
    );
    let first =
        swings.first().map_or(String::new(), |s| format!(" {} moves it most.", words(&s.path)));
    Bars {
        alt_text: format!("{title}. {subtitle}.{first}"),
        title,
        subtitle,
        label: metric.label.clone(),
        unit: metric.unit.clone(),
        base: Some(result),
        keys: vec![
            (colour::SKY, "at its lowest value".into()),
            (colour::VERMILLION, "at its highest value".into()),
        ],
        rows: swings.iter().map(row).collect(),
        source_line: source(),
    }
}

/// The share of each axis in the variance of a metric, the largest on top.
#[must_use]
pub fn sweep_indices(scenario: &str, metric: &Metric, paths: &[&str], indices: &Indices) -> Bars {
    let mut order: Vec<usize> = (0..paths.len()).collect();
    let total = |k: &usize| indices.axes[*k].total.value;
    order.sort_by(|a, b| total(b).total_cmp(&total(a)));
    let row = |k: &usize| {
        let index = &indices.axes[*k];
        let pairs = [(index.first, colour::SKY), (index.total, colour::VERMILLION)];
        let bars = pairs.map(|(share, colour)| Bar {
            from: 0.0,
            to: 100.0 * share.value,
            colour,
            words: format!(
                "{} ± {} %",
                fixed(100.0 * share.value, 0),
                fixed(100.0 * share.half, 0)
            ),
            whisker: Some((100.0 * (share.value - share.half), 100.0 * (share.value + share.half))),
        });
        BarRow { name: words(paths[*k]), bars: bars.into() }
    };
    let title = format!("What decides the {}", metric.label);
    let subtitle = format!(
        "{}: {} ± {} {} (standard deviation) over {} points{}",
        scenario.replace('_', " "),
        digits(indices.mean),
        digits(indices.standard),
        metric.unit,
        indices.points,
        match indices.left_out {
            0 => String::new(),
            n => format!("; {n} left out, where a case does not reach it"),
        }
    );
    Bars {
        alt_text: format!("{title}. {subtitle}. Largest: {}.", words(paths[order[0]])),
        title,
        subtitle,
        label: format!("share of the variance of the {}", capital(&metric.label).to_lowercase()),
        unit: "%".into(),
        base: Some(0.0),
        keys: vec![
            (colour::SKY, "first-order index: alone".into()),
            (colour::VERMILLION, "total index: with all it does together with others".into()),
        ],
        rows: order.iter().map(row).collect(),
        source_line: format!("{}; lines: 95 % intervals", source()),
    }
}

fn source() -> String {
    format!("drybench {} · simulated", env!("CARGO_PKG_VERSION"))
}
