//! A plan is checked before any of its cases runs.

use rayon::prelude::*;

use super::account::Account;
use super::axis::{Axis, Values, fault, is_label};
use super::design::{Design, LEAST_POINTS};
use super::plan::{At, Base, Shown, SweepPlan};
use crate::reader::{Issue, Origin};
use crate::run::{Outline, outline};
use crate::scenario::Scenario;
use crate::study::draws::SOBOL_MOST;
use crate::units::MOST;

/// Steps of an axis beyond which only its ends are asked for their metrics: a list of
/// words is short, a long axis is a range, whose ends tell.
const LOOKED_AT: usize = 32;

/// Standard uncertainties at which an end of a normal spread is tried before the cases run.
const TRIED: f64 = 2.0;

impl SweepPlan {
    /// Reads every scenario with every axis value, and returns all metrics and all series that
    /// occur. A value is tried alone, and where the scenario has something against that, beside values of
    /// the other axes: it may be what they take the place of that is at odds with it.
    ///
    /// # Errors
    /// Everything wrong with any value, each mistake once.
    pub fn check(&self) -> Result<Shown, Vec<Issue>> {
        let mut issues = self.shape();
        let mut shown = Shown::default();
        let few = issues.is_empty() || self.cases() <= MOST;
        for base in self.bases.iter().filter(|_| few) {
            // The scenario as it is comes first: its own mistakes would be in every other.
            let first = self.glance(base, &[], true);
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
                .map(|(a, at, run)| self.try_out(base, (a, at), run))
                .collect();
            found.into_iter().for_each(|f| note(f, &mut shown, &mut issues));
        }
        shown.accounts.sort();
        if issues.is_empty() { Ok(shown) } else { Err(issues) }
    }

    /// A value alone, or in company. What it says alone is what is wrong with it if nothing helps.
    fn try_out(&self, base: &Base, moved: (usize, At), run: bool) -> Result<Shown, Vec<Issue>> {
        let alone = self.glance(base, &[moved], run);
        if alone.is_ok() || self.design == Design::OneAtATime {
            return alone;
        }
        let others = (0..self.axes.len()).filter(|b| *b != moved.0);
        let company = others.flat_map(|b| {
            self.tries(&self.axes[b]).into_iter().take(LOOKED_AT).map(move |(at, _)| (b, at))
        });
        company
            .map(|other| self.glance(base, &[moved, other], run))
            .find(Result::is_ok)
            .unwrap_or(alone)
    }

    /// The places of an axis to try, and whether to ask for the metrics there.
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
                let hint = match is_label(path) {
                    true => format!("call one of them {path}.one."),
                    false => "leave one of them out.".to_owned(),
                };
                issues.push(fault(path, what, &hint));
            }
        }
        if self.cases() > MOST {
            let what = format!("makes {} cases", self.cases());
            let hint = format!(
                "take at most {MOST}: larger steps, or --latin 10000 to draw that many of them."
            );
            issues.push(whole(what, &hint));
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
            issues.push(whole(what, &hint));
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
            issues.push(whole(what, &hint));
        }
        issues
    }

    /// Reads a scenario with some axes moved, and tells what its run will say if asked.
    fn glance(
        &self,
        base: &Base,
        moved: &[(usize, At)],
        outlined: bool,
    ) -> Result<Shown, Vec<Issue>> {
        let mut source = base.source.clone();
        for &(a, at) in moved {
            let texts = self.values(base, a, at).map_err(|issue| vec![issue])?;
            let moved = self.axes[a].paths.iter().zip(texts).filter(|m| !is_label(m.0));
            for (path, text) in moved {
                source.set_value(path, &text, Origin::Axis).map_err(|issue| vec![issue])?;
            }
        }
        let (scenario, _) = Scenario::read_case(&source)?;
        if !outlined {
            return Ok(Shown::default());
        }
        let Outline { metrics, columns, accounts } = outline(&scenario);
        let columns = columns.into_iter().map(|c| c.name).collect();
        Ok(Shown { metrics, columns, accounts: Account::all(&accounts) })
    }
}

/// A mistake of all axes.
fn whole(what: String, hint: &str) -> Issue {
    Issue::of_file("bad-axis", "all axes together", what, hint)
}

/// Adds what is new of a glance.
fn note(found: Result<Shown, Vec<Issue>>, shown: &mut Shown, issues: &mut Vec<Issue>) {
    match found {
        Ok(more) => {
            for metric in more.metrics {
                if !shown.metrics.iter().any(|m| m.key == metric.key) {
                    shown.metrics.push(metric);
                }
            }
            for line in more.accounts {
                if !shown.accounts.contains(&line) {
                    shown.accounts.push(line);
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
