//! Files that are no scenarios, several mistakes at once, and assignments that go wrong.

use crate::bench::{BOX, Bench, refused};

#[test]
fn files_that_are_no_scenario() {
    let starter = "a starter file to edit can be had with: drybench new";
    let empty = format!("error: box.toml: has nothing in it\n     {starter}\n");
    assert_eq!(refused(""), empty);
    assert_eq!(refused("\n# only a comment\n"), empty);
    let said = refused(b"\x7fELF\x02\x01\x00\x00\x00\x01");
    assert_eq!(
        said,
        "error: box.toml: is not a text file (it has a zero byte)\n     give a TOML text file.\n"
    );
    let latin: Vec<u8> = BOX.chars().map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?')).collect();
    let said = refused(latin);
    assert!(said.starts_with("error: box.toml:4: is not UTF-8: byte 0xb0 at offset "), "{said}");
    assert!(
        said.ends_with("\n     save it as UTF-8; a degree or micro sign is often the cause.\n")
    );
    let long = format!("{BOX}{}", "# padding\n".repeat(110_000));
    let hint = "is this a scenario? Series of readings belong in a file of their own.";
    assert_eq!(refused(long), format!("error: box.toml: is longer than 1024 kB\n     {hint}\n"));
}

#[test]
fn files_that_cannot_be_read() {
    let bench = Bench::new(BOX);
    for command in ["check", "simulate"] {
        let end = bench.run(&[command, "bin.toml"]);
        let want = "error: bin.toml: there is no such file\n     check the name; a starter scenario \
                    can be had with: drybench new two_holes -o box.toml\n";
        assert_eq!((end.code, end.err.as_str(), end.out.as_str()), (3, want, ""));
    }
    let end = bench.run(&["simulate", "."]);
    let want = "error: .: is a folder\n     give the name of a scenario file.\n";
    assert_eq!((end.code, end.err.as_str(), end.out.as_str()), (3, want, ""));
    // A folder may be a measured run.
    let end = bench.run(&["check", "."]);
    let want = "error: . holds no run.toml\n     a run folder is made with: drybench new run --log log.txt -o .\n";
    assert_eq!((end.code, end.err.as_str(), end.out.as_str()), (3, want, ""));
}

#[test]
fn syntax() {
    let text = BOX
        .replace("power = \"150 W\"", "power = 150 W")
        .replace("set_point  =", "set_point")
        .replace("zone     = \"supply\"", "zone     = \"supply");
    let want = "error: box.toml:14: a value that is not a plain number needs quotes
     write power = \"150 W\".
error: box.toml:22: this line has no `=`
     write name = value, or start the line with # to make it a comment.
error: box.toml:38: a text is not closed
     end it with the quote it started with.
";
    assert_eq!(refused(text), want);
}

/// Six mistakes, and what the program says of them.
fn many() -> (String, &'static str) {
    let text = BOX
        .replace("\"50 %RH\"", "\"0.50\"")
        .replace("\"50 °C\"", "\"15 °C\"")
        .replace("= \"panel\"", "= \"pannel\"")
        .replace("\"6 mm\"", "\"6\"")
        .replace("\"120 mm\"", "\"400 mm\"")
        .replace("dry_mass", "drymass");
    let want = "error: box.toml:5: room.relative_humidity = \"0.50\" is ambiguous
     did you mean \"50 %RH\"? 0.5 %RH would be far below any room.
error: box.toml:22: control.set_point = \"15 °C\" is not above the room (20 °C)
     a heated box can only be warmer than its room. Raise the set point or check room.temperature
error: box.toml:24: control.sensor = \"pannel\" names no sensor of this scenario
     did you mean \"panel\"?
error: box.toml:33: vent.low.diameter = \"6\" has no unit
     write \"6 mm\". Plain numbers are not guessed.
error: box.toml:40: vent.high.height = \"400 mm\" lies above the box, which is 150 mm high inside
     height counts from the floor of the box to the centre of the opening
error: box.toml:45: unknown key `drymass` in [load.pad]
     did you mean `dry_mass`?
";
    (text, want)
}

#[test]
fn a_title_cannot_command_the_terminal() {
    let said = refused(BOX.replace("Test box", "\\u001b[31mred"));
    assert!(
        said.starts_with("error: box.toml:1: title = ") && !said.contains('\u{1b}'),
        "{said:?}"
    );
    assert!(said.ends_with("holds control characters\n     write it as one line of plain text\n"));
}

#[test]
fn all_mistakes_are_told_at_once() {
    let (text, want) = many();
    assert_eq!(refused(text), want);
}

#[test]
fn line_ends_and_marks_do_not_shift_lines() {
    let (text, want) = many();
    let crlf = text.replace('\n', "\r\n");
    assert_eq!(refused(&crlf), want);
    assert_eq!(refused(format!("\u{feff}{crlf}")), want);
    assert_eq!(refused(format!("\u{feff}{text}")), want);
}

#[test]
fn at_most_twenty_messages_are_shown() {
    let text: String = (0..30).map(|i| format!("zz{i} = 1\n")).collect();
    let said = refused(format!("{text}{BOX}"));
    assert_eq!(said.matches("error: ").count(), 20);
    assert!(said.contains("error: box.toml:1: unknown key `zz0`"), "{said}");
    assert!(said.ends_with("... and 10 more\n"), "{said}");
}

#[test]
fn mistakes_in_machine_form() {
    let (text, _) = many();
    let end = Bench::new(text).run(&["check", "box.toml", "--format", "json"]);
    assert_eq!(end.code, 3);
    let json: serde_json::Value = serde_json::from_str(&end.out).expect("JSON");
    let errors = json["errors"].as_array().expect("a list");
    let lines: Vec<_> = errors.iter().map(|e| e["line"].as_u64()).collect();
    assert_eq!(lines, [5, 22, 24, 33, 40, 45].map(Some));
    assert_eq!(errors[3]["code"], "no-unit");
    assert_eq!(errors[3]["path"], "vent.low.diameter");
    assert_eq!(errors[3]["hint"], "write \"6 mm\". Plain numbers are not guessed.");
}

#[test]
fn assignments_that_go_wrong() {
    let bench = Bench::new(BOX);
    let cases = [
        ("heater.power=170", "heater.power=170: has no unit", "write \"170 W\"."),
        (
            "vent.low.diamter=5 mm",
            "unknown key `diamter` in [vent.low]",
            "did you mean `diameter`?",
        ),
        ("vent.low", "--set vent.low: is not an assignment", "write path=value, for example:"),
        ("vent.low=5", "vent.low is a table, not a value", "known here: `kind`, `zone`"),
        ("enclosure.inner_size.3=1 mm", "is a list of 3, it has no `3`", "counted from"),
        (
            "vent.lwo.height=9 mm",
            "[vent.lwo] is not in the file and has no `kind`",
            "did you mean vent.low?",
        ),
        (
            "control.set_point=10 °C",
            "--set control.set_point=10 °C: is not above the room",
            "Raise",
        ),
    ];
    for (set, what, hint) in cases {
        for command in ["check", "simulate"] {
            let end = bench.run(&[command, "box.toml", "--set", set]);
            assert_eq!((end.code, end.out.as_str()), (3, ""), "{set}: {}", end.err);
            assert_eq!(end.err.matches("error: ").count(), 1, "{set}: {}", end.err);
            assert!(end.err.contains(what) && end.err.contains(hint), "{set}: {}", end.err);
        }
    }
}
