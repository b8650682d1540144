//! A sketch of the box at one instant: places as tiles, what passes between them as arrows.
//!
//! Zones stand side by side (one below the other in an upright picture), the room on both sides of
//! them.

mod arrows;
mod data;
mod layout;
mod words;

pub use data::{Content, Lane, Sketch, Stream, Tile, Way};
pub(super) use layout::scene;
