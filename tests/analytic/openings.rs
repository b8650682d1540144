//! Stack effect: the neutral level of two equal holes.

use crate::common::{close, scenario, state_at};
use drybench::model::{Model, Plant};
use drybench::physics::constants::GRAVITY;

/// Heights of the two holes above the floor \[m\].
const LOW_M: f64 = 0.05;
const HIGH_M: f64 = 0.25;

/// A box whose air stands at 60 °C, with two holes of 40 mm in a thin wall: wide enough for inertia
/// alone to count.
fn text(power_w: f64) -> String {
    format!(
        r#"
[room]
temperature = "25 °C"
relative_humidity = "0 %RH"
[start]
temperature = "60 °C"
[enclosure]
inner_size = ["200 mm", "200 mm", "300 mm"]
zones = ["box"]
wall_loss = "0.5 W/K"
[heater]
kind = "resistive"
power = "{power_w} W"
still_coupling = "1 W/K"
[fan]
circulation = "0 L/s"
pressure = "0 Pa"
[control]
kind = "always_on"
[vent.low]
kind = "hole"
diameter = "40 mm"
depth = "0 mm"
height = "50 mm"
[vent.high]
kind = "hole"
diameter = "40 mm"
depth = "0 mm"
height = "250 mm"
[run]
duration = "10 h"
"#
    )
}

/// Neutral level between the two holes \[share of their distance\], and densities inside and outside.
fn neutral_level(model: &Model, y: &[f64]) -> (f64, f64, f64) {
    let mut plant = Plant::new(model, 1e-6);
    let at = plant.instant(y);
    let (inside, outside) = (at.zones[0].air.density, at.room.density);
    assert!(at.out_kg_s[0] < 0.0 && at.out_kg_s[1] > 0.0, "in below, out above");
    let level_m = -at.p0_pa / ((outside - inside) * GRAVITY);
    ((level_m - LOW_M) / (HIGH_M - LOW_M), inside, outside)
}

#[test]
fn a_steady_warm_box_has_its_neutral_level_below_the_middle() {
    let model = scenario(&text(25.0)).build();
    let y = state_at(&model, 1e-8, 36_000.0);
    let (level, inside, outside) = neutral_level(&model, &y);
    // Equal masses pass: rho_in dp_top = rho_out dp_bottom, so (z_n - z_b)/(z_t - z_n) is the ratio
    // of the densities, inside over outside.
    let want = inside / (inside + outside);
    assert!(want < 0.49, "the box must be warm: {want}");
    // The viscous part of 40 mm holes moves it by a few thousandths.
    close("neutral level", level, want, 3e-3);
    let mut plant = Plant::new(&model, 1e-6);
    let at = plant.instant(&y);
    close("net dry air [mg/s]", 1e6 * (at.out_kg_s[0] + at.out_kg_s[1]), 0.0, 1e-4);
}

#[test]
fn a_box_that_only_cools_by_its_vent_has_it_above_the_middle() {
    // At the start air and walls have one temperature and no heat flows but by the vent. Cold gas
    // that mixes in at constant pressure takes up just the volume it had outside, so equal volumes
    // pass, not equal masses: rho_out dp_top = rho_in dp_bottom.
    let model = scenario(&text(0.0)).build();
    let (level, inside, outside) = neutral_level(&model, &model.start());
    close("neutral level", level, outside / (inside + outside), 3e-3);
}
