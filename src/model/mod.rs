//! The box as a system of equations: stores, the parts that move amounts between them, and the
//! right-hand side that sums it all up.
//!
//! Amounts are the state; temperatures and humidities are derived once per evaluation. A part can
//! only move an amount from one store to another, so heat, water and dry air are conserved by
//! construction, whatever the parts do.
//!
//! ```
//! # let text = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/sealed.toml"));
//! # let mut source = drybench::reader::Source::from_bytes("sealed.toml", text.as_bytes()).expect("TOML");
//! # source.set("run.duration=5 min").expect("a value");
//! # let (scenario, _) = drybench::scenario::Scenario::read(&source).expect("a sound scenario");
//! let model = scenario.build();
//! assert!(model.entries().len() > 10);
//! ```

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
