//! Widths of letters, read from the built-in font files.
//!
//! The drawing library measures in whole pixels and, when it draws a text into pixels, pushes
//! every letter to its left edge. With the font's own numbers each letter can be set where
//! its designer wanted it.
//!
//! Source: OpenType specification, tables `cmap` (format 4), `hhea`, `hmtx` (from memory);
//! checked against the numbers another program reads from the same files.

use std::collections::HashMap;

/// Horizontal measures of a letter in em.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Glyph {
    /// From this letter's origin to that of the next one.
    pub(super) advance_em: f64,
    /// From the origin to the left edge of the ink.
    pub(super) bearing_em: f64,
}

/// The measures of all letters of a font.
#[derive(Debug)]
pub(super) struct Glyphs {
    known: HashMap<u16, Glyph>,
    unknown: Glyph,
}

impl Glyphs {
    /// Reads a font file; `None` if it is not what is expected here.
    pub(super) fn read(file: &[u8]) -> Option<Self> {
        let file = Bytes(file);
        let measures = Measures {
            units_per_em: f64::from(file.u16(file.table(b"head")? + 18)?),
            hmtx: file.table(b"hmtx")?,
            full: usize::from(file.u16(file.table(b"hhea")? + 34)?),
            file,
        };
        let map = file.unicode_map()?;
        let segments = usize::from(file.u16(map + 6)?) / 2;
        let mut known = HashMap::new();
        for segment in 0..segments {
            file.segment(map, segments, segment, &mut |letter, index| {
                measures.of(index).map(|glyph| known.insert(letter, glyph));
            })?;
        }
        Some(Self { known, unknown: measures.of(0)? })
    }

    /// The measures of a letter, or of the box that stands for letters the font lacks.
    pub(super) fn of(&self, letter: char) -> Glyph {
        u16::try_from(u32::from(letter))
            .ok()
            .and_then(|code| self.known.get(&code))
            .copied()
            .unwrap_or(self.unknown)
    }
}

/// The table with one entry (advance, bearing) per glyph; the last advance holds for all
/// glyphs beyond `full`.
struct Measures<'a> {
    file: Bytes<'a>,
    hmtx: usize,
    full: usize,
    units_per_em: f64,
}

impl Measures<'_> {
    fn of(&self, index: usize) -> Option<Glyph> {
        let last = self.full.checked_sub(1)?;
        let bearing = if index < self.full {
            self.hmtx + 4 * index + 2
        } else {
            self.hmtx + 4 * self.full + 2 * (index - self.full)
        };
        let advance = self.file.u16(self.hmtx + 4 * index.min(last))?;
        // Two's complement: the bearing may be negative.
        let bearing = self.file.u16(bearing)?.cast_signed();
        Some(Glyph {
            advance_em: f64::from(advance) / self.units_per_em,
            bearing_em: f64::from(bearing) / self.units_per_em,
        })
    }
}

/// Big-endian numbers at places that may not exist.
#[derive(Clone, Copy)]
struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    fn u16(self, at: usize) -> Option<u16> {
        let two = self.0.get(at..at + 2)?;
        Some(u16::from_be_bytes([two[0], two[1]]))
    }

    fn u32(self, at: usize) -> Option<usize> {
        let (high, low) = (self.u16(at)?, self.u16(at + 2)?);
        Some(usize::from(high) << 16 | usize::from(low))
    }

    /// Where a table starts.
    fn table(self, tag: &[u8; 4]) -> Option<usize> {
        let count = usize::from(self.u16(4)?);
        let entry = (0..count)
            .map(|i| 12 + 16 * i)
            .find(|&at| self.0.get(at..at + 4) == Some(tag.as_slice()))?;
        self.u32(entry + 8)
    }

    /// Where the map from 16-bit Unicode to glyphs starts.
    fn unicode_map(self) -> Option<usize> {
        let cmap = self.table(b"cmap")?;
        let count = usize::from(self.u16(cmap + 2)?);
        (0..count)
            .filter_map(|i| self.u32(cmap + 4 + 8 * i + 4))
            .map(|offset| cmap + offset)
            .find(|&map| self.u16(map) == Some(4))
    }

    /// Reports letter and glyph index for one range of letters.
    fn segment(
        self,
        map: usize,
        segments: usize,
        segment: usize,
        found: &mut dyn FnMut(u16, usize),
    ) -> Option<()> {
        let column = |k: usize| map + 14 + 2 * (k * segments + segment);
        let last = self.u16(column(0))?;
        // Two bytes of padding stand between the ends and the starts of the ranges.
        let first = self.u16(column(1) + 2)?;
        let shift = self.u16(column(2) + 2)?;
        let offset_at = column(3) + 2;
        let offset = usize::from(self.u16(offset_at)?);
        for letter in first..=last {
            let index = match offset {
                0 => letter.wrapping_add(shift),
                _ => match self.u16(offset_at + offset + 2 * usize::from(letter - first))? {
                    0 => 0,
                    index => index.wrapping_add(shift),
                },
            };
            if index != 0 && letter != u16::MAX {
                found(letter, usize::from(index));
            }
        }
        Some(())
    }
}
