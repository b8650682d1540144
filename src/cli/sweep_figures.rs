//! The figures of a finished sweep, and what decides its results.

use std::fmt::Write;
use std::path::Path;

use clap::Args;
use rayon::prelude::*;

use super::look::Look;
use super::output::{Talk, print, reason, write_folder};
use super::sweep_folder::CSV;
use super::{Exit, Outcome, Stop, figures};
use crate::merit::Merit;
use crate::reader::{Issue, closest};
use crate::report::{bands, pictures, sensitivity};
use crate::run::Run;
use crate::study::sensitivity::{indices, swings};
use crate::study::sweep::{Design, Plan, Shown, Table, run_case};

/// Most runs in one figure: more lines cannot be told apart.
const MOST_LINES: usize = 8;

/// A file to be written: name and bytes.
type File = (String, Vec<u8>);

/// The table of bands.
const BANDS: &str = "bands.csv";

/// The table of sensitivities.
const SENSITIVITY: &str = "sensitivity.csv";

/// Figures asked for on the command line.
#[derive(Debug, Args)]
pub(super) struct Wish {
    /// Draw this figure of merit over the first axis, a line per setting of the others
    #[arg(long = "plot", value_name = "MERIT")]
    plots: Vec<String>,
    /// Draw this figure of merit as a map over two axes, one for each scenario
    #[arg(long = "map", value_name = "MERIT")]
    maps: Vec<String>,
    /// A line on maps where a figure of merit meets a value in its unit, beyond which cells fade:
    /// "MERIT<VALUE" or "MERIT>VALUE"
    #[arg(long = "limit", value_name = "MERIT<VALUE", requires = "maps")]
    limits: Vec<String>,
    /// Draw two figures of merit against each other with their front: MERIT,MERIT
    #[arg(long, value_name = "MERIT,MERIT")]
    tradeoff: Option<String>,
    /// Print and draw what decides this figure of merit; with --one-at-a-time or --indices
    #[arg(long = "sensitivity", value_name = "MERIT")]
    sensitivities: Vec<String>,
    /// Draw this series of all cases in one figure, 8 at most
    #[arg(long = "curves", value_name = "COLUMN")]
    curves: Vec<String>,
    /// Draw humidity, drying and the ways of the vapour of all cases side by side, 8 at most
    #[arg(long)]
    side_by_side: bool,
    #[command(flatten)]
    look: Look,
}

/// Figures asked for, by the places of their figures of merit.
#[derive(Debug)]
pub(super) struct Wanted<'w> {
    plots: Vec<usize>,
    maps: Vec<usize>,
    limits: Vec<pictures::Bound>,
    tradeoff: Option<(usize, usize)>,
    sensitivities: Vec<usize>,
    curves: Vec<String>,
    side_by_side: bool,
    look: &'w Look,
}

