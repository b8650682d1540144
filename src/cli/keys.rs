//! `drybench keys`: the keys of the files, table by table.

use clap::Args;
use serde::Serialize;

use super::Format;
use super::output::{json, print};
use crate::files::{Cause, Outcome, Stop};
use crate::measured::folder;
use crate::reader::Keys;
use crate::reader::key::KeyDefault;
use crate::report::keys::{Row, csv, rows};
use crate::scenario;
use crate::text::closest;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench keys\n  \
    drybench keys vent\n  \
    drybench keys critical_moisture\n  \
    drybench keys --run sensor")]
pub(super) struct KeysCommand {
    /// Tables (vent, load, enclosure.wall), kinds (spool, pi) or keys to show; without any all tables with one line each
    #[arg(value_name = "TABLE")]
    wanted: Vec<String>,
    /// Those of run.toml, the description of a measured run, in place of those of a scenario
    #[arg(long)]
    run: bool,
    /// How to write the result
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
}

/// All keys for JSON.
#[derive(Serialize)]
struct Listed<'a> {
    schema_version: u32,
    keys: &'a [Row],
}

impl KeysCommand {
    pub(super) fn run(&self) -> Outcome {
        let tables = if self.run { folder::keys() } else { scenario::keys() };
        let mut found = Vec::new();
        for wanted in &self.wanted {
            let some = found_by(&tables, wanted);
            if some.is_empty() {
                return Err(Stop::message(Cause::CommandLine, unknown(&tables, wanted)));
            }
            found.extend(some);
        }
        let whole = self.wanted.is_empty();
        match self.format {
            Format::Table if whole => print(&overview(&tables, self.run)),
            Format::Table => print(&pages(&found)),
            Format::Csv | Format::Json => {
                let rows = if whole { rows(&tables) } else { found };
                let listed = Listed { schema_version: crate::run::SCHEMA_VERSION, keys: &rows };
                if self.format == Format::Csv { print(&csv(&rows)) } else { print(&json(&listed)?) }
            }
        }
    }
}

/// What the keys above all tables are asked by.
const TOP: &str = "top";

/// The first word of a table: `vent` of `vent.NAME`.
fn first(table: &str) -> &str {
    table.split('.').next().unwrap_or_default()
}

/// The rows of a table, else of a kind, else of a key.
fn found_by(tables: &[Keys], wanted: &str) -> Vec<Row> {
    let wanted = wanted.trim().trim_matches(['[', ']']).to_lowercase().replace(['-', ' '], "_");
    let same = |name: &str| name.to_lowercase() == wanted;
    let of = |is: &dyn Fn(&Keys) -> bool| {
        let some: Vec<Keys> = tables.iter().filter(|t| is(t)).copied().collect();
        rows(&some)
    };
    let inside = |t: &Keys| {
        let rest = t.table.to_lowercase();
        rest.strip_prefix(&wanted).is_some_and(|r| r.is_empty() || r.starts_with('.'))
    };
    let by_table = of(&|t| if t.table.is_empty() { wanted == TOP } else { inside(t) });
    if !by_table.is_empty() {
        return by_table;
    }
    let by_kind = of(&|t| t.when.is_some_and(|(_, word)| same(word)));
    if !by_kind.is_empty() {
        return by_kind;
    }
    let path: Vec<&str> = wanted.split('.').collect();
    let (table, key) = (path[..path.len() - 1].first().copied(), path[path.len() - 1]);
    let all = rows(tables).into_iter();
    all.filter(|r| r.key == key && table.is_none_or(|t| first(r.table) == t)).collect()
}

fn unknown(tables: &[Keys], wanted: &str) -> String {
    let names = tables.iter().map(|t| first(t.table));
    let kinds = tables.iter().filter_map(|t| t.when.map(|(_, word)| word));
    let keys = tables.iter().flat_map(|t| t.keys.iter().map(|k| k.name));
    let hint = match closest(wanted, names.chain(kinds).chain(keys).filter(|n| !n.is_empty())) {
        Some(near) => format!("did you mean: drybench keys {near}"),
        None => "all tables: drybench keys".to_owned(),
    };
    format!("there is no table, kind or key \"{wanted}\"\n     {hint}")
}

/// All tables with one line each.
fn overview(tables: &[Keys], run: bool) -> String {
    let mut names: Vec<&str> = Vec::new();
    for t in tables {
        if !names.contains(&t.table) {
            names.push(t.table);
        }
    }
    let widest = names.iter().map(|n| n.chars().count()).max().unwrap_or(0) + 2;
    let mut out = if run {
        "Tables of run.toml, the description of a measured run\n\n".to_owned()
    } else {
        "Tables of a scenario\n\n".to_owned()
    };
    for name in names {
        let own = || tables.iter().filter(|t| t.table == name);
        let help = own().map(|t| t.help).find(|h| !h.is_empty()).unwrap_or("above all tables");
        let mut kinds: Vec<&str> = own().filter_map(|t| t.when.map(|(_, word)| word)).collect();
        kinds.dedup();
        let kinds =
            if kinds.is_empty() { String::new() } else { format!(": {}", kinds.join(", ")) };
        let head = if name.is_empty() { TOP.to_owned() } else { format!("[{name}]") };
        filled(&mut out, &format!("{help}{kinds}"), &format!("  {head:<widest$}  "));
    }
    let option = if run { " --run" } else { "" };
    out.push_str(&format!("\nThe keys of one:  drybench keys{option} sensor\n"));
    out
}

/// Each key with what it takes, what holds without it, and what it is.
fn pages(rows: &[Row]) -> String {
    let mut out = String::new();
    let mut above = None;
    for row in rows {
        let head = (row.table, row.when.as_deref());
        if above != Some(head) {
            let table =
                if row.table.is_empty() { TOP.to_owned() } else { format!("[{}]", row.table) };
            let when = row.when.as_ref().map(|w| format!(" with {w}")).unwrap_or_default();
            out.push_str(&format!("{}{table}{when}\n", if above.is_some() { "\n" } else { "" }));
            above = Some(head);
        }
        let (need, default) = match row.default {
            KeyDefault::Required => ("; required", None),
            KeyDefault::Nothing => ("; may be left out", None),
            _ => ("", Some(&row.usual)),
        };
        let margin = " ".repeat(MARGIN);
        filled(&mut out, row.help, &format!("{:<MARGIN$}", format!("  {}", row.key)));
        filled(&mut out, &format!("{}{need}", row.wanted), &margin);
        if let Some(usual) = default {
            filled(&mut out, &format!("default: {usual}"), &margin);
        }
    }
    out
}

/// Where the words about a key begin.
const MARGIN: usize = 26;

/// Width of a page in characters.
const WIDTH: usize = 100;

/// Adds words after `first`, wrapped under each other.
fn filled(out: &mut String, words: &str, first: &str) {
    let others = " ".repeat(first.chars().count());
    let options = textwrap::Options::new(WIDTH).break_words(false);
    let options = options.initial_indent(first).subsequent_indent(&others);
    out.push_str(&textwrap::fill(words, options));
    out.push('\n');
}
