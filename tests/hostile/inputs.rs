//! Inputs without an end, outside of their folder, or that take more memory than there is.

use std::fs;
use std::time::{Duration, Instant};

use assert_cmd::Command;

use crate::bench::{BOX, Bench, Ended, changed, refused};

const LOG: &str = "time_s,temp_c,rh\n0,20,50\n10,21,49\n20,22,48\n30,23,47\n";

/// The program with an end: what waits for more is killed.
fn soon(bench: &Bench, arguments: &[&str]) -> Ended {
    let mut command = Command::new(env!("CARGO_BIN_EXE_drybench"));
    let command =
        command.current_dir(bench.folder()).args(arguments).timeout(Duration::from_secs(20));
    let end = command.output().expect("the program starts");
    Ended {
        code: end.status.code().unwrap_or(-1),
        out: String::from_utf8_lossy(&end.stdout).into_owned(),
        err: String::from_utf8_lossy(&end.stderr).into_owned(),
    }
}

#[cfg(target_os = "linux")]
#[test]
fn devices_are_no_inputs() {
    let bench = Bench::new(BOX);
    fs::write(bench.path("log.txt"), LOG).expect("written");
    let zero = "/dev/zero";
    let wrong: [&[&str]; 11] = [
        &["check", zero],
        &["simulate", zero],
        &["spool", zero],
        &["sweep", zero, "--axis", "heater.power=1 W, 2 W", "-o", "out"],
        &["import", zero],
        &["new", "run", "--log", zero, "-o", "run1"],
        &["new", "run", "--log", "log.txt", "--weighings", zero, "-o", "run2"],
        &["simulate", "box.toml", "--fit", zero],
        &["assess", "zero.json"],
        &[
            "fit",
            "box.toml",
            "--data",
            zero,
            "--free",
            "heater.power=50..400 W",
            "--map",
            "temp_c=supply_temperature_C ± 0.2 K",
        ],
        &[
            "fit",
            zero,
            "--data",
            "log.txt",
            "--free",
            "heater.power=50..400 W",
            "--map",
            "temp_c=supply_temperature_C ± 0.2 K",
        ],
    ];
    std::os::unix::fs::symlink(zero, bench.path("zero.json")).expect("a link");
    for arguments in wrong {
        let end = soon(&bench, arguments);
        assert!(end.code == 3 || end.code == 2, "{arguments:?}: {} {}", end.code, end.err);
        assert!(!bench.path("run1").exists() && !bench.path("run2").exists());
        assert!(end.code == 2 || end.err.contains("device"), "{arguments:?}: {}", end.err);
    }
}

#[cfg(unix)]
#[test]
fn a_pipe_from_another_program_is_an_input() {
    let bench = Bench::new(BOX);
    fs::write(bench.path("log.txt"), LOG).expect("written");
    let program = env!("CARGO_BIN_EXE_drybench");
    let line = format!(
        "mkfifo a b; cat box.toml > a & cat log.txt > b & {program} check a && {program} import b"
    );
    let mut command = Command::new("sh");
    let end = command
        .current_dir(bench.folder())
        .args(["-c", &line])
        .timeout(Duration::from_secs(20))
        .output();
    let end = end.expect("a shell");
    assert!(end.status.success(), "{}", String::from_utf8_lossy(&end.stderr));
    assert!(String::from_utf8_lossy(&end.stdout).contains("time_s,line,"));
}

#[cfg(unix)]
#[test]
fn a_run_folder_names_only_its_own_files() {
    let bench = Bench::new(BOX);
    fs::write(bench.path("log.txt"), LOG).expect("written");
    assert_eq!(bench.run(&["new", "run", "--log", "log.txt", "-q", "-o", "felt"]).code, 0);
    fs::write(bench.path("secret.txt"), LOG).expect("written");
    std::os::unix::fs::symlink("../../secret.txt", bench.path("felt/raw/link.txt"))
        .expect("a link");
    let made = std::process::Command::new("mkfifo").arg(bench.path("felt/raw/pipe.txt")).status();
    assert!(made.expect("mkfifo").success());
    let description = String::from_utf8(bench.read("felt/run.toml")).expect("a text");
    assert!(description.contains("\"raw/log.txt\""));
    assert_eq!(bench.run(&["check", "felt"]).code, 0);
    let absolute = bench.path("secret.txt").display().to_string();
    for (file, what) in [
        ("../secret.txt", "it lies outside of the run folder"),
        ("raw/../../secret.txt", "it lies outside of the run folder"),
        (&absolute, "it lies outside of the run folder"),
        ("raw/link.txt", "it lies outside of the run folder"),
        ("raw/pipe.txt", "it is no regular file"),
        ("raw", "it is no regular file"),
        ("/dev/zero", "it lies outside of the run folder"),
    ] {
        fs::write(bench.path("felt/run.toml"), description.replace("raw/log.txt", file))
            .expect("written");
        for command in ["check", "assess"] {
            let end = soon(&bench, &[command, "felt"]);
            assert_eq!(end.code, 3, "{file}: {}", end.err);
            assert!(
                end.err.contains(what) && end.err.contains("put the text into the folder"),
                "{file}: {}",
                end.err
            );
        }
    }
    let scenario = description.replace("[enclosure]", "[enclosure]\nscenario = \"../box.toml\"");
    fs::write(bench.path("felt/run.toml"), scenario).expect("written");
    let end = soon(&bench, &["fit", "felt", "--free", "heater.power=50..400 W"]);
    assert_eq!(end.code, 3, "{}", end.err);
    assert!(end.err.contains("it lies outside of the run folder"), "{}", end.err);
}

