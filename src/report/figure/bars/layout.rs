//! From bars to shapes.

use super::data::{Bar, BarRow, Bars};
use crate::report::figure::axis::{Axis, extent};
use crate::report::figure::{
    Drawn, FigureError, GAP, Page, Rect, Rgb, Scene, Style, axis_title, drawable,
};

/// Line widths: grid, base, whisker.
const GRID: f64 = 1.2;
const BASE: f64 = 2.6;
const WHISKER: f64 = 2.6;
/// Share of a bar's line that the bar fills.
const FILLED: f64 = 0.78;
/// Tallest line of a bar, in lines of text: a few rows must not become blocks.
const TALLEST: f64 = 2.2;
/// Space between rows, in lines of text.
const BETWEEN: f64 = 0.5;
/// Largest share of the width that names may take, and that the words beyond the bars may take on
/// each side.
const NAMES: f64 = 0.30;
const WORDS: f64 = 0.22;
/// Least width of the bars' axis.
const LEAST_PX: f64 = 110.0;

/// Bars, measured.
struct Layout<'a> {
    bars: &'a Bars,
    page: Page,
    /// Between the names and the right margin, without the numbers of the axis.
    plot: Rect,
    /// Most bars in a row, one at least.
    to_a_row: f64,
    /// The axis, and its ends in pixels.
    axis: Axis,
    ends_px: (f64, f64),
    /// Room for words beyond the bars.
    beside_px: f64,
}

pub(in crate::report::figure) fn scene(bars: &Bars, style: &Style) -> Drawn<Scene> {
    let page = Page::new(style)?;
    if bars.rows.is_empty() {
        return Err(FigureError::NoPanels);
    }
    let mut scene = page.blank();
    let (text, gap, (left, right)) = (page.faces.text, page.px(GAP), page.words_x);
    let line = text.line_px();
    let top = page.head(&mut scene, &bars.title, &bars.subtitle) + gap;
    let to_a_row = bars.rows.iter().map(|r| r.bars.len()).max().unwrap_or(1).max(1) as f64;
    // Footer, what was left out, keys, axis title and numbers.
    let room = page.words_y.1 - top - 2.0 * gap - 6.0 * line;
    let most = ((room / ((to_a_row + BETWEEN) * line)) as usize).max(1);
    let rows = &bars.rows[..most.min(bars.rows.len())];
    let foot = foot(&mut scene, bars, &page, bars.rows.len() - rows.len());

    let all = || rows.iter().flat_map(|r| &r.bars);
    let names = text.widest_px(rows.iter().map(|r| &r.name)).min(NAMES * page.room());
    let beside_px = text.widest_px(all().map(|b| &b.words)).min(WORDS * page.room());
    let bottom = foot - 2.0 * line - gap;
    let plot = Rect { left: left + names + 2.0 * gap, top, right, bottom };
    let ends_px = (plot.left + beside_px + gap, plot.right - beside_px - gap);
    if ends_px.1 - ends_px.0 < page.px(LEAST_PX) || plot.height() < line {
        return Err(page.crowded(rows.len()));
    }
    let whiskers = all().filter_map(|b| b.whisker).flat_map(|w| [w.0, w.1]);
    let values = all().flat_map(|b| [b.from, b.to]).chain(whiskers).chain(bars.base);
    let axis = Axis::over(extent(values.filter(|v| drawable(*v))), 6);
    let layout = Layout { bars, page, plot, to_a_row, axis, ends_px, beside_px };
    layout.axis(&mut scene);
    layout.rows(&mut scene, rows);
    if let Some(base) = bars.base.filter(|v| drawable(*v)) {
        layout.upright(&mut scene, base, BASE, layout.page.palette.ink);
    }
    Ok(scene)
}

/// Source line, what was left out, what the colours mean; returns where they start.
fn foot(scene: &mut Scene, bars: &Bars, page: &Page, left_out: usize) -> f64 {
    let mut words = bars.source_line.clone();
    if left_out > 0 {
        words = format!("{left_out} more rows have no room here, see the table. {words}");
    }
    let (text, (left, right)) = (page.faces.text, page.words_x);
    let mut foot = page.foot(scene, &words) - (text.line_px() + page.px(GAP));
    let (em, mut x) = (text.em_px, left);
    for (colour, words) in &bars.keys {
        let wide = 1.4 * em + text.width_px(words);
        if x > left && x + wide > right {
            x = left;
            foot -= text.line_px();
        }
        let square = Rect { left: x, top: foot + 0.2 * em, right: x + em, bottom: foot + 1.2 * em };
        scene.fill(square, page.palette.series(*colour), 1.0);
        scene.block(&[words], text.left(page.palette.ink), (x + 1.4 * em, foot));
        x += wide + 1.6 * em;
    }
    foot
}

