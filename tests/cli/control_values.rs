//! Mistakes in control, exhaust, cut-out and events, each with its line and what to type.

use crate::bench::{BOX, Bench, changed, refused};

/// `[control]` of the scenario, its kind and keys.
const CONTROL: &str = "kind       = \"thermostat\"\nset_point  = \"50 °C\"\nhysteresis = \"3 K\"\nsensor     = \"panel\"\n";

/// An exhaust that begins on line 58, its rule on line 63.
const EXHAUST: &str = "[exhaust]\nzone = \"return\"\nheight = \"150 mm\"\nmax_pressure = \"25 Pa\"\n\
                       max_flow = \"10 L/min\"\n";

/// A sensor for the room.
const ROOM: &str = "[sensor.room]\nzone = \"room\"\ntime_constant = \"30 s\"\n";

/// Asserts the whole message about the scenario with `tail` after it.
fn added(tail: &str, line: usize, what: &str, advice: &str) {
    let want = format!("error: box.toml:{line}: {what}\n     {advice}\n");
    assert_eq!(refused(format!("{BOX}{tail}")), want, "{tail}");
}

/// Asserts the whole message about the scenario with another `[control]`, which begins on line 21.
fn controlled(control: &str, line: usize, what: &str, advice: &str) {
    let want = format!("error: box.toml:{line}: {what}\n     {advice}\n");
    assert_eq!(refused(changed(CONTROL, control)), want, "{control}");
}

/// Asserts that the scenario is sound, with this warning.
fn warned(text: String, line: usize, what: &str, advice: &str) {
    let end = Bench::new(&text).run(&["check", "box.toml"]);
    let want = format!("warning: box.toml:{line}: {what}\n     {advice}\n");
    assert_eq!((end.code, end.err), (0, want), "{text}");
}

#[test]
fn a_flap_needs_a_fan() {
    let flap = EXHAUST.replace("max_pressure = \"25 Pa\"\n", "") + "rule = \"always\"\n";
    let advice = "a flap needs a fan. Write what the fan makes without flow, such as max_pressure = \
                  \"25 Pa\"";
    added(&flap, 58, "exhaust.max_pressure is not given", advice);
    let weak = EXHAUST.replace("25 Pa", "0.8 Pa") + "rule = \"always\"\n";
    let what = "exhaust.max_pressure = \"0.8 Pa\" does not open the flap, which needs 1 Pa";
    added(&weak, 61, what, "raise it or lower `flap_opens_at`");
}

#[test]
fn a_difference_needs_a_sensor_in_the_room() {
    let rules = [
        "rule = \"dew_point_difference\"\nabove = \"5 K\"\n",
        "rule = \"humidity_ratio_difference\"\nabove = \"3 g/kg\"\n",
    ];
    let why = "a difference to the room needs a sensor there.";
    for rule in rules {
        let text = format!("{EXHAUST}{rule}sensor = \"panel\"\n");
        let how = "Add [sensor.room] with zone = \"room\" and write room_sensor = \"room\"";
        added(&text, 58, "exhaust.room_sensor is missing", &format!("{why} {how}"));
        let what = "exhaust.room_sensor = \"panel\" sits in the box";
        let how = "Name a sensor with zone = \"room\"";
        let inside = format!("{text}room_sensor = \"panel\"\n");
        added(&inside, 66, what, &format!("{why} {how}"));
    }
}

#[test]
fn an_exhaust_that_would_never_stop() {
    let rule = "rule = \"relative_humidity\"\nsensor = \"panel\"\nabove = ";
    let what =
        "exhaust.above = \"8 %RH\" lies under the floor of this room (9.457 %RH at the set point)";
    let advice = "room air heated to the set point is no drier: the exhaust would never stop. Raise \
                  it, or use `rule = \"dew_point_difference\"`";
    added(&format!("{EXHAUST}{rule}\"8 %RH\"\n"), 65, what, advice);
    let what = "exhaust.above = \"12 %RH\" less its hysteresis lies under the floor of this room (9.457 %RH)";
    let near = format!("{BOX}{EXHAUST}{rule}\"12 %RH\"\n");
    warned(near, 65, what, "once on, the exhaust will not stop");
    // The coolest stage and a set point moved down by an event count, not the first set point.
    let stages = "kind = \"pi\"\nsensor = \"panel\"\n[[control.stage]]\nset_point = \"70 °C\"\n\
                  duration = \"1 h\"\n[[control.stage]]\nset_point = \"35 °C\"\n";
    let cool = changed(CONTROL, stages) + EXHAUST + rule + "\"15 %RH\"\n";
    assert!(refused(cool).contains("floor of this room (20.77 %RH at the set point)"));
    let event = "[event.cool]\nkind = \"set_point\"\nat = \"5 min\"\ntemperature = \"35 °C\"\n";
    let cooled = format!("{BOX}{EXHAUST}{rule}\"15 %RH\"\n{event}");
    assert!(refused(cooled).contains("floor of this room (20.77 %RH at the set point)"));
    let wide = "rule = \"dew_point_difference\"\nsensor = \"panel\"\nroom_sensor = \"room\"\nabove = \
                \"2 K\"\nhysteresis = \"4 K\"\n";
    let advice = "once on, the exhaust would go on while the room is damper than the box. Write half \
                  of `above` or less";
    let text = format!("{EXHAUST}{wide}{ROOM}");
    added(&text, 67, "exhaust.hysteresis = \"4 K\" exceeds `above`", advice);
}

