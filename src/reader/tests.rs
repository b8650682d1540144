//! The reader as a whole: places, messages, and that nothing panics.

use proptest::prelude::*;

use super::key::quantity;
use super::*;
use crate::units::{Kind, k_from_c};

const BIN: &str = r#"title = "Bin, felt pad"

[room]
temperature       = "19 °C"
relative_humidity = "58 %RH"

[enclosure]
inner_size  = ["320 mm", "210 mm", "260 mm"]
wall        = { material = "polypropylene", thickness = "3 mm" }
supply_share = 0.25

[heater]
kind  = "ptc"
power = "180 W"

[control]
set_point = "58 °C"
hysteresis = "2 K"

[vent.low]
kind = "hole"
diameter = "6 mm"

[vent.high]
kind = "hole"
diameter = "6 mm"

[load.pad]
water = "2.96 ± 0.03 g"
accuracy = ["0.5 K", "3 %RH"]
"#;

/// Reads everything a file like `BIN` holds.
fn read(source: &Source) -> Result<Report, Vec<Issue>> {
    let reader = source.reader();
    let root = reader.root();
    let _ = root.text_opt(&key::text("title"));
    let room = root.section("room");
    let _ = room.quantity(&quantity(
        "temperature",
        Kind::Temperature,
        k_from_c(-40.0)..=k_from_c(60.0),
    ));
    let _ = room.quantity(&quantity("relative_humidity", Kind::RelativeHumidity, 0.0..=1.0));
    let _ =
        room.quantity(&quantity("pressure", Kind::Pressure, 5e4..=1.2e5).or(101_325.0, "standard"));
    let enclosure = root.section("enclosure");
    let _ = enclosure.quantities(&quantity("inner_size", Kind::Length, 1e-3..=5.0), Some(3));
    let _ = enclosure.quantity(&quantity("supply_share", Kind::Share, 0.0..=1.0).or(0.5, "half"));
    let wall = enclosure.section("wall");
    let _ = wall.text(&key::text("material"));
    let _ = wall.quantity(&quantity("thickness", Kind::Length, 1e-4..=0.5));
    let heater = root.section("heater");
    let _ = heater.choice(&key::word("kind", &["ptc", "resistive"]));
    let _ = heater.quantity(&quantity("power", Kind::Power, 0.0..=5e3));
    let control = root.section("control");
    let _ = control.quantity(&quantity(
        "set_point",
        Kind::Temperature,
        k_from_c(0.0)..=k_from_c(150.0),
    ));
    let _ = control.quantity(&quantity("hysteresis", Kind::TemperatureDifference, 0.01..=50.0));
    for vent in root.named("vent") {
        let _ = vent.choice(&key::word("kind", &["hole", "fan"]));
        let _ = vent.quantity(&quantity("diameter", Kind::Length, 1e-4..=0.5));
        let _ = vent.switch(&key::switch("open").or_switch(true, "open"));
        let _ = vent.count(&key::count("number", 1..=100).or(1.0, "one"));
    }
    for load in root.named("load") {
        let _ = load.measured(&quantity("water", Kind::Mass, 0.0..=10.0));
        let _ = load.quantity_opt(&quantity("accuracy.0", Kind::TemperatureDifference, 0.0..=10.0));
        let _ = load.quantity_opt(&quantity("accuracy.1", Kind::HumidityDifference, 0.0..=1.0));
        for layer in load.tables("layers") {
            let _ = layer.quantity(&quantity("thickness", Kind::Length, 1e-6..=0.1));
        }
    }
    reader.finish()
}

fn source(text: &str) -> Source {
    Source::from_bytes("bin.toml", text.as_bytes()).unwrap_or_else(|e| panic!("{}", render(&e)))
}

fn issues(text: &str) -> Vec<Issue> {
    match Source::from_bytes("bin.toml", text.as_bytes()) {
        Ok(source) => read(&source).expect_err("the file is meant to be wrong"),
        Err(issues) => issues,
    }
}

