//! What a fit is asked.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use std::path::{Path, PathBuf};

use crate::reader::{Issue, Report, Source};
use crate::study::box_fit::{self, FreePath, RunData};

/// What a fit is asked, as typed.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// Folders of measured runs, or one scenario file with tables.
    pub runs: &'a [PathBuf],
    /// Scenario of the box for all folders.
    pub scenario: Option<&'a Path>,
    /// Tables of readings.
    pub data: &'a [PathBuf],
    /// Free paths.
    pub free: &'a [String],
    /// Those with a value of its own in each run.
    pub free_per_run: &'a [String],
    /// Which columns of tables are compared with what.
    pub map: &'a [String],
    /// Assignments on top of the scenario.
    pub sets: &'a [String],
    /// Time up to which readings are fitted.
    pub hold_out_after: Option<&'a str>,
    /// Folders that are predicted.
    pub hold_out_run: &'a [PathBuf],
    /// Span of the means that are compared.
    pub cycle_means: Option<&'a str>,
    /// Time over which the noise of a log forgets itself.
    pub correlation: Option<&'a str>,
    /// Whether relative humidity is compared as it is.
    pub keep_humidity: bool,
}

/// What was asked, read and checked.
pub struct Question {
    /// Text of the scenario of each run.
    pub texts: Vec<String>,
    /// The first of them.
    pub source: Source,
    /// Its title.
    pub title: String,
    /// What is free.
    pub free: Vec<FreePath>,
    /// The runs that are fitted, without held-out readings.
    pub runs: Vec<RunData>,
    /// The same runs with all of their readings, held-out ones too.
    pub whole: Vec<RunData>,
    /// Time after which readings are held out \[s\].
    pub split_s: Option<f64>,
    /// The part of each run that is not fitted.
    pub later: Vec<RunData>,
    /// Other runs that are not fitted.
    pub others: Vec<RunData>,
    /// What a reader must know of how the readings were taken.
    pub notes: Vec<String>,
    /// Those of the notes that tell which readings of tables are left out.
    pub left_out: Vec<String>,
    /// Span of the means over heating cycles that are compared, if any \[s\].
    pub means_s: Option<f64>,
}

impl Question {
    /// What is asked of runs of which nothing is held out yet.
    pub fn new(
        texts: Vec<String>,
        source: Source,
        title: String,
        free: Vec<FreePath>,
        runs: Vec<RunData>,
    ) -> Self {
        Question {
            texts,
            source,
            title,
            free,
            runs,
            whole: Vec::new(),
            split_s: None,
            later: Vec::new(),
            others: Vec::new(),
            notes: Vec::new(),
            left_out: Vec::new(),
            means_s: None,
        }
    }
}

/// The options that are times.
pub struct Times {
    pub correlation_s: Option<f64>,
    pub split_s: Option<f64>,
    pub means_s: Option<f64>,
}

/// The free paths: read in the first scenario, there in all of them.
pub fn free_paths(fit: &Asked<'_>, reports: &[&Report], issues: &mut Vec<Issue>) -> Vec<FreePath> {
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
pub fn path_of(typed: &str) -> String {
    let path = typed.split_once('=').map_or(typed, |(p, _)| p).trim();
    path.to_owned()
}
