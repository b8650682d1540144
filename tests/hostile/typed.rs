//! Axes, shards and other words of the command line: understood or refused, never a panic, never without end.

use drybench::study::sweep::{Axis, Shard};
use drybench::units::MOST;

use crate::bench::{BOX, Bench};
use crate::dice::Dice;

const PIECES: [&str; 44] = [
    "vent.low.diameter",
    "=",
    "..",
    "...",
    "1",
    "9",
    "0",
    "-1",
    "1e-19",
    "2e19",
    "1e308",
    "-1e308",
    "1e-320",
    "NaN",
    "inf",
    "mm",
    "°C",
    "%",
    " ",
    " ",
    " step ",
    " count ",
    " log",
    ",",
    ";",
    "±",
    "label",
    "label=a, b",
    "\"",
    "[",
    "]",
    "{",
    "}",
    "1..9 mm step 1 mm",
    "1..2e19 mm step 1 mm",
    "1..9 count 99999999999999999999",
    "1..9 mm step -1 mm",
    "1..9 mm step 0 mm",
    "1e308..2e308",
    "µ",
    "\u{1b}",
    "\n",
    "1 to 9",
    "18446744073709551615",
];

#[test]
fn any_text_is_an_axis_or_refused() {
    let mut dice = Dice::new(163);
    let (mut good, mut bad) = (0, 0);
    for i in 0..60_000 {
        let mut typed = if i % 2 == 0 { "a.b=".to_owned() } else { String::new() };
        for _ in 0..1 + dice.below(6) {
            typed.push_str(PIECES[dice.below(PIECES.len())]);
        }
        if dice.below(4) == 0 {
            let at = dice.below(typed.len() + 1);
            if typed.is_char_boundary(at) {
                typed.insert(at, char::from(dice.byte()));
            }
        }
        match Axis::parse(&typed) {
            Ok(axis) => {
                good += 1;
                assert!((1..=MOST).contains(&axis.steps()), "{typed}: {} steps", axis.steps());
            }
            Err(issue) => {
                bad += 1;
                assert!(!issue.what.is_empty() && issue.hint.is_some(), "{typed}: {issue:?}");
            }
        }
    }
    assert!(good > 100 && bad > 100, "{good} {bad}");
}

#[test]
fn axes_and_shards_beyond_measure_are_refused() {
    let bench = Bench::new(BOX);
    for (more, what) in [
        (&["--axis", "vent.low.diameter=1..9 mm step 1e-19 mm"][..], "values"),
        (&["--axis", "vent.low.diameter=1..2e19 mm step 1 mm"], "values"),
        (&["--axis", "vent.low.diameter=-1.7e308..1.7e308 mm count 3"], "vent.low.diameter"),
        (
            &[
                "--axis",
                "heater.power=1 W, 2 W",
                "--shard",
                "18446744073709551615/18446744073709551615",
            ],
            "K/N",
        ),
        (&["--axis", "heater.power=1 W, 2 W", "--shard", "0/0"], "K/N"),
    ] {
        let end = bench.run(&[&["sweep", "box.toml", "-o", "out"], more].concat());
        assert!(end.code == 3 || end.code == 2, "{more:?}: {} {}", end.code, end.err);
        assert!(end.err.contains(what), "{more:?}: {}", end.err);
    }
    let many = "1..9 mm step 0.00001 mm";
    let axes: Vec<String> = (0..3).map(|i| format!("--axis=vent.v{i}.diameter={many}")).collect();
    let axes: Vec<&str> = axes.iter().map(String::as_str).collect();
    let end =
        bench.run(&[&["sweep", "box.toml", "--latin", "10", "-o", "out"], &axes[..]].concat());
    assert_eq!(end.code, 3, "{}", end.err);
    assert!(end.err.contains("all axes together: have more than 1000000 values"), "{}", end.err);
}

#[test]
fn a_part_of_any_number_is_a_range() {
    for (part, of) in [(1, 1), (usize::MAX, usize::MAX), (0, 0), (7, 3), (1, usize::MAX)] {
        let cases = Shard { part, of }.cases(usize::MAX);
        assert!(
            cases.start <= cases.end && Shard { part, of }.is_valid() == (part == 1 && of == 1)
        );
    }
}
