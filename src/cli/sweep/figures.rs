//! The figures of a finished sweep, and what decides its results.

use std::path::Path;

use clap::Args;
use rayon::prelude::*;

use super::decided::{decided, suffix};
use super::files::CSV;
use crate::cli::look::Look;
use crate::cli::output::{Talk, reason};
use crate::cli::whole::write_folder;
use crate::cli::{Exit, Outcome, Stop, figures};
use crate::metric::{Metric, instead};
use crate::reader::Issue;
use crate::report::figure::Size;
use crate::report::{bands, differing, pictures};
use crate::run::{Record, Run};
use crate::study::sweep::{Design, Shown, SweepPlan, SweepTable, run_case};
use crate::text::closest;
use crate::units::parse_in;

/// Most runs in one figure: more lines cannot be told apart.
const MOST_LINES: usize = 8;

/// Most runs beside each other in a landscape picture.
const MOST_COLUMNS: usize = 5;

/// A file to be written: name and bytes.
type File = (String, Vec<u8>);

/// The table of bands.
const BANDS: &str = "bands.csv";

/// Figures asked for on the command line.
#[derive(Debug, Args)]
pub(super) struct FigureRequest {
    /// Draw this metric over the first axis with numbers (each --axis, then each --pair), a
    /// line per setting of the others
    #[arg(long = "plot", value_name = "METRIC")]
    plots: Vec<String>,
    /// Draw this metric as a map over two axes, one for each scenario
    #[arg(long = "map", value_name = "METRIC")]
    maps: Vec<String>,
    /// A line on maps where a metric meets a value, beyond which cells fade: "METRIC<VALUE" or
    /// "METRIC>VALUE", in a unit of its kind, or bare in that of the metric
    #[arg(long = "limit", value_name = "METRIC<VALUE", requires = "maps")]
    limits: Vec<String>,
    /// Draw two metrics against each other with their front: METRIC,METRIC; less is better,
    /// or more with a > behind the name
    #[arg(long, value_name = "METRIC,METRIC")]
    tradeoff: Option<String>,
    /// Print and draw what decides this metric; with --one-at-a-time or --indices
    #[arg(long = "sensitivity", value_name = "METRIC")]
    sensitivities: Vec<String>,
    /// Draw this series of all cases in one figure, 8 at most
    #[arg(long = "curves", value_name = "COLUMN")]
    curves: Vec<String>,
    /// Draw humidity, drying and the ways of the vapour of all cases side by side, 5 at most, 3
    /// upright
    #[arg(long)]
    side_by_side: bool,
    #[command(flatten)]
    look: Look,
}

/// Figures asked for, by the places of their metrics.
#[derive(Debug)]
pub(super) struct Wanted<'w> {
    plots: Vec<usize>,
    maps: Vec<usize>,
    limits: Vec<pictures::Bound>,
    tradeoff: Option<(pictures::Goal, pictures::Goal)>,
    sensitivities: Vec<usize>,
    curves: Vec<String>,
    side_by_side: bool,
    /// Whether any figure is.
    asked: bool,
    look: &'w Look,
}

impl FigureRequest {
    /// Whether any figure is asked for.
    pub(super) fn is_asked(&self) -> bool {
        let lists = [&self.plots, &self.maps, &self.sensitivities, &self.curves];
        lists.iter().any(|l| !l.is_empty()) || self.tradeoff.is_some() || self.side_by_side
    }

