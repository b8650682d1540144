//! Sweeps: one scenario, or several, run over values of any of their parameters.
//!
//! [`Axis`] is what was typed, [`Plan`] the cases it makes, [`run_case`] runs one of them, and a
//! [`Manifest`] says what a folder of results belongs to. Nothing here opens a file.

mod axis;
mod manifest;
mod plan;
mod row;
mod table;

pub use axis::{Axis, MOST};
pub use manifest::{Fingerprint, Manifest, SWEEP_SCHEMA_VERSION, Shard, fingerprint};
pub use plan::{Base, Design, Plan};
pub use row::{Row, Setting, csv_head, run_case};
pub use table::{Line, Table};
