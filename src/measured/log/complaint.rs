//! Messages about a log: errors, guesses and remarks.

use super::options::ImportOptions;
use crate::reader::{Issue, Severity};

/// Something that was found out and not stated by the log, with the option that pins it.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Guess {
    /// What was taken to be so, and why.
    pub what: String,
    /// What to type to pin it.
    pub pin: String,
}

/// An option that may be what the person means.
#[derive(Clone, Debug)]
pub struct Attempt {
    /// What to type.
    pub text: String,
    /// What it sets.
    pub options: ImportOptions,
}

/// An error about a log, with the options that may answer it: they are tried before they are printed.
#[derive(Clone, Debug)]
pub struct Question {
    /// What is wrong; its hint stands where there is no attempt.
    pub issue: Issue,
    /// What may be typed.
    pub attempts: Vec<Attempt>,
}

impl From<Issue> for Question {
    fn from(issue: Issue) -> Self {
        Self { issue, attempts: Vec::new() }
    }
}

/// An error about the log.
pub fn error(
    file: &str,
    line: u64,
    code: &'static str,
    what: impl Into<String>,
    why: Option<String>,
    hint: impl Into<String>,
) -> Issue {
    Issue { line: line as usize, why, ..Issue::of_file(code, file, what.into(), &hint.into()) }
}

/// Something odd that does not stop the import.
pub fn warning(file: &str, line: u64, code: &'static str, what: impl Into<String>) -> Issue {
    let severity = Severity::Warning;
    Issue { severity, ..error(file, line, code, what, None, "") }
}

/// A guess as an error, for `--strict`.
pub fn strict(file: &str, guess: &Guess) -> Issue {
    let hint = format!("if that is right: {}", guess.pin);
    error(file, 0, "guess", format!("{} (--strict allows no guess)", guess.what), None, hint)
}

/// Things that happened more than once: the first line, the count, and an example.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    entries: Vec<Entry>,
}

#[derive(Clone, Debug)]
struct Entry {
    code: &'static str,
    line: u64,
    count: u64,
    what: String,
}

/// Most different things told; a file of garbage has too many.
const MOST: usize = 40;

impl Tally {
    /// Notes one; those with the same code and text are counted together.
    pub fn note(&mut self, code: &'static str, line: u64, what: &str) {
        let room = self.entries.len() < MOST;
        match self.entries.iter_mut().find(|e| e.code == code && e.what == what) {
            Some(entry) => entry.count += 1,
            None if room => {
                let what = what.to_owned();
                self.entries.push(Entry { code, line, count: 1, what });
            }
            None => {}
        }
    }

    /// Notes one; those with the same code are counted together under the text of the first.
    pub fn note_like(&mut self, code: &'static str, line: u64, what: &str) {
        match self.entries.iter_mut().find(|e| e.code == code) {
            Some(entry) => entry.count += 1,
            None => self.note(code, line, what),
        }
    }

    /// All of them as warnings at their first lines.
    #[must_use]
    pub fn warnings(&self, file: &str) -> Vec<Issue> {
        let one = |e: &Entry| {
            let more = match e.count {
                1 => String::new(),
                n => format!(" ({n} times, first here)"),
            };
            warning(file, e.line, e.code, format!("{}{more}", e.what))
        };
        self.entries.iter().map(one).collect()
    }
}
