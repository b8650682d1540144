//! Figures beside each other under one headline, for cases to be compared at a glance.

use serde::Serialize;

use super::data::Figure;
use super::frame::{Fit, Frame};
use super::key::Key;
use super::page::{Page, SIDE};
use super::scene::{Point, Scene, Shape, Text};
use super::style::{FigureError, Size, Style};
use super::{font, paint, raster, svg};
use crate::text::csv_line;

/// Figures beside each other.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Columns {
    /// Headline, top left; wrapped, never cut.
    pub title: String,
    /// Smaller line below the title; may be empty.
    pub subtitle: String,
    /// The figures from left to right, each with its own short title.
    pub figures: Vec<Figure>,
    /// Small footer: where the numbers come from.
    pub source_line: String,
    /// What the picture shows, in words, for those who cannot see it.
    pub alt_text: String,
}

/// Smallest and largest scale of words and lines in the columns against those of the headline.
const SCALE: (f64, f64) = (0.45, 0.72);
/// Width of a column \[reference pixels\] that would take words of full scale.
const FULL: f64 = 880.0;

impl Columns {
    /// The numbers behind the picture: the tables of the figures one below the other, each under
    /// its title.
    #[must_use]
    pub fn to_csv(&self) -> String {
        let mut out = String::new();
        for figure in &self.figures {
            out.push_str(&csv_line([format!("# {}", figure.title)]));
            out.push_str(&figure.to_csv());
        }
        out
    }
}

/// Draws the columns as an SVG document with a title and a description for screen readers.
///
/// # Errors
/// See [`FigureError`].
pub fn columns_to_svg(columns: &Columns, style: &Style) -> Result<String, FigureError> {
    svg::titled(&scene(columns, style)?, &columns.title, &columns.alt_text)
}

/// Draws the columns as a PNG file, with an alpha channel when the theme is transparent.
///
/// # Errors
/// See [`FigureError`].
pub fn columns_to_png(columns: &Columns, style: &Style) -> Result<Vec<u8>, FigureError> {
    raster::file(&scene(columns, style)?)
}

fn scene(columns: &Columns, style: &Style) -> Result<Scene, FigureError> {
    font::ready()?;
    let size_px = style.pixels()?;
    if columns.figures.is_empty() {
        return Err(FigureError::NoPanels);
    }
    let mut page = Page::new(style.theme, size_px);
    let top = page.head(&columns.title, &columns.subtitle);
    let foot = page.foot(&columns.source_line);
    let Page { mut scene, unit, .. } = page;
    let high = (foot - top).max(0.0) as u32;
    let crowded = || FigureError::Crowded {
        panels: columns.figures.iter().map(|f| f.panels.len()).sum(),
        width: size_px.0,
        height: size_px.1,
    };
    let count = columns.figures.len() as f64;
    let scale = (f64::from(size_px.0) / count / unit / FULL).clamp(SCALE.0, SCALE.1);
    // The words of the first column begin where those of the page do.
    let inset = (SIDE * (1.0 - scale) * unit).round();
    let room = f64::from(size_px.0) - 2.0 * inset;
    let small = |wide: f64| Style {
        size: Size::Custom(wide.max(0.0).round() as u32, high),
        theme: style.theme,
    };
    let fit = Fit { unit: scale * unit, ..Fit::default() };
    let sides = columns.figures.iter().map(|f| Frame::sides_px(f, &small(room / count), fit));
    let sides = sides.collect::<Result<Vec<f64>, _>>().map_err(|_| crowded())?;
    // All plots are equally wide, whatever words stand beside them.
    let plot = (room - sides.iter().sum::<f64>()) / count;
    let styles: Vec<Style> = sides.iter().map(|side| small(side + plot)).collect();
    let mut fit = fit;
    loop {
        // Room kept for one panel may leave too little for the names of another.
        let next = common(columns, &styles, fit).map_err(|_| crowded())?;
        if std::mem::replace(&mut fit, next) == next {
            break;
        }
    }
    let mut left = inset;
    for ((figure, style), side) in columns.figures.iter().zip(&styles).zip(&sides) {
        let part = paint::scaled(figure, style, Some(fit)).map_err(|_| crowded())?;
        let by = (left.round(), top.round());
        scene.shapes.extend(part.shapes.into_iter().map(|s| moved(s, by)));
        left += side + plot;
    }
    Ok(scene)
}

/// What all columns need, so that their plots are at one height.
fn common(columns: &Columns, styles: &[Style], fit: Fit) -> Result<Fit, FigureError> {
    let mut found = fit;
    for (figure, style) in columns.figures.iter().zip(styles) {
        let frame = Frame::new(figure, style, Some(fit))?;
        found.title_rows = found.title_rows.max(frame.title.len());
        found.x_title_below |= !frame.x_title_beside;
        let rows = frame.panels.iter().filter_map(|p| p.key.as_ref()).map(Key::rows);
        found.key_rows = rows.fold(found.key_rows, usize::max);
    }
    Ok(found)
}

