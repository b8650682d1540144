//! The box as a system of equations: stores, the parts that move amounts between them, and the
//! right-hand side that sums it all up.
//!
//! Amounts are the state; temperatures and humidities are derived once per evaluation. A part can
//! only move an amount from one store to another, so heat, water and dry air are conserved by
//! construction, whatever the parts do.

pub mod accounts;
pub mod air;
mod assembly;
pub mod control;
pub mod element;
pub mod events;
pub mod fan;
pub mod flows;
pub mod materials;
pub mod network;
pub mod openings;
pub mod part;
pub mod parts;
mod passage;
mod plant;
pub mod reading;
pub mod room;
pub mod site;
pub mod store;

pub use assembly::{Landmarks, Limit, LimitPlace, Model, Pieces, Steering};
pub use plant::{Instant, Plant};
