//! Two metrics of a sweep against each other.

use super::course::{capital, colour, joined};
use super::naming::{case, groups};
use super::sweep::{COLOURS, missing, source};
use super::together::differ;
use crate::report::figure::{Figure, Panel, Series, Symbol};
use crate::study::sweep::{Line, SweepTable};
use crate::text::Csv;

/// Colour of the front: that of the text, since the others belong to scenarios.
const FRONT: usize = colour::INK;

/// Share of its value by which a metric must differ along the front to be worth a choice: what
/// plug meters and cheap sensors tell apart is more (common practice).
const ALIKE: f64 = 0.01;

/// The same of a temperature, whose zero is arbitrary \[°C\].
const ALIKE_C: f64 = 0.5;

/// Symbols of the groups in turn: those of one may cover those of another.
const SYMBOLS: [(Symbol, bool); 4] =
    [(Symbol::Dot, false), (Symbol::Dot, true), (Symbol::Cross, false), (Symbol::Diamond, true)];

/// One side of a trade-off: which metric, and whether more of it is better.
pub type Goal = (usize, bool);

/// Two metrics against each other, with the cases that no other beats in both.
///
/// # Errors
/// If no case has both.
pub fn sweep_tradeoff(
    table: &SweepTable,
    (x, more_x): Goal,
    (y, more_y): Goal,
) -> Result<Figure, String> {
    let point = |r: &Line| Some((r.values[x]?, r.values[y]?));
    let all = table.rows.iter().filter_map(point).count();
    if all == 0 {
        return Err("no case has a value of both".into());
    }
    let front = front_of(table, (x, more_x), (y, more_y));
    // Below the points, which are what was simulated.
    let mut series = vec![Series {
        name: "front".into(),
        points: front.clone(),
        colour: FRONT,
        width: 0.7,
        step: true,
        ..Series::default()
    }];
    for (k, (name, rows)) in groups(table, None).into_iter().enumerate() {
        let mut points: Vec<(f64, f64)> = rows.into_iter().filter_map(point).collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let own = COLOURS[k % COLOURS.len()];
        let (symbol, hollow) = SYMBOLS[k % SYMBOLS.len()];
        series.push(Series {
            name,
            points,
            colour: own,
            symbol: Some(symbol),
            hollow,
            ..Series::default()
        });
    }
    let units = [x, y].map(|m| table.metrics[m].unit.as_str());
    let best = best(&front, [more_x, more_y], units);
    if best.is_some() {
        series.remove(0);
    }
    let (mx, my) = (&table.metrics[x], &table.metrics[y]);
    let title = format!("{} against {}", capital(&my.label), mx.label);
    let better = match (more_x, more_y) {
        (false, false) => "less of both is better".to_owned(),
        (true, true) => "more of both is better".to_owned(),
        (true, false) => format!("more {} and less {} is better", mx.unit, my.unit),
        (false, true) => format!("less {} and more {} is better", mx.unit, my.unit),
    };
    let of = |p: &(f64, f64)| table.rows.iter().find(|r| point(r) == Some(*p));
    let name = |p: &(f64, f64)| of(p).map(|r| case(table, r)).unwrap_or_default();
    let without: Vec<&Line> = table.rows.iter().filter(|r| point(r).is_none()).collect();
    let missing = missing(&without);
    let most = front.len();
    let subtitle = match (&front[..], best) {
        ([only], _) => format!("No trade-off: {} is best of {all} cases in both", name(only)),
        (_, Some(best)) => format!(
            "No trade-off: {} is best of {all} cases in both, or less than 1 % (0.5 °C) behind",
            name(&best)
        ),
        ([first, .., last], None) => format!(
            "{most} of {all} cases are beaten by no other, from {} (left) to {} (right)",
            name(first),
            name(last)
        ),
        ([], None) => return Err("no case has a value of both".into()),
    };
    let subtitle = joined(vec![subtitle, format!("{better}{missing}"), differ(&table.differ)]);
    Ok(Figure {
        alt_text: format!("{title}. {subtitle}."),
        title,
        subtitle,
        x_label: mx.label.clone(),
        x_unit: mx.unit.clone(),
        panels: vec![Panel::new(&my.label, &my.unit, series)],
        source_line: source(&table.rows.iter().collect::<Vec<_>>()),
        ..Figure::default()
    })
}

/// A point of a front than which no other is better by what is worth a choice.
fn best(front: &[(f64, f64)], [more_x, more_y]: [bool; 2], units: [&str; 2]) -> Option<(f64, f64)> {
    let behind = |own: f64, other: f64, more: bool, unit: &str| {
        let by = if more { other - own } else { own - other };
        by >= if unit == "°C" { ALIKE_C } else { ALIKE * own.abs().max(other.abs()) }
    };
    let beats = |p: &(f64, f64), q: &(f64, f64)| {
        behind(q.0, p.0, more_x, units[0]) || behind(q.1, p.1, more_y, units[1])
    };
    front.iter().copied().find(|p| !front.iter().any(|q| p != q && beats(q, p)))
}

