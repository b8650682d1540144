//! Draws names of series: at the ends of their lines, or in a key.

use super::font::{ABOVE_EM, BELOW_EM, HALF_DIGIT_EM};
use super::frame::{LEADER, Pane};
use super::key::{Key, SAMPLE};
use super::labels::{EndLabel, NAME_GAP};
use super::place::{LabelSpan, place};
use super::{Dash, GAP, Page, Point, Rgb, Scene, Series, band, mix, symbols};

/// Ends of lines closer than this \[reference pixels\] are as good as one: a third of a name's height.
const TIE: f64 = 10.0;
/// Width of a piece of line in a key, and of one that stands for an area.
const LINE: f64 = 3.2;
const AREA: f64 = 14.0;

impl Pane<'_> {
    /// Draws all names of the panel and the thin lines that lead to them, or its key.
    pub(super) fn names(&self, scene: &mut Scene) {
        let Pane { frame, panel } = *self;
        if let Some(key) = &panel.key {
            self.key(scene, key);
            return;
        }
        let gap = frame.page.px(NAME_GAP);
        let (top, bottom) = panel.names_room(gap);
        let ends: Vec<_> = panel.labels.iter().map(|label| self.line_end(label)).collect();
        let wish = |(label, end): (&EndLabel<'_>, &Option<Point>)| LabelSpan {
            centre: end.map_or(panel.plot.bottom, |(_, y)| y),
            height: label.height_px() + gap,
        };
        let wishes: Vec<LabelSpan> = panel.labels.iter().zip(&ends).map(wish).collect();
        let tie = if panel.panel.ordered { frame.page.px(TIE) } else { 0.0 };
        let places = place(&wishes, top, bottom, tie);
        for ((label, end), centre) in panel.labels.iter().zip(ends).zip(places) {
            let palette = &frame.page.palette;
            let colour = end.map_or(palette.muted, |_| palette.series(label.series.colour));
            let x = self.leader_left() + frame.page.px(LEADER);
            // The letters' box, not the line's, is centred on the leader line.
            let down = ((ABOVE_EM - BELOW_EM) / 2.0 - HALF_DIGIT_EM) * label.face.em_px;
            scene.beside(&label.lines, label.face.left(colour), (x, centre + down));
            if let Some(end) = end {
                self.leader(scene, end, centre, (label.series.dash, colour));
            }
        }
    }

    /// Draws a key above the plot.
    fn key(&self, scene: &mut Scene, key: &Key) {
        let (page, line) = (&self.frame.page, self.frame.page.faces.text.line_px());
        let top = self.panel.plot.top - page.px(GAP) - key.rows as f64 * line;
        for (item, label) in key.items.iter().zip(&self.panel.labels) {
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

    /// Where the line of a label ends, in pixels.
    fn line_end(&self, label: &EndLabel<'_>) -> Option<Point> {
        if let Some(layer) = label.layer {
            let &(x, lower, upper) = self.panel.layers.get(layer)?.end()?;
            return Some(self.at((x, lower + (upper - lower) / 2.0), false));
        }
        if let Some(end) = band::of(label.series, 1.0).and_then(|b| b.last().copied()) {
            return Some(self.at((end.x, end.mean), label.on_right));
        }
        // The largest x, so that a series written backwards also ends at its right end.
        let end = label.series.drawable_points().max_by(|a, b| a.0.total_cmp(&b.0))?;
        Some(self.at(end, label.on_right))
    }

    /// Left end of the leader lines: beyond the numbers of a right axis.
    fn leader_left(&self) -> f64 {
        let numbers = self.panel.right.as_ref().map_or(0.0, |_| self.frame.right_numbers);
        self.panel.plot.right + numbers
    }

    /// From the end of the line to the name: faint inside the plot, then in the series' colour
    /// and, where a panel has two axes, in its dash style too.
    fn leader(&self, scene: &mut Scene, end: Point, centre: f64, (dash, colour): (Dash, Rgb)) {
        let (page, right) = (&self.frame.page, self.panel.plot.right);
        if right - end.0 > page.px(GAP) {
            let faint = mix(page.palette.paper, colour, 0.5);
            scene.dashes(&[end, (right, end.1)], Dash::Dot, page.px(1.5), faint);
        }
        let left = self.leader_left();
        let path = [(left + page.px(6.0), end.1), (left + page.px(LEADER - 8.0), centre)];
        let dash = self.panel.right.as_ref().map_or(Dash::Solid, |_| dash);
        scene.dashes(&path, dash, page.px(2.0), colour);
    }
}

/// A piece of the line, or its symbol.
fn sample(scene: &mut Scene, page: &Page, label: &EndLabel<'_>, (x, y): (f64, f64)) {
    let (series, area, long) = (label.series, label.layer.is_some(), page.px(SAMPLE));
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
