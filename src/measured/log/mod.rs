//! Logger text in, rows out: an importer that streams.
//!
//! ```text
//! bytes → lines → values of several lines joined → (first lines) decide → plan ┐
//!                                                └────────── every line ──────┴→ shape → pivot → values + clock → sorted rows → sink
//! ```
//! The first lines (see [`SAMPLE_LINES`]) are looked at as a whole and give a [`decide::ReadingPlan`] with one
//! [`decide::Layout`] for each form of lines; from there on lines are read one by one and nothing but
//! [`resort::MOST_ROWS`] rows is held. A [`decide::Pivot`] turns fields into uses where the line itself says which sensor or
//! quantity it is of; each sensor has a clock of its own, and readings at one time are joined in [`resort`].
//! The plan is tried on the first lines: what they contradict is asked about, and an option is printed only after it was tried
//! too (`advice`, `doubt`).
//! Every line is counted once in the [`Ledger`]. What the log does not say is a [`Guess`] with the
//! option that pins it; times and columns that cannot be told are errors, never inventions.
//!
//! To add a shape of lines: see [`shapes`]. A new label is a row in [`mod@lex::label`], a new unit one
//! in [`lex::unit`], a new kind of time a variant of [`decide::time::TimePlan`] and of
//! [`clock::Clock`], and a new kind of log a text with its truth in `tests/logs/kinds`.

mod advice;
pub mod bytes;
pub mod clock;
pub mod complaint;
pub mod decide;
mod doubt;
mod finish;
mod joiner;
mod late;
pub mod ledger;
pub mod lex;
pub mod moist;
pub mod options;
pub mod resort;
mod run;
pub mod shapes;
pub mod sink;
pub mod stamp_parts;
mod streams;
mod swap;
pub mod text;
pub mod values;

use std::io;

use bytes::{Line, Splitter, foreign};
pub use complaint::Guess;
use complaint::{error, strict};
pub use finish::Summary;
use joiner::Joiner;
pub use ledger::{Class, Ledger};
pub use moist::Moist;
pub use options::ImportOptions;
use run::Run;
pub use sink::{Column, Head, Row, SeriesSink, Sink, replay};

use crate::measured::Series;
use crate::reader::Issue;

/// Most lines looked at before the form is decided.
pub const SAMPLE_LINES: usize = 4096;
/// Most bytes looked at before the form is decided.
pub const SAMPLE_BYTES: usize = 1 << 20;

/// Lines after which the form of a log that is still being written is decided, once no more come.
const LIVE_LINES: usize = 64;
/// Time after which it is decided with fewer \[s\].
const LIVE_WAIT_S: f64 = 10.0;

/// Why an import ended early.
#[derive(Debug)]
pub enum Failure {
    /// The log cannot be read as it is.
    Input(Vec<Issue>),
    /// The rows could not be written.
    Output(io::Error),
}

impl From<io::Error> for Failure {
    fn from(e: io::Error) -> Self {
        Self::Output(e)
    }
}

/// Turns the bytes of a log into rows for a sink.
#[derive(Debug)]
pub struct Importer<S: Sink> {
    file: String,
    options: ImportOptions,
    splitter: Splitter,
    joiner: Joiner,
    fed: usize,
    sample: Vec<Line>,
    sample_bytes: usize,
    run: Option<Run>,
    sink: S,
}

impl<S: Sink> Importer<S> {
    /// An importer at the start of a log; `file` is its name in messages.
    pub fn new(file: &str, options: ImportOptions, sink: S) -> Self {
        let splitter = Splitter::new(options.encoding);
        let file = file.to_owned();
        let sample = Vec::new();
        let joiner = Joiner::default();
        Self { file, options, splitter, joiner, fed: 0, sample, sample_bytes: 0, run: None, sink }
    }

    /// Takes a piece of the log, of any size.
    ///
    /// # Errors
    /// [`Failure::Input`] when the form of the log cannot be told; [`Failure::Output`] from the sink.
    pub fn feed(&mut self, bytes: &[u8]) -> Result<(), Failure> {
        let mut lines = Vec::new();
        self.splitter.push(bytes, &mut lines);
        self.fed += bytes.len();
        if let Some(what) = foreign(self.splitter.head()) {
            return Err(Failure::Input(vec![self.no_text(what)]));
        }
        let lines = self.joiner.take(lines);
        self.lines(lines)?;
        // Without line ends there may never be a line to look at.
        if self.run.is_none() && self.fed >= 2 * SAMPLE_BYTES {
            self.decide()?;
        }
        Ok(())
    }

