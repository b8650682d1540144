//! Single points: a symbol each, and a bar from the lowest to the highest value it may have.

use super::data::{Series, Symbol, drawable};
use super::palette::Rgb;
use super::scene::{Point, Scene, Shape};

/// Half the size of a symbol, and half the width of the ends of a bar, in line widths.
const HALF: f64 = 2.4;

/// Draws the bars, then the symbols.
pub(super) fn draw(
    scene: &mut Scene,
    series: &Series,
    to_px: impl Fn(f64, f64) -> Point,
    width_px: f64,
    colour: Rgb,
) {
    let half = HALF * width_px;
    let mut stroke = |from: Point, to: Point| {
        scene.shapes.push(Shape::Stroke {
            points: vec![from, to],
            width_px: 0.6 * width_px,
            colour,
        });
    };
    for (&(x, _), &(low, high)) in series.points.iter().zip(&series.reach) {
        if drawable(x) && drawable(low) && drawable(high) {
            let (foot, head) = (to_px(x, low), to_px(x, high));
            stroke(foot, head);
            for end in [foot, head] {
                stroke((end.0 - half, end.1), (end.0 + half, end.1));
            }
        }
    }
    let mut dots = Vec::new();
    for (x, y) in series.drawable_points() {
        let centre = to_px(x, y);
        let corner = |dx: f64, dy: f64| (centre.0 + dx * half, centre.1 + dy * half);
        match series.symbol {
            Some(Symbol::Cross) => {
                stroke(corner(-1.0, -1.0), corner(1.0, 1.0));
                stroke(corner(-1.0, 1.0), corner(1.0, -1.0));
            }
            _ => dots.push(centre),
        }
    }
    let dot = |centre| Shape::Dot { centre, radius_px: half, colour };
    scene.shapes.extend(dots.into_iter().map(dot));
}
