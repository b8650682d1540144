//! Where everything of a sketch stands.
//!
//! `u` runs along the zones, `v` across them from one side of the room to the other; in an upright
//! picture the two change places.

use super::arrows::{Arrows, Corridor, KINDS, rate};
use super::data::{Lane, Sketch, Stream, Tile};
use super::words::{centred, edge, tile, tile_lines};
use crate::report::figure::{Drawn, Face, FigureError, Page, Rect, Scene, Style};

/// Sizes of text that are tried one after the other, in reference pixels: a full box still has to
/// fit.
const SIZES: [f64; 7] = [28.0, 26.0, 24.0, 22.0, 20.0, 18.0, 16.0];
/// Space beside, above and below all words \[reference pixels\].
const MARGINS: [f64; 3] = [40.0, 32.0, 24.0];
const GAP: f64 = 14.0;
/// Thickness of the room at both sides of an upright sketch.
const EDGE: f64 = 22.0;
/// Strength of the ink in the ground of the box and of the room.
const BOX_GROUND: f64 = 0.05;
const ROOM_GROUND: f64 = 0.22;

/// Shares of `v`: ways, zone, arrows to the contents, contents, arrows to the room. Those of a
/// wide picture leave room for lines of text, those of an upright one for words beside each other.
const WIDE: [f64; 5] = [0.27, 0.215, 0.135, 0.245, 0.135];
const UPRIGHT: [f64; 5] = [0.245, 0.23, 0.155, 0.22, 0.15];

struct Draft<'a> {
    scene: Scene,
    sketch: &'a Sketch,
    page: &'a Page,
    arrows: Arrows<'a>,
    upright: bool,
    /// Ends of the sketch along and across the zones.
    u: (f64, f64),
    v: (f64, f64),
    /// Whether everything has found room so far.
    fits: bool,
}

/// The sketch with the largest text that fits.
pub(in crate::report::figure) fn scene(sketch: &Sketch, style: &Style) -> Drawn<Scene> {
    let [side, top, bottom] = MARGINS;
    let page = Page::new(style)?.with_margins(side, top, bottom);
    if sketch.lanes.is_empty() {
        return Err(FigureError::NoPanels);
    }
    let mut tries = SIZES.iter().filter_map(|size| with_text(sketch, &page, *size));
    tries.next().ok_or_else(|| page.crowded(sketch.lanes.len()))
}

/// The sketch with text of `size` reference pixels; `None` if that is too large.
fn with_text(sketch: &Sketch, page: &Page, size: f64) -> Option<Scene> {
    let face = Face { em_px: page.px(size), bold: false };
    let mut draft = Draft {
        scene: page.blank(),
        sketch,
        page,
        arrows: Arrows { palette: &page.palette, face, largest: sketch.largest() },
        upright: page.size_px.1 > page.size_px.0,
        u: (0.0, 0.0),
        v: (0.0, 0.0),
        fits: true,
    };
    draft.words();
    draft.room();
    draft.places();
    draft.fits.then_some(draft.scene)
}

