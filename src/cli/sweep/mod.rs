//! `drybench sweep`: many cases of one scenario or several, in parallel, into two tables.

mod figures;
mod progress;

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use clap::Args;

use super::fit::Fitted;
use super::output::{Talk, print};
use crate::files::sweep::{Tables, merge, run_all};
use crate::files::whole::write_folder;
use crate::files::{Cause, Listener, Outcome, Stop, source};
use crate::reader::{Issue, fingerprint};
use crate::report::{columns, differing};
use crate::run::Record;
use crate::scenario::{Scenario, replayed};
use crate::study::box_fit::Draws;
use crate::study::sweep::{
    Axis, Base, Design, Fingerprint, Manifest, SWEEP_SCHEMA_VERSION, Shard, Shown, SweepPlan,
    columns_fingerprint, csv_head, run_case,
};
use crate::units::MOST;
use figures::FigureOptions;
use progress::Progress;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench sweep box.toml --axis \"vent.low.diameter=3..9 mm step 1 mm\" -o out\n  \
    drybench sweep box.toml --axis \"heater.power=60 W, 120 W\" --axis \"vent.low.diameter=1..10 mm \
    count 7 log\" -o out --resume\n  \
    drybench sweep box.toml --axis heater.power=60..180W --axis \"vent.low.diameter=5 ± 0.2 mm\" \
    --indices 32 --sensitivity t90_min -o out\n  \
    drybench sweep --merge part1 part2 part3 -o whole\n\n\
    Exit code 130: interrupted with Ctrl-C; the tables are valid, --resume finishes them.")]
pub(super) struct Sweep {
    /// Scenario files; several are an axis named scenario
    #[arg(required_unless_present = "merge", value_name = "SCENARIO")]
    scenarios: Vec<PathBuf>,
    /// Values of one path: "PATH=A, B, C", "PATH=LOW..HIGH unit step SIZE unit" or
    /// "PATH=LOW..HIGH unit count N [log]"; to draw from, or to take the ends of, "PATH=LOW..HIGH
    /// unit [log]", "PATH=VALUE ± UNCERTAINTY unit" (or %), or PATH alone if its value has a ±
    #[arg(long = "axis", value_name = "PATH=VALUES")]
    axes: Vec<String>,
    /// Paths that move together, step by step: "PATH=VALUES; PATH=VALUES"; "label=NAMES" among them
    /// names the steps
    #[arg(long = "pair", value_name = "PATH=VALUES;PATH=VALUES")]
    pairs: Vec<String>,
    /// Fix one value in all cases: PATH=VALUE
    #[arg(long = "set", value_name = "PATH=VALUE")]
    sets: Vec<String>,
    #[command(flatten)]
    design: Designs,
    #[command(flatten)]
    seed: Seed,
    #[command(flatten)]
    fitted: Fitted,
    /// Folder for cases.csv, cases.jsonl, columns.csv (what each column means) and manifest.json
    #[arg(short, long, value_name = "FOLDER", required_unless_present = "dry_run")]
    output: Option<PathBuf>,
    /// Finish the sweep in that folder
    #[arg(long)]
    resume: bool,
    /// Threads; all cores if not given
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    threads: Option<u16>,
    /// Run one part of several, such as 2/3
    #[arg(long, value_name = "K/N", value_parser = shard)]
    shard: Option<Shard>,
    /// Join the folders of all parts
    #[arg(long, num_args = 1.., value_name = "FOLDER", conflicts_with_all = ["scenarios", "axes",
        "pairs", "sets", "design", "resume", "shard", "dry_run"])]
    merge: Vec<PathBuf>,
    /// Keep these series of every case in series.csv: COLUMN,COLUMN as in series.csv of simulate
    #[arg(long, value_name = "COLUMNS", value_delimiter = ',')]
    series: Vec<String>,
    #[command(flatten)]
    figures: FigureOptions,
    /// Only say how many cases there are and how long they would take
    #[arg(long)]
    dry_run: bool,
}

/// How axes make cases; all combinations if none is given.
#[derive(Debug, Args)]
#[group(id = "design", multiple = false, conflicts_with = "fit")]
struct Designs {
    /// The scenario as it is, then each axis value alone, instead of all combinations
    #[arg(long)]
    one_at_a_time: bool,
    /// N cases drawn from all axes at once, each covered evenly (Latin hypercube)
    #[arg(long, value_name = "N", value_parser = count())]
    latin: Option<u32>,
    /// N cases along a scrambled Sobol sequence; a power of two is covered most evenly
    #[arg(long, value_name = "N", value_parser = count())]
    sobol: Option<u32>,
    /// Draws from which each axis' share in the variance follows: N points, N × (axes + 2) cases
    #[arg(long, value_name = "N", value_parser = count())]
    indices: Option<u32>,
}

