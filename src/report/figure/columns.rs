//! Figures beside each other under one headline, for cases to be compared at a glance.

use serde::Serialize;

use super::data::Figure;
use super::page::Page;
use super::scene::{Point, Scene, Shape, Text};
use super::style::{FigureError, Size, Style};
use super::{font, paint, raster, svg};

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
            out.push_str(&format!("# {}\n{}", figure.title, figure.to_csv()));
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
    let count = columns.figures.len();
    let wide = size_px.0 / count as u32;
    let high = (foot - top).max(0.0) as u32;
    let small = Style { size: Size::Custom(wide, high), theme: style.theme };
    let scale = (f64::from(wide) / unit / FULL).clamp(SCALE.0, SCALE.1);
    for (k, figure) in columns.figures.iter().enumerate() {
        let crowded = FigureError::Crowded {
            panels: count * figure.panels.len(),
            width: size_px.0,
            height: size_px.1,
        };
        let part = paint::scaled(figure, &small, Some(scale * unit)).map_err(|_| crowded)?;
        let by = (f64::from(wide) * k as f64, top.round());
        scene.shapes.extend(part.shapes.into_iter().map(|s| moved(s, by)));
    }
    Ok(scene)
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
    fn words_stay_inside_their_columns_and_apart() {
        for (count, size) in [(1, Size::Landscape), (3, Size::Landscape), (3, Size::Portrait)] {
            let style = Style { size, theme: Theme::Dark };
            let scene = scene(&columns(count), &style).unwrap();
            let wide = f64::from(scene.size_px.0) / count as f64;
            let texts: Vec<_> = scene
                .shapes
                .iter()
                .filter_map(|s| match s {
                    Shape::Text(t) => Some((t.text.clone(), t.bounds())),
                    _ => None,
                })
                .collect();
            for (i, (words, a)) in texts.iter().enumerate() {
                let crosses = (a.left / wide).floor() != (a.right / wide).floor();
                assert!(i == 0 || !crosses, "{count} {size:?}: {words} leaves its column");
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
