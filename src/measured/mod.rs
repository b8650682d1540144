//! Measured runs: logger text and weighing notes in, clean series out, nothing lost on the way.
//!
//! ```
//! use drybench::measured::Moment;
//!
//! assert_eq!(Moment::parse("90 min"), Moment::parse("5400 s"));
//! assert!(Moment::parse("soon").is_err());
//! ```

pub mod folder;
pub mod log;
mod moment;
pub mod sensors;
mod series;
pub mod weighings;

pub use moment::Moment;
pub use series::{Channel, Quantity, Series, Start};
