//! Series drawn on top of each other: their sums on a common x grid. What is above zero is stacked
//! upwards from zero, what is below downwards, so that neither hides the other.

use super::Series;

/// A place of an area: x, and its two edges there.
pub(super) type Edges = (f64, f64, f64);

/// One half of a layer, with its inner and outer edge as seen from zero.
pub(super) type Half = Vec<Edges>;

/// The layer of one series.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Layer {
    /// What is positive.
    above: Half,
    /// What is negative.
    below: Half,
}

impl Layer {
    /// The edges at the end: of the half that has any height there.
    pub(super) fn end(&self) -> Option<&Edges> {
        let below = self.below.last().filter(|at| at.1 != at.2);
        below.or(self.above.last())
    }

    /// All edges.
    pub(super) fn edges(&self) -> impl Iterator<Item = f64> + '_ {
        self.above.iter().chain(&self.below).flat_map(|&(_, a, b)| [a, b])
    }

    /// The halves that have any height.
    pub(super) fn filled(&self) -> impl Iterator<Item = &Half> {
        let high = |at: &Edges| (at.2 - at.1).abs() > THIN * at.1.abs();
        [&self.above, &self.below].into_iter().filter(move |half| half.iter().any(high))
    }
}

/// Part of what it stands on below which a layer is round-off, and its edge would only hide the
/// edge below.
const THIN: f64 = 1e-6;

/// The layers in the order of the series. Where a series has no value it adds nothing;
/// between its points it is interpolated (held, if it is a step series).
pub(super) fn layers(series: &[Series]) -> Vec<Layer> {
    let mut grid: Vec<f64> =
        series.iter().flat_map(|s| s.drawable_points().map(|(x, _)| x)).collect();
    grid.extend(series.iter().flat_map(crossings));
    grid.sort_by(f64::total_cmp);
    grid.dedup();
    let [mut up, mut down] = [vec![0.0; grid.len()], vec![0.0; grid.len()]];
    let layer = |one: &Series| {
        let heights = sampled(one, &grid);
        let above = half(&grid, &mut up, heights.iter().map(|h| h.max(0.0)));
        let below = half(&grid, &mut down, heights.iter().map(|h| h.min(0.0)));
        Layer { above, below }
    };
    series.iter().map(layer).collect()
}

/// Puts heights on an edge, and moves the edge there.
fn half(grid: &[f64], edge: &mut [f64], heights: impl Iterator<Item = f64>) -> Half {
    let cells = grid.iter().zip(edge).zip(heights).map(|((&x, edge), height)| {
        let inner = *edge;
        *edge += height;
        (x, inner, *edge)
    });
    cells.collect()
}

/// Where a series passes through zero between two points: without them a layer would slant from
/// one side of zero to the other.
fn crossings(series: &Series) -> Vec<f64> {
    let points: Vec<_> = series.drawable_points().collect();
    let pairs = points.windows(2).filter(|p| p[0].1.signum() != p[1].1.signum());
    let cross = pairs.map(|p| {
        let ((x0, y0), (x1, y1)) = (p[0], p[1]);
        let share = y0.abs() / (y0.abs() + y1.abs());
        if series.step || !share.is_finite() { x1 } else { x0 + (x1 - x0) * share }
    });
    cross.collect()
}

/// Values of a series on an ascending grid.
fn sampled(series: &Series, grid: &[f64]) -> Vec<f64> {
    let mut points: Vec<_> = series.drawable_points().collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let value = |&x: &f64| {
        let after = points.partition_point(|p| p.0 <= x);
        let before = after.checked_sub(1).map(|i| points[i]);
        match (before, points.get(after)) {
            (Some((x0, y0)), _) if x0 == x => y0,
            (Some((_, y0)), Some(_)) if series.step => y0,
            (Some((x0, y0)), Some(&(x1, y1))) => y0 + (y1 - y0) * ((x - x0) / (x1 - x0)),
            _ => 0.0,
        }
    };
    grid.iter().map(value).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn series(points: &[(f64, f64)]) -> Series {
        Series { points: points.to_vec(), ..Series::default() }
    }

    #[test]
    fn layers_add_up_on_the_union_of_both_grids() {
        let a = series(&[(0.0, 1.0), (2.0, 3.0)]);
        let b = series(&[(1.0, 10.0), (2.0, 20.0)]);
        let layers = layers(&[a, b]);
        assert_eq!(layers[0].above, [(0.0, 0.0, 1.0), (1.0, 0.0, 2.0), (2.0, 0.0, 3.0)]);
        assert_eq!(layers[1].above, [(0.0, 1.0, 1.0), (1.0, 2.0, 12.0), (2.0, 3.0, 23.0)]);
        assert!(layers.iter().all(|layer| layer.filled().eq([&layer.above])));
    }

    #[test]
    fn what_is_below_zero_is_stacked_downwards() {
        let ends = [(0.0, 2.0), (4.0, -2.0)];
        let layers = layers(&[series(&ends), series(&[(0.0, 5.0), (4.0, 5.0)]), series(&ends)]);
        assert_eq!(layers[0].above, [(0.0, 0.0, 2.0), (2.0, 0.0, 0.0), (4.0, 0.0, 0.0)]);
        assert_eq!(layers[0].below, [(0.0, 0.0, 0.0), (2.0, 0.0, 0.0), (4.0, 0.0, -2.0)]);
        assert_eq!(layers[1].above, [(0.0, 2.0, 7.0), (2.0, 0.0, 5.0), (4.0, 0.0, 5.0)]);
        assert_eq!(layers[2].end(), Some(&(4.0, -2.0, -4.0)));
        assert_eq!(layers[1].end(), Some(&(4.0, 0.0, 5.0)));
    }

    #[test]
    fn a_step_layer_holds_its_value() {
        let mut a = series(&[(0.0, 1.0), (2.0, 3.0)]);
        a.step = true;
        let b = series(&[(1.0, 0.0)]);
        assert_eq!(layers(&[a, b])[0].above[1], (1.0, 0.0, 1.0));
    }
}