fn moved(shape: Shape, (dx, dy): Point) -> Shape {
    let all = |points: Vec<Point>| points.into_iter().map(|(x, y)| (x + dx, y + dy)).collect();
    match shape {
        Shape::Stroke { points, width_px, colour } => {
            Shape::Stroke { points: all(points), width_px, colour }
        }
        Shape::Area { outline, colour, alpha } => {
            Shape::Area { outline: all(outline), colour, alpha }
        }
        Shape::Dot { centre: (x, y), radius_px, colour } => {
            Shape::Dot { centre: (x + dx, y + dy), radius_px, colour }
        }
        Shape::Text(text) => {
            Shape::Text(Text { x: text.x + dx, baseline: text.baseline + dy, ..text })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::data::{Panel, Series};
    use super::super::palette::Palette;
    use super::super::style::Theme;
    use super::*;

    fn columns(count: usize) -> Columns {
        let line = |name: &str, to: f64| Series {
            name: name.into(),
            points: (0..50).map(|i| (f64::from(i), to * f64::from(i) / 49.0)).collect(),
            ..Series::default()
        };
        let panel = |to| Panel {
            label: "water".into(),
            unit: "g".into(),
            series: vec![line("in the load", to), line("out by the hole", 0.5 * to)],
            reach: Some((0.0, 40.0)),
            ..Panel::default()
        };
        let figure = |k: usize| Figure {
            title: format!("{k} mm"),
            x_label: "time".into(),
            x_unit: "h".into(),
            panels: vec![panel(10.0 * (k + 1) as f64), panel(5.0)],
            ..Figure::default()
        };
        Columns {
            title: "An invented row of holes".into(),
            figures: (0..count).map(figure).collect(),
            source_line: "invented".into(),
            ..Columns::default()
        }
    }

    #[test]
    fn words_stay_inside_and_apart() {
        for (count, size) in [(1, Size::Landscape), (3, Size::Landscape), (3, Size::Portrait)] {
            let style = Style { size, theme: Theme::Dark };
            let scene = scene(&columns(count), &style).unwrap();
            let wide = f64::from(scene.size_px.0);
            let texts: Vec<_> = scene
                .shapes
                .iter()
                .filter_map(|s| match s {
                    Shape::Text(t) => Some((t.text.clone(), t.bounds())),
                    _ => None,
                })
                .collect();
            for (i, (words, a)) in texts.iter().enumerate() {
                let inside = a.left >= 0.0 && a.right <= wide;
                assert!(inside, "{count} {size:?}: {words} leaves the picture");
                for (others, b) in &texts[..i] {
                    let apart = a.left + 0.01 >= b.right
                        || b.left + 0.01 >= a.right
                        || a.top + 0.01 >= b.bottom
                        || b.top + 0.01 >= a.bottom;
                    assert!(apart, "{count} {size:?}: {words} on {others}");
                }
            }
        }
    }

    #[test]
    fn plots_are_alike_whatever_stands_beside_them() {
        let mut uneven = columns(3);
        uneven.figures[1].title = "a title that needs more than one line to be said".into();
        uneven.figures[1].panels[0].series[0].name = "in the load of the left side".into();
        uneven.figures[2].panels[1].series.clear();
        for size in [Size::Landscape, Size::Portrait] {
            let style = Style { size, theme: Theme::Light };
            let scene = scene(&uneven, &style).unwrap();
            let axis = Palette::new(Theme::Light).axis;
            // The base lines of the six plots.
            let bases: Vec<(Point, Point)> = scene
                .shapes
                .iter()
                .filter_map(|s| match s {
                    Shape::Stroke { points, colour, .. } if *colour == axis => {
                        Some((points[0], points[1]))
                    }
                    _ => None,
                })
                .collect();
            assert_eq!(bases.len(), 6);
            let wide = |b: &(Point, Point)| b.1.0 - b.0.0;
            for k in 0..6 {
                let apart = (wide(&bases[k]) - wide(&bases[0])).abs();
                assert!(apart <= 1.0, "{size:?}: plot {k} is {apart} px wider");
                assert_eq!(bases[k].0.1, bases[k % 2].0.1, "{size:?}: plot {k}");
            }
        }
    }

    #[test]
    fn neighbours_have_the_same_scale() {
        let scene = scene(&columns(2), &Style::default()).unwrap();
        let forty = |s: &&Shape| matches!(s, Shape::Text(t) if t.text == "40");
        let at: Vec<f64> = scene
            .shapes
            .iter()
            .filter(forty)
            .filter_map(|s| match s {
                Shape::Text(t) => Some(t.baseline),
                _ => None,
            })
            .collect();
        assert!(at.len() >= 4 && at[0] == at[2] && at[1] == at[3], "{at:?}");
    }

    #[test]
    fn too_many_columns_are_refused() {
        let many = scene(&columns(30), &Style::default());
        assert!(matches!(many, Err(FigureError::Crowded { .. })));
        assert!(scene(&Columns::default(), &Style::default()).is_err());
    }
}
