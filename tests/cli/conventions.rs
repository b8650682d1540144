//! What every command has in common: help, exit codes, colours, pipes, overwriting, streams.

use std::io::{BufRead, BufReader, Read};
use std::process::{Command, Stdio};

use crate::bench::{BOX, Bench, program, run};

const COMMANDS: [&str; 10] =
    ["new", "check", "air", "simulate", "import", "assess", "fit", "sweep", "spool", "guide"];

/// What `drybench fit -o` writes, as far as predictions read it.
const FIT: &str = r#"{"parameters": [{"name": "heater.power", "path": "heater.power", "kind": "power",
    "value": 150.0, "standard_error": 5.0, "bounds": [50, 400]}], "correlation": [[1]]}"#;

/// Runs that are made before an example is tried, for the folders that it names.
const BEFORE: [(&str, &[&str]); 4] = [
    ("assess felt_run", &["new", "run", "--log", "serial.txt", "-o", "felt_run"]),
    ("--merge part1", &["sweep", "box.toml", "--shard", "1/3", "-o", "part1"]),
    ("--merge part1", &["sweep", "box.toml", "--shard", "2/3", "-o", "part2"]),
    ("--merge part1", &["sweep", "box.toml", "--shard", "3/3", "-o", "part3"]),
];

/// The commands of a help's section "Examples", wrapped lines joined again.
fn examples(help: &str) -> Vec<String> {
    let after = help.split("Examples:\n").nth(1).unwrap_or_default();
    let mut found: Vec<String> = Vec::new();
    for line in after.lines().take_while(|l| l.starts_with("  ")).map(str::trim) {
        match found.last_mut().filter(|_| !line.contains("drybench")) {
            Some(open) => {
                open.push(' ');
                open.push_str(line);
            }
            None => found.push(line.to_owned()),
        }
    }
    found
}

#[test]
fn every_help_has_examples() {
    for command in COMMANDS {
        let end = run(&[command, "--help"]);
        assert_eq!((end.code, end.err.as_str()), (0, ""), "{command}");
        let lines = examples(&end.out);
        assert!(lines.len() >= 2, "{command}: {lines:?}");
        let start = format!("drybench {command}");
        assert!(lines.iter().all(|l| l.contains(&start)), "{command}: {lines:?}");
    }
    let end = run(&["--help"]);
    assert_eq!(examples(&end.out).len(), 2);
    assert!(COMMANDS.iter().all(|c| end.out.contains(c)), "{}", end.out);
}

/// The words of a shell line with double quotes, after the name of the program.
fn words(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    for (i, part) in line.split('"').enumerate() {
        if i % 2 == 0 {
            words.extend(part.split_whitespace().map(str::to_owned));
        } else if let Some(open) = words.last_mut().filter(|w| w.ends_with('=')) {
            open.push_str(part);
        } else {
            words.push(part.to_owned());
        }
    }
    words.remove(0);
    words
}

#[test]
fn every_example_works_as_it_stands() {
    // The examples of fit need a measured run of the very box: tests/fit/command.rs has those.
    for command in COMMANDS.into_iter().filter(|c| *c != "fit") {
        let help = run(&[command, "--help"]).out;
        for line in examples(&help) {
            let bench = Bench::new(match command {
                "spool" => include_str!("../../scenarios/spool_vented_box.toml"),
                _ => include_str!("../../scenarios/two_holes_two_zones.toml"),
            });
            if line.contains("-o box.toml") {
                std::fs::remove_file(bench.path("box.toml")).expect("removed");
            }
            let put = |name: &str, text: &str| {
                let path = bench.path(name);
                std::fs::create_dir_all(path.parent().expect("a folder")).expect("made");
                std::fs::write(path, text).expect("written");
            };
            let log = include_str!("../../scenarios/felt_run/raw/log.txt");
            for name in ["serial.txt", "run1.txt"] {
                put(name, log);
            }
            put("notes.txt", include_str!("../../scenarios/felt_run/raw/notes.txt"));
            put("fitted/fit.json", FIT);
            for (_, typed) in BEFORE.iter().filter(|(part, _)| line.contains(part)) {
                let axis = ["--axis", "heater.power=120 W, 130 W, 140 W"];
                let more = if typed[0] == "sweep" { &axis[..] } else { &[] };
                let made = bench.run(&[typed, more].concat());
                assert_eq!(made.code, 0, "{}", made.err);
            }
            let mut input = String::new();
            for stage in
                line.split([';', '&']).flat_map(|s| s.split(" | ")).filter(|s| !s.trim().is_empty())
            {
                let words = words(stage);
                let words: Vec<&str> = words.iter().map(String::as_str).collect();
                let end = bench.run_with(&words, &input);
                assert_eq!(end.code, 0, "{stage}: {}", end.err);
                input = end.out;
            }
        }
    }
}

#[test]
fn version() {
    let end = run(&["--version"]);
    let want = format!("drybench {}\n", env!("CARGO_PKG_VERSION"));
    assert_eq!((end.code, end.out, end.err.as_str()), (0, want, ""));
}

#[test]
fn what_the_parser_refuses_is_exit_2() {
    let wrong: [&[&str]; 7] = [
        &[],
        &["bake"],
        &["check"],
        &["check", "a.toml", "b.toml"],
        &["simulate", "a.toml", "--format", "yaml"],
        &["air", "-t", "20 °C"],
        &["simulate", "a.toml", "--figures", "portrait_of_a_box"],
    ];
    for arguments in wrong {
        let end = run(arguments);
        assert_eq!((end.code, end.out.as_str()), (2, ""), "{arguments:?}");
        assert!(!end.err.is_empty());
    }
}

