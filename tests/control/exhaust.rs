//! When the exhaust runs.

use crate::plant::{DRYER, EXHAUST, PAD, PI, column, range, run, times};
use drybench::run::Run;

const END: &str = "[run]\nduration = \"3 h\"\noutput_every = \"5 s\"\n";

fn vented(rule: &str) -> Run {
    run(&format!("{DRYER}{PAD}{PI}{EXHAUST}{rule}\n{END}"))
}

/// The same in a room of 28 °C and 75 %RH, with or without the pad.
fn summer(pad: &str, rule: &str) -> Run {
    let room = "temperature = \"21 °C\"\nrelative_humidity = \"50 %RH\"";
    let warm = "temperature = \"28 °C\"\nrelative_humidity = \"75 %RH\"";
    run(&format!("{}{pad}{PI}{EXHAUST}{rule}\n{END}", DRYER.replacen(room, warm, 1)))
}

#[test]
fn a_timer_keeps_its_phases() {
    let run = vented("rule = \"timer\"\nperiod = \"10 min\"\non_time = \"90 s\"");
    let (on, off) = (times(&run, "exhaust on"), times(&run, "exhaust off"));
    assert_eq!((on.len(), off.len()), (18, 17), "{on:?} {off:?}");
    // It begins with its pause. A guard is located to a billionth, and the next phase counts from
    // there, so that the error grows with the number of phases.
    for (i, t) in on.iter().enumerate() {
        assert!((t - (600.0 * i as f64 + 510.0)).abs() < 1e-4, "on at {t} s");
    }
    for (i, t) in off.iter().enumerate() {
        assert!((t - 600.0 * (i as f64 + 1.0)).abs() < 1e-4, "off at {t} s");
    }
}

/// A timer with `above` starts its turns only while the box is damper than the room, finishes those
/// it has begun, and never starts earlier than a plain one.
#[test]
fn a_timer_skips_its_turns_once_the_box_is_dry() {
    let clock = "rule = \"timer\"\nperiod = \"5 min\"\non_time = \"60 s\"";
    let damp = "sensor = \"panel\"\nroom_sensor = \"room\"\nabove = \"3 K\"";
    let (plain, waits) = (vented(clock), vented(&format!("{clock}\n{damp}")));
    let (on, off) = (times(&waits, "exhaust on"), times(&waits, "exhaust off"));
    assert!(!on.is_empty() && on.len() < times(&plain, "exhaust on").len(), "{on:?}");
    assert_eq!(on.len(), off.len());
    for (start, end) in on.iter().zip(&off) {
        assert!((end - start - 60.0).abs() < 1e-4, "{start} to {end} s");
        let at = |name| crate::plant::value_at(&waits, name, *start);
        let inside =
            dew_point_c(at("sensor_panel_temperature_C"), at("sensor_panel_relative_humidity_pct"));
        let room =
            dew_point_c(at("sensor_room_temperature_C"), at("sensor_room_relative_humidity_pct"));
        assert!(inside - room > 3.0 - 0.15, "starts at {inside} over {room} °C");
    }
    assert!(on.windows(2).all(|w| w[1] - w[0] > 300.0 - 1e-4), "{on:?}");
}

#[test]
fn it_waits_until_the_box_is_warm() {
    for rule in ["rule = \"always\"", "rule = \"timer\"\nperiod = \"60 s\"\non_time = \"30 s\""] {
        // The reading turns down within seconds after the start: between samples 5 s apart a chord would
        // miss its peak.
        let locked = format!("{rule}\nlock_out = true\n{}", END.replace("5 s", "1 s"));
        let (free, locked) = (vented(rule), run(&format!("{DRYER}{PAD}{PI}{EXHAUST}{locked}")));
        let reading = |run: &Run, t| crate::plant::value_at(run, "sensor_panel_temperature_C", t);
        let first = times(&locked, "exhaust on")[0];
        assert!(reading(&locked, first) >= 54.0 - 0.02, "on at {}", reading(&locked, first));
        assert!(times(&free, "exhaust on")[0] < first - 10.0);
        // Never locked again when the reading falls.
        let last = times(&locked, "exhaust on").into_iter().fold(0.0, f64::max);
        assert!(rule.contains("always") || last > 10_000.0, "last on at {last}");
    }
}

