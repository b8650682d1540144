//! A swing too fast to be seen as a line: its mean and its reach.

use super::Series;

/// The values around one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct At {
    pub(super) x: f64,
    pub(super) low: f64,
    pub(super) mean: f64,
    pub(super) high: f64,
}

/// Pixels between two places.
const STEP_PX: f64 = 2.0;
/// With fewer points than this a band says less than the points themselves.
const LEAST_POINTS: usize = 20;

/// The band of a series on a plot `width_px` wide; `None` if it asks for none, or has no room or
/// too few points for one. Points must be in the order of x.
pub(super) fn of(series: &Series, width_px: f64) -> Option<Vec<At>> {
    let band = series.band.filter(|b| b.over.is_finite() && b.over > 0.0)?;
    let stretch = band.over;
    let points: Vec<_> = series.drawable_points().filter(|p| p.0 >= band.from).collect();
    let ((first, _), (last, _)) = (*points.first()?, *points.last()?);
    let sorted = points.is_sorted_by(|a, b| a.0 <= b.0);
    if points.len() < LEAST_POINTS || !sorted || last - first <= stretch {
        return None;
    }
    let steps = (width_px / STEP_PX).ceil().max(1.0);
    let places = (0..=steps as usize).map(|i| first + (last - first) * (i as f64 / steps));
    Some(places.filter_map(|x| around(&points, x, stretch)).collect())
}

/// Lowest, mean and highest within the stretch, which is shifted inwards at both ends.
fn around(points: &[(f64, f64)], x: f64, stretch: f64) -> Option<At> {
    let (first, last) = (points.first()?.0, points.last()?.0);
    let from = (x - 0.5 * stretch).max(first);
    let to = (x + 0.5 * stretch).min(last);
    let a = points.partition_point(|p| p.0 < from);
    let b = points.partition_point(|p| p.0 <= to);
    let seen = points.get(a..b).filter(|s| !s.is_empty())?;
    let low = seen.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let high = seen.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    // Each value counts once; in shares, so that the sum of very large ones does not overflow.
    let mean = seen.iter().map(|p| p.1 / seen.len() as f64).sum::<f64>().clamp(low, high);
    Some(At { x, low, mean, high })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::figure::Band;

    #[test]
    fn a_fast_swing_becomes_its_mean_and_reach() {
        let of_50 = Some(Band { over: 50.0, from: 100.0, mean: true });
        let points = (0..1000).map(|i| (f64::from(i), f64::from(i % 2) * 4.0 + 10.0)).collect();
        let series = Series { points, band: of_50, ..Series::default() };
        let band = of(&series, 500.0).unwrap();
        assert!(band.iter().all(|at| at.low == 10.0 && at.high == 14.0));
        assert!(band.iter().all(|at| (at.mean - 12.0).abs() < 0.1));
        assert_eq!((band[0].x, band[band.len() - 1].x), (100.0, 999.0));
    }

    #[test]
    fn without_room_there_is_no_band() {
        let points: Vec<_> = (0..30).map(|i| (f64::from(i), 1.0)).collect();
        let with = |over, from| {
            let band = Some(Band { over, from, mean: true });
            Series { points: points.clone(), band, ..Series::default() }
        };
        assert!(of(&with(5.0, 0.0), 100.0).is_some());
        for (over, from) in [(0.0, 0.0), (f64::NAN, 0.0), (100.0, 0.0), (5.0, 20.0)] {
            assert_eq!(of(&with(over, from), 100.0), None, "{over} {from}");
        }
    }
}
