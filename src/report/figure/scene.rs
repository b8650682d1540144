//! A picture as shapes in pixels, before any format is chosen. Both formats paint this list, and
//! tests check on it that no words collide.

use super::curve::dashed;
use super::font::{ABOVE_EM, BELOW_EM, HALF_DIGIT_EM};
use super::{Dash, Face, Point, Rect, Rgb};

/// Which end of a text its x belongs to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Align {
    Left,
    Centre,
    Right,
}

/// How words look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Letters {
    pub(super) face: Face,
    pub(super) align: Align,
    pub(super) colour: Rgb,
}

impl Face {
    /// Words that begin at their x.
    pub(super) fn left(self, colour: Rgb) -> Letters {
        Letters { face: self, align: Align::Left, colour }
    }

    /// Words in the middle of which is their x.
    pub(super) fn centre(self, colour: Rgb) -> Letters {
        Letters { face: self, align: Align::Centre, colour }
    }

    /// Words that end at their x.
    pub(super) fn right(self, colour: Rgb) -> Letters {
        Letters { face: self, align: Align::Right, colour }
    }
}

impl Letters {
    /// One line by its upper edge.
    pub(super) fn row(self, words: &str, (x, top): Point) -> Text {
        self.on_baseline(words, (x, top + ABOVE_EM * self.face.em_px))
    }

    /// One line by its baseline.
    pub(super) fn on_baseline(self, words: &str, (x, baseline): Point) -> Text {
        Text { x, baseline, letters: self, text: words.to_owned() }
    }
}

/// One line of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    pub(super) x: f64,
    pub(super) baseline: f64,
    pub(super) letters: Letters,
    pub(super) text: String,
}

impl Text {
    /// The box the letters may fill.
    pub(super) fn bounds(&self) -> Rect {
        let face = self.letters.face;
        let width = face.width_px(&self.text);
        let left = match self.letters.align {
            Align::Left => self.x,
            Align::Centre => self.x - width / 2.0,
            Align::Right => self.x - width,
        };
        Rect {
            left,
            top: self.baseline - ABOVE_EM * face.em_px,
            right: left + width,
            bottom: self.baseline + BELOW_EM * face.em_px,
        }
    }
}

/// One thing to paint.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
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
pub struct Scene {
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
        self.stroke(points, width_px, colour);
    }

    /// Adds a line through points.
    pub(super) fn stroke(&mut self, points: Vec<Point>, width_px: f64, colour: Rgb) {
        self.shapes.push(Shape::Stroke { points, width_px, colour });
    }

    /// Adds the strokes of a line in its dash style.
    pub(super) fn dashes(&mut self, path: &[Point], dash: Dash, width_px: f64, colour: Rgb) {
        for points in dashed(path, dash, width_px) {
            self.stroke(points, width_px, colour);
        }
    }

    /// Adds a filled outline.
    pub(super) fn area(&mut self, outline: Vec<Point>, colour: Rgb, alpha: f64) {
        self.shapes.push(Shape::Area { outline, colour, alpha });
    }

    /// Adds what lies between two lines that run the same way.
    pub(super) fn between(&mut self, low: Vec<Point>, high: Vec<Point>, colour: Rgb, alpha: f64) {
        self.area(high.into_iter().chain(low.into_iter().rev()).collect(), colour, alpha);
    }

    /// Adds a filled box.
    pub(super) fn fill(&mut self, rect: Rect, colour: Rgb, alpha: f64) {
        self.area(rect.corners().to_vec(), colour, alpha);
    }

    /// Adds a line of words.
    pub(super) fn text(&mut self, text: Text) {
        self.shapes.push(Shape::Text(text));
    }

    /// Adds lines of words below each other, the first by its upper edge; returns where the next one
    /// would begin.
    pub(super) fn block(&mut self, lines: &[impl AsRef<str>], letters: Letters, at: Point) -> f64 {
        self.rows(lines, letters, at, ABOVE_EM);
        at.1 + lines.len() as f64 * letters.face.line_px()
    }

    /// Adds lines of words below each other, the middle of them at a height.
    pub(super) fn beside(&mut self, lines: &[impl AsRef<str>], letters: Letters, at: Point) {
        let first = at.1 - 0.5 * (lines.len() as f64 - 1.0) * letters.face.line_px();
        self.rows(lines, letters, (at.0, first), HALF_DIGIT_EM);
    }

    /// Adds lines of words below each other, the baseline of the first `down` em below its place.
    fn rows(&mut self, lines: &[impl AsRef<str>], letters: Letters, (x, y): Point, down: f64) {
        let face = letters.face;
        for (row, line) in lines.iter().enumerate() {
            let baseline = y + row as f64 * face.line_px() + down * face.em_px;
            self.text(letters.on_baseline(line.as_ref(), (x, baseline)));
        }
    }

    /// Adds all shapes of another scene, moved.
    pub(super) fn add_moved(&mut self, other: Scene, (dx, dy): Point) {
        let all =
            |points: &mut Vec<Point>| points.iter_mut().for_each(|p| *p = (p.0 + dx, p.1 + dy));
        for mut shape in other.shapes {
            match &mut shape {
                Shape::Stroke { points, .. } => all(points),
                Shape::Area { outline, .. } => all(outline),
                Shape::Dot { centre, .. } => *centre = (centre.0 + dx, centre.1 + dy),
                Shape::Text(text) => {
                    (text.x, text.baseline) = (text.x + dx, text.baseline + dy);
                }
            }
            self.shapes.push(shape);
        }
    }
}
