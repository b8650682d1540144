//! A fit read back from its file, for predictions that carry its uncertainty.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use nalgebra::DMatrix;
use serde::Deserialize;

use super::solve::SCHEMA_VERSION;
use crate::reader::Issue;
use crate::study::fit::draw;
use crate::units::{Kind, format_digits};

/// Significant digits of a drawn value in an assignment.
const DIGITS: usize = 12;

/// What of a saved fit a prediction needs.
#[derive(Clone, Debug, Deserialize)]
pub struct SavedFit {
    schema_version: Option<u32>,
    parameters: Vec<SavedParameter>,
    correlation: Vec<Vec<Option<f64>>>,
    draws: Option<SavedSets>,
}

/// Sets that the fit has drawn by its misfit.
#[derive(Clone, Debug, Deserialize)]
struct SavedSets {
    sets: Vec<Vec<f64>>,
}

#[derive(Clone, Debug, Deserialize)]
struct SavedParameter {
    name: String,
    path: String,
    kind: Kind,
    value: f64,
    standard_error: Option<f64>,
    bounds: (f64, f64),
}

impl SavedParameter {
    /// Whether it belongs to one run only; the fit then calls it `path in run`.
    fn of_one_run(&self) -> bool {
        self.name.strip_prefix(&self.path).is_some_and(|rest| rest.starts_with(" in "))
    }

    /// What no fit writes, and what to do.
    fn complaint(&self) -> Option<(String, &'static str)> {
        let (name, value, (low, high)) = (&self.name, self.value, self.bounds);
        let anew = "write it anew with drybench fit -o.";
        if self.name != self.path && !self.of_one_run() {
            let what = format!("has a parameter {name} with another path, {}", self.path);
            return Some((what, "change name and path alike, to a path of the scenario."));
        }
        if self.standard_error.is_some_and(|se| !(se >= 0.0 && se.is_finite())) {
            let se = self.standard_error.unwrap_or(f64::NAN);
            return Some((format!("has a standard error of {se} for {name}"), anew));
        }
        if !(value >= low && value <= high && value.is_finite()) {
            let shown = |v: f64| format_digits(self.kind, v, 4);
            let what = format!(
                "has {} for {name}, outside its bounds {} to {}",
                shown(value),
                shown(low),
                shown(high)
            );
            return Some((what, anew));
        }
        None
    }
}

/// Parameter sets drawn from a saved fit, as assignments.
#[derive(Clone, Debug, PartialEq)]
pub struct Draws {
    /// Paths that are set.
    pub paths: Vec<String>,
    /// The optimum: a value for each path, as it would be typed.
    pub best: Vec<String>,
    /// For each draw a value for each path.
    pub sets: Vec<Vec<String>>,
    /// What the bands leave out, in words.
    pub notes: Vec<String>,
}

impl SavedFit {
    /// Reads the text of a `fit.json`; `name` is what messages call it.
    ///
    /// # Errors
    /// That it is none, or has nothing to draw from.
    pub fn read(name: &str, text: &str) -> Result<Self, Issue> {
        let bad = |what: String, hint| Issue::of_file("no-fit", name, what, hint);
        let fit: SavedFit = serde_json::from_str(text).map_err(|e| {
            bad(
                format!("is no file of a fit: {e}"),
                "give the fit.json that drybench fit -o wrote.",
            )
        })?;
        if let Some(newer) = fit.schema_version.filter(|v| *v > SCHEMA_VERSION) {
            let what = format!(
                "has version {newer} of its layout, this program reads up to version {SCHEMA_VERSION}"
            );
            return Err(bad(what, "read it with the drybench that wrote it, or fit anew."));
        }
        if let Some((what, hint)) = fit.parameters.iter().find_map(SavedParameter::complaint) {
            return Err(bad(what, hint));
        }
        let n = fit.parameters.len();
        if fit.correlation.len() != n || fit.correlation.iter().any(|row| row.len() != n) {
            let what = "has another number of parameters than of correlations".to_owned();
            return Err(bad(what, "write it anew with drybench fit -o."));
        }
        if fit.draws.iter().flat_map(|d| &d.sets).any(|set| set.len() != n) {
            let what = "has another number of parameters than its drawn sets".to_owned();
            return Err(bad(what, "write it anew with drybench fit -o."));
        }
        if fit.shared().all(|(_, p)| p.standard_error.is_none()) {
            let what = "has no parameter with a standard error to draw from".to_owned();
            return Err(bad(what, "free fewer parameters in the fit, or fit more data."));
        }
        Ok(fit)
    }

    /// Parameters that hold for every run; one that a run has for itself says nothing of another.
    fn shared(&self) -> impl Iterator<Item = (usize, &SavedParameter)> {
        self.parameters.iter().enumerate().filter(|(_, p)| p.name == p.path)
    }

