//! Where everything of a map stands, and in which colour.

use super::colours::{parted, ramp};
use super::data::Map;
use crate::report::figure::axis::Axis;
use crate::report::figure::{Page, Point, Rect, Rgb};

/// Line widths \[reference pixels\].
pub(super) const CONTOUR: f64 = 1.6;
pub(super) const LIMIT: f64 = 5.2;

/// A map, measured.
pub(super) struct Layout<'a> {
    pub(super) map: &'a Map,
    pub(super) page: Page,
    pub(super) plot: Rect,
    pub(super) bar: Rect,
    /// From the lowest to the highest colour; its ticks are the levels of the contours.
    pub(super) scale: Axis,
}

impl Layout<'_> {
    /// Size of a cell \[px\].
    pub(super) fn step(&self) -> (f64, f64) {
        let (columns, rows) = (self.map.x.names.len() as f64, self.map.y.names.len() as f64);
        (self.plot.width() / columns, self.plot.height() / rows)
    }

    /// Pixel of a place in steps, counted from the middle of the first cell.
    pub(super) fn px(&self, (i, j): Point) -> Point {
        let (dx, dy) = self.step();
        (self.plot.left + (i + 0.5) * dx, self.plot.bottom - (j + 0.5) * dy)
    }

    /// The colour at a share of the way from the lowest to the highest value: for pairs that of the
    /// paper halfway.
    pub(super) fn colour_at(&self, share: f64) -> Rgb {
        if self.map.pairs { parted(&self.page.palette, share) } else { ramp(share) }
    }

    /// The colour of a value.
    pub(super) fn colour(&self, v: f64) -> Rgb {
        self.colour_at(self.scale.share(v))
    }

    /// Whether a cell breaks any limit.
    pub(super) fn broken(&self, column: usize, row: usize) -> bool {
        self.map.limits.iter().any(|l| l.breaks(column, row))
    }
}
