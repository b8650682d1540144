//! The cases of a sweep, run in parallel and written block by block.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use rayon::prelude::*;

use super::folder::Tables;
use crate::files::stop::{Cause, Listener, Outcome, Stop};
use crate::run::Record;
use crate::study::sweep::{Manifest, Row, SweepPlan, run_case};

/// Most cases between two writings: enough that no thread waits long for the slowest.
const BLOCK: usize = 32;

/// Time between two writings up to which more cases are taken at once \[s\]: an interrupted sweep loses
/// little, and its progress moves.
const SHORT_S: f64 = 0.5;

/// Runs what is missing, block by block, until `stop` is set; `at` is told how many cases there are.
///
/// # Errors
/// That it was stopped, or that its rows cannot be written.
pub fn run_all(
    talk: &dyn Listener,
    plan: &SweepPlan,
    tables: &mut Tables,
    manifest: &Manifest,
    (stop, mut at): (&AtomicBool, impl FnMut(usize)),
) -> Outcome {
    let range = manifest.range();
    let case = |i| run_case(plan, i, Record::Heads(&manifest.series));
    let mut next = range.start + tables.rows();
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
        at(next - range.start);
        if stop.load(Ordering::SeqCst) && next < range.end {
            let text = format!(
                "interrupted after {} of {} cases\n     write the same command with --resume to \
                 finish",
                next - range.start,
                range.len()
            );
            return Err(Stop::message(Cause::Interrupted, text));
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
