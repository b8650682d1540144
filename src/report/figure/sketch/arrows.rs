//! Arrows whose width follows the rate, with the rate beside them.

use super::data::Stream;
use crate::report::figure::{Face, Palette, Rect, Rgb, Scene};

/// What passes, in the order of [`Stream::amounts`]: its name, its unit, its place in the palette.
pub(super) const KINDS: [(&str, &str, usize); 2] = [("Heat", "W", 1), ("Water", "g/h", 4)];
/// Widths of the widest and of the thinnest arrow, in em of the text beside it.
const WIDEST_EM: f64 = 0.7;
const THINNEST_EM: f64 = 0.12;
/// Width of a head over that of its arrow.
const HEAD: f64 = 1.6;
/// Room around arrows, in em.
const GAP_EM: f64 = 0.35;
/// Rates below this share of the largest of their kind are left out, as are those below half of
/// the last digit written.
const LEAST_SHARE: f64 = 1e-3;
const LEAST: f64 = 5e-4;

/// Round-off of places, in pixels.
const SLACK: f64 = 0.01;

/// What all arrows of a sketch share.
pub(super) struct Arrows<'a> {
    pub(super) palette: &'a Palette,
    pub(super) face: Face,
    /// Largest rates.
    pub(super) largest: Stream,
}

/// Where arrows run: along `rect`, with positive amounts to the right or downwards.
#[derive(Clone, Copy, Debug)]
pub(super) struct Corridor {
    pub(super) rect: Rect,
    pub(super) vertical: bool,
    /// Whether positive amounts run left or upwards instead.
    pub(super) backwards: bool,
}

/// One arrow to be drawn.
struct Arrow {
    width_px: f64,
    head_px: f64,
    colour: Rgb,
    label: String,
    /// Whether it points right or down.
    forward: bool,
}

/// A rate with three digits where they matter.
pub(super) fn rate(value: f64) -> String {
    let decimals = match value.abs() {
        v if v >= 99.95 => 0,
        v if v >= 9.995 => 1,
        v if v >= 0.0995 => 2,
        _ => 3,
    };
    format!("{value:.decimals$}")
}

impl Arrows<'_> {
    fn of(&self, stream: Stream) -> Vec<Arrow> {
        let amounts = stream.amounts().into_iter().zip(self.largest.amounts()).zip(KINDS);
        let drawn = amounts.filter(|((amount, largest), _)| {
            amount.is_finite() && amount.abs() >= LEAST.max(LEAST_SHARE * largest)
        });
        let arrow = |((amount, largest), (_, unit, colour)): ((f64, f64), (_, &str, usize))| {
            let (size, em) = (amount.abs(), self.face.em_px);
            let width_px = (WIDEST_EM * em * size / largest).max(THINNEST_EM * em);
            Arrow {
                width_px,
                head_px: (HEAD * width_px).max(0.55 * em),
                colour: self.palette.series(colour),
                label: format!("{} {unit}", rate(size)),
                forward: amount > 0.0,
            }
        };
        drawn.map(arrow).collect()
    }

    /// Height of a stream drawn level, its rates included.
    pub(super) fn level_px(&self, stream: Stream) -> f64 {
        let arrows = self.of(stream);
        self.across_px(&arrows, self.gap_px(false)) + arrows.len() as f64 * self.face.line_px()
    }

    /// Room around arrows, which keep closer together where their rates stand between them.
    fn gap_px(&self, vertical: bool) -> f64 {
        if vertical { GAP_EM * self.face.em_px } else { 0.3 * GAP_EM * self.face.em_px }
    }

    /// Room that arrows beside each other take across their corridor.
    fn across_px(&self, arrows: &[Arrow], gap: f64) -> f64 {
        arrows.iter().map(|a| a.head_px + gap).sum()
    }

    /// Draws a stream; `false` if it does not fit. Upright arrows stand side by side, their rates to the right
    /// of them; level ones one below the other, the rate of the first above, that of the second below.
    pub(super) fn draw(&self, scene: &mut Scene, corridor: Corridor, stream: Stream) -> bool {
        let (face, Corridor { rect, vertical, .. }) = (self.face, corridor);
        let (arrows, gap) = (self.of(stream), self.gap_px(vertical));
        let Some((first, others)) = arrows.split_first() else { return true };
        let words = face.widest_px(arrows.iter().map(|a| &a.label));
        let rows = arrows.len() as f64 * face.line_px();
        let across = self.across_px(&arrows, gap);
        let (width, height) =
            if vertical { (across + words, rows) } else { (words, across + rows) };
        let shafts = |scene: &mut Scene, from: f64| {
            arrows.iter().fold(from, |at, arrow| {
                self.shaft(scene, arrow, corridor, at + arrow.head_px / 2.0);
                at + (arrow.head_px + gap)
            })
        };
        let top = (rect.top + rect.bottom - height) / 2.0;
        if vertical {
            let x = shafts(scene, (rect.left + rect.right - width) / 2.0);
            arrows.iter().fold(top, |top, arrow| {
                scene.block(&[&arrow.label], face.left(arrow.colour), (x, top))
            });
        } else {
            let write = |scene: &mut Scene, arrow: &Arrow, top: f64| {
                scene.block(&[&arrow.label], face.centre(arrow.colour), (rect.centre().0, top))
            };
            let below = write(scene, first, top) + gap;
            let below = shafts(scene, below);
            others.iter().fold(below, |top, arrow| write(scene, arrow, top));
        }
        width <= rect.width() + SLACK && height <= rect.height() + SLACK
    }

    /// One arrow along a corridor, its axis at `across`.
    fn shaft(&self, scene: &mut Scene, arrow: &Arrow, corridor: Corridor, across: f64) {
        let (rect, vertical) = (corridor.rect, corridor.vertical);
        let inset = 0.15 * self.face.em_px;
        let (low, high) = if vertical { (rect.top, rect.bottom) } else { (rect.left, rect.right) };
        let (low, high) = (low + inset, high - inset);
        let forward = arrow.forward != corridor.backwards;
        let (tail, tip) = if forward { (low, high) } else { (high, low) };
        let length = (0.75 * arrow.head_px).min(0.6 * (high - low).abs());
        let neck = tip - length * (tip - tail).signum();
        let (half, head) = (arrow.width_px / 2.0, arrow.head_px / 2.0);
        let side = [(tail, -half), (neck, -half), (neck, -head), (tip, 0.0)];
        let other = [(neck, head), (neck, half), (tail, half)];
        let place = |&(along, off): &(f64, f64)| {
            if vertical { (across + off, along) } else { (along, across + off) }
        };
        scene.area(side.iter().chain(&other).map(place).collect(), arrow.colour, 1.0);
    }
}

#[cfg(test)]
mod tests {
    use super::rate;

    #[test]
    fn rates_have_three_digits() {
        let cases =
            [(123.4, "123"), (99.96, "100"), (12.34, "12.3"), (1.234, "1.23"), (0.0123, "0.012")];
        for (value, want) in cases {
            assert_eq!(rate(value), want);
        }
    }
}