/// The points, by rising x, that no other beats in both.
fn front_of(table: &SweepTable, (x, more_x): Goal, (y, more_y): Goal) -> Vec<(f64, f64)> {
    let sign = |more: bool| if more { -1.0 } else { 1.0 };
    let (sx, sy) = (sign(more_x), sign(more_y));
    let turned = |r: &Line| Some((sx * r.values[x]?, sy * r.values[y]?));
    let mut all: Vec<(f64, f64)> = table.rows.iter().filter_map(turned).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut front: Vec<(f64, f64)> =
        front(&all).into_iter().map(|p| (sx * p.0, sy * p.1)).collect();
    front.sort_by(|a, b| a.0.total_cmp(&b.0));
    front
}

/// The cases behind the picture by number and settings, and whether each is on the front.
#[must_use]
pub fn tradeoff_csv(table: &SweepTable, x: Goal, y: Goal) -> String {
    let front = front_of(table, x, y);
    let (mx, my) = (&table.metrics[x.0].key, &table.metrics[y.0].key);
    let mut head = vec!["case".to_owned(), "scenario".to_owned()];
    head.extend(table.paths.iter().cloned());
    head.extend([mx.clone(), my.clone(), "front".to_owned()]);
    let mut out = Csv::with_head(head);
    for row in &table.rows {
        let Some(point) = row.values[x.0].zip(row.values[y.0]) else { continue };
        let mut cells = vec![row.case.to_string(), row.scenario.clone()];
        cells.extend(row.settings.iter().map(|s| s.text.clone()));
        let on_front = if front.contains(&point) { "yes" } else { "no" };
        cells.extend([point.0.to_string(), point.1.to_string(), on_front.to_owned()]);
        out.row(cells);
    }
    out.text()
}

/// Points, sorted by x, than which none is smaller in both.
fn front(sorted: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut best = f64::INFINITY;
    let better = |p: &&(f64, f64)| {
        let keep = p.1 < best;
        best = best.min(p.1);
        keep
    };
    sorted.iter().filter(better).copied().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::sweep::Setting;

    #[test]
    fn the_table_names_its_cases() {
        let row = |case, water: &str, x, y| Line {
            case,
            scenario: "box".into(),
            settings: vec![Setting { text: water.into(), si: None }],
            values: vec![x, y],
            ..Line::default()
        };
        let metric = |key: &str| crate::metric::Metric {
            key: key.into(),
            ..crate::metric::Metric::default()
        };
        let table = SweepTable {
            paths: vec!["load.pad.water".into()],
            metrics: vec![metric("a_min"), metric("b_Wh")],
            rows: vec![
                row(4, "1 g", Some(2.0), Some(3.0)),
                row(5, "2 g", Some(1.0), None),
                row(6, "3 g", Some(3.0), Some(4.0)),
            ],
            ..SweepTable::default()
        };
        let csv = tradeoff_csv(&table, (0, false), (1, false));
        let head = "case,scenario,load.pad.water,a_min,b_Wh,front\n";
        assert_eq!(csv, format!("{head}4,box,1 g,2,3,yes\n6,box,3 g,3,4,no\n"));
        let more = tradeoff_csv(&table, (0, true), (1, true));
        assert!(more.ends_with("4,box,1 g,2,3,no\n6,box,3 g,3,4,yes\n"), "{more}");
    }

    #[test]
    fn the_front_keeps_what_nothing_beats() {
        let points = [(1.0, 5.0), (2.0, 6.0), (3.0, 2.0), (3.0, 4.0), (4.0, 2.0)];
        assert_eq!(front(&points), [(1.0, 5.0), (3.0, 2.0)]);
    }

    #[test]
    fn what_is_a_per_mille_behind_is_best_as_well() {
        let less = |front: &[(f64, f64)]| best(front, [false, false], ["min", "Wh"]);
        assert_eq!(less(&[(1.0, 5.0), (3.0, 2.0)]), None);
        // Hardly slower, and much better in y; hardly worse in y, and much faster.
        assert_eq!(less(&[(1.0, 5.0), (1.001, 2.0)]), Some((1.001, 2.0)));
        assert_eq!(less(&[(1.0, 5.0), (3.0, 4.999)]), Some((1.0, 5.0)));
        assert_eq!(
            best(&[(1.0, 5.0), (3.0, 5.001)], [true, false], ["g", "Wh"]),
            Some((3.0, 5.001))
        );
        assert_eq!(less(&[(0.0, 0.0)]), Some((0.0, 0.0)));
        let air = |apart| best(&[(1.0, 80.0 + apart), (3.0, 80.0)], [false; 2], ["min", "°C"]);
        assert_eq!((air(0.4), air(0.6)), (Some((1.0, 80.4)), None));
    }
}
