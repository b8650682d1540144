//! The same bytes however a sweep was run: threads, interruptions, parts, memory.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use tempfile::TempDir;

use crate::kit::{DIAMETERS, DRAWN, POWERS, at, done, refused, sweep, tables};

/// The sweep that all others must equal: 100 cases, one thread.
fn whole(tmp: &TempDir) -> [String; 2] {
    let out = tmp.path().join("whole");
    done(sweep(&["--axis", DIAMETERS, "--axis", POWERS, "-o", at(&out), "--threads", "1"]));
    tables(&out)
}

#[test]
fn one_thread_and_two_write_the_same_bytes() {
    let tmp = TempDir::new().unwrap();
    let first = whole(&tmp);
    let out = tmp.path().join("two");
    done(sweep(&["--axis", DIAMETERS, "--axis", POWERS, "-o", at(&out), "--threads", "2"]));
    assert_eq!(first, tables(&out));
    assert_eq!(first[0].lines().count(), 101);
    assert_eq!(first[1].lines().count(), 100);
    assert!(first[0].lines().skip(1).all(|l| l.contains(",ok,,")), "{}", first[0]);
    let second: serde_json::Value = serde_json::from_str(first[1].lines().nth(1).unwrap()).unwrap();
    assert_eq!(second["axes"]["heater.power"]["text"], "120 W");
    assert_eq!(second["axes"]["vent.only.diameter"]["si"], 0.001);
}

#[test]
fn a_killed_sweep_is_finished_to_the_same_bytes() {
    let tmp = TempDir::new().unwrap();
    let first = whole(&tmp);
    let out = tmp.path().join("killed");
    let axes = ["--axis", DIAMETERS, "--axis", POWERS, "-o", at(&out), "--threads", "1"];
    let mut child = sweep(&axes).stderr(Stdio::null()).spawn().unwrap();
    let table = out.join("cases.jsonl");
    let from = Instant::now();
    while fs::metadata(&table).map_or(0, |m| m.len()) == 0 {
        assert!(from.elapsed() < Duration::from_secs(60), "no block was written");
        std::thread::sleep(Duration::from_millis(1));
    }
    // Child::kill sends the signal that cannot be caught.
    child.kill().unwrap();
    child.wait().unwrap();
    let rows = fs::read_to_string(&table).unwrap().lines().count();
    assert!(rows < 100, "the sweep was over before it was killed");
    done(sweep(&[&axes[..], &["--resume"]].concat()));
    assert_eq!(first, tables(&out));
}

#[cfg(unix)]
#[test]
fn an_interrupted_sweep_says_so_and_is_finished_to_the_same_bytes() {
    let tmp = TempDir::new().unwrap();
    let first = whole(&tmp);
    let out = tmp.path().join("interrupted");
    let axes = ["--axis", DIAMETERS, "--axis", POWERS, "-o", at(&out), "--threads", "1"];
    let child = sweep(&axes).stderr(Stdio::piped()).spawn().unwrap();
    let table = out.join("cases.jsonl");
    let from = Instant::now();
    while fs::metadata(&table).map_or(0, |m| m.len()) == 0 {
        assert!(from.elapsed() < Duration::from_secs(60), "no block was written");
        std::thread::sleep(Duration::from_millis(1));
    }
    let sent = Command::new("sh").args(["-c", &format!("kill -INT {}", child.id())]).status();
    assert!(sent.unwrap().success());
    let ended = child.wait_with_output().unwrap();
    assert_eq!(ended.status.code(), Some(130));
    let said = String::from_utf8_lossy(&ended.stderr).into_owned();
    assert!(said.contains("interrupted after") && said.contains("--resume"), "{said}");
    done(sweep(&[&axes[..], &["--resume"]].concat()));
    assert_eq!(first, tables(&out));
}

