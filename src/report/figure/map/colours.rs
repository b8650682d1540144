//! The colours of a map.

use crate::report::figure::{Palette, Rgb, contrast_ratio, mix};

/// Opacity of cells that break a limit.
pub(super) const FADED: f64 = 0.45;
/// White stands on colours that leave it this contrast; on lighter ones lines are dark.
const LEAST_CONTRAST: f64 = 2.5;
const WHITE: Rgb = (0xFF, 0xFF, 0xFF);
const DARK: Rgb = (0x12, 0x17, 0x1D);

/// From the lowest to the highest value: Okabe and Ito's blue, green and yellow, which differ in
/// lightness and stay apart for colour-blind readers.
const RAMP: [Rgb; 4] =
    [(0x0B, 0x2E, 0x59), (0x00, 0x72, 0xB2), (0x00, 0x9E, 0x73), (0xF0, 0xE4, 0x42)];

/// The colour at a share of the way from the lowest to the highest value.
pub(super) fn ramp(share: f64) -> Rgb {
    let along = share.clamp(0.0, 1.0) * (RAMP.len() - 1) as f64;
    let piece = (along.floor() as usize).min(RAMP.len() - 2);
    mix(RAMP[piece], RAMP[piece + 1], along - piece as f64)
}

/// Ends of the colours: Okabe and Ito's blue below zero, their vermillion above.
const BELOW: Rgb = (0x00, 0x72, 0xB2);
const ABOVE: Rgb = (0xD5, 0x5E, 0x00);

/// The colour at a share of the way from -1 to 1: halfway that of the paper.
pub(super) fn parted(palette: &Palette, share: f64) -> Rgb {
    let value = (2.0 * share - 1.0).clamp(-1.0, 1.0);
    mix(palette.paper, if value < 0.0 { BELOW } else { ABOVE }, value.abs())
}

/// The colour of a line or a number on a colour.
pub(super) fn on(ground: Rgb) -> Rgb {
    if contrast_ratio(WHITE, ground) >= LEAST_CONTRAST { WHITE } else { DARK }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::figure::style::Theme;

    #[test]
    fn lines_stand_out_on_every_colour_of_the_scale() {
        for k in 0..=20 {
            let ground = ramp(f64::from(k) / 20.0);
            let ratio = contrast_ratio(on(ground), ground);
            assert!(ratio >= LEAST_CONTRAST, "{k}: {ratio:.2}");
        }
    }

    #[test]
    fn zero_is_paper_and_the_ends_part() {
        for theme in [Theme::Dark, Theme::Light] {
            let palette = Palette::new(theme);
            assert_eq!(parted(&palette, 0.5), palette.paper);
            assert_eq!((parted(&palette, 0.0), parted(&palette, 1.0)), (BELOW, ABOVE));
        }
    }
}
