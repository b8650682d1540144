//! Colours: a palette that colour-blind readers can tell apart, fitted to each background.

use super::Theme;

/// Red, green, blue; 0 to 255 each.
pub type Rgb = (u8, u8, u8);

/// Number of colours a series can choose from.
pub const PALETTE_LEN: usize = 8;

/// Okabe and Ito 2008, "Color Universal Design". Ordered so that neighbours differ in both
/// hue and lightness; the last one stands for "black or white, whatever the text has".
const OKABE_ITO: [Rgb; PALETTE_LEN - 1] = [
    (0x00, 0x72, 0xB2), // blue
    (0xD5, 0x5E, 0x00), // vermillion
    (0x00, 0x9E, 0x73), // bluish green
    (0xE6, 0x9F, 0x00), // orange
    (0x56, 0xB4, 0xE9), // sky blue
    (0xCC, 0x79, 0xA7), // reddish purple
    (0xF0, 0xE4, 0x42), // yellow
];

/// Names are written in the colour of their line. WCAG 2.1, success criterion 1.4.3, asks
/// for 3 with large text (24 px and more). On light paper more would bring orange and
/// vermillion too close together; on dark paper more would do the same to the two blues.
const LEAST_CONTRAST_LIGHT: f64 = 3.05;
const LEAST_CONTRAST_DARK: f64 = 4.0;

/// The colours of one theme.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Palette {
    /// The colour all contrast is judged against.
    pub(super) paper: Rgb,
    /// Titles and names.
    pub(super) ink: Rgb,
    /// Tick labels, notes, footer.
    pub(super) muted: Rgb,
    /// Baselines.
    pub(super) axis: Rgb,
    /// Event lines.
    pub(super) event: Rgb,
    /// Grid lines at the ticks.
    pub(super) grid: Rgb,
    /// Grid lines between the ticks.
    pub(super) minor: Rgb,
    series: [Rgb; PALETTE_LEN],
}

impl Palette {
    /// The colours for a theme.
    pub(super) fn new(theme: Theme) -> Self {
        let dark = matches!(theme, Theme::Dark | Theme::TransparentOnDark);
        let (paper, ink) = if dark {
            ((0x12, 0x17, 0x1D), (0xEC, 0xEF, 0xF3))
        } else {
            ((0xFC, 0xFC, 0xFA), (0x1B, 0x21, 0x29))
        };
        let mut series = [ink; PALETTE_LEN];
        for (slot, base) in series.iter_mut().zip(OKABE_ITO) {
            *slot = fitted(base, paper, dark);
        }
        Self {
            paper,
            ink,
            muted: mix(paper, ink, 0.68),
            axis: mix(paper, ink, 0.45),
            event: mix(paper, ink, 0.34),
            grid: mix(paper, ink, 0.17),
            minor: mix(paper, ink, 0.07),
            series,
        }
    }

    /// Paper with a share of ink.
    pub(super) fn tinted(&self, share: f64) -> Rgb {
        mix(self.paper, self.ink, share)
    }

    /// Colour of a series.
    pub(super) fn series(&self, index: usize) -> Rgb {
        self.series[index % PALETTE_LEN]
    }
}

/// Moves a colour away from the paper, keeping its hue, until it stands out enough.
fn fitted(base: Rgb, paper: Rgb, dark: bool) -> Rgb {
    let (target, pole) = if dark {
        (LEAST_CONTRAST_DARK, (255, 255, 255))
    } else {
        (LEAST_CONTRAST_LIGHT, (0, 0, 0))
    };
    // 64 steps are finer than one level of an 8-bit channel matters to the eye.
    (0..=64)
        .map(|step| mix(base, pole, f64::from(step) / 64.0))
        .find(|&colour| contrast_ratio(colour, paper) >= target)
        .unwrap_or(pole)
}

/// `share` of `b`, the rest `a`.
pub(super) fn mix(a: Rgb, b: Rgb, share: f64) -> Rgb {
    let one = |a: u8, b: u8| (f64::from(a) + (f64::from(b) - f64::from(a)) * share).round() as u8;
    (one(a.0, b.0), one(a.1, b.1), one(a.2, b.2))
}

/// Contrast of two colours, 1 (none) to 21 (black on white).
///
/// Source: WCAG 2.1, definitions of "contrast ratio" and "relative luminance" (from memory).
pub fn contrast_ratio(a: Rgb, b: Rgb) -> f64 {
    let (la, lb) = (luminance(a), luminance(b));
    (la.max(lb) + 0.05) / (la.min(lb) + 0.05)
}

fn luminance(c: Rgb) -> f64 {
    let linear = |v: u8| {
        let s = f64::from(v) / 255.0;
        if s <= 0.03928 { s / 12.92 } else { ((s + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * linear(c.0) + 0.7152 * linear(c.1) + 0.0722 * linear(c.2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn black_on_white_is_21() {
        assert!((contrast_ratio((0, 0, 0), (255, 255, 255)) - 21.0).abs() < 1e-12);
    }

    #[test]
    fn every_colour_stands_out_on_its_paper() {
        for theme in [Theme::Dark, Theme::Light] {
            let palette = Palette::new(theme);
            let words = [palette.ink, palette.muted];
            for colour in (0..PALETTE_LEN).map(|i| palette.series(i)) {
                let ratio = contrast_ratio(colour, palette.paper);
                assert!(ratio >= 3.0, "{theme:?} {colour:?}: {ratio:.2}");
            }
            // Words outside the palette meet the stricter bound for small text.
            for colour in words {
                let ratio = contrast_ratio(colour, palette.paper);
                assert!(ratio >= 4.5, "{theme:?} {colour:?}: {ratio:.2}");
            }
        }
    }

    #[test]
    fn colours_stay_apart_after_fitting() {
        for theme in [Theme::Dark, Theme::Light] {
            let palette = Palette::new(theme);
            for i in 0..PALETTE_LEN {
                for j in 0..i {
                    let (a, b) = (palette.series(i), palette.series(j));
                    let square = |p: u8, q: u8| f64::from(p.abs_diff(q)).powi(2);
                    let gap = (square(a.0, b.0) + square(a.1, b.1) + square(a.2, b.2)).sqrt();
                    // A tenth of the way from black to white; the closest pair untouched,
                    // orange and vermillion, is 67 apart.
                    assert!(gap >= 44.0, "{theme:?}: {i} {a:?} and {j} {b:?}: {gap:.0}");
                }
            }
        }
    }
}
