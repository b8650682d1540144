//! The commands that the guide for users shows, run as they stand, in its order, in a fresh folder.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

const README: &str = include_str!("../README.md");

/// Shell lines of the guide: whole blocks of `sh`, and lines after `$ ` of `console`.
fn commands() -> Vec<String> {
    let mut out = Vec::new();
    let mut kind = "";
    let mut open = String::new();
    for line in README.lines() {
        if let Some(name) = line.trim_start().strip_prefix("```") {
            kind = if kind.is_empty() { name } else { "" };
            continue;
        }
        let typed = match kind {
            "sh" => line,
            "console" => line.strip_prefix("$ ").unwrap_or(""),
            _ => "",
        };
        open.push_str(typed.trim_end_matches('\\'));
        if !typed.ends_with('\\') && !open.trim().is_empty() {
            out.push(std::mem::take(&mut open));
        }
    }
    out.retain(|c| c.trim_start().starts_with("drybench"));
    out
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder");
    for entry in fs::read_dir(from).expect("a folder") {
        let path = entry.expect("an entry").path();
        let name = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copy(&path, &name);
        } else {
            fs::copy(&path, &name).expect("a copy");
        }
    }
}

#[test]
fn every_command_of_the_guide_works_as_it_stands() {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let tmp = tempfile::tempdir().expect("a folder");
    copy(&root.join("scenarios"), &tmp.path().join("scenarios"));
    let raw = root.join("scenarios/felt_run/raw");
    fs::copy(raw.join("log.txt"), tmp.path().join("serial.txt")).expect("a copy");
    fs::copy(raw.join("notes.txt"), tmp.path().join("notes.txt")).expect("a copy");
    let program = assert_cmd::cargo::cargo_bin!("drybench").to_path_buf();
    let folder = program.parent().expect("its folder").display().to_string();
    let path = format!("{folder}:{}", std::env::var("PATH").unwrap_or_default());
    let all = commands();
    assert!(all.len() >= 15, "only {} commands were found", all.len());
    for command in all {
        // Each has the folder `out` for itself, as a reader would who tries one of them.
        let _ = fs::remove_dir_all(tmp.path().join("out"));
        let mut shell = Command::new("sh");
        shell.args(["-ec", &command]).current_dir(tmp.path()).env("PATH", &path);
        let done = shell.output().expect("a shell");
        let said = String::from_utf8_lossy(&done.stderr).into_owned();
        assert!(done.status.success(), "{command}\n{said}");
    }
}
