//! Every mistake in a scenario gets one message with its line, what is wrong and what to type.

use crate::bench::{BOX, Bench, changed, refused};

/// Asserts the whole message, word for word, about the scenario with `from` replaced by `to`.
fn told(from: &str, to: &str, line: usize, what: &str, advice: &str) {
    let want = format!("error: box.toml:{line}: {what}\n     {advice}\n");
    assert_eq!(refused(changed(from, to)), want, "{from} -> {to}");
}

#[test]
fn the_scenario_itself_is_sound() {
    let end = Bench::new(BOX).run(&["check", "box.toml"]);
    assert_eq!((end.code, end.err.as_str()), (0, ""));
}

#[test]
fn units() {
    let plain = "Plain numbers are not guessed.";
    let hint = format!("write \"150 W\". {plain}");
    told("\"150 W\"", "150", 14, "heater.power = 150 has no unit", &hint);
    told("\"150 W\"", "\"150\"", 14, "heater.power = \"150\" has no unit", &hint);
    let what = "heater.power = \"150 mm\" is a length where a power is needed";
    told("150 W", "150 mm", 14, what, "write a power, for example \"180 W\".");
    let what =
        "control.hysteresis = \"58 °C\" is a temperature reading where a difference is needed";
    let hint = "a difference is a width or an offset, not a place on a scale. Write \"2 K\".";
    told("\"3 K\"", "\"58 °C\"", 23, what, hint);
    let what = "vent.low.diameter = \"5,5 mm\" has a decimal comma";
    told("\"6 mm\"", "\"5,5 mm\"", 33, what, "write \"5.5 mm\".");
}

#[test]
fn a_fraction_is_no_percentage() {
    let hint = "did you mean \"46 %RH\"? 0.46 %RH would be far below any room.";
    for typed in ["0.46", "\"0.46\"", "\"0.46 %RH\"", "\"0.46 %\""] {
        let what = format!("room.relative_humidity = {typed} is ambiguous");
        told("\"50 %RH\"", typed, 5, &what, hint);
    }
}

#[test]
fn unknown_names_get_one_suggestion() {
    let what = "unknown key `diamter` in [vent.low]";
    told("diameter = \"6", "diamter = \"6", 33, what, "did you mean `diameter`?");
    told("[heater]", "[heeter]", 12, "unknown table [heeter]", "did you mean [heater]?");
    let what = "enclosure.wall.material = \"polypropilene\" is not in the table of materials";
    told("polypropylene", "polypropilene", 9, what, "did you mean \"polypropylene\"?");
    let what = "vent.high.zone = \"suply\" names no zone of this scenario";
    told("\"supply\"", "\"suply\"", 38, what, "did you mean \"supply\"?");
    let what = "control.sensor = \"cellar\" names no sensor of this scenario";
    told("= \"panel\"", "= \"cellar\"", 24, what, "write one of: panel");
    let what = "control.kind = \"termostat\" is not one of the known words";
    let list = "it can be \"thermostat\", \"pi\", \"always_on\", \"off\", \"schedule\". Did you mean \"thermostat\"?";
    told("\"thermostat\"", "\"termostat\"", 21, what, list);
}

#[test]
fn a_table_nobody_knows() {
    let said = refused(format!("{BOX}\n[humidifier]\nflow = \"3 L/min\"\n"));
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!((lines.len(), lines[0]), (2, "error: box.toml:59: unknown table [humidifier]"));
    assert!(lines[1].starts_with("     known here: `control`, `cut_out`, `enclosure`"), "{said}");
}

#[test]
fn duplicate_names() {
    let advice = "[vent.low] is already on line 30. Put the keys in one table, or give the second a \
                  name of its own.";
    told("[vent.high]", "[vent.low]", 36, "duplicate name [vent.low]", advice);
    let twice = "diameter = \"6 mm\"\ndiameter = \"5 mm\"";
    let what = "duplicate name `diameter` in [vent.low]";
    told("diameter = \"6 mm\"", twice, 34, what, "it is already on line 33. Keep one of the two.");
}

#[test]
fn impossible_boxes() {
    let what = "enclosure.inner_size.0 = \"-300 mm\" is out of range";
    told("\"300 mm\"", "\"-300 mm\"", 8, what, "it must be from 5 mm to 5 m.");
    let what = "enclosure.wall.thickness = \"0 mm\" is out of range";
    told("\"3 mm\"", "\"0 mm\"", 9, what, "it must be from 0.02 mm to 500 mm.");
    let what = "enclosure.inner_size = [\"300 mm\", \"150 mm\"] has 2 elements where 3 are needed";
    let hint = "write, for example, [\"6 mm\", \"6 mm\", \"6 mm\"].";
    told("\"300 mm\", \"200 mm\", \"150 mm\"", "\"300 mm\", \"150 mm\"", 8, what, hint);
    let what = "enclosure.supply_share = 1.5 is out of range";
    let hint = "it must be from 1 % to 99 %. Did you mean \"1.5 %\"?";
    told("0.3", "1.5", 10, what, hint);
}

