//! Pictures, in two steps kept strictly apart.
//!
//! 1. Plain data: a [`Figure`] of series over a shared x axis, [`Columns`] of such figures, a [`Map`],
//!    [`Bars`], a [`Sketch`]. It can be tested, and saved as CSV beside the picture.
//! 2. [`Drawing`] turns each of them into bytes. SVG and PNG paint the same list of shapes, so the two
//!    pictures agree; the same data and style always give the same bytes.
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
mod drawing;
mod font;
mod frame;
mod furniture;
mod geometry;
mod key;
mod labels;
mod map;
mod marks;
mod names;
mod page;
mod paint;
mod palette;
mod panel;
mod place;
#[cfg(feature = "png")]
mod raster;
mod scene;
mod sketch;
mod stack;
mod style;
mod svg;
mod symbols;
mod ticks;

pub use bars::{Bar, BarRow, Bars};
pub use columns::Columns;
pub use data::{Band, Dash, Figure, Mark, Panel, RightAxis, Series, Symbol};
pub use drawing::Drawing;
pub use map::{Limit, Map, Steps};
pub use palette::{PALETTE_LEN, Rgb, contrast_ratio};
pub use sketch::{Content, Lane, Sketch, Stream, Tile, Way};
pub use style::{FigureError, Size, Style, Theme};

// What the files of this folder share.
use data::{axis_title, drawable};
use font::Face;
use geometry::{Point, Rect};
use page::{Faces, GAP, Page};
use palette::{Palette, mix};
use scene::{Scene, Shape, Text};
use style::Drawn;

#[cfg(test)]
mod tests;
