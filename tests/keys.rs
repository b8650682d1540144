//! The keys as data: what is listed is read, what is read is listed, and defaults agree with their own ranges.

use std::collections::BTreeSet;

use drybench::reader::key::{Key, KeyDefault, Keys, Takes};
use drybench::reader::{Issue, Origin, Source};
use drybench::scenario::{Scenario, keys};

const BOX: &str = include_str!("../scenarios/two_holes_two_zones.toml");

/// Tables that a list of names has, with a name: `vent.NAME` is `vent.probe`.
fn path(table: &str) -> String {
    table.replace("NAME", "probe")
}

/// Tables that stand in a list.
const LISTS: [&str; 2] = ["control.stage", "enclosure.wall.layers"];

/// A value that the key takes, as it is typed.
fn example(key: &Key) -> String {
    let low = if key.low.is_finite() { key.low } else { 0.0 };
    let high = if key.high.is_finite() { key.high } else { low + 1.0 };
    let text = drybench::units::format(key.kind, low + 0.4 * (high - low));
    match key.takes {
        Takes::Quantity => text,
        Takes::Count => (low + 1.0).min(high).to_string(),
        Takes::Word => key.words[0].to_owned(),
        Takes::Text => "return".to_owned(),
        Takes::Switch => "true".to_owned(),
        Takes::Quantities => format!("[{text:?}, {text:?}, {text:?}]"),
        Takes::Texts => "[\"supply\", \"return\"]".to_owned(),
        Takes::Table => "{}".to_owned(),
        Takes::Tables => "[{}]".to_owned(),
    }
}

/// What else has to be said for a key to be read.
fn context(table: &str, key: &str) -> &'static [&'static str] {
    match (table, key) {
        ("load.NAME", "bead" | "slower") => &["load.probe.material=silica_gel"],
        ("load.NAME", "bed_depth") => &["load.probe.material=silica_gel"],
        ("load.NAME", "time_constant") => &["load.probe.material=wood"],
        ("load.NAME", "shape" | "thickness") => &["load.probe.material=PA6"],
        ("load.NAME", "mass" | "specific_heat") => &[],
        ("load.NAME", "diffusivity" | "activation_energy" | "content_50") => {
            &["load.probe.polymer=PA6"]
        }
        ("enclosure", "inner_area") => &["enclosure.volume=10 L"],
        ("enclosure", "wall_heat_capacity") => &["enclosure.wall_loss=1 W/K"],
        ("enclosure.wall", "uptake_time") => &["enclosure.wall.material=plywood"],
        ("enclosure.wall", "thickness") => &["enclosure.wall.material=ABS"],
        ("exhaust", "sensor" | "room_sensor") => &["exhaust.above=2 K"],
        ("event.NAME", "leak") => &["event.probe.kind=store", "event.probe.place=bag"],
        ("event.NAME", "humidity") => &["event.probe.kind=store", "event.probe.place=desiccant"],
        _ => &[],
    }
}

/// The tables that a key must not stand beside: without them the key counts.
fn base(table: &str, key: &str) -> Source {
    let without = |text: &str, line: &str| {
        let kept = text.lines().filter(|l| !l.trim_start().starts_with(line));
        kept.map(|l| format!("{l}\n")).collect::<String>()
    };
    let text = match (table, key) {
        ("enclosure", "wall_loss" | "wall_heat_capacity") => without(BOX, "wall "),
        ("enclosure", "volume" | "inner_area") => without(BOX, "inner_size"),
        ("enclosure", "zones" | "zone_shares") => without(BOX, "supply_share"),
        ("enclosure.wall" | "enclosure.wall.layers", _) => {
            format!("{}\n[enclosure.wall]\n", without(BOX, "wall "))
        }
        _ => BOX.to_owned(),
    };
    Source::from_bytes("box.toml", text.as_bytes()).expect("the bundled scenario is TOML")
}

fn issues(source: &Source) -> Vec<Issue> {
    match Scenario::read(source) {
        Ok((_, report)) => report.warnings,
        Err(issues) => issues,
    }
}

