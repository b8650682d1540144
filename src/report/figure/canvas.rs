//! Paints a scene with any of the drawing library's backends.
//!
//! Those backends count in whole pixels. So a scene is painted enlarged by a whole factor:
//! as units of the view box in SVG, as a larger buffer that is scaled down in PNG.

use super::scene::Align;
use super::{Drawn, FigureError, Point, Rgb, Scene, Shape, Text};
use plotters::backend::DrawingBackend;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontDesc, FontFamily, RGBAColor, RGBColor, ShapeStyle, TextStyle};

/// How a backend turns lines and words into marks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Kind {
    /// Strokes and texts are handed on and drawn by the viewer.
    Vector,
    /// Pixels.
    #[cfg(feature = "png")]
    Raster,
}

/// Name under which the font is registered with the drawing library.
#[cfg(feature = "png")]
pub(super) const FAMILY: &str = "drybench";
/// Height of the font's line box over its em: (ascent 1901 + descent 483) / 2048, from its
/// `hhea` table. The raster text of the drawing library is sized by that box, not by the em.
#[cfg(feature = "png")]
const BOX_PER_EM: f64 = 2384.0 / 2048.0;
/// Fonts asked of an SVG viewer; the first is as wide as our measurements, others are narrower.
const VECTOR_FAMILY: &str = "DejaVu Sans, sans-serif";
/// The SVG backend divides font sizes by this before writing them.
const VECTOR_SIZE_PER_EM: f64 = 1.24;
/// The SVG backend puts the baseline this far below a top anchor.
const VECTOR_DROP_EM: f64 = 0.76;

/// A backend and the factor by which it is enlarged.
pub(super) struct Canvas<B: DrawingBackend> {
    pub(super) backend: B,
    pub(super) factor: f64,
    pub(super) kind: Kind,
}

impl<B: DrawingBackend> Canvas<B> {
    /// Paints everything, on `paper` if given, and completes the output.
    pub(super) fn paint(mut self, scene: &Scene, paper: Option<Rgb>) -> Drawn<()> {
        if let Some(paper) = paper {
            let (width, height) = self.backend.get_size();
            let far = (width as i32, height as i32);
            self.backend.draw_rect((0, 0), far, &solid(paper, 1.0, 0), true).map_err(failed)?;
        }
        for shape in &scene.shapes {
            self.shape(shape)?;
        }
        self.backend.present().map_err(failed)
    }

    fn shape(&mut self, shape: &Shape) -> Drawn<()> {
        match shape {
            Shape::Stroke { points, width_px, colour } => self.stroke(points, *width_px, *colour),
            Shape::Area { outline, colour, alpha } => {
                let outline: Vec<_> = outline.iter().map(|&p| self.place(p)).collect();
                self.backend.fill_polygon(outline, &solid(*colour, *alpha, 0)).map_err(failed)
            }
            Shape::Dot { centre, radius_px, colour } => {
                let (centre, radius) = (self.place(*centre), self.length(*radius_px));
                self.backend
                    .draw_circle(centre, radius, &solid(*colour, 1.0, 0), true)
                    .map_err(failed)
            }
            Shape::Text(text) => match self.kind {
                Kind::Vector => self.vector_text(text),
                #[cfg(feature = "png")]
                Kind::Raster => self.letters(text),
            },
        }
    }

    fn stroke(&mut self, points: &[Point], width_px: f64, colour: Rgb) -> Drawn<()> {
        let width = self.length(width_px);
        let mut path: Vec<_> = points.iter().map(|&p| self.place(p)).collect();
        path.dedup();
        if self.kind == Kind::Vector {
            return self.backend.draw_path(path, &solid(colour, 1.0, width)).map_err(failed);
        }
        // The library's own thick paths cross themselves at sharp turns and leave holes, so
        // each piece is filled alone and the joints are rounded off.
        let (half, style) = (f64::from(width) / 2.0, solid(colour, 1.0, 0));
        for pair in path.windows(2) {
            self.piece(pair[0], pair[1], half, style)?;
        }
        let joints = path.len().saturating_sub(1);
        for &joint in path.iter().take(joints).skip(1) {
            self.backend.draw_circle(joint, width / 2, &style, true).map_err(failed)?;
        }
        Ok(())
    }

