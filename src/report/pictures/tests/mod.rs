//! Figures of small hand-made runs: no simulation.

mod flows;
mod poor;

use super::*;
use crate::address::{
    Address, Change, DryingResistance, Event, LoadNames, Names, Place, Quantity, Side,
};
use crate::metric::Metric;
use crate::report::figure::{Drawing, Figure, Size, Style, Theme};
use crate::run::{Column, Effort, Ledger, Row, Run};

/// One zone, a pad, a spool of three layers, a sensor and two openings.
fn of_the_box() -> Names {
    let load = |name: &str| LoadNames { name: name.into(), ..LoadNames::default() };
    let reel = LoadNames { radii_mm: vec![40.0, 50.0, 60.0], ..load("reel") };
    let list = |names: &[&str]| names.iter().map(|n| (*n).to_owned()).collect();
    Names {
        zones: list(&["box"]),
        loads: vec![load("hair"), reel],
        sensors: list(&["panel"]),
        openings: list(&["a", "b"]),
    }
}

fn column(place: Place, quantity: Quantity, values: Vec<f64>) -> Column {
    let address = Address::new(place, quantity);
    Column {
        address,
        name: of_the_box().head(address),
        label: of_the_box().label(address),
        unit: quantity.unit().into(),
        values,
        peak: None,
    }
}

fn event(time_s: f64, change: Change) -> Event {
    Event { time_s, place: change.place(), change, name: None }
}

/// A run of `rows` samples, one every minute, without anything in it.
fn empty(rows: usize) -> Run {
    let ledger = Ledger { unit: "g".into(), sources: vec![], uses: vec![], closure_error: 0.0 };
    Run {
        schema_version: 1,
        program_version: "0.0.0".into(),
        title: "Hand-made".into(),
        names: of_the_box(),
        time_s: (0..rows).map(|i| 60.0 * i as f64).collect(),
        columns: Vec::new(),
        metrics: Vec::new(),
        water: ledger.clone(),
        energy: ledger,
        events: Vec::new(),
        effort: Effort::default(),
        warnings: Vec::new(),
        ended: None,
    }
}

/// One zone, a pad that loses 6 g/h in a straight line, one way out and one way in.
fn run(rows: usize) -> Run {
    let course = |from: f64, per_min: f64| -> Vec<f64> {
        (0..rows).map(|i| from + per_min * i as f64).collect()
    };
    let flat = |value: f64| course(value, 0.0);
    use Place::*;
    use Quantity::*;
    let mut run = empty(rows);
    run.columns = vec![
        column(Zone(0), Temperature, course(20.0, 0.5)),
        column(Zone(0), RelativeHumidity, flat(40.0)),
        column(Zone(0), VapourDensity, flat(9.0)),
        column(Zone(0), DewPoint, course(15.0, 0.5)),
        column(Controller, SetPoint, flat(55.0)),
        column(Element, Temperature, flat(90.0)),
        column(Face(0, Side::Inside), Temperature, course(20.0, 0.25)),
        column(Face(0, Side::Outside), Temperature, flat(20.0)),
        column(Wall(0), Condensate, flat(0.5)),
        column(Load(0), Temperature, flat(30.0)),
        column(Load(0), WaterRemaining, course(6.0, -0.1)),
        column(Box, WaterRemaining, course(7.0, -0.1)),
        column(Sensor(0), Temperature, flat(50.0)),
        column(Sensor(0), RelativeHumidity, flat(38.0)),
        column(Heater, Power, flat(120.0)),
        column(Heater, Energy, course(0.0, 2.0)),
        column(Load(0), Water, course(6.0, -0.1)),
        column(AllZones, Water, flat(1.0)),
        column(AllWalls, Condensate, flat(0.0)),
        column(Opening(0), NetWaterOut, course(0.0, 0.15)),
        column(Opening(1), NetWaterOut, course(0.0, -0.05)),
    ];
    run.metrics.push(Metric {
        key: "peak_rh_pct".into(),
        label: "peak relative humidity".into(),
        value: Some(140.0 / 3.0),
        unit: "%RH".into(),
        ..Metric::default()
    });
    run
}