    /// The end of the log: what came of it, and the sink.
    ///
    /// # Errors
    /// As [`Importer::feed`]; also a log without times or with fewer than two rows.
    pub fn finish(mut self) -> Result<(Summary, S), Failure> {
        let mut lines = Vec::new();
        self.splitter.finish(&mut lines);
        if let Some(what) = foreign(self.splitter.head()) {
            return Err(Failure::Input(vec![self.no_text(what)]));
        }
        let mut lines = self.joiner.take(lines);
        self.joiner.finish(&mut lines);
        self.lines(lines)?;
        if self.run.is_none() {
            self.decide()?;
        }
        let Some(mut run) = self.run.take() else {
            return Err(Failure::Input(vec![]));
        };
        run.finish(&mut self.sink)?;
        let summary =
            finish::summary(&self.file, run, self.splitter.oddities(), &self.sample, S::ONE_AXIS);
        Ok((summary.map_err(Failure::Input)?, self.sink))
    }

    /// No piece of the log has come for a while, for so long since the first \[s\]: what is known goes out, and the form
    /// is decided if there is enough of it.
    ///
    /// # Errors
    /// As [`Importer::feed`].
    pub fn idle(&mut self, since_first_s: f64) -> Result<(), Failure> {
        let mut lines = Vec::new();
        self.splitter.settle(&mut lines);
        let lines = self.joiner.take(lines);
        self.lines(lines)?;
        if self.run.is_none() {
            let enough = self.sample.len() >= LIVE_LINES || since_first_s >= LIVE_WAIT_S;
            if !enough || self.sample.len() < 2 {
                return Ok(());
            }
            self.decide()?;
        }
        match &mut self.run {
            Some(run) => {
                run.flush(&mut self.sink)?;
                Ok(self.sink.rest()?)
            }
            None => Ok(()),
        }
    }

    /// Most rows that were held back at any time; bounded by [`resort::MOST_ROWS`] and one.
    pub fn most_rows_held(&self) -> usize {
        self.run.as_ref().map_or(0, |r| r.gate.most_held())
    }

    /// Lines held back now: the sample before the decision, hardly any after it.
    pub fn lines_held(&self) -> usize {
        if self.run.is_some() { 0 } else { self.sample.len() }
    }

    fn lines(&mut self, lines: Vec<Line>) -> Result<(), Failure> {
        for line in lines {
            match &mut self.run {
                Some(run) => run.line(&line, &mut self.sink)?,
                None => {
                    self.sample_bytes += line.text.len() + 1;
                    self.sample.push(line);
                    if self.sample.len() >= SAMPLE_LINES || self.sample_bytes >= SAMPLE_BYTES {
                        self.decide()?;
                    }
                }
            }
        }
        Ok(())
    }

    fn decide(&mut self) -> Result<(), Failure> {
        if self.fed == 0 || self.sample.is_empty() && self.fed < SAMPLE_BYTES {
            let hint = "check that the logger wrote something, and that this is its file";
            let issue = error(&self.file, 0, "empty", "the file is empty", None, hint);
            return Err(Failure::Input(vec![issue]));
        }
        if garbage(&self.sample) {
            return Err(Failure::Input(vec![
                self.no_text("no text (bytes without meaning as letters)"),
            ]));
        }
        let plan = self.plan().map_err(Failure::Input)?;
        let mut run = Run::new(plan, &self.options);
        let sample = std::mem::take(&mut self.sample);
        for line in &sample {
            run.line(line, &mut self.sink)?;
        }
        self.sample = sample;
        self.sample.truncate(finish::BANNER_LINES);
        self.run = Some(run);
        Ok(())
    }

    /// The plan of the first lines, tried on them.
    fn plan(&self) -> Result<decide::ReadingPlan, Vec<Issue>> {
        let (file, lines, options) = (&self.file, &self.sample, &self.options);
        let mut plan = decide::decide(file, lines, options).map_err(|all| {
            all.into_iter().map(|q| advice::asked(file, lines, q)).collect::<Vec<_>>()
        })?;
        doubt::raise(file, lines, options, &mut plan)?;
        if options.strict && !plan.guesses.is_empty() {
            return Err(plan.guesses.iter().map(|g| strict(file, g)).collect());
        }
        Ok(plan)
    }

    fn no_text(&self, what: &str) -> Issue {
        let hint = "export it as plain text or CSV, and import that";
        let what = format!("this is {what}, not the text of a logger");
        error(&self.file, 0, "not-text", what, None, hint)
    }
}

/// Whether most lines have letters that no text has.
fn garbage(lines: &[Line]) -> bool {
    let odd = |l: &&Line| {
        let wrong = |c: &char| c.is_control() && !matches!(c, '\t' | '\u{1b}' | '\u{c}');
        l.damaged || l.text.chars().filter(wrong).count() > 2
    };
    !lines.is_empty() && 2 * lines.iter().filter(odd).count() > lines.len()
}

/// Imports a whole text into memory.
///
/// # Errors
/// As [`Importer::finish`].
pub fn import(
    file: &str,
    bytes: &[u8],
    options: ImportOptions,
) -> Result<(Summary, Series), Failure> {
    /// Fed in pieces, as a file is.
    const PIECE: usize = 1 << 16;
    let mut importer = Importer::new(file, options, SeriesSink::default());
    for piece in bytes.chunks(PIECE) {
        importer.feed(piece)?;
    }
    let (summary, sink) = importer.finish()?;
    Ok((summary, sink.into_series()))
}