#[test]
fn a_wall_is_stated_once() {
    let wall = "wall         = { material = \"polypropylene\", thickness = \"3 mm\" }\n";
    let both = format!("{wall}wall_loss = \"1.5 W/K\"\n");
    let what = "enclosure.wall_loss = \"1.5 W/K\" and enclosure.wall are both given";
    let why = "one states the loss, the other works it out from the material. Keep one of the two";
    told(wall, &both, 10, what, why);
    let what = "enclosure.wall is not given, nor is enclosure.wall_loss";
    let hint = "write wall = { material = \"polypropylene\", thickness = \"3 mm\" }";
    told(wall, "", 7, what, hint);
}

#[test]
fn holes_that_cannot_be() {
    let what = "vent.low.diameter = \"160 mm\" is wider than the side of the box is high (150 mm)";
    told("\"6 mm\"", "\"160 mm\"", 33, what, "check the unit, and enclosure.inner_size");
    let what = "vent.low.height = \"160 mm\" lies above the box, which is 150 mm high inside";
    let why = "height counts from the floor of the box to the centre of the opening";
    told("\"30 mm\"", "\"160 mm\"", 34, what, why);
    let many = "diameter = \"60 mm\"\ncount = 100";
    let what = "vent.low.count = 100 holes of this diameter are larger than any wall of the box \
                (300 mm × 200 mm)";
    told("diameter = \"6 mm\"", many, 34, what, "check the unit, and enclosure.inner_size");
    let what = "vent.low.zone is not given";
    let hint = "add a line: zone = \"supply\"; known: supply, return";
    told("zone     = \"return\"\ndiameter", "diameter", 30, what, hint);
}

#[test]
fn a_hole_in_the_floor_may_be_wide() {
    let wide = BOX.replace("\"6 mm\"", "\"160 mm\"").replace("\"30 mm\"", "\"0 mm\"");
    let end = Bench::new(wide).run(&["check", "box.toml"]);
    assert_eq!((end.code, end.err.as_str()), (0, ""));
}

#[test]
fn a_load_larger_than_the_box() {
    let what = "load.pad.size = [\"600 mm\", \"40 mm\", \"4 mm\"] does not fit into the box";
    let hint = "compare with enclosure.inner_size; a folded pad has its folded size";
    told("\"60 mm\"", "\"600 mm\"", 46, what, hint);
}

#[test]
fn heaters_and_controllers() {
    let what = "control.set_point = \"15 °C\" is not above the room (20 °C)";
    let why = "a heated box can only be warmer than its room. Raise the set point or check \
               room.temperature";
    told("\"50 °C\"", "\"15 °C\"", 22, what, why);
    let what = "control.hysteresis = \"0 K\" is too narrow: the heater would switch without end";
    let why = "hysteresis is the full width of the on/off band, usually 1 to 5 K. Write \"1 K\"";
    told("\"3 K\"", "\"0 K\"", 23, what, why);
    let said = refused(changed("150 W", "1500 W"));
    assert!(
        said.starts_with("error: box.toml:14: heater.power = \"1500 W\" would put the element at")
    );
    assert!(said.contains("a ceramic that switches at 150 °C limits itself long before"), "{said}");
    assert!(
        said.ends_with(
            "Raise `coupling` or `circulation`, or state the watts measured at the plug\n"
        )
    );
}

#[test]
fn times() {
    let second = "exchange = \"50 %\"\n\n[event.again]\nat = \"10 min 20 s\"\nkind = \"lid_open\"\n\
                  duration = \"30 s\"\nexchange = \"50 %\"";
    let what = "event.again.at = \"10 min 20 s\" falls into the opening of event.look";
    let hint = "move one of them, or join them into one longer opening";
    told("exchange = \"50 %\"", second, 56, what, hint);
    let what = "run.output_every = \"0.1 s\" makes more than two million rows of output";
    let long = "duration     = \"100 h\"\noutput_every = \"0.1 s\"";
    let run = "duration     = \"30 min\"\noutput_every = \"30 s\"";
    told(run, long, 57, what, "raise `output_every`");
    let table = "[room.table]\ntime = [\"0 s\", \"9 min\", \"5 min\"]\ntemperature = [\"20 °C\", \
                 \"21 °C\", \"22 °C\"]\nrelative_humidity = [\"50 %RH\", \"50 %RH\", \"50 %RH\"]";
    let room = "[room]\ntemperature       = \"20 °C\"\nrelative_humidity = \"50 %RH\"";
    let what = "room.table.time = [\"0 s\", \"9 min\", \"5 min\"] does not rise at entry 3";
    told(room, table, 4, what, "sort the rows by time");
}