#[test]
fn every_listed_key_is_read() {
    let mut tried = 0;
    for Keys { table, when, keys, .. } in keys() {
        for key in keys {
            let mut source = base(table, key.name);
            let own = path(table);
            let mut typed: Vec<String> = Vec::new();
            typed.extend(when.map(|(name, word)| format!("{own}.{name}={word}")));
            typed.extend(context(table, key.name).iter().map(|t| (*t).to_owned()));
            if key.name == "zone_shares" {
                typed.push("enclosure.zones=[\"supply\", \"middle\", \"return\"]".into());
            }
            if table == "event.NAME" && when.is_none() {
                typed.push("event.probe.kind=power_loss".into());
            }
            let name =
                if own.is_empty() { key.name.to_owned() } else { format!("{own}.{}", key.name) };
            if LISTS.contains(&table) {
                let also = if key.name == "sensor" { ", until_below = \"20 %RH\"" } else { "" };
                let value = match key.takes {
                    Takes::Switch => example(key),
                    _ => format!("{:?}", example(key)),
                };
                typed.push(format!("{own}=[{{ {} = {value}{also} }}]", key.name));
            } else {
                typed.push(format!("{name}={}", example(key)));
            }
            for assignment in &typed {
                source.set(assignment).unwrap_or_else(|e| panic!("{assignment}: {e}"));
            }
            let strange: Vec<String> = issues(&source)
                .iter()
                .filter(|i| ["unknown-key", "unused-key", "unknown-table"].contains(&i.code))
                .filter(|i| i.path.starts_with(&own) && i.path.ends_with(key.name))
                .map(ToString::to_string)
                .collect();
            assert!(strange.is_empty(), "{typed:?}: {strange:?}");
            tried += 1;
        }
    }
    assert!(tried > 150, "only {tried} keys were tried");
}

/// The table of a path such as `vent.low.diameter`: `vent.NAME`; and the key.
fn place(path: &str) -> (String, String) {
    let named = ["vent", "load", "sensor", "event", "material"];
    let mut words: Vec<&str> = path.split('.').filter(|w| w.parse::<usize>().is_err()).collect();
    let key = words.pop().unwrap_or_default().to_owned();
    if words.len() > 1 && named.contains(&words[0]) {
        words = vec![words[0], "NAME"];
    }
    (words.join("."), key)
}

#[test]
fn every_key_that_is_read_is_listed() {
    let listed: BTreeSet<(String, String)> = keys()
        .iter()
        .flat_map(|t| t.keys.iter().map(|k| (t.table.to_owned(), k.name.to_owned())))
        .collect();
    let mut read = 0;
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios");
    let files = std::fs::read_dir(folder).expect("the bundled scenarios");
    let files = files.map(|f| f.expect("an entry").path());
    let all = [concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/everything.toml").into()];
    for file in files.filter(|f| f.extension().is_some_and(|e| e == "toml")).chain(all) {
        let bytes = std::fs::read(&file).expect("a readable file");
        let source = Source::from_bytes("box.toml", &bytes).expect("TOML");
        let (_, report) = Scenario::read(&source).unwrap_or_else(|e| panic!("{file:?}: {e:?}"));
        for value in &report.values {
            if !matches!(value.origin, Origin::Derived(_)) {
                assert!(listed.contains(&place(&value.path)), "{} is not listed", value.path);
                read += 1;
            }
        }
    }
    assert!(read > 500, "only {read} values were read");
}

#[test]
fn defaults_lie_in_their_ranges_and_doubts_hold_them() {
    for Keys { table, keys, .. } in keys().into_iter().chain(drybench::measured::folder::keys()) {
        for key in keys {
            let name = format!("[{table}] {}", key.name);
            assert!(!key.help.is_empty(), "{name} says nothing of itself");
            if let Some(value) = key.value() {
                let holds = key.takes == Takes::Switch || (key.low..=key.high).contains(&value);
                assert!(holds, "{name}: {value} is out of its range");
            }
            if let KeyDefault::Word(word) = key.default {
                assert!(key.words.is_empty() || key.words.contains(&word), "{name}: {word}");
            }
            let Some(doubt) = key.doubt else { continue };
            assert!(('A'..='D').contains(&doubt.quality), "{name}");
            assert!(!matches!(key.default, KeyDefault::Required | KeyDefault::Nothing), "{name}");
            let value = key.value().unwrap_or(1.0);
            let (low, high) = doubt.ends(value);
            assert!(low < high, "{name}");
            if key.value().is_some() {
                assert!(low <= value && value <= high, "{name}: {low} to {high}");
                assert!(key.low <= low && high <= key.high, "{name}: {low} to {high}");
            }
        }
    }
}

#[test]
fn a_key_of_another_table_is_told_its_home() {
    let mut source = base("", "");
    source.set("load.pad.shells=6").unwrap();
    let found = issues(&source);
    let unknown = found.iter().find(|i| i.code == "unknown-key").expect("an unknown key");
    let hint = unknown.hint.as_deref().unwrap_or_default();
    assert_eq!(hint, "`shells` is a key of [load.NAME] with kind = \"spool\".");
}
