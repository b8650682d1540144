//! Cut-out, loss of power, and events that move set point and room.

use crate::plant::{DRYER, Lump, PI, close, range, run, times, value_at};

/// The fan fails at 20 min; a thermal link opens at `limit` at its `place`, with this lag.
fn stopped(place: &str, limit: &str, lag: &str) -> String {
    format!(
        "{}[control]\nkind = \"thermostat\"\nset_point = \"55 °C\"\nhysteresis = \"2 K\"\nsensor = \
         \"panel\"\n[event.fails]\nkind = \"fan\"\nat = \"20 min\"\nspeed = 0\n[cut_out]\n{place}\n\
         temperature = \"{limit}\"\ntime_constant = \"{lag}\"\n[run]\nduration = \"3 h\"\n\
         output_every = \"1 s\"",
        DRYER.replacen("kind = \"ptc\"", "kind = \"resistive\"", 1)
    )
}

#[test]
fn a_cut_out_on_the_element_opens_once_and_for_all() {
    let run = run(&stopped("place = \"element\"", "150 °C", "0.1 s"));
    let opened = times(&run, "cut-out opened");
    assert_eq!(opened.len(), 1, "{opened:?}");
    assert!(opened[0] > 1200.0, "opened at {} s, before the fan failed", opened[0]);
    // Without lag it opens at its temperature: 0.1 s at 1 K/s.
    close("element then", value_at(&run, "element_temperature_C", opened[0]), 150.0, 0.3);
    let (_, after) = range(&run, "heater_power_W", opened[0] + 1.0, 10_800.0);
    assert_eq!(after, 0.0, "it heats again");
    // Cold again, and the thermostat asks in vain.
    assert!(value_at(&run, "sensor_panel_temperature_C", 10_800.0) < 30.0);
    assert!(times(&run, "heater off").iter().all(|t| *t < opened[0]));
}

#[test]
fn a_cut_out_lags_behind_its_place() {
    let peak = |lag: &str| {
        let run = run(&stopped("place = \"element\"", "150 °C", lag));
        run.metric("peak_element_C").expect("a peak")
    };
    // 150 W into 150 J/K: 1 K/s, and so a lag of 30 s lets it go 30 K further, less its losses.
    let (quick, slow) = (peak("0.1 s"), peak("30 s"));
    println!("peak of the element: {quick:.1} °C without lag, {slow:.1} °C with 30 s");
    assert!(quick < 151.0 && slow > 165.0 && slow < 181.0, "{quick} {slow}");
}

#[test]
fn a_cut_out_in_the_air_feels_the_air() {
    // With the heater above the load its air stays where it is. Beside the load it passes its heat on, and
    // the thermostat ends it before.
    let above = |zone: &str| {
        let text = stopped(&format!("zone = \"{zone}\""), "100 °C", "5 s");
        text.replacen("[heater]", "[heater]\nplace = \"above\"", 1)
    };
    let run = run(&above("supply"));
    let opened = times(&run, "cut-out opened");
    assert_eq!(opened.len(), 1, "{opened:?}");
    let air = value_at(&run, "supply_temperature_C", opened[0]);
    assert!(air > 100.0 && air < 120.0, "{air} °C");
    // In the cool far zone it is of no use: a minute later the air beside the heater nears 150 °C.
    let far = crate::plant::run(&above("return").replacen("3 h", "23 min", 1));
    assert!(times(&far, "cut-out opened").first().is_none_or(|t| *t > opened[0]));
}

#[test]
fn without_mains_nothing_runs_and_with_them_it_goes_on() {
    for control in [
        PI,
        "[control]\nkind = \"thermostat\"\nset_point = \"55 °C\"\nhysteresis = \"2 K\"\nsensor = \"panel\"\n",
        "[control]\nkind = \"always_on\"\n",
    ] {
        let run = run(&format!(
            "{DRYER}{control}[event.dark]\nkind = \"power_loss\"\nat = \"40 min\"\nduration = \"20 min\"\n\
             [run]\nduration = \"2 h\"\noutput_every = \"1 s\""
        ));
        let (_, dark) = range(&run, "heater_power_W", 2401.0, 3599.0);
        assert_eq!(dark, 0.0, "power without mains");
        let motor = run.energy.amount("fan motor").expect("a row");
        close("energy of the motor", motor, 2.0 * 100.0 / 60.0, 1e-6);
        let (warm, cold) = (
            value_at(&run, "return_temperature_C", 2400.0),
            value_at(&run, "return_temperature_C", 3600.0),
        );
        assert!(cold < warm - 10.0, "{warm} to {cold} °C in 20 min");
        let back = value_at(&run, "return_temperature_C", 7200.0);
        assert!((back - warm).abs() < 6.0, "{back} °C in the end, {warm} °C before");
        assert!(value_at(&run, "heater_power_W", 3602.0) > 10.0, "it does not come back");
    }
}

/// On/off at 55 +-1 °C with an event that moves the set point at 45 min.
fn moved(to_c: f64) -> drybench::run::Run {
    Lump::new(format!(
        "[control]\nkind = \"thermostat\"\nset_point = \"55 °C\"\nhysteresis = \"2 K\"\nsensor = \
         \"panel\"\n[event.move]\nkind = \"set_point\"\nat = \"45 min\"\ntemperature = \"{to_c} °C\"\n\
         [run]\nduration = \"90 min\"\noutput_every = \"1 s\""
    ))
    .run()
}

#[test]
fn a_set_point_moves_though_the_reading_is_beyond_the_new_edge() {
    for to_c in [45.0, 53.0, 57.0, 65.0] {
        let run = moved(to_c);
        let (low, high) = range(&run, "sensor_panel_temperature_C", 4500.0, 5400.0);
        close("lower edge", low, to_c - 1.0, 0.1);
        close("upper edge", high, to_c + 1.0, 0.1);
        // Beyond the new edge it must switch at that instant, at the latest.
        let heats = value_at(&run, "heater_power_W", 2701.0) > 0.0;
        if (to_c - 55.0).abs() > 2.5 {
            assert_eq!(heats, to_c > 55.0, "at {to_c} °C");
        }
    }
}

#[test]
fn a_room_event_changes_the_room() {
    let text = Lump::new(
        "[control]\nkind = \"off\"\n[sensor.room]\nzone = \"room\"\ntime_constant = \"10 s\"\n\
         [event.window]\nkind = \"room\"\nat = \"10 min\"\ntemperature = \"10 °C\"\n\
         [event.closed]\nkind = \"room\"\nat = \"50 min\"\ntemperature = \"30 °C\"\nrelative_humidity = \
         \"20 %RH\"\n[run]\nduration = \"2 h\"\noutput_every = \"1 s\"",
    );
    let run = text.run();
    // A lump of 900 s in the closed form.
    let cold = 10.0 + 14.0 * (-2400.0_f64 / 900.0).exp();
    close("box after the cold", value_at(&run, "box_temperature_C", 3000.0), cold, 0.02);
    let warm = 30.0 + (cold - 30.0) * (-4200.0_f64 / 900.0).exp();
    close("box in the end", value_at(&run, "box_temperature_C", 7200.0), warm, 0.02);
    close("room sensor", value_at(&run, "sensor_room_temperature_C", 3000.0), 10.0, 1e-3);
    close("room humidity", value_at(&run, "room_relative_humidity_pct", 4000.0), 20.0, 1e-6);
}