#[test]
fn a_run_folder_with_any_name_is_made_of_any_logs() {
    let bench = Bench::new(BOX);
    for name in ["a\"b", "a\nb", "a\u{1b}[31mb", "=a'b", "a\\b", "\u{7f}", "[x]", "a\u{9b}b", "\t"]
    {
        let log = format!("{name}.txt");
        fs::write(
            bench.path(&log),
            "time_s,\"S\\1\"_temp_c,\"S'1\"_temp_c\n0,20,21\n10,21,22\n20,22,23\n",
        )
        .expect("written");
        fs::write(bench.path("a-b.txt"), LOG).expect("written");
        fs::write(bench.path("a_b.txt"), LOG).expect("written");
        let end = bench.run(&[
            "new",
            "run",
            "--log",
            &log,
            "--log",
            "a-b.txt",
            "--log",
            "a_b.txt",
            "--weighings",
            "box.toml",
            "-o",
            name,
        ]);
        assert_eq!(end.code, 0, "{name:?}: {}", end.err);
        assert!(!end.err.contains(['\u{1b}', '\u{9b}', '\u{7f}']), "{:?}", end.err);
        let text = String::from_utf8(bench.read(&format!("{name}/run.toml"))).expect("a text");
        let read: Result<toml::Table, _> = text.parse();
        assert!(read.is_ok(), "{name:?}: {read:?}\n{text}");
        let source =
            drybench::reader::Source::from_bytes("run.toml", text.as_bytes()).expect("good TOML");
        let read = drybench::measured::folder::RunSpec::read(&source);
        assert!(read.is_ok(), "{name:?}: {read:?}\n{text}");
    }
    fs::create_dir(bench.path("other")).expect("a folder");
    fs::write(bench.path("other/a_b.txt"), LOG).expect("written");
    let end =
        bench.run(&["new", "run", "--log", "a_b.txt", "--log", "other/a_b.txt", "-o", "twice"]);
    // Texts of one name get names of their own.
    assert_eq!(end.code, 0, "{}", end.err);
    assert_eq!(bench.read("twice/raw/a_b.txt"), LOG.as_bytes());
    assert_eq!(bench.read("twice/raw/a_b_2.txt"), LOG.as_bytes());
}

#[test]
fn what_no_memory_holds_is_refused_at_once() {
    let spools: String = (0..20)
        .map(|i| {
            format!(
                "[load.s{i}]\nkind = \"spool\"\npolymer = \"PLA\"\nmass = \"1 kg\"\nlayers = 40\nshells = 40\n\
                 zone = \"return\"\n"
            )
        })
        .collect();
    let sensors: String = (0..5000)
        .map(|i| format!("[sensor.s{i}]\nzone = \"return\"\ntime_constant = \"20 s\"\n"))
        .collect();
    for (more, states, hint) in [
        (spools, "makes 33", "fewer `layers` and `shells` of spools"),
        (sensors, "makes 10", "take fewer sensors"),
    ] {
        let from = Instant::now();
        let said = refused(format!("{BOX}\n{more}"));
        assert!(said.contains(states) && said.contains("states; 4000 are possible"), "{said}");
        assert!(said.contains(hint), "{said}");
        assert!(from.elapsed() < Duration::from_secs(20));
    }
    let long = changed("\"30 min\"", "\"3e7 s\"")
        .replace("output_every = \"30 s\"", "output_every = \"16 s\"");
    let said = refused(long);
    assert!(said.contains("run.output_every = \"16 s\" makes 1875000 rows"), "{said}");
}

#[test]
fn one_spool_of_the_finest_grid_is_accepted() {
    let fine = "[load.s]\nkind = \"spool\"\npolymer = \"PLA\"\nmass = \"1 kg\"\nlayers = 40\nshells = 40\n\
                zones = [\"supply\", \"return\"]\n";
    let end = Bench::new(format!("{BOX}\n{fine}")).run(&["check", "box.toml"]);
    assert_eq!(end.code, 0, "{}", end.err);
}
