//! Air through openings: the steady balance of a heated box, washout, dilution by the lid.

use crate::common::{close, drive, entry, scenario, state_at};
use drybench::model::room::air_of;
use drybench::model::store::Holds;
use drybench::model::{Model, Plant};
use drybench::physics::moist_air::{enthalpy_j_kg, saturation_in_air_pa};
use drybench::physics::opening;
use drybench::physics::psychrometrics::{Humidity, air_state};
use drybench::units::{ZERO_CELSIUS_K, c_from_k};

/// One zone of 6 L in a room of 25 °C and 50 %RH, two holes at one height on the two sides of
/// `fan_pa`, heated with `power_w`. Diffusion is switched off.
fn vented(power_w: f64, fan_pa: f64, start: &str) -> String {
    format!(
        r#"
[room]
temperature = "25 °C"
relative_humidity = "50 %RH"
{start}
[enclosure]
inner_size = ["200 mm", "200 mm", "150 mm"]
zones = ["box"]
wall_loss = "0.5 W/K"
wall_heat_capacity = "100 J/K"
[heater]
kind = "resistive"
power = "{power_w} W"
heat_capacity = "5 J/K"
still_coupling = "5 W/K"
[fan]
circulation = "0 L/s"
pressure = "{fan_pa:.17} Pa"
[control]
kind = "always_on"
[vent.in]
kind = "hole"
diameter = "5 mm"
depth = "2 mm"
height = "75 mm"
pressure_share = -0.5
cross_flow_factor = 0.0
[vent.out]
kind = "hole"
diameter = "5 mm"
depth = "2 mm"
height = "75 mm"
pressure_share = 0.5
cross_flow_factor = 0.0
[run]
duration = "3 h"
"#
    )
}

/// The box in its steady state: temperature \[K\], humidity ratio, relative humidity and dry air
/// through it \[kg/s\].
fn steady(power_w: f64, fan_pa: f64) -> ([f64; 4], Model) {
    let model = scenario(&vented(power_w, fan_pa, "")).build();
    let y = state_at(&model, 1e-8, 3.0 * 3600.0);
    let mut plant = Plant::new(&model, 1e-8);
    let at = plant.instant(&y);
    let air = &at.zones[0].air;
    let [inward, outward] = [-at.out_kg_s[0], at.out_kg_s[1]];
    assert!((inward / outward - 1.0).abs() < 1e-9, "not steady: {inward} in, {outward} out");
    // As at the pressure of the room, which is that of the other states.
    let rh = air.relative_humidity(model.total_pa()) * model.total_pa() / air.pressure_pa;
    ([air.temp_k, air.ratio, rh, inward], model.clone())
}

#[test]
fn heat_in_a_steady_vented_box_goes_to_wall_and_vent() {
    let power_w = 20.0;
    let ([t, w, rh, dry_kg_s], model) = steady(power_w, 6.0);
    let room_k = ZERO_CELSIUS_K + 25.0;
    let room = model.room().air(0.0);
    let vent = dry_kg_s * (enthalpy_j_kg(t, w) - enthalpy_j_kg(room_k, room.ratio));
    assert!(vent > 1.0, "the vent must count: {vent} W");
    close("heat out [W]", 0.5 * (t - room_k) + vent, power_w, 1e-7);
    close("humidity ratio", w, room.ratio, 1e-10);
    // The floor of a vented box: room air, heated.
    let full_pa = |temp_k: f64| saturation_in_air_pa(temp_k, model.total_pa());
    let floor = 0.5 * full_pa(room_k) / full_pa(t);
    close("relative humidity", rh, floor, 1e-9);
}

#[test]
fn the_box_has_the_air_of_the_calculator() {
    for (temp_c, rh, total_pa) in [(-20.0, 0.0, 70e3), (25.0, 0.5, 101_325.0), (60.0, 0.9, 80e3)] {
        let temp_k = ZERO_CELSIUS_K + temp_c;
        let ours = air_of(temp_k, rh, total_pa);
        let theirs = air_state(temp_k, Humidity::Relative(rh), total_pa).expect("possible air");
        close("humidity ratio", ours.ratio, theirs.humidity_ratio, 1e-14);
        close("relative humidity", ours.relative_humidity(total_pa), rh, 1e-14);
        close("enthalpy [J/kg]", ours.enthalpy, theirs.enthalpy_j_kg, 1e-9);
        close("volume [m3/kg]", ours.dry_kg_m3.recip(), theirs.volume_m3_kg, 1e-12);
    }
}

#[test]
fn a_vent_of_a_fifth_of_a_gram_per_second_gives_the_known_temperatures() {
    // P, T with the same constant specific heats, T and RH with real-gas enthalpies: balances of
    // UA = 0.5 W/K and 0.2 g/s of dry air at 25 °C and 50 %RH, worked out apart from this code.
    let cases = [
        (20.0, 53.3691011549, 53.364063744, 10.866899257),
        (40.0, 81.7382023089, 81.7147080705, 3.11562016444),
    ];
    for (power_w, ours_c, real_c, real_rh) in cases {
        // The flow follows the pressure of the fan: find the one that gives it.
        let (mut low, mut high) = (1.0, 500.0);
        for _ in 0..40 {
            let mid = 0.5 * (low + high);
            if steady(power_w, mid).0[3] < 0.2e-3 { low = mid } else { high = mid }
        }
        let ([t, _, rh, dry_kg_s], _) = steady(power_w, low);
        close("dry air [g/s]", 1e3 * dry_kg_s, 0.2, 1e-7);
        // The flow is found to 1e-7 g/s, and the humidity of the room is that of a real gas there.
        close("temperature [°C]", c_from_k(t), ours_c, 1e-4);
        close("temperature of a real gas [°C]", c_from_k(t), real_c, 0.03);
        close("relative humidity of a real gas [%]", 100.0 * rh, real_rh, 0.01);
    }
}

