//! The figures of a finished sweep.

use std::path::Path;

use super::output::{Talk, reason, write_folder};
use super::sweep_folder::CSV;
use super::{Exit, Outcome, Stop, figures};
use crate::merit::Merit;
use crate::reader::Issue;
use crate::report::figure::Style;
use crate::report::pictures;
use crate::study::sweep::{Plan, Table};

/// Figures asked for, by the places of their figures of merit.
#[derive(Debug)]
pub(super) struct Wanted {
    plots: Vec<usize>,
    maps: Vec<usize>,
    limits: Vec<(usize, f64)>,
    tradeoff: Option<(usize, usize)>,
}

impl Wanted {
    /// Finds the figures of merit that were named.
    pub(super) fn read(
        plots: &[String],
        maps: &[String],
        limits: &[String],
        tradeoff: Option<&str>,
        merits: &[Merit],
    ) -> Result<Self, Stop> {
        let mut issues = Vec::new();
        let mut find = |option: &str, key: &str| {
            let found = merits.iter().position(|m| m.key == key.trim());
            if found.is_none() {
                let keys: Vec<&str> = merits.iter().map(|m| m.key.as_str()).collect();
                let what = format!("{key} is no figure of merit of this sweep");
                let hint = match crate::reader::closest(key, keys.iter().copied()) {
                    Some(near) => format!("did you mean {near}?"),
                    None => format!("known here: {}.", keys.join(", ")),
                };
                issues.push(Issue::of_file("unknown-merit", option, what, &hint));
            }
            found.unwrap_or(0)
        };
        let plots = plots.iter().map(|k| find("--plot", k)).collect();
        let maps = maps.iter().map(|k| find("--map", k)).collect();
        let mut levels = Vec::new();
        let mut unread = Vec::new();
        for typed in limits {
            let parts = typed.split_once(['<', '>']);
            match parts.and_then(|(k, v)| Some((k, v.trim().parse::<f64>().ok()?))) {
                Some((key, level)) => levels.push((find("--limit", key), level)),
                None => unread.push(typed),
            }
        }
        let pair = tradeoff.map(|t| t.split_once(',').unwrap_or((t, "")));
        let tradeoff = pair.map(|(a, b)| (find("--tradeoff", a), find("--tradeoff", b)));
        for typed in unread {
            let what = "is not MERIT<VALUE".to_owned();
            let hint =
                "write a bare number in the unit of the figure of merit: \"overshoot_air_K<3\".";
            issues.push(Issue::of_file("bad-limit", &format!("--limit {typed}"), what, hint));
        }
        if issues.is_empty() {
            Ok(Wanted { plots, maps, limits: levels, tradeoff })
        } else {
            Err(Stop::input(issues))
        }
    }

    /// Draws them from the table in the folder.
    pub(super) fn draw(
        &self,
        talk: &Talk,
        folder: &Path,
        plan: &Plan,
        merits: Vec<Merit>,
        style: &Style,
    ) -> Outcome {
        if self.plots.is_empty() && self.maps.is_empty() && self.tradeoff.is_none() {
            return Ok(());
        }
        let broken = |why: String| {
            let text = format!("cannot read {} again: {why}", folder.join(CSV).display());
            Stop::message(Exit::Output, text)
        };
        let text = std::fs::read_to_string(folder.join(CSV)).map_err(|e| broken(reason(&e)))?;
        let paths = plan.paths().map(str::to_owned).collect();
        let table = Table::read(&text, paths, merits).map_err(broken)?;
        let mut files = Vec::new();
        for &m in &self.plots {
            match pictures::sweep_lines(&table, m) {
                Ok(figure) => files.extend(figures::one(&table.merits[m].key, &figure, style)?),
                Err(why) => talk.note(&format!("no plot of {}: {why}", table.merits[m].key)),
            }
        }
        for &m in &self.maps {
            for base in &plan.bases {
                let key = &table.merits[m].key;
                match pictures::sweep_map(&table, &base.name, m, &self.limits) {
                    Ok(map) => {
                        let stem = if plan.bases.len() == 1 {
                            format!("map_{key}")
                        } else {
                            format!("map_{key}_{}", base.name)
                        };
                        files.extend(figures::map(&stem, &map, style)?);
                    }
                    Err(why) => talk.note(&format!("no map of {key}: {why}")),
                }
            }
        }
        if let Some((x, y)) = self.tradeoff {
            files.extend(figures::one("tradeoff", &pictures::sweep_tradeoff(&table, x, y), style)?);
        }
        write_folder(folder, &files)?;
        let names: Vec<&str> = files.iter().map(|(n, _)| n.as_str()).collect();
        talk.note(&format!("wrote {}", names.join(", ")));
        Ok(())
    }
}
