//! Simulates small heated, vented drying boxes: temperature, humidity, water and energy over time.
//!
//! ```
//! use drybench::run::{Method, simulate};
//! use drybench::scenario::Scenario;
//!
//! let (scenario, _) = Scenario::draft("Bench box")
//!     .set("room.temperature", "21 °C")
//!     .set("room.relative_humidity", "50 %RH")
//!     .set("enclosure.inner_size", [0.30, 0.22, 0.18])
//!     .set("enclosure.wall.material", "ABS")
//!     .set("enclosure.wall.thickness", 3e-3)
//!     .set("heater.kind", "resistive")
//!     .set("heater.power", 120.0)
//!     .set("fan.circulation", 6e-3)
//!     .set("control.kind", "thermostat")
//!     .set("control.set_point", "50 °C")
//!     .set("control.hysteresis", 2.0)
//!     .set("control.sensor", "panel")
//!     .set("sensor.panel.zone", "return")
//!     .set("sensor.panel.time_constant", 20.0)
//!     .set("vent.low.kind", "hole")
//!     .set("vent.low.zone", "return")
//!     .set("vent.low.height", 0.04)
//!     .set("vent.low.diameter", 6e-3)
//!     .set("run.duration", "1 h")
//!     .read()
//!     .expect("a sound scenario");
//! let run = simulate(&scenario, Method::Rodas5p).expect("a solution");
//! println!("warm after {:.1} min", run.metric("warm_up_min").expect("it warms up"));
//! assert!(run.energy.closure_error.abs() < 1e-9);
//! ```
//!
//! A scenario, in a file or put together as above, describes room, box, heater, fan, openings and a moist load. It is read with all
//! its mistakes at once ([`reader`], [`scenario`]), built into a system of stores and parts that can
//! only move heat, water and air between them ([`model`]), integrated ([`solver`]) and turned into
//! series, ledgers and metrics ([`run`]), which [`report`] writes as tables and figures.
//!
//! Everything is `f64` in SI units, with the unit in the name; temperatures are in kelvin unless a
//! name ends in `_c`. The guide for users is the module [`guide`]. All physics is generic over [`real::Real`], so that exact derivatives come
//! from the same code as the values.
//!
//! Features: `cli` is the program, `files` what it reads and writes, `png` draws figures as pixels; all are on
//! by default. Without them the library has no file system, no clock and no terminal, and figures are SVG.

#![warn(clippy::disallowed_methods)]

pub mod address;
pub mod assess;
#[cfg(feature = "cli")]
#[allow(clippy::disallowed_methods)]
#[doc(hidden)]
pub mod cli;
#[cfg(feature = "files")]
#[allow(clippy::disallowed_methods)]
pub mod files;
pub mod guide;
pub mod measured;
pub mod metric;
pub mod model;
pub mod physics;
pub mod reader;
pub mod real;
pub mod report;
pub mod run;
pub mod scenario;
pub mod solver;
pub mod study;
pub mod text;
pub mod uncertainty;
pub mod units;
