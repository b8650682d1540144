//! Pictures of series over a shared x axis, in two steps kept strictly apart.
//!
//! 1. [`Figure`] is plain data: panels, series, marks. It can be tested, serialised and saved
//!    as CSV ([`Figure::to_csv`]) beside the picture.
//! 2. [`to_svg`] and [`to_png`] turn it into bytes. Both paint the same list of shapes, so the
//!    two pictures agree; the same figure and style always give the same bytes.
//!
//! The font is part of the program, so a picture can be drawn on a machine without fonts.

mod axis;
mod band;
mod bars;
mod canvas;
mod columns;
mod csv;
mod curve;
mod data;
mod distinct;
mod font;
mod frame;
mod furniture;
mod glyphs;
mod key;
mod labels;
mod map;
mod marks;
mod page;
mod paint;
mod palette;
mod panel;
mod place;
mod raster;
mod scene;
mod sketch;
mod stack;
mod style;
mod svg;
mod symbols;
mod ticks;

pub use bars::{Bar, BarRow, Bars, bars_to_png, bars_to_svg};
pub use columns::{Columns, columns_to_png, columns_to_svg};
pub use data::{Band, Dash, Figure, Mark, Panel, RightAxis, Series, Symbol};
pub use map::{Limit, Map, Steps, map_to_png, map_to_svg};
pub use palette::{PALETTE_LEN, Rgb, contrast_ratio};
pub use sketch::{Content, Lane, Sketch, Stream, Tile, Way, sketch_to_png, sketch_to_svg};
pub use style::{FigureError, Size, Style, Theme};

/// Draws the figure as an SVG document with a title and a description for screen readers.
///
/// # Errors
/// See [`FigureError`]; bad numbers in the data are never an error, they leave gaps.
pub fn to_svg(figure: &Figure, style: &Style) -> Result<String, FigureError> {
    svg::document(&paint::scene(figure, style)?, figure)
}

/// Draws the figure as a PNG file, with an alpha channel when the theme is transparent.
///
/// # Errors
/// See [`FigureError`]; bad numbers in the data are never an error, they leave gaps.
pub fn to_png(figure: &Figure, style: &Style) -> Result<Vec<u8>, FigureError> {
    raster::file(&paint::scene(figure, style)?)
}

#[cfg(test)]
mod tests;