/// `BIN` with one line replaced; every issue as `(line, column, what)`.
fn edited(from: &str, to: &str) -> Vec<Issue> {
    assert!(BIN.contains(from), "{from}");
    issues(&BIN.replace(from, to))
}

#[test]
fn a_good_file_reads() {
    let source = source(BIN);
    let report = read(&source).unwrap_or_else(|e| panic!("{}", render(&e)));
    assert!(report.warnings.is_empty());
    let value = |path: &str| report.value(path).unwrap_or_else(|| panic!("{path}")).clone();
    assert_eq!(value("vent.high.diameter").si(), Some(0.006));
    assert_eq!(value("vent.high.diameter").origin, Origin::File { line: 26 });
    assert_eq!(value("enclosure.wall.thickness").text(), "3 mm");
    assert_eq!(value("enclosure.inner_size.2").si(), Some(0.26));
    assert_eq!(value("room.pressure").origin, Origin::Default("standard".into()));
    assert_eq!(value("load.pad.water").text(), "2.96 ± 0.03 g");
    assert_eq!(value("load.pad.accuracy.1").si(), Some(0.03));
}

/// One edit, one issue, with its place: the class of every error in one table.
#[test]
fn every_class_of_error_has_its_place() {
    let low = "diameter = \"6 mm\"\n\n[vent.high]";
    let table = [
        ("power = \"180 W\"", "power = \"180\"", 14, 9, "no-unit"),
        ("power = \"180 W\"", "power = 180", 14, 9, "no-unit"),
        ("power = \"180 W\"", "power = \"180 w\"", 14, 9, "unknown-unit"),
        ("power = \"180 W\"", "power = \"180 mm\"", 14, 9, "wrong-kind"),
        ("power = \"180 W\"", "power = \"1,8 W\"", 14, 9, "decimal-comma"),
        ("power = \"180 W\"", "power = \"much\"", 14, 9, "not-a-number"),
        ("power = \"180 W\"", "power = inf", 14, 9, "not-finite"),
        ("power = \"180 W\"", "power = \"80 kW\"", 14, 9, "out-of-range"),
        ("power = \"180 W\"", "power = true", 14, 9, "wrong-type"),
        ("power = \"180 W\"\n", "\n", 12, 1, "missing-key"),
        ("\"58 %RH\"", "\"0.58\"", 5, 21, "ambiguous"),
        ("\"58 %RH\"", "0.58", 5, 21, "ambiguous"),
        ("\"2 K\"", "\"58 °C\"", 18, 14, "reading-for-difference"),
        ("\"58 °C\"", "\"58 ΔK\"", 17, 13, "difference-for-reading"),
        ("\"260 mm\"]", "\"260\"]", 8, 36, "no-unit"),
        (", \"260 mm\"]", "]", 8, 15, "wrong-length"),
        ("thickness = \"3 mm\"", "thickness = 3", 9, 57, "no-unit"),
        ("thickness = \"3 mm\"", "thicknes = \"3 mm\"", 9, 45, "unknown-key"),
        ("\"ptc\"", "\"ptk\"", 13, 9, "unknown-choice"),
        (low, "diamter = \"6 mm\"\n\n[vent.high]", 22, 1, "unknown-key"),
        ("[heater]", "[heatre]", 12, 1, "unknown-table"),
        ("[heater]", "[extra]\nx = 1\n[heater]", 12, 1, "unknown-table"),
        ("\"2.96 ± 0.03 g\"", "\"2.96 ± 0 g\"", 29, 9, "bad-uncertainty"),
        ("\"3 %RH\"]", "\"3 %RH\", 1]", 30, 31, "unknown-key"),
        ("title = \"Bin, felt pad\"", "title = 3", 1, 9, "wrong-type"),
        (low, "diameter = \"6 mm\"\nopen = 1\n[vent.high]", 23, 8, "wrong-type"),
        (low, "diameter = \"6 mm\"\nnumber = 1.5\n[vent.high]", 23, 10, "wrong-type"),
        (low, "diameter = \"6 mm\"\nnumber = 0\n[vent.high]", 23, 10, "out-of-range"),
        ("[vent.low]", "[vent]\nwide = 1\n[vent.low]", 21, 8, "wrong-type"),
        ("[vent.low]", "[vent.low]\nkind = \"fan\"", 22, 1, "duplicate"),
        ("[vent.high]", "[vent.low]", 24, 7, "duplicate"),
        ("power = \"180 W\"", "power = 180 W", 14, 9, "syntax"),
        ("power = \"180 W\"", "power = \"180 W", 14, 15, "syntax"),
        ("power = \"180 W\"", "power 180", 14, 7, "syntax"),
        ("[heater]", "[heater", 12, 8, "syntax"),
    ];
    for (from, to, line, column, code) in table {
        for text in [BIN.replace(from, to), BIN.replace(from, to).replace('\n', "\r\n")] {
            for text in [text.clone(), format!("\u{feff}{text}")] {
                let found = issues(&text);
                let got: Vec<_> = found.iter().map(|i| (i.line, i.column, i.code)).collect();
                assert_eq!(got, [(line, column, code)], "{to}\n{}", render(&found));
            }
        }
    }
}

