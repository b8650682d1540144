//! Assignments that make a scenario a measured run's own, and the fitted scenario as two files: the box,
//! and the box under what the run did to it.

use toml_edit::{DocumentMut, InlineTable, Item, Table as TomlTable, Value};

use super::data::RunData;
use super::link::Link;
use super::problem::BoxFit;
use super::solve::Outcome;
use super::table::{FitTable, values};
use crate::reader::{Issue, Source, render, split_path};
use crate::scenario::replayed::mark;
use crate::units::{self, Kind, Measured};

/// A logged heater as a schedule of `[control]`, if a link names it: exact stops, so that the
/// misfit stays smooth.
pub(super) fn heater(table: &FitTable, links: &[Link]) -> Result<Option<(String, String)>, Issue> {
    let Some(header) = Link::header_of(links, "control.heater") else { return Ok(None) };
    let raw = values(table, header)?;
    let scale = if header.ends_with("_pct") { 0.01 } else { 1.0 };
    let rows: Vec<(f64, f64)> = table
        .time_s
        .iter()
        .zip(raw)
        .filter(|(t, v)| v.is_finite() && **t >= 0.0)
        .map(|(t, v)| (*t, v * scale))
        .collect();
    if rows.is_empty() || rows.iter().any(|(_, v)| !(0.0..=1.0).contains(v)) {
        let what = format!(
            "{header} is no heater command: it must lie between 0 and 1 (or 0 and 100 under _pct)"
        );
        return Err(Issue::of_file(
            "bad-heater",
            &table.name,
            what,
            "give the share of full power",
        ));
    }
    Ok(Some(("control".into(), heater_schedule(rows))))
}

/// `[control]` that gives the heater these shares of its power from these times \[s\] on.
pub(super) fn heater_schedule(mut steps: Vec<(f64, f64)>) -> String {
    steps.dedup_by(|later, earlier| later.1 == earlier.1);
    let times: Vec<String> = steps.iter().map(|(t, _)| format!("\"{t} s\"")).collect();
    let shares: Vec<String> = steps.iter().map(|(_, v)| format!("{v:?}")).collect();
    format!(
        "{{ kind = \"schedule\", times = [{}], shares = [{}] }}",
        times.join(", "),
        shares.join(", ")
    )
}

/// What a run did to the box on its day, which no other day repeats: a replay has it, the box has not.
const OF_THE_DAY: [&str; 4] = ["control", "room", "event", "run.duration"];

/// Of which run, and with what in place of the box's own values, a scenario is written.
#[derive(Clone, Copy, Debug)]
pub struct Written<'w> {
    /// The scenario file as given.
    pub text: &'w str,
    /// Assignments as typed.
    pub sets: &'w [String],
    /// The problem.
    pub fit: &'w BoxFit,
    /// The run.
    pub run: &'w RunData,
    /// Its number.
    pub k: usize,
    /// What was found.
    pub outcome: &'w Outcome,
}

