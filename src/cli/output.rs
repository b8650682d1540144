//! Standard output and error, and files that are not overwritten by accident.

use std::fs;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};

use super::{Colour, Exit, Outcome, Stop};
use crate::reader::{Issue, MAX_SHOWN, Severity};

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
            Colour::Auto => {
                let wanted = std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty());
                wanted && io::stderr().is_terminal()
            }
        };
        Talk { quiet, coloured }
    }

    /// Whether notes are silenced.
    pub(super) fn is_quiet(&self) -> bool {
        self.quiet
    }

    /// A note that may be silenced.
    pub(super) fn note(&self, text: &str) {
        if !self.quiet {
            self.say(text);
        }
    }

    /// Warnings; silenced by `--quiet`.
    pub(super) fn warnings(&self, issues: &[Issue]) {
        if !self.quiet {
            self.issues(issues);
        }
    }

    /// Why the command ended early.
    pub(super) fn stop(&self, stop: &Stop) {
        self.issues(&stop.issues);
        if !stop.message.is_empty() {
            self.say(&format!("{}: {}", self.word(Severity::Error), stop.message));
        }
    }

    fn issues(&self, issues: &[Issue]) {
        for issue in issues.iter().take(MAX_SHOWN) {
            let plain = issue.to_string();
            let word = if issue.severity == Severity::Error { "error" } else { "warning" };
            let rest = plain.strip_prefix(word).unwrap_or(&plain);
            self.say(&format!("{}{rest}", self.word(issue.severity)));
        }
        if issues.len() > MAX_SHOWN {
            self.say(&format!("... and {} more", issues.len() - MAX_SHOWN));
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

    /// A closed standard error is nobody's loss.
    fn say(&self, text: &str) {
        let _ = writeln!(io::stderr().lock(), "{text}");
    }
}

/// Writes to standard output. A closed pipe ends the program quietly: the reader has enough.
pub(super) fn print(text: &str) -> Outcome {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Ok(()),
        Err(e) if e.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        Err(e) => Err(Stop::message(
            Exit::Output,
            format!("cannot write to standard output: {}", reason(&e)),
        )),
    }
}

/// Writes a file, which must not exist yet unless `force` is given.
pub(super) fn write(path: &Path, bytes: &[u8], force: bool) -> Outcome {
    if path.is_dir() {
        let text = format!("{} is a folder\n     write a file name after -o", path.display());
        return Err(Stop::message(Exit::Output, text));
    }
    if path.exists() && !force {
        let text = format!(
            "{} exists already\n     write --force to replace it, or another name after -o",
            path.display()
        );
        return Err(Stop::message(Exit::Output, text));
    }
    whole(path, bytes).map_err(|e| cannot_write(path, &e))
}

/// Writes a file whole or not at all: a picture that ends in its middle would look damaged later.
pub(super) fn whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let new = !path.exists();
    let done = fs::write(path, bytes);
    if done.is_err() && new {
        // What is left of it is of no use, and the disk may be full.
        let _ = fs::remove_file(path);
    }
    done
}

/// Refuses a file where a folder is to be written.
pub(super) fn not_a_file(folder: &Path) -> Outcome {
    if folder.exists() && !folder.is_dir() {
        let text = format!("{} is a file\n     write a folder after -o", folder.display());
        return Err(Stop::message(Exit::Output, text));
    }
    Ok(())
}

/// Whether files of these names may be written into a folder: seen before a long simulation.
pub(super) fn check_folder(folder: &Path, names: &[String], force: bool) -> Outcome {
    not_a_file(folder)?;
    let there: Vec<PathBuf> =
        names.iter().map(|name| folder.join(name)).filter(|p| p.exists()).collect();
    if let (Some(first), false) = (there.first(), force) {
        let text = format!(
            "{} exists already ({} of {} files)\n     write --force to replace them, or another \
             folder after -o",
            first.display(),
            there.len(),
            names.len()
        );
        return Err(Stop::message(Exit::Output, text));
    }
    make_folder(folder)
}

/// Makes a folder with all above it.
pub(super) fn make_folder(folder: &Path) -> Outcome {
    fs::create_dir_all(folder).map_err(|e| {
        let why = match e.kind() {
            // Of the folder itself that would be no news.
            io::ErrorKind::NotFound => "nothing can be made there".to_owned(),
            _ => reason(&e),
        };
        let hint = "write another place after -o";
        let text = format!("cannot make the folder {}: {why}\n     {hint}", folder.display());
        Stop::message(Exit::Output, text)
    })
}

/// Writes several files into a folder that [`check_folder`] has made and found free.
pub(super) fn write_folder(folder: &Path, files: &[(String, Vec<u8>)]) -> Outcome {
    files.iter().try_for_each(|(name, bytes)| write(&folder.join(name), bytes, true))
}

fn cannot_write(path: &Path, e: &io::Error) -> Stop {
    let hint = match e.kind() {
        io::ErrorKind::NotFound => "make the folder first, or write another place after -o",
        _ => "write another place after -o",
    };
    let text = format!("cannot write {}: {}\n     {hint}", path.display(), reason(e));
    Stop::message(Exit::Output, text)
}

/// What went wrong with a file, in words without numbers.
pub(super) fn reason(e: &io::Error) -> String {
    match e.kind() {
        io::ErrorKind::NotFound => "there is no such file or folder".into(),
        io::ErrorKind::PermissionDenied => "permission denied".into(),
        io::ErrorKind::IsADirectory => "it is a folder".into(),
        io::ErrorKind::AlreadyExists => "it exists already".into(),
        io::ErrorKind::NotADirectory => "a part of its path is a file, not a folder".into(),
        io::ErrorKind::StorageFull => "no space left".into(),
        _ => e.to_string(),
    }
}

/// Pretty JSON of a result.
pub(super) fn json<T: serde::Serialize>(value: &T) -> Result<String, Stop> {
    serde_json::to_string_pretty(value)
        .map(|text| text + "\n")
        .map_err(|e| Stop::message(Exit::Output, format!("cannot write JSON: {e}")))
}
