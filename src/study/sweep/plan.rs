//! Which cases a sweep has, in which order, checked before any of them runs.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::axis::{Axis, MOST, Values, fault};
use super::design::Design;
use crate::merit::Merit;
use crate::reader::{Issue, Origin, Source};
use crate::run::{Method, simulate};
use crate::scenario::Scenario;
use crate::study::draws::{Latin, SOBOL_MOST, sobol};
use crate::study::sensitivity::LEAST_POINTS;
use crate::units::Kind;

/// Length of the simulation that tells which figures of merit a scenario has \[s\].
const GLANCE_S: f64 = 1.0;

/// Steps of an axis beyond which only its ends are simulated for their figures of merit: a list of
/// words is short, a long axis is a range, whose ends tell.
const LOOKED_AT: usize = 32;

/// Standard uncertainties at which an end of a normal spread is tried before the cases run.
const TRIED: f64 = 2.0;

/// A scenario that a sweep starts from.
#[derive(Clone, Debug)]
pub struct Base {
    /// Its name in the tables.
    pub name: String,
    /// Its tree, fixed values applied.
    pub source: Source,
}

/// A sweep before it runs.
#[derive(Clone, Debug)]
pub struct Plan {
    /// At least one scenario; several are an axis of their own, the slowest.
    pub bases: Vec<Base>,
    /// The axes.
    pub axes: Vec<Axis>,
    /// How they make cases.
    pub design: Design,
    /// The slices of a Latin hypercube.
    latin: Option<Latin>,
    /// What the paths measure.
    kinds: BTreeMap<String, Kind>,
}

/// What the cases of a plan will show.
#[derive(Clone, Debug, Default)]
pub struct Shown {
    /// Figures of merit; their values are those of a glance and mean nothing here.
    pub merits: Vec<Merit>,
    /// Names of the series.
    pub columns: Vec<String>,
}

/// Where a case lies on an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum At {
    /// On a step; the ends of a spread are its steps.
    Step(usize),
    /// At a share of all draws.
    Share(f64),
}

impl Plan {
    /// A plan; [`Plan::check`] says what is wrong with it.
    #[must_use]
    pub fn new(bases: Vec<Base>, axes: Vec<Axis>, design: Design) -> Self {
        let latin = match design {
            Design::Latin { cases, seed } if cases <= MOST => {
                Some(Latin::new(cases as u32, axes.len(), seed))
            }
            _ => None,
        };
        let mut kinds = BTreeMap::new();
        for base in &bases {
            // A scenario with mistakes is refused by the check.
            let Ok((_, report)) = Scenario::read(&base.source) else { continue };
            for value in report.values {
                kinds.extend(value.kind().map(|kind| (value.path, kind)));
            }
        }
        Plan { bases, axes, design, latin, kinds }
    }

    /// Number of cases.
    #[must_use]
    pub fn cases(&self) -> usize {
        self.bases.len().saturating_mul(self.per_base())
    }

    pub(super) fn per_base(&self) -> usize {
        let sizes = self.axes.iter().map(Axis::steps);
        match self.design {
            Design::Cross => sizes.fold(1, usize::saturating_mul),
            Design::OneAtATime => sizes.fold(1, usize::saturating_add),
            Design::Latin { cases, .. } | Design::Sobol { cases, .. } => cases,
            Design::Indices { base, .. } => base.saturating_mul(self.axes.len() + 2),
        }
    }

    /// All paths of all axes.
    pub fn paths(&self) -> impl Iterator<Item = &str> + Clone {
        self.axes.iter().flat_map(|a| &a.paths).map(String::as_str)
    }

    /// What a path measures, where it is a quantity.
    #[must_use]
    pub fn kind(&self, path: &str) -> Option<Kind> {
        self.kinds.get(path).copied()
    }