#[test]
fn new_writes_a_sound_scenario_and_overwrites_only_on_request() {
    for starter in ["two_holes", "same_side", "one_hole", "sealed", "spool"] {
        let bench = Bench::new(BOX);
        let end = bench.run(&["new", starter, "-o", "fresh.toml"]);
        assert_eq!((end.code, end.out.as_str()), (0, ""), "{}", end.err);
        assert_eq!(end.err, "wrote fresh.toml; next: edit it, then  drybench check fresh.toml\n");
        let end = bench.run(&["check", "fresh.toml"]);
        assert_eq!((end.code, end.err.as_str()), (0, ""), "{starter}");
        let before = bench.read("box.toml");
        let end = bench.run(&["new", starter, "-o", "box.toml"]);
        let want = "error: box.toml exists already\n     write --force to replace it, or another \
                    name after -o\n";
        assert_eq!((end.code, end.err.as_str()), (5, want));
        assert_eq!(bench.read("box.toml"), before);
        let end = bench.run(&["new", starter, "-q", "-o", "box.toml", "--force"]);
        assert_eq!((end.code, end.err.as_str()), (0, ""));
        assert_eq!(bench.read("box.toml"), bench.read("fresh.toml"));
        assert_eq!(bench.run(&["new", starter]).out.as_bytes(), bench.read("fresh.toml"));
    }
}

#[test]
fn outputs_that_cannot_be_written_are_exit_5() {
    let bench = Bench::new(BOX);
    let cases: [(&[&str], &str); 5] = [
        (&["new", "-o", "none/box.toml"], "cannot write none/box.toml: there is no such file or"),
        (&["new", "-o", "."], ". is a folder"),
        (&["new", "--force", "-o", "."], ". is a folder"),
        (&["simulate", "box.toml", "-o", "box.toml"], "box.toml is a file"),
        (&["simulate", "box.toml", "-o", "box.toml/out"], "cannot make the folder box.toml/out: "),
    ];
    for (arguments, what) in cases {
        let end = bench.run(arguments);
        assert_eq!((end.code, end.out.as_str()), (5, ""), "{arguments:?}: {}", end.err);
        assert!(end.err.starts_with(&format!("error: {what}")), "{}", end.err);
        assert!(end.err.lines().nth(1).is_some_and(|l| l.contains("after -o")), "{}", end.err);
    }
    assert!(!bench.path("none").exists());
}

#[test]
fn a_closed_pipe_ends_quietly() {
    let bench = Bench::new(BOX);
    let mut child = Command::new(env!("CARGO_BIN_EXE_drybench"))
        .current_dir(bench.folder())
        .args(["simulate", "box.toml", "--set", "run.output_every=1 s", "--format", "json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut line = String::new();
    let mut pipe = BufReader::new(child.stdout.take().expect("a pipe"));
    pipe.read_line(&mut line).expect("one line");
    assert_eq!(line, "{\n");
    drop(pipe);
    let mut err = String::new();
    child.stderr.take().expect("a pipe").read_to_string(&mut err).expect("text");
    assert_eq!((child.wait().expect("an end").code(), err.as_str()), (Some(0), ""));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_exit_5() {
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").expect("a full device");
    let mut command = Command::new(env!("CARGO_BIN_EXE_drybench"));
    let end = command.arg("new").stdout(full).output().expect("the program starts");
    assert_eq!(end.status.code(), Some(5));
    let want = b"error: cannot write to standard output: no space left\n";
    assert_eq!(end.stderr, want);
}

#[test]
fn standard_input_is_named_in_messages() {
    let bench = Bench::new(BOX);
    let end = bench.run_with(&["check", "-"], BOX);
    assert_eq!(end.code, 0, "{}", end.err);
    assert_eq!(end.out, bench.run(&["check", "box.toml"]).out);
    let end = bench.run_with(&["simulate", "-"], &BOX.replace("150 W", "150"));
    assert_eq!(end.code, 3);
    assert!(end.err.starts_with("error: standard input:14: heater.power"), "{}", end.err);
}

#[test]
fn colours_only_where_they_are_wanted() {
    let plain = "error: no.toml: there is no such file\n";
    let red = "\u{1b}[1;31merror\u{1b}[0m: no.toml: there is no such file\n";
    let said = |arguments: &[&str], no_color: &str| {
        let output = program().env("NO_COLOR", no_color).args(arguments).output();
        String::from_utf8(output.expect("the program starts").stderr).expect("UTF-8")
    };
    assert!(said(&["check", "no.toml"], "").starts_with(plain), "no colour into a pipe");
    assert!(said(&["check", "no.toml"], "1").starts_with(plain));
    assert!(said(&["--color", "never", "check", "no.toml"], "").starts_with(plain));
    assert!(said(&["--color", "always", "check", "no.toml"], "1").starts_with(red));
}

#[test]
fn quiet_hides_warnings_but_not_errors() {
    let bench = Bench::new(BOX.replace("\"10 min\"", "\"40 min\""));
    let end = bench.run(&["check", "box.toml"]);
    let want =
        "warning: box.toml:50: event.look.at = \"40 min\" is after the end of the run (30 min)\n";
    assert_eq!((end.code, end.err.as_str()), (0, want));
    assert_eq!(bench.run(&["check", "-q", "box.toml"]).err, "");
    assert_ne!(bench.run(&["check", "-q", "none.toml"]).err, "");
}
