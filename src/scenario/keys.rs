//! All keys of a scenario, table by table.

use super::{EnclosureSpec, EventsSpec, RoomSpec, RunSpec, TITLE, limits};
use crate::model::control::{ControlSpec, CutOutSpec, RuleSpec};
use crate::model::fan::FanSpec;
use crate::model::materials::Materials;
use crate::model::openings::{ExhaustSpec, OpeningSpec, ReliefSpec};
use crate::model::parts::{HeaterSpec, LoadSpec, SensorSpec, StillAir, WallSpec};
use crate::reader::{Issue, Keys};

/// All keys, in the order in which a person would write the tables; those of one table stand in several entries.
#[must_use]
pub fn keys() -> Vec<Keys> {
    let parts: [&[Keys]; 19] = [
        &[Keys::always("", "", &[&TITLE])],
        RoomSpec::KEYS,
        EnclosureSpec::KEYS,
        WallSpec::KEYS,
        ReliefSpec::KEYS,
        Materials::KEYS,
        HeaterSpec::KEYS,
        FanSpec::KEYS,
        StillAir::KEYS,
        ControlSpec::KEYS,
        SensorSpec::KEYS,
        OpeningSpec::KEYS,
        ExhaustSpec::KEYS,
        RuleSpec::KEYS,
        LoadSpec::KEYS,
        CutOutSpec::KEYS,
        &[limits::KEYS],
        EventsSpec::KEYS,
        RunSpec::KEYS,
    ];
    let mut all: Vec<Keys> = parts.into_iter().flatten().copied().collect();
    let tables: Vec<&str> = all.iter().map(|k| k.table).collect();
    // Those of one table together, first what is always read.
    all.sort_by_key(|k| (tables.iter().position(|t| *t == k.table), k.when.is_some()));
    all
}

/// Tells of unknown keys where they would belong, where nothing nearer was suggested.
pub(super) fn advise(mut issues: Vec<Issue>) -> Vec<Issue> {
    let is_open = |i: &&mut Issue| {
        let near = i.hint.as_ref().is_some_and(|h| !h.starts_with("known here"));
        i.code == "unknown-key" && !near
    };
    for issue in issues.iter_mut().filter(is_open) {
        let name = issue.path.rsplit('.').next().unwrap_or_default();
        let homes: Vec<String> = keys()
            .iter()
            .filter(|t| t.keys.iter().any(|k| k.name == name))
            .map(|t| match t.when {
                Some((key, word)) => format!("[{}] with {key} = \"{word}\"", t.table),
                None => format!("[{}]", t.table),
            })
            .collect();
        let table = issue.path.split('.').next().unwrap_or_default();
        let known_here = homes.contains(&format!("[{table}]"));
        issue.hint = match (homes.is_empty(), known_here) {
            (true, _) => continue,
            (false, true) => Some(format!(
                "other keys of [{table}] leave no use for it: drybench keys {table} shows which go together."
            )),
            (false, false) => Some(format!("`{name}` is a key of {}.", homes.join(" and "))),
        };
    }
    issues
}