    /// The scenario of a case, and where it lies on each axis that is moved.
    pub(super) fn case(&self, number: usize) -> (&Base, Vec<(usize, At)>) {
        let per_base = self.per_base().max(1);
        let base = &self.bases[(number / per_base).min(self.bases.len() - 1)];
        let mut rest = number % per_base;
        let axes = self.axes.len();
        let drawn =
            |share: &dyn Fn(usize) -> f64| (0..axes).map(|a| (a, At::Share(share(a)))).collect();
        let moved = match self.design {
            Design::Cross => {
                let mut moved = Vec::with_capacity(axes);
                for (a, axis) in self.axes.iter().enumerate().rev() {
                    moved.push((a, At::Step(rest % axis.steps())));
                    rest /= axis.steps();
                }
                moved.reverse();
                moved
            }
            Design::OneAtATime => self.single(rest).into_iter().collect(),
            Design::Latin { .. } => {
                drawn(&|a| self.latin.as_ref().map_or(0.5, |latin| latin.share(rest, a)))
            }
            Design::Sobol { seed, .. } => drawn(&|a| sobol(rest, a, seed)),
            Design::Indices { seed, .. } => {
                let (point, turn) = (rest / (axes + 2), rest % (axes + 2));
                // Turn 0 takes all axes from the first half of the dimensions, the last turn all
                // from the second, the others all but one from the first.
                let second = |a: usize| turn == axes + 1 || turn == a + 1;
                drawn(&|a| sobol(point, if second(a) { axes + a } else { a }, seed))
            }
        };
        (base, moved)
    }

    /// The one axis that a case of a one-at-a-time design moves, and its step.
    fn single(&self, number: usize) -> Option<(usize, At)> {
        let mut rest = number.checked_sub(1)?;
        for (a, axis) in self.axes.iter().enumerate() {
            if rest < axis.steps() {
                return Some((a, At::Step(rest)));
            }
            rest -= axis.steps();
        }
        None
    }

    /// The value of each path of an axis, as it would be typed.
    pub(super) fn values(&self, base: &Base, axis: usize, at: At) -> Result<Vec<String>, Issue> {
        let axis = &self.axes[axis];
        match (&axis.values, at) {
            (Values::Steps(steps), At::Step(i)) => Ok(steps[i].clone()),
            (Values::Steps(steps), At::Share(u)) => {
                let i = (u * steps.len() as f64) as usize;
                Ok(steps[i.min(steps.len() - 1)].clone())
            }
            (Values::Spreads(spreads), at) => {
                let paired = axis.paths.iter().zip(spreads);
                let value = |(path, spread): (&String, &super::spread::Spread)| {
                    let share = match at {
                        At::Share(u) => u,
                        At::Step(end) => spread.ends(1.0)[end],
                    };
                    let kind = self.kind(path);
                    spread
                        .at(share, kind, base.source.get_text(path))
                        .map_err(|(what, hint)| fault(&axis.typed, what, &hint))
                };
                paired.map(value).collect()
            }
        }
    }

    /// Reads every scenario with every axis value alone, and returns all figures of merit and all
    /// series that occur.
    ///
    /// # Errors
    /// Everything wrong with any value, each mistake once.
    pub fn check(&self) -> Result<Shown, Vec<Issue>> {
        let mut issues = self.shape();
        let mut shown = Shown::default();
        let few = issues.is_empty() || self.cases() <= MOST;
        for base in self.bases.iter().filter(|_| few) {
            // The scenario as it is comes first: its own mistakes would be in every other.
            let first = self.glance(base, None, true);
            let broken = first.is_err();
            note(first, &mut shown, &mut issues);
            if broken {
                continue;
            }
            let mut looks = Vec::new();
            for (a, axis) in self.axes.iter().enumerate() {
                looks.extend(self.tries(axis).into_iter().map(|(at, run)| (a, at, run)));
            }
            let found: Vec<_> = looks
                .into_par_iter()
                .map(|(a, at, run)| self.glance(base, Some((a, at)), run))
                .collect();
            found.into_iter().for_each(|f| note(f, &mut shown, &mut issues));
        }
        if issues.is_empty() { Ok(shown) } else { Err(issues) }
    }

    /// The places of an axis to try alone, and whether to simulate there.
    fn tries(&self, axis: &Axis) -> Vec<(At, bool)> {
        match &axis.values {
            Values::Steps(steps) => {
                let last = steps.len().saturating_sub(1);
                let run = |i| steps.len() <= LOOKED_AT || i == 0 || i == last;
                (0..steps.len()).map(|i| (At::Step(i), run(i))).collect()
            }
            Values::Spreads(_) if self.design == Design::OneAtATime => {
                [0, 1].map(|end| (At::Step(end), true)).into()
            }
            Values::Spreads(spreads) => {
                spreads[0].ends(TRIED).map(|share| (At::Share(share), true)).into()
            }
        }
    }

