//! Sweeps: a metric over an axis, over two axes as a map, and one against another.

use super::course::{capital, colour, joined};
use super::naming::{along, groups, sides};
use super::together::differ;
use crate::metric::Metric;
use crate::report::figure::{Dash, Figure, Limit, Map, Panel, Series, Steps, Symbol};
use crate::report::text::fixed;
use crate::study::fit::Band;
use crate::study::sweep::{Line, SweepTable, is_label, short};
use crate::units::number;

/// Colours of series in turn.
pub(super) const COLOURS: [usize; 7] = [
    colour::VERMILLION,
    colour::SKY,
    colour::GREEN,
    colour::PURPLE,
    colour::YELLOW,
    colour::BLUE,
    colour::ORANGE,
];
/// Most lines in one figure: more cannot be told apart.
const MOST_LINES: usize = 8;

/// One metric over the first axis of numbers, a line for each setting of the others.
///
/// # Errors
/// Why the table does not fit such a figure.
pub fn sweep_lines(table: &SweepTable, metric: usize) -> Result<Figure, String> {
    let numeric = (0..table.paths.len()).find(|p| {
        table.unit(*p).is_some() && !table.drawn.contains(p) && !is_label(&table.paths[*p])
    });
    let Some(x) = numeric else { return Err("no axis has numbers in one unit".into()) };
    if table.rows.iter().all(|r| r.values[metric].is_none()) {
        return Err("no case has a value".into());
    }
    let groups = groups(table, Some(x));
    let bundles = if table.drawn.is_empty() { Vec::new() } else { table.bundles() };
    if groups.len() > MOST_LINES {
        return Err(format!("{} lines cannot be told apart; draw a map", groups.len()));
    }
    let line = |(k, (name, rows)): (usize, &(String, Vec<&Line>))| {
        let mut points: Vec<(f64, f64, Option<Band>)> = if table.drawn.is_empty() {
            let value = |r: &&Line| r.values[metric].unwrap_or(f64::NAN);
            rows.iter().map(|r| (SweepTable::typed(r, x), value(r), None)).collect()
        } else {
            let own = bundles.iter().filter(|b| rows.iter().any(|r| std::ptr::eq(*r, b.first)));
            own.map(|b| {
                let band = b.band(metric).0;
                (SweepTable::typed(b.first, x), band.map_or(f64::NAN, |b| b.middle), band)
            })
            .collect()
        };
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let own = COLOURS[k % COLOURS.len()];
        let dash = Dash::in_turn(k);
        let middle = points.iter().map(|p| (p.0, p.1)).collect();
        let symbol = table.scattered.then_some(Symbol::Dot);
        let name = name.clone();
        let line = Series { name, points: middle, colour: own, dash, symbol, ..Series::default() };
        // Bars stand at points of their own: with bars, a series has no line.
        let banded = points.iter().filter_map(|p| p.2.map(|b| (p.0, b)));
        let bars = Series {
            points: banded.clone().map(|(x, b)| (x, b.middle)).collect(),
            reach: banded.map(|(_, b)| (b.low, b.high)).collect(),
            colour: own,
            ..Series::default()
        };
        [Some(line), Some(bars).filter(|b| !b.points.is_empty())].into_iter().flatten()
    };
    let series: Vec<Series> = groups.iter().enumerate().flat_map(line).collect();
    let m = &table.metrics[metric];
    let along = along(table, x);
    let title = format!("{} over {along}", capital(&m.label));
    let values = reach(&table.rows.iter().collect::<Vec<_>>(), m, metric);
    let drawn = "middle and 95 % band of the draws from the fit";
    let drawn = if table.drawn.is_empty() { "" } else { drawn };
    let subtitle = capital(&joined(vec![values, drawn.into(), differ(&table.differ)]));
    Ok(Figure {
        alt_text: format!("{title}. {subtitle}"),
        title,
        subtitle,
        x_label: along,
        x_unit: table.unit(x).unwrap_or_default(),
        x_log: table.log.contains(&x),
        panels: vec![Panel { ordered: true, ..Panel::new(&m.label, &m.unit, series) }],
        source_line: source(&table.rows.iter().collect::<Vec<_>>()),
        ..Figure::default()
    })
}

/// A metric that must stay on one side of a level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// Which metric.
    pub metric: usize,
    /// The level, in its unit.
    pub level: f64,
    /// Whether it must be above, rather than below.
    pub above: bool,
}

