//! A picture as a list of shapes in pixels, before any drawing library sees it.
//!
//! Both outputs paint this list, and the tests look at it to see that no words collide.

use super::font::{self, Face};
use super::palette::Rgb;

/// (x, y) in pixels, y downwards.
pub(super) type Point = (f64, f64);

/// A box in pixels, y downwards.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Rect {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Rect {
    /// Height in pixels.
    pub(super) fn height(&self) -> f64 {
        self.bottom - self.top
    }
}

/// Which end of a text its x belongs to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Align {
    Left,
    Centre,
    Right,
}

/// One line of text.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Text {
    pub(super) x: f64,
    pub(super) baseline: f64,
    pub(super) face: Face,
    pub(super) align: Align,
    pub(super) colour: Rgb,
    pub(super) text: String,
}

impl Text {
    /// The box the letters may fill.
    pub(super) fn bounds(&self) -> Rect {
        let width = self.face.width_px(&self.text);
        let left = match self.align {
            Align::Left => self.x,
            Align::Centre => self.x - width / 2.0,
            Align::Right => self.x - width,
        };
        Rect {
            left,
            top: self.baseline - font::ABOVE_EM * self.face.em_px,
            right: left + width,
            bottom: self.baseline + font::BELOW_EM * self.face.em_px,
        }
    }
}

/// One thing to paint.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Shape {
    /// A line through points.
    Stroke { points: Vec<Point>, width_px: f64, colour: Rgb },
    /// A filled outline.
    Area { outline: Vec<Point>, colour: Rgb, alpha: f64 },
    /// A filled circle.
    Dot { centre: Point, radius_px: f64, colour: Rgb },
    /// Words.
    Text(Text),
}

/// All shapes of a picture, in painting order.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Scene {
    /// Width and height in pixels.
    pub(super) size_px: (u32, u32),
    /// `None` for a transparent picture.
    pub(super) background: Option<Rgb>,
    pub(super) shapes: Vec<Shape>,
}

impl Scene {
    /// Adds an upright or level line of whole width on whole pixels, so that all lines of a
    /// grid look alike.
    pub(super) fn line(&mut self, from: Point, to: Point, width_px: f64, colour: Rgb) {
        let width_px = width_px.round().max(1.0);
        let half = if width_px % 2.0 == 1.0 { 0.5 } else { 0.0 };
        let snap = |v: f64| (v - half).round() + half;
        let points = if from.0 == to.0 {
            vec![(snap(from.0), from.1), (snap(to.0), to.1)]
        } else {
            vec![(from.0, snap(from.1)), (to.0, snap(to.1))]
        };
        self.shapes.push(Shape::Stroke { points, width_px, colour });
    }

    /// Adds words.
    pub(super) fn text(&mut self, text: Text) {
        self.shapes.push(Shape::Text(text));
    }
}
