//! One grammar of values, whatever the option: the same texts through each of them.

use drybench::reader::Source;
use drybench::scenario::Scenario;
use drybench::study::box_fit::free_path;
use drybench::study::sweep::{Axis, Base, Design, SweepPlan, Values};
use drybench::units::parse_in;

const BOX: &str = include_str!("../scenarios/two_holes_two_zones.toml");

const PATH: &str = "vent.low.diameter";

type Said = Result<(), String>;

/// An option by its name, and how it reads a text.
type Taker = (&'static str, fn(&str) -> Said);

fn source(text: &str) -> Source {
    Source::from_bytes("box.toml", text.as_bytes()).expect("a tree")
}

fn read(source: &Source) -> Said {
    let words = |issues: Vec<drybench::reader::Issue>| {
        issues.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    };
    Scenario::read(source).map(|_| ()).map_err(words)
}

fn file(text: &str) -> Said {
    read(&source(&BOX.replacen("= \"5 mm\"", &format!("= {text:?}"), 1)))
}

fn set(text: &str) -> Said {
    let mut source = source(BOX);
    source.set(&format!("{PATH}={text}")).map_err(|i| i.to_string())?;
    read(&source)
}

fn swept(typed: &str) -> Said {
    let axis = Axis::parse(typed).map_err(|i| i.to_string())?;
    let design = match axis.values {
        Values::Steps(_) => Design::Cross,
        Values::Spreads(_) => Design::Latin { cases: 4, seed: 1 },
    };
    let base = Base { name: "box".into(), source: source(BOX) };
    let plan = SweepPlan::new(vec![base], vec![axis], design);
    plan.check().map(|_| ()).map_err(|issues| issues[0].to_string())
}

fn axis(text: &str) -> Said {
    swept(&format!("{PATH}={text}"))
}

fn pair(text: &str) -> Said {
    swept(&format!("{PATH}={text}; vent.high.diameter={text}"))
}

fn freed(text: &str, per_run: bool) -> Said {
    let (_, report) = Scenario::read(&source(BOX)).expect("a scenario");
    let found = free_path(&format!("{PATH}={text}"), per_run, &report);
    found.map(|_| ()).map_err(|i| i.to_string())
}

fn free(text: &str) -> Said {
    freed(text, false)
}

fn free_per_run(text: &str) -> Said {
    freed(text, true)
}

fn limit(text: &str) -> Said {
    parse_in("mm", text).map(|_| ()).map_err(|e| format!("{e}\n     {}", e.hint()))
}

const SINGLE: &str = " where a single value is needed";

#[test]
fn the_same_texts_mean_the_same_in_every_option() {
    let options: [Taker; 7] = [
        ("file", file),
        ("--set", set),
        ("--axis", axis),
        ("--pair", pair),
        ("--free", free),
        ("--free-per-run", free_per_run),
        ("--limit", limit),
    ];
    let measured = "is a value with its uncertainty where a single value is needed";
    let range = "is a range where a single value is needed";
    let log = "is a range with log where ";
    let steps = "is a range in steps where ";
    let list = "is a list where ";
    let start = "is a start with a range where ";
    // What a file and --set say, --axis and --pair, --free, and --limit; nothing where it is taken.
    let table = [
        ("5 mm", ["", "", "is a single value where a range or a value with its", ""]),
        ("0.5 cm", ["", "", "is a single value where ", ""]),
        ("5 ± 0.1 mm", ["", "", "", measured]),
        ("5 +- 0.1 mm", ["", "", "", measured]),
        ("5 +/- 0.1 mm", ["", "", "", measured]),
        ("5 mm ± 100 µm", ["", "", "", measured]),
        ("5 mm ± 2 %", ["", "", "", measured]),
        ("4..6 mm", [range, "", "", range]),
        ("4 mm..0.6 cm", [range, "", "", range]),
        ("4..6 mm log", [log, "", log, log]),
        ("4..6 mm step 1 mm", [steps, "", steps, steps]),
        ("4..6 mm step 0.1 cm", [steps, "", steps, steps]),
        ("4..6 mm count 5", [steps, "", steps, steps]),
        ("4..6 mm count 5 log", [steps, "", steps, steps]),
        ("4 mm, 5 mm, 0.6 cm", [list, "", list, list]),
        ("5 mm, 4..6 mm", [start, start, "", start]),
        ("5, 4..6 mm", [start, start, "", start]),
        ("5 ± 0.1 mm, 4..6 mm", [start, start, "", start]),
        // Wrong wherever they are taken.
        ("5", ["has no unit", "has no unit", "has no unit", ""]),
        ("5 mn", ["has an unknown unit `mn`"; 4]),
        ("5 g", ["is a mass where a length is needed"; 4]),
        ("wide", ["is not a length"; 4]),
        ("nan mm", ["is not a finite number"; 4]),
        ("3,5 mm", ["has a decimal comma"; 4]),
        ("1,234.5 mm", ["has a thousands separator"; 4]),
        ("5 ± 0 mm", ["has an uncertainty that is not above zero", "=", "=", measured]),
        ("5 ± 0.1 g", ["is a mass where a length is needed", "=", "=", measured]),
        ("4..6 g", [range, "is a mass where a length is needed", "=", range]),
        ("4..6", [range, "has no unit", "=", range]),
        ("6..4 mm", [range, "runs from 6 to 4 mm", "=", range]),
        ("4 g..6 mm", [range, "runs from g to mm", "=", range]),
        ("4...6 mm", [range, "has three dots", "=", range]),
        ("a..6 mm", [range, "has no number in \"a\"", "=", range]),
        ("4-6 mm", [range, "looks like a range from 4 to 6 mm", "=", range]),
        ("4 to 6 mm", [range, "looks like a range from 4 to 6 mm", "=", range]),
        ("4 ± 1..6 mm", [range, "has a ± in a range", "=", range]),
        ("4..6 mm step 3 mm", [SINGLE, "does not come from 4 to 6 in steps of 3", "=", SINGLE]),
        ("4..6 mm step 1 g", [SINGLE, "has a step in g", "=", SINGLE]),
        ("4..6 mm count 1", [SINGLE, "has a count of 1", "=", SINGLE]),
        ("4..6 mm often", [range, "has an unknown unit `mm often`", "=", range]),
        ("0..6 mm log", [SINGLE, "cannot have log from 0", "=", SINGLE]),
        ("4 mm,, 5 mm", [list, "has an empty value", "=", list]),
        ("4, 5 mm", [list, "gives its unit mm with the last value only", "=", list]),
        ("4 mm, 4..5 mm, 6 mm", [list, "has a range among its values", "=", list]),
    ];
    let mut wrong = Vec::new();
    for (text, [single, axis, free, limit]) in table {
        let same = |words, before| if words == "=" { before } else { words };
        let (axis, free) = (same(axis, single), same(free, same(axis, single)));
        for ((option, read), due) in
            options.iter().zip([single, single, axis, axis, free, free, limit])
        {
            match read(text) {
                Ok(()) if due.is_empty() => {}
                Err(said) if !due.is_empty() && said.contains(due) && said.contains('\n') => {}
                other => wrong.push(format!("{option} {text}: {other:?}, due: {due:?}")),
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn what_is_proposed_is_taken() {
    // The text between the quotes behind the word write.
    let proposed = |said: Said| {
        let said = said.expect_err("a slip");
        said.split("write \"").nth(1).and_then(|t| t.split('"').next()).map(str::to_owned)
    };
    for text in ["4..6 mm", "4..6 mm step 1 mm", "4 mm, 5 mm", "5, 4..6 mm", "4-6 mm", "3,5 mm"] {
        let write = proposed(set(text)).unwrap_or_else(|| panic!("{text} has no proposal"));
        assert_eq!(set(&write), Ok(()), "{text}: {write}");
    }
    for text in ["5 mm", "4 mm, 5 mm", "4..6 mm count 3", "4..6 mm log"] {
        let write = proposed(free(text)).unwrap_or_else(|| panic!("{text} has no proposal"));
        let (_, report) = Scenario::read(&source(BOX)).expect("a scenario");
        assert!(free_path(&write, false, &report).is_ok(), "{text}: {write}");
    }
}

#[test]
fn a_value_known_beforehand_has_bounds_as_far_as_the_box_goes() {
    let (_, report) = Scenario::read(&source(BOX)).expect("a scenario");
    let read = |text: &str| free_path(&format!("{PATH}={text}"), false, &report).expect(text);
    let free = read("6 ± 0.5 mm");
    assert!(
        (free.start - 6e-3).abs() < 1e-12 && free.prior.is_some_and(|sd| (sd - 5e-4).abs() < 1e-12)
    );
    let mut wide = read("6 ± 2 mm");
    assert!(wide.low < 0.0);
    assert_eq!(drybench::study::box_fit::beyond_the_box(&source(BOX), &mut wide), None);
    assert!(wide.low >= 0.0 && wide.low < wide.start, "{wide:?}");
    let both = read("6 ± 2 mm, 1..9 mm");
    assert!(both.prior.is_some() && (both.low - 1e-3).abs() < 1e-12, "{both:?}");
    assert_eq!(read("1..9 mm").prior, None);
}