#[test]
fn messages_read_as_promised() {
    let table = [
        (
            "power = \"180 W\"",
            "power = \"180\"",
            "error: bin.toml:14: heater.power = \"180\" has no unit\n     \
             write \"180 W\". Plain numbers are not guessed.",
        ),
        (
            "\"58 %RH\"",
            "\"0.58\"",
            "error: bin.toml:5: room.relative_humidity = \"0.58\" is ambiguous\n     \
             did you mean \"58 %RH\"? 0.58 %RH would be far below any room.",
        ),
        (
            "diameter = \"6 mm\"\n\n[vent.high]",
            "diamter = \"6 mm\"\n\n[vent.high]",
            "error: bin.toml:22: unknown key `diamter` in [vent.low]\n     \
             did you mean `diameter`?",
        ),
        (
            "\"2 K\"",
            "\"58 °C\"",
            "error: bin.toml:18: control.hysteresis = \"58 °C\" is a temperature reading where a \
             difference is needed\n     a difference is a width or an offset, not a place on a \
             scale. Write \"2 K\".",
        ),
        (
            "[heater]",
            "[heatre]",
            "error: bin.toml:12: unknown table [heatre]\n     did you mean [heater]?",
        ),
        (
            "power = \"180 W\"\n",
            "",
            "error: bin.toml:12: [heater] has no `power`\n     add a line: power = \"180 W\"",
        ),
        (
            "power = \"180 W\"",
            "power = \"80 kW\"",
            "error: bin.toml:14: heater.power = \"80 kW\" is out of range\n     \
             it must be from 0 W to 5000 W.",
        ),
        (
            "supply_share = 0.25",
            "supply_share = 25",
            "error: bin.toml:10: enclosure.supply_share = 25 is out of range\n     \
             it must be from 0 % to 100 %. Did you mean \"25 %\"?",
        ),
        (
            "power = \"180 W\"",
            "power = 180 W # big",
            "error: bin.toml:14: a value that is not a plain number needs quotes\n     \
             write power = \"180 W\".",
        ),
        (
            "[vent.low]",
            "[vent.low]\nkind = \"fan\"",
            "error: bin.toml:22: duplicate name `kind` in [vent.low]\n     \
             it is already on line 21. Keep one of the two.",
        ),
        (
            "[vent.high]",
            "[vent.low]",
            "error: bin.toml:24: duplicate name [vent.low]\n     [vent.low] is already on line \
             20. Put the keys in one table, or give the second a name of its own.",
        ),
    ];
    for (from, to, text) in table {
        let found = edited(from, to);
        assert_eq!(render(&found), format!("{text}\n"), "{to}");
    }
}

