//! A map: one quantity over two others, as coloured cells with contours and limits.
//!
//! In two steps like the other pictures: [`Map`] is plain data, then it is drawn.

mod contour;
mod data;
mod layout;
mod lines;
mod pairs;
mod places;

pub use data::{Limit, Map, Steps};

use super::scene::Scene;
use super::style::{FigureError, Style};
use super::{font, raster, svg};

/// Draws the map as an SVG document with a title and a description for screen readers.
///
/// # Errors
/// See [`FigureError`].
pub fn map_to_svg(map: &Map, style: &Style) -> Result<String, FigureError> {
    svg::titled(&scene(map, style)?, &map.title, &map.alt_text)
}

/// Draws the map as a PNG file, with an alpha channel when the theme is transparent.
///
/// # Errors
/// See [`FigureError`].
pub fn map_to_png(map: &Map, style: &Style) -> Result<Vec<u8>, FigureError> {
    raster::file(&scene(map, style)?)
}

fn scene(map: &Map, style: &Style) -> Result<Scene, FigureError> {
    font::ready()?;
    let size_px = style.pixels()?;
    if map.x.names.is_empty() || map.y.names.is_empty() {
        return Err(FigureError::NoPanels);
    }
    layout::scene(map, style.theme, size_px)
}

#[cfg(test)]
mod tests {
    use super::super::scene::Shape;
    use super::super::style::{Size, Theme};
    use super::*;

    fn map(columns: usize, rows: usize) -> Map {
        let names = |n: usize| (0..n).map(|i| format!("{}", 10 * i)).collect();
        let grid = |f: fn(f64, f64) -> f64| -> Vec<Vec<f64>> {
            (0..rows).map(|j| (0..columns).map(|i| f(i as f64, j as f64)).collect()).collect()
        };
        Map {
            title: "Warm-up of an invented box".into(),
            x: Steps {
                label: "heater power".into(),
                unit: "W".into(),
                names: names(columns),
                ..Steps::default()
            },
            y: Steps {
                label: "circulation".into(),
                unit: "L/s".into(),
                names: names(rows),
                ..Steps::default()
            },
            label: "warm-up".into(),
            unit: "min".into(),
            cells: grid(|i, j| if i == 0.0 && j == 0.0 { f64::NAN } else { 30.0 / (1.0 + i) + j }),
            limits: vec![Limit {
                words: "overshoot 3 K".into(),
                values: grid(|i, j| i - j),
                level: 1.5,
                above: false,
                unsure: Vec::new(),
            }],
            ..Map::default()
        }
    }

    fn texts_inside_and_apart(scene: &Scene) {
        let (width, height) = (f64::from(scene.size_px.0), f64::from(scene.size_px.1));
        let boxes: Vec<_> = scene
            .shapes
            .iter()
            .filter_map(|s| match s {
                Shape::Text(t) => Some((t.text.clone(), t.bounds())),
                _ => None,
            })
            .collect();
        for (i, (words, a)) in boxes.iter().enumerate() {
            assert!(a.left >= 0.0 && a.right <= width, "{words} leaves the picture: {a:?}");
            assert!(a.top >= 0.0 && a.bottom <= height, "{words} leaves the picture: {a:?}");
            for (others, b) in &boxes[..i] {
                let apart = a.left + 0.01 >= b.right
                    || b.left + 0.01 >= a.right
                    || a.top + 0.01 >= b.bottom
                    || b.top + 0.01 >= a.bottom;
                assert!(apart, "{words} on {others}");
            }
        }
    }

    #[test]
    fn words_stay_apart_on_maps_of_many_shapes() {
        for (columns, rows) in [(1, 1), (2, 8), (8, 6), (30, 20), (200, 3)] {
            for size in [Size::Landscape, Size::Portrait, Size::Custom(700, 600)] {
                let style = Style { size, theme: Theme::Light };
                let scene = scene(&map(columns, rows), &style).unwrap();
                texts_inside_and_apart(&scene);
            }
        }
    }

    #[test]
    fn every_number_is_a_cell_and_a_hole_is_none() {
        let style = Style { size: Size::Landscape, theme: Theme::Dark };
        let areas = |m: &Map| {
            let scene = scene(m, &style).unwrap();
            scene.shapes.iter().filter(|s| matches!(s, Shape::Area { .. })).count()
        };
        // Without contours, whose numbers have a ground.
        let whole = Map { scattered: true, ..map(4, 3) };
        let mut holed = whole.clone();
        holed.cells[2][1] = f64::NAN;
        assert_eq!(areas(&whole), areas(&holed) + 1);
        assert!(
            whole.to_csv().starts_with(
                "heater_power_W,circulation_L_s,warm_up_min,overshoot_3_K\n0,0,,0\n10,0,15,1\n"
            ),
            "{}",
            whole.to_csv()
        );
    }

    #[test]
    fn cells_that_break_a_limit_fade() {
        let faded = |above: bool| {
            let mut map = map(5, 4);
            map.limits[0].above = above;
            let scene = scene(&map, &Style::default()).unwrap();
            let is = |s: &Shape| matches!(s, Shape::Area { alpha, .. } if *alpha < 1.0);
            scene.shapes.iter().filter(|s| is(s)).count()
        };
        // Of 20 cells, six have i - j above 1.5; all others are below, one of them empty.
        assert_eq!((faded(false), faded(true)), (6, 13));
    }

    #[test]
    fn contours_carry_their_numbers() {
        let numbers = |map: &Map, level: &str| {
            let scene = scene(map, &Style::default()).unwrap();
            let is = |s: &&Shape| matches!(s, Shape::Text(t) if t.text == level);
            scene.shapes.iter().filter(is).count()
        };
        let mut map = map(8, 6);
        map.cells = (0..6).map(|_| (0..8).map(f64::from).collect()).collect();
        map.y.names = (0..6).map(|i| format!("row {i}")).collect();
        map.x.names = (0..8).map(|i| format!("column {i}")).collect();
        // At the bar, and on the map unless neighbours have nothing to do with each other.
        assert_eq!((numbers(&map, "2"), numbers(&map, "4")), (2, 2));
        map.scattered = true;
        assert_eq!((numbers(&map, "2"), numbers(&map, "4")), (1, 1));
    }

    #[test]
    fn a_limit_that_is_nowhere_says_so() {
        let words = |level: f64| {
            let mut map = map(5, 4);
            map.limits[0].level = level;
            let scene = scene(&map, &Style::default()).unwrap();
            let said = |s: &Shape| matches!(s, Shape::Text(t) if t.text.contains("no line"));
            scene.shapes.iter().any(said)
        };
        assert!(words(99.0) && !words(1.5));
    }

    #[test]
    fn nothing_to_show_is_an_error_not_a_panic() {
        assert!(scene(&Map::default(), &Style::default()).is_err());
        let mut flat = map(3, 3);
        flat.cells = vec![vec![5.0; 3]; 3];
        assert!(scene(&flat, &Style::default()).is_ok());
        flat.cells = vec![vec![f64::NAN; 3]; 2];
        assert!(scene(&flat, &Style::default()).is_ok());
    }
}