impl Draft<'_> {
    /// Title, subtitle, key and footer; what is left is for the sketch.
    fn words(&mut self) {
        let (page, sketch) = (self.page, self.sketch);
        let y = page.head(&mut self.scene, &sketch.title, &sketch.subtitle);
        let y = self.key(y + self.page.px(0.5 * GAP));
        let foot = page.faces.footer;
        let mut lines = foot.wrap(&sketch.note, page.room());
        lines.extend(foot.wrap(&sketch.source_line, page.room()));
        let bottom = page.words_y.1 - lines.len() as f64 * foot.line_px();
        self.scene.block(&lines, foot.left(self.page.palette.muted), (page.words_x.0, bottom));
        let (x, y) = (page.words_x, (y + self.page.px(GAP), bottom - self.page.px(GAP)));
        (self.u, self.v) = if self.upright { (y, x) } else { (x, y) };
    }

    /// What the two colours and the widths mean.
    fn key(&mut self, top: f64) -> f64 {
        let (face, (left, right)) = (self.arrows.face, self.page.words_x);
        let largest = self.arrows.largest.amounts();
        let (mut x, mut y) = (left, top);
        for (largest, (name, unit, colour)) in largest.into_iter().zip(KINDS) {
            let words = format!("{name} (widest arrow {} {unit})", rate(largest));
            let (width, colour) = (face.width_px(&words), self.page.palette.series(colour));
            if x > left && x + width > right {
                (x, y) = (left, y + face.line_px());
            }
            self.scene.block(&[words], face.left(colour), (x, y));
            x += width + 1.5 * face.em_px;
        }
        y + face.line_px()
    }

    /// From `u` and `v` to a rectangle.
    fn rect(&self, u: (f64, f64), v: (f64, f64)) -> Rect {
        let (x, y) = if self.upright { (v, u) } else { (u, v) };
        Rect { left: x.0, top: y.0, right: x.1, bottom: y.1 }
    }

    /// The room: a strip on both sides of the box, with its state.
    fn room(&mut self) {
        let face = self.arrows.face;
        let ground = self.page.palette.tinted(ROOM_GROUND);
        let words = [&self.sketch.room];
        let letters = face.left(self.page.palette.ink);
        if self.upright {
            let (x, top) = (self.v.0, self.u.0);
            self.u.0 = self.scene.block(&words, letters, (x, top));
            self.u.0 += 0.3 * face.em_px;
        }
        let thick = if self.upright { self.page.px(EDGE) } else { 1.2 * face.line_px() };
        for v in [(self.v.0, self.v.0 + thick), (self.v.1 - thick, self.v.1)] {
            let strip = self.rect(self.u, v);
            self.scene.fill(strip, ground, 1.0);
            if !self.upright {
                let at =
                    (strip.left + 0.5 * face.em_px, (strip.top + strip.bottom - face.em_px) / 2.0);
                self.scene.block(&words, letters, at);
            }
        }
        self.fits &= face.width_px(words[0]) <= self.rect(self.u, self.v).right;
        self.v = (self.v.0 + thick, self.v.1 - thick);
    }

    /// Ends of the five strips across the zones.
    fn strips(&self) -> [(f64, f64); 5] {
        let shares = if self.upright { UPRIGHT } else { WIDE };
        let mut at = self.v.0;
        shares.map(|share| {
            let from = at;
            at += share * (self.v.1 - self.v.0);
            (from, at)
        })
    }

    /// Heater, zones and what belongs to them.
    fn places(&mut self) {
        let strips = self.strips();
        let face = self.arrows.face;
        let between = if self.upright { 3.2 * face.line_px() } else { 5.6 * face.em_px };
        let heater = if self.upright { 4.2 * face.line_px() } else { 6.6 * face.em_px };
        let box_rect = self.rect(self.u, (strips[1].0 - self.page.px(GAP), strips[3].1));
        self.scene.fill(box_rect, self.page.palette.tinted(BOX_GROUND), 1.0);
        edge(&mut self.scene, box_rect, self.page.px(3.0), self.page.palette.axis);

        let pad = self.page.px(GAP);
        let heater = (self.u.0 + pad, self.u.0 + pad + heater);
        self.tile(heater, strips[1], &self.sketch.heater);
        let off = self.sketch.mains == Stream::default();
        let facts = off.then(|| "0 W".to_owned()).into_iter().collect();
        let mains = Tile { name: "mains".into(), facts };
        self.way(heater, strips[0], &mains, self.sketch.mains, false);
        let lanes = &self.sketch.lanes;
        let gaps = lanes.len() as f64 * between;
        let room = self.u.1 - pad - heater.1 - gaps;
        let needs: Vec<f64> =
            lanes.iter().map(|l| l.ways.len().max(l.contents.len()).max(1) as f64).collect();
        let total: f64 = needs.iter().sum();
        let (mut from, mut stream) = (heater.1, self.sketch.warming);
        for (lane, need) in lanes.iter().zip(needs) {
            let start = from + between;
            self.stream(self.rect((from, start), strips[1]), true, stream);
            let end = start + room * need / total;
            self.lane((start, end), &strips, lane);
            (from, stream) = (end, lane.onward);
        }
    }

    fn tile(&mut self, u: (f64, f64), v: (f64, f64), what: &Tile) {
        let (rect, face) = (self.rect(u, v), self.arrows.face);
        self.fits &= rect.right > rect.left && rect.bottom > rect.top;
        self.fits &= tile(&mut self.scene, rect, what, face, &self.page.palette);
    }

    /// A stream along the zones, or across them.
    fn stream(&mut self, rect: Rect, along: bool, stream: Stream) {
        let corridor = Corridor { rect, vertical: along == self.upright, backwards: false };
        self.fits &= self.arrows.draw(&mut self.scene, corridor, stream);
    }

    /// A way through the strip beside the zones: its words next to the room or above, its arrows.
    fn way(&mut self, u: (f64, f64), v: (f64, f64), what: &Tile, stream: Stream, outwards: bool) {
        let face = self.arrows.face;
        let v = (v.0, v.1 - self.page.px(GAP));
        let rect = self.rect(u, v);
        let width = rect.width() - 0.4 * face.em_px;
        let lines = tile_lines(what, face, width);
        let height = lines.len() as f64 * face.line_px();
        let mut top = rect.top + 0.15 * face.em_px;
        let mut bottom = rect.bottom;
        if self.upright {
            // Words and arrows keep together, in the middle of what may be a high slot.
            let spare = rect.bottom - top - height - self.arrows.level_px(stream);
            top += (0.5 * spare).max(0.0);
            bottom -= (0.5 * spare).max(0.0);
        }
        centred(&mut self.scene, &lines, (rect.centre().0, top), self.page.palette.ink);
        let longest = lines.iter().map(|(l, f)| f.width_px(l)).fold(0.0, f64::max);
        self.fits &= longest <= width;
        let below = Rect { top: top + height, bottom, ..rect };
        self.fits &= below.height() >= 0.0;
        let corridor = Corridor { rect: below, vertical: !self.upright, backwards: outwards };
        self.fits &= self.arrows.draw(&mut self.scene, corridor, stream);
    }

    fn lane(&mut self, u: (f64, f64), strips: &[(f64, f64); 5], lane: &Lane) {
        self.tile(u, strips[1], &lane.zone);
        let slots = |count: usize| {
            let step = (u.1 - u.0) / count.max(1) as f64;
            (0..count).map(move |i| (u.0 + i as f64 * step, u.0 + (i + 1) as f64 * step))
        };
        for (slot, way) in slots(lane.ways.len()).zip(&lane.ways) {
            self.way(slot, strips[0], &way.tile, way.out, true);
        }
        let half = self.page.px(0.5 * GAP);
        for (slot, content) in slots(lane.contents.len()).zip(&lane.contents) {
            self.stream(self.rect(slot, strips[2]), false, content.from_air);
            self.tile((slot.0 + half, slot.1 - half), strips[3], &content.tile);
            if let Some(stream) = content.to_room {
                self.stream(self.rect(slot, strips[4]), false, stream);
            }
        }
    }
}
