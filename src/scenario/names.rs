//! Names that mean something else: columns, ledgers and messages could not tell the two apart.

use super::Scenario;
use crate::model::openings::RELIEF;
use crate::reader::Section;
use crate::text::slug;

/// Zones have columns beside those of these.
const NO_ZONES: [&str; 3] = ["all", "element", "room"];

/// What columns, ledgers and figures call something of every box.
const NO_LOADS: [&str; 22] = [
    "air",
    "all",
    "box",
    "control",
    "cut_out",
    "element",
    "energy",
    "exhaust",
    "fan",
    "floor",
    "heater",
    "lid",
    "pinhole",
    "power",
    "room",
    "sensor",
    "set_point",
    "vent",
    "wall",
    "walls",
    "water",
    "water_in_box",
];

/// What follows the name of a spool in the columns of its parts.
const PARTS: [&str; 5] = ["core", "half", "layer", "limit", "rim"];

/// Names with a column of their own at the start of a head, and what they belong to.
struct Heads(Vec<(String, String)>);

impl Heads {
    /// What a name cannot be told from, if anything.
    fn clash(&self, name: &str, taken: &[&str]) -> Option<String> {
        if taken.contains(&name) {
            return Some(format!("has the name \"{name}\", which means something else in tables"));
        }
        let part = |long: &str, short: &str| {
            let rest = long.strip_prefix(short).and_then(|r| r.strip_prefix('_'));
            rest.is_some_and(|r| PARTS.iter().any(|p| r == *p || r.starts_with(&format!("{p}_"))))
        };
        let same = |(other, _): &&(String, String)| {
            name == other || part(name, other) || part(other, name)
        };
        let (_, owner) = self.0.iter().find(same)?;
        Some(format!("cannot be told from {owner} in the names of columns"))
    }
}

/// Notes every name of a load, zone or opening that means something else.
pub(super) fn check(root: &Section, scenario: &Scenario) {
    let hint = "give it another name.";
    let mut heads = Heads(Vec::new());
    for sensor in &scenario.sensors {
        let name = format!("sensor_{}", slug(&sensor.name));
        heads.0.push((name, format!("sensor.{}", sensor.name)));
    }
    for zone in &scenario.enclosure.zones {
        let name = slug(&zone.name);
        if let Some(what) = heads.clash(&name, &NO_ZONES) {
            let what = format!("has a zone \"{}\", which {what}", zone.name);
            root.fail("enclosure.zones", "zone-name", &what, None, Some(hint.to_owned()));
        }
        heads.0.push((format!("wall_{name}"), format!("the wall of zone {name}")));
        heads.0.push((name, format!("zone {}", zone.name)));
    }
    for load in root.named("load") {
        let name = slug(&load.name());
        if let Some(what) = heads.clash(&name, &NO_LOADS) {
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
