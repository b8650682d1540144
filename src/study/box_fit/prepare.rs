//! A measured run made ready: its scenario, its usable readings, the moments at which the model is
//! asked.

use super::data::{FreePath, Input, Observed, RunData, Start};
use super::look;
use crate::address::Address;
use crate::reader::{Issue, Origin, Report, Source, Value, split_path};
use crate::run::{self, Column};
use crate::scenario::Scenario;
use crate::units::{self, Kind};

/// One run, ready to be simulated.
#[derive(Clone, Debug)]
pub(super) struct Prepared {
    pub(super) name: String,
    pub(super) fahrenheit_hint: String,
    /// Its start, if not certain.
    pub(super) start: Option<Start>,
    /// What uncertain times do to each reading, over its uncertainty.
    pub(super) clocks: Vec<Vec<f64>>,
    /// Inputs with an uncertainty.
    pub(super) inputs: Vec<Input>,
    pub(super) source: Source,
    pub(super) observed: Vec<Observed>,
    /// All times of its data \[s\], once each.
    pub(super) times_s: Vec<f64>,
    /// Rows of `times_s` with factors, for each reading of each observed series.
    pub(super) rows: Rows,
    pub(super) columns: Vec<Address>,
    /// Position of each free path among the parameters.
    pub(super) places: Vec<usize>,
}

/// Rows of the moments at which the model is asked, with factors, for each reading of each series.
type Rows = Vec<Vec<Vec<(usize, f64)>>>;

/// The moments at which the model is asked, each series later by what `late` says, and their rows.
fn rows(observed: &[Observed], late: impl Fn(&Observed) -> f64) -> (Vec<f64>, Rows) {
    let moments = |o: &Observed| -> Vec<Vec<(f64, f64)>> {
        let by = late(o);
        // What is taken off, such as the mass at the start, was there.
        let moved = |(t, f): (f64, f64)| (if f > 0.0 { (t + by).max(0.0) } else { t }, f);
        (0..o.values.len()).map(|i| o.moments_of(i).into_iter().map(moved).collect()).collect()
    };
    let mut times_s: Vec<f64> =
        observed.iter().flat_map(moments).flatten().map(|(t, _)| t).collect();
    times_s.sort_by(f64::total_cmp);
    times_s.dedup();
    let row = |(t, factor): &(f64, f64)| (times_s.partition_point(|x| x < t), *factor);
    let place = |m: Vec<(f64, f64)>| m.iter().map(row).collect();
    let rows = observed.iter().map(|o| moments(o).into_iter().map(place).collect()).collect();
    (times_s, rows)
}

impl Prepared {
    /// The same with the model asked later, by what `late` says of each series \[s\].
    pub(super) fn asked_later(&self, late: impl Fn(&Observed) -> f64) -> Prepared {
        let (times_s, rows) = rows(&self.observed, late);
        Prepared { times_s, rows, ..self.clone() }
    }

    /// Names of all errors that its readings share and that its inputs have.
    pub(super) fn errors(&self) -> impl Iterator<Item = &str> {
        let shared = self.observed.iter().flat_map(|o| &o.common).map(|c| c.name.as_str());
        shared.chain(self.inputs.iter().map(|i| i.name.as_str()))
    }
}

/// Whether one of two paths lies within the other.
pub(super) fn touches(a: &str, b: &str) -> bool {
    let (a, b) = (split_path(a).unwrap_or_default(), split_path(b).unwrap_or_default());
    a.starts_with(&b) || b.starts_with(&a)
}

/// Inputs of a run with an uncertainty: its own, and what its scenario states with a ±. What is free
/// is none of them.
fn inputs(run: &RunData, free: &[FreePath], report: &Report) -> Vec<Input> {
    let is_free = |path: &str| free.iter().any(|f| touches(&f.path, path));
    let own = run.inputs.iter().flat_map(|i| &i.sets);
    let stated = report.values.iter().filter_map(|v| {
        let Value::Quantity(kind, known) = v.value else { return None };
        let larger = known.value + known.sd.filter(|sd| *sd > 0.0)?;
        if own.clone().any(|(path, _)| touches(path, &v.path)) {
            return None;
        }
        let text = units::format_digits(kind, larger, 12);
        Some(Input { name: v.path.clone(), sets: vec![(v.path.clone(), text)] })
    });
    let all = run.inputs.iter().cloned().chain(stated);
    all.filter(|i| !i.sets.iter().any(|(path, _)| is_free(path))).collect()
}

/// A run with its scenario, its usable readings and the rows at which the model is asked.
pub(super) fn prepare(
    source: &Source,
    free: &[FreePath],
    run: &RunData,
) -> Result<Prepared, Vec<Issue>> {
    let mut source = run.scenario.as_ref().unwrap_or(source).clone();
    for (path, text) in &run.sets {
        source.set_value(path, text, Origin::Set).map_err(|i| vec![i])?;
    }
    let (scenario, report) = Scenario::read(&source)?;
    let end_s = scenario.run.duration_s;
    let observed: Vec<Observed> = run.observed.iter().map(|o| o.usable(end_s)).collect();
    let known = run::columns(&scenario);
    let mut issues = Vec::new();
    for (o, all) in observed.iter().zip(&run.observed) {
        for at in o.target.columns() {
            if !known.iter().any(|c| c.address == at) {
                let name = scenario.build().names().head(at);
                issues.push(no_column(&run.name, &o.name, &name, &known));
            }
        }
        if o.values.is_empty() && !all.values.is_empty() {
            issues.push(outside(&run.name, all, end_s));
        }
    }
    issues.extend(look::fahrenheit(&run.name, &run.fahrenheit_hint, &observed, scenario.start.0));
    if !issues.is_empty() {
        return Err(issues);
    }
    let (times_s, rows) = rows(&observed, |_| 0.0);
    let mut columns: Vec<Address> = observed.iter().flat_map(|o| o.target.columns()).collect();
    columns.sort();
    columns.dedup();
    let (name, places) = (run.name.clone(), Vec::new());
    let fahrenheit_hint = run.fahrenheit_hint.clone();
    Ok(Prepared {
        inputs: inputs(run, free, &report),
        start: run.start.clone(),
        clocks: observed.iter().map(|o| vec![0.0; o.u.len()]).collect(),
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
                "{}: {} outside the simulated span: from {} to {}, the run goes from 0 s to {}",
                o.name,
                if finite.len() == 1 {
                    "its only reading lies".to_owned()
                } else {
                    format!("all {} readings lie", finite.len())
                },
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
