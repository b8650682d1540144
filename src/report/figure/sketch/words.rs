//! Tiles of a sketch, and whether their words find room.

use super::data::Tile;
use crate::report::figure::{Face, Palette, Point, Rect, Rgb, Scene};

/// Strength of the ink in the ground of tiles, and in their outline.
const TILE_GROUND: f64 = 0.13;
const TILE_EDGE: f64 = 0.38;

/// The lines of a tile no wider than `width_px`: its name, then its facts.
pub(super) fn tile_lines(tile: &Tile, face: Face, width_px: f64) -> Vec<(String, Face)> {
    let strong = Face { bold: true, ..face };
    let name = strong.wrap(&tile.name, width_px).into_iter().map(|l| (l, strong));
    // Facts flow behind each other, each kept whole where it fits.
    let whole = |f: &String| {
        if face.width_px(f) < width_px { f.replace(' ', "\u{A0}") } else { f.clone() }
    };
    let facts = tile.facts.iter().map(whole).collect::<Vec<_>>().join(", ");
    let facts = face.wrap(&facts, width_px).into_iter().map(|l| (l, face));
    name.chain(facts).collect()
}

/// Draws a tile; `false` if its words do not fit.
pub(super) fn tile(
    scene: &mut Scene,
    rect: Rect,
    tile: &Tile,
    face: Face,
    palette: &Palette,
) -> bool {
    scene.fill(rect, palette.tinted(TILE_GROUND), 1.0);
    edge(scene, rect, (face.em_px / 14.0).max(1.0), palette.tinted(TILE_EDGE));
    let pad = 0.4 * face.em_px;
    let width = rect.width() - 2.0 * pad;
    let lines = tile_lines(tile, face, width);
    let height = lines.len() as f64 * face.line_px();
    let top = (rect.top + rect.bottom - height) / 2.0;
    centred(scene, &lines, (rect.centre().0, top), palette.ink);
    // A word cut in two by wrapping would be no word.
    let strong = Face { bold: true, ..face };
    let facts = tile.facts.iter().flat_map(|f| f.split_whitespace());
    let longest = face.widest_px(facts).max(strong.widest_px(tile.name.split_whitespace()));
    longest <= width && height <= rect.height()
}

/// Lines with a face of their own, centred below each other.
pub(super) fn centred(scene: &mut Scene, lines: &[(String, Face)], (x, top): Point, colour: Rgb) {
    for (row, (line, face)) in lines.iter().enumerate() {
        let at = (x, top + row as f64 * face.line_px());
        scene.block(&[line], face.centre(colour), at);
    }
}

/// The outline of a rectangle.
pub(super) fn edge(scene: &mut Scene, rect: Rect, width_px: f64, colour: Rgb) {
    let [a, b, c, d] = rect.corners();
    for (from, to) in [(a, b), (d, c), (a, d), (b, c)] {
        scene.line(from, to, width_px, colour);
    }
}
