//! Values of pairs: colours that part at zero, and the number of each cell.

use super::layout::Layout;
use crate::report::figure::{Palette, Rgb, Scene, contrast_ratio, drawable, mix};

/// Ends of the colours: Okabe and Ito's blue below zero, their vermillion above.
const BELOW: Rgb = (0x00, 0x72, 0xB2);
const ABOVE: Rgb = (0xD5, 0x5E, 0x00);
/// What stands in a cell without a value.
const MISSING: &str = "–";
/// The widest number.
const WIDEST: &str = "−0.00";

/// The colour at a share of the way from -1 to 1: halfway that of the paper.
pub(super) fn colour(palette: &Palette, share: f64) -> Rgb {
    let value = (2.0 * share - 1.0).clamp(-1.0, 1.0);
    mix(palette.paper, if value < 0.0 { BELOW } else { ABOVE }, value.abs())
}

impl Layout<'_> {
    /// Of ink and paper the one that stands out more.
    fn clear_on(&self, ground: Rgb) -> Rgb {
        let contrast = |c: &Rgb| contrast_ratio(*c, ground);
        let Palette { ink, paper, .. } = self.page.palette;
        if contrast(&ink) >= contrast(&paper) { ink } else { paper }
    }

    /// The number of each cell where all have room, and marks for those that are missing.
    pub(super) fn pairs(&self, scene: &mut Scene) {
        let (dx, dy) = self.step();
        let face = self.page.faces.small;
        let room = face.width_px(WIDEST) + 0.5 * face.em_px <= dx && face.line_px() <= dy;
        for (j, row) in self.map.cells.iter().enumerate() {
            for (i, &v) in row.iter().enumerate() {
                let text = match drawable(v) {
                    false => MISSING.to_owned(),
                    true if !room => continue,
                    true if i == j => "1".to_owned(),
                    true => number(v),
                };
                let muted = i == j || !drawable(v);
                let ink =
                    if muted { self.page.palette.muted } else { self.clear_on(self.colour(v)) };
                scene.beside(&[text], face.centre(ink), self.px((i as f64, j as f64)));
            }
        }
    }
}

/// Two decimals, without a sign where they are all zero.
fn number(v: f64) -> String {
    let text = format!("{:.2}", v.abs());
    match (text.as_str(), v < 0.0) {
        ("0.00", _) | (_, false) => text,
        (_, true) => format!("−{text}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::figure::style::Theme;

    #[test]
    fn zero_is_paper_and_the_ends_part() {
        for theme in [Theme::Dark, Theme::Light] {
            let palette = Palette::new(theme);
            assert_eq!(colour(&palette, 0.5), palette.paper);
            assert_eq!((colour(&palette, 0.0), colour(&palette, 1.0)), (BELOW, ABOVE));
        }
    }

    #[test]
    fn numbers_have_two_decimals() {
        assert_eq!([0.456, -0.999, -0.001, 0.0].map(number), ["0.46", "−1.00", "0.00", "0.00"]);
    }
}
