//! Two methods that share nothing but the right-hand side, on every bundled scenario and variant.

mod common;

use common::{bundled, last};
use drybench::address::Quantity;
use drybench::reader::Source;
use drybench::run::{Method, Run, simulate};
use drybench::scenario::Scenario;

/// How the heater of a variant is controlled.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    Thermostat,
    Pi,
    AlwaysOn,
}

/// The text with another table `[control]`.
fn controlled(text: &str, kind: Kind) -> String {
    let sensor = "sensor = \"panel\"\nset_point = \"55 °C\"";
    let table = match kind {
        Kind::Thermostat => format!("kind = \"thermostat\"\nhysteresis = \"2 K\"\n{sensor}"),
        Kind::Pi => format!("kind = \"pi\"\n{sensor}"),
        Kind::AlwaysOn => "kind = \"always_on\"".to_owned(),
    };
    format!("{}\n[control]\n{table}\n", common::without_table(text, "control"))
}

/// A scenario with one of the controllers.
struct Variant {
    name: String,
    kind: Kind,
    /// Something switches on what it sees, so that a small gap moves an edge.
    switches: bool,
    scenario: Scenario,
}

/// Every bundled scenario with every controller.
fn variants() -> Vec<Variant> {
    let mut list = Vec::new();
    for path in bundled() {
        let text = std::fs::read_to_string(&path).expect("a bundled scenario");
        let name = path.file_stem().expect("a file name").to_string_lossy().into_owned();
        for kind in [Kind::Thermostat, Kind::Pi, Kind::AlwaysOn] {
            let mut source =
                Source::from_bytes(&name, controlled(&text, kind).as_bytes()).expect("readable");
            source.set("run.duration=3 h").expect("a valid assignment");
            // Fully on, 160 W would melt the box.
            if kind == Kind::AlwaysOn {
                source.set("heater.power=25 W").expect("a valid assignment");
                // Without a set point a box is never warm, and a lock-out would never end.
                if text.contains("lock_out") {
                    source.set("exhaust.lock_out=false").expect("a valid assignment");
                }
            }
            let scenario = Scenario::read(&source).expect("a valid scenario").0;
            let switches = kind == Kind::Thermostat || scenario.exhaust.is_some();
            list.push(Variant { name: name.clone(), kind, switches, scenario });
        }
    }
    list
}

fn simulated(scenario: &Scenario, method: Method, tolerance: f64) -> Run {
    let mut scenario = scenario.clone();
    scenario.run.tolerance = tolerance;
    simulate(&scenario, method).unwrap_or_else(|e| panic!("{e}"))
}

/// Largest differences over all samples: temperatures \[K\], and water over what was added.
fn gaps(a: &Run, b: &Run, added_g: f64) -> (f64, f64) {
    let (mut kelvin, mut water) = (0.0_f64, 0.0_f64);
    assert_eq!(a.time_s, b.time_s);
    for (x, y) in a.columns.iter().zip(&b.columns) {
        let pairs = x.values.iter().zip(&y.values);
        let worst = pairs.map(|(p, q)| (p - q).abs()).fold(0.0, f64::max);
        match x.address.quantity {
            Quantity::Temperature => kelvin = kelvin.max(worst),
            Quantity::WaterRemaining | Quantity::Condensate => water = water.max(worst / added_g),
            _ => (),
        }
    }
    (kelvin, water)
}

const ADDED_G: f64 = 3.0;

#[test]
fn both_methods_agree_pointwise_where_nothing_switches() {
    for Variant { name, kind, scenario, .. } in variants().iter().filter(|v| !v.switches) {
        let a = simulated(scenario, Method::Rodas5p, 1e-6);
        // Ten times finer than ours: at 1e-6 the explicit method brings in 1.9 mK of its own.
        let b = simulated(scenario, Method::Dopri5, 1e-7);
        let (kelvin, water) = gaps(&a, &b, ADDED_G);
        println!("{name}, {kind:?}: {kelvin:.1e} K, {water:.1e} of the water");
        assert!(kelvin < 2e-3 && water < 1e-4, "{name}, {kind:?}: {kelvin:e} K, {water:e}");
    }
}

#[test]
fn both_methods_agree_on_switchings_energy_and_water() {
    for Variant { name, kind, scenario, .. } in variants().iter().filter(|v| v.switches) {
        let a = simulated(scenario, Method::Rodas5p, 1e-6);
        let b = simulated(scenario, Method::Dopri5, 1e-6);
        let edges = |run: &Run| run.events.iter().map(|h| h.time_s).collect::<Vec<_>>();
        let (ea, eb) = (edges(&a), edges(&b));
        let apart = |heater: bool| {
            let pairs = a.events.iter().zip(&b.events);
            let mine = pairs.filter(|(x, _)| x.change.is_switching() == heater);
            mine.map(|(x, y)| (x.time_s - y.time_s).abs()).fold(0.0, f64::max)
        };
        let (late, damp) = (apart(true), apart(false));
        let heat = last(&a, "heater_energy_Wh") / last(&b, "heater_energy_Wh") - 1.0;
        let held = ["pad_water_remaining_g", "spool_moisture_wt_pct", "gel_water_remaining_g"];
        let held = held.into_iter().find(|c| a.column(c).is_some()).expect("a moist load");
        let water = (last(&a, held) - last(&b, held)) / ADDED_G;
        println!(
            "{name}: {} and {} edges, {late:.1e} s apart, energy {heat:.1e}, water {water:.1e}",
            ea.len(),
            eb.len(),
        );
        assert_eq!(ea.len(), eb.len(), "{name}");
        let least = if *kind == Kind::Thermostat { 20 } else { 0 };
        assert!(ea.len() >= least, "{name}: only {} edges", ea.len());
        assert!(late < 0.1, "{name}: edges {late} s apart");
        // A dew point creeps through its threshold at 1e-4 K/s: 0.1 mK between the methods is a second.
        assert!(damp < 1.0, "{name}: exhaust edges {damp} s apart");
        assert!(heat.abs() < 1e-4 && water.abs() < 1e-4, "{name}: {heat:e}, {water:e}");
    }
}

#[test]
fn the_usual_tolerance_is_as_good_as_a_fine_one() {
    for Variant { name, kind, scenario, .. } in variants().iter().filter(|v| !v.switches) {
        let usual = simulated(scenario, Method::Rodas5p, 1e-6);
        let fine = simulated(scenario, Method::Rodas5p, 1e-10);
        let (kelvin, water) = gaps(&usual, &fine, ADDED_G);
        println!("{name}, {kind:?}: {kelvin:.1e} K, {water:.1e} of the water");
        assert!(kelvin < 1e-3 && water < 1e-4, "{name}, {kind:?}: {kelvin:e} K, {water:e}");
    }
}