/// The same run with a spool of three layers in the box.
fn with_spool(mut run: Run) -> Run {
    let rows = run.time_s.len();
    let fall = |from: f64| (0..rows).map(|i| from / (1.0 + i as f64)).collect::<Vec<_>>();
    for place in [Place::Rim(1, 0), Place::Core(1, 0)] {
        run.columns.push(column(place, Quantity::Temperature, vec![45.0; rows]));
    }
    run.columns.push(column(Place::Load(1), Quantity::Moisture, fall(2.0)));
    for i in 0..3 {
        let values = fall(2.2 - 0.3 * i as f64);
        run.columns.push(column(Place::Layer(1, i), Quantity::Moisture, values));
    }
    for what in DryingResistance::ALL {
        run.columns.push(column(Place::Load(1), Quantity::Resistance(what), vec![25.0; rows]));
    }
    run
}

#[test]
fn the_map_of_moisture_has_a_row_for_each_layer_and_needs_one() {
    let map = moisture_map(&with_spool(run(61))).unwrap();
    assert_eq!(map.y.names, ["40", "50", "60"]);
    assert_eq!((map.x.names.len(), map.cells.len()), (map.cells[0].len(), 3));
    assert!(map.cells[0][0] > map.cells[2][0], "the rim is drier");
    assert!(moisture_map(&run(61)).is_none());
    assert!(drawn("moisture", &run(61)).is_none());
}

fn drawn(name: &str, run: &Run) -> Option<Figure> {
    (find(name).expect("a known figure").draw)(run)
}

fn names(figure: &Figure) -> Vec<(String, String, Vec<String>)> {
    let panels = figure.panels.iter();
    panels
        .map(|p| {
            let names = p.series.iter().map(|s| s.name.clone()).collect();
            (p.label.clone(), p.unit.clone(), names)
        })
        .collect()
}

fn panel(label: &str, unit: &str, series: &[&str]) -> (String, String, Vec<String>) {
    (label.into(), unit.into(), series.iter().map(|s| (*s).into()).collect())
}

#[test]
fn every_figure_has_words_and_both_formats() {
    for picture in PICTURES {
        let run = if picture.name == MOISTURE { with_spool(run(61)) } else { run(61) };
        let figure = (picture.draw)(&run).expect(picture.name);
        assert!(figure.title.contains("Hand-made"), "{}", figure.title);
        assert!(figure.alt_text.contains(&figure.title), "{}", figure.alt_text);
        for panel in &figure.panels {
            assert!(figure.alt_text.contains(&panel.label.to_lowercase()), "{}", figure.alt_text);
        }
        assert_eq!((figure.x_label.as_str(), figure.x_unit.as_str()), ("Time", "min"));
        assert!(!figure.subtitle.is_empty(), "{}", picture.name);
        assert!(figure.to_csv().starts_with("time_min,"), "{}", picture.name);
        for size in [Size::Landscape, Size::Portrait] {
            figure.to_svg(&Style { size, theme: Theme::Light }).expect(picture.name);
        }
    }
    assert!(find("nonsense").is_none());
}

#[test]
fn temperatures_keep_the_element_apart_and_know_loads_by_exclusion() {
    let figure = drawn("temperatures", &run(61)).unwrap();
    let want = [
        panel("Air", "°C", &["air", "sensor panel", "set point"]),
        panel("Walls and loads", "°C", &["box wall inside", "box wall outside", "hair"]),
        panel("Heating element", "°C", &["element"]),
    ];
    assert_eq!(names(&figure), want);
    assert!(figure.subtitle.starts_with("The air peaks at 50.0 °C (-5.0 K to the set point)"));
}

