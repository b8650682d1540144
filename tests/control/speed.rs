//! The laws of the fan, and what follows for the element and the zones.

use crate::plant::{DRYER, close, run, scenario, value_at, within};
use drybench::model::room::air_of;
use drybench::physics::constants::{CP_AIR, R_AIR};
use drybench::units::k_from_c;

const END: &str = "[control]\nkind = \"off\"\n[run]\nduration = \"1 min\"";

#[test]
fn flow_pressure_power_and_coupling_follow_the_speed() {
    let s = scenario(&(DRYER.replacen("[fan]", "[fan]\npressure = \"3 Pa\"", 1) + END));
    let full = s.fan.state(1.0, 1.0, true, 0.55);
    for n in [0.3, 0.5, 0.8] {
        for state in [s.fan.state(n, 1.0, true, 0.55), s.fan.state(1.0, n, true, 0.55)] {
            within("flow", state.circulation_m3_s, n * full.circulation_m3_s, 1e-12);
            within("pressure", state.pressure_pa, n * n * full.pressure_pa, 1e-12);
            within("power", state.motor_w, n.powi(3) * full.motor_w, 1e-12);
            within("coupling", state.coupling, n.powf(0.55), 1e-12);
        }
    }
    let lost = s.fan.state(1.0, 1.0, false, 0.55);
    assert_eq!((lost.circulation_m3_s, lost.pressure_pa, lost.motor_w), (0.0, 0.0, 0.0));
}

/// Exchange of the zones \[m3/s\] with the heater at this place, air of these temperatures beside it
/// and far from it, and this stream of the fan.
fn exchange(place: &str, near_c: f64, far_c: f64, fan_m3_s: f64) -> f64 {
    let text = DRYER.replacen("[heater]", &format!("[heater]\nplace = \"{place}\""), 1);
    let air = |c: f64| air_of(k_from_c(c), 0.0, 101_325.0);
    let still = scenario(&(text + END)).enclosure.still_air;
    still.exchange(&air(near_c), &air(far_c), fan_m3_s)
}

#[test]
fn still_zones_exchange_as_their_places_allow() {
    let litres = |place, near, far| 1e3 * exchange(place, near, far, 0.0);
    for place in ["beside", "below", "above"] {
        let [hot, warm, equal] = [90.0, 50.0, 40.0].map(|near| litres(place, near, 40.0));
        println!("{place}: {hot:.3} L/s at 50 K, {warm:.3} at 10 K, {equal:.4} at none");
        // Diffusion over some centimetres is left where nothing else moves the air.
        assert!(equal > 1e-3 && equal < 0.05, "{equal}");
        if place == "above" {
            // Warm air stays on top; there it is diffusion, and cold air falls.
            assert!(hot < 0.05 && litres(place, 20.0, 40.0) > 0.1, "{hot}");
        } else {
            // It grows with the root of the difference.
            within("root", (hot - equal) / (warm - equal), 5.0_f64.sqrt(), 0.08);
            assert!(warm > 0.1 && warm < 1.0, "{warm}");
        }
    }
}

#[test]
fn buoyancy_never_leaves_the_zones_apart() {
    // The sum of fan and buoyancy never falls as the fan speeds up.
    let moved = |fan: f64| fan + exchange("beside", 80.0, 40.0, fan);
    for i in 0..30 {
        let fan = f64::from(i) * 1e-4;
        assert!(moved(fan) > 0.0 && moved(fan + 1e-4) >= moved(fan), "at {fan}");
    }
    assert_eq!(exchange("beside", 80.0, 40.0, 7e-3), 0.0, "the fan sweeps it away");
    // The element warms the far zone without any fan.
    let text =
        DRYER.replacen("[fan]", "[event.stop]\nkind = \"fan\"\nat = \"0 s\"\nspeed = 0\n[fan]", 1);
    let run = run(&(text + "[control]\nkind = \"always_on\"\n[run]\nduration = \"2 h\""));
    let (near, far) = (
        value_at(&run, "supply_temperature_C", 7200.0),
        value_at(&run, "return_temperature_C", 7200.0),
    );
    println!("fan still: supply {near:.1} °C, return {far:.1} °C");
    assert!(far > 22.0 && near > far + 5.0, "{near} {far}");
}

/// Conductance of the element at a speed, told from its temperature in a run: UA \[W/K\].
fn coupling(speed: f64) -> f64 {
    let text = format!(
        "{}[event.speed]\nkind = \"fan\"\nat = \"0 s\"\nspeed = {speed}\n[control]\nkind = \
         \"always_on\"\n[run]\nduration = \"6 h\"",
        DRYER
            .replacen(
                "kind = \"ptc\"\npower = \"150 W\"",
                "kind = \"resistive\"\npower = \"20 W\"",
                1
            )
            .replacen("50 %RH", "0 %RH", 1)
    );
    let run = run(&text);
    let inlet = value_at(&run, "return_temperature_C", 21_600.0);
    let element = value_at(&run, "element_temperature_C", 21_600.0);
    let rate = 101_325.0 / (R_AIR * (inlet + 273.15)) * CP_AIR * 7e-3 * speed;
    let conductance = 20.0 / (element - inlet);
    -rate * (1.0 - conductance / rate).ln()
}

#[test]
fn the_element_feels_the_flow_to_its_power() {
    let full = coupling(1.0);
    // The default coupling at the rated circulation, and q^0.55 of it below.
    close("coupling", full, 3.0, 0.01);
    close("coupling at half speed", coupling(0.5), 3.0 * 0.5_f64.powf(0.55), 0.01);
    close("coupling at a fifth", coupling(0.2), 3.0 * 0.2_f64.powf(0.55), 0.01);
}
