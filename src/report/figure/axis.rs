//! The range an axis covers and the way from a value to a place along it.

use super::ticks::{self, Ticks};

/// Free room beyond the data, as a share of its span, so that lines do not touch the frame.
const ROOM: f64 = 0.06;
/// A span below this share of the values is round-off of a constant, not a course.
const FLAT: f64 = 1e-9;
/// Below this all numbers count as zero: subnormals have no digits to put on an axis.
const TINY: f64 = 1e-290;

/// An axis that is ready to draw.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Axis {
    pub(super) lo: f64,
    pub(super) hi: f64,
    pub(super) ticks: Ticks,
}

/// Smallest distance of two neighbours of an ascending row, 1 at most.
fn closest(row: &[f64]) -> f64 {
    row.windows(2).map(|pair| pair[1] - pair[0]).fold(1.0, f64::min)
}

/// Smallest and largest of some values.
pub(super) fn extent(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    values.fold(None, |range, v| match range {
        None => Some((v, v)),
        Some((lo, hi)) => Some((f64::min(lo, v), f64::max(hi, v))),
    })
}

impl Axis {
    /// A y axis over the data, at most `most` ticks.
    pub(super) fn upright(data: Option<(f64, f64)>, zero_based: bool, most: usize) -> Self {
        let (lo, hi) = upright_range(data, zero_based);
        Self { lo, hi, ticks: ticks::nice(lo, hi, most) }
    }

    /// An axis that ends where these values do, apart even where there is one value or none.
    pub(super) fn over(data: Option<(f64, f64)>, most: usize) -> Self {
        let (lo, hi) = match data {
            Some((lo, hi)) if hi > lo => (lo, hi),
            Some((v, _)) => (v - 0.5 * v.abs().max(1.0), v + 0.5 * v.abs().max(1.0)),
            None => (0.0, 1.0),
        };
        Self { lo, hi, ticks: ticks::nice(lo, hi, most) }
    }

    /// The x axis: exactly as long as the data, ticks in human steps.
    pub(super) fn along(data: Option<(f64, f64)>, unit: &str, most: usize) -> Self {
        let (lo, hi) = data
            .map_or((0.0, 1.0), |(lo, hi)| if is_flat(lo, hi) { widened(lo) } else { (lo, hi) });
        Self { lo, hi, ticks: ticks::along(lo, hi, unit, most) }
    }

    /// The x axis over numbers of which equal ratios are equally far apart; an even one where not
    /// all are above zero.
    pub(super) fn along_ratios(data: Option<(f64, f64)>, unit: &str, most: usize) -> Self {
        let even = Self::along(data, unit, most);
        if even.lo <= 0.0 || data.is_none() {
            return even;
        }
        Self { ticks: ticks::ratios(even.lo, even.hi, most), ..even }
    }

    /// Place of a value: 0 at the low end, 1 at the high end.
    pub(super) fn share(&self, v: f64) -> f64 {
        if self.ticks.log {
            return (v / self.lo).ln() / (self.hi / self.lo).ln();
        }
        (v - self.lo) / (self.hi - self.lo)
    }

    /// Distance of the two closest ticks, as a share of the axis; the whole of it for one.
    pub(super) fn closest(&self) -> f64 {
        closest(&self.ticks.at.iter().map(|v| self.share(*v)).collect::<Vec<_>>())
    }

    /// Places of the minor grid, none where lines would be closer than `least` of the axis.
    pub(super) fn minor(&self, least: f64) -> Vec<f64> {
        let minor = self.ticks.minor(self.lo, self.hi);
        let mut all: Vec<f64> =
            minor.iter().chain(&self.ticks.at).map(|v| self.share(*v)).collect();
        all.sort_by(f64::total_cmp);
        if closest(&all) < least { Vec::new() } else { minor }
    }
}

fn upright_range(data: Option<(f64, f64)>, zero_based: bool) -> (f64, f64) {
    let Some((mut lo, mut hi)) = data else {
        return (0.0, 1.0);
    };
    if zero_based {
        (lo, hi) = (lo.min(0.0), hi.max(0.0));
    }
    if is_flat(lo, hi) {
        return if zero_based { (0.0, 1.0) } else { widened(lo) };
    }
    let room = ROOM * (hi - lo);
    (
        if zero_based && lo == 0.0 { lo } else { lo - room },
        if zero_based && hi == 0.0 { hi } else { hi + room },
    )
}

fn is_flat(lo: f64, hi: f64) -> bool {
    hi - lo <= (FLAT * lo.abs().max(hi.abs())).max(TINY)
}

/// A range around one value.
fn widened(v: f64) -> (f64, f64) {
    let half = if v.abs() <= TINY { 1.0 } else { 0.1 * v.abs() };
    (v - half, v + half)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_range_holds_the_data() {
        let cases = [
            (20.0, 50.0),
            (0.0, 0.0),
            (50.0, 50.0),
            (-1e300, 1e300),
            (1e-300, 3e-300),
            (-5.0, -4.0),
            (50.0, 50.0 + 1e-12),
        ];
        for (lo, hi) in cases {
            for zero_based in [false, true] {
                let axis = Axis::upright(Some((lo, hi)), zero_based, 5);
                let (a, b) = (axis.share(lo), axis.share(hi));
                assert!((0.0..=1.0).contains(&a) && (0.0..=1.0).contains(&b), "{lo} {hi}");
                assert!(axis.ticks.at.len() >= 2, "{axis:?}");
                if zero_based {
                    assert!(axis.lo <= 0.0 && axis.hi >= 0.0);
                }
            }
        }
    }

    #[test]
    fn equal_ratios_are_equally_far_apart() {
        let axis = Axis::along_ratios(Some((1.0, 100.0)), "mm", 7);
        for (v, share) in [(1.0, 0.0), (10.0, 0.5), (100.0, 1.0)] {
            assert!((axis.share(v) - share).abs() < 1e-12, "{v}");
        }
        // 1, 10 and 100 with 2 and 5 between them: the closest pairs are 1:2 and 5:10.
        assert!((axis.closest() - 2_f64.log10() / 2.0).abs() < 1e-12, "{axis:?}");
        assert_eq!(axis.minor(0.02).len(), 12);
        assert!(axis.minor(0.03).is_empty());
        assert!(!Axis::along_ratios(Some((0.0, 9.0)), "mm", 6).ticks.log);
        assert!(!Axis::along_ratios(None, "mm", 6).ticks.log);
    }

    #[test]
    fn a_zero_based_axis_starts_at_zero_exactly() {
        assert_eq!(Axis::upright(Some((3.0, 10.0)), true, 5).lo, 0.0);
        assert_eq!(Axis::upright(None, false, 5).ticks.at.len(), 5);
    }
}
