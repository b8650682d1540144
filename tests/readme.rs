//! What README and guide show: each command is run as it stands, in the order of its text and in a fresh folder, and
//! what it prints is compared with what is shown. `DRYBENCH_BLESS=1` writes the shown lines anew.
//!
//! Marks in the texts, as comments of their own line:
//!
//! - `output of: COMMAND` or `output of the command above`: what the next block shows, to the letter. After it, in
//!   brackets, `shortened` (lines may be left out, with `...` in their place), `messages` (of standard error, and the
//!   command may fail), `slow`.
//! - `slow`: the next block of commands takes long. Such commands belong to the second tier:
//!   `cargo test --test readme -- --ignored`.
//! - `first: SHELL`: what is done before, and not shown.
//!
//! Blocks of `text` are what a command prints, and need such a mark; sketches, equations and files are `txt`.

use std::collections::HashMap;
use std::fs;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Tests of each text, quick and slow.
macro_rules! texts {
    ($($name:ident: $file:literal,)*) => {
        const TEXTS: &[&str] = &[$($file),*];
        mod quick { $(#[test] fn $name() { super::check($file, false); })* }
        mod slow { $(#[test] #[ignore = "takes minutes"] fn $name() { super::check($file, true); })* }
    };
}

texts! {
    readme: "README.md",
    first_box: "src/guide/first_box.md",
    vents: "src/guide/vents.md",
    sweeps: "src/guide/sweeps.md",
    measured_run: "src/guide/measured_run.md",
    fitting: "src/guide/fitting.md",
    fit_report: "src/guide/fit_report.md",
    spools: "src/guide/spools.md",
    keys: "src/guide/keys.md",
    model: "src/guide/model.md",
    validation: "src/guide/validation.md",
    files: "src/guide/files.md",
    rust: "src/guide/rust.md",
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// One thing to do, in the order of a text.
#[derive(Debug, PartialEq)]
enum Step {
    /// Done before, and not shown.
    First(String),
    /// A command that a reader types.
    Typed { command: String, slow: bool },
    /// What a command prints, by the numbers of its lines in the text.
    Shown { command: String, flags: Flags, lines: Range<usize> },
}

#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Flags {
    shortened: bool,
    messages: bool,
    slow: bool,
}

impl Step {
    fn slow(&self) -> bool {
        match self {
            Step::First(_) => false,
            Step::Typed { slow, .. } => *slow,
            Step::Shown { flags, .. } => flags.slow,
        }
    }
}

/// Command and flags of a mark.
fn header(text: &str, above: Option<&String>) -> (String, Flags) {
    let mut flags = Flags::default();
    let mut rest = text.trim();
    let last = rest.strip_suffix(')').and_then(|r| r.rsplit_once('('));
    if let Some((before, inside)) = last {
        let known = |w: &str| ["shortened", "messages", "slow"].contains(&w);
        if inside.split(", ").all(known) {
            rest = before.trim();
            flags.shortened = inside.contains("shortened");
            flags.messages = inside.contains("messages");
            flags.slow = inside.contains("slow");
        }
    }
    let command = match rest.strip_prefix(':') {
        Some(command) => command.trim().to_owned(),
        None => {
            assert_eq!(rest, "the command above", "a mark that is not understood: {text}");
            above.expect("a command above").clone()
        }
    };
    (command, flags)
}

/// A shell line as a reader types it: through cargo, or by the name of the program.
fn typed(line: &str) -> Option<String> {
    let line = line.split_whitespace().collect::<Vec<_>>().join(" ");
    if line.is_empty() || line.starts_with('#') {
        return None;
    }
    let plain = line.replace("cargo run --release -- ", "drybench ");
    plain.split([';', '|']).any(|c| c.trim().starts_with("drybench ")).then_some(plain)
}

fn steps(text: &str) -> Vec<Step> {
    let mut out = Vec::new();
    let mut shown: Option<(String, Flags)> = None;
    let mut slow = false;
    let mut above: Option<String> = None;
    let mut lines = text.lines().enumerate();
    while let Some((at, line)) = lines.next() {
        let mark = line.strip_prefix("<!-- ").and_then(|l| l.strip_suffix(" -->"));
        if let Some(mark) = mark {
            if let Some(rest) = mark.strip_prefix("output of") {
                shown = Some(header(rest, above.as_ref()));
            } else if let Some(rest) = mark.strip_prefix("first: ") {
                out.push(Step::First(rest.to_owned()));
            } else if mark == "slow" {
                slow = true;
            }
            continue;
        }
        let Some(kind) = line.strip_prefix("```") else { continue };
        let block: Vec<_> = lines.by_ref().take_while(|(_, l)| *l != "```").collect();
        if let Some((command, flags)) = shown.take() {
            assert_eq!(kind, "text", "line {}: what a command prints is a block of text", at + 1);
            out.push(Step::Shown { command, flags, lines: at + 1..at + 1 + block.len() });
        } else if kind == "sh" {
            let whole = block.iter().map(|(_, l)| *l).collect::<Vec<_>>().join("\n");
            for command in whole.replace("\\\n", " ").lines().filter_map(typed) {
                above = Some(command.clone());
                out.push(Step::Typed { command, slow });
            }
            slow = false;
        } else {
            assert_ne!(kind, "text", "line {}: say what command prints this", at + 1);
        }
    }
    assert!(shown.is_none(), "a mark without a block");
    out
}

/// What a line says without its numbers.
fn words(line: &str) -> String {
    let only: String = line
        .chars()
        .map(|c| if c.is_ascii_digit() || "+-.".contains(c) { ' ' } else { c })
        .collect();
    only.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The line from `from` on that is meant: the same, that with other numbers, or the most like it.
fn find(line: &str, output: &[&str], from: usize) -> Option<usize> {
    let rest = from..output.len();
    let same = rest.clone().find(|i| output[*i] == line);
    let wanted = words(line);
    same.or_else(|| rest.clone().find(|i| words(output[*i]) == wanted)).or_else(|| {
        let near = |i: usize| strsim::normalized_levenshtein(&words(output[i]), &wanted);
        let best = rest.max_by(|a, b| near(*a).total_cmp(&near(*b)))?;
        (near(best) > 0.7 && !wanted.is_empty()).then_some(best)
    })
}

/// What should be shown: all of the output, or of it the lines that are shown now.
fn wanted(shown: &[&str], output: &str, shortened: bool) -> Vec<String> {
    let output: Vec<&str> = output.trim_end().lines().collect();
    if !shortened {
        return output.iter().map(|l| l.trim_end().to_owned()).collect();
    }
    let mut out: Vec<String> = Vec::new();
    let mut next = 0;
    let gap = |out: &mut Vec<String>, left: &[&str]| {
        if left.iter().all(|l| l.trim().is_empty()) {
            out.extend(left.iter().map(|_| String::new()));
        } else {
            out.push("...".to_owned());
        }
    };
    for line in shown.iter().filter(|l| !["...", ""].contains(&l.trim())) {
        match find(line, &output, next) {
            Some(at) => {
                gap(&mut out, &output[next..at]);
                out.push(output[at].trim_end().to_owned());
                next = at + 1;
            }
            None => eprintln!("no longer printed: {line}"),
        }
    }
    gap(&mut out, &output[next..]);
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

/// A folder as a reader has it, and what has been run there.
struct Bench {
    folder: tempfile::TempDir,
    path: String,
    done: HashMap<String, (bool, String, String)>,
}

impl Bench {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        copy(&root().join("scenarios"), &folder.path().join("scenarios"));
        let raw = root().join("scenarios/felt_run/raw");
        for (from, to) in [("log.txt", "serial.txt"), ("notes.txt", "notes.txt")] {
            fs::copy(raw.join(from), folder.path().join(to)).expect("a copy");
        }
        let bare = "41.1 / 74.1\n41.0 / 74.3\n40.9 / 74.6\n";
        fs::write(folder.path().join("bare.txt"), bare).expect("a log");
        let program = Path::new(env!("CARGO_BIN_EXE_drybench"));
        let beside = program.parent().expect("its folder").display().to_string();
        let path = format!("{beside}:{}", std::env::var("PATH").unwrap_or_default());
        Bench { folder, path, done: HashMap::new() }
    }

    /// Whether a command succeeds, and what it prints; asked again it is not run again.
    fn run(&mut self, command: &str) -> (bool, String, String) {
        if let Some(done) = self.done.get(command) {
            return done.clone();
        }
        // Each has the folder `out` for itself, as a reader would who tries one of them.
        let _ = fs::remove_dir_all(self.folder.path().join("out"));
        let mut shell = Command::new("sh");
        shell.args(["-ec", command]).current_dir(self.folder.path());
        shell.env("PATH", &self.path).env("COLUMNS", "100");
        let start = std::time::Instant::now();
        let end = shell.output().expect("a shell");
        println!("{:6.1} s  {command}", start.elapsed().as_secs_f64());
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        let done = (end.status.success(), text(&end.stdout), text(&end.stderr));
        self.done.insert(command.to_owned(), done.clone());
        done
    }
}

/// Runs the steps of a text; all of one with slow steps in the second tier.
fn check(file: &str, slow_tier: bool) {
    let path = root().join(file);
    let text = fs::read_to_string(&path).expect("a text");
    let steps = steps(&text);
    if slow_tier && !steps.iter().any(Step::slow) {
        return;
    }
    let lines: Vec<&str> = text.lines().collect();
    let mut bench = Bench::new();
    let mut anew: Vec<(Range<usize>, Vec<String>)> = Vec::new();
    for step in steps.iter().filter(|s| slow_tier || !s.slow()) {
        match step {
            Step::First(command) | Step::Typed { command, .. } => {
                let (well, _, said) = bench.run(command);
                assert!(well, "{file}: {command}\n{said}");
            }
            Step::Shown { command, flags, lines: at } => {
                let (well, out, said) = bench.run(command);
                assert!(well || flags.messages, "{file}: {command}\n{said}");
                let shown = &lines[at.clone()];
                let want =
                    wanted(shown, if flags.messages { &said } else { &out }, flags.shortened);
                if want != shown {
                    anew.push((at.clone(), want));
                }
            }
        }
    }
    if std::env::var_os("DRYBENCH_BLESS").is_some() {
        let mut lines: Vec<String> = lines.into_iter().map(str::to_owned).collect();
        for (at, want) in anew.into_iter().rev() {
            lines.splice(at, want);
        }
        fs::write(&path, lines.join("\n") + "\n").expect("written");
        return;
    }
    for (at, want) in &anew {
        let line = at.start + 1;
        eprintln!("{file}:{line}: the program prints\n{}\n", want.join("\n"));
    }
    assert!(anew.is_empty(), "{file} shows what is not printed; DRYBENCH_BLESS=1 writes it anew");
}

#[test]
fn marks_are_understood() {
    let text = "```sh\n# why\ndrybench air -t 1 \\\n  --rh 2\n```\n<!-- output of the command above (shortened) -->\n\
                ```text\n...\nb\n```\n<!-- slow -->\n```sh\ncargo run --release -- new\n```\n<!-- first: true -->\n\
                <!-- output of: drybench check x (y) (messages, slow) -->\n```text\n```\n```txt\nsketch\n```\n";
    let air = "drybench air -t 1 --rh 2".to_owned();
    let short = Flags { shortened: true, ..Flags::default() };
    let late = Flags { messages: true, slow: true, ..Flags::default() };
    let want = [
        Step::Typed { command: air.clone(), slow: false },
        Step::Shown { command: air, flags: short, lines: 7..9 },
        Step::Typed { command: "drybench new".into(), slow: true },
        Step::First("true".into()),
        Step::Shown { command: "drybench check x (y)".into(), flags: late, lines: 17..17 },
    ];
    assert_eq!(steps(text), want);
}

#[test]
fn left_out_lines_are_told_and_numbers_follow() {
    let output = "head\n\n  time   3 min\n  mass   4 g\nend\n";
    let shown = ["head", "  time  2 min", "..."];
    assert_eq!(wanted(&shown, output, true), ["head", "", "  time   3 min", "..."]);
    assert_eq!(wanted(&["  mass   4 g", "end"], output, true), ["...", "  mass   4 g", "end"]);
    assert_eq!(wanted(&["gone"], output, true), ["..."]);
    assert_eq!(wanted(&[], output, false).len(), 5);
}

#[test]
fn every_text_is_tested() {
    let folder = fs::read_dir(root().join("src/guide")).expect("a folder");
    let names = folder.map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned());
    let missing: Vec<_> = names
        .filter(|n| n.ends_with(".md") && !TEXTS.contains(&format!("src/guide/{n}").as_str()))
        .collect();
    assert!(missing.is_empty(), "add to the list above: {missing:?}");
}

#[test]
fn the_readme_is_one_page() {
    let size = fs::metadata(root().join("README.md")).expect("a file").len();
    assert!(size <= 8 * 1024, "README.md has {size} bytes: move some of it to the guide");
}

/// Where the links and pictures of a text lead, outside of its blocks.
fn targets(text: &str) -> Vec<String> {
    let mut out = Vec::new();
    let mut inside = false;
    for line in text.lines() {
        inside ^= line.starts_with("```");
        if inside {
            continue;
        }
        out.extend(line.split("](").skip(1).filter_map(|r| Some(r.split_once(')')?.0.to_owned())));
        let reference = line.strip_prefix('[').and_then(|l| l.split_once("]: "));
        out.extend(reference.map(|r| r.1.trim().to_owned()));
    }
    out
}

#[test]
fn every_link_leads_to_a_file() {
    let mut lost = Vec::new();
    for file in TEXTS.iter().copied().chain(["DEVELOPERS.md"]) {
        let path = root().join(file);
        let text = fs::read_to_string(&path).expect("a text");
        for target in targets(&text).iter().filter(|t| !t.starts_with("http")) {
            let plain = target.split('#').next().unwrap_or_default();
            let there = path.parent().expect("a folder").join(plain);
            if !plain.is_empty() && !there.exists() {
                lost.push(format!("{file}: {target}"));
            }
        }
    }
    assert!(lost.is_empty(), "links that lead nowhere: {lost:#?}");
}

#[test]
fn every_key_is_explained_and_every_word_of_the_keys_is_one() {
    let tables = drybench::scenario::keys().into_iter().chain(drybench::measured::folder::keys());
    let keys: Vec<&str> = tables.flat_map(|t| t.keys).map(|k| k.name).collect();
    assert!(keys.len() > 100, "only {} keys were found", keys.len());
    let chapter = fs::read_to_string(root().join("src/guide/keys.md")).expect("the chapter");
    let is_named = |key: &str| chapter.lines().any(|l| l.starts_with(&format!("  {key} ")));
    let missing: Vec<_> = keys.iter().filter(|k| !is_named(k)).collect();
    assert!(missing.is_empty(), "not in src/guide/keys.md: {missing:?}");
    let words = chapter.split('`').skip(1).step_by(2);
    let plain = |w: &&str| w.chars().all(|c| c.is_ascii_lowercase() || c == '_') && w.len() > 1;
    let choices = drybench::scenario::keys().into_iter().flat_map(|t| t.keys).flat_map(|k| k.words);
    let tables = drybench::scenario::keys().into_iter().flat_map(|t| t.table.split('.'));
    let known: Vec<&str> = keys.iter().chain(choices).copied().chain(tables).collect();
    let unknown: Vec<_> = words.filter(plain).filter(|w| !known.contains(w)).collect();
    assert!(unknown.is_empty(), "no key or word of the program: {unknown:?}");
}

#[test]
fn every_source_of_the_model_is_listed() {
    let list = fs::read_to_string(root().join("DEVELOPERS.md")).expect("a text");
    let chapter = fs::read_to_string(root().join("src/guide/model.md")).expect("the chapter");
    let is_key = |k: &&str| k.len() > 6 && k.ends_with(|c: char| c.is_ascii_digit());
    let inside = chapter.split('[').skip(1).filter_map(|r| r.split(']').next());
    let keys: Vec<&str> = inside.map(|k| k.trim_end_matches('\\')).filter(is_key).collect();
    assert!(keys.len() > 25, "only {keys:?} were found");
    let missing: Vec<_> = keys.iter().filter(|k| !list.contains(&format!("| {k} |"))).collect();
    assert!(missing.is_empty(), "not in the section \"Sources\" of DEVELOPERS.md: {missing:?}");
}
