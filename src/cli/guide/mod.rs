//! `drybench guide`: the chapters of the guide on the terminal.

mod plain;

use clap::Args;

use crate::cli::output::print;
use crate::files::{Cause, Outcome, Stop};
use crate::guide::{CHAPTERS, chapter};
use plain::plain;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench guide\n  \
    drybench guide first_box")]
pub(super) struct Guide {
    /// Chapter to show; without it all chapters with one line each
    #[arg(value_name = "CHAPTER")]
    chapter: Option<String>,
}

impl Guide {
    pub(super) fn run(&self) -> Outcome {
        let Some(typed) = &self.chapter else { return print(&list()) };
        match chapter(typed) {
            Some(chapter) => print(&plain(chapter.text)),
            None => Err(Stop::message(Cause::CommandLine, unknown(typed))),
        }
    }
}

fn list() -> String {
    let widest = CHAPTERS.iter().map(|c| c.name.len()).max().unwrap_or(0);
    let rows = CHAPTERS.iter().map(|c| format!("  {:<widest$}  {}\n", c.name, c.line));
    format!(
        "Chapters of the guide\n\n{}\nRead one:  drybench guide first_box\n",
        rows.collect::<String>()
    )
}

fn unknown(typed: &str) -> String {
    let names = CHAPTERS.iter().map(|c| c.name);
    let hint = match crate::text::closest(typed, names.clone()) {
        Some(near) => format!("did you mean: drybench guide {near}"),
        None => format!("chapters: {}", names.collect::<Vec<_>>().join(", ")),
    };
    format!("the guide has no chapter \"{typed}\"\n     {hint}")
}
