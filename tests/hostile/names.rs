//! Names of loads, openings, sensors and zones: refused, or told apart in every table.

use std::collections::HashSet;

use drybench::reader::{Issue, Source};
use drybench::report::figure::Drawing;
use drybench::report::{pictures, series, together};
use drybench::run::{Method, Run, simulate};
use drybench::scenario::Scenario;

use crate::bench::{BOX, changed, refused};
use crate::dice::Dice;

/// Names that mean something in tables, differ in little, or hold what tables are made of.
const NAMES: [&str; 34] = [
    "supply",
    "return",
    "room",
    "element",
    "air",
    "water",
    "pad",
    "Pad",
    "pa d",
    "pa-d",
    "lo w",
    "lo_w",
    "low",
    "sensor_panel",
    "panel",
    "a",
    "a_rim",
    "a_core",
    "a_half_1",
    "A_half 1_rim",
    "a_layer_1",
    "wall_supply",
    "in_a",
    "exhaust",
    "=1+1",
    "a,b",
    "a;b",
    "a\u{1b}[31m",
    "a\nb",
    "a\"b",
    "-",
    "",
    "µ",
    "a.b",
];

fn quoted(name: &str) -> String {
    serde_json::to_string(name).expect("a text")
}

/// A box with two loads, one of them a spool, two openings and two sensors of these names.
fn text(n: [&str; 7]) -> String {
    let [spool, inert, vent, other_vent, sensor, zone, event] = n.map(quoted);
    let tables = format!(
        "[load.{spool}]\nkind = \"spool\"\npolymer = \"PLA\"\nmass = \"0.8 kg\"\nlayers = 2\nshells = 2\n\
         zones = [{zone}, \"back\"]\n\
         [load.{inert}]\nkind = \"inert\"\nheat_capacity = \"100 J/K\"\ncoupling = \"0.5 W/K\"\n\
         zone = \"back\"\n\
         [vent.{vent}]\nkind = \"hole\"\nzone = \"back\"\ndiameter = \"6 mm\"\nheight = \"30 mm\"\n\
         [vent.{other_vent}]\nkind = \"hole\"\nzone = {zone}\ndiameter = \"7 mm\"\nheight = \"120 mm\"\n\
         [sensor.{sensor}]\nzone = \"back\"\ntime_constant = \"20 s\"\n\
         [event.{event}]\nkind = \"lid_open\"\nat = \"10 s\"\nduration = \"20 s\"\nexchange = \"50 %\"\n"
    );
    let keep = |from: &str, to: &str| {
        let (a, b) = (BOX.find(from).expect("a start"), BOX.find(to).expect("an end"));
        BOX[a..b].to_owned()
    };
    let head = keep("title", "[vent.low]")
        .replace(
            "supply_share = 0.3",
            &format!("zones = [{zone}, \"back\"]\nzone_shares = [0.3, 0.7]"),
        )
        .replace("zone          = \"return\"", "zone          = \"back\"");
    format!("{head}{tables}[run]\nduration = \"1 min\"\noutput_every = \"20 s\"\n")
}

fn read(text: &str) -> Result<Scenario, Vec<Issue>> {
    let source = Source::from_bytes("box.toml", text.as_bytes())?;
    Scenario::read(&source).map(|(scenario, _)| scenario)
}

