//! Measured runs: logger text and weighing notes in, clean series out, nothing lost on the way.

pub mod folder;
pub mod log;
mod moment;
pub mod sensors;
mod series;
pub mod weighings;

pub use moment::Moment;
pub use series::{Channel, Quantity, Series, Start};