#[test]
fn all_mistakes_come_at_once_in_file_order() {
    let text = BIN
        .replace("\"58 %RH\"", "0.58")
        .replace("\"180 W\"", "\"180\"")
        .replace("\"2 K\"", "\"2 °C\"")
        .replace("[load.pad]", "[load.pad]\ncolour = \"red\"");
    let lines: Vec<usize> = issues(&text).iter().map(|i| i.line).collect();
    assert_eq!(lines, [5, 14, 18, 29]);
    let text = "a = 58 %RH\n[b\nc = 1,5\nd = \"open\ne = 3\ne = 4\n";
    let lines: Vec<usize> = issues(text).iter().map(|i| i.line).collect();
    assert_eq!(lines, [1, 2, 3, 4]); // whether line 6 repeats line 5 depends on the fix of line 2
    let text = "power 180\ny = 4 W\nz = 1\nz = 2\n[a]\n[a]\nz = 1\nz = 2\n[c]\nbad";
    let lines: Vec<usize> = issues(text).iter().map(|i| i.line).collect();
    assert_eq!(lines, [1, 2, 4, 6, 10]);
}

#[test]
fn a_missing_table_is_one_error_and_a_wrong_kind_too() {
    let without: String = BIN
        .lines()
        .filter(|l| !["[heater]", "kind  = \"ptc\"", "power = \"180 W\""].contains(l))
        .map(|l| format!("{l}\n"))
        .collect();
    let found = issues(&without);
    assert_eq!(found.len(), 1, "{}", render(&found));
    assert_eq!((found[0].code, found[0].path.as_str()), ("missing-table", "heater"));

    let found = edited("kind  = \"ptc\"\npower = \"180 W\"", "kind  = \"gas\"\nflow = \"1 L/s\"");
    assert_eq!(found.len(), 1, "{}", render(&found));
    assert_eq!(found[0].code, "unknown-choice");

    let found = edited("[room]", "room = 3\n[roam]");
    assert_eq!(found[0].what, "room = 3 is a number where a table is needed");
}

#[test]
fn assignments_override_add_and_index() {
    let mut source = source(BIN);
    for set in [
        "heater.power=200 W",
        "enclosure.inner_size.2 = 240 mm",
        "vent.side.kind=hole",
        "vent.side.diameter=\"4 mm\"",
        "load.pad.layers=[{ thickness = \"1 mm\" }]",
        "load.pad.layers.0.thickness=2 mm",
        "title=42",
    ] {
        source.set(set).unwrap_or_else(|e| panic!("{set}: {e}"));
    }
    source.set_value("room.temperature", "25 °C", Origin::Axis).expect("a leaf");
    assert_eq!(source.get_text("heater.power").as_deref(), Some("200 W"));
    assert_eq!(source.get_text("heater"), None);
    let report = read(&source).unwrap_or_else(|e| panic!("{}", render(&e)));
    let value = |path: &str| report.value(path).unwrap_or_else(|| panic!("{path}")).clone();
    assert_eq!(
        (value("heater.power").si(), value("heater.power").origin),
        (Some(200.0), Origin::Set)
    );
    assert_eq!(value("enclosure.inner_size.2").si(), Some(0.24));
    assert_eq!(value("vent.side.diameter").si(), Some(0.004));
    assert_eq!(value("load.pad.layers.0.thickness").si(), Some(0.002));
    assert_eq!(value("room.temperature").origin, Origin::Axis);
    assert_eq!(value("title").text(), "42");
}

