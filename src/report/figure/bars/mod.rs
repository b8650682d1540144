//! Level bars, one or two to a row: what moves a result, and by how much.
//!
//! In two steps like the other pictures: [`Bars`] is plain data, then it is drawn.

mod data;
mod layout;

pub use data::{Bar, BarRow, Bars};

use super::scene::Scene;
use super::style::{FigureError, Style};
use super::{font, raster, svg};

/// Draws the bars as an SVG document with a title and a description for screen readers.
///
/// # Errors
/// See [`FigureError`].
pub fn bars_to_svg(bars: &Bars, style: &Style) -> Result<String, FigureError> {
    svg::titled(&scene(bars, style)?, &bars.title, &bars.alt_text)
}

/// Draws the bars as a PNG file, with an alpha channel when the theme is transparent.
///
/// # Errors
/// See [`FigureError`].
pub fn bars_to_png(bars: &Bars, style: &Style) -> Result<Vec<u8>, FigureError> {
    raster::file(&scene(bars, style)?)
}

fn scene(bars: &Bars, style: &Style) -> Result<Scene, FigureError> {
    font::ready()?;
    let size_px = style.pixels()?;
    if bars.rows.is_empty() {
        return Err(FigureError::NoPanels);
    }
    layout::scene(bars, style.theme, size_px)
}

#[cfg(test)]
mod tests {
    use super::super::scene::Shape;
    use super::super::style::{Size, Theme};
    use super::*;

    fn bars(rows: usize) -> Bars {
        let row = |i: usize| BarRow {
            name: format!("path number {i}"),
            bars: vec![
                Bar {
                    from: 10.0,
                    to: 10.0 - 9.0 / (1.0 + i as f64),
                    words: "5 mm".into(),
                    ..Bar::default()
                },
                Bar {
                    from: 10.0,
                    to: 10.0 + 4.0 / (1.0 + i as f64),
                    colour: 1,
                    words: "15 mm".into(),
                    whisker: Some((11.0, 12.0)),
                },
            ],
        };
        Bars {
            title: "What decides the time of an invented box".into(),
            label: "time".into(),
            unit: "min".into(),
            base: Some(10.0),
            keys: vec![(0, "lowest".into()), (1, "highest".into())],
            rows: (0..rows).map(row).collect(),
            source_line: "invented".into(),
            ..Bars::default()
        }
    }

    #[test]
    fn words_stay_inside_and_apart() {
        for rows in [1, 3, 12, 60] {
            for size in [Size::Landscape, Size::Portrait, Size::Custom(700, 600)] {
                let style = Style { size, theme: Theme::Light };
                let scene = scene(&bars(rows), &style).unwrap();
                let (width, height) = (f64::from(scene.size_px.0), f64::from(scene.size_px.1));
                let texts: Vec<_> = scene
                    .shapes
                    .iter()
                    .filter_map(|s| match s {
                        Shape::Text(t) => Some((t.text.clone(), t.bounds())),
                        _ => None,
                    })
                    .collect();
                for (i, (words, a)) in texts.iter().enumerate() {
                    let inside = a.left >= 0.0 && a.right <= width && a.top >= 0.0;
                    assert!(inside && a.bottom <= height, "{rows} {size:?} {words}: {a:?}");
                    for (others, b) in &texts[..i] {
                        let apart = a.left + 0.01 >= b.right
                            || b.left + 0.01 >= a.right
                            || a.top + 0.01 >= b.bottom
                            || b.top + 0.01 >= a.bottom;
                        assert!(apart, "{rows} {size:?}: {words} on {others}");
                    }
                }
            }
        }
    }

    #[test]
    fn rows_without_room_are_counted_in_words() {
        let said = |rows: usize| {
            let scene = scene(&bars(rows), &Style::default()).unwrap();
            scene.shapes.iter().any(|s| matches!(s, Shape::Text(t) if t.text.contains("more rows")))
        };
        assert!(said(60) && !said(5));
    }

    #[test]
    fn nothing_to_show_is_an_error_not_a_panic() {
        assert!(scene(&Bars::default(), &Style::default()).is_err());
        let mut odd = bars(2);
        odd.rows[0].bars[0].to = f64::NAN;
        odd.rows[1].bars.clear();
        odd.base = None;
        assert!(scene(&odd, &Style::default()).is_ok());
        assert_eq!(
            bars(1).to_csv(),
            "row,bar,from min,to min,whisker_low min,whisker_high min\n\
             path number 0,5 mm,10,1,,\npath number 0,15 mm,10,14,11,12\n"
        );
    }
}