    /// Draws of the shared parameters: of the sets in the file, where the fit found that a normal
    /// distribution would not do; else from their joint normal distribution, within the bounds of the
    /// fit. Same seed, same draws.
    #[must_use]
    pub fn draws(&self, count: usize, seed: u64) -> Draws {
        let n = self.parameters.len();
        let sd = |i: usize| self.parameters[i].standard_error.unwrap_or(0.0);
        let covariance = DMatrix::from_fn(n, n, |i, k| {
            let r = if i == k { 1.0 } else { self.correlation[i][k].unwrap_or(0.0) };
            r * sd(i) * sd(k)
        });
        let values: Vec<f64> = self.parameters.iter().map(|p| p.value).collect();
        let bounds: Vec<(f64, f64)> = self.parameters.iter().map(|p| p.bounds).collect();
        let drawn = match &self.draws {
            // They are in an order that says nothing; the seed tells where to begin.
            Some(SavedSets { sets }) => {
                let first = seed as usize % sets.len().max(1);
                sets.iter().cycle().skip(first).take(count.min(sets.len())).cloned().collect()
            }
            None => draw(&values, &bounds, &covariance, count, seed),
        };
        let typed = |set: &Vec<f64>| -> Vec<String> {
            let one = |(i, p): (usize, &SavedParameter)| format_digits(p.kind, set[i], DIGITS);
            self.shared().map(one).collect()
        };
        let mut notes = Vec::new();
        if drawn.len() < count {
            notes.push(format!("{} draws are all that it holds", drawn.len()));
        }
        for p in &self.parameters {
            if p.name != p.path {
                notes.push(format!("{} belongs to one run of the fit and is left out", p.name));
            } else if p.standard_error.is_none() {
                notes.push(format!("{} has no standard error: it keeps its value", p.name));
            }
        }
        Draws {
            paths: self.shared().map(|(_, p)| p.path.clone()).collect(),
            best: typed(&values),
            sets: drawn.iter().map(typed).collect(),
            notes,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::parse;

    const FIT: &str = r#"{"parameters": [
        {"name": "a", "path": "a", "kind": "length", "value": 2.0, "standard_error": 0.1, "bounds": [0, 9]},
        {"name": "b", "path": "b", "kind": "number", "value": 1.0, "standard_error": 0.2, "bounds": [0, 9]},
        {"name": "c in run", "path": "c", "kind": "temperature_difference", "value": 1.0, "standard_error": 1.0, "bounds": [0, 9]},
        {"name": "d", "path": "d", "kind": "power", "value": 5.0, "standard_error": null, "bounds": [0, 9]}],
        "correlation": [[1, -0.9, 0, null], [-0.9, 1, 0, null], [0, 0, 1, null], [null, null, null, null]]}"#;

    #[test]
    fn draws_have_the_spread_and_the_correlation_of_the_fit() {
        let draws = SavedFit::read("fit.json", FIT).unwrap().draws(4000, 3);
        assert_eq!(draws.paths, ["a", "b", "d"]);
        assert_eq!(draws.notes.len(), 2, "{:?}", draws.notes);
        let number = |t: &str| t.split(' ').next().unwrap().parse::<f64>().unwrap();
        let column = |k: usize| -> Vec<f64> { draws.sets.iter().map(|s| number(&s[k])).collect() };
        let (a, b) = (column(0), column(1));
        let n = a.len() as f64;
        let mean = |v: &[f64]| v.iter().sum::<f64>() / n;
        let (ma, mb) = (mean(&a), mean(&b));
        let cov = |u: &[f64], mu: f64, v: &[f64], mv: f64| {
            u.iter().zip(v).map(|(x, y)| (x - mu) * (y - mv)).sum::<f64>() / n
        };
        let (sa, sb) = (cov(&a, ma, &a, ma).sqrt(), cov(&b, mb, &b, mb).sqrt());
        // Four thousand draws: 1.1 % on a standard deviation, one standard error.
        assert!((sa / 0.1 - 1.0).abs() < 0.04 && (sb / 0.2 - 1.0).abs() < 0.04, "{sa} {sb}");
        assert!((cov(&a, ma, &b, mb) / sa / sb + 0.9).abs() < 0.02);
        assert!(draws.sets.iter().all(|s| s[2] == draws.best[2]), "d must not move");
        assert!(draws.best[0].ends_with(" m"), "{:?}", draws.best);
    }

    #[test]
    fn values_are_typed_so_that_they_read_back() {
        for kind in Kind::ALL {
            let (si, words) = (0.432_109_876_543, serde_json::to_string(&kind).unwrap());
            let fit = format!(
                r#"{{"parameters": [{{"name": "a", "path": "a", "kind": {words}, "value": {si},
                "standard_error": 0.1, "bounds": [0, 9]}}], "correlation": [[1]]}}"#
            );
            let draws = SavedFit::read("fit.json", &fit).unwrap().draws(2, 1);
            let back = parse(kind, &draws.best[0]).unwrap();
            assert!((back / si - 1.0).abs() < 1e-9, "{kind:?} {:?} {back}", draws.best);
        }
    }

    #[test]
    fn other_files_are_refused() {
        for text in ["{}", "[1]", r#"{"parameters": [], "correlation": [[1]]}"#] {
            assert!(SavedFit::read("x", text).is_err(), "{text}");
        }
        for (from, to, words) in [
            (
                r#"{"parameters""#,
                r#"{"schema_version": 4, "parameters""#,
                "version 4 of its layout",
            ),
            (
                r#""standard_error": 0.1"#,
                r#""standard_error": -0.1"#,
                "a standard error of -0.1 for a",
            ),
            (
                r#""value": 2.0"#,
                r#""value": 20.0"#,
                "has 20 m for a, outside its bounds 0 mm to 9 m",
            ),
            (r#""name": "b""#, r#""name": "bb""#, "a parameter bb with another path, b"),
        ] {
            assert_eq!(FIT.matches(from).count(), 1, "{from}");
            let refused = SavedFit::read("x", &FIT.replace(from, to)).unwrap_err();
            assert!(refused.what.contains(words), "{}", refused.what);
        }
    }
}
