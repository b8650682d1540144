//! `[run]`: how long and how finely.

use crate::reader::Section;
use crate::units::Kind;

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
    /// Reads `[run]`.
    pub fn read(s: &Section) -> RunSpec {
        let duration_s = s.quantity("duration", Kind::Time, 1.0..=3.2e7);
        let output_every_s =
            s.quantity_or("output_every", Kind::Time, 0.1..=1e6, 30.0, "usual logger step");
        if duration_s / output_every_s > MOST_ROWS {
            s.fail(
                "output_every",
                "too-many-rows",
                "makes more than two million rows of output",
                None,
                Some("raise `output_every`".into()),
            );
        }
        let tolerance = s.number_or(
            "tolerance",
            1e-10..=1e-3,
            1e-6,
            "our choice: errors far below those of any sensor",
        );
        RunSpec { duration_s, output_every_s, tolerance }
    }
}