    /// Finds the metrics and series that were named.
    pub(super) fn read(
        &self,
        shown: &Shown,
        plan: &SweepPlan,
        series: &[String],
    ) -> Result<Wanted<'_>, Stop> {
        let FigureRequest { plots, maps, limits, .. } = self;
        let (metrics, tradeoff) = (&shown.metrics, self.tradeoff.as_deref());
        let (mut issues, mut others) = (Vec::new(), Vec::new());
        let mut find = |option: &str, key: &str| {
            let found = metrics.iter().position(|m| m.key == key.trim());
            if found.is_none() {
                let keys: Vec<&str> = metrics.iter().map(|m| m.key.as_str()).collect();
                let what = format!("{key} is no metric of this sweep");
                let hint = instead(key.trim(), &keys)
                    .unwrap_or_else(|| format!("known here: {}.", keys.join(", ")));
                issues.push(Issue::of_file("unknown-metric", option, what, &hint));
            }
            found.unwrap_or(0)
        };
        let plots = plots.iter().map(|k| find("--plot", k)).collect();
        let maps = maps.iter().map(|k| find("--map", k)).collect();
        let sensitivities = self.sensitivities.iter().map(|k| find("--sensitivity", k)).collect();
        let mut levels = Vec::new();
        let mut unread = Vec::new();
        for typed in limits {
            let Some((key, value)) = typed.split_once(['<', '>']) else {
                let hint = "write < or > and a number in its unit: \"overshoot_air_K<3\", \"removed_g>2 g\".";
                unread.push((
                    typed,
                    "is not METRIC<VALUE or METRIC>VALUE".to_owned(),
                    hint.to_owned(),
                ));
                continue;
            };
            let (metric, above) = (find("--limit", key), typed.contains('>'));
            // Of an unknown metric nobody knows the unit.
            let Some(known) = metrics.iter().find(|m| m.key == key.trim()) else { continue };
            match parse_in(&known.unit, value.trim()) {
                Ok(level) => levels.push(pictures::Bound { metric, level, above }),
                Err(e) => unread.push((typed, e.to_string(), e.hint())),
            }
        }
        let mut halves = None;
        if let Some(typed) = tradeoff {
            halves = typed.split_once(',').filter(|(a, b)| a.trim() != b.trim());
            if halves.is_none() {
                let what = "needs two different metrics".to_owned();
                let hint =
                    "write --tradeoff t90_min,energy_Wh; a > behind one where more is better.";
                others.push(Issue::of_file(
                    "bad-tradeoff",
                    &format!("--tradeoff {typed}"),
                    what,
                    hint,
                ));
            }
        }
        let mut goal = |typed: &str| {
            let bare = typed.trim().trim_end_matches(['>', '<']);
            (find("--tradeoff", bare), typed.trim().ends_with('>'))
        };
        let tradeoff = halves.map(|(a, b)| (goal(a), goal(b)));
        for (typed, what, hint) in unread {
            issues.push(Issue::of_file("bad-limit", &format!("--limit {typed}"), what, &hint));
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
        issues.append(&mut others);
        let cases = plan.cases();
        let most_columns = if self.look.style().size == Size::Portrait { 3 } else { MOST_COLUMNS };
        for (option, asked, most) in [
            ("--curves", !self.curves.is_empty(), MOST_LINES),
            ("--side-by-side", self.side_by_side, most_columns),
        ] {
            if asked && cases > most {
                let what = format!("cannot show {cases} cases in one figure");
                let hint = format!("take at most {most} cases, or --plot a metric.");
                issues.push(Issue::of_file("too-many-cases", option, what, &hint));
            }
        }
        let axes = plan.axes.len();
        if !self.maps.is_empty() && (axes != 2 || plan.design.is_drawn()) {
            let what = match plan.design.is_drawn() {
                true => "has no grid of drawn cases".to_owned(),
                false => format!("needs two axes, this sweep has {axes}"),
            };
            let hint = "give two --axis with their values, or use --plot.";
            issues.push(Issue::of_file("no-map", "--map", what, hint));
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
            let asked = self.is_asked();
            Ok(Wanted {
                plots,
                maps,
                limits,
                tradeoff,
                sensitivities,
                curves,
                side_by_side,
                asked,
                look,
            })
        } else {
            Err(Stop::input(issues))
        }
    }
}