#[test]
fn humid_air_is_washed_out_exponentially() {
    let start = "[start]\ntemperature = \"25 °C\"\nrelative_humidity = \"80 %RH\"";
    let text = vented(0.0, 6.0, start);
    let model = scenario(&text).build();
    let room = model.room().air(0.0);
    // Half of the fan's pressure falls at each of two equal holes; worked out from the flow law
    // with room air.
    let law = opening::hole(5e-3, 2e-3).resistance(room.viscosity, room.density);
    let n = law.flow(3.0) / 6e-3;
    let mut plant = Plant::new(&model, 1e-9);
    let mut y = model.start();
    let mut first = None;
    let (mut density, mut ratio, mut changes) = (0.0_f64, 0.0_f64, 0.0);
    drive(&mut plant, &mut y, 1e-9, 3000.0, &mut |plant, t, y| {
        let air = plant.intensive(y).zones[0].air;
        let now = [air.ratio * air.dry_kg_m3 - room.ratio * room.dry_kg_m3, air.ratio - room.ratio];
        let [c0, w0] = *first.get_or_insert(now);
        density = density.max((now[0] / c0 - f64::exp(-n * t)).abs());
        ratio = ratio.max((now[1] / w0 - f64::exp(-n * t)).abs());
        changes = n * t;
    });
    assert!(changes > 5.0, "only {changes} air changes");
    // Humid gas is 0.36 % lighter than room air at first and passes its hole 0.2 % faster; over two
    // holes in series 0.1 %, which fades as exp(-n t): at most 4e-4 of the start.
    close("worst gap of c - c0 against exp(-n t)", density, 0.0, 1e-3);
    // Equal volumes pass, and a volume of humid gas holds up to 0.9 % less dry air than one of room
    // air. So w falls the faster by that much at first: at most 0.9 % x exp(-1) = 3.3e-3.
    close("worst gap of w - w0 against exp(-n t)", ratio, 0.0, 3.5e-3);
}

#[test]
fn washout_follows_the_dry_air_that_entered() {
    // m w' = M (w0 - w) holds for any flow M of dry air into the mass m: no rounding of densities.
    let start = "[start]\ntemperature = \"25 °C\"\nrelative_humidity = \"80 %RH\"";
    let model = scenario(&vented(0.0, 6.0, start)).build();
    let room = model.room().air(0.0);
    let entered = entry(&model, "vent.in in", Holds::DryAir);
    let inside = entry(&model, "air.box dry air", Holds::DryAir);
    let mut plant = Plant::new(&model, 1e-9);
    let mut y = model.start();
    let mut samples: Vec<(f64, f64)> = Vec::new();
    let mut last = (0.0, y[inside]);
    let mut exponent = 0.0;
    drive(&mut plant, &mut y, 1e-9, 900.0, &mut |plant, _, y| {
        let (moved, mass) = (-y[entered], y[inside]);
        // The mass changes by 1 % in all, so its mean in a step is known well enough.
        exponent += (moved - last.0) / (0.5 * (mass + last.1));
        last = (moved, mass);
        samples.push((exponent, plant.intensive(y).zones[0].air.ratio - room.ratio));
    });
    let first = samples[0].1;
    assert!(exponent > 1.0, "only {exponent} air changes");
    let gap = |(e, left): &(f64, f64)| (left / first - f64::exp(-e)).abs();
    close("worst gap", samples.iter().map(gap).fold(0.0, f64::max), 0.0, 1e-5);
}

/// A tight box at room temperature; the lid swaps `share` of its gas.
fn lidded(room_rh: f64, start_rh: f64, share: f64) -> String {
    let start = format!("[start]\nrelative_humidity = \"{start_rh} %RH\"");
    let vented = vented(0.0, 0.0, &start);
    let tight = &vented[..vented.find("[vent.in]").expect("the vents")];
    format!(
        "{}[event.look]\nkind = \"lid_open\"\nat = \"10 s\"\nduration = \"20 s\"\n\
         exchange = {share}\n[run]\nduration = \"60 s\"\n",
        tight.replace("\"50 %RH\"", &format!("\"{room_rh} %RH\""))
    )
}

#[test]
fn an_open_lid_leaves_the_share_that_it_does_not_swap() {
    for share in [0.3, 0.6, 0.95] {
        let model = scenario(&lidded(0.0, 20.0, share)).build();
        let vapour = entry(&model, "air.box vapour", Holds::Water);
        let start = model.start();
        let y = state_at(&model, 1e-10, 60.0);
        // Nothing comes in with dry room air, so the vapour goes the way of an inert tracer: its share
        // in what is there falls by just what is stated.
        let ratio = |y: &[f64]| Plant::new(&model, 1e-6).intensive(y).zones[0].air.ratio;
        close("humidity ratio left", ratio(&y) / ratio(&start), 1.0 - share, 1e-7);
        // Lighter humid gas is replaced by more dry air, by 1.6 w = 0.6 %, half of it on the mean, times
        // (1 - x) ln(1/(1 - x)) < 0.37: 1.1e-3 at most.
        close("vapour left", y[vapour] / start[vapour], 1.0 - share, 2e-3);
    }
}

#[test]
fn an_open_lid_pulls_the_box_towards_the_room() {
    let model = scenario(&lidded(50.0, 40.0, 0.6)).build();
    let y = state_at(&model, 1e-10, 60.0);
    let ratio = |y: &[f64]| Plant::new(&model, 1e-6).intensive(y).zones[0].air.ratio;
    let room = model.room().air(0.0).ratio;
    let left = (ratio(&y) - room) / (ratio(&model.start()) - room);
    close("difference left", left, 0.4, 1e-3);
}
