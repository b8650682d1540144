//! Sketches: no words collide or leave the picture, whatever is in them.

use super::*;
use crate::report::figure::scene::{Shape, Text};
use crate::report::figure::{Size, Theme};

fn tile(name: &str, facts: &[&str]) -> Tile {
    Tile { name: name.into(), facts: facts.iter().map(|f| (*f).into()).collect() }
}

fn sketch(zones: usize, ways: usize, loads: usize) -> Sketch {
    let stream = Stream { heat_w: 12.5, water_g_h: -3.25 };
    let content = |to_room| Content {
        tile: tile("a wall", &["40.0 °C in, 38.0 °C out", "0.25 g of water"]),
        from_air: stream,
        to_room,
    };
    let lane = Lane {
        zone: tile("supply air", &["55.0 °C", "30 %RH", "30.5 g/m³"]),
        onward: Stream { heat_w: -1.0, water_g_h: 0.0 },
        ways: vec![Way { tile: tile("a hole", &["1.25 L/min out"]), out: stream }; ways],
        contents: (0..=loads).map(|i| content((i == 0).then_some(stream))).collect(),
    };
    Sketch {
        title: "Flows <after> 45 min".into(),
        subtitle: "The heater draws 60.0 W".into(),
        room: "room 21.0 °C".into(),
        heater: tile("heater", &["85.0 °C"]),
        mains: Stream { heat_w: 60.0, water_g_h: 0.0 },
        warming: Stream { heat_w: 60.0, water_g_h: 0.0 },
        lanes: vec![lane; zones],
        note: "Heat is counted from room temperature.".into(),
        source_line: "here".into(),
        alt_text: "A box.".into(),
    }
}

fn texts(scene: &Scene) -> Vec<&Text> {
    let shapes = scene.shapes.iter();
    shapes.filter_map(|s| if let Shape::Text(t) = s { Some(t) } else { None }).collect()
}

#[test]
fn words_neither_collide_nor_leave_the_picture() {
    for size in [Size::Landscape, Size::Portrait] {
        for (zones, ways, loads) in [(1, 0, 0), (1, 6, 3), (2, 1, 1), (2, 2, 2), (3, 2, 2)] {
            let style = Style { size, theme: Theme::Dark };
            let case = format!("{size:?}: {zones} zones, {ways} ways, {loads} loads");
            let scene = scene(&sketch(zones, ways, loads), &style).expect(&case);
            let (width, height) = (f64::from(scene.size_px.0), f64::from(scene.size_px.1));
            let texts = texts(&scene);
            for (i, a) in texts.iter().enumerate() {
                let a_box = a.bounds();
                let inside = a_box.left >= 0.0
                    && a_box.right <= width
                    && a_box.top >= 0.0
                    && a_box.bottom <= height;
                assert!(inside, "{case}: {:?} outside", a.text);
                for b in &texts[..i] {
                    let b_box = b.bounds();
                    let apart = a_box.right <= b_box.left
                        || b_box.right <= a_box.left
                        || a_box.bottom <= b_box.top + 0.01
                        || b_box.bottom <= a_box.top + 0.01;
                    assert!(apart, "{case}: {:?} on {:?}", a.text, b.text);
                }
            }
        }
    }
}

#[test]
fn a_plain_box_keeps_the_large_text() {
    let scene = scene(&sketch(2, 1, 1), &Style::default()).unwrap();
    let rate = texts(&scene).into_iter().find(|t| t.text == "12.5 W").unwrap();
    assert!(rate.face.em_px >= 24.0, "{}", rate.face.em_px);
}

#[test]
fn a_wider_arrow_is_more_and_its_head_shows_the_way() {
    let mut plain = sketch(1, 1, 0);
    plain.lanes[0].ways[0].out = Stream { heat_w: 30.0, water_g_h: 0.0 };
    let widths = |sketch: &Sketch| -> Vec<f64> {
        let scene = scene(sketch, &Style::default()).unwrap();
        let arrows = scene.shapes.iter().filter_map(|s| match s {
            Shape::Area { outline, .. } if outline.len() == 7 => Some(outline.clone()),
            _ => None,
        });
        // The mains run down into the heater, the way up out of the box.
        arrows
            .filter(|o| (o[0].1 - o[3].1).abs() > 40.0)
            .map(|o| (o[6].0 - o[0].0).abs() * (o[3].1 - o[0].1).signum())
            .collect()
    };
    let found = widths(&plain);
    assert!((found[0] + 2.0 * found[1]).abs() < 1e-6, "{found:?}");
}

#[test]
fn impossible_sketches_are_errors() {
    let crowded = sketch(8, 12, 12);
    let error = sketch_to_svg(&crowded, &Style::default()).unwrap_err();
    assert!(matches!(error, FigureError::Crowded { .. }), "{error}");
    let mut odd = sketch(1, 1, 1);
    odd.lanes[0].onward.heat_w = f64::NAN;
    odd.mains.heat_w = f64::INFINITY;
    assert!(!sketch_to_svg(&odd, &Style::default()).unwrap().contains("NaN"));
    assert!(sketch_to_svg(&odd, &Style::default()).unwrap().contains("&lt;after&gt;"));
}
