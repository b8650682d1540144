//! The unit vocabulary: what a user may type for a physical value, and how a value is shown.
//!
//! Inside the program every value is a plain `f64` in SI units. This module is the only place
//! where typed text such as `"0.25 in"` or `"122 °F"` turns into such a number and back, and the
//! only place that knows where the Celsius scale starts.
//!
//! ```
//! use drybench::units::{Kind, format, parse};
//!
//! assert_eq!(parse(Kind::Length, "0.25 in").expect("a length"), 6.35e-3);
//! assert_eq!(format(Kind::Temperature, 323.15), "50 °C");
//! ```

mod error;
mod format;
mod kind;
mod lex;
mod parse;
mod range;
mod single;
mod table;
mod typed;

pub use error::UnitError;
pub use format::{format, format_digits, format_measured, format_together, significant};
pub use kind::{Kind, Measured};
pub use parse::{parse, parse_in, parse_measured};
pub use range::{MOST, Range};
pub use single::{number, split_uncertainty};
pub use typed::Typed;

/// The zero of the Celsius scale on the Kelvin scale \[K\], exact by definition.
///
/// Source: the definition of the degree Celsius in the SI (common practice).
pub const ZERO_CELSIUS_K: f64 = 273.15;

/// A temperature reading in kelvin from one in degrees Celsius.
#[inline]
#[must_use]
pub fn k_from_c(temp_c: f64) -> f64 {
    temp_c + ZERO_CELSIUS_K
}

/// A temperature reading in degrees Celsius from one in kelvin.
#[inline]
#[must_use]
pub fn c_from_k(temp_k: f64) -> f64 {
    temp_k - ZERO_CELSIUS_K
}