/// A metric over two axes for one scenario, with lines where others meet limits.
///
/// # Errors
/// Why the table does not fit a map.
pub fn sweep_map(
    table: &SweepTable,
    scenario: &str,
    metric: usize,
    limits: &[Bound],
) -> Result<Map, String> {
    let [first, second] = sides(table)[..] else {
        let why = "its axes do not make a grid; give a pair whose values repeat a label";
        return Err(why.into());
    };
    let rows: Vec<&Line> = table.rows.iter().filter(|r| r.scenario == scenario).collect();
    if rows.iter().all(|r| r.values[metric].is_none()) {
        return Err("no case has a value".into());
    }
    // The same colours for every scenario.
    let all = table.rows.iter().filter_map(|r| r.values[metric]);
    let range = all.fold(None, |r: Option<(f64, f64)>, v| {
        Some(r.map_or((v, v), |(low, high)| (low.min(v), high.max(v))))
    });
    let steps = |p: usize| {
        let mut texts: Vec<&str> = Vec::new();
        for r in &rows {
            if !texts.contains(&r.settings[p].text.as_str()) {
                texts.push(&r.settings[p].text);
            }
        }
        texts
    };
    let (xs, ys) = (steps(first), steps(second));
    let cell = |r: &Line| {
        let place = |texts: &[&str], p: usize| texts.iter().position(|t| *t == r.settings[p].text);
        Some((place(&ys, second)?, place(&xs, first)?))
    };
    let grid = |k: usize| -> Vec<Vec<f64>> {
        let mut cells = vec![vec![f64::NAN; xs.len()]; ys.len()];
        for r in &rows {
            if let (Some((j, i)), Some(v)) = (cell(r), r.values[k]) {
                cells[j][i] = v;
            }
        }
        cells
    };
    let unit = |p: usize| table.unit(p).filter(|_| !is_label(&table.paths[p]));
    let scaled = |p: usize| unit(p).is_some();
    let axis = |p: usize, texts: &[&str]| {
        let unit = unit(p).unwrap_or_default();
        let bare = |t: &&str| short(t.strip_suffix(unit.as_str()).unwrap_or(t).trim());
        let names = texts.iter().map(bare).collect();
        let values: Option<Vec<f64>> = texts.iter().map(|t| number(t).map(|n| n.0)).collect();
        let values = values.filter(|_| scaled(p)).unwrap_or_default();
        Steps { label: along(table, p), unit, names, values, log: table.log.contains(&p) }
    };
    let limit = |bound: &Bound| {
        let (m, level) = (&table.metrics[bound.metric], bound.level);
        let side = if bound.above { "at least" } else { "at most" };
        let words = format!("{} {side} {level} {}; other cells are faded", m.label, m.unit);
        // A value that is known is judged by its cell.
        let unsure = |r: &&&Line| {
            r.values[bound.metric].is_none() && !r.keeps(bound.metric, level, bound.above)
        };
        let unsure = rows.iter().filter(unsure).filter_map(|r| cell(r)).collect();
        Limit { words, values: grid(bound.metric), level, above: bound.above, unsure }
    };
    let m = &table.metrics[metric];
    let (x, y) = (axis(first, &xs), axis(second, &ys));
    let several = rows.len() < table.rows.len();
    let which = if several { format!("{}: ", scenario.replace('_', " ")) } else { String::new() };
    let empty = if rows.iter().any(|r| r.values[metric].is_none()) { " (empty cells)" } else { "" };
    let values = format!("{which}{}{empty}", reach(&rows, m, metric));
    let subtitle = capital(&joined(vec![values, differ(&table.differ)]));
    let axes = [x.label.as_str(), &y.label].into_iter().filter(|l| !l.is_empty());
    let axes = axes.collect::<Vec<_>>().join(" and ");
    let title = format!("{} over {axes}", capital(&m.label));
    Ok(Map {
        alt_text: format!("{title}. {subtitle}"),
        title,
        subtitle,
        x,
        y,
        label: m.label.clone(),
        unit: m.unit.clone(),
        cells: grid(metric),
        limits: limits.iter().map(limit).collect(),
        range: range.filter(|(low, high)| high > low),
        // Between words nothing has a level.
        scattered: !scaled(first) || !scaled(second),
        pairs: false,
        source_line: source(&rows),
    })
}

/// From the lowest to the highest value, and how many have none.
fn reach(rows: &[&Line], Metric { unit, .. }: &Metric, metric: usize) -> String {
    let values = rows.iter().filter_map(|r| r.values[metric]);
    let low = values.clone().fold(f64::INFINITY, f64::min);
    let high = values.clone().fold(f64::NEG_INFINITY, f64::max);
    let without: Vec<&Line> = rows.iter().copied().filter(|r| r.values[metric].is_none()).collect();
    let missing = missing(&without);
    if without.len() == rows.len() {
        return "no case has a value".into();
    }
    // Two digits of what lies between them, one decimal at least.
    let decimals = (1.0 - (high - low).log10().floor()).clamp(1.0, 6.0) as usize;
    let number = |v: f64| fixed(v, decimals).replace('-', "−");
    format!("from {} to {} {unit}{missing}", number(low), number(high))
}

/// How many cases have no value, and why.
pub(super) fn missing(without: &[&Line]) -> String {
    let ended = without.iter().filter(|r| r.ended).count();
    let others = match without.len() - ended {
        0 => String::new(),
        1 => "; one case does not reach it".into(),
        n => format!("; {n} cases do not reach it"),
    };
    match ended {
        0 => others,
        1 => format!("{others}; one case ended before that was known"),
        n => format!("{others}; {n} cases ended before that was known"),
    }
}

/// How many cases, and of which box where there is one only.
pub(super) fn source(rows: &[&Line]) -> String {
    let first = rows.first().map(|r| r.scenario.as_str());
    let one = first.filter(|name| rows.iter().all(|r| r.scenario == *name));
    let of = one.map(|name| format!(" of {name}")).unwrap_or_default();
    let cases = match rows.len() {
        1 => "1 simulated case".to_owned(),
        n => format!("{n} simulated cases"),
    };
    format!("drybench {} · {cases}{of}", env!("CARGO_PKG_VERSION"))
}
