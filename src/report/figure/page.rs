//! What all pictures have in common: a page with its measures, headline and footer.

use super::{Drawn, Face, FigureError, Palette, Scene, Style, Theme};

/// Lengths in reference pixels: those of a picture whose shorter side is 1080 px.
const REFERENCE_PX: f64 = 1080.0;
/// Distance of words from what they belong to.
pub(super) const GAP: f64 = 12.0;
/// Space left of, above and below all words.
pub(super) const SIDE: f64 = 48.0;
const TOP: f64 = 40.0;
const BOTTOM: f64 = 30.0;

/// The sizes of letters; nothing but the footer and numbers within a map is smaller than 28 reference
/// pixels.
#[derive(Clone, Copy, Debug)]
pub(super) struct Faces {
    pub(super) title: Face,
    pub(super) subtitle: Face,
    pub(super) text: Face,
    pub(super) strong: Face,
    pub(super) small: Face,
    pub(super) footer: Face,
}

/// An empty page, measured.
pub(super) struct Page {
    pub(super) size_px: (u32, u32),
    /// Pixels per reference pixel.
    pub(super) unit: f64,
    pub(super) faces: Faces,
    pub(super) palette: Palette,
    background: bool,
    /// Left and right end of all words.
    pub(super) words_x: (f64, f64),
    /// Where the title begins, and where the footer ends.
    pub(super) words_y: (f64, f64),
}

impl Page {
    /// A page with the usual margins.
    pub(super) fn new(style: &Style) -> Drawn<Self> {
        let (width, height) = style.pixels()?;
        Self::scaled(style, f64::from(width.min(height)) / REFERENCE_PX)
    }

    /// The same with this many pixels per reference pixel.
    pub(super) fn scaled(style: &Style, unit: f64) -> Drawn<Self> {
        let face = |reference: f64, bold: bool| Face { em_px: reference * unit, bold };
        let page = Page {
            size_px: style.pixels()?,
            unit,
            faces: Faces {
                title: face(44.0, true),
                subtitle: face(30.0, false),
                text: face(28.0, false),
                strong: face(28.0, true),
                small: face(24.0, false),
                footer: face(22.0, false),
            },
            palette: Palette::new(style.theme),
            background: matches!(style.theme, Theme::Dark | Theme::Light),
            words_x: (0.0, 0.0),
            words_y: (0.0, 0.0),
        };
        Ok(page.with_margins(SIDE, TOP, BOTTOM))
    }

    /// The same page with other margins \[reference pixels\].
    pub(super) fn with_margins(mut self, side: f64, top: f64, bottom: f64) -> Self {
        let (width, height) = (f64::from(self.size_px.0), f64::from(self.size_px.1));
        self.words_x = (self.px(side), width - self.px(side));
        self.words_y = (self.px(top), height - self.px(bottom));
        self
    }

    /// Nothing drawn yet.
    pub(super) fn blank(&self) -> Scene {
        let background = self.background.then_some(self.palette.paper);
        Scene { size_px: self.size_px, background, shapes: Vec::new() }
    }

    /// Reference pixels to pixels.
    pub(super) fn px(&self, reference: f64) -> f64 {
        reference * self.unit
    }

    /// Width that words have.
    pub(super) fn room(&self) -> f64 {
        self.words_x.1 - self.words_x.0
    }

    /// That a number of panels needs more room than there is.
    pub(super) fn crowded(&self, panels: usize) -> FigureError {
        let (width, height) = self.size_px;
        FigureError::Crowded { panels, width, height }
    }

    /// Draws title and subtitle; returns where they end.
    pub(super) fn head(&self, scene: &mut Scene, title: &str, subtitle: &str) -> f64 {
        let (faces, Palette { ink, muted, .. }) = (self.faces, &self.palette);
        let (left, top) = (self.words_x.0, self.words_y.0);
        let title = faces.title.wrap(title, self.room());
        let subtitle = faces.subtitle.wrap(subtitle, self.room());
        let below = scene.block(&title, faces.title.left(*ink), (left, top));
        scene.block(&subtitle, faces.subtitle.left(*muted), (left, below))
    }

    /// Draws the small words at the foot; returns where they start.
    pub(super) fn foot(&self, scene: &mut Scene, words: &str) -> f64 {
        let face = self.faces.footer;
        let mut y = self.words_y.1;
        for line in face.wrap(words, self.room()).iter().rev() {
            y -= face.line_px();
            scene.block(&[line], face.left(self.palette.muted), (self.words_x.0, y));
        }
        y
    }
}
