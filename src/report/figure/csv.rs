//! A figure's numbers as CSV, to be saved beside the picture.

use super::{Figure, Panel, Series};
use crate::text::{Csv, joined, slug};
use std::collections::HashMap;

impl Figure {
    /// The numbers behind the picture.
    ///
    /// When all series share one x grid there is one row per x and a column
    /// `panel.series_unit` per series (`panel_unit` of a series without a name); otherwise one row
    /// per point with the columns `panel,series,unit,<x>,value` (and `low,high` where points have bars). A missing value is an
    /// empty cell. Lines end in LF.
    pub(super) fn table(&self) -> String {
        let columns = self.columns();
        let bars = columns.iter().any(|c| !c.series.reach.is_empty());
        match shared_grid(&columns).filter(|_| !bars) {
            Some(grid) => self.wide(&columns, &grid),
            None => self.long(&columns, bars),
        }
    }

    fn columns(&self) -> Vec<Column<'_>> {
        self.panels.iter().flat_map(of_panel).collect()
    }

    fn x_header(&self) -> String {
        let name = filled([slug(&self.x_label), unit_slug(&self.x_unit)], "_");
        if name.is_empty() { "x".into() } else { name }
    }

    fn wide(&self, columns: &[Column<'_>], grid: &[f64]) -> String {
        let mut heads = vec![self.x_header()];
        let mut seen: HashMap<String, usize> = HashMap::new();
        for column in columns {
            let name = column.header();
            let count = seen.entry(name.clone()).and_modify(|n| *n += 1).or_insert(1);
            heads.push(if *count == 1 { name } else { format!("{name}_{count}") });
        }
        let mut out = Csv::with_head(heads);
        for (row, &x) in grid.iter().enumerate() {
            let values = columns.iter().map(|c| c.series.points.get(row).map_or(f64::NAN, |p| p.1));
            out.row(std::iter::once(x).chain(values).map(number));
        }
        out.text()
    }

    fn long(&self, columns: &[Column<'_>], bars: bool) -> String {
        let x_header = self.x_header();
        let ends: &[&str] = if bars { &["low", "high"] } else { &[] };
        let heads = ["panel", "series", "unit", &*x_header, "value"];
        let mut out = Csv::with_head(heads.iter().chain(ends));
        for column in columns {
            let names = [column.label, &column.series.name, column.unit];
            for (i, &(x, y)) in column.series.points.iter().enumerate() {
                let mut numbers = vec![number(x), number(y)];
                if bars {
                    let (low, high) = *column.series.reach.get(i).unwrap_or(&(f64::NAN, f64::NAN));
                    numbers.extend([number(low), number(high)]);
                }
                out.row(names.into_iter().chain(numbers.iter().map(String::as_str)));
            }
        }
        out.text()
    }
}

/// One series together with the axis it belongs to.
struct Column<'a> {
    label: &'a str,
    unit: &'a str,
    series: &'a Series,
}

/// The series of a panel, each with its axis.
fn of_panel(panel: &Panel) -> impl Iterator<Item = Column<'_>> {
    panel.all_series().map(|(series, on_right)| match panel.right.as_ref().filter(|_| on_right) {
        Some(axis) => Column { label: &axis.label, unit: &axis.unit, series },
        None => Column { label: &panel.label, unit: &panel.unit, series },
    })
}

impl Column<'_> {
    fn header(&self) -> String {
        with_unit(filled([slug(self.label), slug(&self.series.name)], "."), self.unit)
    }
}

/// The parts that say something, joined.
fn filled(parts: [String; 2], by: &str) -> String {
    parts.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(by)
}

fn with_unit(name: String, unit: &str) -> String {
    match unit_slug(unit) {
        unit if unit.is_empty() => name,
        unit => format!("{name}_{unit}"),
    }
}

/// The head of a column for a quantity in a unit: `heater_power_W`. What has no words of its own are the
/// labels of a sweep.
pub(super) fn head(label: &str, unit: &str) -> String {
    let name = slug(label);
    with_unit(if name.is_empty() { "label".into() } else { name }, unit)
}

/// The x values, if every series that has points has the same ones.
fn shared_grid(columns: &[Column<'_>]) -> Option<Vec<f64>> {
    let mut filled = columns.iter().map(|c| &c.series.points).filter(|p| !p.is_empty());
    let Some(first) = filled.next() else {
        return Some(Vec::new());
    };
    let same = |other: &Vec<(f64, f64)>| {
        other.len() == first.len()
            && first.iter().zip(other).all(|(a, b)| a.0.to_bits() == b.0.to_bits())
    };
    filled.all(same).then(|| first.iter().map(|&(x, _)| x).collect())
}

/// Shortest digits that read back as the same number; empty when missing.
fn number(v: f64) -> String {
    match v {
        v if !v.is_finite() => String::new(),
        0.0 => "0".into(), // never "-0"
        // Plain digits where a person can still read them.
        v if (1e-5..1e15).contains(&v.abs()) => v.to_string(),
        v => format!("{v:e}"),
    }
}

/// A unit in letters and digits: `°C` is `C`, `%` is `pct`, `g/m³` is `g_m3`.
fn unit_slug(unit: &str) -> String {
    let plain = unit.replace('°', "").replace('%', "pct").replace(['µ', 'μ'], "u");
    joined(&plain.replace('²', "2").replace('³', "3"))
}
