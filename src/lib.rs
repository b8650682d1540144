//! Simulates small heated, vented drying boxes: temperature, humidity, water and energy over time.
//!
//! A scenario file describes room, box, heater, fan, openings and a moist load. It is read with all
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
