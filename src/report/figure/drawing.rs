//! What all kinds of pictures have in common.

use super::bars::Bars;
use super::columns::Columns;
use super::map::Map;
#[cfg(feature = "png")]
use super::raster;
use super::sketch::Sketch;
use super::{Figure, FigureError, Scene, Style, bars, columns, map, paint, sketch, svg};

/// A picture as plain numbers and words, and the ways to save it.
pub trait Drawing {
    /// Its headline.
    fn title(&self) -> &str;

    /// What it shows, in words, for those who cannot see it.
    fn alt_text(&self) -> &str;

    /// All shapes of the picture.
    ///
    /// # Errors
    /// See [`FigureError`]; bad numbers in the data are never an error, they leave gaps.
    fn scene(&self, style: &Style) -> Result<Scene, FigureError>;

    /// The numbers behind the picture; lines end in LF.
    fn to_csv(&self) -> String;

    /// The picture as an SVG document with a title and a description for screen readers.
    ///
    /// # Errors
    /// Those of [`Drawing::scene`].
    fn to_svg(&self, style: &Style) -> Result<String, FigureError> {
        svg::document(&self.scene(style)?, self.title(), self.alt_text())
    }

    /// The picture as a PNG file, with an alpha channel when the theme is transparent.
    ///
    /// # Errors
    /// Those of [`Drawing::scene`].
    #[cfg(feature = "png")]
    fn to_png(&self, style: &Style) -> Result<Vec<u8>, FigureError> {
        raster::file(&self.scene(style)?)
    }
}

/// The kinds of pictures, each with what makes its shapes and its table.
macro_rules! kinds {
    ($($kind:ty: $scene:path, $csv:path;)*) => {
        $(impl Drawing for $kind {
            fn title(&self) -> &str {
                &self.title
            }

            fn alt_text(&self) -> &str {
                &self.alt_text
            }

            fn scene(&self, style: &Style) -> Result<Scene, FigureError> {
                $scene(self, style)
            }

            fn to_csv(&self) -> String {
                $csv(self)
            }
        })*
    };
}

kinds! {
    Figure: paint::scene, Figure::table;
    Columns: columns::scene, Columns::table;
    Map: map::scene, Map::table;
    Bars: bars::scene, Bars::table;
    Sketch: sketch::scene, Sketch::table;
}
