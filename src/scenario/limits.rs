//! Temperatures that should not be passed: of the wall's materials, and `[limits]`.

use crate::model::parts::{LoadSpec, WallBuild, WallSpec};
use crate::model::{Limit, LimitPlace};
use crate::physics::moist_air::saturation_pressure_pa;
use crate::physics::psychrometrics::dew_point_k;
use crate::reader::{Key, Keys, Section, key};
use crate::units::{Kind, ZERO_CELSIUS_K, format};

const fn limit(name: &'static str, help: &'static str) -> Key {
    key::quantity(name, Kind::Temperature, ZERO_CELSIUS_K..=ZERO_CELSIUS_K + 500.0)
        .optional()
        .help(help)
}
const AIR: Key = limit("air", "warns above this temperature of the air");
const ELEMENT: Key = limit("element", "warns above this temperature of the element");
const WALL_INSIDE: Key = limit("wall_inside", "warns above this temperature of the inner face");
const WALL_OUTSIDE: Key = limit("wall_outside", "warns above this temperature of the outer face");
const LOAD: Key = limit("load", "warns above this temperature of a load");

/// The keys of `[limits]`.
pub const KEYS: Keys = Keys::always(
    "limits",
    "temperatures that raise a warning, besides those of the wall's materials",
    &[&AIR, &ELEMENT, &WALL_INSIDE, &WALL_OUTSIDE, &LOAD],
);

/// What each of them is for.
const PLACES: [(&Key, LimitPlace); 5] = [
    (&AIR, LimitPlace::Air),
    (&ELEMENT, LimitPlace::Element),
    (&WALL_INSIDE, LimitPlace::WallInside),
    (&WALL_OUTSIDE, LimitPlace::WallOutside),
    (&LOAD, LimitPlace::Load),
];

/// Limits that the scenario states itself.
pub fn read(root: &Section) -> Vec<Limit> {
    let Some(s) = root.section_opt("limits") else { return Vec::new() };
    let one = |(key, place): (&Key, LimitPlace)| {
        let limit_k = s.quantity_opt(key)?;
        Some(Limit { place, limit_k, reason: format!("limits.{}", key.name), service: false })
    };
    PLACES.into_iter().filter_map(one).collect()
}

/// Limits of the wall's materials and of the polymers in the box.
pub fn of_parts(wall: &WallSpec, loads: &[LoadSpec]) -> Vec<Limit> {
    [of_wall(wall), of_loads(loads)].concat()
}

/// Limits of the wall's materials: service of the innermost layer, touch of the outermost.
fn of_wall(wall: &WallSpec) -> Vec<Limit> {
    let WallBuild::Layers(layers) = &wall.build else { return Vec::new() };
    let inner = layers.first().and_then(|(m, _)| {
        let reason = format!("service limit of {} (table)", m.name);
        m.service_k.map(|limit_k| Limit {
            place: LimitPlace::WallInside,
            limit_k,
            reason,
            service: true,
        })
    });
    let outer = layers.last().and_then(|(m, _)| {
        let reason = format!("burn threshold of {} for a minute of contact (from memory)", m.name);
        m.touch_k.map(|limit_k| Limit {
            place: LimitPlace::WallOutside,
            limit_k,
            reason,
            service: false,
        })
    });
    inner.into_iter().chain(outer).collect()
}

/// Softening of the polymers, judged for the air around them, their rim and their core.
fn of_loads(loads: &[LoadSpec]) -> Vec<Limit> {
    let spools = loads.iter().enumerate().filter_map(|(i, load)| match load {
        LoadSpec::Spool(spec) => Some((i, spec)),
        _ => None,
    });
    let limits = spools.flat_map(|(i, spec)| {
        let reason =
            format!("{} may soften or stick (load.{}.softening)", spec.polymer.name, spec.name);
        [LimitPlace::AirAround(i), LimitPlace::Rim(i), LimitPlace::Core(i)].map(|place| Limit {
            place,
            limit_k: spec.softening_k,
            reason: reason.clone(),
            service: true,
        })
    });
    limits.collect()
}

/// Share of the pressure of the room that the vapour of a wet load may have at the start. Our choice: half a
/// kelvin below boiling.
const MOST_VAPOUR: f64 = 0.98;

/// Refuses a start at which the water in a pad would boil.
pub fn check_boiling(root: &Section, start_k: f64, total_pa: f64, loads: &[LoadSpec]) {
    let pad = loads.iter().find(|l| matches!(l, LoadSpec::Pad(_)));
    let (Some(pad), true) = (pad, saturation_pressure_pa(start_k) >= MOST_VAPOUR * total_pa) else {
        return;
    };
    let boiling =
        dew_point_k(total_pa, total_pa).map(|k| format(Kind::Temperature, k)).unwrap_or_default();
    let pressure = format(Kind::Pressure, total_pa);
    let what = format!("lets the water in load.{} boil", pad.name());
    let why = format!(
        "at {pressure} water boils at {boiling}, where the law of evaporation does not hold"
    );
    let hint = "start below that, or raise room.pressure".to_owned();
    root.section("start").fail("temperature", "load-boils", &what, Some(&why), Some(hint));
}
