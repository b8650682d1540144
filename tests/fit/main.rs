//! The fit: formulas with known answers, boxes fitted to simulated and to measured runs, and the command.

#[path = "../common/mod.rs"]
mod common;

mod certified;
mod command;
mod coverage;
mod degenerate;
mod folder;
mod generic;
mod kit;
mod measured;
mod recovery;
mod replay;
mod spool;
