//! Stages, and what changes when the box is warm.

use crate::plant::{DRYER, EXHAUST, PAD, PI, close, range, run, times, value_at};

const STAGES: &str = r#"
[control]
kind = "pi"
sensor = "panel"
[[control.stage]]
set_point = "45 °C"
duration = "30 min"
fan = "50 %"
exhaust = false
[[control.stage]]
set_point = "60 °C"
until_below = "12 %RH"
sensor = "panel"
[[control.stage]]
set_point = "40 °C"
fan = "70 %"
exhaust = false
[run]
duration = "4 h"
output_every = "5 s"
"#;

#[test]
fn stages_end_by_the_clock_and_by_humidity() {
    let rule = "rule = \"always\"\n";
    let run = run(&format!("{DRYER}{PAD}{EXHAUST}{rule}{STAGES}"));
    let next = times(&run, "next stage");
    assert_eq!(next.len(), 2, "{next:?}");
    let dry = next[1];
    close("end by the clock", next[0], 1800.0, 1e-5);
    // The sample before and after the end: 5 s at a few hundredths of a percent per second.
    close(
        "humidity at the end",
        value_at(&run, "sensor_panel_relative_humidity_pct", dry),
        12.0,
        0.05,
    );
    let before = range(&run, "sensor_panel_relative_humidity_pct", 1800.0, dry - 5.0).0;
    assert!(before > 12.0, "{before} %RH before the end");
    for (t, set) in [(900.0, 45.0), (0.5 * (1800.0 + dry), 60.0), (dry + 600.0, 40.0)] {
        close("set point", value_at(&run, "set_point_C", t), set, 1e-9);
    }
    // The exhaust is there in the second stage alone. The closed flap leaks at some 10 mL/min.
    let flow = "vent_exhaust_out_L_min";
    let quiet = range(&run, flow, 0.0, 1795.0).1.max(range(&run, flow, dry + 5.0, 14_400.0).1);
    let busy = range(&run, flow, 1805.0, dry - 5.0).0;
    assert!(busy > 5.0 && quiet < 0.3, "{busy} L/min on, {quiet} L/min off");
    close("exhaust on", times(&run, "exhaust on")[0], 1800.0, 1e-5);
    close("exhaust off", times(&run, "exhaust off")[0], dry, 1e-5);
    // The motor's power goes with the cube of the speed: 2 W at full speed.
    let hours = |from: f64, to: f64| (to - from) / 3600.0;
    let want =
        2.0 * (0.125 * hours(0.0, 1800.0) + hours(1800.0, dry) + 0.343 * hours(dry, 14_400.0));
    close("energy of the motor", run.energy.amount("fan motor").expect("a row"), want, 1e-6);
}

#[test]
fn the_set_points_of_stages_are_ramped() {
    let stages = STAGES.replacen(
        "sensor = \"panel\"\n",
        "sensor = \"panel\"\nramp = { change = \"1 K\", per = \"1 min\" }\n",
        1,
    );
    let run = run(&format!("{DRYER}{PAD}{stages}"));
    for (minutes, want) in [(10.0, 31.0), (24.0, 45.0), (29.0, 45.0), (40.0, 55.0), (45.0, 60.0)] {
        close("set point", value_at(&run, "set_point_C", 60.0 * minutes), want, 1e-6);
    }
}

#[test]
fn stages_that_are_over_at_once_follow_each_other_at_once() {
    let stage =
        "[[control.stage]]\nset_point = \"50 °C\"\nuntil_below = \"90 %RH\"\nsensor = \"panel\"\n";
    let end = "[[control.stage]]\nset_point = \"44 °C\"\n[run]\nduration = \"10 min\"";
    let control = "[control]\nkind = \"pi\"\nsensor = \"panel\"\n";
    let run = run(&format!("{DRYER}{control}{}{end}", stage.repeat(6)));
    assert_eq!(times(&run, "next stage"), [0.0; 6]);
    close("set point", value_at(&run, "set_point_C", 300.0), 44.0, 1e-9);
}

/// A dryer whose fan slows down to half when warm.
fn slowing(rest: &str) -> String {
    let fan = "motor_power = \"2 W\"\nspeed_after_warm_up = \"50 %\"";
    DRYER.replacen("motor_power = \"2 W\"", fan, 1) + PI + rest
}

#[test]
fn the_fan_slows_once_when_the_box_is_warm() {
    let run = run(&slowing("[run]\nduration = \"1 h\"\noutput_every = \"1 s\""));
    let slowed = times(&run, "fan slowed");
    assert_eq!(slowed.len(), 1, "{slowed:?}");
    let at = slowed[0];
    close("reading then", value_at(&run, "sensor_panel_temperature_C", at), 54.0, 0.01);
    let want = 2.0 * (at + 0.125 * (3600.0 - at)) / 3600.0;
    close("energy of the motor", run.energy.amount("fan motor").expect("a row"), want, 1e-6);
    // At half the flow the supply stands about twice as far above the return.
    let gap =
        |t| value_at(&run, "supply_temperature_C", t) - value_at(&run, "return_temperature_C", t);
    let ratio = gap(at + 2.0) / gap(at - 1.0);
    assert!(ratio > 1.0, "the gap changes by {ratio}");
}

#[test]
fn a_fan_that_has_failed_is_not_restarted_by_the_controller() {
    let fails = "[event.fails]\nkind = \"fan\"\nat = \"10 s\"\nspeed = 0\n";
    let end = "[run]\nduration = \"2 h\"";
    for text in [
        slowing(fails).replacen("55 °C", "27 °C", 1) + end,
        format!("{DRYER}{fails}{}", STAGES.replacen("30 min", "1 min", 1)),
    ] {
        let run = run(&text);
        // Both controllers have had their say.
        assert!(!times(&run, "fan slowed").is_empty() || !times(&run, "next stage").is_empty());
        let ran = run.energy.amount("fan motor").expect("a row") * 3600.0;
        assert!(ran <= 2.0 * 10.0 + 1e-6, "the motor took {ran} J, 20 J before it failed");
    }
}