/// Heads are unique and rows have as many cells as their head.
fn check_table(what: &str, csv: &str) {
    let mut reader =
        csv::ReaderBuilder::new().flexible(true).has_headers(false).from_reader(csv.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    let heads: HashSet<&str> = rows[0].iter().collect();
    assert_eq!(heads.len(), rows[0].len(), "{what}: heads twice in {:?}", rows[0]);
    for row in &rows {
        assert_eq!(row.len(), rows[0].len(), "{what}: {row:?}");
        let harmless = |cell: &str| {
            !cell.contains(char::is_control)
                && (!cell.starts_with(['=', '+', '-', '@']) || cell.parse::<f64>().is_ok())
        };
        assert!(row.iter().all(harmless), "{what}: {row:?}");
    }
}

fn check_run(run: &Run) {
    check_table("series", &series::csv(run));
    check_table("together", &together::csv(&[("=a, \u{1b}b".to_owned(), run.clone())]));
    let keys: HashSet<&str> = run.metrics.iter().map(|m| m.key.as_str()).collect();
    assert_eq!(keys.len(), run.metrics.len(), "{:?}", run.metrics);
    for picture in pictures::PICTURES.iter() {
        if let Some(figure) = (picture.draw)(run) {
            check_table(picture.name, &figure.to_csv());
        }
    }
}

#[test]
fn hostile_names_are_refused_or_told_apart() {
    let mut dice = Dice::new(16);
    let (mut good, mut bad) = (0, 0);
    for _ in 0..600 {
        // Half of the names are plain, so that not all of a box is refused.
        let plain = ["spool", "rack", "v1", "v2", "s1", "front", "lid"];
        let names =
            std::array::from_fn(|i| if dice.below(7) < 5 { plain[i] } else { *dice.pick(&NAMES) });
        match read(&text(names)) {
            Err(issues) => {
                bad += 1;
                for issue in &issues {
                    let told =
                        !issue.what.is_empty() && (issue.hint.is_some() || issue.why.is_some());
                    assert!(told, "{names:?}: {issue:?}");
                }
            }
            Ok(scenario) => {
                good += 1;
                let run = simulate(&scenario, Method::Rodas5p)
                    .unwrap_or_else(|e| panic!("{names:?}: {e}"));
                check_run(&run);
            }
        }
    }
    assert!(good > 100 && bad > 100, "{good} accepted, {bad} refused");
}

#[test]
fn names_that_mean_something_else_are_refused_with_their_line() {
    for (name, what) in [
        ("supply", "load.supply cannot be told from zone supply in the names of columns"),
        ("room", "load.room has the name \"room\", which means something else in tables"),
        ("element", "load.element has the name \"element\", which means something else in tables"),
        (
            "sensor_panel",
            "load.sensor_panel cannot be told from sensor.panel in the names of columns",
        ),
    ] {
        let said = refused(changed("[load.pad]", &format!("[load.{name}]")));
        assert!(said.starts_with(&format!("error: box.toml:42: {what}\n")), "{said}");
        assert!(said.contains("give it another name."), "{said}");
    }
    let said =
        refused(changed("[vent.high]", "[vent.\"Lo w\"]").replace("[vent.low]", "[vent.lo_w]"));
    assert!(
        said.contains("vent.\"Lo w\" has the name of vent.lo_w but for its spelling"),
        "{said}"
    );
    let said = refused(changed("[load.pad]", "[load.\"\\u001b[31m\"]"));
    assert!(said.contains("control characters in its name") && !said.contains('\u{1b}'), "{said}");
}

#[test]
fn a_limit_is_judged_on_the_load_it_is_of() {
    // The rim of the spool a_x is not the rim of the spool a.
    let names = ["a", "a_x", "v1", "v2", "s1", "front", "lid"];
    let hot = text(names).replace("kind = \"inert\"\nheat_capacity = \"100 J/K\"\ncoupling = \"0.5 W/K\"",
        "kind = \"spool\"\npolymer = \"PLA\"\nmass = \"0.8 kg\"\nlayers = 2\nshells = 2\nsoftening = \"0 °C\"");
    let run = simulate(&read(&hot).expect("a sound box"), Method::Rodas5p).expect("a run");
    let told: Vec<&String> = run.warnings.iter().filter(|w| w.contains("may soften")).collect();
    assert!(!told.is_empty() && told.iter().all(|w| w.contains("load.a_x.softening")), "{told:?}");
}

#[test]
fn a_comma_in_a_name_stays_in_its_cell() {
    let names = ["a,b", "rack", "c,d", "v2", "e,f", "front", "lid"];
    let run = simulate(&read(&text(names)).expect("a sound box"), Method::Rodas5p).expect("a run");
    check_run(&run);
    assert!(run.columns.iter().any(|c| c.name.starts_with("a,b_")));
}