#[test]
fn a_torn_last_line_is_cut() {
    let tmp = TempDir::new().unwrap();
    let first = whole(&tmp);
    let out = tmp.path().join("whole");
    for (name, keep) in [("cases.csv", 2000), ("cases.jsonl", 1500)] {
        let text = fs::read(out.join(name)).unwrap();
        assert!(text.len() > keep && text[keep - 1] != b'\n');
        fs::write(out.join(name), &text[..keep]).unwrap();
    }
    done(sweep(&["--axis", DIAMETERS, "--axis", POWERS, "-o", at(&out), "--resume"]));
    assert_eq!(first, tables(&out));
}

#[test]
fn three_parts_in_three_processes_join_to_the_whole() {
    let tmp = TempDir::new().unwrap();
    let first = whole(&tmp);
    let parts: Vec<PathBuf> = (1..=3).map(|k| tmp.path().join(format!("part{k}"))).collect();
    let spawn = |(k, out): (usize, &PathBuf)| {
        let part = format!("{}/3", k + 1);
        let axes = ["--axis", DIAMETERS, "--axis", POWERS, "-o", at(out), "--shard", &part];
        sweep(&axes).stderr(Stdio::null()).spawn().unwrap()
    };
    let children: Vec<_> = parts.iter().enumerate().map(spawn).collect();
    for mut child in children {
        assert!(child.wait().unwrap().success());
    }
    let merge = |parts: &[&PathBuf], out: &Path| {
        let mut command = Command::new(assert_cmd::cargo::cargo_bin!("drybench"));
        command.args(["sweep", "--merge"]).args(parts).arg("-o").arg(out);
        command
    };
    let joined = tmp.path().join("joined");
    let (code, text) = refused(merge(&[&parts[0], &parts[2]], &joined));
    assert_eq!(code, Some(3));
    assert!(text.contains("the parts are 1/3, 3/3; missing: 2/3"), "{text}");
    // the order in which they are named does not matter
    done(merge(&[&parts[2], &parts[0], &parts[1]], &joined));
    assert_eq!(first, tables(&joined));
    let manifest = |folder: &Path| fs::read_to_string(folder.join("manifest.json")).unwrap();
    assert_eq!(manifest(&joined), manifest(&tmp.path().join("whole")));
    // A row that was damaged since is told, and nothing is written.
    let path = parts[1].join("cases.jsonl");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, text.replacen('{', "<", 1)).unwrap();
    let again = tmp.path().join("again");
    let (code, text) = refused(merge(&[&parts[0], &parts[1], &parts[2]], &again));
    assert_eq!(code, Some(3));
    assert!(text.contains(&format!("{}:1: ", path.display())) && !again.exists(), "{text}");
}

/// Cases are written in blocks, so ten times as many take no more memory.
#[cfg(target_os = "linux")]
#[test]
fn memory_does_not_grow_with_the_cases() {
    let tmp = TempDir::new().unwrap();
    let peak_kb = |cases: &str| {
        let out = tmp.path().join(cases);
        let typed = [&DRAWN[..], &["--latin", cases, "-o", at(&out), "--threads", "1"]].concat();
        let mut child = sweep(&typed).stderr(Stdio::null()).spawn().unwrap();
        let status = format!("/proc/{}/status", child.id());
        let mut peak = 0_u64;
        while child.try_wait().unwrap().is_none() {
            let text = fs::read_to_string(&status).unwrap_or_default();
            let found = text.lines().find_map(|l| l.strip_prefix("VmHWM:"));
            let kb = found.and_then(|l| l.trim().strip_suffix(" kB")?.parse().ok());
            peak = kb.unwrap_or(peak);
            std::thread::sleep(Duration::from_millis(1));
        }
        assert!(child.wait().unwrap().success());
        peak
    };
    let (few, many) = (peak_kb("200"), peak_kb("2000"));
    // The order of a Latin hypercube takes four bytes for each case and axis, 14 kB here; 1 MB more
    // is the noise of the allocator. Rows kept would take far more than 1 kB each.
    assert!(few > 0 && many < few + 1200, "{few} kB for 200 cases, {many} kB for 2000");
}
