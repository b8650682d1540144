//! What a sweep folder holds, so that it can be finished, joined and not mixed up.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::reader::{Origin, Source, ValueRecord, fingerprint};
use crate::scenario::Scenario;
use crate::units::MOST;

/// A scenario of a sweep by name, by a fingerprint of its text and by what it states.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fingerprint {
    /// Name in the tables.
    pub name: String,
    /// FNV-1a of the text, 64 bits, as hexadecimal digits.
    pub text: String,
    /// Its values as typed, by their paths; none where it only stands with a value of an axis.
    #[serde(default)]
    pub values: BTreeMap<String, String>,
}

/// Most values named in which two scenarios differ.
const MOST_NAMED: usize = 4;

impl Fingerprint {
    /// Of the text of a scenario, as read into `source`.
    #[must_use]
    pub fn of(name: &str, text: &[u8], source: &Source) -> Self {
        let own = |v: &ValueRecord| matches!(v.origin, Origin::File { .. });
        let values = Scenario::read_case(source).map_or_else(
            |_| BTreeMap::new(),
            |(_, report)| {
                let stated = report.values.iter().filter(|v| own(v));
                stated.map(|v| (v.path.clone(), v.text())).collect()
            },
        );
        Fingerprint { name: name.to_owned(), text: fingerprint(text), values }
    }

    /// The values in which another scenario differs, there and here; nothing if only the text does.
    fn differing(&self, other: &Self) -> (String, String) {
        if self.values.is_empty() || other.values.is_empty() {
            return Default::default();
        }
        let paths = self.values.keys().chain(other.values.keys());
        let differ = |p: &&String| self.values.get(*p) != other.values.get(*p);
        let mut paths: Vec<&String> = paths.filter(differ).collect();
        paths.sort();
        paths.dedup();
        let side = |of: &Self| {
            let one = |p: &&String| match of.values.get(*p) {
                Some(value) => format!("{p} = {value}"),
                None => format!("no {p}"),
            };
            let mut words: Vec<String> = paths.iter().take(MOST_NAMED).map(one).collect();
            if paths.len() > MOST_NAMED {
                words.push(format!("and {} more", paths.len() - MOST_NAMED));
            }
            words.join("; ")
        };
        (side(self), side(other))
    }
}

/// A part of a sweep.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shard {
    /// Which, from 1.
    pub part: usize,
    /// Of how many.
    pub of: usize,
}

/// Everything that decides the bytes of the tables.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Manifest {
    /// Version of the layout of the folder.
    pub schema_version: u32,
    /// Version of the program.
    pub program_version: String,
    /// The scenarios.
    pub scenarios: Vec<Fingerprint>,
    /// Fixed values, as typed.
    pub sets: Vec<String>,
    /// Axes, as typed.
    pub axes: Vec<String>,
    /// How axes make cases.
    pub design: String,
    /// Fingerprint of the values drawn from a fit.
    #[serde(default)]
    pub drawn: Option<String>,
    /// Series kept of every case.
    pub series: Vec<String>,
    /// Fingerprint of the heads of its tables and of what they mean.
    #[serde(default)]
    pub columns: String,
    /// Number of cases of the whole sweep.
    pub cases: usize,
    /// Which part of it this is; absent for the whole.
    pub shard: Option<Shard>,
}

/// What differs where only the text does, as by a comment.
const SCENARIO: &str = "scenario (name and fingerprint of the text)";

/// Version of the layout of a sweep folder.
pub const SWEEP_SCHEMA_VERSION: u32 = 5;

/// That of the columns of a sweep: of the head of its table and of what they mean.
#[must_use]
pub fn columns_fingerprint(head: &str, meanings: &str) -> String {
    fingerprint(format!("{head}\n{meanings}").as_bytes())
}

impl Shard {
    /// The cases of this part: neighbours, in order.
    #[must_use]
    pub fn cases(self, all: usize) -> std::ops::Range<usize> {
        // Wide enough for any numbers that can be typed.
        let upto = |part: usize| {
            let cases = part as u128 * all as u128 / self.of.max(1) as u128;
            usize::try_from(cases).unwrap_or(usize::MAX)
        };
        upto(self.part.saturating_sub(1))..upto(self.part)
    }

