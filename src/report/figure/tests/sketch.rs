//! Sketches: no words collide or leave the picture, whatever is in them.

use super::kit::{check, texts};
use crate::report::figure::scene::Shape;
use crate::report::figure::{
    Content, Drawing, FigureError, Lane, Size, Sketch, Stream, Style, Theme, Tile, Way,
};

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

#[test]
fn words_neither_collide_nor_leave_the_picture() {
    for size in [Size::Landscape, Size::Portrait] {
        for (zones, ways, loads) in [(1, 0, 0), (1, 6, 3), (2, 1, 1), (2, 2, 2), (3, 2, 2)] {
            let style = Style { size, theme: Theme::Dark };
            let case = format!("{size:?}: {zones} zones, {ways} ways, {loads} loads");
            let scene = sketch(zones, ways, loads).scene(&style).expect(&case);
            check(&scene, &case);
        }
    }
}

#[test]
fn a_plain_box_keeps_the_large_text() {
    let scene = sketch(2, 1, 1).scene(&Style::default()).unwrap();
    let rate = texts(&scene).into_iter().find(|t| t.text == "12.5 W").unwrap();
    assert!(rate.letters.face.em_px >= 24.0, "{}", rate.letters.face.em_px);
}

#[test]
fn a_wider_arrow_is_more_and_its_head_shows_the_way() {
    let mut plain = sketch(1, 1, 0);
    plain.lanes[0].ways[0].out = Stream { heat_w: 30.0, water_g_h: 0.0 };
    let widths = |sketch: &Sketch| -> Vec<f64> {
        let scene = sketch.scene(&Style::default()).unwrap();
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
    let error = crowded.to_svg(&Style::default()).unwrap_err();
    assert!(matches!(error, FigureError::Crowded { .. }), "{error}");
    let mut odd = sketch(1, 1, 1);
    odd.lanes[0].onward.heat_w = f64::NAN;
    odd.mains.heat_w = f64::INFINITY;
    assert!(!odd.to_svg(&Style::default()).unwrap().contains("NaN"));
    assert!(odd.to_svg(&Style::default()).unwrap().contains("&lt;after&gt;"));
}
