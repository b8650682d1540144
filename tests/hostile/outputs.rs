//! Outputs are whole or not there, whatever happens while they are written.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::bench::{BOX, Bench, run};

const BAD_LOG: &str = "nothing\nto see\nhere\n";
const GOOD_LOG: &str = "time_s,temp_c\n0,20\n10,21\n20,22\n30,23\n";

/// Everything in a folder by name, hidden things too.
fn all(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let bytes = if entry.path().is_dir() {
            Vec::new()
        } else {
            fs::read(entry.path()).expect("a file")
        };
        found.push((name, bytes));
    }
    found.sort();
    found
}

fn names(folder: &Path) -> Vec<String> {
    all(folder).into_iter().map(|f| f.0).collect()
}

#[test]
fn a_refused_log_leaves_the_old_output() {
    let bench = Bench::new(BOX);
    fs::write(bench.path("bad.log"), BAD_LOG).expect("written");
    fs::write(bench.path("old.csv"), "mine").expect("written");
    let end = bench.run(&["import", "bad.log", "-o", "old.csv", "--force"]);
    assert_eq!(end.code, 3, "{}", end.err);
    assert_eq!(bench.read("old.csv"), b"mine");
    // The log may be the output, since it is read to its end first.
    fs::write(bench.path("run.csv"), GOOD_LOG).expect("written");
    let end = bench.run(&["import", "run.csv", "-o", "run.csv", "--force"]);
    assert_eq!(end.code, 0, "{}", end.err);
    assert!(bench.read("run.csv").starts_with(b"time_s,line,"), "{:?}", bench.read("run.csv"));
    assert_eq!(names(bench.folder()), ["bad.log", "box.toml", "old.csv", "run.csv"]);
}

#[cfg(unix)]
#[test]
fn devices_and_pipes_are_written_to_and_stay() {
    use std::os::unix::fs::FileTypeExt;
    let bench = Bench::new(BOX);
    fs::write(bench.path("bad.log"), BAD_LOG).expect("written");
    fs::write(bench.path("run.log"), GOOD_LOG).expect("written");
    let made = Command::new("mkfifo").arg(bench.path("pipe")).status().expect("mkfifo");
    assert!(made.success());
    for log in ["run.log", "bad.log"] {
        let reader = Command::new("cat")
            .arg(bench.path("pipe"))
            .stdout(Stdio::piped())
            .spawn()
            .expect("cat");
        let end = bench.run(&["import", log, "-o", "pipe"]);
        let read = reader.wait_with_output().expect("an end").stdout;
        assert_eq!(end.code, if log == "run.log" { 0 } else { 3 }, "{}", end.err);
        assert_eq!(read.is_empty(), log == "bad.log");
        assert!(fs::metadata(bench.path("pipe")).expect("a pipe").file_type().is_fifo());
    }
    let end = bench.run(&["new", "-o", "/dev/full"]);
    assert_eq!(end.code, 5, "{}", end.err);
    assert!(end.err.starts_with("error: cannot write /dev/full: no space left\n"), "{}", end.err);
    assert!(Path::new("/dev/full").exists());
}

#[cfg(unix)]
#[test]
fn through_a_link_its_target_is_replaced_and_the_link_stays() {
    let bench = Bench::new(BOX);
    fs::create_dir(bench.path("far")).expect("a folder");
    fs::write(bench.path("far/real.toml"), "mine").expect("written");
    std::os::unix::fs::symlink("far/real.toml", bench.path("link.toml")).expect("a link");
    std::os::unix::fs::symlink("nowhere", bench.path("lost.toml")).expect("a link");
    let end = bench.run(&["new", "-o", "link.toml"]);
    assert_eq!(end.code, 5);
    assert!(
        end.err.contains("link.toml exists already (a link to ")
            && end.err.contains("far/real.toml)"),
        "{}",
        end.err
    );
    let end = bench.run(&["new", "-o", "link.toml", "--force"]);
    assert_eq!(end.code, 0, "{}", end.err);
    assert!(bench.path("link.toml").is_symlink());
    assert_eq!(bench.read("far/real.toml"), run(&["new"]).out.as_bytes());
    assert_eq!(names(&bench.path("far")), ["real.toml"]);
    let end = bench.run(&["new", "-o", "lost.toml", "--force"]);
    assert_eq!(end.code, 5);
    assert!(end.err.starts_with("error: lost.toml is a link to nothing\n"), "{}", end.err);
}

#[cfg(unix)]
#[test]
fn a_replaced_file_keeps_its_permissions() {
    use std::os::unix::fs::PermissionsExt;
    let bench = Bench::new(BOX);
    fs::write(bench.path("mine.toml"), "mine").expect("written");
    fs::set_permissions(bench.path("mine.toml"), fs::Permissions::from_mode(0o640)).expect("set");
    assert_eq!(bench.run(&["new", "-o", "mine.toml", "--force"]).code, 0);
    let mode = fs::metadata(bench.path("mine.toml")).expect("a file").permissions().mode();
    assert_eq!(mode & 0o777, 0o640);
}

/// Runs a command in a shell whose files may not grow past so many blocks of 512 bytes.
#[cfg(target_os = "linux")]
fn limited(bench: &Bench, blocks: u32, line: &str) -> (Option<i32>, String) {
    let program = env!("CARGO_BIN_EXE_drybench");
    let line = format!("ulimit -f {blocks}; exec {program} {line}");
    let end = Command::new("sh")
        .args(["-c", &line])
        .current_dir(bench.folder())
        .output()
        .expect("a shell");
    (end.status.code(), String::from_utf8_lossy(&end.stderr).into_owned())
}