    /// Whether it can be a part of anything.
    #[must_use]
    pub fn is_valid(self) -> bool {
        (1..=self.of).contains(&self.part) && self.of <= MOST
    }
}

/// A manifest as it is written, with a checksum of its own.
#[derive(Serialize, Deserialize)]
struct Sealed {
    #[serde(flatten)]
    manifest: Manifest,
    #[serde(default)]
    checksum: String,
}

impl Sealed {
    fn text(manifest: &Manifest) -> String {
        let sealed = Sealed {
            checksum: fingerprint(format!("{manifest:?}").as_bytes()),
            manifest: manifest.clone(),
        };
        // Plain numbers and texts can always be written.
        serde_json::to_string_pretty(&sealed).unwrap_or_default() + "\n"
    }
}

impl Manifest {
    /// Its text in the folder.
    #[must_use]
    pub fn text(&self) -> String {
        Sealed::text(self)
    }

    /// Reads that text.
    ///
    /// # Errors
    /// What is wrong with a damaged one.
    pub fn read(text: &str) -> Result<Self, String> {
        let Sealed { manifest, .. } = serde_json::from_str(text).map_err(|e| e.to_string())?;
        // Another version of the program wrote others: the difference is told where it matters.
        if manifest.schema_version == SWEEP_SCHEMA_VERSION && manifest.text() != text {
            return Err("its checksum does not fit".into());
        }
        if manifest.cases > MOST || manifest.shard.is_some_and(|s| !s.is_valid()) {
            return Err("it has more cases or parts than a sweep can have".into());
        }
        Ok(manifest)
    }

    /// The cases this folder is to hold.
    #[must_use]
    pub fn range(&self) -> std::ops::Range<usize> {
        self.shard.map_or(0..self.cases, |s| s.cases(self.cases))
    }

    /// The first thing in which another sweep differs: what, here, there.
    ///
    /// Of a changed scenario the values are told.
    #[must_use]
    pub fn difference(&self, other: &Self) -> Option<(&'static str, String, String)> {
        let words = |m: &Self| {
            let part = m.shard.map_or("the whole".into(), |s| format!("{}/{}", s.part, s.of));
            let texts =
                |list: &[String]| if list.is_empty() { "none".into() } else { list.join(" | ") };
            let scenarios: Vec<String> =
                m.scenarios.iter().map(|s| format!("{} {}", s.name, s.text)).collect();
            [
                ("program version", m.program_version.clone()),
                ("layout", m.schema_version.to_string()),
                (SCENARIO, texts(&scenarios)),
                ("fixed values", texts(&m.sets)),
                ("axes", texts(&m.axes)),
                ("design", m.design.clone()),
                ("draws from a fit", m.drawn.clone().unwrap_or_else(|| "none".into())),
                ("series kept", texts(&m.series)),
                ("columns of the tables (fingerprint)", m.columns.clone()),
                ("number of cases", m.cases.to_string()),
                ("shard", part),
            ]
        };
        let pairs = words(self).into_iter().zip(words(other));
        let (a, b) = pairs.into_iter().find(|(a, b)| a.1 != b.1)?;
        if a.0 == SCENARIO && self.scenarios.len() == other.scenarios.len() {
            let mut both = self.scenarios.iter().zip(&other.scenarios);
            let changed = both.find(|(a, b)| a.name == b.name && a.text != b.text);
            if let Some((there, here)) = changed {
                let (old, new) = there.differing(here);
                if !old.is_empty() {
                    let named = |words| format!("{}: {words}", there.name);
                    return Some(("scenario", named(old), named(new)));
                }
            }
        }
        Some((a.0, a.1, b.1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_cover_every_case_once() {
        for all in [0, 1, 7, 100] {
            for of in 1..9 {
                let parts = (1..=of).flat_map(|part| Shard { part, of }.cases(all));
                assert!(parts.eq(0..all), "{all} cases in {of} parts");
            }
        }
    }
}
