//! In what several files differ.

use super::node::Origin;
use super::path::{join, split};
use super::record::{Report, ValueRecord};

/// A value, or a whole table, in which files differ.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// Dotted path of the value or of the table.
    pub path: String,
    /// What each file says, in their order; `yes` for a table that is there, nothing for what is not.
    pub values: Vec<Option<String>>,
}

impl Difference {
    /// The first part of its path.
    #[must_use]
    pub fn group(&self) -> String {
        split(&self.path).and_then(|s| s.into_iter().next()).unwrap_or_default()
    }
}

/// What only follows from other values (worked out at the end, or a default everywhere) is left out:
/// those others tell it. A table that some files lack is told once.
#[must_use]
pub fn differences(reports: &[&Report]) -> Vec<Difference> {
    let mut found: Vec<Difference> = Vec::new();
    let mut seen = std::collections::BTreeSet::new();
    let all = reports.iter().flat_map(|r| &r.values);
    for value in all.filter(|v| !matches!(v.origin, Origin::Derived(_))) {
        if !seen.insert(value.path.as_str()) {
            continue;
        }
        let each: Vec<Option<&ValueRecord>> =
            reports.iter().map(|r| r.value(&value.path)).collect();
        let there: Vec<&ValueRecord> = each.iter().copied().flatten().collect();
        let table = lacking(reports, &value.path);
        if let Some(table) = &table
            && !found.iter().any(|d| d.path == *table)
        {
            let yes = |r: &&Report| has_table(r, table).then(|| "yes".to_owned());
            found.push(Difference {
                path: table.clone(),
                values: reports.iter().map(yes).collect(),
            });
        }
        let alike = there.iter().all(|v| v.text() == value.text());
        let follows = there.iter().all(|v| matches!(v.origin, Origin::Default(_)));
        let complete = there.len() == reports.len() || table.is_some();
        if follows || (alike && complete) {
            continue;
        }
        let values = each.iter().map(|v| v.map(ValueRecord::text)).collect();
        found.push(Difference { path: value.path.clone(), values });
    }
    found
}

/// The innermost table around a value that some files have not at all.
fn lacking(reports: &[&Report], path: &str) -> Option<String> {
    let segments = split(path)?;
    let mut tables = Vec::new();
    let mut table = String::new();
    for segment in &segments[..segments.len() - 1] {
        table = join(&table, segment);
        tables.push(table.clone());
    }
    tables.into_iter().rev().find(|t| reports.iter().any(|r| !has_table(r, t)))
}

fn has_table(report: &Report, table: &str) -> bool {
    let inside =
        |v: &ValueRecord| v.path.strip_prefix(table).is_some_and(|rest| rest.starts_with('.'));
    report.values.iter().any(inside)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reader::Value;

    fn report(values: &[(&str, &str, bool)]) -> Report {
        let record = |(path, words, stated): &(&str, &str, bool)| ValueRecord {
            path: (*path).to_owned(),
            value: Value::Words((*words).to_owned()),
            origin: if *stated {
                Origin::File { line: 1 }
            } else {
                Origin::Default("usual".into())
            },
            doubt: None,
        };
        Report { warnings: Vec::new(), values: values.iter().map(record).collect() }
    }

    #[test]
    fn values_and_tables_are_told_once_and_what_follows_is_not() {
        let a = report(&[
            ("control.kind", "pi", true),
            ("fan.rated", "7", false),
            ("vent.low.diameter", "5 mm", true),
            ("vent.low.height", "4 mm", false),
        ]);
        let b = report(&[
            ("control.kind", "thermostat", true),
            ("control.band", "2 K", true),
            ("fan.rated", "8", false),
        ]);
        let c = report(&[
            ("control.kind", "pi", false),
            ("fan.rated", "7", false),
            ("vent.low.diameter", "8 mm", true),
        ]);
        let found = differences(&[&a, &b, &c]);
        let rows: Vec<(&str, Vec<&str>)> = found
            .iter()
            .map(|d| {
                (d.path.as_str(), d.values.iter().map(|v| v.as_deref().unwrap_or("-")).collect())
            })
            .collect();
        let want = [
            ("control.kind", vec!["pi", "thermostat", "pi"]),
            ("vent.low", vec!["yes", "-", "yes"]),
            ("vent.low.diameter", vec!["5 mm", "-", "8 mm"]),
            ("control.band", vec!["-", "2 K", "-"]),
        ];
        assert_eq!(rows, want);
        assert!(differences(&[&a, &a]).is_empty());
    }
}