/// Seed of all draws.
#[derive(Debug, Args)]
struct Seed {
    /// Seed of draws and of resamplings
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
}

fn count() -> impl clap::builder::TypedValueParser<Value = u32> {
    clap::value_parser!(u32).range(1..=MOST as i64)
}

impl Designs {
    fn read(&self, seed: u64) -> Design {
        let wide = |n: u32| n as usize;
        match (self.latin, self.sobol, self.indices) {
            (Some(n), ..) => Design::Latin { cases: wide(n), seed },
            (_, Some(n), _) => Design::Sobol { cases: wide(n), seed },
            (.., Some(n)) => Design::Indices { base: wide(n), seed },
            _ if self.one_at_a_time => Design::OneAtATime,
            _ => Design::Cross,
        }
    }
}

fn shard(text: &str) -> Result<Shard, String> {
    let numbers = text.split_once('/').and_then(|(k, n)| Some((k.parse().ok()?, n.parse().ok()?)));
    match numbers {
        Some((part, of)) if Shard { part, of }.is_valid() => Ok(Shard { part, of }),
        _ => Err(format!("write K/N with K from 1 to N, and N up to {MOST}, such as 2/3")),
    }
}

impl Sweep {
    pub(super) fn run(&self, talk: &Talk) -> Outcome {
        if let (false, Some(out)) = (self.merge.is_empty(), &self.output) {
            merge(talk, &self.merge, out)?;
            if self.figures.request().is_asked() {
                talk.note("joined only; write the command of the whole with --resume for figures");
            }
            return Ok(());
        }
        let draws = self.fitted.read(talk, self.seed.seed)?;
        let (plan, scenarios) = self.plan(draws.as_ref())?;
        let pool = self.pool()?;
        let shown = pool.install(|| plan.check()).map_err(Stop::input)?;
        for base in &plan.bases {
            if let Ok((scenario, report)) = Scenario::read(&base.source) {
                talk.warnings(&report.warnings);
                // Values drawn from the fit are those of boxes that would have taken that heat.
                let drawn =
                    |p: &&str| draws.as_ref().is_some_and(|d| d.paths.iter().any(|own| own == p));
                let varied = plan.paths().filter(|p| !drawn(p));
                talk.warnings(replayed::varied(&base.name, &scenario, varied).as_slice());
            }
        }
        match differing::of_sweep(&plan) {
            words if words.is_empty() => {}
            words => talk.note(&format!("the scenarios differ in {words}")),
        }
        let wanted = self.figures.request().read(&shown, &plan, &self.series)?;
        let manifest = self.manifest(&plan, &shown, scenarios, draws.as_ref());
        if self.dry_run {
            return self.estimate(&plan, &manifest);
        }
        let Some(folder) = &self.output else { return Ok(()) };
        let open = || Tables::open(talk, folder, &manifest, &plan, &shown, self.resume);
        let mut tables = pool.install(open)?;
        let stop = Arc::new(AtomicBool::new(false));
        // If there can be no handler, Ctrl-C ends the program as it always did.
        let _ = signal_hook::flag::register(signal_hook::consts::SIGINT, Arc::clone(&stop));
        let mut progress = Progress::new(talk, manifest.range().len(), tables.rows());
        let at = |done| progress.at(done);
        pool.install(|| run_all(talk, &plan, &mut tables, &manifest, (&stop, at)))?;
        if self.shard.is_some() && self.figures.request().is_asked() {
            talk.note("a part has no figures; join the parts, then --resume the whole with them");
            return Ok(());
        }
        let drawn = draws.map(|d| d.paths).unwrap_or_default();
        let found = pool.install(|| wanted.draw(talk, folder, &plan, shown.metrics, &drawn))?;
        print(&found.page)?;
        if found.files.is_empty() {
            return Ok(());
        }
        write_folder(folder, &found.files)?;
        let names: Vec<&str> = found.files.iter().map(|(n, _)| n.as_str()).collect();
        talk.note(&format!("wrote {}", names.join(", ")));
        Ok(())
    }

    fn pool(&self) -> Result<rayon::ThreadPool, Stop> {
        let threads = self.threads.map_or(0, usize::from);
        let built = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        built.map_err(|e| {
            let text = format!("cannot start the threads: {e}\n     write --threads 1");
            Stop::message(Cause::Numerical, text)
        })
    }

