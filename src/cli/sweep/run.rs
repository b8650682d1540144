//! The cases of a sweep, run in parallel and written block by block.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use rayon::prelude::*;

use super::folder::Tables;
use super::progress::Progress;
use crate::cli::output::Talk;
use crate::cli::{Exit, Outcome, Stop};
use crate::run::Record;
use crate::study::sweep::{Manifest, Row, SweepPlan, run_case};

/// Most cases between two writings: enough that no thread waits long for the slowest.
const BLOCK: usize = 32;

/// Time between two writings up to which more cases are taken at once \[s\]: an interrupted sweep loses
/// little, and its progress moves.
const SHORT_S: f64 = 0.5;

/// Runs what is missing, block by block.
pub(super) fn run_all(
    talk: &Talk,
    plan: &SweepPlan,
    tables: &mut Tables,
    manifest: &Manifest,
) -> Outcome {
    let stop = Arc::new(AtomicBool::new(false));
    let flag = Arc::clone(&stop);
    // If there can be no handler, Ctrl-C ends the program as it always did.
    let _ = signal_hook::flag::register(signal_hook::consts::SIGINT, flag);
    let range = manifest.range();
    let case = |i| run_case(plan, i, Record::Heads(&manifest.series));
    let mut next = range.start + tables.rows();
    let mut progress = Progress::new(talk, range.len(), tables.rows());
    // Slow cases are written as soon as each thread has one.
    let mut block = rayon::current_num_threads();
    while next < range.end {
        let start = Instant::now();
        let end = (next + block).min(range.end);
        let rows: Vec<Row> = (next..end).into_par_iter().map(case).collect();
        tables.append(plan, &rows)?;
        next = end;
        if start.elapsed().as_secs_f64() < SHORT_S {
            block = BLOCK.max(block);
        } else {
            block = rayon::current_num_threads();
        }
        progress.at(next - range.start);
        if stop.load(Ordering::SeqCst) && next < range.end {
            let text = format!(
                "interrupted after {} of {} cases\n     write the same command with --resume to \
                 finish",
                next - range.start,
                range.len()
            );
            return Err(Stop::message(Exit::Interrupted, text));
        }
    }
    let failed = match tables.failed() {
        0 => String::new(),
        n => format!("; {n} failed, see the column reason"),
    };
    let ended = match tables.ended() {
        0 => String::new(),
        n => format!("; {n} ended before their time, see the column reason"),
    };
    talk.note(&format!("{} cases in {}{ended}{failed}", range.len(), tables.folder().display()));
    Ok(())
}
