//! Names of series in rows above a panel, each behind a piece of its line: for a panel beside which
//! they find no room, since a name that is left out lets its neighbour's be read as its own.

use super::frame::Pane;
use super::labels::EndLabel;
use super::{Dash, GAP, Page, Scene, Series, symbols};

/// Length of a piece of line, which shows each dash style twice, and room between two names.
const SAMPLE: f64 = 72.0;
const BETWEEN: f64 = 30.0;
/// Width of a piece of line, and of one that stands for an area.
const LINE: f64 = 3.2;
const AREA: f64 = 14.0;

/// One name: its lines, and where they begin.
#[derive(Clone, Debug)]
struct Item {
    lines: Vec<String>,
    left_px: f64,
    /// Lines of text above it.
    above: usize,
}

/// The names of one panel.
#[derive(Clone, Debug, Default)]
pub(super) struct Key {
    /// In the order of the labels.
    items: Vec<Item>,
    /// Lines of text it takes.
    pub(super) rows: usize,
}

impl Key {
    /// Names behind each other in rows as wide as the page has room.
    pub(super) fn new(labels: &[EndLabel<'_>], page: &Page) -> Self {
        let (begin, room_px) = (page.px(SAMPLE + GAP), page.room());
        let mut key = Key::default();
        let (mut left, mut high) = (0.0, 0);
        for label in labels {
            let face = label.face;
            let lines = face.wrap(&label.words, (room_px - begin).max(face.em_px));
            let wide = face.widest_px(&lines);
            if left > 0.0 && left + begin + wide > room_px {
                key.rows += high;
                (left, high) = (0.0, 0);
            }
            high = high.max(lines.len());
            key.items.push(Item { lines, left_px: left + begin, above: key.rows });
            left += begin + wide + page.px(BETWEEN);
        }
        key.rows += high;
        key
    }

    /// Draws it above the plot.
    pub(super) fn draw(&self, scene: &mut Scene, pane: &Pane<'_>) {
        let (page, line) = (&pane.frame.page, pane.frame.page.faces.text.line_px());
        let top = pane.panel.plot.top - page.px(GAP) - self.rows as f64 * line;
        for (item, label) in self.items.iter().zip(&pane.panel.labels) {
            let (palette, empty) = (&page.palette, label.series.is_empty());
            let colour = if empty { palette.muted } else { palette.series(label.series.colour) };
            let left = page.words_x.0 + item.left_px;
            let own = top + item.above as f64 * line;
            if !empty {
                sample(scene, page, label, (left - page.px(SAMPLE + GAP), own + line / 2.0));
            }
            scene.block(&item.lines, label.face.left(colour), (left, own));
        }
    }
}

/// A piece of the line, or its symbol.
fn sample(scene: &mut Scene, page: &Page, label: &EndLabel<'_>, (x, y): (f64, f64)) {
    let (series, area, long) = (label.series, label.is_area(), page.px(SAMPLE));
    let colour = page.palette.series(series.colour);
    let width_px = page.px(if area { AREA } else { LINE });
    if series.symbol.is_some() && !area {
        let one = Series { points: vec![(0.0, 0.0)], reach: Vec::new(), ..series.clone() };
        symbols::draw(scene, &one, |_| (x + long / 2.0, y), width_px, colour);
        return;
    }
    let dash = if area { Dash::Solid } else { series.dash };
    scene.dashes(&[(x, y), (x + long, y)], dash, width_px, colour);
}