impl Written<'_> {
    /// The box with the fitted values in it, and with the controller, room and events that it was given
    /// with; `replay` is what the file of the replay is called. Comments stay; each fitted line says so.
    ///
    /// # Errors
    /// Words, if the text cannot be edited so.
    pub fn fitted(&self, replay: &str) -> Result<String, String> {
        let mut document = self.document(|path| !OF_THE_DAY.contains(&path))?;
        let replayed = self.run.sets.iter().any(|(path, _)| path == "control");
        if let Some(table) =
            document.get_mut("control").and_then(Item::as_table_mut).filter(|_| replayed)
        {
            let above =
                table.decor().prefix().and_then(|p| p.as_str()).unwrap_or_default().to_owned();
            let note =
                format!("# not fitted: as given; the fit replayed the logged heater ({replay})\n");
            table.decor_mut().set_prefix(above + &note);
        }
        Ok(document.to_string())
    }

    /// The same under what the run did to it on its day, its heater by its log; none if nothing is
    /// known of that.
    ///
    /// # Errors
    /// Words, if the text cannot be edited so.
    pub fn replay(&self) -> Result<Option<String>, String> {
        let known = |path: &str| self.run.sets.iter().any(|(p, _)| p == path);
        if !OF_THE_DAY.iter().any(|path| known(path)) {
            return Ok(None);
        }
        let mut document = self.document(|_| true)?;
        if known("control") {
            let source = Source::from_bytes(&self.run.name, document.to_string().as_bytes());
            let own = source.map_err(|issues| render(&issues))?;
            put(&mut document, "control.replay_of", self.run.name.as_str().into(), None)?;
            put(&mut document, "control.replay_mark", mark(&own).into(), None)?;
        }
        Ok(Some(document.to_string()))
    }

    /// The file with what was typed, what of the run is `wanted`, and what was fitted.
    fn document(&self, wanted: impl Fn(&str) -> bool) -> Result<DocumentMut, String> {
        let mut document: DocumentMut = self.text.parse().map_err(|e| format!("{e}"))?;
        let assigned = self.sets.iter().filter_map(|s| s.split_once('='));
        let assigned = assigned.map(|(p, v)| (p.trim().to_owned(), v.trim().to_owned()));
        let of_run = self.run.sets.iter().filter(|(path, _)| wanted(path)).cloned();
        for (path, value) in assigned.chain(of_run) {
            let value = value.parse::<Value>().unwrap_or_else(|_| Value::from(value));
            put(&mut document, &path, value, None)?;
        }
        let outcome = self.outcome;
        for (free, place, value) in self.fit.assignments(self.k, &outcome.fit.values) {
            let own = outcome.known.standard_error[place];
            let digits = digits_for(value, own);
            let number = units::format_digits(free.kind, value, digits);
            // Plain numbers have no unit and no quotes.
            let bare = number.parse::<f64>().ok().filter(|_| free.kind == Kind::Number);
            let typed = bare.map_or_else(|| Value::from(number), Value::from);
            let note = match own {
                Some(sd) => units::format_measured(free.kind, Measured { value, sd: Some(sd) }),
                None => outcome.parameters[place].standing.clone(),
            };
            put(&mut document, &free.path, typed, Some(&format!("fitted: {note}")))?;
        }
        Ok(document)
    }
}

/// Digits that keep a hundredth of the standard error.
fn digits_for(value: f64, se: Option<f64>) -> usize {
    let ratio = se.filter(|s| *s > 0.0).map_or(1e4, |s| (value.abs() / s).max(1.0));
    (ratio.log10().floor() as usize + 4).min(15)
}

/// Puts a value at a dotted path, with a comment behind it where there is a line to put it on.
fn put(
    document: &mut DocumentMut,
    path: &str,
    value: Value,
    note: Option<&str>,
) -> Result<(), String> {
    let segments = split_path(path).ok_or_else(|| format!("{path} is no path"))?;
    let Some((last, parents)) = segments.split_last() else { return Err("no path".into()) };
    let mut item: &mut Item = document.as_item_mut();
    for segment in parents {
        item = step(item, segment).ok_or_else(|| format!("{path} has no place in the file"))?;
    }
    let commented = |mut value: Value| {
        if let Some(note) = note {
            value.decor_mut().set_suffix(format!("  # {note}"));
        }
        value
    };
    match item {
        Item::Table(table) => {
            // A whole table is replaced by one of its own, so that it stays readable.
            let new = match value {
                Value::InlineTable(inline) => Item::Table(inline.into_table()),
                other => Item::Value(commented(other)),
            };
            table.insert(last, new);
        }
        Item::Value(Value::InlineTable(inline)) => {
            inline.insert(last, value);
        }
        Item::Value(Value::Array(array)) => {
            let at: usize = last.parse().map_err(|_| format!("{path} is no place in a list"))?;
            array.replace(at, value);
        }
        _ => return Err(format!("{path} has no place in the file")),
    }
    Ok(())
}

/// One step down, making a table where there is nothing.
fn step<'i>(item: &'i mut Item, segment: &str) -> Option<&'i mut Item> {
    if item.is_array() || item.is_array_of_tables() {
        let at: usize = segment.parse().ok()?;
        return item.get_mut(at);
    }
    let missing = item.get(segment).is_none();
    if missing {
        match item {
            Item::Table(table) => {
                table.insert(segment, Item::Table(TomlTable::new()));
            }
            Item::Value(Value::InlineTable(inline)) => {
                inline.insert(segment, Value::InlineTable(InlineTable::new()));
            }
            _ => return None,
        }
    }
    item.get_mut(segment)
}
