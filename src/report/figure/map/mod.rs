//! A map: one quantity over two others, as coloured cells with contours and limits.

mod colours;
mod contour;
mod data;
mod layout;
mod lines;
mod paint;
mod pairs;
mod places;

pub use data::{Limit, Map, Steps};
pub(super) use paint::scene;
