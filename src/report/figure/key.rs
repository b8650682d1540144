//! Names of series in rows above a panel, each behind a piece of its line: for a panel beside which
//! they find no room, since a name that is left out lets its neighbour's be read as its own.

use super::curve::dashed;
use super::data::{Dash, Series};
use super::font::{ABOVE_EM, Face};
use super::frame::{Frame, GAP};
use super::labels::EndLabel;
use super::palette::Rgb;
use super::panel::PanelFrame;
use super::scene::{Align, Scene, Shape, Text};
use super::symbols;

/// Length of a piece of line, which shows each dash style twice, and room between two names.
const SAMPLE: f64 = 72.0;
const BETWEEN: f64 = 30.0;
/// Width of a piece of line, and of one that stands for an area.
const LINE: f64 = 3.2;
const AREA: f64 = 14.0;

/// One name: which label, its lines, and where they begin.
#[derive(Clone, Debug)]
struct Item {
    label: usize,
    lines: Vec<String>,
    left_px: f64,
    /// Lines of text above it.
    above: usize,
}

/// The names of one panel.
#[derive(Clone, Debug, Default)]
pub(super) struct Key {
    items: Vec<Item>,
    rows: usize,
}

impl Key {
    /// Names behind each other in rows no wider than `room_px`.
    pub(super) fn new(labels: &[EndLabel], room_px: f64, unit: f64) -> Self {
        let begin = (SAMPLE + GAP) * unit;
        let mut key = Key::default();
        let (mut left, mut high) = (0.0, 0);
        for (label, one) in labels.iter().enumerate() {
            let lines = one.face.wrap(&one.words, (room_px - begin).max(one.face.em_px));
            let wide = lines.iter().map(|l| one.face.width_px(l)).fold(0.0, f64::max);
            if left > 0.0 && left + begin + wide > room_px {
                key.rows += high;
                (left, high) = (0.0, 0);
            }
            high = high.max(lines.len());
            key.items.push(Item { label, lines, left_px: left + begin, above: key.rows });
            left += begin + wide + BETWEEN * unit;
        }
        key.rows += high;
        key
    }

    /// Lines of text it takes.
    pub(super) fn rows(&self) -> usize {
        self.rows
    }

    /// Draws it from the top of its first row.
    pub(super) fn draw(
        &self,
        scene: &mut Scene,
        frame: &Frame<'_>,
        panel: &PanelFrame<'_>,
        top: f64,
    ) {
        let line = frame.faces.text.line_px();
        for item in &self.items {
            let label = &panel.labels[item.label];
            let Some(series) = label.series(panel.panel) else { continue };
            let empty = series.drawable_points().next().is_none();
            let palette = &frame.palette;
            let colour = if empty { palette.muted } else { palette.series(series.colour) };
            let left = frame.words_x.0 + item.left_px;
            let own = top + item.above as f64 * line;
            let area = panel.panel.stacked && !label.on_right;
            if !empty {
                let start = left - frame.px(SAMPLE + GAP);
                sample(scene, frame, (series, area), (start, own + line / 2.0), colour);
            }
            names(scene, item, label.face, (left, own), colour);
        }
    }
}

fn names(scene: &mut Scene, item: &Item, face: Face, (x, top): (f64, f64), colour: Rgb) {
    for (row, text) in item.lines.iter().enumerate() {
        let baseline = top + row as f64 * face.line_px() + ABOVE_EM * face.em_px;
        let text = text.clone();
        scene.text(Text { x, baseline, face, align: Align::Left, colour, text });
    }
}

/// A piece of the line, or its symbol.
fn sample(
    scene: &mut Scene,
    frame: &Frame<'_>,
    (series, area): (&Series, bool),
    (x, y): (f64, f64),
    colour: Rgb,
) {
    let (width_px, long) = (frame.px(if area { AREA } else { LINE }), frame.px(SAMPLE));
    if series.symbol.is_some() && !area {
        let one = Series { points: vec![(0.0, 0.0)], reach: Vec::new(), ..series.clone() };
        symbols::draw(scene, &one, |_, _| (x + long / 2.0, y), width_px, colour);
        return;
    }
    let dash = if area { Dash::Solid } else { series.dash };
    for points in dashed(&[(x, y), (x + long, y)], dash, width_px) {
        scene.shapes.push(Shape::Stroke { points, width_px, colour });
    }
}