    /// The cases, and names and fingerprints of their scenarios.
    fn plan(&self, draws: Option<&Draws>) -> Result<(SweepPlan, Vec<Fingerprint>), Stop> {
        let mut issues: Vec<Issue> = Vec::new();
        let (mut axes, mut steps) = (Vec::new(), 0_usize);
        for typed in self.axes.iter().chain(&self.pairs) {
            match Axis::parse(typed) {
                Ok(axis) => {
                    steps = steps.saturating_add(axis.steps());
                    axes.push(axis);
                }
                Err(issue) => issues.push(issue),
            }
            // Before the next one takes up memory.
            if steps > MOST {
                let what = format!("have more than {MOST} values");
                let hint =
                    "take fewer values, or draw from the range: \"PATH=LOW..HIGH\" --latin 10000";
                let issue = Issue::of_file("too-many-steps", "all axes together", what, hint);
                return Err(Stop::input(vec![issue]));
            }
        }
        let varied: Vec<String> = axes.iter().flat_map(|a| a.paths.clone()).collect();
        if let Some(draws) = draws {
            let (paths, sets) = (draws.paths.clone(), draws.sets.clone());
            axes.push(Axis::of_steps(self.fitted.typed(), paths, sets));
        }
        for (path, typed) in self.sets.iter().filter_map(|s| Some((s.split_once('=')?.0.trim(), s)))
        {
            if axes.iter().any(|a| a.paths.iter().any(|p| p == path)) {
                let what = format!("fixes {path}, which is also varied");
                let hint = "leave out the one or the other.";
                issues.push(Issue::of_file("fixed-axis", &format!("--set {typed}"), what, hint));
            }
        }
        let (mut bases, mut prints) = (Vec::new(), Vec::new());
        for path in &self.scenarios {
            match source::tree(path, &self.sets) {
                Ok((text, source)) => {
                    let own = source::name(path);
                    let fits = draws.map(|d| self.fitted.check(d, &own, &source, &varied));
                    issues.extend(fits.and_then(Result::err).into_iter().flatten());
                    let stem = path.file_stem().unwrap_or(path.as_os_str());
                    let name = stem.to_string_lossy().into_owned();
                    prints.push(Fingerprint::of(&name, text.as_bytes(), &source));
                    bases.push(Base { name, source });
                }
                Err(stop) => issues.extend(stop.issues),
            }
        }
        if !issues.is_empty() {
            return Err(Stop::input(issues));
        }
        if axes.is_empty() && bases.len() < 2 {
            let text = "there is nothing to vary\n     write --axis \"vent.low.diameter=3..9 mm \
                        step 1 mm\" with a path that drybench check lists";
            return Err(Stop::message(Cause::BadInput, text));
        }
        Ok((SweepPlan::new(bases, axes, self.design.read(self.seed.seed)), prints))
    }

    fn manifest(
        &self,
        plan: &SweepPlan,
        shown: &Shown,
        scenarios: Vec<Fingerprint>,
        draws: Option<&Draws>,
    ) -> Manifest {
        Manifest {
            schema_version: SWEEP_SCHEMA_VERSION,
            program_version: env!("CARGO_PKG_VERSION").into(),
            scenarios,
            sets: self.sets.clone(),
            axes: plan.axes.iter().map(|a| a.typed.clone()).collect(),
            drawn: draws.map(|d| fingerprint(format!("{:?}", d.sets).as_bytes())),
            design: plan.design.to_string(),
            series: self.series.clone(),
            columns: columns_fingerprint(&csv_head(plan, shown), &columns::csv(plan, shown)),
            cases: plan.cases(),
            shard: self.shard,
        }
    }

    fn estimate(&self, plan: &SweepPlan, manifest: &Manifest) -> Outcome {
        let range = manifest.range();
        let start = Instant::now();
        let _ = run_case(plan, range.start + range.len() / 2, Record::Heads(&manifest.series));
        let one_s = start.elapsed().as_secs_f64();
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let threads = self.threads.map_or(cores, usize::from).min(cores);
        let all_s = one_s * range.len() as f64 / threads as f64;
        print(&format!(
            "{} cases, about {} on {threads} threads (one case took {one_s:.2} s)\n",
            range.len(),
            duration(all_s)
        ))
    }
}

fn duration(s: f64) -> String {
    match s {
        s if s < 90.0 => format!("{s:.1} s"),
        s if s < 5400.0 => format!("{:.0} min", s / 60.0),
        s => format!("{:.1} h", s / 3600.0),
    }
}
