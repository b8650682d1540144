//! The figures of a finished sweep, and what decides its results.

use std::path::Path;

use rayon::prelude::*;

use super::decided::{decided, suffix};
use super::names::CSV;
use crate::files::figures;
use crate::files::stop::{Cause, Listener, Stop, reason};
use crate::metric::{Metric, instead};
use crate::reader::Issue;
use crate::report::figure::{Size, Style};
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

/// Figures asked for, as typed.
#[derive(Clone, Copy, Debug)]
pub struct FigureRequest<'w> {
    /// Metrics over the first axis.
    pub plots: &'w [String],
    /// Metrics over two axes.
    pub maps: &'w [String],
    /// What maps fade: `METRIC<VALUE` or `METRIC>VALUE`.
    pub limits: &'w [String],
    /// Two metrics against each other.
    pub tradeoff: Option<&'w str>,
    /// Metrics of which to tell what decides them.
    pub sensitivities: &'w [String],
    /// Series of all cases.
    pub curves: &'w [String],
    /// Whether all cases are to stand side by side.
    pub side_by_side: bool,
    /// How figures look.
    pub style: Style,
}

/// What was drawn.
#[derive(Debug, Default)]
pub struct Drawn {
    /// Files: name and bytes.
    pub files: Vec<File>,
    /// What decides the metrics that were asked for, in words.
    pub page: String,
}

/// Figures asked for, by the places of their metrics.
#[derive(Debug)]
pub struct CheckedRequest<'w> {
    plots: Vec<usize>,
    maps: Vec<usize>,
    limits: Vec<pictures::Bound>,
    tradeoff: Option<(pictures::Goal, pictures::Goal)>,
    sensitivities: Vec<usize>,
    curves: &'w [String],
    side_by_side: bool,
    /// Whether any figure is.
    asked: bool,
    style: Style,
}

impl<'w> FigureRequest<'w> {
    /// Whether any figure is asked for.
    #[must_use]
    pub fn is_asked(&self) -> bool {
        let lists = [self.plots, self.maps, self.sensitivities, self.curves];
        lists.iter().any(|l| !l.is_empty()) || self.tradeoff.is_some() || self.side_by_side
    }

    /// Finds the metrics and series that were named.
    ///
    /// # Errors
    /// What this sweep has not, or cannot show.
    pub fn read(
        &self,
        shown: &Shown,
        plan: &SweepPlan,
        series: &[String],
    ) -> Result<CheckedRequest<'w>, Stop> {
        let FigureRequest { plots, maps, limits, tradeoff, .. } = *self;
        let metrics = &shown.metrics;
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
        let most_columns = if self.style.size == Size::Portrait { 3 } else { MOST_COLUMNS };
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
            let FigureRequest { curves, side_by_side, style, .. } = *self;
            let (limits, asked) = (levels, self.is_asked());
            Ok(CheckedRequest {
                plots,
                maps,
                limits,
                tradeoff,
                sensitivities,
                curves,
                side_by_side,
                asked,
                style,
            })
        } else {
            Err(Stop::input(issues))
        }
    }
}

impl CheckedRequest<'_> {
    /// Draws them from the table in the folder; some cases are run once more for their series.
    ///
    /// # Errors
    /// That the table cannot be read again, or a figure not be drawn.
    pub fn draw(
        &self,
        talk: &dyn Listener,
        folder: &Path,
        plan: &SweepPlan,
        metrics: Vec<Metric>,
        drawn: &[String],
    ) -> Result<Drawn, Stop> {
        let decides = matches!(plan.design, Design::OneAtATime | Design::Indices { .. });
        if !self.asked && !decides && drawn.is_empty() {
            return Ok(Drawn::default());
        }
        let broken = |why: String| {
            let text = format!("cannot read {} again: {why}", folder.join(CSV).display());
            Stop::message(Cause::Output, text)
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
        let mut page = String::new();
        if decides {
            let (more, told) = decided(talk, plan, &table, (&self.sensitivities, &self.style))?;
            files.extend(more);
            page = told;
        }
        Ok(Drawn { files, page })
    }

    /// Lines, maps and the trade-off.
    fn of_table(
        &self,
        talk: &dyn Listener,
        plan: &SweepPlan,
        table: &SweepTable,
    ) -> Result<Vec<File>, Stop> {
        let style = &self.style;
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
    fn of_runs(&self, talk: &dyn Listener, plan: &SweepPlan) -> Result<Vec<File>, Stop> {
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
        let (style, differ) = (&self.style, differing::of_sweep(plan));
        for column in self.curves {
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
