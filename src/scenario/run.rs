//! `[run]`: how long and how finely.

use crate::reader::{Key, Keys, Section, key};
use crate::units::Kind;

const DURATION: Key =
    key::quantity("duration", Kind::Time, 1.0..=3.2e7).help("how long the run is");
const OUTPUT_EVERY: Key = key::quantity("output_every", Kind::Time, 0.1..=1e6)
    .or(30.0, "usual logger step")
    .help("time from row to row of the output; results do not hang on it");
const TOLERANCE: Key = key::number("tolerance", 1e-10..=1e-3)
    .or(1e-6, "our choice: errors far below those of any sensor")
    .help("relative tolerance of the solver");

/// `[run]`.
#[derive(Clone, Copy, Debug)]
pub struct RunSpec {
    /// Simulated time \[s\].
    pub duration_s: f64,
    /// Step of the output \[s\].
    pub output_every_s: f64,
    /// Relative tolerance of the solver.
    pub tolerance: f64,
}

/// Most rows that a run may write: a person can still open such a table.
const MOST_ROWS: f64 = 2e6;

impl RunSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] =
        &[Keys::always("run", "how long and how finely", &[&DURATION, &OUTPUT_EVERY, &TOLERANCE])];

    /// Reads `[run]`.
    pub fn read(s: &Section) -> RunSpec {
        let duration_s = s.quantity(&DURATION);
        let output_every_s = s.quantity(&OUTPUT_EVERY);
        if duration_s / output_every_s > MOST_ROWS {
            s.fail(
                "output_every",
                "too-many-rows",
                "makes more than two million rows of output",
                None,
                Some("raise `output_every`".into()),
            );
        }
        let tolerance = s.quantity(&TOLERANCE);
        RunSpec { duration_s, output_every_s, tolerance }
    }
}