impl Layout<'_> {
    /// Pixel of a value.
    fn x(&self, v: f64) -> f64 {
        let (from, to) = self.ends_px;
        from + self.axis.share(v) * (to - from)
    }

    /// A line across all rows.
    fn upright(&self, scene: &mut Scene, v: f64, width: f64, colour: Rgb) {
        let x = self.x(v);
        scene.line((x, self.plot.top), (x, self.plot.bottom), self.page.px(width), colour);
    }

    /// Grid, numbers and title of the axis.
    fn axis(&self, scene: &mut Scene) {
        let (page, text) = (&self.page, self.page.faces.text);
        let Axis { lo, ticks, .. } = &self.axis;
        let labels = ticks.labels();
        let wide = self.x(lo + ticks.step) - self.x(*lo);
        let every = ((text.widest_px(&labels) + text.em_px) / wide).ceil().max(1.0) as usize;
        let below = self.plot.bottom + page.px(GAP) * 0.5;
        for (k, (&v, label)) in ticks.at.iter().zip(labels).enumerate() {
            self.upright(scene, v, GRID, page.palette.grid);
            if k % every == 0 {
                scene.block(&[label], text.centre(page.palette.muted), (self.x(v), below));
            }
        }
        let title = axis_title(&self.bars.label, &self.bars.unit);
        // The title may reach over the names, not over the margin.
        let face = text.sized(&[&title], (page.room(), text.line_px()));
        let at = (self.plot.right, below + text.line_px());
        scene.block(&[title], face.right(page.palette.ink), at);
    }

    /// Names and bars.
    fn rows(&self, scene: &mut Scene, rows: &[BarRow]) {
        let (text, left) = (self.page.faces.text, self.page.words_x.0);
        let (line, ink) = (text.line_px(), self.page.palette.ink);
        let names = self.plot.left - self.page.px(GAP) - left;
        let per_row = self.plot.height() / rows.len() as f64;
        let bar_px = (per_row - BETWEEN * line) / self.to_a_row;
        let bar_px = bar_px.min(TALLEST * line).max(0.5 * line);
        for (i, r) in rows.iter().enumerate() {
            let middle = self.plot.top + (i as f64 + 0.5) * per_row;
            // On as many lines as it takes, in smaller letters if need be.
            let face = text.sized(&[&r.name], (names, per_row));
            scene.beside(&face.wrap(&r.name, names), face.left(ink), (left, middle));
            let first = middle - 0.5 * bar_px * r.bars.len() as f64;
            for (k, bar) in r.bars.iter().enumerate() {
                self.bar(scene, bar, first + (k as f64 + 0.5) * bar_px, FILLED * bar_px);
            }
        }
    }

    fn bar(&self, scene: &mut Scene, bar: &Bar, centre: f64, high: f64) {
        if !drawable(bar.from) || !drawable(bar.to) {
            return;
        }
        let palette = &self.page.palette;
        let (from, to) = (self.x(bar.from), self.x(bar.to));
        let (left, right) = (from.min(to), from.max(to));
        let (top, bottom) = (centre - 0.5 * high, centre + 0.5 * high);
        scene.fill(Rect { left, top, right, bottom }, palette.series(bar.colour), 1.0);
        let (mut least, mut most) = (left, right);
        if let Some((low, high)) = bar.whisker.filter(|w| drawable(w.0) && drawable(w.1)) {
            let (low, high) = (self.x(low), self.x(high));
            scene.line((low, centre), (high, centre), self.page.px(WHISKER), palette.ink);
            (least, most) = (least.min(low), most.max(high));
        }
        let face = self.page.faces.text;
        let words = face.wrap(&bar.words, self.beside_px + 1.0).into_iter().next();
        let gap = 0.7 * GAP * self.page.unit;
        let (x, letters) = match to < from {
            true => (least - gap, face.right(palette.muted)),
            false => (most + gap, face.left(palette.muted)),
        };
        scene.beside(&[words.unwrap_or_default()], letters, (x, centre));
    }
}
