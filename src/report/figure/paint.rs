//! Puts a picture of lines together: frame, grid, curves, names.

use super::curve::{is_dense, runs, thinned};
use super::data::factor;
use super::distinct::distinct;
use super::frame::{Fit, Frame, Pane};
use super::stack::Edges;
use super::{
    Drawn, Figure, Point, Rgb, Scene, Series, Shape, Style, band, drawable, furniture, symbols,
};

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
pub(super) fn scene(figure: &Figure, style: &Style) -> Drawn<Scene> {
    among(figure, style, None)
}

/// The same as one of several neighbours.
pub(super) fn among(figure: &Figure, style: &Style, fit: Option<Fit>) -> Drawn<Scene> {
    let figure = &distinct(figure)?;
    let frame = Frame::new(figure, style, fit)?;
    let mut scene = frame.page.blank();
    for pane in frame.panes() {
        pane.grid(&mut scene);
        pane.areas(&mut scene);
    }
    furniture::marks(&mut scene, &frame);
    for pane in frame.panes() {
        pane.curves(&mut scene);
        pane.axes(&mut scene);
        pane.names(&mut scene);
    }
    furniture::x_axis(&mut scene, &frame);
    furniture::words(&mut scene, &frame);
    Ok(scene)
}

impl Pane<'_> {
    /// The filled layers of a stacked panel, and the shaded areas around lines.
    fn areas(&self, scene: &mut Scene) {
        let panel = self.panel.panel;
        for (series, on_right) in panel.all_series() {
            if series.shaded && (on_right || !panel.stacked) {
                self.shade(scene, series, on_right);
            }
        }
        for (layer, series) in self.panel.layers.iter().zip(&panel.series) {
            let colour = self.frame.page.palette.series(series.colour);
            for half in layer.filled().filter(|half| half.len() > 1) {
                self.fill(scene, half, false, (colour, AREA));
            }
        }
    }

    /// Fills what lies between the two edges of an area: x, one edge, the other.
    fn fill(&self, scene: &mut Scene, area: &[Edges], on_right: bool, (colour, alpha): (Rgb, f64)) {
        let edge = |pick: fn(&Edges) -> (f64, f64)| self.line(area, pick, on_right);
        scene.between(edge(|at| (at.0, at.1)), edge(|at| (at.0, at.2)), colour, alpha);
    }

    /// The pixel points of a line through some places.
    fn line<T>(&self, places: &[T], point: fn(&T) -> (f64, f64), on_right: bool) -> Vec<Point> {
        thinned(&places.iter().map(|one| self.at(point(one), on_right)).collect::<Vec<_>>())
    }

    /// The area around a line, one for each run between two gaps.
    fn shade(&self, scene: &mut Scene, series: &Series, on_right: bool) {
        let colour = self.frame.page.palette.series(series.colour);
        let ends = series.points.iter().zip(&series.reach).map(|(p, r)| (p.0, r.0, r.1));
        let ends: Vec<Edges> = ends.collect();
        let gap = |at: &Edges| ![at.0, at.1, at.2].into_iter().all(drawable);
        for run in ends.split(gap).filter(|run| run.len() > 1) {
            self.fill(scene, run, on_right, (colour, SHADE));
        }
    }

    /// All lines of a panel, the emphasised ones on top.
    fn curves(&self, scene: &mut Scene) {
        for emphasis in [false, true] {
            let all = self.panel.panel.all_series().enumerate();
            for (index, (series, on_right)) in all.filter(|(_, (s, _))| s.emphasis == emphasis) {
                match self.panel.layers.get(index).filter(|_| !on_right) {
                    Some(layer) => {
                        layer.filled().for_each(|half| self.outline(scene, series, half));
                    }
                    None => self.curve(scene, series, on_right),
                }
            }
        }
    }

    /// The outer edge of a layer.
    fn outline(&self, scene: &mut Scene, series: &Series, half: &[Edges]) {
        let plain = Series {
            points: half.iter().map(|&(x, _, y)| (x, y)).collect(),
            colour: series.colour,
            dash: series.dash,
            width: series.width,
            emphasis: series.emphasis,
            ..Series::default()
        };
        self.curve(scene, &plain, false);
    }

    /// One line, or its points, or its band.
    fn curve(&self, scene: &mut Scene, series: &Series, on_right: bool) {
        let page = &self.frame.page;
        let base = if series.emphasis { LINE_EMPHASIS } else { LINE };
        let factor = factor(series.width).clamp(WIDTH_RANGE.0, WIDTH_RANGE.1);
        let width_px = page.px(base * factor);
        let colour = page.palette.series(series.colour);
        let to_px = |point| self.at(point, on_right);
        if series.symbol.is_some() || !(series.shaded || series.reach.is_empty()) {
            symbols::draw(scene, series, to_px, width_px, colour);
            return;
        }
        if let Some(band) = band::of(series, self.frame.plot_px()) {
            let reach: Vec<_> = band.iter().map(|at| (at.x, at.low, at.high)).collect();
            self.fill(scene, &reach, on_right, (colour, BAND));
            let until = band.first().map_or(f64::NEG_INFINITY, |at| at.x);
            let points = series.points.iter().copied().filter(|p| p.0 <= until).collect();
            let start = Series { points, band: None, ..series.clone() };
            // One point would be a lonely dot, not a beginning.
            if start.drawable_points().nth(1).is_some() {
                self.curve(scene, &start, on_right);
            }
            if series.band.is_some_and(|b| b.mean) {
                let middle = self.line(&band, |at| (at.x, at.mean), on_right);
                scene.dashes(&middle, series.dash, width_px, colour);
            }
            return;
        }
        for run in runs(series, to_px) {
            if let [centre] = run[..] {
                scene.shapes.push(Shape::Dot { centre, radius_px: 1.5 * width_px, colour });
                continue;
            }
            let width_px = if is_dense(&run) { DENSE * width_px } else { width_px };
            scene.dashes(&run, series.dash, width_px, colour);
        }
    }
}
