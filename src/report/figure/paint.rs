//! Puts a picture together: frame, grid, curves, names.

use super::band;
use super::curve::{dashed, is_dense, runs, thinned};
use super::data::{Figure, Series, drawable};
use super::distinct::distinct;
use super::font;
use super::frame::{Fit, Frame};
use super::furniture;
use super::labels;
use super::panel::PanelFrame;
use super::scene::{Point, Scene, Shape};
use super::stack;
use super::style::{FigureError, Style, Theme};
use super::symbols;

/// Line widths in reference pixels, before the series' own factor.
const LINE: f64 = 3.2;
const LINE_EMPHASIS: f64 = 5.2;
/// Least and largest factor a series can ask for.
const WIDTH_RANGE: (f64, f64) = (0.3, 4.0);
/// Lines that would run into each other are drawn this much thinner.
const DENSE: f64 = 0.6;
/// Opacity of stacked areas.
const AREA: f64 = 0.38;
/// Opacity of the band around a mean: two of them must still tell apart.
const BAND: f64 = 0.28;
/// Opacity of the area around a line.
const SHADE: f64 = 0.34;

/// The whole picture as shapes.
pub(super) fn scene(figure: &Figure, style: &Style) -> Result<Scene, FigureError> {
    scaled(figure, style, None)
}

/// The same as one of several neighbours.
pub(super) fn scaled(
    figure: &Figure,
    style: &Style,
    fit: Option<Fit>,
) -> Result<Scene, FigureError> {
    font::ready()?;
    let figure = &*distinct(figure)?;
    let frame = Frame::new(figure, style, fit)?;
    let background = match style.theme {
        Theme::Dark | Theme::Light => Some(frame.palette.paper),
        Theme::TransparentOnDark | Theme::TransparentOnLight => None,
    };
    let mut scene = Scene { size_px: frame.size_px, background, shapes: Vec::new() };
    for panel in &frame.panels {
        furniture::grid(&mut scene, &frame, panel);
        areas(&mut scene, &frame, panel);
    }
    furniture::marks(&mut scene, &frame);
    for panel in &frame.panels {
        curves(&mut scene, &frame, panel);
        furniture::axes(&mut scene, &frame, panel);
        labels::draw(&mut scene, &frame, panel);
    }
    if let Some(last) = frame.panels.last() {
        furniture::x_axis(&mut scene, &frame, last);
    }
    furniture::words(&mut scene, &frame);
    Ok(scene)
}

/// The filled layers of a stacked panel, and the shaded areas around lines.
fn areas(scene: &mut Scene, frame: &Frame<'_>, panel: &PanelFrame<'_>) {
    let left = panel.panel.series.iter().map(|s| (s, false));
    let right = panel.panel.right.iter().flat_map(|axis| &axis.series).map(|s| (s, true));
    let shaded = |(s, on_right): &(&Series, bool)| s.shaded && (*on_right || !panel.panel.stacked);
    for (series, on_right) in left.chain(right).filter(shaded) {
        shade(scene, frame, panel, series, on_right);
    }
    let halves = panel.layers.iter().zip(&panel.panel.series);
    let halves = halves.flat_map(|(l, s)| [(&l.above, s), (&l.below, s)]);
    for (layer, series) in halves.filter(|(half, _)| stack::is_filled(half)) {
        let edge = |pick: fn(&(f64, f64, f64)) -> f64| -> Vec<Point> {
            let path: Vec<_> =
                layer.iter().map(|at| (frame.x_px(at.0), panel.y_px(pick(at), false))).collect();
            thinned(&path)
        };
        let (lower, upper) = (edge(|at| at.1), edge(|at| at.2));
        if upper.len() > 1 {
            let outline = upper.into_iter().chain(lower.into_iter().rev()).collect();
            scene.shapes.push(Shape::Area {
                outline,
                colour: frame.palette.series(series.colour),
                alpha: AREA,
            });
        }
    }
}

