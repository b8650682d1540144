//! Tokens of logger text: numbers, missing values, units, labels, dates and clocks.

pub mod label;
pub mod number;
pub mod stamp;
pub mod unit;

pub use label::{Label, Meaning, label};
pub use number::{Decimal, is_missing, number};
pub use stamp::{Date, Stamp};
pub use unit::Unit;
