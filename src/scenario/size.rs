//! How much memory a scenario would take, before any of it is taken.

use super::Scenario;
use crate::model::parts::{LoadSpec, WallBuild};
use crate::reader::Section;

/// Most states that the physics reads: its two full matrices then take 256 MB. Our choice.
const MOST_STATES: usize = 4000;

/// Most values that a run may record, rows times columns: 800 MB. Our choice.
const MOST_VALUES: f64 = 1e8;

/// States of a zone with its air, the film on its wall and the water in it.
const OF_ZONE: usize = 16;

/// States of a sensor; of a load without layers; of everything else together.
const OF_SENSOR: usize = 2;
const OF_LOAD: usize = 2;
const OTHERS: usize = 8;

/// Columns of a load, a sensor or an opening at most, layers of spools not counted; of everything else.
const COLUMNS_EACH: usize = 16;
const COLUMNS_OTHERS: usize = 60;

/// Notes a scenario that no memory holds.
pub(super) fn check(root: &Section, scenario: &Scenario) {
    let of_load = |load: &LoadSpec| match load {
        LoadSpec::Spool(spool) => spool.states(),
        _ => OF_LOAD,
    };
    let layers = match &scenario.enclosure.wall.build {
        WallBuild::Layers(layers) => layers.len() + 1,
        _ => 1,
    };
    let walls = scenario.enclosure.zones.len() * (OF_ZONE + layers);
    let sensors = scenario.sensors.len() * OF_SENSOR;
    let loads: usize = scenario.loads.iter().map(of_load).sum();
    let states = walls + sensors + loads + OTHERS;
    if states > MOST_STATES {
        let what = format!("makes {states} states; {MOST_STATES} are possible");
        let (largest, hint) = [
            (
                loads,
                "take fewer loads, or fewer `layers` and `shells` of spools, or model = \"lumped\"",
            ),
            (sensors, "take fewer sensors"),
            (walls, "take fewer layers of the wall"),
        ]
        .into_iter()
        .max_by_key(|(n, _)| *n)
        .unwrap_or_default();
        let key = if largest == loads {
            "load"
        } else if largest == sensors {
            "sensor"
        } else {
            "enclosure"
        };
        root.fail(key, "too-many-states", &what, None, Some(hint.to_owned()));
    }
    let things = scenario.loads.len() + scenario.sensors.len() + scenario.vents.len();
    let columns = COLUMNS_EACH * things + loads / 4 + COLUMNS_OTHERS;
    let rows = scenario.run.duration_s / scenario.run.output_every_s;
    if rows * columns as f64 > MOST_VALUES && root.is_valid("run.output_every") {
        let what =
            format!("makes {rows:.0} rows of up to {columns} columns, which no memory holds");
        let hint = "raise `output_every`, or take fewer sensors, openings and loads".to_owned();
        root.fail("run.output_every", "too-many-values", &what, None, Some(hint));
    }
}