impl Wish {
    /// Finds the figures of merit and series that were named.
    pub(super) fn read(
        &self,
        shown: &Shown,
        plan: &Plan,
        series: &[String],
    ) -> Result<Wanted<'_>, Stop> {
        let Wish { plots, maps, limits, .. } = self;
        let (merits, tradeoff) = (&shown.merits, self.tradeoff.as_deref());
        let mut issues = Vec::new();
        let mut find = |option: &str, key: &str| {
            let found = merits.iter().position(|m| m.key == key.trim());
            if found.is_none() {
                let keys: Vec<&str> = merits.iter().map(|m| m.key.as_str()).collect();
                let what = format!("{key} is no figure of merit of this sweep");
                let hint = match closest(key, keys.iter().copied()) {
                    Some(near) => format!("did you mean {near}?"),
                    None => format!("known here: {}.", keys.join(", ")),
                };
                issues.push(Issue::of_file("unknown-merit", option, what, &hint));
            }
            found.unwrap_or(0)
        };
        let plots = plots.iter().map(|k| find("--plot", k)).collect();
        let maps = maps.iter().map(|k| find("--map", k)).collect();
        let sensitivities = self.sensitivities.iter().map(|k| find("--sensitivity", k)).collect();
        let mut levels = Vec::new();
        let mut unread = Vec::new();
        for typed in limits {
            let parts = typed.split_once(['<', '>']);
            match parts.and_then(|(k, v)| Some((k, v.trim().parse::<f64>().ok()?))) {
                Some((key, level)) => {
                    let (merit, above) = (find("--limit", key), typed.contains('>'));
                    levels.push(pictures::Bound { merit, level, above });
                }
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
        for (option, column) in series
            .iter()
            .map(|c| ("--series", c))
            .chain(self.curves.iter().map(|c| ("--curves", c)))
            .filter(|(_, c)| !shown.columns.contains(c))
        {
            let what = format!("{column} is no series of this sweep");
            let hint = match closest(column, shown.columns.iter().map(String::as_str)) {
                Some(near) => format!("did you mean {near}?"),
                None => format!("known here: {}.", shown.columns.join(", ")),
            };
            issues.push(Issue::of_file("unknown-series", option, what, &hint));
        }
        let cases = plan.cases();
        let together = self.side_by_side || !self.curves.is_empty();
        if together && cases > MOST_LINES {
            let what = format!("cannot show {cases} cases in one figure");
            let hint = format!("take at most {MOST_LINES} cases, or --plot a figure of merit.");
            issues.push(Issue::of_file(
                "too-many-lines",
                "--curves or --side-by-side",
                what,
                &hint,
            ));
        }
        let decides = matches!(plan.design, Design::OneAtATime | Design::Indices { .. });
        if !self.sensitivities.is_empty() && !decides {
            let what = "needs a design of its own".to_owned();
            let hint = "add --one-at-a-time, or --indices 128.";
            issues.push(Issue::of_file("no-sensitivity", "--sensitivity", what, hint));
        }
        if issues.is_empty() {
            let (curves, side_by_side) = (self.curves.clone(), self.side_by_side);
            let (limits, look) = (levels, &self.look);
            Ok(Wanted { plots, maps, limits, tradeoff, sensitivities, curves, side_by_side, look })
        } else {
            Err(Stop::input(issues))
        }
    }
}

impl Wanted<'_> {
    /// Whether nothing was asked for.
    pub(super) fn is_empty(&self) -> bool {
        self.plots.is_empty()
            && self.maps.is_empty()
            && self.tradeoff.is_none()
            && self.sensitivities.is_empty()
            && self.curves.is_empty()
            && !self.side_by_side
    }

    /// Draws them from the table in the folder; some cases are run once more for their series.
    pub(super) fn draw(
        &self,
        talk: &Talk,
        folder: &Path,
        plan: &Plan,
        merits: Vec<Merit>,
        drawn: &[String],
    ) -> Outcome {
        let decides = matches!(plan.design, Design::OneAtATime | Design::Indices { .. });
        if self.is_empty() && !decides && drawn.is_empty() {
            return Ok(());
        }
        let broken = |why: String| {
            let text = format!("cannot read {} again: {why}", folder.join(CSV).display());
            Stop::message(Exit::Output, text)
        };
        let text = std::fs::read_to_string(folder.join(CSV)).map_err(|e| broken(reason(&e)))?;
        let paths = plan.paths().map(str::to_owned).collect();
        let mut table = Table::read(&text, paths, merits).map_err(broken)?;
        table.drawn = plan
            .paths()
            .enumerate()
            .filter(|p| drawn.iter().any(|d| d == p.1))
            .map(|p| p.0)
            .collect();
        let mut files = self.of_table(talk, plan, &table)?;
        files.extend(self.of_runs(talk, plan)?);
        if !drawn.is_empty() {
            files.push((BANDS.to_owned(), bands::sweep_csv(&table).into_bytes()));
        }
        if decides {
            files.extend(self.decided(talk, plan, &table)?);
        }
        write_folder(folder, &files)?;
        let names: Vec<&str> = files.iter().map(|(n, _)| n.as_str()).collect();
        talk.note(&format!("wrote {}", names.join(", ")));
        Ok(())
    }

