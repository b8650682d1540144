//! What `drybench fit` is asked.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use super::options::Fit;
use crate::reader::{Issue, Report, Source};
use crate::study::box_fit::{self, FreePath, RunData};

/// What was asked, read and checked.
pub(super) struct Question {
    /// Text of the scenario of each run.
    pub(super) texts: Vec<String>,
    /// The first of them.
    pub(super) source: Source,
    pub(super) title: String,
    pub(super) free: Vec<FreePath>,
    pub(super) runs: Vec<RunData>,
    /// The same runs with all of their readings, held-out ones too.
    pub(super) whole: Vec<RunData>,
    /// Time after which readings are held out \[s\].
    pub(super) split_s: Option<f64>,
    /// The part of each run that is not fitted.
    pub(super) later: Vec<RunData>,
    /// Other runs that are not fitted.
    pub(super) others: Vec<RunData>,
    /// What a reader must know of how the readings were taken.
    pub(super) notes: Vec<String>,
    /// Those of the notes that tell which readings of tables are left out.
    pub(super) left_out: Vec<String>,
    /// Span of the means over heating cycles that are compared, if any \[s\].
    pub(super) means_s: Option<f64>,
}

impl Question {
    /// What is asked of runs of which nothing is held out yet.
    pub(super) fn new(
        texts: Vec<String>,
        source: Source,
        title: String,
        free: Vec<FreePath>,
        runs: Vec<RunData>,
    ) -> Self {
        let (whole, later, others) = (Vec::new(), Vec::new(), Vec::new());
        let (notes, left_out, split_s, means_s) = (Vec::new(), Vec::new(), None, None);
        Question {
            texts,
            source,
            title,
            free,
            runs,
            whole,
            split_s,
            later,
            others,
            notes,
            left_out,
            means_s,
        }
    }
}

/// The options that are times.
pub(super) struct Times {
    pub(super) correlation_s: Option<f64>,
    pub(super) split_s: Option<f64>,
    pub(super) means_s: Option<f64>,
}

/// The free paths: read in the first scenario, there in all of them.
pub(super) fn free_paths(fit: &Fit, reports: &[&Report], issues: &mut Vec<Issue>) -> Vec<FreePath> {
    let shared = fit.free.iter().map(|t| (t, false));
    let own = fit.free_per_run.iter().map(|t| (t, true));
    let mut free: Vec<FreePath> = Vec::new();
    for (text, per_run) in shared.chain(own) {
        let mut read = reports.iter().map(|r| box_fit::free_path(text, per_run, r));
        // What is wrong in one is told once.
        match read.next().map(|first| read.find_map(Result::err).map_or(first, Err)) {
            Some(Ok(path)) => free.push(path),
            Some(Err(issue)) => issues.push(issue),
            None => {}
        }
    }
    free
}

/// The path before the `=` of an option.
pub(super) fn path_of(typed: &str) -> String {
    let path = typed.split_once('=').map_or(typed, |(p, _)| p).trim();
    path.to_owned()
}