#[test]
fn humidity_says_from_when_water_condenses() {
    let figure = drawn("humidity", &run(61)).unwrap();
    let want = [
        panel("Relative humidity", "%", &["air", "sensor panel"]),
        panel("Vapour density", "g/m³", &["air"]),
        panel("Dew point and wall", "°C", &["dew point, air", "box wall inside"]),
    ];
    assert_eq!(names(&figure), want);
    // The dew point, 15 + t/2, meets the wall, 20 + t/4, after 20 min.
    assert!(figure.subtitle.ends_with("from 21 min to 60 min"), "{}", figure.subtitle);
    let figure = drawn("humidity", &run(11)).unwrap();
    let dry = "no water condenses: the coldest wall stays 2.5 K above the dew point";
    assert!(figure.subtitle.ends_with(dry), "{}", figure.subtitle);
}

#[test]
fn drying_rate_is_the_slope_where_its_window_fits() {
    let figure = drawn("drying", &run(61)).unwrap();
    let water = ["remaining in hair", "in the whole box", "on the walls"];
    assert_eq!(names(&figure)[0], panel("Added water", "g", &water));
    let rate = &figure.panels[1];
    // Five minutes are five steps; an even number of steps makes six.
    assert_eq!((rate.label.as_str(), rate.unit.as_str()), ("Drying rate, over 6 min", "g/h"));
    let points = &rate.series[0].points;
    assert!(points[2].1.is_nan() && points[58].1.is_nan());
    assert!(points[3..58].iter().all(|p| (p.1 - 6.0).abs() < 1e-9));
    // A run shorter than the window has no rate.
    assert_eq!(drawn("drying", &run(5)).unwrap().panels.len(), 1);
}

#[test]
fn power_of_a_switched_heater_has_its_mean() {
    let mut run = run(61);
    assert_eq!(names(&drawn("power", &run).unwrap())[0], panel("Heater power", "W", &["heater"]));
    run.events = vec![event(60.0, Change::HeaterOff)];
    let figure = drawn("power", &run).unwrap();
    let want = [
        panel("Heater power", "W", &["heater", "10-minute mean"]),
        panel("Energy", "Wh", &["heater"]),
    ];
    assert_eq!(names(&figure), want);
    let mean = &figure.panels[0].series[1].points;
    assert!(mean[4].1.is_nan() && mean[56].1.is_nan());
    assert!(mean[5..56].iter().all(|p| (p.1 - 120.0).abs() < 1e-9));
    // Without a column of the heater there is nothing to show.
    run.columns.retain(|c| c.address.quantity != Quantity::Power);
    assert!(drawn("power", &run).is_none());
}

#[test]
fn water_paths_stack_up_to_all_water() {
    let figure = drawn("vapour_paths", &run(61)).unwrap();
    // The empty walls are too thin to be seen; what came in lies below zero.
    let layers = ["net out by vent a", "net in by vent b (below zero)", "in the air", "in hair"];
    assert_eq!(names(&figure), [panel("All water", "g", &layers)]);
    assert!(figure.panels[0].stacked);
    for row in [0, 30, 60] {
        let all: f64 = figure.panels[0].series.iter().map(|s| s.points[row].1).sum();
        assert!((all - 7.0).abs() < 1e-9, "{all}");
    }
    let words = "7.00 g at the start, bound water and vapour included; 6.00 g went out net; 1.00 g \
                 is in the box at the end";
    assert_eq!(figure.subtitle, words);
}

#[test]
fn names_of_ways_follow_the_sign_at_the_end_and_gross_amounts_are_told() {
    let mut run = run(61);
    // Out while the box warms up, and in on balance.
    let at = Address::new(Place::Opening(1), Quantity::NetWaterOut);
    let way = run.columns.iter_mut().find(|c| c.address == at).unwrap();
    way.values = (0..61).map(|i| if i < 20 { 0.1 * f64::from(i) } else { -3.0 }).collect();
    let row = |i, quantity, amount| {
        let address = Address::new(Place::Opening(i), quantity);
        Row { address, name: of_the_box().line(address, quantity == Quantity::WaterIn), amount }
    };
    run.water.sources = vec![row(0, Quantity::WaterIn, 4.0), row(1, Quantity::WaterIn, 5.0)];
    run.water.uses = vec![row(0, Quantity::WaterOut, 13.0), row(1, Quantity::WaterOut, 2.0)];
    let figure = drawn("vapour_paths", &run).unwrap();
    assert_eq!(figure.panels[0].series[1].name, "net in by vent b (below zero)");
    let words = "9.00 g came in with room air and 15.00 g went out, 6.00 g net";
    assert!(figure.subtitle.contains(words), "{}", figure.subtitle);
}

