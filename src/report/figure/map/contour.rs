//! Lines of one level through values on a grid.

use crate::report::figure::Point;

/// Pieces of the line where the values pass `level`, in steps of the grid: x along a row, y along
/// the rows. Each square of the grid is cut into four triangles about its mean, so that no case is
/// ambiguous; squares with a missing corner are left out.
pub(super) fn pieces(values: &[Vec<f64>], level: f64) -> Vec<[Point; 2]> {
    let mut out = Vec::new();
    for (j, rows) in values.windows(2).enumerate() {
        let wide = rows[0].len().min(rows[1].len());
        for i in 0..wide.saturating_sub(1) {
            let corner =
                |di: usize, dj: usize| ((i + di) as f64, (j + dj) as f64, rows[dj][i + di]);
            let corners = [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)];
            if corners.iter().any(|c| !c.2.is_finite()) {
                continue;
            }
            let mean = corners.iter().map(|c| c.2 / 4.0).sum::<f64>();
            let centre = (i as f64 + 0.5, j as f64 + 0.5, mean);
            for k in 0..4 {
                out.extend(through(&[corners[k], corners[(k + 1) % 4], centre], level));
            }
        }
    }
    out
}

/// Where the level passes through a triangle.
fn through(triangle: &[(f64, f64, f64); 3], level: f64) -> Option<[Point; 2]> {
    let mut ends = (0..3).filter_map(|k| {
        let (a, b) = (triangle[k], triangle[(k + 1) % 3]);
        let share = (level - a.2) / (b.2 - a.2);
        let passes = (a.2 < level) != (b.2 < level);
        passes.then_some((a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1)))
    });
    Some([ends.next()?, ends.next()?])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plane_is_cut_along_a_straight_line() {
        let values: Vec<Vec<f64>> =
            (0..4).map(|j| (0..5).map(|i| f64::from(i) + 2.0 * f64::from(j)).collect()).collect();
        let found = pieces(&values, 3.3);
        assert!(found.len() > 6);
        for point in found.iter().flatten() {
            assert!((point.0 + 2.0 * point.1 - 3.3).abs() < 1e-12, "{point:?}");
        }
    }

    #[test]
    fn holes_and_levels_beyond_the_values_give_nothing() {
        assert!(pieces(&[vec![0.0, 1.0], vec![f64::NAN, 1.0]], 0.5).is_empty());
        assert!(pieces(&[vec![0.0, 1.0], vec![0.0, 1.0]], 2.0).is_empty());
        assert!(pieces(&[], 2.0).is_empty());
    }
}
