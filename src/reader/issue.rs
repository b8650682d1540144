//! One mistake or warning, and how a list of them is printed.

use std::fmt;

use serde::Serialize;

/// Most issues printed at once; more would hide the first one.
pub const MAX_SHOWN: usize = 20;

/// How grave an issue is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The input cannot be used.
    Error,
    /// The input can be used but should be looked at.
    Warning,
}

/// Something wrong or odd in the input: where, what, why, and one thing to type.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Issue {
    /// How grave it is.
    pub severity: Severity,
    /// A stable word for the class of mistake.
    pub code: &'static str,
    /// The file as the user named it, or the `--set path=value` that is at fault.
    pub file: String,
    /// Line in the file from 1; 0 when there is none.
    pub line: usize,
    /// Column in characters from 1; 0 when there is none.
    pub column: usize,
    /// Dotted path of the key, empty when the issue is about the whole file.
    pub path: String,
    /// What is wrong, as a clause.
    pub what: String,
    /// Why that is wrong.
    pub why: Option<String>,
    /// What to type instead.
    pub hint: Option<String>,
}

impl Issue {
    /// An error about a whole file; an empty hint is none.
    #[must_use]
    pub fn of_file(code: &'static str, file: &str, what: String, hint: &str) -> Self {
        Self {
            severity: Severity::Error,
            code,
            file: file.to_owned(),
            line: 0,
            column: 0,
            path: String::new(),
            what,
            why: None,
            hint: (!hint.is_empty()).then(|| hint.to_owned()),
        }
    }

    /// Sorts by place; what has no line comes last.
    pub(super) fn order(&self) -> (usize, usize) {
        (if self.line == 0 { usize::MAX } else { self.line }, self.column)
    }
}

impl fmt::Display for Issue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let severity = match self.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        };
        write!(f, "{severity}: {}", self.file)?;
        if self.line > 0 {
            write!(f, ":{}", self.line)?;
        }
        write!(f, ": {}", self.what)?;
        let advice: Vec<&str> = [&self.why, &self.hint]
            .into_iter()
            .flatten()
            .map(String::as_str)
            .filter(|s| !s.is_empty())
            .collect();
        match advice[..] {
            [why, hint] => write!(f, "\n     {} {}", sentence(why), capital(hint)),
            [only] => write!(f, "\n     {only}"),
            _ => Ok(()),
        }
    }
}

/// With a full stop, if it ends without one.
fn sentence(text: &str) -> String {
    let stop = if text.ends_with(['.', '?', '!']) { "" } else { "." };
    format!("{text}{stop}")
}

/// With a capital at its start.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The issues as text, the first [`MAX_SHOWN`] of them in full.
#[must_use]
pub fn render(issues: &[Issue]) -> String {
    let mut out = String::new();
    for issue in issues.iter().take(MAX_SHOWN) {
        out.push_str(&issue.to_string());
        out.push('\n');
    }
    if issues.len() > MAX_SHOWN {
        out.push_str(&format!("… and {} more\n", issues.len() - MAX_SHOWN));
    }
    out
}

/// An error without a place.
pub(super) fn blank(code: &'static str, what: String, hint: Option<String>) -> Issue {
    Issue { hint, ..Issue::of_file(code, "", what, "") }
}
