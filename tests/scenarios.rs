//! Every bundled scenario runs, and gives the summary that is committed beside it.
//!
//! Compared to six digits, not byte by byte: exponentials differ in the last bit from platform to
//! platform. After an intended change of the model, run with `DRYBENCH_BLESS=1` to write the
//! summaries anew, read the difference, and say why in the commit.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use drybench::reader::Source;
use drybench::run::{Method, Run, simulate};
use drybench::scenario::Scenario;

/// Digits that must agree.
const RELATIVE: f64 = 1e-6;
/// Below this a value is round-off or the rounding of the condensation law (grams, watt-hours,
/// minutes): nobody could measure it.
const ABSOLUTE: f64 = 1e-7;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios")
}

fn files() -> Vec<PathBuf> {
    let entries = fs::read_dir(folder()).expect("the folder of scenarios");
    let paths = entries.map(|e| e.expect("a directory entry").path());
    let mut files: Vec<_> = paths.filter(|p| p.extension().is_some_and(|e| e == "toml")).collect();
    files.sort();
    files
}

fn run(path: &Path) -> Run {
    let bytes = fs::read(path).expect("a readable scenario");
    let source = Source::from_bytes(&path.display().to_string(), &bytes).expect("valid TOML");
    let (scenario, report) = Scenario::read(&source).expect("a valid scenario");
    assert!(report.warnings.is_empty(), "{}: {:?}", path.display(), report.warnings);
    simulate(&scenario, Method::Rodas5p).expect("a run")
}

/// One line per metric and ledger row.
fn summary(run: &Run) -> String {
    let mut out = String::from("quantity,value,unit\n");
    for m in &run.metrics {
        let value = m.value.map_or_else(String::new, |v| format!("{v:.9e}"));
        let _ = writeln!(out, "{},{value},{}", m.key, m.unit);
    }
    for (name, ledger) in [("water", &run.water), ("energy", &run.energy)] {
        for (side, rows) in [("from", &ledger.sources), ("to", &ledger.uses)] {
            for row in rows {
                let (what, amount) = (&row.name, row.amount);
                let _ = writeln!(out, "{name} {side}: {what},{amount:.9e},{}", ledger.unit);
            }
        }
    }
    let _ = writeln!(out, "heater switchings,{},", run.effort.switchings);
    out
}

#[test]
fn each_scenario_gives_its_committed_summary() {
    let bless = std::env::var_os("DRYBENCH_BLESS").is_some();
    let files = files();
    assert!(files.len() >= 4, "the bundled scenarios are missing");
    let mut wrong = Vec::new();
    for path in files {
        let ours = summary(&run(&path));
        let beside = path.with_extension("summary.csv");
        if bless {
            fs::write(&beside, &ours).expect("a writable summary");
            continue;
        }
        let theirs = fs::read_to_string(&beside).unwrap_or_else(|e| {
            panic!("{}: {e}; write it with DRYBENCH_BLESS=1", beside.display())
        });
        wrong.extend(differences(&path, &ours, &theirs));
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

fn differences(path: &Path, ours: &str, theirs: &str) -> Vec<String> {
    let (a, b): (Vec<_>, Vec<_>) = (ours.lines().collect(), theirs.lines().collect());
    let mut wrong = Vec::new();
    if a.len() != b.len() {
        wrong.push(format!("{}: {} lines, committed {}", path.display(), a.len(), b.len()));
    }
    for (x, y) in a.iter().zip(&b) {
        if !same(x, y) {
            wrong.push(format!("{}: now {x}, committed {y}", path.display()));
        }
    }
    wrong
}

fn same(x: &str, y: &str) -> bool {
    let (x, y): (Vec<_>, Vec<_>) = (x.rsplitn(3, ',').collect(), y.rsplitn(3, ',').collect());
    if x.len() != 3 || y.len() != 3 || x[0] != y[0] || x[2] != y[2] {
        return x == y;
    }
    match (x[1].parse::<f64>(), y[1].parse::<f64>()) {
        (Ok(a), Ok(b)) => (a - b).abs() <= ABSOLUTE + RELATIVE * b.abs(),
        _ => x[1] == y[1],
    }
}

#[test]
fn each_scenario_says_that_it_is_invented_and_what_it_teaches() {
    for path in files() {
        let text = fs::read_to_string(&path).expect("a readable scenario");
        assert!(text.starts_with("# Invented example"), "{}", path.display());
        assert!(text.contains("\n# Teaches: "), "{}", path.display());
    }
}

#[test]
fn ledgers_of_all_scenarios_close() {
    for path in files() {
        let run = run(&path);
        for ledger in [&run.water, &run.energy] {
            let throughput: f64 = ledger.sources.iter().map(|r| r.amount.abs()).sum();
            let total: f64 = ledger.uses.iter().map(|r| r.amount).sum();
            let listed: f64 = ledger.sources.iter().map(|r| r.amount).sum::<f64>() - total;
            assert!(
                ledger.closure_error.abs() < 1e-11 * throughput,
                "{}: closure {:e}",
                path.display(),
                ledger.closure_error
            );
            // The rows that are shown must add up too: nothing may be left out of the table.
            assert!(listed.abs() < 1e-6 * throughput, "{}: rows {listed:e}", path.display());
        }
    }
}
