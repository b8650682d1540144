//! `drybench spool`, and mistakes in tables of spools and hygroscopic loads.

use crate::bench::{BOX, Bench, changed, refused};

/// The pad of the test box replaced by a spool.
fn with_spool(more: &str) -> String {
    let start = BOX.find("[load.pad]").expect("a pad");
    let end = start + BOX[start..].find("[event.look]").expect("an event");
    let spool = format!(
        "[load.reel]\nkind = \"spool\"\npolymer = \"PLA\"\nmass = \"200 g\"\ncore_diameter = \"50 mm\"\n\
         width = \"40 mm\"\nzone = \"return\"\n{more}\n"
    );
    format!("{}{spool}{}", &BOX[..start], &BOX[end..])
}

#[test]
fn several_polymers_have_a_row_each_and_the_seed_decides() {
    let bench = Bench::new(with_spool("layers = 3\nshells = 3"));
    let arguments =
        ["spool", "box.toml", "--polymers", "PLA,PA6", "--samples", "10", "--seed", "5"];
    let first = bench.run(&arguments);
    assert_eq!((first.code, first.err.as_str()), (0, ""));
    for words in ["PLA 50 °C", "PA6 50 °C", "seed 5", "Caution", "What the bands come from"] {
        assert!(first.out.contains(words), "{words}: {}", first.out);
    }
    assert_eq!(bench.run(&arguments).out, first.out);
    let csv = bench.run(&[&arguments[..], &["--format", "csv"]].concat());
    assert_eq!(csv.out.lines().count(), 3, "{}", csv.out);
    let widths: Vec<usize> = csv.out.lines().map(|l| l.split(',').count()).collect();
    assert!(widths.iter().all(|w| *w == widths[0]), "{widths:?}");
    // A value that is stated has no spread, even where it is that of the table.
    let stated = ["--format", "csv", "--set", "load.reel.winding_diffusion=0.12"];
    let stated = bench.run(&[&arguments[..], &stated].concat());
    assert!(stated.out.lines().skip(1).all(|l| l.contains(",0,0,-,")), "{}", stated.out);
    assert!(!csv.out.contains(",0,0,-,"), "{}", csv.out);
}

#[test]
fn a_box_without_a_spool_is_told_what_to_add() {
    let end = Bench::new(BOX).run(&["spool", "box.toml"]);
    assert_eq!(end.code, 3);
    assert!(
        end.err.contains("the scenario has no spool") && end.err.contains("[load.spool]"),
        "{}",
        end.err
    );
}

#[test]
fn mistakes_in_a_spool_name_what_to_type() {
    for (text, words) in [
        (with_spool("").replace("\"PLA\"", "\"PETGG\""), "did you mean \"PETG\"?"),
        (with_spool("").replace("\"200 g\"", "\"9 kg\""), "it does not fit into the box"),
        (
            with_spool("zones = [\"supply\", \"attic\"]"),
            "write one or two of: [\"supply\", \"return\"]",
        ),
        (with_spool("zones = [\"supply\", \"return\"]"), "delete the line with `zone`"),
        (
            with_spool(
                "model = \"lumped\"\n[event.out]\nkind = \"store\"\nat = \"15 min\"\nplace = \"bag\"",
            ),
            "write model = \"layers\" in [load.reel]",
        ),
        (
            changed(
                "[event.look]",
                "[event.out]\nkind = \"store\"\nat = \"15 min\"\nplace = \"room\"\n[event.look]",
            ),
            "takes out a spool, but there is none",
        ),
        (
            with_spool(
                "[event.out]\nkind = \"store\"\nat = \"15 min\"\nplace = \"room\"\nload = \"real\"",
            ),
            "did you mean \"reel\"?",
        ),
        (
            with_spool("")
                .replace("kind = \"spool\"", "kind = \"hygroscopic\"\nmaterial = \"silica_gle\""),
            "did you mean \"silica_gel\"?",
        ),
    ] {
        let said = refused(text);
        assert!(said.contains(words), "{words}: {said}");
    }
}
