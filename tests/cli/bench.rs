//! A small scenario to spoil, a folder to do it in, and the program.

use std::path::{Path, PathBuf};

use assert_cmd::Command;
use tempfile::TempDir;

/// A sound scenario. Messages are tested with their line numbers, so it has its own, counted here.
pub const BOX: &str = r#"title = "Test box"

[room]
temperature       = "20 °C"
relative_humidity = "50 %RH"

[enclosure]
inner_size   = ["300 mm", "200 mm", "150 mm"]
wall         = { material = "polypropylene", thickness = "3 mm" }
supply_share = 0.3

[heater]
kind  = "ptc"
power = "150 W"

[fan]
circulation = "6 L/s"
pressure    = "2 Pa"

[control]
kind       = "thermostat"
set_point  = "50 °C"
hysteresis = "3 K"
sensor     = "panel"

[sensor.panel]
zone          = "return"
time_constant = "20 s"

[vent.low]
kind     = "hole"
zone     = "return"
diameter = "6 mm"
height   = "30 mm"

[vent.high]
kind     = "hole"
zone     = "supply"
diameter = "7 mm"
height   = "120 mm"

[load.pad]
kind     = "wet_pad"
water    = "2.5 ± 0.02 g"
dry_mass = "3.2 g"
size     = ["60 mm", "40 mm", "4 mm"]
zone     = "return"

[event.look]
at       = "10 min"
kind     = "lid_open"
duration = "30 s"
exchange = "50 %"

[run]
duration     = "30 min"
output_every = "30 s"
"#;

/// The scenario with one passage, which must be there once, replaced.
pub fn changed(from: &str, to: &str) -> String {
    assert_eq!(BOX.matches(from).count(), 1, "{from:?} must be in the scenario once");
    BOX.replace(from, to)
}

/// The program.
pub fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_drybench"));
    command.env_remove("NO_COLOR");
    command
}

/// A folder that goes away at the end, with `box.toml` in it.
pub struct Bench(TempDir);

/// How the program ended.
pub struct Ended {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl Bench {
    pub fn new(scenario: impl AsRef<[u8]>) -> Self {
        let folder = TempDir::new().expect("a temporary folder");
        std::fs::write(folder.path().join("box.toml"), scenario).expect("a written file");
        Bench(folder)
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub fn folder(&self) -> &Path {
        self.0.path()
    }

    /// Runs the program in the folder.
    pub fn run(&self, arguments: &[&str]) -> Ended {
        self.run_with(arguments, "")
    }

    /// As [`Bench::run`], with something on standard input.
    pub fn run_with(&self, arguments: &[&str], input: &str) -> Ended {
        let mut command = program();
        let done = command.current_dir(self.folder()).args(arguments).write_stdin(input);
        ended(&done.output().expect("the program starts"))
    }

    pub fn read(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }
}

/// Runs the program where the folder does not matter.
#[allow(dead_code)] // not every crate that shares this file needs it
pub fn run(arguments: &[&str]) -> Ended {
    ended(&program().args(arguments).output().expect("the program starts"))
}

fn ended(output: &std::process::Output) -> Ended {
    Ended {
        code: output.status.code().expect("an exit code"),
        out: String::from_utf8(output.stdout.clone()).expect("UTF-8 on standard output"),
        err: String::from_utf8(output.stderr.clone()).expect("UTF-8 on standard error"),
    }
}

/// Checks a scenario that must be refused; returns what the program said.
pub fn refused(scenario: impl AsRef<[u8]>) -> String {
    let end = Bench::new(scenario).run(&["check", "box.toml"]);
    assert_eq!(end.code, 3, "{}", end.err);
    assert_eq!(end.out, "", "nothing but talk is expected");
    end.err
}
