//! A measured run made ready: its scenario, its usable readings, the moments at which the model is
//! asked.

use super::data::{Observed, RunData};
use crate::reader::{Issue, Origin, Source};
use crate::run::{self, Column};
use crate::scenario::Scenario;
use crate::units::{self, Kind};

/// One run, ready to be simulated.
#[derive(Clone, Debug)]
pub(super) struct Prepared {
    pub(super) name: String,
    pub(super) fahrenheit_hint: String,
    /// Uncertainty of the room's temperature \[K\], and the room with so much more.
    pub(super) warmer_room: Option<(f64, String)>,
    pub(super) source: Source,
    pub(super) observed: Vec<Observed>,
    /// All times of its data \[s\], once each.
    pub(super) times_s: Vec<f64>,
    /// Rows of `times_s` with factors, for each reading of each observed series.
    pub(super) rows: Vec<Vec<Vec<(usize, f64)>>>,
    pub(super) columns: Vec<String>,
    /// Position of each free path among the parameters.
    pub(super) places: Vec<usize>,
}

/// A run with its scenario, its usable readings and the rows at which the model is asked.
pub(super) fn prepare(source: &Source, run: &RunData) -> Result<Prepared, Vec<Issue>> {
    let mut source = run.scenario.as_ref().unwrap_or(source).clone();
    for (path, text) in &run.sets {
        source.set_value(path, text, Origin::Set).map_err(|i| vec![i])?;
    }
    let (scenario, _) = Scenario::read(&source)?;
    let end_s = scenario.run.duration_s;
    let observed: Vec<Observed> = run.observed.iter().map(|o| o.usable(end_s)).collect();
    let known = run::columns(&scenario);
    let mut issues = Vec::new();
    for (o, all) in observed.iter().zip(&run.observed) {
        for name in o.target.columns() {
            if !known.iter().any(|c| c.name == name) {
                issues.push(no_column(&run.name, &o.name, name, &known));
            }
        }
        if o.values.is_empty() && !all.values.is_empty() {
            issues.push(outside(&run.name, all, end_s));
        }
    }
    if !issues.is_empty() {
        return Err(issues);
    }
    let moments = |o: &Observed| -> Vec<Vec<(f64, f64)>> {
        (0..o.values.len()).map(|i| o.moments_of(i)).collect()
    };
    let mut times_s: Vec<f64> =
        observed.iter().flat_map(moments).flatten().map(|(t, _)| t).collect();
    times_s.sort_by(f64::total_cmp);
    times_s.dedup();
    let row = |(t, factor): &(f64, f64)| (times_s.partition_point(|x| x < t), *factor);
    let place = |m: Vec<(f64, f64)>| m.iter().map(row).collect();
    let rows = observed.iter().map(|o| moments(o).into_iter().map(place).collect()).collect();
    let mut columns: Vec<String> =
        observed.iter().flat_map(|o| o.target.columns()).map(str::to_owned).collect();
    columns.sort();
    columns.dedup();
    let (name, places) = (run.name.clone(), Vec::new());
    let fahrenheit_hint = run.fahrenheit_hint.clone();
    Ok(Prepared {
        warmer_room: run.warmer_room.clone(),
        name,
        fahrenheit_hint,
        source,
        rows,
        times_s,
        columns,
        places,
        observed,
    })
}

fn no_column(run: &str, series: &str, name: &str, known: &[Column]) -> Issue {
    let names: Vec<&str> = known.iter().map(|c| c.name.as_str()).collect();
    let what = format!("{series} is compared with `{name}`, which is no column of a run");
    let hint = format!("the columns are: {}", names.join(", "));
    Issue::of_file("no-column", run, what, &hint)
}

/// Nothing is left of a series.
fn outside(run: &str, o: &Observed, end_s: f64) -> Issue {
    let finite: Vec<f64> =
        o.times_s.iter().zip(&o.values).filter(|(_, v)| v.is_finite()).map(|(t, _)| *t).collect();
    let time = |t: f64| units::format(Kind::Time, t);
    let (what, hint) = match (finite.first(), finite.last()) {
        (Some(a), Some(b)) if *a > end_s || *b < 0.0 => (
            format!(
                "{}: all {} readings lie outside the simulated span: they go from {} to {}, the run from 0 s to {}",
                o.name,
                finite.len(),
                time(*a),
                time(*b),
                time(end_s)
            ),
            "raise run.duration, or check the clock of the log",
        ),
        _ => {
            (format!("{} has no usable reading", o.name), "check the log, or leave the column out")
        }
    };
    Issue::of_file("no-data", run, what, hint)
}
