//! From data points to the few pixel points that look the same.

use super::geometry::{apart, between};
use super::{Dash, Point, Series, drawable};

/// How far a left-out point may lie off the line drawn, in pixels; not visible.
const OFF_PX: f64 = 0.12;

/// The pixel points of a series, one run between two gaps each.
pub(super) fn runs(series: &Series, to_px: impl Fn((f64, f64)) -> Point) -> Vec<Vec<Point>> {
    series
        .points
        .split(|&(x, y)| !(drawable(x) && drawable(y)))
        .filter(|run| !run.is_empty())
        .map(|run| {
            let points = run.iter().map(|&point| to_px(point));
            let path: Vec<_> =
                if series.step { stairs(points).collect() } else { points.collect() };
            thinned(&path)
        })
        .collect()
}

/// Holds each y until the next x.
fn stairs(points: impl Iterator<Item = Point>) -> impl Iterator<Item = Point> {
    let mut held: Option<f64> = None;
    points.flat_map(move |(x, y)| {
        let corner = held.replace(y).map(|before| (x, before));
        corner.into_iter().chain([(x, y)])
    })
}

/// Leaves out points nobody could see: first within each pixel column, then on straight lines.
pub(super) fn thinned(path: &[Point]) -> Vec<Point> {
    straightened(&by_column(path))
}

/// Keeps the first, lowest, highest and last point of each pixel column, in their order.
fn by_column(path: &[Point]) -> Vec<Point> {
    let mut out = Vec::new();
    for column in path.chunk_by(|a, b| a.0.floor() == b.0.floor()) {
        let last = column.len() - 1;
        let by_y = |&a: &usize, &b: &usize| column[a].1.total_cmp(&column[b].1);
        let lowest = (0..=last).min_by(by_y).unwrap_or(0);
        let highest = (0..=last).max_by(by_y).unwrap_or(0);
        let mut keep = vec![0, lowest, highest, last];
        keep.sort_unstable();
        keep.dedup();
        out.extend(keep.into_iter().map(|index| column[index]));
    }
    out
}

/// Leaves out points that lie on the line between the ones kept, within [`OFF_PX`].
fn straightened(path: &[Point]) -> Vec<Point> {
    let Some((&start, rest)) = path.split_first() else {
        return Vec::new();
    };
    let mut out = vec![start];
    let mut anchor = start;
    let mut last = start;
    // Slopes from the anchor that pass all points since it closely enough.
    let (mut least, mut most) = (f64::NEG_INFINITY, f64::INFINITY);
    for &point in rest {
        let slope_to = |from: Point, off: f64| (point.1 + off - from.1) / (point.0 - from.0);
        let seen = slope_to(anchor, 0.0);
        if !(point.0 > last.0 && last.0 >= anchor.0 && (least..=most).contains(&seen)) {
            if last != anchor {
                out.push(last);
            }
            anchor = last;
            (least, most) = (f64::NEG_INFINITY, f64::INFINITY);
        }
        if point.0 > anchor.0 {
            least = least.max(slope_to(anchor, -OFF_PX));
            most = most.min(slope_to(anchor, OFF_PX));
        } else {
            // Upright or backwards: no slope to follow, so the next point starts afresh.
            (least, most) = (f64::INFINITY, f64::NEG_INFINITY);
        }
        last = point;
    }
    if last != anchor {
        out.push(last);
    }
    out
}

/// Lengths of strokes and gaps in turn, in line widths.
fn pattern(dash: Dash) -> &'static [f64] {
    match dash {
        Dash::Solid => &[],
        Dash::Dash => &[5.0, 2.6],
        Dash::Dot => &[1.2, 2.0],
        Dash::DashDot => &[5.0, 2.2, 1.2, 2.2],
    }
}

