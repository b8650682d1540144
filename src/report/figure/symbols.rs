//! Single points: a symbol each, and a bar from the lowest to the highest value it may have.

use super::{Point, Rgb, Scene, Series, Shape, Symbol, drawable};

/// Half the size of a symbol, and half the width of the ends of a bar, in line widths.
const HALF: f64 = 2.4;

/// Draws the bars, then the symbols.
pub(super) fn draw(
    scene: &mut Scene,
    series: &Series,
    to_px: impl Fn((f64, f64)) -> Point,
    width_px: f64,
    colour: Rgb,
) {
    let half = HALF * width_px;
    let mut stroke = |from, to| scene.stroke(vec![from, to], 0.6 * width_px, colour);
    for (&(x, _), &(low, high)) in series.points.iter().zip(&series.reach) {
        if [x, low, high].into_iter().all(drawable) {
            let (foot, head) = (to_px((x, low)), to_px((x, high)));
            stroke(foot, head);
            for end in [foot, head] {
                stroke((end.0 - half, end.1), (end.0 + half, end.1));
            }
        }
    }
    let mut filled = Vec::new();
    for point in series.drawable_points() {
        let centre = to_px(point);
        let corner = |(dx, dy): (f64, f64)| (centre.0 + dx * half, centre.1 + dy * half);
        let outline = |symbol| corners(symbol).into_iter().map(corner).collect::<Vec<Point>>();
        match series.symbol {
            Some(Symbol::Cross) => {
                stroke(corner((-1.0, -1.0)), corner((1.0, 1.0)));
                stroke(corner((-1.0, 1.0)), corner((1.0, -1.0)));
            }
            Some(symbol) if series.hollow => {
                let mut points = outline(symbol);
                points.push(points[0]);
                filled.push(Shape::Stroke { points, width_px: 0.7 * width_px, colour });
            }
            None | Some(Symbol::Dot) => {
                filled.push(Shape::Dot { centre, radius_px: half, colour });
            }
            Some(symbol) => {
                filled.push(Shape::Area { outline: outline(symbol), colour, alpha: 1.0 });
            }
        }
    }
    scene.shapes.extend(filled);
}

/// Corners of an outline that do not look like those of a polygon.
const ROUND: usize = 24;

/// The outline of a symbol, a dot having half a height of 1; the others are as large to the eye.
fn corners(symbol: Symbol) -> Vec<(f64, f64)> {
    match symbol {
        Symbol::Square => vec![(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)],
        Symbol::Diamond => vec![(0.0, -1.3), (1.3, 0.0), (0.0, 1.3), (-1.3, 0.0)],
        Symbol::Triangle => vec![(0.0, -1.2), (1.2, 0.9), (-1.2, 0.9)],
        Symbol::Dot | Symbol::Cross => (0..ROUND)
            .map(|k| (std::f64::consts::TAU * k as f64 / ROUND as f64).sin_cos())
            .collect(),
    }
}
