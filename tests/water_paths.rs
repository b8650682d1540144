//! What the figures of paths and flows are made of adds up, in simulated boxes.

use std::fs;
use std::path::Path;

use drybench::address::Place;
use drybench::reader::Source;
use drybench::run::{Explanation, Method, explain, simulate};
use drybench::scenario::Scenario;

const SCENARIOS: [&str; 4] =
    ["one_small_hole", "sealed", "two_holes_one_zone", "two_holes_two_zones"];

fn scenario(name: &str) -> Scenario {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let bytes = fs::read(folder.join(format!("{name}.toml"))).expect("a bundled scenario");
    let source = Source::from_bytes(name, &bytes).expect("valid TOML");
    Scenario::read(&source).expect("a valid scenario").0
}

/// All columns of water paths together are all water: constant to round-off.
#[test]
fn paths_hold_all_water_at_any_time() {
    for name in SCENARIOS {
        let run = simulate(&scenario(name), Method::Rodas5p).expect("a run");
        let paths = || run.water_paths();
        let total = |i: usize| paths().map(|c| c.values[i]).sum::<f64>();
        assert!(paths().count() >= 5 && total(0) > 3.0, "{name}");
        for i in 0..run.time_s.len() {
            let off = total(i) - total(0);
            assert!(off.abs() < 1e-9, "{name}: {off:e} g at {} s", run.time_s[i]);
        }
    }
}

/// Of steady electric power the energy until the box is dry is power times time; a box that never is dry
/// has none.
#[test]
fn energy_is_counted_until_the_box_is_dry() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/two_holes_two_zones.toml");
    let mut source =
        Source::from_bytes("box", &fs::read(path).expect("a bundled scenario")).expect("TOML");
    for set in ["control.kind=always_on", "heater.kind=resistive", "heater.power=60 W"] {
        source.set(set).expect("an assignment");
    }
    let (steady, _) = Scenario::read(&source).expect("a valid scenario");
    let run = simulate(&steady, Method::Rodas5p).expect("a run");
    let [time, energy] =
        ["box_t90_min", "box_t90_energy_Wh"].map(|key| run.metric(key).expect(key));
    // The heater and the fan's 2 W.
    assert!((energy / (62.0 * time / 60.0) - 1.0).abs() < 1e-9, "{energy} Wh in {time} min");
    assert!(energy < 0.9 * run.metric("energy_Wh").expect("an energy"));
    let sealed = simulate(&scenario("sealed"), Method::Rodas5p).expect("a run");
    assert_eq!(sealed.metric("box_t90_energy_Wh"), None);
}

/// Heat \[W\] and water \[g/h\] that a place gains.
fn gain(e: &Explanation, place: Place) -> (f64, f64) {
    e.snapshot.exchanges.iter().fold((0.0, 0.0), |(heat, water), x| {
        let sign = f64::from(i8::from(x.to == place)) - f64::from(i8::from(x.from == place));
        (heat + sign * x.heat_w, water + sign * x.water_g_h)
    })
}

/// In a steady box each zone, wall and the element pass on what they get, so taking the loop of
/// circulating air out of the exchanges leaves every balance closed.
#[test]
fn a_steady_sealed_box_passes_on_what_it_gets() {
    let e = explain(&scenario("sealed"), 3.9 * 3600.0).expect("an instant");
    let zones = (0..2).flat_map(|i| [Place::Zone(i), Place::Wall(i)]);
    for place in zones.chain([Place::Element]) {
        let (heat, water) = gain(&e, place);
        // The box still drifts a little: 0.1 % of the 50 W that pass, and 0.01 of some g/h.
        assert!(heat.abs() < 0.05 && water.abs() < 0.01, "{place:?}: {heat} W, {water} g/h");
    }
    let mains = e.snapshot.between(Place::Mains, Place::Element).0;
    assert!(mains > 30.0 && (e.snapshot.circulation_l_s - 7.0).abs() < 1e-6, "{mains}");
}

/// The heater's line in the table and the arrow in the sketch are the same number, and room air
/// that enters brings water but no heat.
#[test]
fn the_sketch_agrees_with_the_table() {
    let e = explain(&scenario("two_holes_two_zones"), 2700.0).expect("an instant");
    let line = e.flows.iter().find(|l| l.part == "heater" && l.to == "air.supply");
    let arrow = e.snapshot.between(Place::Element, Place::Zone(0)).0;
    assert_eq!(line.map(|l| l.rate), Some(arrow));
    let low = e.snapshot.openings.iter().position(|o| o.name == "low").expect("its opening");
    assert!(e.snapshot.openings[low].out_l_min < -0.5);
    let (heat, water) = e.snapshot.between(Place::Opening(low), Place::Zone(1));
    assert!(heat.abs() < 0.01 && water > 0.5, "{heat} W, {water} g/h");
}

/// A saved instant can be read back, so that it can be redrawn.
#[test]
fn a_saved_instant_is_the_same() {
    let e = explain(&scenario("one_small_hole"), 600.0).expect("an instant");
    let text = serde_json::to_string(&e).expect("JSON");
    assert_eq!(serde_json::from_str::<Explanation>(&text).expect("an instant"), e);
}