#[test]
fn rules_and_their_times() {
    let what = "exhaust.rule = \"clock\" is not one of the known words";
    let words = "it can be \"always\", \"timer\", \"relative_humidity\", \"dew_point_difference\", \
                 \"humidity_ratio_difference\".";
    added(&format!("{EXHAUST}rule = \"clock\"\n"), 63, what, words);
    for on in ["5 min", "6 min"] {
        let timer = format!("{EXHAUST}rule = \"timer\"\nperiod = \"5 min\"\non_time = \"{on}\"\n");
        let what = format!("exhaust.on_time = \"{on}\" fills the whole period");
        added(&timer, 65, &what, "write `rule = \"always\"` for a fan that never stops");
    }
    let locked = changed(CONTROL, "kind = \"always_on\"\n")
        + EXHAUST
        + "rule = \"always\"\nlock_out = true\n";
    let want = "error: box.toml:61: exhaust.lock_out = true never ends\n     without a set point the \
                box never counts as warm. Strike it, or let a thermostat or PI controller heat the box\n";
    assert_eq!(refused(locked), want);
}

#[test]
fn an_exhaust_that_nothing_feeds() {
    let strong = EXHAUST.replace("10 L/min", "100 L/min") + "rule = \"always\"\n";
    let what = "exhaust.max_flow = \"100 L/min\" is 100 L/min, but the other openings feed only \
                15.44 L/min: the fan runs near stall and their size sets the flow";
    warned(format!("{BOX}{strong}"), 62, what, "add make-up holes");
    let vents =
        &BOX[BOX.find("[vent.low]").expect("a hole")..BOX.find("[load.pad]").expect("a pad")];
    let sealed = changed(vents, "") + EXHAUST + "rule = \"always\"\n";
    let what = "exhaust.max_flow = \"10 L/min\" finds no other opening that could feed it: nothing will flow";
    warned(sealed, 50, what, "add make-up holes");
    let same = changed("[vent.low]", "[vent.exhaust]") + EXHAUST + "rule = \"always\"\n";
    let want = "error: box.toml:30: vent.exhaust has the name of the exhaust fan's own opening\n     \
                call it something else, such as [vent.make_up]\n";
    assert_eq!(refused(same), want);
}

#[test]
fn stages() {
    let stage = |first: &str| {
        format!(
            "kind = \"pi\"\nsensor = \"panel\"\n[[control.stage]]\nset_point = \"50 °C\"\n{first}\
             [[control.stage]]\nset_point = \"40 °C\"\n"
        )
    };
    let what = "control.stage.0.duration = \"0 s\" makes a stage of no length";
    let advice = "write at least \"1 min\", or leave the stage out";
    controlled(&stage("duration = \"0 s\"\n"), 25, what, advice);
    let advice = "only the last stage may go on for ever. Add `duration = \"1 h\"` or `until_below = \
                  \"15 %RH\"`";
    controlled(&stage(""), 23, "control.stage.0.duration is not given", advice);
}

#[test]
fn cut_outs_below_what_they_guard() {
    let advice = "a cut-out opens once and for all: write a temperature well above";
    let what = "cut_out.temperature = \"45 °C\" is not above the set point (50 °C)";
    added("[cut_out]\nplace = \"element\"\ntemperature = \"45 °C\"\n", 60, what, advice);
    let what = "cut_out.temperature = \"60 °C\" is not above the set point (70 °C)";
    let later = "[cut_out]\nzone = \"supply\"\ntemperature = \"60 °C\"\n[event.up]\nkind = \
                 \"set_point\"\nat = \"5 min\"\ntemperature = \"70 °C\"\n";
    added(later, 60, what, advice);
}

#[test]
fn control_itself() {
    let advice = "[control] is already on line 20. Put the keys in one table, or give the second a \
                  name of its own.";
    added("[control]\nkind = \"off\"\n", 58, "duplicate name [control]", advice);
    let pi = "kind = \"pi\"\nset_point = \"50 °C\"\nsensor = \"panel\"\n";
    let what = "control.power_limit = \"0 %\" is out of range";
    let limit = format!("{pi}power_limit = \"0 %\"\n");
    controlled(&limit, 24, what, "it must be from 1 % to 100 %.");
    let ramp = format!("{pi}ramp = {{ change = \"5 K\" }}\n");
    controlled(&ramp, 24, "[control.ramp] has no `per`", "add a line: per = \"30 s\"");
    let still = format!("{pi}ramp = {{ change = \"0 K\", per = \"1 min\" }}\n");
    let what = "control.ramp.change = \"0 K\" is out of range";
    controlled(&still, 24, what, "it must be from 0.01 K to 100 K.");
    let slow = changed(CONTROL, "kind = \"always_on\"\n").replace(
        "pressure    = \"2 Pa\"",
        "pressure    = \"2 Pa\"\nspeed_after_warm_up = \"50 %\"",
    );
    let what = "fan.speed_after_warm_up = \"50 %\" has no effect with this kind of control";
    let advice = "only a thermostat or PI controller has a set point to be reached";
    warned(slow, 19, what, advice);
}

#[test]
fn events() {
    let words =
        "it can be \"lid_open\", \"power_loss\", \"set_point\", \"room\", \"fan\", \"store\".";
    let want = format!(
        "error: box.toml:51: event.look.kind = \"lid_opens\" is not one of the known words\n     {words} \
         Did you mean \"lid_open\"?\n"
    );
    assert_eq!(refused(changed("\"lid_open\"", "\"lid_opens\"")), want);
    let said =
        refused(format!("{BOX}[event.fails]\nkind = \"fan\"\nat = \"-1 min\"\nspeed = 1.2\n"));
    for part in [
        "box.toml:60: event.fails.at = \"-1 min\" is out of range",
        "box.toml:61: event.fails.speed = 1.2 is out of range\n     it must be from 0 % to 100 %.",
    ] {
        assert!(said.contains(part), "{said}");
    }
}
