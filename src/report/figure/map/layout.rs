//! From a map to shapes: words, cells, contours, the colour bar.

use super::contour;
use super::data::Map;
use super::lines::{CONTOUR, LIMIT, on};
use super::pairs;
use super::places::places;
use crate::report::figure::axis::extent;
use crate::report::figure::curve::dashed;
use crate::report::figure::data::{Dash, axis_title, drawable};
use crate::report::figure::font::{Face, HALF_DIGIT_EM};
use crate::report::figure::page::{Page, SIDE, row};
use crate::report::figure::palette::{Palette, Rgb, mix};
use crate::report::figure::scene::{Align, Point, Rect, Scene, Shape, Text};
use crate::report::figure::style::{FigureError, Theme};
use crate::report::figure::ticks::{self, Ticks};

/// Lengths in reference pixels: between words and what they belong to.
const GAP: f64 = 12.0;
/// Width of the colour bar, and its distance from the cells.
const BAR: f64 = 36.0;
const BAR_GAP: f64 = 40.0;
/// Number of slices the bar is painted in.
const SLICES: usize = 64;
/// Length of the ticks at round numbers, and width of these and of the axes.
const TICK: f64 = 8.0;
const TICK_WIDE: f64 = 2.0;
/// Opacity of cells that break a limit.
pub(super) const FADED: f64 = 0.45;
/// Largest part of the page for the names left of the cells; longer ones are wrapped.
const NAMES: f64 = 0.38;
/// Least height and width of the cells.
const LEAST_PX: f64 = 110.0;

/// From the lowest to the highest value: Okabe and Ito's blue, green and yellow, which differ in
/// lightness and stay apart for colour-blind readers.
const RAMP: [Rgb; 4] =
    [(0x0B, 0x2E, 0x59), (0x00, 0x72, 0xB2), (0x00, 0x9E, 0x73), (0xF0, 0xE4, 0x42)];

/// The colour at a share of the way from the lowest to the highest value.
pub(super) fn ramp(share: f64) -> Rgb {
    let along = share.clamp(0.0, 1.0) * (RAMP.len() - 1) as f64;
    let piece = (along.floor() as usize).min(RAMP.len() - 2);
    mix(RAMP[piece], RAMP[piece + 1], along - piece as f64)
}

/// A map, measured.
pub(super) struct Layout<'a> {
    pub(super) map: &'a Map,
    pub(super) unit: f64,
    pub(super) palette: Palette,
    pub(super) plot: Rect,
    values: Rect,
    range: (f64, f64),
    /// Levels of the contours, marked on the bar.
    pub(super) ticks: Ticks,
    text: Face,
    /// Letters of the numbers on contours and in cells.
    pub(super) small: Face,
}

pub(super) fn scene(map: &Map, theme: Theme, size_px: (u32, u32)) -> Result<Scene, FigureError> {
    let mut page = Page::new(theme, size_px);
    let (text, small) = (page.face(28.0, false), page.face(24.0, false));
    let (left, room) = page.room();
    let y = page.head(&map.title, &map.subtitle);
    let mut foot = page.foot(&map.source_line);
    let Page { mut scene, palette, unit } = page;
    foot = legend(&mut scene, map, &palette, text, (left, foot, room), unit);

    let values = extent(map.cells.iter().flatten().copied().filter(|v| drawable(*v)));
    let range = match map.range.or(values) {
        Some((lo, hi)) if hi > lo => (lo, hi),
        Some((v, _)) => (v - 0.5 * v.abs().max(1.0), v + 0.5 * v.abs().max(1.0)),
        None => (0.0, 1.0),
    };
    let ticks = ticks::nice(range.0, range.1, 6);
    let widest = |names: &[String]| names.iter().map(|n| text.width_px(n)).fold(0.0, f64::max);
    let numbers = widest(&ticks.labels());
    let names = widest(&map.y.names).min(NAMES * room);
    let line = text.line_px();
    let heads = [axis_title(&map.y.label, &map.y.unit), axis_title(&map.label, &map.unit)];
    let half = 0.5 * room - GAP * unit;
    let wrapped = heads.map(|h| text.wrap(&h, half));
    let rows = wrapped.iter().map(Vec::len).max().unwrap_or(0) as f64;
    let top = y + GAP * unit;
    let bar_right = left + room - numbers - GAP * unit;
    let plot = Rect {
        left: left + names + GAP * unit,
        top: top + rows * line + GAP * unit,
        right: bar_right - (BAR + BAR_GAP) * unit,
        bottom: foot - 2.0 * line - 2.0 * GAP * unit,
    };
    if plot.height() < LEAST_PX * unit || plot.right - plot.left < LEAST_PX * unit {
        return Err(FigureError::Crowded { panels: 1, width: size_px.0, height: size_px.1 });
    }
    for (lines, x, align) in
        [(&wrapped[0], left, Align::Left), (&wrapped[1], left + room, Align::Right)]
    {
        for (i, words) in lines.iter().enumerate() {
            let at = (x, top + (rows - lines.len() as f64 + i as f64) * line);
            scene.text(row(words, text, at, align, palette.ink));
        }
    }
    let bar = Rect { left: bar_right - BAR * unit, right: bar_right, ..plot };
    let layout = Layout { map, unit, palette, plot, values: bar, range, ticks, text, small };
    layout.cells(&mut scene);
    layout.lines(&mut scene);
    if map.pairs {
        layout.pairs(&mut scene);
    }
    layout.bar(&mut scene);
    layout.steps(&mut scene);
    Ok(scene)
}

