//! Series drawn on top of each other: their sums on a common x grid.

use super::data::Series;

/// One layer: (x, lower edge, upper edge).
pub(super) type Layer = Vec<(f64, f64, f64)>;

/// The layers in the order of the series. Where a series has no value it adds nothing;
/// between its points it is interpolated (held, if it is a step series).
pub(super) fn layers(series: &[Series]) -> Vec<Layer> {
    let mut grid: Vec<f64> =
        series.iter().flat_map(|s| s.drawable_points().map(|(x, _)| x)).collect();
    grid.sort_by(f64::total_cmp);
    grid.dedup();
    let mut lower = vec![0.0; grid.len()];
    series
        .iter()
        .map(|one| {
            let heights = sampled(one, &grid);
            let layer: Layer = grid
                .iter()
                .zip(&lower)
                .zip(&heights)
                .map(|((&x, &low), &height)| (x, low, low + height))
                .collect();
            lower = layer.iter().map(|&(_, _, upper)| upper).collect();
            layer
        })
        .collect()
}

/// Values of a series on an ascending grid.
fn sampled(series: &Series, grid: &[f64]) -> Vec<f64> {
    let mut points: Vec<_> = series.drawable_points().collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut after = 0;
    grid.iter()
        .map(|&x| {
            while after < points.len() && points[after].0 <= x {
                after += 1;
            }
            let before = after.checked_sub(1).map(|i| points[i]);
            match (before, points.get(after)) {
                (Some((x0, y0)), _) if x0 == x => y0,
                (Some((_, y0)), Some(_)) if series.step => y0,
                (Some((x0, y0)), Some(&(x1, y1))) => y0 + (y1 - y0) * ((x - x0) / (x1 - x0)),
                _ => 0.0,
            }
        })
        .collect()
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
        assert_eq!(layers[0], [(0.0, 0.0, 1.0), (1.0, 0.0, 2.0), (2.0, 0.0, 3.0)]);
        assert_eq!(layers[1], [(0.0, 1.0, 1.0), (1.0, 2.0, 12.0), (2.0, 3.0, 23.0)]);
    }

    #[test]
    fn a_step_layer_holds_its_value() {
        let mut a = series(&[(0.0, 1.0), (2.0, 3.0)]);
        a.step = true;
        let b = series(&[(1.0, 0.0)]);
        assert_eq!(layers(&[a, b])[0][1], (1.0, 0.0, 1.0));
    }
}
