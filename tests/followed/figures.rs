//! Figures of power, air and limits.

use crate::common::{bundled_text, column, last, replaced, run};

fn close(what: &str, own: f64, wanted: f64, off: f64) {
    assert!((own - wanted).abs() <= off, "{what}: {own}, wanted {wanted}");
}

#[test]
fn power_of_a_box_that_switches() {
    let text = bundled_text("two_holes_two_zones.toml");
    let run = run(&replaced(&text, "duration     = \"4 h\"", "duration = \"2 h\""));
    let metric = |key: &str| run.metric(key).unwrap_or_else(|| panic!("{key}"));
    assert_eq!(metric("set_point_reached"), 1.0);
    // A meter read at both ends of the steady window, which is 30 min.
    let read = |name: &str, time_s: f64| {
        let at = run.time_s.iter().position(|t| *t == time_s).expect("a row");
        column(&run, name)[at]
    };
    let used = |name: &str| read(name, 7200.0) - read(name, 5400.0);
    let heater_w = 2.0 * used("heater_energy_Wh");
    close("holding power", metric("holding_power_W"), heater_w + 2.0 * used("fan_energy_Wh"), 1e-9);
    close("duty", metric("duty_pct"), 100.0 * heater_w / 160.0, 1e-9);
    let switched = run.events.iter().filter(|h| h.change.is_switching() && h.time_s > 5400.0);
    close("switchings", metric("switchings_per_h"), 2.0 * switched.count() as f64, 0.0);
    assert!(metric("switchings_per_h") > 10.0);
    // A ceramic element draws most on its way up, which rows of 10 s pass by.
    let rows = column(&run, "heater_power_W").iter().copied().fold(0.0, f64::max) + 2.0;
    assert!(metric("peak_supply_W") >= rows, "{} against {rows}", metric("peak_supply_W"));
    close("peak", metric("peak_supply_W"), rows, 0.02 * rows);
    // The air that has entered by the time at which the box is dry lies between that of two rows.
    let at = run.time_s.iter().position(|t| *t >= 60.0 * metric("box_t90_min")).expect("dry");
    let air = column(&run, "room_air_entered_L");
    let entered = metric("box_t90_room_air_L");
    assert!(air[at - 1] <= entered && entered <= air[at], "{entered}");
    // What a hand can touch is the outside of the walls.
    let outside = run.columns.iter().filter(|c| c.name.ends_with("_outside_C"));
    let hottest = outside.flat_map(|c| &c.values).copied().fold(0.0, f64::max);
    close("outside", metric("peak_outside_C"), hottest, 1e-3);
    assert!(metric("peak_outside_C") >= hottest);
}

#[test]
fn a_controller_without_steps_does_not_switch_and_says_so() {
    let run = run(&bundled_text("sealed.toml"));
    let found = run.metrics.iter().find(|m| m.key == "switchings_per_h").expect("a figure");
    assert_eq!(found.value, None);
    let why = found.why.as_deref().expect("a reason");
    assert!(why.contains("without switching"), "{why}");
    let found = run.metrics.iter().find(|m| m.key == "box_t90_min").expect("a figure");
    assert_eq!((found.value, found.why.as_deref()), (None, Some("not reached within 4 h")));
    assert!(run.metrics.iter().all(|m| m.value.is_some() != m.why.is_some()));
}

#[test]
fn an_element_that_is_always_on_has_full_duty() {
    let text = bundled_text("two_holes_two_zones.toml").replace("\"ptc\"", "\"resistive\"");
    let text = replaced(&text, "160 W", "40 W");
    let text = replaced(&text, "\"thermostat\"", "\"always_on\"");
    let run = run(&replaced(&text, "4 h", "1 h"));
    let metric = |key: &str| run.metric(key).unwrap_or_else(|| panic!("{key}"));
    close("duty", metric("duty_pct"), 100.0, 1e-9);
    close("holding power", metric("holding_power_W"), 42.0, 1e-9);
    close("peak", metric("peak_supply_W"), 42.0, 1e-9);
    assert_eq!(metric("switchings_per_h"), 0.0);
}

#[test]
fn the_least_margin_is_that_of_the_material_nearest_to_its_limit() {
    let run = run(&bundled_text("two_holes_two_zones.toml"));
    // Polypropylene serves to 100 °C (table of wall materials).
    let inside =
        run.columns.iter().filter(|c| c.name.starts_with("wall_") && c.name.ends_with("_inside_C"));
    let hottest = inside.filter_map(|c| c.peak).map(|p| p.value).fold(0.0, f64::max);
    let metric = |key: &str| run.metric(key).unwrap_or_else(|| panic!("{key}"));
    let margin = metric("service_margin_K");
    close("margin", (margin + hottest) % 5.0, 0.0, 1e-9);
    assert!(margin > 10.0 && last(&run, "supply_temperature_C") < 100.0);
}

#[test]
fn a_set_point_out_of_reach_is_told() {
    let text = bundled_text("two_holes_two_zones.toml");
    let run = run(&replaced(&replaced(&text, "160 W", "30 W"), "4 h", "2 h"));
    assert_eq!(run.metric("set_point_reached"), Some(0.0));
    let below = run.metric("overshoot_sensor_K").expect("a distance");
    assert!(below < -1.0, "{below}");
}
