//! How a picture is to look, and what can go wrong while drawing it.

/// Size and colours of a picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Style {
    /// Width and height.
    pub size: Size,
    /// Background and the colours that go with it.
    pub theme: Theme,
}

/// Width and height of a picture in pixels.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Size {
    /// 1920 × 1080.
    #[default]
    Landscape,
    /// 1080 × 1920.
    Portrait,
    /// Width, height; 320 to 4096 each.
    Custom(u32, u32),
}

/// Background and the colours that go with it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    /// Light lines on a dark background.
    #[default]
    Dark,
    /// Dark lines on a light background.
    Light,
    /// No background; to be laid over something dark.
    TransparentOnDark,
    /// No background; to be laid over something light.
    TransparentOnLight,
}

/// Why a picture could not be drawn.
#[derive(Debug, thiserror::Error)]
pub enum FigureError {
    /// The size is outside what can be drawn legibly and in reasonable memory.
    #[error("a picture of {width} × {height} px cannot be drawn: each side must be 320 to 4096 px")]
    Size {
        /// Asked width in pixels.
        width: u32,
        /// Asked height in pixels.
        height: u32,
    },
    /// A figure without panels.
    #[error("the figure has no panels, so there is nothing to draw")]
    NoPanels,
    /// Words and panels need more room than there is.
    #[error(
        "the figure does not fit: {panels} panels with their labels need more room than \
         {width} × {height} px; make it larger or show fewer panels"
    )]
    Crowded {
        /// Number of panels.
        panels: usize,
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
    },
    /// Lines that look alike would be read as each other.
    #[error("{lines} lines in one panel cannot be told apart; show {most} at most")]
    Lines {
        /// Lines of the panel.
        lines: usize,
        /// Most that have a look of their own.
        most: usize,
    },
    /// The drawing library did not take the font inside the program.
    #[error("the built-in font could not be read")]
    Font,
    /// The drawing library reported an error.
    #[error("drawing failed: {0}")]
    Draw(String),
}

/// What comes of drawing.
pub(super) type Drawn<T> = Result<T, FigureError>;

/// Smallest and largest side in pixels. Below, words no longer fit; above, the enlarged
/// drawing buffer would pass 500 MB.
const SIDE_PX: std::ops::RangeInclusive<u32> = 320..=4096;

impl Style {
    /// Width and height in pixels, if they can be drawn.
    pub(super) fn pixels(&self) -> Drawn<(u32, u32)> {
        let (width, height) = match self.size {
            Size::Landscape => (1920, 1080),
            Size::Portrait => (1080, 1920),
            Size::Custom(width, height) => (width, height),
        };
        if SIDE_PX.contains(&width) && SIDE_PX.contains(&height) {
            Ok((width, height))
        } else {
            Err(FigureError::Size { width, height })
        }
    }
}
