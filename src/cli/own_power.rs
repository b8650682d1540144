//! A load with power of its own, as `model::parts::lamp` makes it for tests: nothing outside that file and
//! its line in the list of loads knows of it.

use crate::address::{Address, Place, Quantity};
use crate::reader::Source;
use crate::report::{pictures, series, summary};
use crate::run::{Method, Record, Run, simulate};
use crate::scenario::Scenario;
use crate::study::sweep::{Axis, Base, Design, SweepPlan, run_case};

const LIT: &str = r#"
title = "A lamp in a box (invented)"
[room]
temperature = "21 °C"
relative_humidity = "50 %RH"
[enclosure]
inner_size = ["300 mm", "200 mm", "150 mm"]
wall = { material = "polypropylene", thickness = "3 mm" }
zones = ["box"]
[heater]
kind = "resistive"
power = "60 W"
[fan]
circulation = "3 L/s"
[control]
kind = "always_on"
[load.lamp]
kind = "lamp"
zone = "box"
power = "12 W"
[vent.low]
kind = "hole"
zone = "box"
height = "20 mm"
diameter = "8 mm"
[run]
duration = "1 h"
output_every = "5 min"
"#;

/// The lamp, the only load.
const LAMP: Place = Place::Load(0);

fn source() -> Source {
    Source::from_bytes("lamp.toml", LIT.as_bytes()).expect("readable")
}

fn run() -> Run {
    let (scenario, _) = Scenario::read(&source()).expect("a scenario");
    simulate(&scenario, Method::Rodas5p).expect("a run")
}

#[test]
fn its_energy_is_a_line_of_the_account_that_closes() {
    let run = run();
    let lit = run.energy.source(Address::new(LAMP, Quantity::Energy)).expect("a line");
    assert!((lit - 12.0).abs() < 1e-9, "{lit} Wh in an hour of 12 W");
    assert!(run.energy.closure_error.abs() < 1e-9, "{}", run.energy.closure_error);
    assert!(summary::page(&run).contains("from  lamp "), "{}", summary::page(&run));
    // The supply gives it: heater 60 W, lamp 12 W.
    assert!((run.metric("peak_supply_W").expect("a power") - 72.0).abs() < 1e-6);
    assert!((run.metric("energy_Wh").expect("an energy") - 72.0).abs() < 1e-6);
    let energy = run.metrics.iter().find(|m| m.key == "energy_Wh").expect("a metric");
    assert_eq!(energy.definition, "heater and lamp");
}

#[test]
fn its_power_is_in_series_json_and_figures() {
    let run = run();
    let csv = series::csv(&run);
    let head = csv.lines().next().expect("a head");
    for column in ["lamp_temperature_C", "lamp_power_W", "lamp_energy_Wh"] {
        assert!(head.split(',').any(|c| c == column), "{column} is not in {head}");
    }
    let power = run.at(LAMP, Quantity::Power).expect("a column");
    assert!(power.values.iter().all(|w| (w - 12.0).abs() < 1e-9), "{:?}", power.values);
    let json: serde_json::Value = serde_json::to_value(&run).expect("plain numbers");
    let columns = json["columns"].as_array().expect("a list");
    let own = columns.iter().find(|c| c["name"] == "lamp_power_W").expect("its power");
    assert_eq!((&own["place"]["load"], &own["quantity"]), (&0.into(), &"power".into()));
    let picture = pictures::find("power").expect("a figure of that name");
    let figure = (picture.draw)(&run).expect("something to show");
    let lines = figure.panels.iter().flat_map(|p| &p.series).filter(|s| s.name == "lamp");
    assert!(lines.count() >= 1, "the lamp is not in the figure of power");
}

#[test]
fn a_sweep_has_its_line() {
    let axis = Axis::parse("load.lamp.power=5 W, 10 W").expect("an axis");
    let base = Base { name: "lamp".into(), source: source() };
    let plan = SweepPlan::new(vec![base], vec![axis], Design::Cross);
    let shown = plan.check().expect("a plan");
    let account = shown.accounts.iter().find(|a| a.key() == "energy_from_lamp_Wh");
    assert!(account.is_some(), "{:?}", shown.accounts);
    let row = run_case(&plan, 1, Record::Usual);
    let run = row.outcome.as_ref().expect("a case that works");
    let lit = run.energy.source(Address::new(LAMP, Quantity::Energy)).expect("a line");
    assert!((lit - 10.0).abs() < 1e-9, "{lit} Wh");
}
