//! The end of a reading pass.

use std::collections::{BTreeSet, HashSet};

use super::check::Reader;
use super::issue::{Issue, Severity};
use super::record::{Report, ValueRecord};
use super::unknown;

impl Reader<'_> {
    /// Ends the pass.
    ///
    /// # Errors
    /// Every issue in file order if at least one is an error, unknown keys included. What has no
    /// line (missing tables, assignments) comes last.
    pub fn finish(self) -> Result<Report, Vec<Issue>> {
        let mut state = self.state.into_inner();
        unknown::report(self.source, &mut state);
        let mut issues = std::mem::take(&mut state.issues);
        issues.sort_by_key(Issue::order);
        let mut seen = BTreeSet::new();
        issues.retain(|i| seen.insert((i.line, i.column, i.file.clone(), i.what.clone())));
        if issues.iter().any(|i| i.severity == Severity::Error) {
            return Err(issues);
        }
        Ok(Report { warnings: issues, values: once(state.values) })
    }
}

/// A value read twice is listed once: at its first place, as it was read last.
fn once(values: Vec<ValueRecord>) -> Vec<ValueRecord> {
    let mut seen = HashSet::with_capacity(values.len());
    if values.iter().all(|v| seen.insert(v.path.as_str())) {
        return values;
    }
    drop(seen);
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].path.cmp(&values[*b].path));
    let mut values: Vec<Option<ValueRecord>> = values.into_iter().map(Some).collect();
    let mut first = 0;
    for pair in 1..order.len() {
        let same = values[order[first]].as_ref().map(|v| &v.path)
            == values[order[pair]].as_ref().map(|v| &v.path);
        if same {
            values[order[first]] = values[order[pair]].take();
        } else {
            first = pair;
        }
    }
    values.into_iter().flatten().collect()
}
