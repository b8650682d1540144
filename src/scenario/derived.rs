//! What follows from a scenario before any simulation: shown by `drybench check`.

use super::Scenario;
use crate::model::parts::LoadSpec;
use crate::model::room::air_of;
use crate::physics::moist_air::{latent_heat_j_kg, saturation_in_air_pa};
use crate::reader::Section;
use crate::units::{Kind, ZERO_CELSIUS_K};

/// Relative humidity of the leaving air for the purge volume: a box is usually between the two.
const PURGE_HUMIDITIES: [f64; 2] = [0.4, 1.0];

/// Records the derived values of `scenario`.
pub fn record(root: &Section, scenario: &Scenario) {
    let enclosure = root.section("enclosure");
    let Some(set_point_k) = scenario.control.highest_k() else { return };
    let room = &scenario.room;
    let control = root.section("control");
    let steady = scenario.enclosure.wall.steady(
        &scenario.enclosure.faces,
        set_point_k,
        room.temp_k,
        room.total_pa,
    );
    let dt = set_point_k - room.temp_k;
    if dt <= 0.0 || !steady.loss_w.is_finite() {
        return;
    }
    enclosure.derived(
        "steady_wall_loss",
        Kind::Conductance,
        steady.loss_w / dt,
        "walls at the set point, all zones at one temperature",
    );
    enclosure.derived(
        "steady_heat_loss",
        Kind::Power,
        steady.loss_w,
        "that loss times set point minus room",
    );
    let name = "wall face at the set point: condensation begins where the dew point exceeds it";
    enclosure.derived("steady_inner_face", Kind::Temperature, steady.inner_k, name);
    if let Some(outer_k) = steady.outer_k {
        enclosure.derived("steady_outer_face", Kind::Temperature, outer_k, "touch temperature");
    }
    let floor = room.relative_humidity * saturation_in_air_pa(room.temp_k, room.total_pa)
        / saturation_in_air_pa(set_point_k, room.total_pa);
    control.derived(
        "humidity_floor",
        Kind::RelativeHumidity,
        floor,
        "room air heated to the set point: venting alone cannot go below",
    );
    if let Some((fan, _)) = &scenario.exhaust {
        let room_air = fan.max_m3_s * room.temp_k / set_point_k;
        let how = "max_flow counts the hot gas of the box: as room air, at the set point";
        root.section("exhaust").derived("max_flow_of_room_air", Kind::VolumeFlow, room_air, how);
    }
    record_water(root, scenario, set_point_k);
    for load in &scenario.loads {
        if let LoadSpec::Spool(spool) = load {
            let content = spool.polymer.sorption.content(floor, set_point_k);
            let section = root.section("load").section(&spool.name);
            let how =
                "its moisture in room air heated to the set point: venting alone cannot go below";
            section.derived("moisture_floor", Kind::Share, content, how);
            section.derived(
                "winding_diameter",
                Kind::Length,
                2.0 * spool.outer_m(),
                "from mass and sizes",
            );
        }
    }
}

/// Purge volume and evaporation floor of the added water.
fn record_water(root: &Section, scenario: &Scenario, set_point_k: f64) {
    let added_kg: f64 = scenario.loads.iter().map(|l| l.added_kg()).sum();
    if added_kg <= 0.0 {
        return;
    }
    let load = root.section("load");
    let room = &scenario.room;
    let outside = air_of(room.temp_k, room.relative_humidity, room.total_pa);
    for rh in PURGE_HUMIDITIES {
        if rh * saturation_in_air_pa(set_point_k, room.total_pa) >= room.total_pa {
            continue;
        }
        let leaving = air_of(set_point_k, rh, room.total_pa);
        let gain = leaving.ratio - outside.ratio;
        if gain > 0.0 {
            let volume = added_kg / gain / outside.dry_kg_m3;
            let key = format!("purge_volume_{:.0}_pct", 100.0 * rh);
            let how = "room air that must pass to carry the added water, leaving at this humidity";
            load.derived(&key, Kind::Volume, volume, how);
        }
    }
    let heat_j = added_kg * latent_heat_j_kg(ZERO_CELSIUS_K + 50.0);
    let how = "heat of evaporation of the added water at 50 °C, 0.66 Wh/g";
    load.derived("evaporation_floor", Kind::Energy, heat_j, how);
}
