//! Tokens of logger text: numbers, missing values, units, labels, dates and clocks.

pub mod label;
pub mod number;
pub mod prefix;
pub mod stamp;
pub mod unit;

pub use label::{HumidityMeasure, Label, Meaning, label};
pub use number::{Decimal, grouped, is_missing, number};
pub use stamp::{Date, Stamp};
pub use unit::Unit;