    /// Mistakes in the plan as a whole.
    fn shape(&self) -> Vec<Issue> {
        let mut issues = Vec::new();
        let paths: Vec<&str> = self.paths().collect();
        for (i, path) in paths.iter().enumerate() {
            if paths[..i].contains(path) {
                let what = format!("{path} is on two axes");
                issues.push(fault(path, what, "leave one of them out."));
            }
        }
        if self.cases() > MOST {
            let what = format!("makes {} cases", self.cases());
            issues.push(fault("all together", what, "take at most 1000000."));
        }
        for (i, base) in self.bases.iter().enumerate() {
            if self.bases[..i].iter().any(|b| b.name == base.name) {
                let what = "is the name of two scenarios, which the tables could not tell apart";
                let hint = "give one of the files another name.";
                issues.push(Issue::of_file("same-name", &base.name, what.into(), hint));
            }
        }
        issues.extend(self.axes.iter().filter_map(|a| a.twice(|path| self.kind(path))));
        for axis in self.axes.iter().filter(|_| self.design == Design::Cross) {
            if let Values::Spreads(_) = axis.values {
                let what = "does not say which values".to_owned();
                let hint = "end with count 7, or step and a size; or draw with --latin 200.";
                issues.push(fault(&axis.typed, what, hint));
            }
        }
        if let Design::Indices { base, .. } = self.design
            && base < LEAST_POINTS
        {
            let what = format!("draws {base} points");
            let hint = format!("take --indices {LEAST_POINTS} or more; 128 is a good start.");
            issues.push(fault("all together", what, &hint));
        }
        let (points, axes) = SOBOL_MOST;
        let wanted = match self.design {
            Design::Sobol { cases, .. } => (cases, self.axes.len()),
            Design::Indices { base, .. } => (base, 2 * self.axes.len()),
            _ => (0, 0),
        };
        if wanted.0 > points || wanted.1 > axes {
            let what = format!("takes {} points of {} dimensions", wanted.0, wanted.1);
            let hint = format!("the sequence has {points} points of {axes}; use --latin instead.");
            issues.push(fault("all together", what, &hint));
        }
        issues
    }

    /// Reads a scenario with one axis moved, and simulates a moment of it if asked: the figures of
    /// merit it will have.
    fn glance(
        &self,
        base: &Base,
        moved: Option<(usize, At)>,
        run: bool,
    ) -> Result<Shown, Vec<Issue>> {
        let mut source = base.source.clone();
        if let Some((a, at)) = moved {
            let texts = self.values(base, a, at).map_err(|issue| vec![issue])?;
            for (path, text) in self.axes[a].paths.iter().zip(texts) {
                source.set_value(path, &text, Origin::Axis).map_err(|issue| vec![issue])?;
            }
        }
        let (mut scenario, _) = Scenario::read_case(&source)?;
        if !run {
            return Ok(Shown::default());
        }
        scenario.run.duration_s = scenario.run.duration_s.min(GLANCE_S);
        // A case that fails so early will be a row with its reason.
        let Ok(run) = simulate(&scenario, Method::Rodas5p) else { return Ok(Shown::default()) };
        let columns = run.columns.into_iter().map(|c| c.name).collect();
        Ok(Shown { merits: run.merits, columns })
    }
}

/// Adds what is new of a glance.
fn note(found: Result<Shown, Vec<Issue>>, shown: &mut Shown, issues: &mut Vec<Issue>) {
    match found {
        Ok(more) => {
            for merit in more.merits {
                if !shown.merits.iter().any(|m| m.key == merit.key) {
                    shown.merits.push(merit);
                }
            }
            for column in more.columns {
                if !shown.columns.contains(&column) {
                    shown.columns.push(column);
                }
            }
        }
        Err(more) => {
            for issue in more {
                let same = |i: &Issue| {
                    (i.code, &i.path, &i.what) == (issue.code, &issue.path, &issue.what)
                };
                if !issues.iter().any(same) {
                    issues.push(issue);
                }
            }
        }
    }
}