/// What the thick lines mean; returns where it starts.
fn legend(
    scene: &mut Scene,
    map: &Map,
    palette: &Palette,
    text: Face,
    (left, foot, room): (f64, f64, f64),
    unit: f64,
) -> f64 {
    let mut top = foot - GAP * unit;
    let stroke = 70.0 * unit;
    for (k, limit) in map.limits.iter().enumerate().rev() {
        // A line that is nowhere must not be looked for.
        let met = !contour::pieces(&limit.values, limit.level).is_empty();
        let words = if met {
            limit.words.clone()
        } else {
            format!("{} (no line on this map)", limit.words)
        };
        let lines = text.wrap(&words, room - stroke - GAP * unit);
        top -= lines.len() as f64 * text.line_px();
        let y = top + 0.5 * text.line_px();
        for points in dashed(&[(left, y), (left + stroke, y)], style(k), LIMIT * unit) {
            let width_px = LIMIT * unit;
            scene.shapes.push(Shape::Stroke { points, width_px, colour: palette.series(1) });
        }
        for (i, line) in lines.iter().enumerate() {
            let at = (left + stroke + GAP * unit, top + i as f64 * text.line_px());
            scene.text(row(line, text, at, Align::Left, palette.ink));
        }
    }
    top
}

/// Dash style of the k-th limit.
pub(super) fn style(k: usize) -> Dash {
    [Dash::Solid, Dash::Dash, Dash::DashDot, Dash::Dot][k % 4]
}

fn rectangle(r: Rect) -> Vec<Point> {
    vec![(r.left, r.top), (r.right, r.top), (r.right, r.bottom), (r.left, r.bottom)]
}

