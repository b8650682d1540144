//! From bars to shapes.

use super::data::{Bar, Bars};
use crate::report::figure::axis::extent;
use crate::report::figure::data::{axis_title, drawable};
use crate::report::figure::font::{Face, HALF_DIGIT_EM};
use crate::report::figure::page::{BOTTOM, Page, SIDE, row};
use crate::report::figure::scene::{Align, Rect, Scene, Shape, Text};
use crate::report::figure::style::{FigureError, Theme};
use crate::report::figure::ticks;

/// Distance of words from what they belong to \[reference pixels\].
const GAP: f64 = 12.0;
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

struct Layout<'a> {
    bars: &'a Bars,
    page: Page,
    text: Face,
}

pub(super) fn scene(bars: &Bars, theme: Theme, size_px: (u32, u32)) -> Result<Scene, FigureError> {
    let page = Page::new(theme, size_px);
    let text = page.face(28.0, false);
    let mut layout = Layout { bars, page, text };
    let top = layout.page.head(&bars.title, &bars.subtitle) + GAP * layout.page.unit;
    let most = layout.most(top);
    let foot = layout.foot(bars.rows.len().saturating_sub(most));
    layout.plot(top, foot, most)?;
    Ok(layout.page.scene)
}

impl Layout<'_> {
    fn width(&self) -> f64 {
        self.page.room().1
    }

    /// Bars in a row, one at least.
    fn to_a_row(&self) -> f64 {
        self.bars.rows.iter().map(|r| r.bars.len()).max().unwrap_or(1).max(1) as f64
    }

    /// How many rows there is room for below `top`.
    fn most(&self, top: f64) -> usize {
        let line = self.text.line_px();
        // footer, what was left out, keys, axis title and numbers
        let taken = (BOTTOM + 2.0 * GAP) * self.page.unit + 6.0 * line;
        let room = f64::from(self.page.scene.size_px.1) - top - taken;
        ((room / ((self.to_a_row() + BETWEEN) * line)) as usize).max(1)
    }

    /// Source line, what was left out, what the colours mean; returns where they start.
    fn foot(&mut self, left_out: usize) -> f64 {
        let (left, room) = self.page.room();
        let mut words = self.bars.source_line.clone();
        if left_out > 0 {
            words = format!("{left_out} more rows have no room here, see the table. {words}");
        }
        let mut foot = self.page.foot(&words);
        foot -= self.text.line_px() + GAP * self.page.unit;
        let (em, mut x) = (self.text.em_px, left);
        for (colour, words) in &self.bars.keys {
            let wide = 1.4 * em + self.text.width_px(words);
            if x > left && x + wide > left + room {
                x = left;
                foot -= self.text.line_px();
            }
            let square =
                Rect { left: x, top: foot + 0.2 * em, right: x + em, bottom: foot + 1.2 * em };
            self.area(square, *colour);
            let at = (x + 1.4 * em, foot);
            self.page.scene.text(row(words, self.text, at, Align::Left, self.page.palette.ink));
            x += wide + 1.6 * em;
        }
        foot
    }

    fn area(&mut self, r: Rect, colour: usize) {
        let outline =
            vec![(r.left, r.top), (r.right, r.top), (r.right, r.bottom), (r.left, r.bottom)];
        let colour = self.page.palette.series(colour);
        self.page.scene.shapes.push(Shape::Area { outline, colour, alpha: 1.0 });
    }

    fn plot(&mut self, top: f64, foot: f64, most: usize) -> Result<(), FigureError> {
        let (unit, line, bars) = (self.page.unit, self.text.line_px(), self.bars);
        let rows = &bars.rows[..most.min(bars.rows.len())];
        let gap = GAP * unit;
        let words = |r: &super::BarRow| {
            r.bars.iter().map(|b| self.text.width_px(&b.words)).fold(0.0, f64::max)
        };
        let names = rows.iter().map(|r| self.text.width_px(&r.name)).fold(0.0, f64::max);
        let names = names.min(NAMES * self.width());
        let beside = rows.iter().map(words).fold(0.0, f64::max).min(WORDS * self.width());
        let (left, right) = (SIDE * unit + names + 2.0 * gap, SIDE * unit + self.width());
        let inner = (left + beside + gap, right - beside - gap);
        let bottom = foot - 2.0 * line - gap;
        if inner.1 - inner.0 < LEAST_PX * unit || bottom - top < line {
            let (width, height) = self.page.scene.size_px;
            return Err(FigureError::Crowded { panels: rows.len(), width, height });
        }
        let ends = |b: &Bar| {
            let whisker = b.whisker.map_or([f64::NAN; 2], |w| [w.0, w.1]);
            [b.from, b.to, whisker[0], whisker[1]]
        };
        let all = rows.iter().flat_map(|r| r.bars.iter().flat_map(ends)).chain(bars.base);
        let (lo, hi) = match extent(all.filter(|v| drawable(*v))) {
            Some((lo, hi)) if hi > lo => (lo, hi),
            Some((v, _)) => (v - 0.5 * v.abs().max(1.0), v + 0.5 * v.abs().max(1.0)),
            None => (0.0, 1.0),
        };
        let x = |v: f64| inner.0 + (v - lo) / (hi - lo) * (inner.1 - inner.0);
        self.axis((top, bottom), right, (lo, hi), &x);
        let per_row = (bottom - top) / rows.len() as f64;
        let bar_px = (per_row - BETWEEN * line) / self.to_a_row();
        let bar_px = bar_px.min(TALLEST * line).max(0.5 * line);
        for (i, r) in rows.iter().enumerate() {
            let middle = top + (i as f64 + 0.5) * per_row;
            self.name(&r.name, (SIDE * unit, middle), (names + gap, per_row));
            let first = middle - 0.5 * bar_px * r.bars.len() as f64;
            for (k, bar) in r.bars.iter().enumerate() {
                let centre = first + (k as f64 + 0.5) * bar_px;
                self.bar(bar, (centre, FILLED * bar_px), &x, beside);
            }
        }
        if let Some(base) = bars.base.filter(|v| drawable(*v)) {
            let at = x(base);
            self.page.scene.line((at, top), (at, bottom), BASE * unit, self.page.palette.ink);
        }
        Ok(())
    }

    /// The name of a row, on as many lines as it takes: all that have room, in smaller letters if need be.
    fn name(&mut self, name: &str, (x, middle): (f64, f64), (wide, high): (f64, f64)) {
        let face = self.text.sized(&[name], (wide, high));
        let lines = face.wrap(name, wide);
        let colour = self.page.palette.ink;
        let first = middle - 0.5 * (lines.len() as f64 - 1.0) * face.line_px();
        for (k, text) in lines.into_iter().enumerate() {
            let baseline = first + k as f64 * face.line_px() + HALF_DIGIT_EM * face.em_px;
            self.page.scene.text(Text { x, baseline, face, align: Align::Left, colour, text });
        }
    }

    /// Grid, numbers and title of the axis.
    fn axis(
        &mut self,
        (top, bottom): (f64, f64),
        right: f64,
        (lo, hi): (f64, f64),
        x: &dyn Fn(f64) -> f64,
    ) {
        let (unit, line) = (self.page.unit, self.text.line_px());
        let ticks = ticks::nice(lo, hi, 6);
        let labels = ticks.labels();
        let widest = labels.iter().map(|l| self.text.width_px(l)).fold(0.0, f64::max);
        let wide = x(lo + ticks.step) - x(lo);
        let every = ((widest + self.text.em_px) / wide).ceil().max(1.0) as usize;
        for (k, (&v, label)) in ticks.at.iter().zip(labels).enumerate() {
            let at = x(v);
            self.page.scene.line((at, top), (at, bottom), GRID * unit, self.page.palette.grid);
            if k % every == 0 {
                let place = (at, bottom + GAP * unit * 0.5);
                self.page.scene.text(row(
                    &label,
                    self.text,
                    place,
                    Align::Centre,
                    self.page.palette.muted,
                ));
            }
        }
        let title = axis_title(&self.bars.label, &self.bars.unit);
        let at = (right, bottom + GAP * unit * 0.5 + line);
        // The title may reach over the names, not over the margin.
        let face = self.text.sized(&[&title], (self.width(), line));
        self.page.scene.text(row(&title, face, at, Align::Right, self.page.palette.ink));
    }

    fn bar(&mut self, bar: &Bar, (centre, high): (f64, f64), x: &dyn Fn(f64) -> f64, beside: f64) {
        if !drawable(bar.from) || !drawable(bar.to) {
            return;
        }
        let (from, to) = (x(bar.from), x(bar.to));
        let (left, right) = (from.min(to), from.max(to));
        let (top, bottom) = (centre - 0.5 * high, centre + 0.5 * high);
        self.area(Rect { left, top, right, bottom }, bar.colour);
        let (mut least, mut most) = (left, right);
        if let Some((low, high)) = bar.whisker.filter(|w| drawable(w.0) && drawable(w.1)) {
            let width = WHISKER * self.page.unit;
            self.page.scene.line((x(low), centre), (x(high), centre), width, self.page.palette.ink);
            (least, most) = (least.min(x(low)), most.max(x(high)));
        }
        let face = self.text;
        let words = face.wrap(&bar.words, beside + 1.0).into_iter().next().unwrap_or_default();
        let gap = 0.7 * GAP * self.page.unit;
        let (x, align) =
            if to < from { (least - gap, Align::Right) } else { (most + gap, Align::Left) };
        let baseline = centre + HALF_DIGIT_EM * face.em_px;
        let colour = self.page.palette.muted;
        self.page.scene.text(Text { x, baseline, face, align, colour, text: words });
    }
}
