//! No modules of a folder import each other in a circle.

use std::collections::{BTreeMap, BTreeSet};

use super::{code, src};

/// Folders whose modules import nothing that their own `mod.rs` defines: it only names them.
const NAMED_ONLY: &[&str] = &[
    "files",
    "files/fit",
    "files/sweep",
    "measured/folder",
    "measured/weighings",
    "model",
    "model/control",
    "model/parts",
    "reader",
    "study/box_fit",
    "study/sensitivity",
    "study/sweep",
];

/// What a `use` imports, one path each: `a::{b, c::{d, e}}` makes three.
fn leaves(tree: &str) -> Vec<String> {
    let Some((before, list)) = tree.split_once('{') else { return vec![tree.trim().to_owned()] };
    let list = list.trim_end().trim_end_matches('}');
    let (mut depth, mut parts) = (0, vec![String::new()]);
    for c in list.chars() {
        depth += i32::from(c == '{') - i32::from(c == '}');
        match c {
            ',' if depth == 0 => parts.push(String::new()),
            _ => parts.last_mut().expect("a part").push(c),
        }
    }
    let parts = parts.iter().map(|p| p.trim()).filter(|p| !p.is_empty());
    parts.flat_map(leaves).map(|leaf| format!("{}{leaf}", before.trim())).collect()
}

/// Paths of the `use` lines of a text, and those that begin with `crate` or `super` within lines.
fn paths(text: &str) -> Vec<String> {
    let code = code(text);
    let uses = code.split("use ").skip(1).filter_map(|rest| rest.split_once(';'));
    let mut found: Vec<String> = uses.flat_map(|(tree, _)| leaves(tree)).collect();
    for (at, _) in code.match_indices("crate::").chain(code.match_indices("super::")) {
        let goes_on = code[..at].ends_with(|c: char| c.is_alphanumeric() || "_:".contains(c));
        let end = code[at..].find(|c: char| !(c.is_alphanumeric() || "_:".contains(c)));
        if !goes_on {
            found.push(code[at..end.map_or(code.len(), |end| at + end)].to_owned());
        }
    }
    found
}

/// The place of a module from the root: `src/model/air.rs` and `src/model/air/mod.rs` are `model`, `air`.
fn place(file: &str) -> Vec<String> {
    let inner = file.trim_start_matches("src/").trim_end_matches(".rs");
    inner.trim_end_matches("/mod").split('/').map(str::to_owned).collect()
}

/// A path as seen from a module, from the root; `None` for what lies elsewhere.
fn from_root(module: &[String], path: &str, known: &BTreeSet<Vec<String>>) -> Option<Vec<String>> {
    let path = path.split(" as ").next().unwrap_or(path);
    let words: Vec<String> = path.split("::").map(|w| w.trim().to_owned()).collect();
    let ups = words.iter().take_while(|w| *w == "super").count();
    let (base, rest) = match words[0].as_str() {
        "crate" => (&module[..0], 1),
        "self" => (module, 1),
        "super" => (&module[..module.len().checked_sub(ups)?], ups),
        child if known.contains(&[module, &[child.to_owned()]].concat()) => (module, 0),
        _ => return None,
    };
    let words = words[rest..].iter().filter(|w| !w.is_empty() && *w != "self");
    Some(base.iter().chain(words).cloned().collect())
}

/// Imports between the modules of each folder: folder, who, whom. Whom is empty for what the folder's own
/// `mod.rs` defines; what that only hands on counts as of the module that it comes from.
fn neighbours() -> BTreeSet<(String, String, String)> {
    let files: Vec<(Vec<String>, Vec<String>)> =
        src().into_iter().map(|(file, text)| (place(&file), paths(&text))).collect();
    let known: BTreeSet<Vec<String>> = files.iter().map(|(module, _)| module.clone()).collect();
    let mut handed_on = BTreeMap::new();
    for (module, paths) in &files {
        for path in paths {
            let Some(whole) = from_root(module, path, &known) else { continue };
            let name = path.rsplit(" as ").next().and_then(|p| p.rsplit("::").next());
            if whole.len() > module.len() + 1 && whole.starts_with(module) {
                let name = name.unwrap_or_default().trim().to_owned();
                handed_on.insert([module.as_slice(), &[name]].concat(), whole);
            }
        }
    }
    let mut found = BTreeSet::new();
    for (module, paths) in files.iter().filter(|(m, _)| m.last().is_some_and(|n| n != "tests")) {
        for path in paths {
            let Some(mut whole) = from_root(module, path, &known) else { continue };
            let handed = (1..=whole.len()).rev().find_map(|n| {
                let there = handed_on.get(&whole[..n]).filter(|_| !known.contains(&whole[..n]))?;
                Some([there, &whole[n..]].concat())
            });
            whole = handed.unwrap_or(whole);
            for n in 1..module.len().min(whole.len()) {
                if whole[..n] != module[..n] || whole[n] == module[n] {
                    continue;
                }
                let whom =
                    if known.contains(&whole[..=n]) { whole[n].clone() } else { String::new() };
                found.insert((module[..n].join("/"), module[n].clone(), whom));
            }
        }
    }
    found
}

#[test]
fn trees_of_imports_are_taken_apart() {
    let want = ["a::b", "a::c::d", "a::c::e as f"].map(str::to_owned);
    assert_eq!(leaves("a::{b, c::{d, e as f}}"), want);
}

#[test]
fn modules_of_a_folder_import_in_no_circle() {
    let all = neighbours();
    assert!(all.len() > 300, "only {} imports were found: is the search broken?", all.len());
    let mut reach: BTreeSet<_> =
        all.iter().filter(|(_, _, whom)| !whom.is_empty()).cloned().collect();
    loop {
        let further = reach.iter().flat_map(|(folder, who, over)| {
            let steps =
                all.iter().filter(move |(f, a, b)| f == folder && a == over && !b.is_empty());
            steps.map(move |(_, _, whom)| (folder.clone(), who.clone(), whom.clone()))
        });
        let further: Vec<_> = further.filter(|step| !reach.contains(step)).collect();
        if further.is_empty() {
            break;
        }
        reach.extend(further);
    }
    let mut round: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for (folder, who, whom) in &reach {
        if who == whom {
            round.entry(folder).or_default().insert(who);
        }
    }
    assert!(round.is_empty(), "modules that import each other in a circle, by folder:\n{round:#?}");
}

#[test]
fn folders_that_only_name_their_modules() {
    let up = |(folder, who, whom): &(String, String, String)| {
        (whom.is_empty() && NAMED_ONLY.contains(&folder.as_str()))
            .then(|| format!("{folder}: {who}"))
    };
    let found: Vec<_> = neighbours().iter().filter_map(up).collect();
    assert!(found.is_empty(), "modules that import from their own mod.rs:\n{}", found.join("\n"));
}