impl Wanted<'_> {
    /// Draws them from the table in the folder; some cases are run once more for their series.
    pub(super) fn draw(
        &self,
        talk: &Talk,
        folder: &Path,
        plan: &SweepPlan,
        metrics: Vec<Metric>,
        drawn: &[String],
    ) -> Outcome {
        let decides = matches!(plan.design, Design::OneAtATime | Design::Indices { .. });
        if !self.asked && !decides && drawn.is_empty() {
            return Ok(());
        }
        let broken = |why: String| {
            let text = format!("cannot read {} again: {why}", folder.join(CSV).display());
            Stop::message(Exit::Output, text)
        };
        let text = std::fs::read_to_string(folder.join(CSV)).map_err(|e| broken(reason(&e)))?;
        let paths = plan.paths().map(str::to_owned).collect();
        let mut table = SweepTable::read(&text, paths, metrics).map_err(broken)?;
        let places = |of: &[&String]| {
            let named = plan.paths().enumerate().filter(|p| of.iter().any(|d| *d == p.1));
            named.map(|p| p.0).collect()
        };
        table.drawn = places(&drawn.iter().collect::<Vec<_>>());
        table.log = places(&plan.axes.iter().flat_map(|a| &a.log).collect::<Vec<_>>());
        table.scattered = plan.design.is_drawn();
        table.differ = differing::of_sweep(plan);
        let mut files = self.of_table(talk, plan, &table)?;
        files.extend(self.of_runs(talk, plan)?);
        if !drawn.is_empty() {
            files.push((BANDS.to_owned(), bands::sweep_csv(&table).into_bytes()));
        }
        if decides {
            let asked = (&self.sensitivities[..], &self.look.style());
            files.extend(decided(talk, plan, &table, asked)?);
        }
        write_folder(folder, &files)?;
        if files.is_empty() {
            return Ok(());
        }
        let names: Vec<&str> = files.iter().map(|(n, _)| n.as_str()).collect();
        talk.note(&format!("wrote {}", names.join(", ")));
        Ok(())
    }

    /// Lines, maps and the trade-off.
    fn of_table(
        &self,
        talk: &Talk,
        plan: &SweepPlan,
        table: &SweepTable,
    ) -> Result<Vec<File>, Stop> {
        let style = &self.look.style();
        let mut files = Vec::new();
        for &m in &self.plots {
            match pictures::sweep_lines(table, m) {
                Ok(figure) => files.extend(figures::one(&table.metrics[m].key, &figure, style)?),
                Err(why) => talk.note(&format!("no plot of {}: {why}", table.metrics[m].key)),
            }
        }
        for &m in &self.maps {
            for base in &plan.bases {
                let key = &table.metrics[m].key;
                match pictures::sweep_map(table, &base.name, m, &self.limits) {
                    Ok(map) => {
                        let stem = format!("map_{key}{}", suffix(plan, &base.name));
                        files.extend(figures::one(&stem, &map, style)?);
                    }
                    Err(why) => talk.note(&format!("no map of {key}: {why}")),
                }
            }
        }
        if let Some((x, y)) = self.tradeoff {
            match pictures::sweep_tradeoff(table, x, y) {
                Ok(figure) => {
                    let csv = pictures::tradeoff_csv(table, x, y);
                    files.extend(figures::with_csv("tradeoff", &figure, style, csv)?);
                }
                Err(why) => talk.note(&format!("no trade-off: {why}")),
            }
        }
        Ok(files)
    }

    /// Families of curves, and runs side by side.
    fn of_runs(&self, talk: &Talk, plan: &SweepPlan) -> Result<Vec<File>, Stop> {
        let mut files = Vec::new();
        if self.curves.is_empty() && !self.side_by_side {
            return Ok(files);
        }
        let run = |i| {
            let row = run_case(plan, i, Record::Usual);
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
        let (style, differ) = (&self.look.style(), differing::of_sweep(plan));
        for column in &self.curves {
            let figure = pictures::sweep_curves(&runs, column, &differ);
            files.extend(figures::one(column, &figure, style)?);
        }
        if self.side_by_side {
            let columns = pictures::side_by_side(&runs, &differ);
            files.extend(figures::one("side_by_side", &columns, style)?);
        }
        Ok(files)
    }
}
