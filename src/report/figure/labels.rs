//! Names of series at the ends of their lines.

use super::font::{ABOVE_EM, BELOW_EM, HALF_DIGIT_EM};
use super::frame::{LEADER, Pane};
use super::panel::PanelFrame;
use super::place::{LabelSpan, place};
use super::{Dash, Face, Faces, GAP, Page, Panel, Point, Rgb, Scene, Series, band, mix};

/// Ends of lines closer than this \[reference pixels\] are as good as one: a third of a name's height.
const TIE: f64 = 10.0;

/// The name of one series, measured.
#[derive(Clone, Debug)]
pub(super) struct EndLabel<'a> {
    pub(super) series: &'a Series,
    pub(super) words: String,
    pub(super) lines: Vec<String>,
    pub(super) face: Face,
    pub(super) width_px: f64,
    /// Which layer of a stacked panel it names.
    layer: Option<usize>,
    on_right: bool,
}

impl EndLabel<'_> {
    fn height_px(&self) -> f64 {
        self.lines.len() as f64 * self.face.line_px()
    }

    /// Whether it names an area rather than a line.
    pub(super) fn is_area(&self) -> bool {
        self.layer.is_some()
    }
}

/// Measures the names of all series of a panel, wrapped to `most_px`.
pub(super) fn measure<'a>(panel: &'a Panel, faces: &Faces, most_px: f64) -> Vec<EndLabel<'a>> {
    let loud = panel.all_series().enumerate().filter(|(_, (series, _))| !series.quiet);
    let measured = loud.map(|(index, (series, on_right))| {
        let face = if series.emphasis { faces.strong } else { faces.text };
        let mut words = series.name.clone();
        if on_right && !words.trim().is_empty() {
            words.push_str(" (right)");
        }
        if series.is_empty() {
            words.push_str(" (no data)");
        }
        let lines = face.wrap(&words, most_px);
        let width_px = face.widest_px(&lines);
        let layer = (panel.stacked && !on_right).then_some(index);
        EndLabel { series, words, lines, face, width_px, layer, on_right }
    });
    measured.filter(|label| !label.lines.is_empty()).collect()
}

/// Room around names.
pub(super) fn gap_px(page: &Page) -> f64 {
    page.px(4.0)
}

/// From where to where names may stand: a little above and below the plot; the x title stands below it.
fn room(panel: &PanelFrame<'_>, gap: f64) -> (f64, f64) {
    (panel.plot.top - 2.0 * gap, panel.plot.bottom + gap)
}

/// Whether all names of a panel find room at the ends of their lines.
pub(super) fn have_room(panel: &PanelFrame<'_>, gap: f64) -> bool {
    let (top, bottom) = room(panel, gap);
    panel.labels.iter().map(|l| l.height_px() + gap).sum::<f64>() <= bottom - top
}

impl Pane<'_> {
    /// Draws all names of the panel and the thin lines that lead to them, or its key.
    pub(super) fn names(&self, scene: &mut Scene) {
        let Pane { frame, panel } = *self;
        if let Some(key) = &panel.key {
            key.draw(scene, self);
            return;
        }
        let gap = gap_px(&frame.page);
        let (top, bottom) = room(panel, gap);
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
