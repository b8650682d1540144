//! Level bars, one or two to a row: what moves a result, and by how much.

mod data;
mod layout;

pub use data::{Bar, BarRow, Bars};
pub(super) use layout::scene;
