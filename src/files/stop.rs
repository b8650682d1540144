//! Why something was not done, and whom to tell what happens meanwhile.

use std::fs;
use std::io;
use std::path::Path;

use crate::reader::Issue;

/// What stood in the way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// Nothing: whoever was written to has enough.
    Nothing,
    /// Something in the command line is wrong.
    CommandLine,
    /// Something in the input is wrong.
    BadInput,
    /// The numbers could not be found.
    Numerical,
    /// The output could not be written.
    Output,
    /// Written, but the run left the range of the model before its time.
    Ended,
    /// Stopped by the user, with valid output so far.
    Interrupted,
}

/// Why something ended early, and what a user should read of it.
#[derive(Debug)]
pub struct Stop {
    /// What stood in the way.
    pub cause: Cause,
    /// Mistakes in the input.
    pub issues: Vec<Issue>,
    /// Anything else, with one thing to type in its second line.
    pub message: String,
}

impl Stop {
    /// For mistakes in the input.
    #[must_use]
    pub fn input(issues: Vec<Issue>) -> Self {
        Stop { cause: Cause::BadInput, issues, message: String::new() }
    }

    /// For anything else.
    pub fn message(cause: Cause, message: impl Into<String>) -> Self {
        Stop { cause, issues: Vec::new(), message: message.into() }
    }
}

/// Done, or why not.
pub type Outcome = Result<(), Stop>;

/// Whoever is told what happens on the way.
pub trait Listener: Sync {
    /// A line that is good to know.
    fn note(&self, text: &str);

    /// What is odd but usable.
    fn warnings(&self, issues: &[Issue]);
}

/// Refuses a file where a folder is to be written.
pub fn not_a_file(folder: &Path) -> Outcome {
    if folder.exists() && !folder.is_dir() {
        let text = format!("{} is a file\n     write a folder after -o", folder.display());
        return Err(Stop::message(Cause::Output, text));
    }
    Ok(())
}

/// That another run holds a folder.
pub fn in_use(folder: &Path) -> Stop {
    let text = format!(
        "another drybench is writing into {}\n     wait until it is done, or write another folder \
         after -o",
        folder.display()
    );
    Stop::message(Cause::Output, text)
}

/// Makes a folder with all above it.
pub fn make_folder(folder: &Path) -> Outcome {
    fs::create_dir_all(folder).map_err(|e| cannot_make(folder, &e))
}

pub fn cannot_make(folder: &Path, e: &io::Error) -> Stop {
    let why = match e.kind() {
        // Of the folder itself that would be no news.
        io::ErrorKind::NotFound => "nothing can be made there".to_owned(),
        _ => reason(e),
    };
    let hint = "write another place after -o";
    let text = format!("cannot make the folder {}: {why}\n     {hint}", folder.display());
    Stop::message(Cause::Output, text)
}

/// That a file cannot be written.
pub fn cannot_write(path: &Path, e: &io::Error) -> Stop {
    let hint = match e.kind() {
        io::ErrorKind::NotFound => "make the folder first, or write another place after -o",
        _ => "write another place after -o",
    };
    let text = format!("cannot write {}: {}\n     {hint}", path.display(), reason(e));
    Stop::message(Cause::Output, text)
}

/// What went wrong with a file, in words without numbers.
pub fn reason(e: &io::Error) -> String {
    match e.kind() {
        io::ErrorKind::NotFound => "there is no such file or folder".into(),
        io::ErrorKind::PermissionDenied => "permission denied".into(),
        io::ErrorKind::IsADirectory => "it is a folder".into(),
        io::ErrorKind::AlreadyExists => "it exists already".into(),
        io::ErrorKind::NotADirectory => "a part of its path is a file, not a folder".into(),
        io::ErrorKind::StorageFull => "no space left".into(),
        io::ErrorKind::FileTooLarge if e.raw_os_error().is_some() => {
            "it is larger than a file may be here".into()
        }
        _ => e.to_string(),
    }
}
