//! Everything around the data: words, grid, axes, event marks.

use super::data::Series;
use super::font::{ABOVE_EM, Face, HALF_DIGIT_EM};
use super::frame::{Frame, GAP, X_GAP};
use super::palette::Rgb;
use super::panel::PanelFrame;
use super::scene::{Align, Scene, Text};

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
    let (faces, ink, muted) = (frame.faces, frame.palette.ink, frame.palette.muted);
    let left = frame.words_x.0;
    let below = block(scene, &frame.title, faces.title, (left, frame.title_top()), ink);
    block(scene, &frame.subtitle, faces.subtitle, (left, below), muted);
    block(scene, &frame.note, faces.text, (left, frame.note_top()), muted);
    block(scene, &frame.footer, faces.footer, (left, frame.footer_top()), muted);
}

/// Lines of text from a top left corner; returns where the next one would start.
fn block(scene: &mut Scene, lines: &[String], face: Face, at: (f64, f64), colour: Rgb) -> f64 {
    for (row, line) in lines.iter().enumerate() {
        let top = at.1 + row as f64 * face.line_px();
        scene.text(row_text(line, face, (at.0, top), Align::Left, colour));
    }
    at.1 + lines.len() as f64 * face.line_px()
}

/// A text on a row that starts at `top`.
fn row_text(text: &str, face: Face, (x, top): (f64, f64), align: Align, colour: Rgb) -> Text {
    Text { x, baseline: top + ABOVE_EM * face.em_px, face, align, colour, text: text.to_owned() }
}

/// Minor and major grid of a panel.
pub(super) fn grid(scene: &mut Scene, frame: &Frame<'_>, panel: &PanelFrame<'_>) {
    let plot = panel.plot;
    let width = frame.px(GRID);
    let across = |scene: &mut Scene, values: &[f64], colour: Rgb| {
        for &v in values {
            let y = panel.y_px(v, false);
            scene.line((plot.left, y), (plot.right, y), width, colour);
        }
    };
    let down = |scene: &mut Scene, values: &[f64], colour: Rgb| {
        for &v in values {
            let x = frame.x_px(v);
            scene.line((x, plot.top), (x, plot.bottom), width, colour);
        }
    };
    let (x_axis, y_axis) = (&frame.x_axis, &panel.left);
    let (palette, least) = (&frame.palette, frame.px(MINOR_LEAST));
    across(scene, &y_axis.minor(least / plot.height()), palette.minor);
    down(scene, &x_axis.minor(least / (plot.right - plot.left)), palette.minor);
    across(scene, &y_axis.ticks.at, palette.grid);
    down(scene, &x_axis.ticks.at, palette.grid);
}

/// Base line, numbers and words of a panel's axes.
pub(super) fn axes(scene: &mut Scene, frame: &Frame<'_>, panel: &PanelFrame<'_>) {
    let plot = panel.plot;
    let (face, muted) = (frame.faces.text, frame.palette.muted);
    let base = ((plot.left, plot.bottom), (plot.right, plot.bottom));
    scene.line(base.0, base.1, frame.px(AXIS), frame.palette.axis);
    let left_x = plot.left - frame.px(GAP);
    for (&v, label) in panel.left.ticks.at.iter().zip(panel.left.ticks.labels()) {
        let y = panel.y_px(v, false);
        scene.text(number(label, face, (left_x, y), Align::Right, muted));
    }
    let left_colour = match &panel.panel.right {
        Some(_) => own_colour(frame, &panel.panel.series),
        None => None,
    };
    let right_series = panel.panel.right.as_ref().map(|axis| &axis.series);
    let right_colour = right_series.and_then(|series| own_colour(frame, series));
    if let Some(axis) = &panel.right {
        let colour = right_colour.unwrap_or(muted);
        let top = (plot.right, plot.top);
        scene.line(top, base.1, frame.px(AXIS), colour);
        for (&v, label) in axis.ticks.at.iter().zip(axis.ticks.labels()) {
            let y = panel.y_px(v, true);
            let tick = plot.right + frame.px(0.5 * GAP);
            scene.line((plot.right, y), (tick, y), frame.px(AXIS), colour);
            let x = plot.right + frame.px(GAP);
            scene.text(number(label, face, (x, y), Align::Left, colour));
        }
    }
    let ink = frame.palette.ink;
    let colours = (left_colour.unwrap_or(ink), right_colour.unwrap_or(ink));
    header(scene, frame, panel, colours);
}

/// The colour of the only series on an axis.
fn own_colour(frame: &Frame<'_>, series: &[Series]) -> Option<Rgb> {
    match series {
        [only] => Some(frame.palette.series(only.colour)),
        _ => None,
    }
}

