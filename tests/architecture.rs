//! The shape of the source: layers, no circles within a folder, one place for the zero of the Celsius scale, sources that
//! resolve, files of a readable length, and no words that do not belong.

#[path = "architecture/circles.rs"]
mod circles;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Layers from the bottom up. A module may import from lower layers, and from its own only itself.
const LAYERS: &[&[&str]] = &[
    &["guide", "real", "text", "units"],
    &["address", "physics", "solver", "reader", "uncertainty"],
    &["model"],
    &["scenario"],
    &["metric"],
    &["run", "measured"],
    &["assess"],
    &["study"],
    &["report"],
    &["files"],
    &["cli", "main"],
];

/// Modules that may import nothing but these, whatever their layer allows.
const NARROW: &[(&str, &[&str])] = &[
    ("metric", &["text", "units", "address", "uncertainty"]),
    ("uncertainty", &["units"]),
    (
        "report",
        &[
            "address",
            "run",
            "measured",
            "study",
            "assess",
            "metric",
            "uncertainty",
            "reader",
            "physics",
            "text",
            "units",
        ],
    ),
];

/// Longest file in lines, tests not counted.
const MOST_LINES: usize = 350;

/// Files that may be longer, and why.
const LONG: &[(&str, &str)] = &[
    ("src/model/network.rs", "the air network is one derivation, read from top to bottom"),
    ("src/measured/log/run.rs", "all that can become of one line of a log"),
    ("src/measured/log/lex/words.rs", "a table of words, one a row"),
];