#[test]
fn any_quantity_may_carry_its_uncertainty() {
    let mut source = Source::from_bytes("box.toml", BIN.as_bytes()).unwrap();
    source.set("heater.power=180 ± 9 W").unwrap();
    source.set("enclosure.inner_size.2=260 +/- 2 mm").unwrap();
    let report = read(&source).unwrap();
    let power = report.value("heater.power").unwrap();
    assert_eq!((power.text().as_str(), power.si()), ("180 ± 9 W", Some(180.0)));
    assert_eq!(report.value("enclosure.inner_size.2").unwrap().text(), "260 ± 2 mm");
}

#[test]
fn wrong_assignments_name_themselves() {
    let mut source = source(BIN);
    let table = [
        ("heater.power", "bad-assignment", "is not an assignment"),
        ("=3", "bad-assignment", "is not an assignment"),
        ("heater..power=3", "bad-path", "is not a path"),
        ("heater.power.max=3", "bad-path", "heater.power is a value (\"180 W\"), it has no `max`"),
        (
            "enclosure.inner_size.3=3",
            "bad-path",
            "enclosure.inner_size is a list of 3, it has no `3`",
        ),
        ("heater=3", "bad-path", "heater is a table, not a value"),
    ];
    for (set, code, what) in table {
        let issue = source.set(set).expect_err(set);
        assert_eq!((issue.code, issue.what.as_str()), (code, what), "{set}");
    }
    for (set, text) in [
        ("heater.power=180", "error: --set heater.power=180: has no unit\n     write \"180 W\""),
        ("heater.powr=180 W", "error: --set heater.powr=180 W: unknown key `powr` in [heater]"),
        (
            "heatre.power=180 W",
            "error: --set heatre.power=180 W: unknown table [heatre]\n     did you mean [heater]?",
        ),
    ] {
        let mut source = source.clone();
        source.set(set).unwrap_or_else(|e| panic!("{e}"));
        let found = read(&source).expect_err(set);
        assert!(render(&found).starts_with(text), "{}", render(&found));
    }
}

#[test]
fn files_that_are_no_scenario() {
    let big = vec![b'#'; MAX_BYTES + 1];
    let table: [(&[u8], &str, usize); 7] = [
        (b"", "empty", 0),
        (b"# nothing\n\n", "empty", 0),
        (&big, "too-large", 0),
        (b"a = 1\nb = \0\n", "not-text", 0),
        (b"a = 1\nb = \"\xb0C\"\n", "not-utf8", 2),
        (b"\xff\xfea\0", "not-utf8", 0),
        (b"\xef\xbb\xbf", "empty", 0),
    ];
    for (bytes, code, line) in table {
        let found = Source::from_bytes("x", bytes).expect_err(code);
        assert_eq!((found.len(), found[0].code, found[0].line), (1, code, line));
    }
}

#[test]
fn own_errors_warnings_and_derived_values() {
    let source = source(BIN);
    let reader = source.reader();
    let vents = reader.root().named("vent");
    assert_eq!(vents.iter().map(Section::name).collect::<Vec<_>>(), ["low", "high"]);
    let line = vents[1].node.map(|n| n.place.line);
    assert_eq!((line, vents[1].path.as_str()), (Some(24), "vent.high"));
    vents[0].fail("diameter", "too-wide", "is wider than its wall", Some("so."), None);
    vents[0].fail("height", "lost", "is lost", None, Some("add height.".into()));
    vents[1].warn("kind", "odd", "is odd", None);
    vents[1].derived("area", Kind::Area, 28e-6, "from the diameter");
    let found = reader.finish().expect_err("fails");
    let got: Vec<_> = found.iter().map(|i| (i.line, i.code)).collect();
    assert!(got.contains(&(22, "too-wide")) && got.contains(&(20, "lost")), "{got:?}");
    assert!(got.contains(&(25, "odd")), "{got:?}");
    let json = serde_json::to_value(&found[0]).expect("plain data");
    for key in ["severity", "code", "file", "line", "path", "what", "hint"] {
        assert!(json.get(key).is_some(), "{key}");
    }
}

