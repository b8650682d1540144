//! Pairs: the number of each cell.

use super::layout::Layout;
use crate::report::figure::{Palette, Rgb, Scene, contrast_ratio, drawable};

/// What stands in a cell without a value.
const MISSING: &str = "–";
/// The widest number.
const WIDEST: &str = "−0.00";

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

    #[test]
    fn numbers_have_two_decimals() {
        assert_eq!([0.456, -0.999, -0.001, 0.0].map(number), ["0.46", "−1.00", "0.00", "0.00"]);
    }
}