    /// Lines, maps and the trade-off.
    fn of_table(&self, talk: &Talk, plan: &Plan, table: &Table) -> Result<Vec<File>, Stop> {
        let style = &self.look.style();
        let mut files = Vec::new();
        for &m in &self.plots {
            match pictures::sweep_lines(table, m) {
                Ok(figure) => files.extend(figures::one(&table.merits[m].key, &figure, style)?),
                Err(why) => talk.note(&format!("no plot of {}: {why}", table.merits[m].key)),
            }
        }
        for &m in &self.maps {
            for base in &plan.bases {
                let key = &table.merits[m].key;
                match pictures::sweep_map(table, &base.name, m, &self.limits) {
                    Ok(map) => {
                        let stem = format!("map_{key}{}", suffix(plan, &base.name));
                        files.extend(figures::map(&stem, &map, style)?);
                    }
                    Err(why) => talk.note(&format!("no map of {key}: {why}")),
                }
            }
        }
        if let Some((x, y)) = self.tradeoff {
            files.extend(figures::one("tradeoff", &pictures::sweep_tradeoff(table, x, y), style)?);
        }
        Ok(files)
    }

    /// Families of curves, and runs side by side.
    fn of_runs(&self, talk: &Talk, plan: &Plan) -> Result<Vec<File>, Stop> {
        let mut files = Vec::new();
        if self.curves.is_empty() && !self.side_by_side {
            return Ok(files);
        }
        let run = |i| {
            let row = run_case(plan, i);
            let name = row.name(plan);
            row.outcome.map(|run| (name.clone(), run)).map_err(|why| format!("{name}: {why}"))
        };
        let found: Vec<Result<(String, Run), String>> =
            (0..plan.cases()).into_par_iter().map(run).collect();
        let mut runs = Vec::new();
        for run in found {
            match run {
                Ok(run) => runs.push(run),
                Err(why) => talk.note(&format!("left out of the figures: {why}")),
            }
        }
        let style = &self.look.style();
        for column in &self.curves {
            files.extend(figures::one(column, &pictures::sweep_curves(&runs, column), style)?);
        }
        if self.side_by_side {
            files.extend(figures::columns("side_by_side", &pictures::side_by_side(&runs), style)?);
        }
        Ok(files)
    }

    /// What decides the results: a table of all of them, and those asked for as text and figure.
    fn decided(&self, talk: &Talk, plan: &Plan, table: &Table) -> Result<Vec<File>, Stop> {
        let style = &self.look.style();
        let mut files = Vec::new();
        let (mut csv, mut page) = (sensitivity::csv_head(&plan.design), String::new());
        for base in &plan.bases {
            for (m, merit) in table.merits.iter().enumerate() {
                let asked = self.sensitivities.contains(&m);
                let (rows, words, bars) = match plan.design {
                    Design::Indices { seed, .. } => {
                        let values: Vec<f64> = table
                            .rows
                            .iter()
                            .filter(|r| r.scenario == base.name)
                            .map(|r| r.values[m].unwrap_or(f64::NAN))
                            .collect();
                        // The resamplings of many results nobody asked for would take long.
                        let found =
                            asked.then(|| indices(&values, plan.axes.len(), seed)).flatten();
                        let Some(found) = found else {
                            if asked {
                                let key = &merit.key;
                                talk.note(&format!(
                                    "no shares of {key}: it has too few values, or all are equal"
                                ));
                            }
                            continue;
                        };
                        let names: Vec<&str> =
                            plan.axes.iter().map(|a| a.paths[0].as_str()).collect();
                        (
                            sensitivity::indices_csv(&base.name, merit, &names, &found),
                            sensitivity::indices_page(&base.name, merit, &names, &found),
                            pictures::sweep_indices(&base.name, merit, &names, &found),
                        )
                    }
                    _ => {
                        let Some((result, found)) = swings(plan, table, &base.name, m) else {
                            if asked {
                                let key = &merit.key;
                                talk.note(&format!("no swings of {key}: {} has none", base.name));
                            }
                            continue;
                        };
                        (
                            sensitivity::swings_csv(&base.name, merit, result, &found),
                            sensitivity::swings_page(&base.name, merit, result, &found),
                            pictures::sweep_swings(&base.name, merit, result, &found),
                        )
                    }
                };
                csv.push_str(&rows);
                if asked {
                    let _ = writeln!(page, "{words}");
                    let stem = format!("sensitivity_{}{}", merit.key, suffix(plan, &base.name));
                    files.extend(figures::bars(&stem, &bars, style)?);
                }
            }
        }
        files.push((SENSITIVITY.to_owned(), csv.into_bytes()));
        print(&page)?;
        Ok(files)
    }
}

/// The end of a file name that tells one scenario of several.
fn suffix(plan: &Plan, name: &str) -> String {
    if plan.bases.len() == 1 { String::new() } else { format!("_{name}") }
}
