//! Places and boxes of a picture.

/// (x, y) in pixels, y downwards.
pub type Point = (f64, f64);

/// A box in pixels, y downwards.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rect {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Rect {
    /// A box by its middle and half its width and height.
    pub(super) fn around((x, y): Point, (wide, high): (f64, f64)) -> Self {
        Rect { left: x - wide, top: y - high, right: x + wide, bottom: y + high }
    }

    /// Whether a point is in it.
    pub(super) fn holds(&self, (x, y): Point) -> bool {
        x > self.left && x < self.right && y > self.top && y < self.bottom
    }

    /// Width in pixels.
    pub(super) fn width(&self) -> f64 {
        self.right - self.left
    }

    /// Height in pixels.
    pub(super) fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// Its middle.
    pub(super) fn centre(&self) -> Point {
        ((self.left + self.right) / 2.0, (self.top + self.bottom) / 2.0)
    }

    /// Its corners from the top left one on, clockwise.
    pub(super) fn corners(&self) -> [Point; 4] {
        let Rect { left, top, right, bottom } = *self;
        [(left, top), (right, top), (right, bottom), (left, bottom)]
    }

    /// Whether two boxes have more than `slack` in common.
    pub(super) fn overlaps(&self, other: &Rect, slack: f64) -> bool {
        self.left + slack < other.right
            && other.left + slack < self.right
            && self.top + slack < other.bottom
            && other.top + slack < self.bottom
    }
}

/// Distance of two points.
pub(super) fn apart(a: Point, b: Point) -> f64 {
    (b.0 - a.0).hypot(b.1 - a.1)
}

/// The point at a share of the way from one point to another.
pub(super) fn between(a: Point, b: Point, share: f64) -> Point {
    (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share)
}