#[test]
fn shortest_times_are_kept() {
    let rule = "rule = \"relative_humidity\"\nsensor = \"panel\"\nabove = \"14 %RH\"\nhysteresis = \
                \"0.2 %\"\nminimum_on = \"90 s\"\nminimum_off = \"150 s\"";
    let run = vented(rule);
    let (on, off) = (times(&run, "exhaust on"), times(&run, "exhaust off"));
    assert!(on.len() > 3, "only {} pulses", on.len());
    assert!(on[0] >= 150.0 - 1e-6);
    for t in &off {
        let began = on.iter().copied().filter(|o| o < t).fold(0.0, f64::max);
        assert!(t - began >= 90.0 - 1e-4, "on for {} s", t - began);
    }
    for t in &on[1..] {
        let ended = off.iter().copied().filter(|o| o < t).fold(0.0, f64::max);
        assert!(t - ended >= 150.0 - 1e-4, "off for {} s", t - ended);
    }
}

#[test]
fn a_humidity_rule_switches_at_its_edges() {
    let rule = "rule = \"relative_humidity\"\nsensor = \"panel\"\nabove = \"20 %RH\"\nhysteresis = \
                \"4 %\"\nminimum_on = \"0 s\"\nminimum_off = \"0 s\"";
    let run = vented(rule);
    let (on, off) = (times(&run, "exhaust on"), times(&run, "exhaust off"));
    // The room's 50 %RH at the start switch it on; then it works between the edges.
    assert!(on[0] == 0.0 && on.len() > 2, "{on:?}");
    let reading = |t| crate::plant::value_at(&run, "sensor_panel_relative_humidity_pct", t);
    for t in on[1..].iter() {
        assert!((reading(*t) - 20.0).abs() < 0.2, "on at {} %RH", reading(*t));
    }
    for t in &off {
        assert!((reading(*t) - 16.0).abs() < 0.2, "off at {} %RH", reading(*t));
    }
}

const PAIRS: [&str; 2] = [
    "rule = \"dew_point_difference\"\nsensor = \"panel\"\nroom_sensor = \"room\"\nabove = \"4 K\"\nhysteresis = \"2 K\"",
    "rule = \"humidity_ratio_difference\"\nsensor = \"panel\"\nroom_sensor = \"room\"\nabove = \"3 g/kg\"\nhysteresis = \"1 g/kg\"",
];

#[test]
fn a_dry_box_in_a_damp_room_is_left_alone() {
    // While the air warms by a kelvin a second, the humidity element lags behind its own chip and a
    // sensor takes that for vapour, some grams per kilogram of it: hence the lock-out.
    for rule in PAIRS {
        let run = summer("", &format!("{rule}\nlock_out = true"));
        assert!(times(&run, "exhaust on").is_empty(), "{rule}");
        // Its twin that vents by the clock breathes the damp air.
        let entered = |run: &Run| column(run, "room_air_entered_L").last().copied().unwrap_or(0.0);
        let clock = summer("", "rule = \"timer\"\nperiod = \"60 s\"\non_time = \"30 s\"");
        assert!(entered(&clock) > 1.5 * entered(&run), "{} {}", entered(&clock), entered(&run));
    }
}

#[test]
fn it_vents_only_while_the_box_is_damper_than_the_room() {
    for rule in PAIRS {
        for run in [vented(rule), summer(PAD, rule)] {
            assert!(!times(&run, "exhaust on").is_empty(), "{rule}: it never vents");
            let flow = column(&run, "vent_exhaust_out_L_min");
            let inside = column(&run, "return_dew_point_C");
            let (t, rh) = (
                run.column("room_temperature_C").expect("t"),
                run.column("room_relative_humidity_pct").expect("rh"),
            );
            let mut on = 0;
            for i in 0..flow.len() {
                let room = dew_point_c(t.values[i], rh.values[i]);
                if flow[i] > 5.0 {
                    on += 1;
                    // The sensor lags by some seconds; the margin of 1 K or more covers it.
                    assert!(inside[i] > room, "vents {} into {room}", inside[i]);
                }
            }
            assert!(on > 10, "{on} samples with the exhaust on");
            // It stops by itself when the box is dry.
            let end = range(&run, "vent_exhaust_out_L_min", 10_500.0, 10_800.0).1;
            assert!(end < 1.0, "still {end} L/min in the end");
        }
    }
}

/// Magnus' formula: 0.1 K is plenty here.
fn dew_point_c(temp_c: f64, rh_pct: f64) -> f64 {
    let g = (rh_pct / 100.0).ln() + 17.62 * temp_c / (243.12 + temp_c);
    243.12 * g / (17.62 - g)
}
