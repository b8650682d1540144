//! Everything around the data: words, grid, axes, event marks.

use super::frame::{Frame, Pane, X_GAP};
use super::{GAP, Rgb, Scene, Series, Text};

/// Width of axes, grid and event lines in reference pixels.
const AXIS: f64 = 2.0;
const GRID: f64 = 1.2;
const EVENT: f64 = 2.0;
/// Least distance of two event lines of which one has no words.
const EVENT_LEAST: f64 = 4.5;
/// Length of the short ticks that stand for too many marks.
const SHORT_MARK: f64 = 14.0;
/// Least distance of two minor grid lines.
const MINOR_LEAST: f64 = 12.0;

/// Title, subtitle, note about marks, footer.
pub(super) fn words(scene: &mut Scene, frame: &Frame<'_>) {
    let (page, faces) = (&frame.page, frame.page.faces);
    let (left, muted) = (page.words_x.0, page.palette.muted);
    let title = faces.title.left(page.palette.ink);
    let below = scene.block(&frame.title, title, (left, page.words_y.0));
    scene.block(&frame.subtitle, faces.subtitle.left(muted), (left, below));
    scene.block(&frame.note, faces.text.left(muted), (left, frame.note_top));
    scene.block(&frame.footer, faces.footer.left(muted), (left, frame.footer_top));
}

impl Pane<'_> {
    /// Minor and major grid of a panel.
    pub(super) fn grid(&self, scene: &mut Scene) {
        let (page, plot) = (&self.frame.page, self.panel.plot);
        let (x_axis, y_axis) = (&self.frame.x_axis, &self.panel.left);
        let least = page.px(MINOR_LEAST);
        let minor = (x_axis.minor(least / plot.width()), y_axis.minor(least / plot.height()));
        let major = (&x_axis.ticks.at, &y_axis.ticks.at);
        let (width, palette) = (page.px(GRID), &page.palette);
        for ((along, upright), colour) in
            [((&minor.0, &minor.1), palette.minor), (major, palette.grid)]
        {
            for y in upright.iter().map(|v| self.panel.y_px(*v, false)) {
                scene.line((plot.left, y), (plot.right, y), width, colour);
            }
            for x in along.iter().map(|v| self.frame.x_px(*v)) {
                scene.line((x, plot.top), (x, plot.bottom), width, colour);
            }
        }
    }

    /// Base line, numbers and words of a panel's axes.
    pub(super) fn axes(&self, scene: &mut Scene) {
        let (page, panel, plot) = (&self.frame.page, self.panel, self.panel.plot);
        let (face, width, gap) = (page.faces.text, page.px(AXIS), page.px(GAP));
        let corner = (plot.right, plot.bottom);
        scene.line((plot.left, plot.bottom), corner, width, page.palette.axis);
        for (&v, label) in panel.left.ticks.at.iter().zip(panel.left.ticks.labels()) {
            let at = (plot.left - gap, panel.y_px(v, false));
            scene.beside(&[label], face.right(page.palette.muted), at);
        }
        let right = panel.panel.right.as_ref();
        let right_colour = right.and_then(|axis| self.own_colour(&axis.series));
        if let Some(axis) = &panel.right {
            let colour = right_colour.unwrap_or(page.palette.muted);
            scene.line((plot.right, plot.top), corner, width, colour);
            for (&v, label) in axis.ticks.at.iter().zip(axis.ticks.labels()) {
                let y = panel.y_px(v, true);
                scene.line((plot.right, y), (plot.right + 0.5 * gap, y), width, colour);
                scene.beside(&[label], face.left(colour), (plot.right + gap, y));
            }
        }
        let ink = page.palette.ink;
        let left_colour = right.and_then(|_| self.own_colour(&panel.panel.series));
        for text in self.header(left_colour.unwrap_or(ink), right_colour.unwrap_or(ink)) {
            scene.text(text);
        }
    }

    /// The colour of the only series on an axis.
    fn own_colour(&self, series: &[Series]) -> Option<Rgb> {
        match series {
            [only] => Some(self.frame.page.palette.series(only.colour)),
            _ => None,
        }
    }

    fn header_top(&self) -> f64 {
        let page = &self.frame.page;
        let rows = self.panel.header.rows() as f64 * page.faces.text.line_px();
        self.panel.plot.top - page.px(GAP) - rows
    }

    /// The words above a plot.
    fn header(&self, left: Rgb, right: Rgb) -> Vec<Text> {
        let (page, header) = (&self.frame.page, &self.panel.header);
        let (face, top) = (page.faces.text, self.header_top());
        let right_x = self.panel.plot.right + self.frame.right_numbers;
        let from_left = (0..).zip(&header.left).map(|row| (row, face.left(left), page.words_x.0));
        let rows = (header.right_from..).zip(&header.right);
        let from_right = rows.map(|row| (row, face.right(right), right_x));
        let line = face.line_px();
        let all = from_left.chain(from_right);
        all.map(|((k, words), letters, x)| letters.row(words, (x, top + k as f64 * line))).collect()
    }

    /// From the words of a mark down to the first plot, past the words above that plot.
    fn lead_down(&self, scene: &mut Scene, x: f64, from: f64) {
        let page = &self.frame.page;
        let (colour, air) = (page.palette.event, page.px(0.5 * GAP));
        let over = |b: &Text| (b.bounds().left - air..=b.bounds().right + air).contains(&x);
        let blocked = self.panel.key.is_some() || self.header(colour, colour).iter().any(over);
        let to = if blocked { self.header_top() - page.px(2.0) } else { self.panel.plot.top };
        if to > from {
            scene.line((x, from), (x, to), page.px(EVENT), colour);
        }
    }
}