/// Names that collect what has no home.
const DRAWERS: &[&str] = &["utils", "util", "misc", "common", "helpers", "stuff"];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn sources(folder: &Path, out: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a readable folder") {
        let path = entry.expect("a directory entry").path();
        if path.is_dir() {
            sources(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
}

/// Name from the root with forward slashes, and text, of every source file.
fn src() -> Vec<(String, String)> {
    let mut paths = Vec::new();
    sources(&root().join("src"), &mut paths);
    paths.sort();
    assert!(paths.len() > 50, "only {} source files were found", paths.len());
    let one = |path: &PathBuf| (name(path), fs::read_to_string(path).expect("a readable file"));
    paths.iter().map(one).collect()
}

fn name(path: &Path) -> String {
    let inner = path.strip_prefix(root()).unwrap_or(path);
    inner.components().map(|c| c.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
}

/// The text without the file's own tests, and without comments.
fn code(text: &str) -> String {
    let body = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or(text);
    let lines = body.lines().filter(|l| !l.trim_start().starts_with("//"));
    lines.fold(String::new(), |out, line| out + line + "\n")
}

/// The top module of a source file: `src/model/air.rs` is in `model`.
fn module(file: &str) -> &str {
    let inner = file.strip_prefix("src/").unwrap_or(file);
    inner.split('/').next().unwrap_or(inner).trim_end_matches(".rs")
}

fn layer(module: &str) -> Option<usize> {
    LAYERS.iter().position(|l| l.contains(&module))
}

/// Modules named after `crate::`, with the line.
fn imports(text: &str) -> Vec<(usize, String)> {
    let word = |rest: &str| {
        let end = rest.find(|c: char| !c.is_ascii_alphanumeric() && c != '_');
        rest[..end.unwrap_or(rest.len())].to_owned()
    };
    let mut found = Vec::new();
    for (i, line) in text.lines().enumerate().filter(|(_, l)| !l.trim_start().starts_with("//")) {
        for part in line.split("crate::").skip(1) {
            match part.strip_prefix('{') {
                Some(list) => {
                    let ends = list.split(',').map(|item| (i + 1, word(item.trim())));
                    found.extend(ends);
                }
                None => found.push((i + 1, word(part))),
            }
        }
    }
    found.retain(|(_, w)| w.chars().next().is_some_and(|c| c.is_ascii_lowercase()));
    found
}

#[test]
fn modules_import_only_from_below() {
    let mut wrong = Vec::new();
    let mut seen = 0;
    for (file, text) in src() {
        let own = module(&file);
        if own == "lib" {
            continue;
        }
        let Some(mine) = layer(own) else {
            wrong.push(format!("{file}: module `{own}` is in no layer"));
            continue;
        };
        let narrow = NARROW.iter().find(|(m, _)| *m == own).map(|(_, allowed)| allowed);
        for (line, other) in imports(&text) {
            seen += 1;
            let below = layer(&other).is_some_and(|l| l < mine);
            let allowed = narrow.is_none_or(|list| list.contains(&other.as_str()));
            if other != own && !(below && allowed) {
                wrong.push(format!("{file}:{line}: `{own}` imports `{other}`"));
            }
        }
    }
    assert!(seen > 100, "only {seen} imports were found: is the search broken?");
    assert!(wrong.is_empty(), "imports against the layers:\n{}", wrong.join("\n"));
}

/// Lines of code that hold one of `words`, in files for which `excused` is false.
fn lines_with(words: &[&str], excused: impl Fn(&str) -> bool) -> Vec<String> {
    let mut found = Vec::new();
    for (file, text) in src().into_iter().filter(|(f, _)| !excused(f)) {
        for line in code(&text).lines().filter(|l| words.iter().any(|w| l.contains(w))) {
            found.push(format!("{file}: {}", line.trim()));
        }
    }
    found
}

#[test]
fn only_one_layer_opens_files_and_only_the_command_line_prints() {
    let found = lines_with(&["std::fs"], |f| ["cli", "files"].contains(&module(f)));
    assert!(found.is_empty(), "outside src/files:\n{}", found.join("\n"));
    let words =
        ["println!", "eprintln!", "print!(", "dbg!(", "process::", "stdout()", "stderr()", "clap"];
    let found = lines_with(&words, |f| ["cli", "main"].contains(&module(f)));
    assert!(found.is_empty(), "outside src/cli:\n{}", found.join("\n"));
}

#[test]
fn the_zero_of_celsius_stands_in_one_place() {
    let found = lines_with(&["273.15"], |f| module(f) == "units");
    assert!(found.is_empty(), "use units::ZERO_CELSIUS_K:\n{}", found.join("\n"));
    assert!(!lines_with(&["273.15"], |f| module(f) != "units").is_empty());
}

/// Words in square brackets that look like the key of a source: letters and a year or number.
fn keys(text: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for part in text.split('[').skip(1) {
        let Some((inside, _)) = part.split_once(']') else { continue };
        let inside = inside.trim_end_matches('\\');
        let letters = inside.trim_end_matches(|c: char| c.is_ascii_digit() || c == 'a' || c == 'b');
        let number = inside[letters.len()..].chars().filter(char::is_ascii_digit).count();
        let plain = !letters.is_empty() && letters.chars().all(|c| c.is_ascii_alphabetic());
        if plain && number >= 4 {
            found.insert(inside.to_owned());
        }
    }
    found
}

#[test]
fn keys_are_found() {
    let text =
        "/// Source: \\[Sampson1891\\], \\[ISO2533\\]; see [`Section`], [1], a[i2] \\[W/K\\].";
    let want = ["ISO2533", "Sampson1891"].map(str::to_owned);
    assert_eq!(keys(text), BTreeSet::from(want));
}

#[test]
fn every_source_resolves() {
    let path = root().join("DEVELOPERS.md");
    let used: BTreeSet<String> = src().iter().flat_map(|(_, text)| keys(text)).collect();
    assert!(used.len() > 10, "only {used:?} were found");
    let text = fs::read_to_string(&path).unwrap_or_else(|_| {
        panic!("DEVELOPERS.md is missing: its section \"Sources\" must list {used:#?}")
    });
    let (_, list) = text.split_once("# Sources").expect("DEVELOPERS.md has a section \"Sources\"");
    // One row of a table per source, with its key in the first cell.
    let section = list.split("\n## ").next().unwrap_or(list);
    let first_cell = |row: &str| row.trim().strip_prefix('|')?.split('|').next().map(str::to_owned);
    let cells = section.lines().filter_map(first_cell);
    let listed: BTreeSet<String> = cells.map(|c| c.trim().to_owned()).collect();
    let missing: Vec<_> = used.difference(&listed).collect();
    assert!(missing.is_empty(), "not in the section \"Sources\" of DEVELOPERS.md: {missing:#?}");
}

#[test]
fn every_named_test_exists() {
    let mut missing = BTreeSet::new();
    let mut seen = 0;
    for (file, text) in src() {
        for part in text.split("tests/").skip(1) {
            let end = part.find(|c: char| !c.is_ascii_alphanumeric() && !"_/.".contains(c));
            let path = part[..end.unwrap_or(part.len())].trim_end_matches('.');
            if path.ends_with(".rs") {
                seen += 1;
                if !root().join("tests").join(path).exists() {
                    missing.insert(format!("tests/{path} (named in {file})"));
                }
            }
        }
    }
    assert!(seen > 5, "only {seen} names of tests were found");
    assert!(missing.is_empty(), "tests that do not exist: {missing:#?}");
}

#[test]
fn files_are_short_enough_to_read() {
    let mut long = Vec::new();
    let is_test = |f: &str| f.contains("/tests/") || f.ends_with("/tests.rs");
    for (file, text) in src().into_iter().filter(|(f, _)| !is_test(f)) {
        let body = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or(&text);
        let lines = body.lines().count();
        let excuse = LONG.iter().find(|(name, _)| *name == file);
        if lines > MOST_LINES && excuse.is_none() {
            long.push(format!("{file}: {lines} lines"));
        }
        if let Some((_, why)) = excuse.filter(|_| lines <= MOST_LINES) {
            long.push(format!("{file} is short again; strike it from the list ({why})"));
        }
    }
    assert!(long.is_empty(), "longer than {MOST_LINES} lines:\n{}", long.join("\n"));
}

/// What the heads of columns end with, and what they begin with.
const HEAD_ENDS: &[&str] = &[
    "_temperature_C",
    "_relative_humidity_pct",
    "_vapour_density_g_m3",
    "_dew_point_C",
    "_water_remaining_g",
    "_mass_change_g",
    "_moisture_wt_pct",
    "_power_W",
    "_out_L_min",
    "_inside_C",
    "_outside_C",
];
const HEAD_BEGINS: &[&str] = &["water_path_", "sensor_{", "wall_{", "vent_{"];

#[test]
fn only_the_module_of_names_builds_or_takes_apart_the_head_of_a_column() {
    let mut found = Vec::new();
    for (file, text) in src() {
        // The table of a measured log has heads of its own.
        if ["src/address/", "src/measured/", "src/cli/own_power"]
            .iter()
            .any(|p| file.starts_with(p))
            || file.contains("/tests")
        {
            continue;
        }
        for line in code(&text).lines() {
            let built = HEAD_ENDS.iter().any(|end| {
                line.contains(&format!("\"{end}")) || line.contains(&format!("}}{end}"))
            });
            let parsed = [".label.split", ".label.rsplit", ".label.strip", ".label.trim"];
            let built = built || parsed.iter().any(|p| line.contains(p));
            if built || HEAD_BEGINS.iter().any(|begin| line.contains(&format!("\"{begin}"))) {
                found.push(format!("{file}: {}", line.trim()));
            }
        }
    }
    assert!(found.is_empty(), "ask address::Names, or an address:\n{}", found.join("\n"));
}

#[test]
fn there_are_no_drawers() {
    let parts =
        |f: &str| f.trim_end_matches(".rs").split('/').map(str::to_owned).collect::<Vec<_>>();
    let found: Vec<_> = src()
        .into_iter()
        .map(|(file, _)| file)
        .filter(|f| parts(f).iter().any(|p| DRAWERS.contains(&p.as_str())))
        .collect();
    assert!(found.is_empty(), "give these files a home: {found:?}");
}

/// Text files under version control; empty where there is no repository, as in a package.
fn tracked() -> Vec<PathBuf> {
    let git = Command::new("git").arg("-C").arg(root()).args(["ls-files", "-z"]).output();
    let Ok(listed) = git.map(|o| o.stdout) else { return Vec::new() };
    let names = String::from_utf8_lossy(&listed).into_owned();
    let paths = names.split('\0').filter(|n| !n.is_empty()).map(|n| root().join(n));
    paths.filter(|p| p.extension().is_none_or(|e| e != "lock")).collect()
}

#[test]
fn nothing_speaks_of_its_making() {
    // Put together here, so that this file passes its own test.
    let words = [
        concat!("/wo", "rk/"),
        concat!("sess", "ion"),
        concat!("trans", "cript"),
        concat!("TO", "DO"),
        concat!("FIX", "ME"),
        concat!("language ", "model"),
        concat!("prom", "pt:"),
        concat!("/ho", "me/"),
        concat!("/ro", "ot/"),
    ];
    let mut found = Vec::new();
    for path in tracked() {
        // Fonts and pictures are no text.
        let Ok(text) = fs::read_to_string(&path) else { continue };
        for (i, line) in text.lines().enumerate() {
            for word in words.iter().filter(|w| line.contains(**w)) {
                found.push(format!("{}:{}: {word}", name(&path), i + 1));
            }
        }
    }
    assert!(found.is_empty(), "words that do not belong:\n{}", found.join("\n"));
}
