//! What decides a result: shares of its variance, and how far it moves with one value alone.
//!
//! Works on the rows of a finished sweep, or on any list of results in the same order.

mod indices;
mod swing;

pub use indices::{Index, Indices, Interval, indices};
pub use swing::{Swing, swings};
