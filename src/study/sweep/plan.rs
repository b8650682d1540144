//! Which cases a sweep has, in which order.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use std::collections::BTreeMap;

use super::account::Account;
use super::axis::{Axis, Values, fault};
use super::design::Design;
use crate::metric::Metric;
use crate::reader::{Difference, Issue, Report, Source, differences};
use crate::scenario::Scenario;
use crate::study::draws::{Latin, sobol};
use crate::units::{Kind, MOST};

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
pub struct SweepPlan {
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
    /// In what the scenarios differ, axes included.
    pub differences: Vec<Difference>,
}

/// What the cases of a plan will show.
#[derive(Clone, Debug, Default)]
pub struct Shown {
    /// Metrics; their values are those of a glance and mean nothing here.
    pub metrics: Vec<Metric>,
    /// Names of the series.
    pub columns: Vec<String>,
    /// Lines of the accounts of water and energy, in their order.
    pub accounts: Vec<Account>,
}

/// Where a case lies on an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum At {
    /// On a step; the ends of a spread are its steps.
    Step(usize),
    /// At a share of all draws.
    Share(f64),
}

impl SweepPlan {
    /// A plan; [`SweepPlan::check`] says what is wrong with it.
    #[must_use]
    pub fn new(bases: Vec<Base>, axes: Vec<Axis>, design: Design) -> Self {
        let latin = match design {
            Design::Latin { cases, seed } if cases <= MOST => {
                Some(Latin::new(cases as u32, axes.len(), seed))
            }
            _ => None,
        };
        // A scenario with mistakes is refused by the check.
        let read = bases.iter().filter_map(|b| Scenario::read(&b.source).ok());
        let reports: Vec<Report> = read.map(|(_, report)| report).collect();
        let differences = differences(&reports.iter().collect::<Vec<_>>());
        let mut kinds = BTreeMap::new();
        for value in reports.into_iter().flat_map(|r| r.values) {
            kinds.extend(value.kind().map(|kind| (value.path, kind)));
        }
        SweepPlan { bases, axes, design, latin, kinds, differences }
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
                let value = |(path, spread): (&String, &super::spread::InputSpread)| {
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
}
