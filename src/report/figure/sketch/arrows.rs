//! Arrows whose width follows the rate, with the rate beside them.

use super::data::Stream;
use crate::report::figure::{Face, Palette, Rect, Rgb, Scene};

/// Palette places of heat and water.
const HEAT: usize = 1;
const WATER: usize = 4;
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

/// Room that arrows beside each other take.
fn side_by_side_px(arrows: &[Arrow], gap: f64) -> f64 {
    arrows.iter().map(|a| a.head_px + gap).sum()
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
    /// Colour of heat.
    pub(super) fn heat(&self) -> Rgb {
        self.palette.series(HEAT)
    }

    /// Colour of water.
    pub(super) fn water(&self) -> Rgb {
        self.palette.series(WATER)
    }

    fn arrow(&self, amount: f64, largest: f64, unit: &str, colour: Rgb) -> Option<Arrow> {
        let size = amount.abs();
        if !size.is_finite() || size < LEAST || size < LEAST_SHARE * largest {
            return None;
        }
        let em = self.face.em_px;
        let width_px = (WIDEST_EM * em * size / largest).max(THINNEST_EM * em);
        let head_px = (HEAD * width_px).max(0.55 * em);
        let label = format!("{} {unit}", rate(size));
        Some(Arrow { width_px, head_px, colour, label, forward: amount > 0.0 })
    }

    fn of(&self, stream: Stream) -> Vec<Arrow> {
        let heat = self.arrow(stream.heat_w, self.largest.heat_w, "W", self.heat());
        let water = self.arrow(stream.water_g_h, self.largest.water_g_h, "g/h", self.water());
        heat.into_iter().chain(water).collect()
    }

    /// Height of a stream drawn level, its rates included.
    pub(super) fn level_px(&self, stream: Stream) -> f64 {
        self.level_high(&self.of(stream))
    }

    fn level_high(&self, arrows: &[Arrow]) -> f64 {
        side_by_side_px(arrows, self.level_gap_px()) + arrows.len() as f64 * self.face.line_px()
    }

    fn level_gap_px(&self) -> f64 {
        0.3 * GAP_EM * self.face.em_px
    }

    /// Draws a stream; `false` if it does not fit.
    pub(super) fn draw(&self, scene: &mut Scene, corridor: Corridor, stream: Stream) -> bool {
        let arrows = self.of(stream);
        if arrows.is_empty() {
            return true;
        }
        if corridor.vertical {
            self.upright(scene, corridor, &arrows)
        } else {
            self.level(scene, corridor, &arrows)
        }
    }

    /// Arrows side by side, their rates to the right of them.
    fn upright(&self, scene: &mut Scene, corridor: Corridor, arrows: &[Arrow]) -> bool {
        let (face, rect) = (self.face, corridor.rect);
        let gap = GAP_EM * face.em_px;
        let words = face.widest_px(arrows.iter().map(|a| &a.label));
        let width = side_by_side_px(arrows, gap) + words;
        let left = (rect.left + rect.right - width) / 2.0;
        let x = self.shafts(scene, corridor, arrows, left, gap);
        let rows = arrows.len() as f64 * face.line_px();
        let mut top = (rect.top + rect.bottom - rows) / 2.0;
        for arrow in arrows {
            top = scene.block(&[&arrow.label], face.left(arrow.colour), (x, top));
        }
        width <= rect.width() + SLACK && rows <= rect.height() + SLACK
    }

    /// Arrows one below the other, the rate of the first above, that of the second below.
    fn level(&self, scene: &mut Scene, corridor: Corridor, arrows: &[Arrow]) -> bool {
        let (face, rect, gap) = (self.face, corridor.rect, self.level_gap_px());
        let height = self.level_high(arrows);
        let write = |scene: &mut Scene, arrow: &Arrow, y: f64| {
            scene.block(&[&arrow.label], face.centre(arrow.colour), (rect.centre().0, y))
        };
        let below = write(scene, &arrows[0], (rect.top + rect.bottom - height) / 2.0);
        let mut y = self.shafts(scene, corridor, arrows, below + gap, gap);
        arrows.iter().skip(1).for_each(|arrow| y = write(scene, arrow, y));
        let words = face.widest_px(arrows.iter().map(|a| &a.label));
        words <= rect.width() + SLACK && height <= rect.height() + SLACK
    }

    /// Arrows beside each other across a corridor; returns where they end.
    fn shafts(
        &self,
        scene: &mut Scene,
        corridor: Corridor,
        arrows: &[Arrow],
        from: f64,
        gap: f64,
    ) -> f64 {
        arrows.iter().fold(from, |at, arrow| {
            self.shaft(scene, arrow, corridor, at + arrow.head_px / 2.0);
            at + (arrow.head_px + gap)
        })
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
