//! Tokens of logger text: numbers, missing values, units, labels, dates and clocks.

pub mod calendar;
pub mod label;
pub mod meaning;
pub mod number;
pub mod prefix;
pub mod stamp;
pub mod unit;
mod words;

pub use label::{Label, label};
pub use meaning::{HumidityMeasure, Meaning};
pub use number::{Decimal, grouped, is_missing, number};
pub use stamp::{Date, Stamp};
pub use unit::Unit;
