//! What maps, bars and columns have in common: an empty page with its headline and footer.

use super::font::{ABOVE_EM, Face};
use super::palette::{Palette, Rgb};
use super::scene::{Align, Point, Scene, Text};
use super::style::Theme;

/// Lengths in reference pixels: those of a picture whose shorter side is 1080 px.
const REFERENCE_PX: f64 = 1080.0;
/// Space left of, above and below all words.
pub(super) const SIDE: f64 = 48.0;
const TOP: f64 = 40.0;
pub(super) const BOTTOM: f64 = 30.0;

/// A page to lay shapes on.
pub(super) struct Page {
    pub(super) scene: Scene,
    pub(super) palette: Palette,
    /// Pixels per reference pixel.
    pub(super) unit: f64,
}

impl Page {
    /// An empty page.
    pub(super) fn new(theme: Theme, size_px: (u32, u32)) -> Self {
        let palette = Palette::new(theme);
        let background = match theme {
            Theme::Dark | Theme::Light => Some(palette.paper),
            Theme::TransparentOnDark | Theme::TransparentOnLight => None,
        };
        let scene = Scene { size_px, background, shapes: Vec::new() };
        let unit = f64::from(size_px.0.min(size_px.1)) / REFERENCE_PX;
        Page { scene, palette, unit }
    }

    /// Letters of a height in reference pixels.
    pub(super) fn face(&self, reference: f64, bold: bool) -> Face {
        Face { em_px: reference * self.unit, bold }
    }

    /// Left end of the words, and the width they have.
    pub(super) fn room(&self) -> (f64, f64) {
        let left = SIDE * self.unit;
        (left, f64::from(self.scene.size_px.0) - 2.0 * left)
    }

    /// Title and subtitle; returns where they end.
    pub(super) fn head(&mut self, title: &str, subtitle: &str) -> f64 {
        let (left, room) = self.room();
        let mut y = TOP * self.unit;
        for (words, face, colour) in [
            (title, self.face(44.0, true), self.palette.ink),
            (subtitle, self.face(30.0, false), self.palette.muted),
        ] {
            for line in face.wrap(words, room) {
                self.scene.text(row(&line, face, (left, y), Align::Left, colour));
                y += face.line_px();
            }
        }
        y
    }

    /// The small words at the foot; returns where they start.
    pub(super) fn foot(&mut self, words: &str) -> f64 {
        let (left, room) = self.room();
        let face = self.face(22.0, false);
        let mut y = f64::from(self.scene.size_px.1) - BOTTOM * self.unit;
        for line in face.wrap(words, room).iter().rev() {
            y -= face.line_px();
            self.scene.text(row(line, face, (left, y), Align::Left, self.palette.muted));
        }
        y
    }
}

/// One line of text by its upper edge.
pub(super) fn row(text: &str, face: Face, (x, top): Point, align: Align, colour: Rgb) -> Text {
    Text { x, baseline: top + ABOVE_EM * face.em_px, face, align, colour, text: text.to_owned() }
}