/// Numbers and words of the x axis, below the last panel.
pub(super) fn x_axis(scene: &mut Scene, frame: &Frame<'_>) {
    let Some(plot) = frame.panels.last().map(|last| last.plot) else { return };
    let (page, face) = (&frame.page, frame.page.faces.text);
    let top = plot.bottom + page.px(X_GAP);
    let mut reach = plot.right;
    let ticks = &frame.x_axis.ticks;
    for (&v, label) in ticks.at.iter().zip(ticks.labels()) {
        let text = face.centre(page.palette.muted).row(&label, (frame.x_px(v), top));
        reach = reach.max(text.bounds().right);
        scene.text(text);
    }
    let ink = page.palette.ink;
    scene.text(match frame.x_title_beside {
        true => face.left(ink).row(&frame.x_title, (reach + 0.5 * face.em_px, top)),
        false => face.right(ink).row(&frame.x_title, (plot.right, top + face.line_px())),
    });
}

/// Event lines through all plots, and their words above.
pub(super) fn marks(scene: &mut Scene, frame: &Frame<'_>) {
    let (page, face) = (&frame.page, frame.page.faces.text);
    let mut before = f64::NEG_INFINITY;
    for mark in &frame.plan.marks {
        // Two lines closer than this would only look like one thick line.
        let apart = mark.x - before >= page.px(EVENT_LEAST);
        if !apart && mark.words.is_none() {
            continue;
        }
        before = mark.x;
        for plot in frame.panels.iter().map(|panel| panel.plot) {
            let short = frame.plan.crowded;
            let bottom = if short { plot.top + page.px(SHORT_MARK) } else { plot.bottom };
            let (from, to) = ((mark.x, plot.top), (mark.x, bottom));
            scene.line(from, to, page.px(EVENT), page.palette.event);
        }
        let Some(words) = &mark.words else { continue };
        let row = frame.plan.rows - 1 - words.row;
        let top = frame.marks_top + row as f64 * face.line_px();
        let below = scene.block(&[&words.text], face.left(page.palette.muted), (words.left, top));
        if let Some(first) = frame.panes().next() {
            first.lead_down(scene, mark.x, below);
        }
    }
}
