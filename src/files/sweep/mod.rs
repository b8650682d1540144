//! The folder of a sweep: begun, finished, checked, joined.

mod decided;
mod figures;
mod folder;
mod merge;
mod names;
mod run;
mod verify;

pub use figures::{CheckedRequest, Drawn, FigureRequest};
pub use folder::Tables;
pub use merge::merge;
pub use run::run_all;