/// The area around a line, one for each run between two gaps.
fn shade(
    scene: &mut Scene,
    frame: &Frame<'_>,
    panel: &PanelFrame<'_>,
    series: &Series,
    on_right: bool,
) {
    let ends: Vec<_> = series.points.iter().map(|p| p.0).zip(&series.reach).collect();
    for run in ends.split(|(x, r)| ![*x, r.0, r.1].into_iter().all(drawable)) {
        let edge = |pick: fn(&(f64, f64)) -> f64| -> Vec<Point> {
            let at = |(x, r): &(f64, &(f64, f64))| (frame.x_px(*x), panel.y_px(pick(r), on_right));
            thinned(&run.iter().map(at).collect::<Vec<_>>())
        };
        if run.len() > 1 {
            let (low, high) = (edge(|r| r.0), edge(|r| r.1));
            let outline = high.into_iter().chain(low.into_iter().rev()).collect();
            let colour = frame.palette.series(series.colour);
            scene.shapes.push(Shape::Area { outline, colour, alpha: SHADE });
        }
    }
}

/// All lines of a panel, the emphasised ones on top.
fn curves(scene: &mut Scene, frame: &Frame<'_>, panel: &PanelFrame<'_>) {
    for emphasis in [false, true] {
        for (index, series) in panel.panel.series.iter().enumerate() {
            if series.emphasis != emphasis {
                continue;
            }
            match panel.layers.get(index) {
                Some(layer) => {
                    for half in [&layer.above, &layer.below] {
                        if !stack::is_filled(half) {
                            continue;
                        }
                        let points: Vec<_> = half.iter().map(|&(x, _, y)| (x, y)).collect();
                        let plain = Series {
                            step: false,
                            band: None,
                            symbol: None,
                            reach: Vec::new(),
                            shaded: false,
                            ..series.clone()
                        };
                        curve(scene, frame, panel, &Series { points, ..plain }, false);
                    }
                }
                None => curve(scene, frame, panel, series, false),
            }
        }
        let right = panel.panel.right.iter().flat_map(|axis| &axis.series);
        for series in right.filter(|series| series.emphasis == emphasis) {
            curve(scene, frame, panel, series, true);
        }
    }
}

fn curve(
    scene: &mut Scene,
    frame: &Frame<'_>,
    panel: &PanelFrame<'_>,
    series: &Series,
    on_right: bool,
) {
    let base = if series.emphasis { LINE_EMPHASIS } else { LINE };
    let factor = if series.width.is_finite() {
        series.width.clamp(WIDTH_RANGE.0, WIDTH_RANGE.1)
    } else {
        1.0
    };
    let width_px = frame.px(base * factor);
    let colour = frame.palette.series(series.colour);
    let to_px = |x: f64, y: f64| (frame.x_px(x), panel.y_px(y, on_right));
    if series.symbol.is_some() || !(series.shaded || series.reach.is_empty()) {
        symbols::draw(scene, series, to_px, width_px, colour);
        return;
    }
    if let Some(band) = band::of(series, frame.plot_x.1 - frame.plot_x.0) {
        let edge = |pick: fn(&band::At) -> f64| -> Vec<Point> {
            band.iter().map(|at| to_px(at.x, pick(at))).collect()
        };
        let (low, high) = (thinned(&edge(|at| at.low)), thinned(&edge(|at| at.high)));
        let outline = high.into_iter().chain(low.into_iter().rev()).collect();
        scene.shapes.push(Shape::Area { outline, colour, alpha: BAND });
        let until = band.first().map_or(f64::NEG_INFINITY, |at| at.x);
        let points = series.points.iter().copied().filter(|p| p.0 <= until).collect();
        let start = Series { points, band: None, ..series.clone() };
        // One point would be a lonely dot, not a beginning.
        if start.drawable_points().nth(1).is_some() {
            curve(scene, frame, panel, &start, on_right);
        }
        if !series.band.is_some_and(|b| b.mean) {
            return;
        }
        let middle = thinned(&edge(|at| at.mean));
        for points in dashed(&middle, series.dash, width_px) {
            scene.shapes.push(Shape::Stroke { points, width_px, colour });
        }
        return;
    }
    for run in runs(series, to_px) {
        if let [centre] = run[..] {
            scene.shapes.push(Shape::Dot { centre, radius_px: 1.5 * width_px, colour });
            continue;
        }
        let width_px = if is_dense(&run) { DENSE * width_px } else { width_px };
        for points in dashed(&run, series.dash, width_px) {
            scene.shapes.push(Shape::Stroke { points, width_px, colour });
        }
    }
}
