//! Names of series at the ends of their lines.

use super::band;
use super::curve::dashed;
use super::data::{Dash, Panel, Series};
use super::font::{ABOVE_EM, BELOW_EM, Face};
use super::frame::{Frame, GAP, LEADER};
use super::palette::{Rgb, mix};
use super::panel::PanelFrame;
use super::place::{LabelSpan, place};
use super::scene::{Align, Point, Scene, Shape, Text};

/// Ends of lines closer than this \[reference pixels\] are as good as one: a third of a name's height.
const TIE: f64 = 10.0;

/// The name of one series, measured.
#[derive(Clone, Debug)]
pub(super) struct EndLabel {
    pub(super) words: String,
    pub(super) lines: Vec<String>,
    pub(super) face: Face,
    pub(super) width_px: f64,
    /// Position among the series of its axis.
    pub(super) index: usize,
    pub(super) on_right: bool,
}

impl EndLabel {
    fn height_px(&self) -> f64 {
        self.lines.len() as f64 * self.face.line_px()
    }

    pub(super) fn series<'a>(&self, panel: &'a Panel) -> Option<&'a Series> {
        match (&panel.right, self.on_right) {
            (Some(right), true) => right.series.get(self.index),
            _ => panel.series.get(self.index),
        }
    }
}

/// Measures the names of all series of a panel, wrapped to `most_px`.
pub(super) fn measure(panel: &Panel, text: Face, strong: Face, most_px: f64) -> Vec<EndLabel> {
    let left = panel.series.iter().enumerate().map(|s| (s, false));
    let right = panel.right.iter().flat_map(|axis| &axis.series);
    left.chain(right.enumerate().map(|s| (s, true)))
        .filter(|((_, series), _)| !series.quiet)
        .filter_map(|((index, series), on_right)| {
            let face = if series.emphasis { strong } else { text };
            let mut words = series.name.clone();
            if on_right && !words.trim().is_empty() {
                words.push_str(" (right)");
            }
            if series.drawable_points().next().is_none() {
                words.push_str(" (no data)");
            }
            let lines = face.wrap(&words, most_px);
            let width_px = lines.iter().map(|l| face.width_px(l)).fold(0.0, f64::max);
            (!lines.is_empty()).then_some(EndLabel {
                words,
                lines,
                face,
                width_px,
                index,
                on_right,
            })
        })
        .collect()
}

/// Where the line of a label ends, in pixels.
fn line_end(frame: &Frame<'_>, panel: &PanelFrame<'_>, label: &EndLabel) -> Option<Point> {
    if panel.panel.stacked && !label.on_right {
        let &(x, lower, upper) = panel.layers.get(label.index)?.end()?;
        let middle = lower + (upper - lower) / 2.0;
        return Some((frame.x_px(x), panel.y_px(middle, false)));
    }
    let series = label.series(panel.panel)?;
    if let Some(end) = band::of(series, 1.0).and_then(|b| b.last().copied()) {
        return Some((frame.x_px(end.x), panel.y_px(end.mean, label.on_right)));
    }
    // The largest x, so that a series written backwards also ends at its right end.
    let (x, y) = series.drawable_points().max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some((frame.x_px(x), panel.y_px(y, label.on_right)))
}

/// Room around names.
pub(super) fn gap_px(unit: f64) -> f64 {
    4.0 * unit
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

/// Draws all names of a panel and the thin lines that lead to them, or its key.
pub(super) fn draw(scene: &mut Scene, frame: &Frame<'_>, panel: &PanelFrame<'_>) {
    if let Some(key) = &panel.key {
        let rows = key.rows() as f64 * frame.faces.text.line_px();
        key.draw(scene, frame, panel, panel.plot.top - frame.px(GAP) - rows);
        return;
    }
    let gap = gap_px(frame.unit);
    let (top, bottom) = room(panel, gap);
    let ends: Vec<_> = panel.labels.iter().map(|label| line_end(frame, panel, label)).collect();
    let wish = |(label, end): (&EndLabel, &Option<Point>)| LabelSpan {
        centre: end.map_or(panel.plot.bottom, |(_, y)| y),
        height: label.height_px() + gap,
    };
    let wishes: Vec<LabelSpan> = panel.labels.iter().zip(&ends).map(wish).collect();
    let tie = if panel.panel.ordered { frame.px(TIE) } else { 0.0 };
    let places = place(&wishes, top, bottom, tie);
    for ((label, end), centre) in panel.labels.iter().zip(&ends).zip(places) {
        let Some(series) = label.series(panel.panel) else {
            continue;
        };
        let colour = match end {
            Some(_) => frame.palette.series(series.colour),
            None => frame.palette.muted,
        };
        write(scene, frame, panel, (&label.lines, label.face), centre, colour);
        if let Some(end) = end {
            leader(scene, frame, panel, *end, centre, (series, colour));
        }
    }
}

/// Left end of the leader lines of a panel: beyond the numbers of a right axis.
fn leader_left(frame: &Frame<'_>, panel: &PanelFrame<'_>) -> f64 {
    let numbers = panel.right.as_ref().map_or(0.0, |_| frame.right_numbers);
    panel.plot.right + numbers
}

fn write(
    scene: &mut Scene,
    frame: &Frame<'_>,
    panel: &PanelFrame<'_>,
    (lines, face): (&[String], Face),
    centre: f64,
    colour: Rgb,
) {
    let x = leader_left(frame, panel) + frame.px(LEADER);
    let top = centre - lines.len() as f64 * face.line_px() / 2.0;
    for (row, line) in lines.iter().enumerate() {
        let middle = top + (row as f64 + 0.5) * face.line_px();
        scene.text(Text {
            x,
            // The letters' box, not the line's, is centred on the leader line.
            baseline: middle + (ABOVE_EM - BELOW_EM) / 2.0 * face.em_px,
            face,
            align: Align::Left,
            colour,
            text: line.clone(),
        });
    }
}

/// From the end of the line to the name: faint inside the plot, then in the series' colour
/// and, where a panel has two axes, in its dash style too.
fn leader(
    scene: &mut Scene,
    frame: &Frame<'_>,
    panel: &PanelFrame<'_>,
    end: Point,
    centre: f64,
    (series, colour): (&Series, Rgb),
) {
    if panel.plot.right - end.0 > frame.px(GAP) {
        let faint = mix(frame.palette.paper, colour, 0.5);
        let width_px = frame.px(1.5);
        let inside = [(end.0, end.1), (panel.plot.right, end.1)];
        strokes(scene, &inside, Dash::Dot, width_px, faint);
    }
    let left = leader_left(frame, panel);
    let path = [(left + frame.px(6.0), end.1), (left + frame.px(LEADER - 8.0), centre)];
    let dash = panel.right.as_ref().map_or(Dash::Solid, |_| series.dash);
    strokes(scene, &path, dash, frame.px(2.0), colour);
}

fn strokes(scene: &mut Scene, path: &[Point], dash: Dash, width_px: f64, colour: Rgb) {
    for points in dashed(path, dash, width_px) {
        scene.shapes.push(Shape::Stroke { points, width_px, colour });
    }
}
