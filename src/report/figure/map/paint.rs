//! From a map to shapes: words, cells, the colour bar; `lines` and `pairs` add contours and numbers.

use super::colours::{FADED, on, ramp};
use super::contour;
use super::data::Map;
use super::layout::{CONTOUR, LIMIT, Layout};
use super::places::places;
use crate::report::figure::axis::{Axis, extent};
use crate::report::figure::{
    Dash, Drawn, FigureError, GAP, Page, Rect, Scene, Style, axis_title, drawable,
};

/// Lengths in reference pixels: width of the colour bar, and its distance from the cells.
const BAR: f64 = 36.0;
const BAR_GAP: f64 = 40.0;
/// Number of slices the bar is painted in.
const SLICES: usize = 64;
/// Length of the ticks at round numbers, and width of these and of the axes.
const TICK: f64 = 8.0;
const TICK_WIDE: f64 = 2.0;
/// Largest part of the page for the names left of the cells; longer ones are wrapped.
const NAMES: f64 = 0.38;
/// Least height and width of the cells.
const LEAST_PX: f64 = 110.0;

pub(in crate::report::figure) fn scene(map: &Map, style: &Style) -> Drawn<Scene> {
    let page = Page::new(style)?;
    if map.x.names.is_empty() || map.y.names.is_empty() {
        return Err(FigureError::NoPanels);
    }
    let mut scene = page.blank();
    let gap = page.px(GAP);
    let top = page.head(&mut scene, &map.title, &map.subtitle) + gap;
    let foot = page.foot(&mut scene, &map.source_line);
    let foot = legend(&mut scene, map, &page, foot);
    let top = heads(&mut scene, map, &page, top) + gap;

    let (text, line, (left, right)) = (page.faces.text, page.faces.text.line_px(), page.words_x);
    let values = extent(map.cells.iter().flatten().copied().filter(|v| drawable(*v)));
    let scale = Axis::over(map.range.or(values), 6);
    let names = text.widest_px(&map.y.names).min(NAMES * page.room());
    let bar_right = right - text.widest_px(scale.ticks.labels()) - gap;
    let plot = Rect {
        left: left + names + gap,
        top,
        right: bar_right - page.px(BAR + BAR_GAP),
        bottom: foot - 2.0 * line - 2.0 * gap,
    };
    let least = page.px(LEAST_PX);
    if plot.height() < least || plot.width() < least {
        return Err(page.crowded(1));
    }
    let bar = Rect { left: bar_right - page.px(BAR), right: bar_right, ..plot };
    let layout = Layout { map, page, plot, bar, scale };
    layout.cells(&mut scene);
    layout.lines(&mut scene);
    if map.pairs {
        layout.pairs(&mut scene);
    }
    layout.bar(&mut scene);
    layout.steps(&mut scene);
    Ok(scene)
}

/// The quantities of the upright side and of the colours, the last lines level with each other; returns
/// where they end.
fn heads(scene: &mut Scene, map: &Map, page: &Page, top: f64) -> f64 {
    let (text, ink) = (page.faces.text, page.palette.ink);
    let half = 0.5 * page.room() - page.px(GAP);
    let left = text.wrap(&axis_title(&map.y.label, &map.y.unit), half);
    let right = text.wrap(&axis_title(&map.label, &map.unit), half);
    let rows = left.len().max(right.len());
    let from = |lines: &[String]| top + (rows - lines.len()) as f64 * text.line_px();
    scene.block(&left, text.left(ink), (page.words_x.0, from(&left)));
    scene.block(&right, text.right(ink), (page.words_x.1, from(&right)));
    top + rows as f64 * text.line_px()
}

/// What the thick lines mean; returns where it starts.
fn legend(scene: &mut Scene, map: &Map, page: &Page, foot: f64) -> f64 {
    let (text, left) = (page.faces.text, page.words_x.0);
    let mut top = foot - page.px(GAP);
    let stroke = page.px(70.0);
    let beside = stroke + page.px(GAP);
    for (k, limit) in map.limits.iter().enumerate().rev() {
        // A line that is nowhere must not be looked for.
        let met = !contour::pieces(&limit.values, limit.level).is_empty();
        let nowhere = if met { "" } else { " (no line on this map)" };
        let lines = text.wrap(&format!("{}{nowhere}", limit.words), page.room() - beside);
        top -= lines.len() as f64 * text.line_px();
        let y = top + 0.5 * text.line_px();
        let sample = [(left, y), (left + stroke, y)];
        scene.dashes(&sample, Dash::in_turn(k), page.px(LIMIT), page.palette.series(1));
        scene.block(&lines, text.left(page.palette.ink), (left + beside, top));
    }
    top
}