fn number(label: String, face: Face, at: (f64, f64), align: Align, colour: Rgb) -> Text {
    Text { x: at.0, baseline: at.1 + HALF_DIGIT_EM * face.em_px, face, align, colour, text: label }
}

fn header_top(frame: &Frame<'_>, panel: &PanelFrame<'_>) -> f64 {
    let rows = panel.header.rows() as f64 * frame.faces.text.line_px();
    panel.plot.top - frame.px(GAP) - rows
}

/// The words above a plot, from where to where on x they reach, per row.
fn header_texts(frame: &Frame<'_>, panel: &PanelFrame<'_>, (left, right): (Rgb, Rgb)) -> Vec<Text> {
    let face = frame.faces.text;
    let top = header_top(frame, panel);
    let row_top = |row: usize| top + row as f64 * face.line_px();
    let from_left = panel.header.left.iter().enumerate().map(|(row, line)| {
        let at = (frame.words_x.0, row_top(row));
        row_text(line, face, at, Align::Left, left)
    });
    let right_x = panel.plot.right + frame.right_numbers;
    let from_right = panel.header.right.iter().enumerate().map(|(row, line)| {
        let at = (right_x, row_top(panel.header.right_from + row));
        row_text(line, face, at, Align::Right, right)
    });
    from_left.chain(from_right).collect()
}

fn header(scene: &mut Scene, frame: &Frame<'_>, panel: &PanelFrame<'_>, colours: (Rgb, Rgb)) {
    for text in header_texts(frame, panel, colours) {
        scene.text(text);
    }
}

/// Numbers and words of the x axis, below the last panel.
pub(super) fn x_axis(scene: &mut Scene, frame: &Frame<'_>, last: &PanelFrame<'_>) {
    let (face, muted) = (frame.faces.text, frame.palette.muted);
    let top = last.plot.bottom + frame.px(X_GAP);
    let mut reach = last.plot.right;
    let ticks = &frame.x_axis.ticks;
    for (&v, label) in ticks.at.iter().zip(ticks.labels()) {
        let text = row_text(&label, face, (frame.x_px(v), top), Align::Centre, muted);
        reach = reach.max(text.bounds().right);
        scene.text(text);
    }
    let ink = frame.palette.ink;
    let title = if frame.x_title_beside {
        let at = (reach + 0.5 * face.em_px, top);
        row_text(&frame.x_title, face, at, Align::Left, ink)
    } else {
        let at = (last.plot.right, top + face.line_px());
        row_text(&frame.x_title, face, at, Align::Right, ink)
    };
    scene.text(title);
}

/// Event lines through all plots, and their words above.
pub(super) fn marks(scene: &mut Scene, frame: &Frame<'_>) {
    let (face, width) = (frame.faces.text, frame.px(EVENT));
    let colour = frame.palette.event;
    let mut before = f64::NEG_INFINITY;
    for mark in &frame.plan.marks {
        // Two lines closer than this would only look like one thick line.
        let apart = mark.x - before >= frame.px(EVENT_LEAST);
        if !apart && mark.words.is_none() {
            continue;
        }
        before = mark.x;
        for panel in &frame.panels {
            let plot = panel.plot;
            let bottom =
                if frame.plan.crowded { plot.top + frame.px(SHORT_MARK) } else { plot.bottom };
            scene.line((mark.x, plot.top), (mark.x, bottom), width, colour);
        }
        let Some(words) = &mark.words else { continue };
        let row = frame.plan.rows - 1 - words.row;
        let top = frame.marks_top() + row as f64 * face.line_px();
        let at = (words.left, top);
        let ink = frame.palette.muted;
        scene.text(row_text(&words.text, face, at, Align::Left, ink));
        lead_down(scene, frame, mark.x, top + face.line_px());
    }
}

/// From the words of a mark down to the first plot, past the words above that plot.
fn lead_down(scene: &mut Scene, frame: &Frame<'_>, x: f64, from: f64) {
    let Some(panel) = frame.panels.first() else {
        return;
    };
    let colour = frame.palette.event;
    let air = frame.px(0.5 * GAP);
    let texts = header_texts(frame, panel, (colour, colour))
        .iter()
        .map(Text::bounds)
        .any(|b| (b.left - air..=b.right + air).contains(&x));
    let blocked = texts || panel.key.is_some();
    let to = if blocked { header_top(frame, panel) - frame.px(2.0) } else { panel.plot.top };
    if to > from {
        scene.line((x, from), (x, to), frame.px(EVENT), colour);
    }
}
