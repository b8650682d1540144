//! Names that mean something else: columns, ledgers and messages could not tell the two apart.

use super::Scenario;
use crate::address::{LoadNames, NOT_FOR_LOADS, NOT_FOR_ZONES, Names, Place, clash};
use crate::model::openings::RELIEF;
use crate::model::parts::LoadView;
use crate::reader::Section;
use crate::text::slug;

/// Names with a column of their own at the start of a head, and what they belong to.
struct Heads(Vec<(String, String)>);

impl Heads {
    /// What a name cannot be told from, if anything.
    fn clash(&self, name: &str, taken: &[&str]) -> Option<String> {
        if taken.contains(&name) {
            return Some(format!("has the name \"{name}\", which means something else in tables"));
        }
        let same = |(other, _): &&(String, String)| clash(name, other);
        let (_, owner) = self.0.iter().find(same)?;
        Some(format!("cannot be told from {owner} in the names of columns"))
    }
}

/// Notes every name of a load, zone or opening that means something else.
pub(super) fn check(root: &Section, scenario: &Scenario) {
    let hint = "give it another name.";
    let mut heads = Heads(Vec::new());
    let names = Names {
        zones: scenario.enclosure.zones.iter().map(|z| slug(&z.name)).collect(),
        sensors: scenario.sensors.iter().map(|s| slug(&s.name)).collect(),
        ..Names::default()
    };
    for (i, sensor) in scenario.sensors.iter().enumerate() {
        heads.0.push((names.stem(Place::Sensor(i)), format!("sensor.{}", sensor.name)));
    }
    for (i, zone) in scenario.enclosure.zones.iter().enumerate() {
        let name = slug(&zone.name);
        if let Some(what) = heads.clash(&name, &NOT_FOR_ZONES) {
            let what = format!("has a zone \"{}\", which {what}", zone.name);
            root.fail("enclosure.zones", "zone-name", &what, None, Some(hint.to_owned()));
        }
        heads.0.push((names.stem(Place::Wall(i)), format!("the wall of zone {name}")));
        heads.0.push((names.stem(Place::Floor(i)), format!("the floor of zone {name}")));
        heads.0.push((name, format!("zone {}", zone.name)));
    }
    for load in root.named("load") {
        let name = slug(&load.name());
        if let Some(what) = heads.clash(&name, &NOT_FOR_LOADS) {
            load.fail_table("taken-name", &what, hint);
        }
        heads.0.push((name, format!("load.{}", load.name())));
    }
    // Openings that a box may have beside its vents.
    for vent in root.named("vent") {
        let owner = match slug(&vent.name()).as_str() {
            "exhaust" if scenario.exhaust.is_some() => "exhaust fan's own opening",
            RELIEF => "lid that gives way",
            _ => continue,
        };
        let what = format!("has the name of the {owner}");
        let hint = "call it something else, such as [vent.make_up]";
        vent.fail_table("duplicate-name", &what, hint);
    }
}

/// The names that columns, accounts and messages are made of.
pub(super) fn of(scenario: &Scenario, loads: &[LoadView]) -> Names {
    let zones: Vec<String> = scenario.enclosure.zones.iter().map(|z| z.name.clone()).collect();
    let load = |view: &LoadView| {
        let Some(m) = &view.moisture else {
            return LoadNames { name: view.name.clone(), ..LoadNames::default() };
        };
        let depth = m.depth();
        LoadNames {
            name: view.name.clone(),
            halves: (0..m.halves()).map(|h| zones[m.around[h].0].clone()).collect(),
            radii_mm: m.slices[..depth].iter().map(|s| 1e3 * s.radius_m).collect(),
        }
    };
    let loads = loads.iter().map(load).collect();
    let sensors = scenario.sensors.iter().map(|s| s.name.clone()).collect();
    Names { zones, loads, sensors, openings: Vec::new() }
}