impl Layout<'_> {
    /// Size of a cell \[px\].
    pub(super) fn step(&self) -> (f64, f64) {
        let (columns, rows) = (self.map.x.names.len() as f64, self.map.y.names.len() as f64);
        ((self.plot.right - self.plot.left) / columns, self.plot.height() / rows)
    }

    /// Pixel of a place in steps, counted from the middle of the first cell.
    pub(super) fn px(&self, (i, j): Point) -> Point {
        let (dx, dy) = self.step();
        (self.plot.left + (i + 0.5) * dx, self.plot.bottom - (j + 0.5) * dy)
    }

    /// Share of the way from the lowest to the highest value.
    pub(super) fn share(&self, v: f64) -> f64 {
        (v - self.range.0) / (self.range.1 - self.range.0)
    }

    /// The colour at a share of the way from the lowest to the highest value: for pairs that of the
    /// paper halfway.
    pub(super) fn colour(&self, share: f64) -> Rgb {
        if self.map.pairs { pairs::colour(&self.palette, share) } else { ramp(share) }
    }

    fn cells(&self, scene: &mut Scene) {
        let (dx, dy) = self.step();
        let columns = self.map.x.names.len();
        for (j, cells) in self.map.cells.iter().take(self.map.y.names.len()).enumerate() {
            for (i, &v) in cells.iter().take(columns).enumerate().filter(|(_, v)| drawable(**v)) {
                let (x, y) = self.px((i as f64, j as f64));
                let (x0, y0) = ((x - 0.5 * dx).round(), (y - 0.5 * dy).round());
                let (x1, y1) = ((x + 0.5 * dx).round(), (y + 0.5 * dy).round());
                let outline = rectangle(Rect { left: x0, top: y0, right: x1, bottom: y1 });
                let colour = if self.map.pairs && i == j {
                    self.palette.grid
                } else {
                    self.colour(self.share(v))
                };
                let broken = self.map.limits.iter().any(|l| l.breaks(i, j));
                let alpha = if broken { FADED } else { 1.0 };
                scene.shapes.push(Shape::Area { outline, colour, alpha });
            }
        }
    }

    fn bar(&self, scene: &mut Scene) {
        let bar = self.values;
        let y = |share: f64| (bar.bottom - share * bar.height()).round();
        for k in 0..SLICES {
            let (low, high) = (k as f64 / SLICES as f64, (k + 1) as f64 / SLICES as f64);
            let outline = rectangle(Rect { top: y(high), bottom: y(low), ..bar });
            let colour = self.colour(0.5 * (low + high));
            scene.shapes.push(Shape::Area { outline, colour, alpha: 1.0 });
        }
        for (&v, label) in self.ticks.at.iter().zip(self.ticks.labels()) {
            let at = y(self.share(v));
            let colour = on(ramp(self.share(v)));
            scene.line((bar.left, at), (bar.right, at), CONTOUR * self.unit, colour);
            let baseline = at + HALF_DIGIT_EM * self.text.em_px;
            let x = bar.right + GAP * self.unit;
            let colour = self.palette.muted;
            scene.text(Text {
                x,
                baseline,
                face: self.text,
                align: Align::Left,
                colour,
                text: label,
            });
        }
    }

    /// Names of the steps, or round numbers between them with ticks.
    fn steps(&self, scene: &mut Scene) {
        let (face, muted, gap) = (self.text, self.palette.muted, GAP * self.unit);
        let (dx, dy) = self.step();
        let (x, y) = (&self.map.x, &self.map.y);
        let wide = |names: &[String]| {
            names.iter().map(|n| face.width_px(n)).fold(0.0, f64::max) + face.em_px
        };
        let (plot, tick) = (self.plot, TICK * self.unit);
        let (axis, width_px) = (self.palette.axis, TICK_WIDE * self.unit);
        let corner = (plot.left, plot.bottom);
        scene.line(corner, (plot.right, plot.bottom), width_px, axis);
        scene.line((plot.left, plot.top), corner, width_px, axis);
        let along = places(x, dx, wide);
        for (i, name) in &along.words {
            let at = self.px((*i, 0.0)).0;
            if along.round {
                scene.line((at, plot.bottom), (at, plot.bottom + tick), width_px, axis);
            }
            scene.text(row(name, face, (at, plot.bottom + gap), Align::Centre, muted));
        }
        let room = plot.left - gap - SIDE * self.unit;
        let upright = places(y, dy, |_| face.line_px());
        let free = upright.words.windows(2).map(|w| (w[1].0 - w[0].0) * dy).fold(dy, f64::max);
        let names: Vec<&str> = upright.words.iter().map(|(_, n)| n.as_str()).collect();
        let face = face.sized(&names, (room, free));
        for (j, name) in &upright.words {
            let at = self.px((0.0, *j)).1;
            if upright.round {
                scene.line((plot.left - tick, at), (plot.left, at), width_px, axis);
            }
            let lines = face.wrap(name, room);
            let middle = 0.5 * (lines.len() as f64 - 1.0);
            for (k, text) in lines.into_iter().enumerate() {
                let down = (k as f64 - middle) * face.line_px();
                let (baseline, x) = (at + down + HALF_DIGIT_EM * face.em_px, plot.left - gap);
                scene.text(Text { x, baseline, face, align: Align::Right, colour: muted, text });
            }
        }
        let at = (plot.right, plot.bottom + gap + self.text.line_px());
        let title = axis_title(&x.label, &x.unit);
        scene.text(row(&title, self.text, at, Align::Right, self.palette.ink));
    }
}
