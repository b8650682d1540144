//! Figures of a fit: readings beside the model, and how well the parameters are known.

mod parameters;
mod readings;
mod series;

pub use parameters::{fit_correlation, fit_profiles};
pub use readings::{FitPicture, appendices};

/// A path as words.
fn spaced(name: &str) -> String {
    name.replace(['.', '_'], " ")
}
