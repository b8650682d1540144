//! Two figures of merit of a sweep against each other.

use super::sweep::{COLOURS, first_upper, groups, missing, source};
use crate::report::figure::{Figure, Panel, Series, Symbol};
use crate::study::sweep::{Line, Table};

/// One side of a trade-off: which figure of merit, and whether more of it is better.
pub type Goal = (usize, bool);

/// Two figures of merit against each other, with the cases that no other beats in both.
///
/// # Errors
/// If no case has both.
pub fn sweep_tradeoff(
    table: &Table,
    (x, more_x): Goal,
    (y, more_y): Goal,
) -> Result<Figure, String> {
    let point = |r: &Line| Some((r.values[x]?, r.values[y]?));
    let mut all: Vec<(f64, f64)> = table.rows.iter().filter_map(point).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    if all.is_empty() {
        return Err("no case has a value of both".into());
    }
    let sign = |more: bool| if more { -1.0 } else { 1.0 };
    let (sx, sy) = (sign(more_x), sign(more_y));
    let mut turned: Vec<(f64, f64)> = all.iter().map(|p| (sx * p.0, sy * p.1)).collect();
    turned.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut front: Vec<(f64, f64)> =
        front(&turned).into_iter().map(|p| (sx * p.0, sy * p.1)).collect();
    front.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut series = Vec::new();
    for (k, (name, rows)) in groups(table, None).into_iter().enumerate() {
        let mut points: Vec<(f64, f64)> = rows.into_iter().filter_map(point).collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let own = COLOURS[k % COLOURS.len()];
        series.push(Series {
            name,
            points,
            colour: own,
            symbol: Some(Symbol::Dot),
            ..Series::default()
        });
    }
    series.push(Series {
        name: "front".into(),
        points: front.clone(),
        colour: COLOURS[series.len() % COLOURS.len()],
        step: true,
        ..Series::default()
    });
    let (mx, my) = (&table.merits[x], &table.merits[y]);
    let title = format!("{} against {}", first_upper(&my.label), mx.label);
    let without = table.rows.len() - all.len();
    let wanted = |more: bool| if more { "more" } else { "less" };
    let subtitle = format!(
        "{} of {} cases are beaten by no other; {} {} and {} {} is better{}",
        front.len(),
        all.len(),
        wanted(more_x),
        mx.unit,
        wanted(more_y),
        my.unit,
        missing(without)
    );
    Ok(Figure {
        alt_text: format!("{title}. {subtitle}."),
        title,
        subtitle,
        x_label: mx.label.clone(),
        x_unit: mx.unit.clone(),
        panels: vec![Panel {
            label: my.label.clone(),
            unit: my.unit.clone(),
            series,
            ..Panel::default()
        }],
        marks: Vec::new(),
        source_line: source(table.rows.len()),
    })
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
    use super::front;

    #[test]
    fn the_front_keeps_what_nothing_beats() {
        let points = [(1.0, 5.0), (2.0, 6.0), (3.0, 2.0), (3.0, 4.0), (4.0, 2.0)];
        assert_eq!(front(&points), [(1.0, 5.0), (3.0, 2.0)]);
    }
}
