//! The fit of a box to measured runs: parameter paths of a scenario against readings.
//!
//! Each run is a scenario with its own assignments (room, logged heater, start) and its readings.
//! A reading is compared with a column of the simulated run at exactly its time. A humidity sensor
//! with a temperature beside it is compared as vapour pressure: a relative humidity moves by 6 %
//! for each kelvin that the model's temperature is off, a vapour pressure hardly.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

mod bounds;
mod curves;
mod data;
mod doubts;
mod exact;
mod folder;
mod free;
mod link;
mod look;
mod means;
mod misread;
mod plan;
mod predict;
mod prepare;
mod problem;
mod room;
mod rows;
mod saved;
mod shared;
mod solve;
mod table;
mod typed;
mod vapour;
mod weights;
mod write;

pub use bounds::beyond_the_box;
pub use curves::Curve;
pub use data::{Common, Compared, FreePath, Input, Observed, RunData, Start};
pub use exact::ExactRow;
pub use folder::{BoundRun, Folder, bind_folder, differences};
pub use free::free_path;
pub use link::Link;
pub use means::average;
pub use plan::{PlannedMetric, metric, plan, plan_metric};
pub use predict::{HeldOut, Prediction};
pub use problem::BoxFit;
pub use rows::{Course, ErrorRow, ParameterRow, PriorRow, SeriesRow};
pub use saved::{Draws, SavedFit};
pub use solve::{Outcome, Settings, solve};
pub use table::FitTable;
pub use typed::bind;
pub use write::Written;
