//! The built-in font: measuring with it, breaking lines with it.
//!
//! DejaVu Sans, cut down to Latin, Greek and signs; see `font/LICENCE.txt`.

use plotters::style::FontStyle;
use std::sync::LazyLock;

/// Reach of the letters above and below the baseline, in em (ascender of `b` 0.76, accents
/// on capitals somewhat more; descender of `g` 0.24).
pub(super) const ABOVE_EM: f64 = 0.78;
/// See [`ABOVE_EM`].
pub(super) const BELOW_EM: f64 = 0.24;
/// Half the height of a digit in em: what centres a number on a tick.
pub(super) const HALF_DIGIT_EM: f64 = 0.365;
/// Distance of two baselines in em.
pub(super) const LINE_EM: f64 = 1.26;

pub(super) static REGULAR: &[u8] = include_bytes!("font/DejaVuSans-subset.ttf");
pub(super) static BOLD: &[u8] = include_bytes!("font/DejaVuSans-Bold-subset.ttf");

/// The fonts, regular and bold.
static FONTS: LazyLock<[ttf_parser::Face<'static>; 2]> = LazyLock::new(|| {
    [REGULAR, BOLD].map(|file| ttf_parser::Face::parse(file, 0).expect("the built-in font"))
});

/// Horizontal measures of a letter in em. The drawing library measures in whole pixels and, when it draws a
/// text into pixels, pushes every letter to its left edge; with the font's own numbers each can be set where
/// its designer wanted it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Glyph {
    /// From this letter's origin to that of the next one.
    pub(super) advance_em: f64,
    /// From the origin to the left edge of the ink.
    pub(super) bearing_em: f64,
}

/// Size and weight of a text.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// Font size in pixels.
    pub(super) em_px: f64,
    /// Whether it is bold.
    pub(super) bold: bool,
}

/// Sizes of letters that are tried where names are long, the first that fits is taken.
const SIZES: [f64; 4] = [1.0, 0.85, 0.7, 0.6];

impl Face {
    /// Weight as the drawing library knows it.
    pub(super) fn style(self) -> FontStyle {
        if self.bold { FontStyle::Bold } else { FontStyle::Normal }
    }

    /// Distance of two baselines in pixels.
    pub(super) fn line_px(self) -> f64 {
        self.em_px * LINE_EM
    }

    /// Measures of one letter, or of the box that stands for letters the font lacks.
    pub(super) fn glyph(self, letter: char) -> Glyph {
        let font = &FONTS[usize::from(self.bold)];
        let (id, units) = (font.glyph_index(letter).unwrap_or_default(), font.units_per_em());
        let em = |measure: f64| measure / f64::from(units);
        Glyph {
            advance_em: em(font.glyph_hor_advance(id).unwrap_or(0).into()),
            bearing_em: em(font.glyph_hor_side_bearing(id).unwrap_or(0).into()),
        }
    }

    /// Width of a text in pixels.
    pub(super) fn width_px(self, text: &str) -> f64 {
        let em: f64 = text.chars().map(|c| self.glyph(c).advance_em).sum();
        em * self.em_px
    }

    /// Width of the widest of some texts in pixels.
    pub(super) fn widest_px<T: AsRef<str>>(self, texts: impl IntoIterator<Item = T>) -> f64 {
        texts.into_iter().map(|text| self.width_px(text.as_ref())).fold(0.0, f64::max)
    }

    /// The largest letters with which every name, wrapped, is no higher than its place: full size, or a share
    /// that still reads well.
    pub(super) fn sized(self, names: &[&str], (wide, high): (f64, f64)) -> Face {
        let tried = SIZES.map(|share| Face { em_px: share * self.em_px, ..self });
        let room = |f: &Face| high.max(f.line_px());
        let fits =
            |f: &Face| names.iter().all(|n| f.wrap(n, wide).len() as f64 * f.line_px() <= room(f));
        tried.into_iter().find(fits).unwrap_or(tried[SIZES.len() - 1])
    }

