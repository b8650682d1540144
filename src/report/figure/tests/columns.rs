//! Figures beside each other.

use super::kit::{check, texts};
use crate::report::figure::geometry::Point;
use crate::report::figure::palette::Palette;
use crate::report::figure::scene::Shape;
use crate::report::figure::{
    Columns, Drawing, Figure, FigureError, Panel, Series, Size, Style, Theme,
};

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
        check(&columns(count).scene(&style).unwrap(), &format!("{count} {size:?}"));
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
        let scene = uneven.scene(&style).unwrap();
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
    let scene = columns(2).scene(&Style::default()).unwrap();
    let forty = texts(&scene).into_iter().filter(|t| t.text == "40");
    let at: Vec<f64> = forty.map(|t| t.baseline).collect();
    assert!(at.len() >= 4 && at[0] == at[2] && at[1] == at[3], "{at:?}");
}

#[test]
fn too_many_columns_are_refused() {
    let many = columns(30).scene(&Style::default());
    assert!(matches!(many, Err(FigureError::Crowded { .. })));
    assert!(Columns::default().scene(&Style::default()).is_err());
}
