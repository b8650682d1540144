//! Standard output and error, and what messages say of files.

use std::io::{self, IsTerminal, Write};

use super::Colour;
use crate::files::{Cause, Listener, Outcome, Stop, reason};
use crate::reader::{Issue, MAX_SHOWN, Severity};
use crate::text::{visible, visible_json};

/// What goes to standard error.
#[derive(Debug)]
pub(super) struct Talk {
    quiet: bool,
    coloured: bool,
}

impl Talk {
    pub(super) fn new(quiet: bool, colour: Colour) -> Self {
        let coloured = match colour {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => is_coloured(&io::stderr()),
        };
        Talk { quiet, coloured }
    }

    /// Whether notes are silenced.
    pub(super) fn is_quiet(&self) -> bool {
        self.quiet
    }

    /// What is wrong with the command line.
    pub(super) fn error(&self, text: &str) {
        self.say("", text.trim_end());
    }

    /// Why the command ended early.
    pub(super) fn stop(&self, stop: &Stop) {
        self.issues(&stop.issues);
        if !stop.message.is_empty() {
            self.say(self.word(Severity::Error), &format!(": {}", stop.message));
        }
    }

    fn issues(&self, issues: &[Issue]) {
        for issue in issues.iter().take(MAX_SHOWN) {
            let plain = issue.to_string();
            let word = if issue.severity == Severity::Error { "error" } else { "warning" };
            let rest = plain.strip_prefix(word).unwrap_or(&plain);
            self.say(self.word(issue.severity), rest);
        }
        if issues.len() > MAX_SHOWN {
            self.say("", &format!("... and {} more", issues.len() - MAX_SHOWN));
        }
    }

    fn word(&self, severity: Severity) -> &'static str {
        match (severity, self.coloured) {
            (Severity::Error, true) => "\u{1b}[1;31merror\u{1b}[0m",
            (Severity::Error, false) => "error",
            (Severity::Warning, true) => "\u{1b}[1;33mwarning\u{1b}[0m",
            (Severity::Warning, false) => "warning",
        }
    }

    /// What others wrote may stand in the text. A closed standard error is nobody's loss.
    fn say(&self, word: &str, text: &str) {
        let _ = writeln!(io::stderr().lock(), "{word}{}", visible(text));
    }
}

impl Listener for Talk {
    /// A note that may be silenced.
    fn note(&self, text: &str) {
        if !self.quiet {
            self.say("", text);
        }
    }

    /// Warnings; silenced by `--quiet`.
    fn warnings(&self, issues: &[Issue]) {
        if !self.quiet {
            self.issues(issues);
        }
    }
}

/// Whether a stream takes colours.
pub(super) fn is_coloured(stream: &impl IsTerminal) -> bool {
    std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty()) && stream.is_terminal()
}

/// Writes to standard output, where what others wrote may stand in the text.
pub(super) fn print(text: &str) -> Outcome {
    print_styled(&visible(text))
}

/// Writes a text of our own. A closed pipe ends the program quietly: the reader has enough.
pub(super) fn print_styled(text: &str) -> Outcome {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Ok(()),
        Err(e) if e.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        Err(e) => Err(not_printed(&e)),
    }
}

pub(super) fn not_printed(e: &io::Error) -> Stop {
    Stop::message(Cause::Output, format!("cannot write to standard output: {}", reason(e)))
}

/// Pretty JSON of a result.
pub(super) fn json<T: serde::Serialize>(value: &T) -> Result<String, Stop> {
    serde_json::to_string_pretty(value)
        .map(|text| visible_json(&text).into_owned() + "\n")
        .map_err(|e| Stop::message(Cause::Output, format!("cannot write JSON: {e}")))
}