    /// Breaks a text into lines no wider than `max_px`: at words, and inside a word only if
    /// the word alone is wider.
    pub(super) fn wrap(self, text: &str, max_px: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for piece in words(&clean(text)).iter().flat_map(|word| self.pieces(word, max_px)) {
            match lines.last_mut() {
                Some(line) if self.width_px(&format!("{line} {piece}")) <= max_px => {
                    line.push(' ');
                    line.push_str(&piece);
                }
                _ => lines.push(piece),
            }
        }
        lines
    }

    /// The word itself, or parts of it that fit.
    fn pieces(self, word: &str, max_px: f64) -> Vec<String> {
        let mut pieces: Vec<String> = Vec::new();
        for letter in word.chars() {
            match pieces.last_mut() {
                Some(piece) if self.width_px(&format!("{piece}{letter}")) <= max_px => {
                    piece.push(letter);
                }
                _ => pieces.push(letter.into()),
            }
        }
        pieces
    }
}

/// Words that a line may be broken between: a number stays with its unit (`22 °C`, `45 %`),
/// and spaces meant not to break do not.
fn words(text: &str) -> Vec<String> {
    const LONGEST_UNIT: usize = 4;
    const FIXED_SPACE: char = '\u{A0}';
    let mut out: Vec<String> = Vec::new();
    let breaks = |c: char| c.is_whitespace() && c != FIXED_SPACE;
    for word in text.split(breaks).filter(|word| !word.is_empty()) {
        match out.last_mut() {
            Some(number)
                if number.ends_with(|c: char| c.is_ascii_digit())
                    && word.chars().count() <= LONGEST_UNIT
                    && !word.starts_with(|c: char| c.is_ascii_digit()) =>
            {
                number.push(FIXED_SPACE);
                number.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
    }
    out
}

/// Replaces control characters, which neither the font nor XML can hold.
pub(super) fn clean(text: &str) -> String {
    let bad = |c: char| c.is_control() || c == '\u{FFFE}' || c == '\u{FFFF}';
    text.chars().map(|c| if bad(c) { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: Face = Face { em_px: 28.0, bold: false };

    #[test]
    fn a_digit_has_the_width_its_font_says() {
        // Advance of `0` in the `hmtx` table: 1303 of 2048 units (bold: 1425).
        let off = TEXT.width_px("00000000") - 8.0 * 28.0 * 1303.0 / 2048.0;
        assert!(off.abs() < 1e-9, "{off}");
        let bold = Face { bold: true, ..TEXT };
        let off = bold.width_px("00000000") - 8.0 * 28.0 * 1425.0 / 2048.0;
        assert!(off.abs() < 1e-9, "{off}");
        // Left edges: 135 for `0`, and one beyond the first ranges of the map.
        assert_eq!(TEXT.glyph('0').bearing_em, 135.0 / 2048.0);
        assert_eq!(TEXT.glyph('→').advance_em, 1716.0 / 2048.0);
        // A letter the font lacks has the width of its box.
        assert_eq!(TEXT.glyph('漢'), TEXT.glyph('\u{E000}'));
    }

    #[test]
    fn wrapping_loses_nothing_and_keeps_to_the_width() {
        let text =
            "a rather long title about Donaudampfschifffahrtsgesellschaft and\nmore \t words";
        for max_px in [60.0, 200.0, 500.0] {
            let lines = TEXT.wrap(text, max_px);
            for line in &lines {
                assert!(TEXT.width_px(line) <= max_px, "{line:?} in {max_px}");
            }
            let solid = |s: &str| s.replace(char::is_whitespace, "");
            assert_eq!(solid(&lines.concat()), solid(text));
        }
        assert!(TEXT.wrap(" \n ", 100.0).is_empty());
        // Narrower than any letter: still ends, one letter a line.
        assert_eq!(TEXT.wrap("ab", 1.0), ["a", "b"]);
    }

    #[test]
    fn a_number_stays_with_its_unit() {
        let max_px = TEXT.width_px("room at 22");
        assert_eq!(TEXT.wrap("room at 22 °C", max_px), ["room at", "22\u{A0}°C"]);
    }
}
