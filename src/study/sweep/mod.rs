//! Sweeps: one scenario, or several, run over values of any of their parameters.
//!
//! [`Axis`] is what was typed, [`SweepPlan`] the cases it makes, [`run_case`] runs one of them, and a
//! [`Manifest`] says what a folder of results belongs to. Nothing here opens a file.

mod account;
mod axis;
mod check;
mod design;
mod manifest;
mod plan;
mod row;
mod seal;
mod spread;
mod table;

pub use account::Account;
pub use axis::{Axis, Values, is_label};
pub use design::{Design, LEAST_POINTS};
pub use manifest::{Fingerprint, Manifest, SWEEP_SCHEMA_VERSION, Shard, columns_fingerprint};
pub use plan::{Base, Shown, SweepPlan};
pub use row::{
    BOUNDS, ENDED, MISSING, Row, STATUS, Setting, WARNINGS, csv_head, run_case, series_head, short,
};
pub use seal::{CHECKSUM, Seal};
pub use spread::InputSpread;
pub use table::{Bundle, Line, SweepTable};
