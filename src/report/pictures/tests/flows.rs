//! The sketch of an instant, from hand-made numbers.

use crate::address::Place;
use crate::report::figure::{Drawing, Size, Sketch, Style, Theme};
use crate::report::pictures::flows;
use crate::run::{AirState, Exchange, Explanation, LoadState, OpeningState, Snapshot, WallState};

/// `zones` zones with a wall each, `openings` openings and `loads` loads spread over them.
fn explanation(zones: usize, openings: usize, loads: usize) -> Explanation {
    let air = |name: String| AirState {
        name,
        temp_c: 55.25,
        relative_humidity_pct: 31.0,
        vapour_g_m3: 32.5,
    };
    let exchange = |from, to, heat_w, water_g_h| Exchange { from, to, heat_w, water_g_h };
    let mut exchanges = vec![
        exchange(Place::Mains, Place::Element, 61.5, 0.0),
        exchange(Place::Element, Place::Zone(0), 60.0, 0.0),
    ];
    for z in 0..zones {
        exchanges.push(exchange(Place::Zone(z), Place::Wall(z), 20.0, 0.5));
        exchanges.push(exchange(Place::Wall(z), Place::Room, 19.0, 0.0));
        exchanges.push(exchange(Place::Zone(z), Place::Zone(z + 1), 30.0, -1.5));
    }
    exchanges.truncate(1 + exchanges.len() - usize::from(zones > 0));
    for i in 0..openings {
        // Both directions, as posted: the sketch shows the difference.
        exchanges.push(exchange(Place::Zone(i % zones), Place::Opening(i), 1.0, 2.5));
        exchanges.push(exchange(Place::Opening(i), Place::Zone(i % zones), 0.25, 0.5));
    }
    for i in 0..loads {
        exchanges.push(exchange(Place::Load(i), Place::Zone(i % zones), -8.0, 10.0));
    }
    let opening = |i: usize| OpeningState {
        name: format!("hole {i}"),
        zone: i % zones,
        out_l_min: if i.is_multiple_of(2) { 1.25 } else { -1.25 },
    };
    let load =
        |i| LoadState { name: format!("load {i}"), temp_c: 40.0, water_remaining_g: Some(2.0) };
    let wall = WallState { inside_c: 40.0, outside_c: Some(38.0), film_g: 0.25, puddle_g: 0.0 };
    let snapshot = Snapshot {
        room: air("room".into()),
        zones: (0..zones).map(|z| air(format!("zone{z}"))).collect(),
        walls: vec![wall; zones],
        loads: (0..loads).map(load).collect(),
        openings: (0..openings).map(opening).collect(),
        element_c: 85.0,
        circulation_l_s: 7.0,
        exchanges,
    };
    Explanation {
        program_version: "0.0.0".into(),
        title: "Hand-made".into(),
        time_s: 2700.0,
        temperatures_c: Vec::new(),
        flows: Vec::new(),
        snapshot,
    }
}

#[test]
fn flows_show_net_rates_and_where_they_go() {
    let sketch = flows(&explanation(2, 2, 1));
    assert_eq!(sketch.title, "Flows after 45 min: Hand-made");
    let csv = sketch.to_csv();
    for row in [
        "mains,heater,61.5,0",
        "heater,zone0 air,60,0",
        "zone0 air,zone1 air,30,-1.5",
        "zone0 air,hole 0,0.75,2",
        "zone0 air,load 0,8,-10",
        "zone1 air,wall,20,0.5",
        "wall,room,19,0",
    ] {
        assert!(csv.lines().any(|l| l == row), "{row} in\n{csv}");
    }
    assert_eq!(sketch.lanes[1].ways[0].tile.facts, ["1.25 L/min in"]);
    assert_eq!(sketch.lanes[0].contents[1].tile.facts, ["40.0 °C", "2.00 g remaining"]);
    for words in
        ["hole 0: 1.25 L/min out", "load 0: 40.0 °C, 2.00 g remaining", "heater draws 61.5 W"]
    {
        assert!(sketch.alt_text.contains(words), "{words} in {}", sketch.alt_text);
    }
}

#[test]
fn flows_find_room_for_small_and_full_boxes() {
    let draw = |sketch: &Sketch, case: &str| {
        for (size, theme) in [(Size::Landscape, Theme::Dark), (Size::Portrait, Theme::Light)] {
            let svg = sketch.to_svg(&Style { size, theme }).expect(case);
            assert!(svg.contains("<desc>Flows after 45 min") && !svg.contains("NaN"), "{case}");
        }
    };
    for zones in 1..=3 {
        for openings in [0, 1, 2, 6] {
            for loads in [0, 1, 3] {
                let sketch = flows(&explanation(zones, openings, loads));
                draw(&sketch, &format!("{zones} zones, {openings} openings, {loads} loads"));
            }
        }
    }
    let png = flows(&explanation(1, 1, 1)).to_png(&Style::default()).unwrap();
    assert_eq!(&png[1..4], b"PNG");
    // No zones at all is an error, not a panic.
    assert!(flows(&explanation(0, 0, 0)).to_svg(&Style::default()).is_err());
}

#[test]
fn a_sealed_box_has_a_pinhole_and_an_open_lid_is_a_way() {
    let mut explanation = explanation(2, 0, 0);
    let names = |e: &Explanation| -> Vec<String> {
        let sketch = flows(e);
        sketch.lanes.iter().flat_map(|l| &l.ways).map(|w| w.tile.name.clone()).collect()
    };
    assert_eq!(names(&explanation), ["pinhole"]);
    let out = Exchange { from: Place::Zone(0), to: Place::Lid, heat_w: 5.0, water_g_h: 9.0 };
    explanation.snapshot.exchanges.push(out);
    assert_eq!(names(&explanation), ["open lid", "pinhole"]);
}
