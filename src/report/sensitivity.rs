//! What decides the results of a sweep, as text and as CSV.

use std::fmt::Write;

use super::text::{digits, fixed, left, right};
use crate::metric::Metric;
use crate::study::sensitivity::{Indices, Swing};
use crate::study::sweep::Design;
use crate::text::{Csv, csv_line, number};
use crate::units::significant;

/// Significant digits of shares in the table: more than their intervals are worth.
const SHARE_DIGITS: usize = 6;

/// Half width of an interval from which on more points are advised. Our choice.
const WIDE: f64 = 0.15;

/// Width of a cell.
const CELL: usize = 14;

/// The first line of the table of all results.
#[must_use]
pub fn csv_head(design: &Design) -> String {
    let columns = match design {
        Design::Indices { .. } => {
            ["first", "first_half", "total", "total_half", "points", "left_out"]
        }
        _ => ["lowest", "highest", "base", "at_lowest", "at_highest", "elasticity"],
    };
    csv_line(["scenario", "metric", "unit", "path"].into_iter().chain(columns))
}

/// Lines of one result: a path each.
#[must_use]
pub fn swings_csv(scenario: &str, metric: &Metric, result: f64, swings: &[Swing]) -> String {
    let mut out = Csv::new();
    for s in swings {
        let Metric { key, unit, .. } = metric;
        let [at_low, at_high] = s.results.map(number);
        let (result, elasticity) = (number(Some(result)), number(s.elasticity));
        let [low, high] = s.settings.each_ref().map(String::as_str);
        let before = [scenario, key, unit, &s.path, low, high];
        out.row(before.into_iter().chain([&*result, &at_low, &at_high, &elasticity]));
    }
    out.text()
}

/// A result and what moves it, for people.
#[must_use]
pub fn swings_page(scenario: &str, metric: &Metric, result: f64, swings: &[Swing]) -> String {
    let Metric { label, unit, key, .. } = metric;
    let mut out = format!("{label} ({key}) of {scenario}: {} {unit} as it is\n\n", digits(result));
    let wide = swings.iter().map(|s| s.path.chars().count()).max().unwrap_or(0).max(4) + 2;
    let head = ["from", "to", "result", "result", "elasticity"].map(|h| right(h, CELL)).join("");
    let _ = writeln!(out, "{}{head}", left("path", wide));
    for s in swings {
        let results = s.results.map(|v| v.map_or_else(|| "-".into(), digits));
        let cells = [
            s.settings[0].clone(),
            s.settings[1].clone(),
            results[0].clone(),
            results[1].clone(),
            s.elasticity.map_or_else(|| "-".into(), |e| format!("{e:.2}")),
        ];
        let cells: String = cells.iter().map(|c| right(c, CELL)).collect();
        let _ = writeln!(out, "{}{cells}", left(&s.path, wide));
    }
    if swings.iter().any(|s| s.results.iter().any(Option::is_none)) {
        out.push_str("\nresult -: not reached there, or the run ended before that was known\n");
    }
    out.push_str(
        "\nelasticity: per cent that the result grows for each per cent that the value grows, over \
         the whole of\nthe two settings; none for temperatures and words. One value at a time: what \
         two do together is not seen.\n",
    );
    out
}

/// Lines of one result: a path each.
#[must_use]
pub fn indices_csv(scenario: &str, metric: &Metric, paths: &[&str], indices: &Indices) -> String {
    let mut out = Csv::new();
    let digits = |share| significant(share, SHARE_DIGITS);
    for (path, index) in paths.iter().zip(&indices.axes) {
        let Metric { key, unit, .. } = metric;
        let (first, total) = (index.first, index.total);
        let shares = [first.value, first.half, total.value, total.half].map(digits);
        let counts = [indices.points.to_string(), indices.left_out.to_string()];
        let cells = shares.iter().chain(&counts).map(String::as_str);
        out.row([scenario, key, unit, path].into_iter().chain(cells));
    }
    out.text()
}

/// A result and the shares in its variance, for people.
#[must_use]
pub fn indices_page(scenario: &str, metric: &Metric, paths: &[&str], indices: &Indices) -> String {
    let Metric { label, unit, key, .. } = metric;
    let (mean, standard) = (digits(indices.mean), digits(indices.standard));
    let mut out = format!(
        "{label} ({key}) of {scenario}: mean {mean} {unit}, standard deviation {standard} {unit}, \
         {} points",
        indices.points
    );
    if indices.left_out > 0 {
        let _ = write!(
            out,
            "\n{} points are left out since one of their cases has no value: the shares hold for \
             the rest only",
            indices.left_out
        );
    }
    let wide = paths.iter().map(|p| p.chars().count()).max().unwrap_or(0).max(4) + 2;
    let _ = writeln!(
        out,
        "\n\n{}{}{}",
        left("path", wide),
        right("first-order index", 18),
        right("total index", 18)
    );
    for (path, index) in paths.iter().zip(&indices.axes) {
        let share = |i: crate::study::sensitivity::Interval| {
            let (value, half) = (fixed(100.0 * i.value, 1), fixed(100.0 * i.half, 1));
            right(&format!("{value} ± {half} %"), 18)
        };
        let _ = writeln!(out, "{}{}{}", left(path, wide), share(index.first), share(index.total));
    }
    let widest = indices.axes.iter().flat_map(|i| [i.first.half, i.total.half]).fold(0.0, f64::max);
    if widest > WIDE {
        out.push_str(
            "\nSome of these intervals are wide: as a rule four times the points make them about half as wide \
             (not where a few cases carry the variance).\n",
        );
    }
    out.push_str(
        "\nfirst-order index: share of the variance that would go if the value were known; total index: share \
         that\nwould stay if all but it were known. ±: 95 % interval, \
         which more points make narrower.\n",
    );
    out
}