#[test]
fn of_the_water_in_walls_only_what_moves_is_shown() {
    let mut run = run(61);
    let bound: Vec<f64> = (0..61).map(|i| 95.0 + 0.02 * f64::from(i)).collect();
    run.columns.push(column(Place::AllWalls, Quantity::BoundWater, bound));
    let figure = drawn("vapour_paths", &run).unwrap();
    let walls = figure.panels[0].series.iter().find(|s| s.name == "in the walls, over 95.0 g");
    let ends = walls.map(|s| (s.points[0].1, s.points[60].1)).unwrap();
    assert!(ends.0.abs() < 1e-9 && (ends.1 - 1.2).abs() < 1e-9, "{ends:?}");
    let words = "7.00 g at the start, bound water and vapour included, beside 95.0 g that stays in the walls";
    assert!(figure.subtitle.contains(words), "{}", figure.subtitle);
}

#[test]
fn every_run_that_is_compared_has_its_mean_and_what_else_differs_is_told() {
    let mut run = run(61);
    // A controller that does not switch, and humidity that swings every two minutes all the same.
    let humidity = run.columns.iter_mut().find(|c| c.name == "box_relative_humidity_pct").unwrap();
    humidity.values = (0..61).map(|i| 40.0 + 10.0 * f64::from(i % 2)).collect();
    run.metrics.push(Metric {
        key: "warm_up_min".into(),
        value: Some(5.0),
        ..run.metrics[0].clone()
    });
    let kinds = ["thermostat", "pi"].map(|k| Some(k.to_owned())).to_vec();
    let differences = [crate::reader::Difference { path: "control.kind".into(), values: kinds }];
    let figure = together(&[("one".into(), run.clone()), ("two".into(), run)], &differences);
    assert_eq!(figure.panels[0].label, "Relative humidity of the air, mean of 10 min once warm");
    for line in &figure.panels[0].series {
        assert!(line.points[10..].iter().all(|p| (p.1 - 45.0).abs() < 1.0), "{:?}", line.points);
        assert_eq!(line.points[3].1, 50.0, "heating up stays as it is");
    }
    let words = "the boxes differ in control (thermostat, pi)";
    assert!(figure.subtitle.ends_with(words), "{}", figure.subtitle);
    assert!(figure.alt_text.contains(words), "{}", figure.alt_text);
}

#[test]
fn few_switchings_are_marked_and_many_are_not() {
    let mut run = run(61);
    let at = |i: usize, change| event(30.0 * i as f64, change);
    run.events =
        vec![at(1, Change::HeaterOff), at(9, Change::LidOpened), at(10, Change::LidClosed)];
    run.events.push(at(20, Change::SetPoint(333.15)));
    let marks = |run: &Run| -> Vec<String> {
        drawn("overview", run).unwrap().marks.into_iter().map(|m| m.label).collect()
    };
    assert_eq!(marks(&run), ["heater off", "lid opened", "set point 60 °C"]);
    run.events.extend((21..40).map(|i| at(i, Change::HeaterOn)));
    assert_eq!(marks(&run), ["lid opened", "set point 60 °C"]);
}

#[test]
fn only_fast_cycles_become_a_band() {
    let mut run = run(61);
    let band = |run: &Run| drawn("overview", run).unwrap().panels[0].series[0].band;
    let on = |i: usize| event(60.0 + 80.0 * i as f64, Change::HeaterOn);
    run.events = (0..40).map(on).collect();
    assert_eq!(band(&run), None);
    run.events.push(on(40));
    run.events.insert(1, event(90.0, Change::HeaterOff));
    let band = band(&run).unwrap();
    // It begins with the first switching off: heating up is no cycle.
    assert!((band.over - 2.0 * 80.0 / 60.0).abs() < 1e-9 && band.from == 1.5, "{band:?}");
}
