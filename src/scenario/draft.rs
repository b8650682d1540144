//! A scenario put together in Rust, without a text.

use super::{Scenario, keys};
use crate::reader::key::Takes;
use crate::reader::{Issue, Origin, Report, Source};
use crate::units::Kind;

/// A scenario in the making: values by their paths, as in a file, with numbers in SI.
///
/// It becomes the same tree as a file does, so that all checks and messages are the same.
#[derive(Clone, Debug)]
pub struct Draft {
    title: String,
    given: Vec<(String, Given)>,
}

/// A value of a key.
#[derive(Clone, Debug)]
pub enum Given {
    /// A number: of a quantity in SI, of a temperature in kelvin, of a share or humidity as a fraction.
    Number(f64),
    /// A list of such numbers.
    Numbers(Vec<f64>),
    /// What a person would type: `6 mm`, `wet_pad`, `[{ material = "EPP", thickness = "15 mm" }]`.
    Typed(String),
    /// `true` or `false`.
    Switch(bool),
}

impl From<f64> for Given {
    fn from(si: f64) -> Self {
        Given::Number(si)
    }
}

impl From<i32> for Given {
    fn from(count: i32) -> Self {
        Given::Number(f64::from(count))
    }
}

impl<const N: usize> From<[f64; N]> for Given {
    fn from(si: [f64; N]) -> Self {
        Given::Numbers(si.to_vec())
    }
}

impl From<Vec<f64>> for Given {
    fn from(si: Vec<f64>) -> Self {
        Given::Numbers(si)
    }
}

impl From<&str> for Given {
    fn from(typed: &str) -> Self {
        Given::Typed(typed.to_owned())
    }
}

impl From<String> for Given {
    fn from(typed: String) -> Self {
        Given::Typed(typed)
    }
}

impl From<bool> for Given {
    fn from(on: bool) -> Self {
        Given::Switch(on)
    }
}

impl Scenario {
    /// Starts a scenario of this title without a file.
    ///
    /// ```
    /// use drybench::scenario::Scenario;
    ///
    /// let draft = Scenario::draft("Bench box").set("room.temperature", 294.15);
    /// let issues = draft.read().expect_err("most of it is missing");
    /// assert!(issues.iter().any(|i| i.what.contains("there is no table [heater]")));
    /// ```
    #[must_use]
    pub fn draft(title: &str) -> Draft {
        Draft { title: title.to_owned(), given: Vec::new() }
    }
}

impl Draft {
    /// With a value at a path such as `vent.low.diameter`; a later one takes the place of an earlier one.
    #[must_use]
    pub fn set(mut self, path: &str, value: impl Into<Given>) -> Self {
        self.given.push((path.to_owned(), value.into()));
        self
    }

    /// The tree of the scenario, for sweeps and fits.
    ///
    /// # Errors
    /// Paths that run through a value, all at once.
    pub fn source(&self) -> Result<Source, Vec<Issue>> {
        let name = if self.title.is_empty() { "scenario" } else { &self.title };
        let mut source = Source::from_bytes(name, b"title = \"\"")?;
        let own = [("title".to_owned(), Given::Typed(self.title.clone()))];
        let set = |(path, given): &(String, Given)| {
            source.set_value(path, &self.typed(path, given), Origin::Program).err()
        };
        let issues: Vec<Issue> = own.iter().chain(&self.given).filter_map(set).collect();
        if issues.is_empty() { Ok(source) } else { Err(issues) }
    }

    /// Reads it, collecting every mistake.
    ///
    /// # Errors
    /// All issues, as of a file.
    pub fn read(&self) -> Result<(Scenario, Report), Vec<Issue>> {
        Scenario::read(&self.source()?)
    }

    /// A value as a person would type it.
    fn typed(&self, path: &str, given: &Given) -> String {
        match given {
            Given::Typed(text) => text.clone(),
            Given::Switch(on) => on.to_string(),
            Given::Number(si) => in_units(self.kind(path), *si),
            Given::Numbers(list) => {
                let kind = self.kind(path);
                let quoted = |text: String| if kind.is_some() { format!("{text:?}") } else { text };
                let items: Vec<String> =
                    list.iter().map(|si| quoted(in_units(kind, *si))).collect();
                format!("[{}]", items.join(", "))
            }
        }
    }

    /// What the value at a path measures; none for counts and for paths that no table has.
    fn kind(&self, path: &str) -> Option<Kind> {
        let (table, name) = path.rsplit_once('.').unwrap_or(("", path));
        let is_so = |key: &str, word: &str| {
            let own = format!("{table}.{key}");
            self.given.iter().any(|(p, g)| *p == own && matches!(g, Given::Typed(t) if t == word))
        };
        keys()
            .iter()
            .filter(|t| is_named(t.table, table))
            .filter(|t| t.when.is_none_or(|(key, word)| is_so(key, word)))
            .flat_map(|t| t.keys)
            .find(|k| k.name == name && k.takes != Takes::Count)
            .map(|k| k.kind)
    }
}

/// Whether `vent.NAME` stands for `vent.low`.
fn is_named(table: &str, path: &str) -> bool {
    let (mut pattern, mut words) = (table.split('.'), path.split('.'));
    loop {
        match (pattern.next(), words.next()) {
            (None, None) => return true,
            (Some("NAME"), Some(_)) => {}
            (Some(a), Some(b)) if a == b => {}
            _ => return false,
        }
    }
}

/// A number in SI with its unit.
fn in_units(kind: Option<Kind>, si: f64) -> String {
    match kind {
        None | Some(Kind::Number | Kind::Share) => si.to_string(),
        Some(Kind::RelativeHumidity | Kind::HumidityDifference) => format!("{} %RH", 100.0 * si),
        Some(kind) => format!("{si} {}", kind.si_unit()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_keep_their_value_in_every_unit() {
        let all = keys();
        let kinds = all.iter().flat_map(|t| t.keys).filter(|k| k.takes == Takes::Quantity);
        for kind in kinds.map(|k| k.kind) {
            // A humidity below 1 % is refused as one that may be a fraction.
            let small = if kind == Kind::RelativeHumidity { 0.2 } else { 7.0e-5 };
            for si in [0.1, 1.0 / 3.0, small, 294.15] {
                let typed = in_units(Some(kind), si);
                let read =
                    crate::units::parse(kind, &typed).unwrap_or_else(|e| panic!("{typed}: {e}"));
                assert!((read - si).abs() <= 2.0 * f64::EPSILON * si, "{typed}: {read}");
            }
        }
    }

    #[test]
    fn a_key_of_two_kinds_is_told_by_its_neighbours() {
        let draft = |rule: &str| Scenario::draft("").set("exhaust.rule", rule);
        let kind = |rule: &str| draft(rule).kind("exhaust.above");
        assert_eq!(kind("relative_humidity"), Some(Kind::RelativeHumidity));
        assert_eq!(kind("dew_point_difference"), Some(Kind::TemperatureDifference));
        assert_eq!(kind("humidity_ratio_difference"), Some(Kind::HumidityRatio));
    }
}
