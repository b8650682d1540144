//! A sketch of the box at one instant: places as tiles, what passes between them as arrows.
//!
//! In two steps like the other pictures: [`Sketch`] is plain data, then it is drawn. Zones stand
//! side by side (one below the other in an upright picture), the room on both sides of them.

mod arrows;
mod data;
mod layout;
mod words;

pub use data::{Content, Lane, Sketch, Stream, Tile, Way};

use super::font;
use super::raster;
use super::scene::Scene;
use super::style::{FigureError, Style};
use super::svg;

/// Sizes of text that are tried one after the other, in reference pixels: a full box still has to
/// fit.
const SIZES: [f64; 7] = [28.0, 26.0, 24.0, 22.0, 20.0, 18.0, 16.0];

/// Draws the sketch as an SVG document with a title and a description for screen readers.
///
/// # Errors
/// See [`FigureError`].
pub fn sketch_to_svg(sketch: &Sketch, style: &Style) -> Result<String, FigureError> {
    svg::titled(&scene(sketch, style)?, &sketch.title, &sketch.alt_text)
}

/// Draws the sketch as a PNG file, with an alpha channel when the theme is transparent.
///
/// # Errors
/// See [`FigureError`].
pub fn sketch_to_png(sketch: &Sketch, style: &Style) -> Result<Vec<u8>, FigureError> {
    raster::file(&scene(sketch, style)?)
}

/// The sketch as shapes, with the largest text that fits.
fn scene(sketch: &Sketch, style: &Style) -> Result<Scene, FigureError> {
    font::ready()?;
    let (width, height) = style.pixels()?;
    if sketch.lanes.is_empty() {
        return Err(FigureError::NoPanels);
    }
    let tries = SIZES.iter().map(|&size| layout::scene(sketch, style.theme, (width, height), size));
    let crowded = FigureError::Crowded { panels: sketch.lanes.len(), width, height };
    tries.flatten().next().ok_or(crowded)
}

#[cfg(test)]
mod tests;
