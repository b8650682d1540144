//! Which cases a sweep has, in which order, checked before any of them runs.

use super::axis::{Axis, MOST, fault};
use crate::merit::Merit;
use crate::reader::{Issue, Origin, Source};
use crate::run::{Method, simulate};
use crate::scenario::Scenario;

/// Length of the simulation that tells which figures of merit a scenario has \[s\].
const GLANCE_S: f64 = 1.0;

/// A scenario that a sweep starts from.
#[derive(Clone, Debug)]
pub struct Base {
    /// Its name in the tables.
    pub name: String,
    /// Its tree, fixed values applied.
    pub source: Source,
}

/// How axes make cases.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Design {
    /// Every value with every other; the last axis runs fastest.
    Cross,
    /// The scenario as it is, then each value of each axis alone.
    OneAtATime,
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
}

impl Plan {
    /// Number of cases.
    #[must_use]
    pub fn cases(&self) -> usize {
        self.bases.len().saturating_mul(self.per_base())
    }

    fn per_base(&self) -> usize {
        let sizes = self.axes.iter().map(|a| a.steps.len());
        match self.design {
            Design::Cross => sizes.fold(1, usize::saturating_mul),
            Design::OneAtATime => sizes.fold(1, usize::saturating_add),
        }
    }

    /// All paths of all axes.
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.axes.iter().flat_map(|a| &a.paths).map(String::as_str)
    }

    /// The scenario of a case and the steps it takes: axis and step for each axis that is moved.
    pub(super) fn case(&self, number: usize) -> (&Base, Vec<(usize, usize)>) {
        let per_base = self.per_base().max(1);
        let base = &self.bases[(number / per_base).min(self.bases.len() - 1)];
        let mut rest = number % per_base;
        let mut moved = Vec::new();
        match self.design {
            Design::Cross => {
                for (a, axis) in self.axes.iter().enumerate().rev() {
                    moved.push((a, rest % axis.steps.len()));
                    rest /= axis.steps.len();
                }
                moved.reverse();
            }
            Design::OneAtATime if rest > 0 => {
                rest -= 1;
                for (a, axis) in self.axes.iter().enumerate() {
                    if rest < axis.steps.len() {
                        moved.push((a, rest));
                        break;
                    }
                    rest -= axis.steps.len();
                }
            }
            Design::OneAtATime => {}
        }
        (base, moved)
    }

    /// Reads every scenario with every axis value alone, and returns all figures of merit that
    /// occur.
    ///
    /// # Errors
    /// Everything wrong with any value, each mistake once.
    pub fn check(&self) -> Result<Vec<Merit>, Vec<Issue>> {
        let mut issues: Vec<Issue> = Vec::new();
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
        let mut merits: Vec<Merit> = Vec::new();
        for base in &self.bases {
            let before = issues.len();
            glance(base, &[], &mut merits, &mut issues);
            if issues.len() > before {
                continue;
            }
            for axis in &self.axes {
                for step in &axis.steps {
                    let paths = axis.paths.iter().map(String::as_str);
                    let sets: Vec<_> = paths.zip(step.iter().map(String::as_str)).collect();
                    glance(base, &sets, &mut merits, &mut issues);
                }
            }
        }
        if issues.is_empty() { Ok(merits) } else { Err(issues) }
    }
}

/// Reads a scenario with these values and notes the figures of merit it will have.
fn glance(base: &Base, sets: &[(&str, &str)], merits: &mut Vec<Merit>, issues: &mut Vec<Issue>) {
    let mut note = |found: Vec<Issue>| {
        for issue in found {
            let again =
                |i: &Issue| (i.code, &i.path, &i.what) == (issue.code, &issue.path, &issue.what);
            if !issues.iter().any(again) {
                issues.push(issue);
            }
        }
    };
    let mut source = base.source.clone();
    for (path, text) in sets {
        if let Err(issue) = source.set_value(path, text, Origin::Axis) {
            return note(vec![issue]);
        }
    }
    match Scenario::read(&source) {
        Err(found) => note(found),
        Ok((mut scenario, _)) => {
            scenario.run.duration_s = scenario.run.duration_s.min(GLANCE_S);
            // A case that fails so early will be a row with its reason.
            let Ok(run) = simulate(&scenario, Method::Rodas5p) else { return };
            for merit in run.merits {
                if !merits.iter().any(|m| m.key == merit.key) {
                    merits.push(merit);
                }
            }
        }
    }
}