#[cfg(target_os = "linux")]
#[test]
fn where_nothing_can_be_written_the_old_stays_and_one_line_says_so() {
    let bench = Bench::new(BOX);
    fs::write(bench.path("old.toml"), "mine").expect("written");
    let (code, said) = limited(&bench, 1, "new -o old.toml --force");
    assert_eq!(code, Some(5), "{said}");
    assert!(said.starts_with("error: cannot write old.toml: "), "{said}");
    assert_eq!(bench.read("old.toml"), b"mine");
    assert_eq!(bench.run(&["simulate", "box.toml", "-q", "-o", "out"]).code, 0);
    let before = all(&bench.path("out"));
    for line in [
        "simulate box.toml -q -o out --force --set run.output_every=1s",
        "simulate box.toml -q -o new",
    ] {
        let (code, said) = limited(&bench, 8, line);
        assert_eq!(code, Some(5), "{line}: {said}");
        assert!(said.starts_with("error: cannot write "), "{said}");
        assert_eq!(said.lines().count(), 2, "{said}");
        assert_eq!(all(&bench.path("out")), before);
    }
    assert_eq!(names(bench.folder()), ["box.toml", "old.toml", "out"]);
    let (code, said) = limited(&bench, 1, "new > big.toml");
    assert_eq!(code, Some(5), "{said}");
    assert!(said.starts_with("error: cannot write to standard output: "), "{said}");
    assert_eq!(said.lines().count(), 1, "{said}");
}

#[cfg(target_os = "linux")]
#[test]
fn help_and_version_that_cannot_be_written_are_exit_5() {
    for arguments in [
        &["--help"][..],
        &["--version"],
        &["sweep", "--help"],
        &["help", "fit"],
        &["air", "-t", "20 °C", "--rh", "50 %"],
    ] {
        let full = fs::OpenOptions::new().write(true).open("/dev/full").expect("a full device");
        let mut command = Command::new(env!("CARGO_BIN_EXE_drybench"));
        let end = command.args(arguments).stdout(full).output().expect("the program starts");
        assert_eq!(end.status.code(), Some(5), "{arguments:?}");
        assert_eq!(end.stderr, b"error: cannot write to standard output: no space left\n");
    }
}

/// Kills the program as soon as it has been at work for so long; whether it was still at work.
fn killed(bench: &Bench, arguments: &[&str], after: Duration) -> bool {
    let mut command = Command::new(env!("CARGO_BIN_EXE_drybench"));
    command.current_dir(bench.folder()).args(arguments).stderr(Stdio::null()).stdout(Stdio::null());
    let mut child = command.spawn().expect("the program starts");
    let from = Instant::now();
    while from.elapsed() < after {
        if child.try_wait().expect("a state").is_some() {
            return false;
        }
        std::thread::sleep(Duration::from_micros(200));
    }
    child.kill().expect("killed");
    child.wait().expect("an end").code().is_none()
}

#[test]
fn a_kill_leaves_the_old_folder_or_a_complete_new_one() {
    let bench = Bench::new(BOX);
    let typed = ["simulate", "box.toml", "-q", "-o", "out"];
    let from = Instant::now();
    assert_eq!(bench.run(&["simulate", "box.toml", "-q", "-o", "whole"]).code, 0);
    let (whole, took) = (all(&bench.path("whole")), from.elapsed());
    let mut hit = 0;
    for i in 0..14 {
        hit += usize::from(killed(&bench, &typed, took * i / 12));
        let there = all(&bench.path("out"));
        assert!(
            there.is_empty() && !bench.path("out").exists() || there == whole,
            "after {i}: {:?}",
            names(&bench.path("out"))
        );
        // The rerun needs no --force, and leaves nothing behind.
        if there.is_empty() {
            let end = bench.run(&typed);
            assert_eq!(end.code, 0, "{}", end.err);
            assert_eq!(all(&bench.path("out")), whole);
        }
        assert_eq!(names(bench.folder()), ["box.toml", "out", "whole"]);
        fs::remove_dir_all(bench.path("out")).expect("removed");
    }
    assert!(hit > 3, "only {hit} were killed in time");
}

#[test]
fn what_a_killed_run_left_is_finished_or_taken_away() {
    let bench = Bench::new(BOX);
    let typed = ["simulate", "box.toml", "-q", "-o", "out"];
    assert_eq!(bench.run(&typed).code, 0);
    let whole = all(&bench.path("out"));
    // Killed while the complete files were on their way: some are out, the others are not.
    fs::create_dir(bench.path("out/.drybench-complete")).expect("a folder");
    fs::rename(bench.path("out/run.json"), bench.path("out/.drybench-complete/run.json"))
        .expect("moved");
    // Killed while others were written.
    fs::create_dir(bench.path("out/.drybench-unfinished")).expect("a folder");
    fs::write(bench.path("out/.drybench-unfinished/series.csv"), "torn").expect("written");
    let end = bench.run(&typed);
    assert_eq!(end.code, 0, "{}", end.err);
    assert_eq!(all(&bench.path("out")), whole);
    // Of a finished run nothing is replaced without --force.
    assert_eq!(bench.run(&typed).code, 5);
    // A file beside its place, of a run that is no more.
    fs::write(bench.path(".new.toml.abc123.part"), "torn").expect("written");
    assert_eq!(bench.run(&["new", "-q", "-o", "new.toml"]).code, 0);
    assert_eq!(names(bench.folder()), ["box.toml", "new.toml", "out"]);
}