#[test]
fn long_lists_are_cut() {
    let text: String = (0..30).map(|i| format!("zz{i} = 1\n")).collect();
    let found = issues(&format!("{text}{BIN}"));
    assert_eq!(found.len(), 30);
    assert!(render(&found).ends_with("… and 10 more\n"));
}

#[test]
fn deep_and_long_files_are_handled() {
    let keys = vec!["a"; 75].join(".");
    let deep = format!("{}1{}", format!("{keys} = {{ ").repeat(70), " }".repeat(70));
    let _ = Source::from_bytes("deep", deep.as_bytes());
    let _ = Source::from_bytes("deep", "[".repeat(100_000).as_bytes());
    let _ = Source::from_bytes("deep", format!("x = {}", "[".repeat(100_000)).as_bytes());
    let dotted = format!("{} = 1", vec!["a"; 100_000].join("."));
    let _ = Source::from_bytes("deep", dotted.as_bytes());
    let long = format!("x = [{}\"°\"]", "\"°\", ".repeat(100_000));
    let source = Source::from_bytes("long", long.as_bytes()).expect("valid");
    assert!(read(&source).is_err());
    let again = "a = 1\n".repeat(100_000);
    assert!(Source::from_bytes("again", again.as_bytes()).is_err());
    let bare = "x\n".repeat(400_000);
    assert!(Source::from_bytes("bare", bare.as_bytes()).is_err());
    let keys: String = (0..40_000).map(|i| format!("k{i} = 1\n")).collect();
    let twice = format!("[t]\n{keys}[t]\n{keys}");
    assert_eq!(Source::from_bytes("twice", twice.as_bytes()).expect_err("twice").len(), 1);
    assert_eq!(
        read(&self::source(&format!("[t]\n{keys}"))).expect_err("unknown").len(),
        5 // four tables are missing, one is unknown
    );
    assert_eq!(read(&self::source(&format!("{BIN}[room.t]\n{keys}"))).expect_err("t").len(), 1);
    assert_eq!(read(&self::source(&format!("{keys}{BIN}"))).expect_err("keys").len(), 40_000);
}

fn exercise(bytes: &[u8]) {
    match Source::from_bytes("fuzz", bytes) {
        Ok(mut source) => {
            let _ = source.set("heater.power=200 W");
            let _ = source.set("enclosure.inner_size.1=2");
            if let Err(issues) = read(&source) {
                assert!(!issues.is_empty() && !render(&issues).is_empty());
            }
        }
        Err(issues) => assert!(!issues.is_empty() && !render(&issues).is_empty()),
    }
}

proptest! {
    #[test]
    fn random_bytes_do_not_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        exercise(&bytes);
    }

    #[test]
    fn random_toml_like_text_does_not_panic(text in "([\\[\\]{}=.,\"' \n#abc019+°-]|kind|true|mm){0,80}") {
        exercise(text.as_bytes());
    }

    #[test]
    fn mutated_files_do_not_panic(
        edits in prop::collection::vec((0..BIN.len(), 0..3u8, "[\\[\\]{}=.,\"' \n#ab0°]"), 1..8)
    ) {
        let mut bytes = BIN.as_bytes().to_vec();
        for (at, what, piece) in edits {
            let at = at.min(bytes.len() - 1);
            match what {
                0 => { bytes.remove(at); }
                1 => { bytes.splice(at..at, piece.bytes()); }
                _ => { let end = (at + 20).min(bytes.len()); let part = bytes[at..end].to_vec(); bytes.extend(part); }
            }
        }
        exercise(&bytes);
    }

    #[test]
    fn random_assignments_do_not_panic(text in "[a-z.\"'=0-9\\[\\]{} ,°]{0,30}", path in "(heater|vent|low|enclosure|inner_size|[0-4.]|power){1,5}") {
        let mut source = source(BIN);
        let _ = source.set(&text);
        let _ = source.set(&format!("{path}={text}"));
        let _ = source.get_text(&path);
        let _ = read(&source);
    }
}