/// Cuts a path into the strokes of its dash style.
pub(super) fn dashed(path: &[Point], dash: Dash, width_px: f64) -> Vec<Vec<Point>> {
    let lengths: Vec<f64> = pattern(dash).iter().map(|l| l * width_px).collect();
    if lengths.is_empty() || path.len() < 2 {
        return vec![path.to_vec()];
    }
    // Along itself, or along x when it is so dense that dashes would only look like noise.
    let dense = is_dense(path);
    let along = |a: Point, b: Point| if dense { (b.0 - a.0).abs() } else { apart(a, b) };
    let mut out = Vec::new();
    let mut stroke = vec![path[0]];
    let (mut piece, mut left) = (0, lengths[0]);
    for pair in path.windows(2) {
        let (mut from, to) = (pair[0], pair[1]);
        let mut rest = along(from, to);
        while rest > left {
            from = between(from, to, left / rest);
            rest -= left;
            if piece % 2 == 0 {
                stroke.push(from);
                out.push(std::mem::take(&mut stroke));
            } else {
                stroke = vec![from];
            }
            piece = (piece + 1) % lengths.len();
            left = lengths[piece];
        }
        left -= rest;
        if piece % 2 == 0 {
            stroke.push(to);
        }
    }
    if stroke.len() > 1 {
        out.push(stroke);
    }
    out
}

/// Whether a path goes up and down so often that its strokes touch each other.
pub(super) fn is_dense(path: &[Point]) -> bool {
    // Found by eye: slopes of a saw tooth that still read as lines stay below this.
    const DENSE: f64 = 6.0;
    let (mut wide, mut high) = (0.0, 0.0);
    for pair in path.windows(2) {
        wide += (pair[1].0 - pair[0].0).abs();
        high += (pair[1].1 - pair[0].1).abs();
    }
    high > DENSE * wide && path.len() > 100
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_points_shrink_but_keep_their_extremes() {
        let path: Vec<Point> = (0..100_000)
            .map(|i| {
                let spike = if i == 54_321 { 500.0 } else { 0.0 };
                (f64::from(i) * 0.01, f64::from(i % 97) + spike)
            })
            .collect();
        let thin = thinned(&path);
        assert!(thin.len() <= 4 * 1000, "{}", thin.len());
        let top = |p: &[Point]| p.iter().map(|q| q.1).fold(f64::MIN, f64::max);
        assert_eq!(top(&thin), top(&path));
        assert_eq!(thin.first(), path.first());
        assert_eq!(thin.last(), path.last());
        assert!(thin.windows(2).all(|p| p[0].0 <= p[1].0));
    }

    #[test]
    fn a_straight_line_needs_two_points_and_a_curve_stays_close() {
        let line: Vec<Point> = (0..500).map(|i| (f64::from(i), 3.0 + 0.2 * f64::from(i))).collect();
        assert_eq!(thinned(&line).len(), 2);
        let curve: Vec<Point> =
            (0..1500).map(|i| (f64::from(i), 200.0 * (f64::from(i) / 150.0).sin())).collect();
        let thin = thinned(&curve);
        assert!(thin.len() < curve.len() / 5, "{}", thin.len());
        for &(x, y) in &curve {
            let k = thin.partition_point(|p| p.0 < x).max(1);
            let (a, b) = (thin[k - 1], thin[k]);
            let drawn = a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0);
            assert!((drawn - y).abs() <= OFF_PX + 1e-9, "at {x}: {drawn} {y}");
        }
    }

    #[test]
    fn gaps_split_and_steps_hold() {
        let series = Series {
            points: vec![(0.0, 1.0), (10.0, 2.0), (11.0, f64::NAN), (20.0, 5.0)],
            step: true,
            ..Series::default()
        };
        let runs = runs(&series, |point| point);
        assert_eq!(runs, [vec![(0.0, 1.0), (10.0, 1.0), (10.0, 2.0)], vec![(20.0, 5.0)]]);
    }

    #[test]
    fn dashes_have_the_length_of_their_pattern() {
        let strokes = dashed(&[(0.0, 0.0), (100.0, 0.0)], Dash::Dash, 2.0);
        assert_eq!(strokes[0], [(0.0, 0.0), (10.0, 0.0)]);
        assert!((strokes[1][0].0 - 15.2).abs() < 1e-9);
        assert_eq!(dashed(&[(0.0, 0.0)], Dash::Dot, 2.0), [[(0.0, 0.0)]]);
    }
}