    /// One straight piece of a thick line.
    fn piece(
        &mut self,
        from: (i32, i32),
        to: (i32, i32),
        half: f64,
        style: ShapeStyle,
    ) -> Drawn<()> {
        let (dx, dy) = (f64::from(to.0 - from.0), f64::from(to.1 - from.1));
        let corner = |(x, y): (i32, i32), sx: f64, sy: f64| {
            (whole(f64::from(x) + sx), whole(f64::from(y) + sy))
        };
        if dx == 0.0 || dy == 0.0 {
            let (sx, sy) = if dx == 0.0 { (half, 0.0) } else { (0.0, half) };
            let low = corner((from.0.min(to.0), from.1.min(to.1)), -sx, -sy);
            let high = corner((from.0.max(to.0), from.1.max(to.1)), sx, sy);
            return self.backend.draw_rect(low, high, &style, true).map_err(failed);
        }
        let length = dx.hypot(dy);
        let (nx, ny) = (-dy / length * half, dx / length * half);
        let outline = [
            corner(from, nx, ny),
            corner(to, nx, ny),
            corner(to, -nx, -ny),
            corner(from, -nx, -ny),
        ];
        self.backend.fill_polygon(outline, &style).map_err(failed)
    }

    /// The viewer sets the letters.
    fn vector_text(&mut self, text: &Text) -> Drawn<()> {
        let em = text.letters.face.em_px * self.factor;
        let anchor = match text.letters.align {
            Align::Left => HPos::Left,
            Align::Centre => HPos::Center,
            Align::Right => HPos::Right,
        };
        let style = text_style(VECTOR_FAMILY, em * VECTOR_SIZE_PER_EM, text, anchor);
        let top = text.baseline * self.factor - em * VECTOR_DROP_EM;
        let at = (whole(text.x * self.factor), whole(top));
        self.backend.draw_text(&text.text, &style, at).map_err(failed)
    }

    /// Sets letter by letter, since the backend would lose the room left of each.
    #[cfg(feature = "png")]
    fn letters(&mut self, text: &Text) -> Drawn<()> {
        let em = text.letters.face.em_px * self.factor;
        let size = em * BOX_PER_EM;
        let style = text_style(FAMILY, size, text, HPos::Left);
        // The backend puts the baseline half a line box below a top anchor.
        let top = whole(text.baseline * self.factor - size / 2.0);
        let mut pen = text.bounds().left * self.factor;
        for letter in text.text.chars() {
            let glyph = text.letters.face.glyph(letter);
            let left = pen.round() + (glyph.bearing_em * em).floor();
            let at = (left as i32, top);
            self.backend.draw_text(&letter.to_string(), &style, at).map_err(failed)?;
            pen += glyph.advance_em * em;
        }
        Ok(())
    }

    fn place(&self, (x, y): Point) -> (i32, i32) {
        (whole(x * self.factor), whole(y * self.factor))
    }

    fn length(&self, px: f64) -> u32 {
        (px * self.factor).round().max(1.0) as u32
    }
}

fn text_style(family: &'static str, size: f64, text: &Text, anchor: HPos) -> TextStyle<'static> {
    TextStyle {
        font: FontDesc::new(FontFamily::Name(family), size, text.letters.face.style()),
        color: rgba(text.letters.colour, 1.0).to_backend_color(),
        pos: Pos::new(anchor, VPos::Top),
    }
}

fn solid(colour: Rgb, alpha: f64, stroke_width: u32) -> ShapeStyle {
    ShapeStyle { color: rgba(colour, alpha), filled: true, stroke_width }
}

fn rgba(colour: Rgb, alpha: f64) -> RGBAColor {
    RGBColor(colour.0, colour.1, colour.2).mix(alpha)
}

fn whole(v: f64) -> i32 {
    v.round() as i32
}

fn failed(error: impl std::fmt::Display) -> FigureError {
    FigureError::Draw(error.to_string())
}