impl Layout<'_> {
    fn cells(&self, scene: &mut Scene) {
        let (dx, dy) = self.step();
        let columns = self.map.x.names.len();
        for (j, cells) in self.map.cells.iter().take(self.map.y.names.len()).enumerate() {
            for (i, &v) in cells.iter().take(columns).enumerate().filter(|(_, v)| drawable(**v)) {
                let (x, y) = self.px((i as f64, j as f64));
                let (left, top) = ((x - 0.5 * dx).round(), (y - 0.5 * dy).round());
                let (right, bottom) = ((x + 0.5 * dx).round(), (y + 0.5 * dy).round());
                let diagonal = self.map.pairs && i == j;
                let colour = if diagonal { self.page.palette.grid } else { self.colour(v) };
                let alpha = if self.broken(i, j) { FADED } else { 1.0 };
                scene.fill(Rect { left, top, right, bottom }, colour, alpha);
            }
        }
    }

    /// The colours with the numbers of the contours.
    fn bar(&self, scene: &mut Scene) {
        let (bar, page, text) = (self.bar, &self.page, self.page.faces.text);
        let y = |share: f64| (bar.bottom - share * bar.height()).round();
        for k in 0..SLICES {
            let (low, high) = (k as f64 / SLICES as f64, (k + 1) as f64 / SLICES as f64);
            let slice = Rect { top: y(high), bottom: y(low), ..bar };
            scene.fill(slice, self.colour_at(0.5 * (low + high)), 1.0);
        }
        for (&v, label) in self.scale.ticks.at.iter().zip(self.scale.ticks.labels()) {
            let at = y(self.scale.share(v));
            let colour = on(ramp(self.scale.share(v)));
            scene.line((bar.left, at), (bar.right, at), page.px(CONTOUR), colour);
            scene.beside(&[label], text.left(page.palette.muted), (bar.right + page.px(GAP), at));
        }
    }

    /// Names of the steps, or round numbers between them with ticks.
    fn steps(&self, scene: &mut Scene) {
        let (page, plot, (dx, dy)) = (&self.page, self.plot, self.step());
        let (text, muted, gap) = (page.faces.text, page.palette.muted, page.px(GAP));
        let (tick, width_px) = (page.px(TICK), page.px(TICK_WIDE));
        let stroke = |scene: &mut Scene, from, to| {
            scene.line(from, to, width_px, page.palette.axis);
        };
        let corner = (plot.left, plot.bottom);
        stroke(scene, corner, (plot.right, plot.bottom));
        stroke(scene, (plot.left, plot.top), corner);
        let along = places(&self.map.x, dx, |names| text.widest_px(names) + text.em_px);
        for (i, name) in &along.words {
            let at = self.px((*i, 0.0)).0;
            if along.round {
                stroke(scene, (at, plot.bottom), (at, plot.bottom + tick));
            }
            scene.block(&[name], text.centre(muted), (at, plot.bottom + gap));
        }
        let room = plot.left - gap - page.words_x.0;
        let upright = places(&self.map.y, dy, |_| text.line_px());
        let free = upright.words.windows(2).map(|w| (w[1].0 - w[0].0) * dy).fold(dy, f64::max);
        let names: Vec<&str> = upright.words.iter().map(|(_, n)| n.as_str()).collect();
        let face = text.sized(&names, (room, free));
        for (j, name) in &upright.words {
            let at = self.px((0.0, *j)).1;
            if upright.round {
                stroke(scene, (plot.left - tick, at), (plot.left, at));
            }
            scene.beside(&face.wrap(name, room), face.right(muted), (plot.left - gap, at));
        }
        let title = axis_title(&self.map.x.label, &self.map.x.unit);
        let at = (plot.right, plot.bottom + gap + text.line_px());
        scene.block(&[title], text.right(page.palette.ink), at);
    }
}
