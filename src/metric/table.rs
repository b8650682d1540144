//! The table of all metrics and findings: what each is called, its unit, and what exactly it is.
//!
//! A key may have slots, such as `<load>_target_h`, which its label and its definition may name too.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::Metric;
use crate::text::closest;

/// Parts of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Chapter {
    /// What a simulated run says of itself.
    Run,
    /// Warm-up, overshoot, ripple, sides.
    Heating,
    /// Moist air of box and room.
    Air,
    /// What the scale says.
    Drying,
    /// Where the water went.
    Water,
    /// What the meter says.
    Energy,
    /// Outside surfaces.
    Surfaces,
    /// Sensors and their faults.
    Sensors,
}

impl Chapter {
    /// Heading of the part.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Chapter::Run => "As simulated",
            Chapter::Heating => "Heating",
            Chapter::Air => "Air",
            Chapter::Drying => "Drying",
            Chapter::Water => "Water balance",
            Chapter::Energy => "Energy",
            Chapter::Surfaces => "Outside surfaces",
            Chapter::Sensors => "Sensors",
        }
    }
}

/// A row of the table.
#[derive(Clone, Debug, Deserialize)]
pub struct Definition {
    /// The part that it is of.
    pub chapter: Chapter,
    /// Short key, such as `t90_min`.
    pub key: String,
    /// Words for a table.
    pub label: String,
    /// Unit.
    pub unit: String,
    /// What exactly it is.
    pub definition: String,
    /// How far readings tell it.
    pub interval: String,
    /// What a run must have for it.
    pub needs: String,
    /// Its key in earlier versions.
    pub was: String,
}

static TABLE: LazyLock<BTreeMap<String, Definition>> = LazyLock::new(|| {
    let mut rows = csv::Reader::from_reader(include_str!("metrics.csv").as_bytes());
    let rows = rows.deserialize().map(|row| row.expect("a row of the table"));
    rows.map(|row: Definition| (row.key.clone(), row)).collect()
});

/// All rows.
pub fn all() -> impl Iterator<Item = &'static Definition> {
    TABLE.values()
}

/// The row of a key as it stands in the table.
///
/// # Panics
/// If there is none: `tests/metrics.rs` looks for every key of the source.
#[must_use]
pub fn definition(key: &str) -> &'static Definition {
    TABLE.get(key).unwrap_or_else(|| panic!("{key} is not in the table of metrics"))
}

/// The row of a key whose slots are filled: the one with the fewest letters in slots.
#[must_use]
pub fn find(key: &str) -> Option<&'static Definition> {
    let fits = |row: &&Definition| filled(&row.key, key).is_some();
    let plain = |row: &&Definition| literals(&row.key).map(|l| l.0.len()).sum::<usize>();
    TABLE.get(key).or_else(|| all().filter(fits).max_by_key(plain))
}

/// The texts of a pattern, each with the slot that follows.
fn literals(pattern: &str) -> impl Iterator<Item = (&str, &str)> {
    pattern.split('>').map(|part| part.split_once('<').unwrap_or((part, "")))
}

/// What stands in the slots of a pattern, if a key is of that form.
fn filled<'a>(pattern: &'a str, key: &'a str) -> Option<Vec<(&'a str, &'a str)>> {
    let (mut rest, mut words, mut open) = (key, Vec::new(), None);
    for (text, slot) in literals(pattern) {
        let word;
        (word, rest) = match open {
            None => ("", rest.strip_prefix(text)?),
            Some(_) if slot.is_empty() => (rest.strip_suffix(text)?, ""),
            Some(_) => rest.split_once(text)?,
        };
        words.extend(open.map(|slot| (slot, word)));
        open = Some(slot).filter(|s| !s.is_empty());
    }
    (rest.is_empty() && words.iter().all(|w| !w.1.is_empty())).then_some(words)
}

/// A text with its slots filled.
fn fill<W: AsRef<str>>(text: &str, words: &[(&str, W)]) -> String {
    let mut out = text.to_owned();
    for (slot, word) in words {
        if out.contains('<') {
            out = out.replace(&format!("<{slot}>"), word.as_ref());
        }
    }
    out
}

impl Definition {
    /// The metric without its value, its slots filled.
    #[must_use]
    pub fn metric<W: AsRef<str>>(&self, words: &[(&str, W)]) -> Metric {
        Metric {
            key: fill(&self.key, words),
            label: fill(&self.label, words),
            unit: self.unit.clone(),
            definition: fill(&self.definition, words),
            ..Metric::default()
        }
    }
}

/// What to write in place of a key that is not among those `known` here: its present name, the nearest one,
/// or what it needs; `None` for what is like none of them.
#[must_use]
pub fn instead(typed: &str, known: &[&str]) -> Option<String> {
    let now = all().filter(|row| !row.was.is_empty()).find_map(|row| {
        let now = fill(&row.key, &filled(&row.was, typed)?);
        known.iter().any(|key| *key == now).then_some(now)
    });
    let near = || closest(typed, known.iter().copied()).map(|key| format!("did you mean {key}?"));
    let needs = |row: Option<&Definition>| {
        row.filter(|r| !r.needs.is_empty()).map(|r| format!("it needs {}.", r.needs))
    };
    now.map(|key| format!("it is called {key} now."))
        .or_else(|| needs(TABLE.get(typed)))
        .or_else(near)
        .or_else(|| needs(find(typed).filter(|row| row.key.starts_with("<load>"))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_with_slots_are_found() {
        let of = |key: &str| find(key).map(|row| row.key.as_str());
        assert_eq!(of("removed_g"), Some("removed_g"));
        assert_eq!(of("left_spool_removed_g"), Some("<load>_removed_g"));
        assert_eq!(of("reel_half_1_end_wt_pct"), Some("<load>_half_<half>_end_wt_pct"));
        assert_eq!(of("hot_dew_point_C"), Some("<sensor>_dew_point_C"));
        assert_eq!(of("_removed_g"), None);
        assert_eq!(of("cost"), None);
    }

    #[test]
    fn an_old_key_is_answered_with_its_present_name() {
        let known = ["displaced_L", "spool_resistance_gaps_pct", "peak_air_C"];
        let instead = |typed: &str| instead(typed, &known).unwrap_or_default();
        assert_eq!(instead("breathed_L"), "it is called displaced_L now.");
        let now = "it is called spool_resistance_gaps_pct now.";
        assert_eq!(instead("spool_limit_gaps_pct"), now);
        assert_eq!(instead("peak_ar_C"), "did you mean peak_air_C?");
        assert_eq!(instead("t90_min"), "it needs added water in a load.");
        assert_eq!(instead("cost"), "");
    }
}
