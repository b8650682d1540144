//! How figures are to look: the same options wherever figures are written.

use clap::{Args, ValueEnum};

use crate::report::figure::{Size, Style, Theme};

/// Background of figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Background {
    /// Light lines on a dark ground
    Dark,
    /// Dark lines on a light ground
    Light,
    /// No ground, for dark video
    ClearDark,
    /// No ground, for light pages
    ClearLight,
}

/// Options of every command that draws.
#[derive(Clone, Copy, Debug, Args)]
pub(super) struct Look {
    /// Background of the figures
    #[arg(long, value_enum, default_value = "dark", value_name = "BACKGROUND")]
    theme: Background,
    /// Upright figures (1080 × 1920) instead of 1920 × 1080
    #[arg(long)]
    portrait: bool,
}

impl Look {
    pub(super) fn style(&self) -> Style {
        let size = if self.portrait { Size::Portrait } else { Size::Landscape };
        let theme = match self.theme {
            Background::Dark => Theme::Dark,
            Background::Light => Theme::Light,
            Background::ClearDark => Theme::TransparentOnDark,
            Background::ClearLight => Theme::TransparentOnLight,
        };
        Style { size, theme }
    }
}
